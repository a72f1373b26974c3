//! Rolling equipment as plain solids, in its own frame or standing on a track.
//! May not enter: the machine that is portrayed (that is a model).
//!
//! Sizes are common practice for interchange cars of North America, from memory; only the outline
//! matters, since such a car hides and shades and is not itself portrayed.

use super::coat::{Coat, Finish};
use super::machine::Frame;
use super::surroundings::{Kind, Object};
use super::track::{Track, TrackPoint};
use crate::mesh::solid::Solid;
use crate::units::rad;
use glam::{DVec2, DVec3};

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

    fn coat(self) -> Coat {
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
    fn solids(self) -> Vec<Solid> {
        let half_m = self.length_m() / 2.0;
        // The bodies end short of the coupler faces, by the drawbars' length.
        let body_m = half_m - 0.75;
        let (truck_m, axles) = match self {
            EquipmentKind::HoodUnit => (6.63, [-1.9, 0.0, 1.9].as_slice()),
            _ => (half_m - 2.6, [-0.88, 0.88].as_slice()),
        };
        let mut solids = running_gear(half_m, truck_m, axles);
        let mut add = |from: f64, to: f64, width: f64, bottom: f64, top: f64| {
            solids.push(block(from, to, width, bottom, top));
        };
        match self {
            EquipmentKind::Boxcar => {
                add(-body_m, body_m, 2.60, 0.75, 1.12);
                add(-body_m, body_m, 3.10, 1.10, 4.45);
                add(-body_m, body_m, 2.00, 4.44, 4.60);
            }
            EquipmentKind::Hopper => {
                add(-body_m, body_m, 2.60, 0.80, 1.12);
                add(-body_m + 1.6, body_m - 1.6, 3.15, 1.60, 4.40);
                add(-body_m, body_m, 2.20, 4.39, 4.60);
                for x in [-4.2, 0.0, 4.2] {
                    add(x - 1.5, x + 1.5, 1.60, 0.35, 1.70);
                }
            }
            EquipmentKind::TankCar => add(-body_m, body_m, 2.40, 0.80, 1.10),
            EquipmentKind::FlatCar => add(-body_m, body_m, 2.90, 0.80, 1.15),
            EquipmentKind::Gondola => add(-body_m, body_m, 3.05, 0.85, 2.55),
            EquipmentKind::HoodUnit => {
                add(-body_m, body_m, 3.00, 1.25, 1.60);
                add(-body_m + 0.3, 5.1, 1.84, 1.55, 4.20);
                add(5.0, 7.4, 3.05, 1.55, 4.60);
                add(7.3, body_m - 0.3, 1.84, 1.55, 3.30);
                add(-3.0, 3.0, 2.70, 0.45, 1.20);
            }
        }
        if self == EquipmentKind::TankCar {
            let end = |x: f64| DVec3::new(x, 0.0, 2.55);
            solids.push(bar(end(-body_m + 0.4), end(body_m - 0.4), 1.45));
            solids.push(bar(
                DVec3::new(0.0, 0.0, 3.8),
                DVec3::new(0.0, 0.0, 4.5),
                0.55,
            ));
        }
        solids
    }
}

/// Equipment that stands with its middle at a chainage of a track.
pub fn on_track(name: String, kind: EquipmentKind, track: &Track, chainage_m: f64) -> Object {
    let TrackPoint {
        position_m,
        bearing_deg,
    } = track.point_at(chainage_m);
    let bearing = rad(bearing_deg);
    let frame = Frame {
        origin_m: position_m,
        forward: DVec2::new(bearing.sin(), bearing.cos()),
    };
    Object {
        name,
        kind: Kind::Equipment,
        opacity: 1.0,
        solids: kind
            .solids()
            .iter()
            .map(|one| placed(one, &frame))
            .collect(),
        coats: vec![kind.coat()],
        coupled_front: None,
    }
}

/// Trucks, wheels and couplers.
fn running_gear(half_m: f64, truck_m: f64, axles_m: &[f64]) -> Vec<Solid> {
    let mut solids = Vec::new();
    let reach = axles_m.iter().fold(0.0_f64, |far, x| far.max(x.abs())) + 0.35;
    for end in [-1.0, 1.0] {
        let centre = end * truck_m;
        solids.push(block(centre - reach, centre + reach, 2.35, 0.35, 0.80));
        for axle in axles_m {
            let wheel = |y: f64| DVec3::new(centre + axle, y, 0.46);
            // One bar per wheel, its tread at the rail, its rim towards the axle.
            for side in [-1.0, 1.0] {
                solids.push(bar(wheel(side * 0.69), wheel(side * 0.82), 0.46));
            }
        }
        let (near, far) = (end * (half_m - 0.8), end * half_m);
        solids.push(block(near.min(far), near.max(far), 0.30, 0.75, 1.00));
    }
    solids
}

fn block(from_x: f64, to_x: f64, width_m: f64, bottom_m: f64, top_m: f64) -> Solid {
    let middle = (bottom_m + top_m) / 2.0;
    Solid::Beam {
        a: DVec3::new(from_x, 0.0, middle),
        b: DVec3::new(to_x, 0.0, middle),
        width_m,
        height_m: top_m - bottom_m,
    }
}

fn bar(a: DVec3, b: DVec3, radius_m: f64) -> Solid {
    Solid::Bar {
        a,
        b,
        radius_a_m: radius_m,
        radius_b_m: radius_m,
    }
}

/// A beam or bar of the equipment's frame in the site; the other solids are upright and do not occur.
fn placed(solid: &Solid, frame: &Frame) -> Solid {
    let mut solid = solid.clone();
    if let Solid::Beam { a, b, .. } | Solid::Bar { a, b, .. } = &mut solid {
        *a = frame.to_site(*a);
        *b = frame.to_site(*b);
    }
    solid
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_spans_its_length_and_stands_on_the_rails() {
        for (word, kind) in EquipmentKind::WORDS {
            let (mut low, mut high) = (DVec3::INFINITY, DVec3::NEG_INFINITY);
            for solid in kind.solids() {
                let (a, b, up) = match solid {
                    Solid::Beam { a, b, height_m, .. } => (a, b, height_m / 2.0),
                    // An upright bar ends flat: its radius adds nothing to its height.
                    Solid::Bar {
                        a, b, radius_a_m, ..
                    } => (a, b, radius_a_m * (b - a).normalize().truncate().length()),
                    other => panic!("{word}: {other:?}"),
                };
                low = low.min(a.min(b) - DVec3::Z * up);
                high = high.max(a.max(b) + DVec3::Z * up);
            }
            assert!((high.x - low.x - kind.length_m()).abs() < 1e-9, "{word}");
            assert!(low.z.abs() < 1e-9, "{word} stands at {}", low.z);
            // AAR plate C is 4.724 m high.
            assert!(high.z < 4.724, "{word}");
            assert_eq!(kind.word(), word);
        }
    }
}
