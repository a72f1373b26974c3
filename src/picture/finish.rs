//! What a finish looks like on the plain picture: courses, waves, boards, joints, panes, stones. All of it
//! keeps its mean colour, and fades to that where a pixel cannot hold it. May not enter: light, shapes.

use super::noise::{cell, in_space, layered, smooth};
use super::surface::Matter;
use super::tone::decode;
use crate::scene::coat::{Coat, Finish};
use glam::{DVec2, DVec3};

/// Where on a surface.
#[derive(Clone, Copy, Debug)]
pub struct Place {
    /// The point, machine frame.
    pub point: DVec3,
    /// Unit normal.
    pub normal: DVec3,
    /// Metres across and up the surface: level along a wall and its height, or two level axes.
    pub flat: DVec2,
    /// How much of the surface a pixel covers, metres.
    pub footprint_m: f64,
    /// To the eye for one metre of height.
    pub eye_way: DVec2,
}

impl Place {
    /// Lays axes on a surface.
    pub fn on(point: DVec3, normal: DVec3, direction: DVec3, footprint_m: f64) -> Place {
        let tangent = DVec3::Z.cross(normal).try_normalize();
        let flat = match tangent {
            Some(along) if normal.z.abs() < 0.9 => {
                DVec2::new(point.dot(along), point.dot(normal.cross(along)))
            }
            _ => point.truncate(),
        };
        Place {
            point,
            normal,
            flat,
            footprint_m,
            eye_way: direction.truncate() / direction.z.min(-0.02),
        }
    }

    /// The share of the pixel that lies in lines of some width, one every period.
    fn lines(&self, at: f64, period_m: f64, width_m: f64) -> f64 {
        let filled = |x: f64| {
            let whole = (x / period_m).floor();
            whole * width_m + (x - whole * period_m).min(width_m)
        };
        // Half as wide again as the pixel: lines that are nearly as fine as pixels would beat with them.
        let half = self.footprint_m.max(1e-6) * 0.75;
        (filled(at + half) - filled(at - half)) / (2.0 * half)
    }

    /// The share of the pixel that woven wire covers, which on the mean is its opacity: two sets of wires aslant,
    /// in a mesh of 50 mm.
    pub fn weave(&self, opacity: f64) -> f64 {
        const MESH_M: f64 = 0.05;
        // Two sets that each cover c leave (1 − c)² free.
        let wire_m = MESH_M * (1.0 - (1.0 - opacity.clamp(0.0, 1.0)).sqrt());
        let (rising, falling) = (
            (self.flat.x + self.flat.y) * std::f64::consts::FRAC_1_SQRT_2,
            (self.flat.x - self.flat.y) * std::f64::consts::FRAC_1_SQRT_2,
        );
        let free = |at: f64| 1.0 - self.lines(at, MESH_M, wire_m);
        1.0 - free(rising) * free(falling)
    }

    /// 1 where a thing of this size is wide enough to be seen, 0 where a pixel swallows it.
    fn shows(&self, size_m: f64) -> f64 {
        ((size_m / self.footprint_m - 1.0) / 2.0).clamp(0.0, 1.0)
    }

    /// A number of a cell, −1 to 1, as far as cells of this size are seen.
    fn own(&self, x: f64, y: f64, size_m: f64, seed: u32) -> f64 {
        let shown = self.shows(size_m);
        if shown == 0.0 {
            return 0.0;
        }
        shown * (2.0 * cell(x.floor() as i64, y.floor() as i64, seed) - 1.0)
    }

    /// Noise over the surface, drawn out by a factor on either axis.
    fn noise(&self, stretch: DVec2, largest_m: f64, layers: u32, seed: u32) -> f64 {
        layered(
            self.flat * stretch,
            largest_m,
            layers,
            0.62,
            self.footprint_m,
            seed,
        )
    }
}

