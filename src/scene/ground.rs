//! Where one may stand. May not enter: where one should.

use super::coat::{Coat, Finish};
use super::polygon::contains;
use super::track::{Track, nearest_rail};
use glam::DVec2;

/// Stand-off when a scene names none: the better of the two distances of public safety guidance, 25 ft.
pub const DEFAULT_STAND_OFF_M: f64 = 7.6;

/// The least that a scene may set: the lesser of those distances, 15 ft.
pub const LEAST_STAND_OFF_M: f64 = 4.6;

/// Whose leave a piece of ground needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Access {
    /// Open to the public.
    Public,
    /// Only by somebody's permission, asked for beforehand.
    Permission,
}

/// What ground is covered with, by its word in scene files, in its usual colour.
pub const SURFACES: [(&str, Coat); 4] = [
    ("grass", Coat::new(Finish::Grass, [128, 126, 96])),
    ("gravel", Coat::new(Finish::Gravel, [138, 136, 122])),
    ("asphalt", Coat::new(Finish::Asphalt, [92, 92, 92])),
    ("concrete", Coat::new(Finish::Concrete, [164, 160, 150])),
];

/// The word for what ground is covered with where a file does not say.
pub const USUAL_SURFACE: usize = 1;

/// One piece of ground on which one may stand.
#[derive(Clone, Debug, PartialEq)]
pub struct Area {
    /// Its name.
    pub name: String,
    /// What to know about it.
    pub note: String,
    /// Whose leave it needs.
    pub access: Access,
    /// Corners east, north; a simple polygon.
    pub polygon_m: Vec<DVec2>,
    /// How far it lies below the top of rail (negative: a bank above it).
    pub below_rail_m: f64,
    /// What it is covered with.
    pub coat: Coat,
}

/// Ground that looks different from the plain, whether or not one may stand there: streets, sidewalks, yards.
#[derive(Clone, Debug, PartialEq)]
pub struct Surface {
    /// Its name.
    pub name: String,
    /// Corners east, north; a simple polygon.
    pub polygon_m: Vec<DVec2>,
    /// How far it rises over the plain ground: a kerb, a platform.
    pub rise_m: f64,
    /// What it is covered with.
    pub coat: Coat,
}

/// All of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Ground {
    /// Pieces of allowed ground.
    pub areas: Vec<Area>,
    /// Other ground with a surface of its own.
    pub surfaces: Vec<Surface>,
    /// Least distance from the nearest rail of any track.
    pub stand_off_m: f64,
}

/// Why nobody may stand at a point.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// Nearer to a rail than the stand-off.
    #[error("{distance_m:.2} m from the nearest rail of {track}, the stand-off is {stand_off_m} m")]
    TooNear {
        /// The track's name.
        track: String,
        /// To its nearest rail.
        distance_m: f64,
        /// The least distance.
        stand_off_m: f64,
    },
    /// In no piece of allowed ground.
    #[error("outside the ground on which one may stand")]
    NotAllowed,
    /// Something stands there already.
    #[error("the {0} stands there")]
    Filled(String),
}

impl Ground {
    /// The piece of ground at a point where one may stand: public ground before ground by permission,
    /// then in the scene's order.
    pub fn may_stand(&self, tracks: &[Track], point: DVec2) -> Result<&Area, Refusal> {
        if let Some((track, distance_m)) = nearest_rail(tracks, point)
            && distance_m < self.stand_off_m
        {
            return Err(Refusal::TooNear {
                track: track.name.clone(),
                distance_m,
                stand_off_m: self.stand_off_m,
            });
        }
        self.area_at(point).ok_or(Refusal::NotAllowed)
    }

    /// The piece of ground at a point, however near to rails: public before permission, then in the scene's
    /// order.
    pub fn area_at(&self, point: DVec2) -> Option<&Area> {
        (self.areas.iter())
            .filter(|area| contains(&area.polygon_m, point))
            .min_by_key(|area| area.access != Access::Public)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_stand_off_comes_before_the_ground_and_public_before_permission() {
        let area = |name: &str, access, east: f64| Area {
            name: name.into(),
            note: String::new(),
            access,
            polygon_m: [(0.0, 0.0), (east, 0.0), (east, 50.0), (0.0, 50.0)]
                .map(|(x, y)| DVec2::new(x, y))
                .to_vec(),
            below_rail_m: 0.5,
            coat: SURFACES[USUAL_SURFACE].1,
        };
        let ground = Ground {
            areas: vec![
                area("yard", Access::Permission, 40.0),
                area("road", Access::Public, 20.0),
            ],
            surfaces: vec![],
            stand_off_m: DEFAULT_STAND_OFF_M,
        };
        let tracks = [Track {
            name: "main".into(),
            points_m: vec![DVec2::ZERO, DVec2::new(0.0, 50.0)],
            gauge_m: 1.435,
            ground_below_rail_m: 0.5,
        }];
        let at = |east: f64| ground.may_stand(&tracks, DVec2::new(east, 25.0));
        assert_eq!(at(15.0).unwrap().name, "road");
        assert_eq!(at(30.0).unwrap().name, "yard");
        assert_eq!(at(60.0), Err(Refusal::NotAllowed));
        assert!(
            at(8.0)
                .unwrap_err()
                .to_string()
                .contains("of main, the stand-off is 7.6 m")
        );
    }
}
