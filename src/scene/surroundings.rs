//! What stands around the machine: plain solids with a kind and an opacity, and wires. May not enter:
//! what they do to a frame.

use super::coat::Coat;
use super::shapes::build::Build;
use crate::mesh::solid::Solid;
use glam::{DVec2, DVec3};

/// What an object is, as far as a rule cares.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// A utility pole.
    Pole,
    /// A lamp or radio mast.
    Mast,
    /// A signal on its mast.
    Signal,
    /// A low stand beside a switch.
    SwitchStand,
    /// A tree's crown (its trunk is an object of kind `Trunk`).
    Crown,
    /// A bare trunk, or the trunk below a crown.
    Trunk,
    /// Bushes and weeds.
    Bush,
    /// A building.
    Building,
    /// A bridge over or behind the tracks.
    Bridge,
    /// A platform roof or canopy.
    Canopy,
    /// A fence.
    Fence,
    /// Other rolling equipment.
    Equipment,
    /// Somebody.
    Person,
}

impl Kind {
    /// Its word: its table's in scene files, but a tree is a crown and a trunk.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Pole => "pole",
            Kind::Mast => "mast",
            Kind::Signal => "signal",
            Kind::SwitchStand => "switch_stand",
            Kind::Crown => "crown",
            Kind::Trunk => "trunk",
            Kind::Bush => "bush",
            Kind::Building => "building",
            Kind::Bridge => "bridge",
            Kind::Canopy => "canopy",
            Kind::Fence => "fence",
            Kind::Equipment => "equipment",
            Kind::Person => "person",
        }
    }
}

/// One object.
#[derive(Clone, Debug, PartialEq)]
pub struct Object {
    /// Its name in the scene file, or one made from kind and number ("pole 3").
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// Share of light and sight that it stops, 0–1; 1 is solid.
    pub opacity: f64,
    /// Its shape in the site frame.
    pub solids: Vec<Solid>,
    /// What its solids are made of, one by one; the last serves for all that follow.
    pub coats: Vec<Coat>,
    /// Coupled to the machine's head end (Some(true)), to its rear end (Some(false)), or not at all.
    pub coupled_front: Option<bool>,
}

impl Object {
    /// An object that stops all light and is coupled to nothing.
    pub fn of(name: String, kind: Kind, build: Build) -> Object {
        Object {
            name,
            kind,
            opacity: 1.0,
            solids: build.solids,
            coats: build.coats,
            coupled_front: None,
        }
    }

    /// Where an upright thing stands, east and north: the middle of its lowest corners.
    pub fn foot_m(&self) -> DVec2 {
        let solids = self.solids.iter();
        let corners: Vec<DVec3> = solids.flat_map(|solid| solid.convex().corners).collect();
        let lowest = corners.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
        let low = corners.iter().filter(|p| p.z < lowest + 0.05);
        let low: Vec<DVec2> = low.map(|p| p.truncate()).collect();
        low.iter().sum::<DVec2>() / low.len().max(1) as f64
    }
}

/// A sagging wire between two points.
#[derive(Clone, Debug, PartialEq)]
pub struct Wire {
    /// Its name.
    pub name: String,
    /// One end.
    pub a: DVec3,
    /// The other end.
    pub b: DVec3,
    /// How far its middle hangs below the straight line.
    pub sag_m: f64,
    /// Its thickness.
    pub diameter_m: f64,
}

impl Wire {
    /// Points along its parabola, ends included.
    pub fn points(&self, pieces: usize) -> Vec<DVec3> {
        (0..=pieces)
            .map(|i| {
                let t = i as f64 / pieces as f64;
                self.a.lerp(self.b, t) - DVec3::Z * (4.0 * self.sag_m * t * (1.0 - t))
            })
            .collect()
    }
}
