//! The position that a receiver wrote into a photograph against where its camera is known to have stood. May not
//! enter: tags, fitting.

use super::exif::Said;
use crate::sky::sun::Observer;
use crate::units::{bearing_deg, rad, wrap_180, wrap_360};
use glam::DVec2;

/// What a receiver errs by that does not say so, metres, one standard deviation. Common practice: a telephone under
/// the open sky errs by some 5 m, beside walls and just out of a pocket by several times that.
const UNSTATED_M: f64 = 15.0;

/// Positions farther apart than so many standard deviations contradict each other beyond doubt.
const BEYOND_SIGMAS: f64 = 3.0;

/// Semi-major axis, metres, and flattening of the ellipsoid that receivers use (WGS 84).
const AXIS_M: f64 = 6_378_137.0;
const FLATTENING: f64 = 1.0 / 298.257_223_563;

/// A receiver's position beside a spot of the site.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Whence {
    /// How far it lies from the spot, metres.
    pub distance_m: f64,
    /// In which direction from it.
    pub bearing_deg: f64,
    /// How far off it may be, as the receiver states it, metres.
    pub stated_m: Option<f64>,
    /// The two cannot both be right.
    pub is_contradictory: bool,
}

impl Whence {
    /// The position that a photograph tells, from a spot that is known to `sigma_m`; none where it tells none, or the
    /// one that stands for none.
    pub fn of(said: &Said, place: &Observer, spot_m: DVec2, sigma_m: f64) -> Option<Whence> {
        let position = &said.position_deg;
        let told_deg = position.value.filter(|_| position.doubt.is_none())?;
        let away_m = site_m(place, told_deg) - spot_m;
        let stated_m = said.position_error_m.value;
        let sigma_m = stated_m.unwrap_or(UNSTATED_M).hypot(sigma_m);
        Some(Whence {
            distance_m: away_m.length(),
            bearing_deg: wrap_360(bearing_deg(away_m.x, away_m.y)),
            stated_m,
            is_contradictory: away_m.length() > BEYOND_SIGMAS * sigma_m,
        })
    }
}

/// Latitude and longitude as metres east and north of the place: arcs of the ellipsoid's two radii of curvature at
/// the latitude midway. A level map: bearings turn with the meridians.
pub fn site_m(place: &Observer, [lat_deg, lon_deg]: [f64; 2]) -> DVec2 {
    let midway = rad((lat_deg + place.lat_deg) / 2.0);
    let square = FLATTENING * (2.0 - FLATTENING);
    let inner = 1.0 - square * midway.sin().powi(2);
    let across_m = AXIS_M / inner.sqrt();
    let along_m = across_m * (1.0 - square) / inner;
    DVec2::new(
        rad(wrap_180(lon_deg - place.lon_deg)) * across_m * midway.cos(),
        rad(lat_deg - place.lat_deg) * along_m,
    )
}
