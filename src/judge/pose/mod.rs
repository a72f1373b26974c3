//! Where a camera stood and how it was turned, from named points of the machine marked in its picture.
//! May not enter: files, photographs, which machine it was.
//!
//! A least-squares fit of the pinhole model of `camera::projection`, with one radial term where it is asked for
//! and seen: x' = x (1 + k r²) in units of the focal length (Brown 1966, the first term). It needs no starting
//! value: it descends from many stands round the points and keeps the deepest end.

mod doubt;
mod least;
mod points;
mod refusal;
mod search;
mod sights;
mod start;

pub use refusal::{Point, Refused};

use crate::camera::{film::Film, pose::Pose};
use crate::units::deg;
use doubt::settle;
use glam::{DVec2, DVec3};
use least::{MOST, Unknowns};
use search::Settled;
use sights::{LOG_FOCAL, MIDDLE_X, MIDDLE_Y, RADIAL, Rough};

/// What a pose has: eye x, y, z, heading, pitch, roll, focal length, radial term, the axis right of and below the middle.
pub const UNKNOWNS: usize = MOST;

/// Fewer named points than this give no pose that could be doubted.
pub const LEAST_MARKS: usize = 6;

/// Marks needed before a radial term is asked of them.
pub const LEAST_FOR_BEND: usize = 8;

/// Steps in which a bend is undone, and what is left of a radius that it would fold over.
const UNBENT_STEPS: usize = 20;
const LEAST_STRETCH: f64 = 0.3;

/// A point of the machine found in the picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// The point's name.
    pub name: String,
    /// Where it is: in any frame with z up, metres.
    pub at_m: DVec3,
    /// Where it was marked, pixels right of and below the picture's upper left corner.
    pub at_px: DVec2,
}

/// The picture that the marks are in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plate {
    /// Pixels across.
    pub width_px: f64,
    /// Pixels down.
    pub height_px: f64,
    /// What its width and height were on the film or sensor.
    pub film: Film,
}

impl Plate {
    /// Where the optical axis meets an unshifted frame.
    pub(super) fn middle_px(&self) -> DVec2 {
        DVec2::new(self.width_px, self.height_px) / 2.0
    }

    /// Pixels to a millimetre on the film.
    pub fn px_per_mm(&self) -> f64 {
        self.width_px / self.film.width_mm
    }
}

/// What is known beforehand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    /// The focal length, if it is to be believed.
    pub focal_mm: Option<f64>,
    /// By what share of itself it may be off (one standard deviation): it then counts as one more observation. Zero:
    /// exactly that.
    pub focal_share: f64,
    /// Whether a radial term may be fitted, where the marks show one.
    pub bend: bool,
    /// How far beside the picture's middle the lens's axis may meet it, as a share of its width (one standard deviation):
    /// so far one that was cut. Zero: in its middle.
    pub middle_share: f64,
    /// How exactly marks are placed, pixels (one standard deviation an axis). Weighs as two errors seen.
    pub placed_to_px: f64,
}

impl Default for Known {
    fn default() -> Known {
        Known {
            focal_mm: None,
            focal_share: 0.0,
            bend: false,
            middle_share: 0.0,
            placed_to_px: 1.0,
        }
    }
}

impl Known {
    /// Whether the focal length is known, but not exactly.
    fn is_rough(&self) -> bool {
        self.focal_mm.is_some() && self.focal_share > 0.0
    }

    /// Whether the lens's axis may meet the picture beside its middle.
    fn is_beside(&self) -> bool {
        self.middle_share > 0.0
    }

    /// What is known roughly, beside marks that err by so much.
    fn rough_beside(&self, plate: &Plate, sigma_px: f64) -> Vec<Rough> {
        let mut all = Vec::new();
        if let Some(focal_mm) = self.focal_mm.filter(|_| self.is_rough()) {
            all.push(Rough {
                unknown: LOG_FOCAL,
                told: (focal_mm * plate.px_per_mm()).ln(),
                weight_px: sigma_px / self.focal_share,
            });
        }
        if self.is_beside() {
            all.extend([MIDDLE_X, MIDDLE_Y].map(|unknown| Rough {
                unknown,
                told: 0.0,
                weight_px: sigma_px / (self.middle_share * plate.width_px),
            }));
        }
        all
    }
}

/// How a mark lies beside its point's image.
#[derive(Clone, Debug, PartialEq)]
pub struct Residual {
    /// The point's name.
    pub name: String,
    /// From the point's image to the mark, pixels right and down.
    pub off_px: DVec2,
    /// Its length over what marks err by.
    pub times_sigma: f64,
    /// Left out of the fit: it contradicts all others together.
    pub mismarked: bool,
}