/// What a coat is made of at a place.
pub fn matter(coat: Coat, at: &Place) -> Matter {
    let color = decode(coat.color_srgb);
    let dull = |albedo: DVec3| Matter {
        albedo: albedo.max(DVec3::splat(0.004)),
        polish: 0.0,
        rough: 1.0,
    };
    let glossy = |albedo: DVec3, polish: f64, rough: f64| Matter {
        polish,
        rough,
        ..dull(albedo)
    };
    let worn = |seed: u32| at.noise(DVec2::new(1.0, 0.35), 1.6, 5, seed);
    match coat.finish {
        Finish::Plain => dull(color),
        Finish::Cloth | Finish::Skin => dull(color * (1.0 + 0.10 * worn(87))),
        Finish::Paint => glossy(color * (1.0 + 0.10 * worn(87)), 0.02, 0.6),
        Finish::Steel => {
            let rust = (0.5 + 0.9 * at.noise(DVec2::new(1.0, 0.4), 1.1, 5, 101)).clamp(0.0, 1.0);
            let tint = DVec3::new(1.06, 0.95, 0.86).lerp(DVec3::new(0.97, 1.01, 1.04), rust);
            glossy(color * tint * (1.0 + 0.10 * worn(103)), 0.012, 0.6)
        }
        Finish::Timber | Finish::Bark => {
            let grain = at.noise(DVec2::new(9.0, 0.5), 0.5, 4, 105);
            dull(color * (1.0 + 0.22 * grain + 0.08 * worn(107)))
        }
        Finish::Boards => boards(color, at),
        Finish::Brick => dull(bricks(color, at)),
        Finish::Corrugated => corrugated(color, at),
        Finish::Concrete => dull(concrete(color, at)),
        Finish::Glass => panes(color, at),
        Finish::Roofing => {
            let courses = at.lines(at.flat.y, 0.14, 0.012) * at.shows(0.05);
            let patch = at.own(at.flat.x / 0.3, at.flat.y / 0.14, 0.14, 111);
            dull(color * (1.0 - 0.3 * courses + 0.08 * patch + 0.12 * worn(113)))
        }
        Finish::Mesh => glossy(color, 0.01, 0.6),
        Finish::Leaves | Finish::Twigs => dull(leaves(color, at, 0.7, 201)),
        Finish::Needles => dull(leaves(color, at, 0.3, 203)),
        Finish::Weeds => dull(leaves(color, at, 0.25, 205)),
        Finish::Grass => dull(meadow(at)),
        Finish::Gravel => dull(gravel(color, at.point.truncate(), at.footprint_m, 0.24)),
        Finish::Asphalt => dull(asphalt(color, at)),
    }
}

/// Courses of 75 mm with joints of 11 mm, every other course shifted by half a brick; no brick quite like the
/// next, darker towards the ground where rain splashes.
fn bricks(color: DVec3, at: &Place) -> DVec3 {
    const COURSE_M: f64 = 0.075;
    const BRICK_M: f64 = 0.225;
    const JOINT_M: f64 = 0.011;
    let row = (at.flat.y / COURSE_M).floor();
    let shift = if row.rem_euclid(2.0) < 1.0 {
        0.0
    } else {
        BRICK_M / 2.0
    };
    let bed = at.lines(at.flat.y, COURSE_M, JOINT_M);
    let upright = at.lines(at.flat.x + shift, BRICK_M, JOINT_M);
    let joint = 1.0 - (1.0 - bed) * (1.0 - upright);
    let own = at.own((at.flat.x + shift) / BRICK_M, row, COURSE_M, 121);
    let warm = at.own((at.flat.x + shift) / BRICK_M, row, COURSE_M, 122);
    let wide = at.noise(DVec2::new(1.0, 0.5), 2.4, 5, 123);
    let brick = color
        * DVec3::new(1.0 + 0.10 * warm, 1.0, 1.0 - 0.06 * warm)
        * (1.0 + 0.16 * own + 0.10 * wide);
    // Mortar is greyer and lighter; the bricks are as much darker, so that the mean stays about the coat's.
    let mortar = color.lerp(DVec3::splat(0.30), 0.55) * (1.0 + 0.1 * wide);
    (brick * 0.93).lerp(mortar, joint)
}

/// Sheets 0.8 m wide in waves of 76 mm, lapped every 2.4 m, rust running down from the laps.
fn corrugated(color: DVec3, at: &Place) -> Matter {
    let wave = (std::f64::consts::TAU * at.flat.x / 0.076).sin() * at.shows(0.038);
    let sheet = at.own(at.flat.x / 0.8, at.flat.y / 2.4, 0.4, 131);
    let lap = at.lines(at.flat.y, 2.4, 0.03) * 0.3 + at.lines(at.flat.x, 0.8, 0.012) * 0.3;
    let run = at.noise(DVec2::new(5.0, 0.25), 0.9, 5, 133);
    let rust = (0.55 * run - 0.12).clamp(0.0, 0.6);
    let bare = color * (1.0 + 0.28 * wave + 0.07 * sheet - lap);
    Matter {
        albedo: bare
            .lerp(DVec3::new(0.16, 0.085, 0.05), rust * 0.7)
            .max(DVec3::splat(0.01)),
        polish: 0.03,
        rough: 0.45,
    }
}

/// Upright boards 150 mm wide with dark gaps, each weathered in its own way.
fn boards(color: DVec3, at: &Place) -> Matter {
    const BOARD_M: f64 = 0.15;
    const GAP_M: f64 = 0.010;
    let gap = at.lines(at.flat.x, BOARD_M, GAP_M);
    let own = at.own(at.flat.x / BOARD_M, 0.0, BOARD_M, 141);
    let grain = at.noise(DVec2::new(10.0, 0.4), 0.5, 4, 143);
    let board = color * (1.0 + 0.14 * own + 0.12 * grain) / (1.0 - 0.85 * GAP_M / BOARD_M);
    Matter {
        albedo: board.lerp(board * 0.15, gap),
        polish: 0.0,
        rough: 1.0,
    }
}

