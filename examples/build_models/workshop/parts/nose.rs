//! Streamlined noses: bodies rounded in plan, level over level, and panes on slanted flat faces.
//! May not enter: lamps, paints.

use super::super::shape::{Frame, Mesh, Solid};
use glam::{DVec2, DVec3};

/// Roundness of the plan: 2 is an ellipse, more is squarer.
const EXPONENT: f64 = 2.5;

/// Chords of the plan's round part.
const CHORDS: usize = 18;

/// One level of a nose.
#[derive(Clone, Copy, Debug)]
pub struct Level {
    /// Its height.
    pub z_m: f64,
    /// How far forward it reaches.
    pub front_x_m: f64,
    /// Half its width where it begins to round.
    pub half_m: f64,
}

/// A nose: its levels from the lowest up, all beginning at one x.
#[derive(Clone, Debug)]
pub struct Nose {
    /// x of the wall behind.
    pub rear_x_m: f64,
    /// x from which on the plan is round.
    pub round_x_m: f64,
    /// The levels.
    pub levels: Vec<Level>,
}

impl Nose {
    /// The nose between two heights, grown outward by `grow`.
    pub fn slice(&self, z: (f64, f64), grow: f64) -> Mesh {
        let inner = self.levels.iter().map(|level| level.z_m);
        let inner = inner.filter(|&level| z.0 < level && level < z.1);
        let heights = std::iter::once(z.0).chain(inner).chain([z.1]);
        let rings: Vec<Vec<DVec3>> = heights.map(|z| self.ring(&self.level(z), grow)).collect();
        Solid::loft(&rings).mesh()
    }

    /// The whole nose.
    pub fn mesh(&self) -> Mesh {
        let last = self.levels[self.levels.len() - 1].z_m;
        self.slice((self.levels[0].z_m, last), 0.0)
    }

    /// The level at a height, between those that are given.
    fn level(&self, z: f64) -> Level {
        let above = self.levels.partition_point(|level| level.z_m < z).max(1);
        let above = above.min(self.levels.len() - 1);
        let (a, b) = (self.levels[above - 1], self.levels[above]);
        let share = (z - a.z_m) / (b.z_m - a.z_m);
        Level {
            z_m: z,
            front_x_m: a.front_x_m + share * (b.front_x_m - a.front_x_m),
            half_m: a.half_m + share * (b.half_m - a.half_m),
        }
    }

    /// A point of a level's plan at a turn from the middle (0) to the side (± a quarter turn).
    fn plan(&self, level: &Level, turn: f64, grow: f64) -> DVec2 {
        let power = 2.0 / EXPONENT;
        let (sin, cos) = turn.sin_cos();
        let reach = level.front_x_m + grow - self.round_x_m;
        DVec2::new(
            self.round_x_m + reach * cos.max(0.0).powf(power),
            sin.signum() * (level.half_m + grow) * sin.abs().powf(power),
        )
    }

    fn ring(&self, level: &Level, grow: f64) -> Vec<DVec3> {
        let quarter = std::f64::consts::FRAC_PI_2;
        let round = (0..=CHORDS).map(|k| {
            let turn = quarter * (2.0 * k as f64 / CHORDS as f64 - 1.0);
            self.plan(level, turn, grow)
        });
        let half = level.half_m + grow;
        let rear_x = self.rear_x_m - grow;
        let rear = [DVec2::new(rear_x, half), DVec2::new(rear_x, -half)];
        round.chain(rear).map(|p| p.extend(level.z_m)).collect()
    }

    /// An upright wall that touches the nose at a height and a turn toward the right side (a quarter
    /// turn is the side itself).
    pub fn wall(&self, z: f64, turn: f64) -> Frame {
        let level = self.level(z);
        let step = 0.02;
        let at = self.plan(&level, -turn, 0.0);
        let along = self.plan(&level, -turn + step, 0.0) - self.plan(&level, -turn - step, 0.0);
        let along = along.normalize();
        Frame {
            origin: at.extend(0.0),
            along: along.extend(0.0),
            up: DVec3::Z,
            out: DVec3::new(along.y, -along.x, 0.0),
        }
    }
}

/// A flat four-cornered face in space, corners counter-clockwise from outside, the first side its foot.
#[derive(Clone, Copy, Debug)]
pub struct Slant {
    /// Its corners.
    pub corners: [DVec3; 4],
}

impl Slant {
    /// The wall that it lies on.
    fn frame(&self) -> Frame {
        let [a, b, _, d] = self.corners;
        let along = (b - a).normalize();
        let out = along.cross(d - a).normalize();
        Frame {
            origin: a,
            along,
            up: out.cross(along),
            out,
        }
    }

    /// Its outline drawn in by `inset`, in its wall's coordinates.
    fn outline(&self, inset: f64) -> Vec<DVec2> {
        let frame = self.frame();
        let flat = self.corners.map(|p| {
            let p = p - frame.origin;
            DVec2::new(p.dot(frame.along), p.dot(frame.up))
        });
        (0..4)
            .map(|k| {
                let back = (flat[(k + 3) % 4] - flat[k]).normalize();
                let on = (flat[(k + 1) % 4] - flat[k]).normalize();
                // Both sides move in by the same width, so the corner moves along both.
                flat[k] + (back + on) * (inset / on.perp_dot(back).abs())
            })
            .collect()
    }

    /// The outline of a window's pocket, `margin` within the face.
    pub fn opening(&self, margin: f64) -> Vec<DVec3> {
        let frame = self.frame();
        let outline = self.outline(margin);
        outline.iter().map(|p| frame.point(p.extend(0.0))).collect()
    }

    /// The pane in such a pocket.
    pub fn pane(&self, margin: f64, pocket_m: f64) -> Mesh {
        let outline = self.outline(margin - 0.008);
        let solid = Solid::prism(&outline, -pocket_m - 0.02, -0.022);
        solid.on(&self.frame()).mesh()
    }

    /// The rubber around it.
    pub fn gasket(&self, margin: f64) -> Mesh {
        let outer = self.outline(margin - 0.035);
        let solid = Solid::plate(&outer, &[self.outline(margin + 0.007)], -0.012, 0.008);
        solid.on(&self.frame()).mesh()
    }
}