/// Standard deviations of what was fitted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sigmas {
    /// Of the eye, metres along each axis.
    pub eye_m: DVec3,
    /// Degrees.
    pub heading_deg: f64,
    /// Degrees.
    pub pitch_deg: f64,
    /// Degrees.
    pub roll_deg: f64,
    /// Millimetres; zero where the focal length was known exactly.
    pub focal_mm: f64,
    /// Of the radial term; zero where none was fitted.
    pub radial: f64,
    /// Of the axis's place in the picture, pixels; zero where it is the middle.
    pub middle_px: DVec2,
}

/// A pose and how well it is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// Eye, heading, pitch and roll, in the marks' frame.
    pub pose: Pose,
    /// The focal length, millimetres on the plate's film.
    pub focal_mm: f64,
    /// Whether a focal length that was told had part in that.
    pub heeds_focal: bool,
    /// The radial term; zero where none was fitted.
    pub radial: f64,
    /// How far right of and below the picture's middle the lens's axis meets it, pixels; zero unless that was left open.
    pub middle_px: DVec2,
    /// Covariance of eye x, y, z (m), heading, pitch, roll (°), focal length (mm), radial term, the axis's place in the
    /// picture (px); zero rows where something was known.
    pub covariance: [[f64; UNKNOWNS]; UNKNOWNS],
    /// Root mean square of the distances of the marks kept, pixels.
    pub rms_px: f64,
    /// What a mark errs by along an axis, pixels, as the marks show it.
    pub sigma_px: f64,
    /// Every mark's, in the order given.
    pub residuals: Vec<Residual>,
}

impl Fit {
    /// The covariance's diagonal as standard deviations.
    pub fn sigmas(&self) -> Sigmas {
        let of = |unknown: usize| self.covariance[unknown][unknown].max(0.0).sqrt();
        Sigmas {
            eye_m: DVec3::new(of(0), of(1), of(2)),
            heading_deg: of(sights::HEADING),
            pitch_deg: of(sights::PITCH),
            roll_deg: of(sights::ROLL),
            focal_mm: of(LOG_FOCAL),
            radial: of(RADIAL),
            middle_px: DVec2::new(of(MIDDLE_X), of(MIDDLE_Y)),
        }
    }

    /// Whether it was left open where the lens's axis meets the picture.
    pub fn is_beside(&self) -> bool {
        self.covariance[MIDDLE_X][MIDDLE_X] > 0.0
    }

    /// The marks that contradict the others.
    pub fn mismarked(&self) -> impl Iterator<Item = &Residual> {
        self.residuals.iter().filter(|one| one.mismarked)
    }

    /// Where a point is in the picture, pixels right and down; none if it is not in front of the lens.
    pub fn image_px(&self, plate: &Plate, point: DVec3) -> Option<DVec2> {
        let mut at = unknowns(&self.pose, self.focal_mm * plate.px_per_mm(), self.radial);
        [at[MIDDLE_X], at[MIDDLE_Y]] = self.middle_px.to_array();
        sights::image(&at, &self.pose.basis(), plate, point).map(|(place, _)| place)
    }

    /// The same moved by so much, in the covariance's order.
    pub fn moved(&self, by: &[f64; UNKNOWNS]) -> Fit {
        let pose = Pose {
            eye: self.pose.eye + DVec3::new(by[0], by[1], by[2]),
            heading_deg: self.pose.heading_deg + by[sights::HEADING],
            pitch_deg: self.pose.pitch_deg + by[sights::PITCH],
            roll_deg: self.pose.roll_deg + by[sights::ROLL],
        };
        Fit {
            pose,
            focal_mm: self.focal_mm + by[LOG_FOCAL],
            radial: self.radial + by[RADIAL],
            middle_px: self.middle_px + DVec2::new(by[MIDDLE_X], by[MIDDLE_Y]),
            ..self.clone()
        }
    }

    /// The direction from which a place of the picture has its light.
    pub fn ray(&self, plate: &Plate, at_px: DVec2) -> DVec3 {
        let axis_px = plate.middle_px() + self.middle_px;
        let bent = (at_px - axis_px) / (self.focal_mm * plate.px_per_mm());
        // The bend undone by steps of its own: it is small.
        let straight = (0..UNBENT_STEPS).fold(bent, |at, _| {
            bent / (1.0 + self.radial * at.length_squared()).max(LEAST_STRETCH)
        });
        let basis = self.pose.basis();
        basis.forward + basis.right * straight.x - basis.up * straight.y
    }

