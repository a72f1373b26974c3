//! Rolling equipment as plain solids, in its own frame or standing on a track.
//! May not enter: the machine that is portrayed (that is a model).
//!
//! Sizes are common practice for interchange cars of North America, from memory: such a car hides, shades and
//! stands behind, and is not itself portrayed, so that some hundred triangles must do.

mod cars;
mod gear;
mod hood_unit;
mod open_cars;
mod tank_car;

use super::coat::{Coat, Finish};
use super::machine::Frame;
use super::shapes::build::Build;
use super::surroundings::{Kind, Object};
use super::track::{Track, TrackPoint};
use crate::units::rad;
use glam::DVec2;

/// What stands on other tracks or is coupled to the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum EquipmentKind {
    /// A closed car with flat sides.
    Boxcar,
    /// A covered hopper.
    Hopper,
    /// A tank on a frame.
    TankCar,
    /// A deck without sides, empty.
    FlatCar,
    /// An open car with low sides.
    Gondola,
    /// Another six-axle hood unit.
    HoodUnit,
}

impl EquipmentKind {
    /// Every kind with its word in scene files.
    pub const WORDS: [(&'static str, EquipmentKind); 6] = [
        ("boxcar", EquipmentKind::Boxcar),
        ("hopper", EquipmentKind::Hopper),
        ("tank-car", EquipmentKind::TankCar),
        ("flat-car", EquipmentKind::FlatCar),
        ("gondola", EquipmentKind::Gondola),
        ("hood-unit", EquipmentKind::HoodUnit),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::WORDS
            .iter()
            .find(|(_, kind)| *kind == self)
            .map_or("equipment", |(word, _)| word)
    }

    /// From coupler face to coupler face.
    pub fn length_m(self) -> f64 {
        match self {
            EquipmentKind::Boxcar => 16.8,
            EquipmentKind::Hopper => 18.0,
            EquipmentKind::TankCar => 15.6,
            EquipmentKind::FlatCar => 17.4,
            EquipmentKind::Gondola => 16.6,
            EquipmentKind::HoodUnit => 20.98,
        }
    }

    /// What its body is painted.
    pub fn coat(self) -> Coat {
        let color_srgb = match self {
            EquipmentKind::Boxcar => [0x6b, 0x3a, 0x2a],
            EquipmentKind::Hopper => [0x86, 0x86, 0x82],
            EquipmentKind::TankCar => [0x2b, 0x2b, 0x2d],
            EquipmentKind::FlatCar => [0x5a, 0x46, 0x36],
            EquipmentKind::Gondola => [0x4a, 0x44, 0x40],
            EquipmentKind::HoodUnit => [0x6e, 0x2f, 0x2a],
        };
        Coat::new(Finish::Paint, color_srgb)
    }

    /// Its solids in its own frame: x along the track, y left, z up from the top of rail.
    fn build(self, paint: Coat) -> Build {
        let half_m = self.length_m() / 2.0;
        let mut build = Build::default();
        match self {
            EquipmentKind::Boxcar => cars::boxcar(&mut build, half_m, paint),
            EquipmentKind::Hopper => cars::hopper(&mut build, half_m, paint),
            EquipmentKind::TankCar => tank_car::tank_car(&mut build, half_m, paint),
            EquipmentKind::FlatCar => open_cars::flat_car(&mut build, half_m, paint),
            EquipmentKind::Gondola => open_cars::gondola(&mut build, half_m, paint),
            EquipmentKind::HoodUnit => hood_unit::hood_unit(&mut build, half_m, paint),
        }
        build
    }
}

/// Equipment that stands with its middle at a chainage of a track, in its usual paint or another.
pub fn on_track(
    name: String,
    kind: EquipmentKind,
    track: &Track,
    chainage_m: f64,
    paint: Option<Coat>,
) -> Object {
    let TrackPoint {
        position_m,
        bearing_deg,
    } = track.point_at(chainage_m);
    let bearing = rad(bearing_deg);
    let frame = Frame {
        origin_m: position_m,
        forward: DVec2::new(bearing.sin(), bearing.cos()),
    };
    let build = kind.build(paint.unwrap_or_else(|| kind.coat()));
    Object::of(name, Kind::Equipment, build.moved(|p| frame.to_site(p)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solid::Solid;
    use glam::DVec3;

    /// Bounds of a solid; of a bar without what its polygon reaches past the round.
    fn bounds(solid: &Solid) -> (DVec3, DVec3) {
        match solid {
            Solid::Bar {
                a,
                b,
                radius_a_m,
                radius_b_m,
            } => {
                // A disc's own reach along an axis is its radius times the sine of their angle.
                let axis = (b - a).normalize();
                let reach = (DVec3::ONE - axis * axis).max(DVec3::ZERO).map(f64::sqrt);
                let (at_a, at_b) = (reach * *radius_a_m, reach * *radius_b_m);
                ((a - at_a).min(b - at_b), (a + at_a).max(b + at_b))
            }
            other => (other.convex().corners.iter())
                .fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(l, h), p| {
                    (l.min(*p), h.max(*p))
                }),
        }
    }

    #[test]
    fn every_kind_spans_its_length_and_stands_on_the_rails() {
        for (word, kind) in EquipmentKind::WORDS {
            let build = kind.build(kind.coat());
            let (low, high) = (build.solids.iter().map(bounds))
                .reduce(|(l, h), (low, high)| (l.min(low), h.max(high)))
                .unwrap();
            assert!((high.x - low.x - kind.length_m()).abs() < 1e-9, "{word}");
            assert!(low.z.abs() < 1e-9, "{word} stands at {}", low.z);
            // AAR plate C is 4.724 m high and 3.251 m wide (from memory).
            assert!(high.z < 4.724, "{word}: {}", high.z);
            assert!(high.y <= 1.626 && low.y >= -1.626, "{word}: {low} {high}");
            assert_eq!(kind.word(), word);
        }
    }

    #[test]
    fn every_kind_is_made_of_few_closed_pieces_that_look_outward() {
        for (word, kind) in EquipmentKind::WORDS {
            let build = kind.build(kind.coat());
            assert!(
                build.solids.len() < 120,
                "{word}: {} pieces",
                build.solids.len()
            );
            assert_eq!(build.solids.len(), build.coats.len());
            let mut triangles = 0;
            for (i, solid) in build.solids.iter().enumerate() {
                let convex = solid.convex();
                triangles += convex.triangles().count();
                assert!(convex.volume_m3() > 1e-6, "{word} {i}: {solid:?}");
            }
            assert!(triangles < 2200, "{word}: {triangles} triangles");
        }
    }
}
