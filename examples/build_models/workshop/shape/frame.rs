//! Places to build on: a wall, seen from outside, with its own along, up and out. May not enter: shapes.

use glam::DVec3;

/// A right-handed frame: `along` × `up` = `out`.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    /// Where (0, 0, 0) lies.
    pub origin: DVec3,
    /// First axis: to the right as seen from outside a wall.
    pub along: DVec3,
    /// Second axis: up a wall.
    pub up: DVec3,
    /// Third axis: out of a wall, toward the one who looks at it.
    pub out: DVec3,
}

impl Frame {
    /// The machine's left side at `offset_m` from the centre line: along is toward the rear.
    pub fn left(offset_m: f64) -> Frame {
        Frame {
            origin: DVec3::new(0.0, offset_m, 0.0),
            along: DVec3::NEG_X,
            up: DVec3::Z,
            out: DVec3::Y,
        }
    }

    /// The machine's right side at `offset_m` from the centre line: along is toward the front.
    pub fn right(offset_m: f64) -> Frame {
        Frame {
            origin: DVec3::new(0.0, -offset_m, 0.0),
            along: DVec3::X,
            up: DVec3::Z,
            out: DVec3::NEG_Y,
        }
    }

    /// A wall that faces forward at `x_m`: along is to the machine's left (+y).
    pub fn front(x_m: f64) -> Frame {
        Frame {
            origin: DVec3::new(x_m, 0.0, 0.0),
            along: DVec3::Y,
            up: DVec3::Z,
            out: DVec3::X,
        }
    }

    /// A wall that faces backward at `x_m`: along is to the machine's right (−y).
    pub fn rear(x_m: f64) -> Frame {
        Frame {
            origin: DVec3::new(x_m, 0.0, 0.0),
            along: DVec3::NEG_Y,
            up: DVec3::Z,
            out: DVec3::NEG_X,
        }
    }

    /// From this frame's coordinates to the machine's.
    pub fn point(&self, local: DVec3) -> DVec3 {
        self.origin + self.along * local.x + self.up * local.y + self.out * local.z
    }
}