    /// How much the picture's corners are moved outward by the lens's bend, percent of their distance from the middle, and
    /// its standard deviation; none where no bend was fitted.
    pub fn corner_percent(&self, plate: &Plate) -> Option<[f64; 2]> {
        let half_mm = plate.film.diagonal_mm() / 2.0;
        let square = (half_mm / self.focal_mm).powi(2);
        (self.radial != 0.0)
            .then(|| [self.radial, self.sigmas().radial].map(|k| 100.0 * k * square))
    }
}

fn unknowns(pose: &Pose, focal_px: f64, radial: f64) -> Unknowns {
    let turn = [pose.heading_deg, pose.pitch_deg, pose.roll_deg].map(f64::to_radians);
    let eye = pose.eye;
    [
        eye.x,
        eye.y,
        eye.z,
        turn[0],
        turn[1],
        turn[2],
        focal_px.ln(),
        radial,
        0.0,
        0.0,
    ]
}

/// The camera that has the marks where they are.
pub fn fit(marks: &[Mark], plate: &Plate, known: &Known) -> Result<Fit, Refused> {
    points::check(marks, plate, known)?;
    let settled = settle(marks, plate, known)?;
    let variance = settled.variance;
    let (free, at) = (&settled.free, &settled.ended.at);
    let kept = settled.marks(marks);
    // The fit ended there, so the model has a value there.
    let rough = known.rough_beside(plate, variance.sqrt());
    let linear = sights::look(at, plate, &kept, &rough).ok_or(Refused::NoPose)?;
    let inverse = least::inverse(&least::normal(&linear, free).0, free.len())
        .map_err(|which| Refused::unresolved(free[which]))?;
    let focal_mm = at[LOG_FOCAL].exp() / plate.px_per_mm();
    let mut covariance = [[0.0; MOST]; MOST];
    let unit = |unknown: usize| match unknown {
        sights::HEADING | sights::PITCH | sights::ROLL => deg(1.0),
        LOG_FOCAL => focal_mm,
        _ => 1.0,
    };
    for (i, &row) in free.iter().enumerate() {
        for (j, &column) in free.iter().enumerate() {
            covariance[row][column] = variance * inverse[i][j] * unit(row) * unit(column);
        }
    }
    let pose = upright(sights::pose(at));
    let found = Fit {
        pose,
        focal_mm,
        heeds_focal: known.focal_mm.is_some(),
        radial: at[RADIAL],
        middle_px: DVec2::new(at[MIDDLE_X], at[MIDDLE_Y]),
        covariance,
        rms_px: settled.rms_px,
        sigma_px: variance.sqrt(),
        residuals: residuals(marks, plate, &settled, variance.sqrt())?,
    };
    points::check_strength(&found, marks)?;
    Ok(found)
}

fn residuals(
    marks: &[Mark],
    plate: &Plate,
    settled: &Settled,
    sigma_px: f64,
) -> Result<Vec<Residual>, Refused> {
    let basis = sights::pose(&settled.ended.at).basis();
    let of = |(index, mark): (usize, &Mark)| {
        let seen = sights::image(&settled.ended.at, &basis, plate, mark.at_m);
        let off_px = mark.at_px
            - seen
                .ok_or_else(|| Refused::Behind(Point::named(&mark.name)))?
                .0;
        Ok(Residual {
            name: mark.name.clone(),
            off_px,
            times_sigma: off_px.length() / sigma_px,
            mismarked: settled.left_out.contains(&index),
        })
    };
    marks.iter().enumerate().map(of).collect()
}

/// The same directions told with a pitch within a right angle and angles as people give them.
fn upright(pose: Pose) -> Pose {
    use crate::units::{wrap_180, wrap_360};
    let pitch = wrap_180(pose.pitch_deg);
    let over = pitch.abs() > 90.0;
    let half_turn = if over { 180.0 } else { 0.0 };
    Pose {
        heading_deg: wrap_360(pose.heading_deg + half_turn),
        pitch_deg: if over { wrap_180(180.0 - pitch) } else { pitch },
        roll_deg: wrap_180(pose.roll_deg + half_turn),
        ..pose
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pose_that_went_over_the_zenith_is_told_upright_and_looks_the_same_way() {
        let over = Pose {
            eye: DVec3::ZERO,
            heading_deg: -20.0,
            pitch_deg: 170.0,
            roll_deg: 181.0,
        };
        let told = upright(over);
        assert!((told.heading_deg - 160.0).abs() < 1e-9 && (told.pitch_deg - 10.0).abs() < 1e-9);
        assert!((told.roll_deg - 1.0).abs() < 1e-9);
        for (a, b) in [
            (over.basis().right, told.basis().right),
            (over.basis().up, told.basis().up),
            (over.basis().forward, told.basis().forward),
        ] {
            assert!((a - b).length() < 1e-12);
        }
    }
}