/// Cast between joints, stained from them downward; on level ground slabs of 1.5 m.
fn concrete(color: DVec3, at: &Place) -> DVec3 {
    let is_level = at.normal.z > 0.7;
    let (wide_m, tall_m) = if is_level { (1.5, 1.5) } else { (2.4, 1.2) };
    let joint = at.lines(at.flat.x, wide_m, 0.012) + at.lines(at.flat.y, tall_m, 0.012);
    let slab = at.own(at.flat.x / wide_m, at.flat.y / tall_m, 0.5, 151);
    let stains = at.noise(
        DVec2::new(1.0, if is_level { 1.0 } else { 0.3 }),
        1.8,
        6,
        153,
    );
    let pores = at.noise(DVec2::ONE, 0.03, 2, 155);
    color * (1.0 + 0.05 * slab + 0.09 * stains + 0.05 * pores - 0.45 * joint.min(1.0))
}

/// Panes of 0.45 by 0.38 m between light bars; some panes are not quite like the others.
fn panes(color: DVec3, at: &Place) -> Matter {
    const WIDE_M: f64 = 0.45;
    const TALL_M: f64 = 0.38;
    const BAR_M: f64 = 0.035;
    let bars = (at.lines(at.flat.x, WIDE_M, BAR_M) + at.lines(at.flat.y, TALL_M, BAR_M)).min(1.0);
    let own = at.own(at.flat.x / WIDE_M, at.flat.y / TALL_M, 0.2, 161);
    let pane = color * (0.75 + 0.45 * own.max(-0.6));
    Matter {
        albedo: pane.lerp(DVec3::new(0.40, 0.39, 0.35), bars),
        polish: 0.05 * (1.0 - bars),
        rough: 0.06,
    }
}

/// A street: fine grain, old patches, oil and cracks.
fn asphalt(color: DVec3, at: &Place) -> DVec3 {
    let p = at.point.truncate();
    let grain = layered(p, 0.03, 3, 1.0, at.footprint_m, 171);
    let wide = layered(p, 5.0, 5, 0.6, at.footprint_m, 173);
    // A crack runs where a slow noise passes through zero.
    let vein = smooth(p / 2.3, 175) + 0.35 * smooth(p / 0.5, 176);
    let crack = (1.0 - vein.abs() / 0.012).max(0.0) * at.shows(0.03);
    color * (1.0 + 0.14 * grain + 0.12 * wide - 0.5 * crack)
}

/// Leaves, lighter and darker, warmer and colder, in clumps.
fn leaves(color: DVec3, at: &Place, clump_m: f64, seed: u32) -> DVec3 {
    let noise = |largest_m: f64, layers: u32, seed: u32| {
        in_space(at.point, largest_m, layers, 0.85, at.footprint_m, seed)
    };
    let warm = 0.12 * noise(1.2, 1, seed + 8);
    let tint = DVec3::new(1.0 + warm, 1.0, 1.0 - warm);
    color * tint * (0.95 + 0.30 * noise(clump_m, 6, seed)).max(0.25)
}

/// Rough grass with dry and bare places. The ground is a plane, so its tufts are found along the sight: the
/// first of a few layers, from their tips down, that they reach. `eye_way` leads to the eye for one metre
/// of height.
fn meadow(place: &Place) -> DVec3 {
    const TALL_M: f64 = 0.10;
    const LAYERS: usize = 6;
    let (p, eye_way, footprint_m) = (place.point.truncate(), place.eye_way, place.footprint_m);
    let shown = (0.12 / footprint_m - 0.6).clamp(0.0, 1.0);
    let (mut at, mut height) = (p, 0.5);
    if shown > 0.0 {
        for layer in (0..=LAYERS).rev() {
            height = layer as f64 / LAYERS as f64;
            at = p + eye_way * (TALL_M * height);
            let tuft = 0.5 + 0.28 * smooth(at / 0.12, 31) + 0.30 * smooth(at / 0.035, 32);
            if tuft >= height {
                break;
            }
        }
        height = 0.5 + (height - 0.5) * shown;
    }
    let wide = layered(p, 14.0, 5, 0.62, footprint_m, 11);
    let blades = layered(at, 0.4, 6, 0.9, footprint_m, 35);
    let dry = (0.40 + 0.42 * wide + 0.16 * blades).clamp(0.0, 1.0);
    let green = DVec3::new(0.085, 0.112, 0.036);
    let straw = DVec3::new(0.215, 0.185, 0.098);
    let depth = 0.55 + 0.85 * height;
    green.lerp(straw, dry * 0.75) * (depth * (1.0 + 0.26 * blades)).max(0.25)
}

/// Stones of a few centimetres, lighter and darker, warmer and colder.
pub fn gravel(color: DVec3, p: DVec2, footprint_m: f64, strength: f64) -> DVec3 {
    let stones = layered(p, 0.11, 6, 0.95, footprint_m, 41);
    let warm = layered(p, 0.13, 2, 0.8, footprint_m, 47);
    let wide = layered(p, 3.0, 4, 0.6, footprint_m, 45);
    let tint = DVec3::new(1.0 + 0.07 * warm, 1.0, 1.0 - 0.08 * warm);
    color * tint * (1.0 + strength * stones + 0.12 * wide).max(0.15)
}
