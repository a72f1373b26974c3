//! Which end and side of the machine an eye is shown, and which patches a rule then means by nose and
//! side. May not enter: what shades or hides them.

use crate::mesh::part::Role;
use crate::mesh::patch::Patches;
use glam::DVec3;

/// A side of the machine, for somebody in its cab looking forward.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Side {
    /// Positive y.
    Left,
    /// Negative y.
    Right,
}

impl Side {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Right => "right",
        }
    }

    /// The side across.
    pub fn other(self) -> Side {
        match self {
            Side::Left => Side::Right,
            Side::Right => Side::Left,
        }
    }

    /// Its sign on the machine's y axis.
    pub fn sign(self) -> f64 {
        match self {
            Side::Left => 1.0,
            Side::Right => -1.0,
        }
    }
}

/// The end and side that face an eye.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Shown {
    /// Whether the head end (positive x) is the nearer one.
    pub head: bool,
    /// The side.
    pub side: Side,
}

/// What a patch counts as, for one [`Shown`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    /// Nose and cab front: within 60° of the axis toward the shown end.
    Nose,
    /// Cab and hood: within 45° of the shown side's normal.
    Side,
    /// Trucks, wheels, tanks.
    RunningGear,
    /// Anything else.
    Other,
}

impl Shown {
    /// What an eye at a point of the machine frame is shown.
    pub fn to(eye: DVec3) -> Shown {
        Shown {
            head: eye.x >= 0.0,
            side: if eye.y >= 0.0 {
                Side::Left
            } else {
                Side::Right
            },
        }
    }

    /// Unit vector along the axis toward the shown end.
    pub fn ahead(self) -> DVec3 {
        if self.head { DVec3::X } else { DVec3::NEG_X }
    }

    /// Outward unit normal of the shown side.
    pub fn outward(self) -> DVec3 {
        DVec3::Y * self.side.sign()
    }

    /// The class of a role and outward normal.
    pub fn class(self, role: Role, normal: DVec3) -> Class {
        if role.is_running_gear() {
            return Class::RunningGear;
        }
        if !role.is_body() {
            return Class::Other;
        }
        let (ahead, aside) = (normal.dot(self.ahead()), normal.dot(self.outward()));
        // cos 60° and cos 45°; a surface of the cab that is both belongs to the one that it faces more.
        let nose = match role {
            Role::Nose => ahead >= 0.5,
            Role::Cab | Role::Lettering => ahead >= 0.5 && ahead >= aside,
            _ => false,
        };
        let side = aside >= std::f64::consts::FRAC_1_SQRT_2 && role != Role::Nose;
        match (nose, side) {
            (true, _) => Class::Nose,
            (false, true) => Class::Side,
            (false, false) => Class::Other,
        }
    }

    /// The class of every patch.
    pub fn classes(self, patches: &Patches) -> Vec<Class> {
        patches
            .role
            .iter()
            .zip(&patches.normal)
            .map(|(r, n)| self.class(*r, *n))
            .collect()
    }
}
