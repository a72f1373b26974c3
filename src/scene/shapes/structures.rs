//! Bridges, canopies and fences. May not enter: keys of files.

use super::build::{Build, bar, beam, block};
use super::{CONCRETE, ZINC, edges, prisms, spaced};
use crate::mesh::solid::Solid;
use crate::scene::coat::{Coat, Finish};
use crate::scene::polygon::counter_clockwise;
use glam::{DVec2, DVec3};

const TIMBER: Coat = Coat::new(Finish::Timber, [0x6e, 0x5e, 0x4e]);

/// A plate-girder bridge between two points: two girders as deep as stated with stiffeners, a deck between
/// them, piers from the ground and abutments at the ends.
pub struct Bridge {
    /// One end's middle.
    pub from_m: DVec2,
    /// The other end's middle.
    pub to_m: DVec2,
    /// Over all, across.
    pub width_m: f64,
    /// Height of the girders' undersides.
    pub underside_m: f64,
    /// Depth of the girders.
    pub depth_m: f64,
    /// Middles of its piers.
    pub piers_m: Vec<DVec2>,
    /// Whether its ends rest on abutments.
    pub abutments: bool,
    /// Height of the ground.
    pub base_m: f64,
}

impl Bridge {
    /// Its solids; the girders' webs come first.
    pub fn build(&self, steel: Coat) -> Build {
        let mut build = Build::default();
        let length_m = self.from_m.distance(self.to_m);
        let half_m = self.width_m / 2.0;
        let flange_m = (self.width_m / 3.0).min(0.45);
        let (low, top) = (self.underside_m, self.underside_m + self.depth_m);
        let thick_m = (self.depth_m * 0.06).clamp(0.01, 0.06);
        let at = DVec3::new;
        for side in [-1.0, 1.0] {
            // Flanges reach the stated width and depth; the web stands in their middle.
            let y = side * (half_m - flange_m / 2.0);
            let part = |half_y: f64, z: [f64; 2], x: [f64; 2]| {
                block(at(x[0], y - half_y, z[0]), at(x[1], y + half_y, z[1]))
            };
            let all = [0.0, length_m];
            build.add(
                steel,
                part(flange_m * 0.06, [low + thick_m, top - thick_m], all),
            );
            build.add(steel, part(flange_m / 2.0, [low, low + thick_m], all));
            build.add(steel, part(flange_m / 2.0, [top - thick_m, top], all));
            let panels = (length_m / (1.3 * self.depth_m).max(1.2))
                .ceil()
                .clamp(1.0, 24.0) as usize;
            for i in 0..=panels {
                let x = (length_m * i as f64 / panels as f64).clamp(0.03, length_m - 0.03);
                let z = [low + thick_m, top - thick_m];
                build.add(steel, part(flange_m * 0.42, z, [x - 0.03, x + 0.03]));
            }
        }
        if self.width_m > 1.0 {
            let deck = low + self.depth_m * 0.35;
            let inner = half_m - flange_m / 2.0;
            build.add(
                TIMBER,
                block(
                    at(0.0, -inner, deck),
                    at(length_m, inner, deck + self.depth_m * 0.2),
                ),
            );
        }
        let way = (self.to_m - self.from_m).normalize_or(DVec2::X);
        let mut build = build.moved(|p| (self.from_m + way * p.x + way.perp() * p.y).extend(p.z));
        for pier in &self.piers_m {
            build.add(
                CONCRETE,
                self.support(*pier, way, 1.0, half_m * 0.9, low - 0.25),
            );
            build.add(CONCRETE, self.cap(*pier, way, half_m));
        }
        if self.abutments && low > self.base_m {
            for (end, inward) in [(self.from_m, way), (self.to_m, -way)] {
                let at = |back_m: f64| end + inward * back_m;
                build.add(
                    CONCRETE,
                    self.support(at(0.6), way, 1.2, half_m * 0.98, low),
                );
                // Behind the girders' ends a wall holds back the road's fill.
                let between_m = (half_m - flange_m).max(half_m * 0.3);
                build.add(
                    CONCRETE,
                    self.support(at(0.2), way, 0.4, between_m, top - 0.05),
                );
            }
        }
        build
    }

    /// A block from the ground up to a height, so thick along the bridge and half so wide across it.
    fn support(&self, middle: DVec2, way: DVec2, thick_m: f64, half_m: f64, top_m: f64) -> Solid {
        let z = (self.base_m + top_m) / 2.0;
        let end = way.perp() * half_m;
        let height_m = (top_m - self.base_m).max(0.05);
        beam(
            (middle - end).extend(z),
            (middle + end).extend(z),
            thick_m,
            height_m,
        )
    }

    /// The bearing block on a pier.
    fn cap(&self, middle: DVec2, way: DVec2, half_m: f64) -> Solid {
        let z = self.underside_m - 0.125;
        let end = way.perp() * half_m;
        beam(
            (middle - end).extend(z),
            (middle + end).extend(z),
            1.3,
            0.25,
        )
    }
}

/// A roof on posts: a fascia as deep as stated all round, the roof itself in the upper part of that depth,
/// beams under it between the posts.
pub fn canopy(
    footprint_m: &[DVec2],
    posts_m: &[DVec2],
    [base_m, underside_m, top_m]: [f64; 3],
    roof: Coat,
) -> Build {
    let mut build = Build::default();
    let depth_m = top_m - underside_m;
    build.all(
        roof,
        prisms(footprint_m, underside_m + depth_m * 0.45, top_m),
    );
    let turn: f64 = edges(footprint_m).map(|(a, b)| a.perp_dot(b)).sum();
    for (a, b) in edges(footprint_m) {
        // Its outer face lies in the footprint's edge.
        let inward = (b - a).normalize_or(DVec2::X).perp() * (0.06 * turn.signum());
        let at = |p: DVec2| (p + inward).extend(underside_m + depth_m * 0.49);
        build.add(TIMBER, beam(at(a), at(b), 0.12, depth_m * 0.98));
    }
    for post in posts_m {
        let foot = post.extend(base_m);
        build.add(
            ZINC,
            bar(foot, post.extend(underside_m + depth_m * 0.4), 0.09),
        );
        build.add(CONCRETE, bar(foot, foot + DVec3::Z * 0.15, 0.2));
    }
    for pair in posts_m.windows(2) {
        let at = |p: DVec2| p.extend(underside_m + depth_m * 0.25);
        build.add(TIMBER, beam(at(pair[0]), at(pair[1]), 0.14, depth_m * 0.4));
    }
    build
}

/// Posts by rule: along the footprint's edges, half a metre inside, at most 7 m apart.
pub fn canopy_posts(footprint_m: &[DVec2]) -> Vec<DVec2> {
    let corners = counter_clockwise(footprint_m.to_vec());
    let inward = |(a, b): (DVec2, DVec2)| (b - a).normalize_or(DVec2::X).perp();
    let normals: Vec<DVec2> = edges(&corners).map(inward).collect();
    let inset = |i: usize| {
        let (before, after) = (normals[(i + corners.len() - 1) % corners.len()], normals[i]);
        // Where both edges, moved inward, meet; not far out where they are nearly opposite.
        corners[i] + (before + after) * (0.5 / (1.0 + before.dot(after)).max(0.3))
    };
    let mut round: Vec<DVec2> = (0..corners.len()).map(inset).collect();
    round.extend(round.first().copied());
    let mut posts = spaced(&round, 7.0);
    posts.pop();
    posts
}

/// What a fence is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum FenceKind {
    /// Woven wire on tubes.
    ChainLink,
    /// Boards side by side.
    Board,
    /// Three rails between posts.
    Rail,
}

impl FenceKind {
    /// Every kind with its word in scene files.
    pub const WORDS: [(&'static str, FenceKind); 3] = [
        ("chain-link", FenceKind::ChainLink),
        ("board", FenceKind::Board),
        ("rail", FenceKind::Rail),
    ];

    /// The share of sight and light that it stops, seen square on. (Common practice: woven wire of 50 mm mesh
    /// stops about a tenth.)
    pub fn usual_opacity(self) -> f64 {
        match self {
            FenceKind::ChainLink => 0.1,
            FenceKind::Board => 1.0,
            FenceKind::Rail => 0.3,
        }
    }

    /// Its usual coat.
    pub fn coat(self) -> Coat {
        match self {
            FenceKind::ChainLink => Coat::new(Finish::Mesh, [0x86, 0x88, 0x88]),
            FenceKind::Board => Coat::new(Finish::Boards, [0x8a, 0x7c, 0x6a]),
            FenceKind::Rail => Coat::new(Finish::Timber, [0x94, 0x88, 0x76]),
        }
    }

    /// Its posts and whatever of it is solid.
    pub fn frame(
        self,
        line_m: &[DVec2],
        base_m: f64,
        height_m: f64,
        spacing_m: f64,
        coat: Coat,
    ) -> Build {
        let mut build = Build::default();
        let wood = Coat::new(Finish::Timber, coat.color_srgb);
        let (thick_m, of) = match self {
            FenceKind::ChainLink => (0.06, Coat::new(Finish::Paint, coat.color_srgb)),
            FenceKind::Board => (0.10, wood),
            FenceKind::Rail => (0.12, wood),
        };
        for at in spaced(line_m, spacing_m) {
            let foot = at.extend(base_m);
            build.add(of, bar(foot, foot + DVec3::Z * height_m, thick_m / 2.0));
        }
        let along = |up_m: f64, radius_m: f64| {
            let pieces = line_m.windows(2).map(move |pair| {
                let at = |p: DVec2| p.extend(base_m + up_m);
                bar(at(pair[0]), at(pair[1]), radius_m)
            });
            pieces.collect::<Vec<Solid>>()
        };
        if self == FenceKind::ChainLink {
            build.all(of, along(height_m - 0.02, 0.02));
        }
        build
    }

    /// The sheet that fills it, or its rails: as much of the height as it is opaque.
    pub fn panels(self, line_m: &[DVec2], base_m: f64, height_m: f64, opacity: f64) -> Vec<Solid> {
        let panel = |middle_m: f64, thick_m: f64, tall_m: f64| {
            line_m.windows(2).map(move |pair| {
                let at = |p: DVec2| p.extend(base_m + middle_m);
                beam(at(pair[0]), at(pair[1]), thick_m, tall_m)
            })
        };
        match self {
            FenceKind::ChainLink => panel(height_m / 2.0, 0.01, height_m).collect(),
            FenceKind::Board => panel(height_m / 2.0, 0.03, height_m).collect(),
            FenceKind::Rail => {
                let tall_m = height_m * opacity / 3.0;
                (0..3)
                    .flat_map(|rail| {
                        let share = (f64::from(rail) + 1.0) / 3.0;
                        panel(height_m * share - tall_m / 2.0, 0.05, tall_m)
                    })
                    .collect()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bounds(solids: &[Solid]) -> (DVec3, DVec3) {
        let corners = solids.iter().flat_map(|one| one.convex().corners);
        corners.fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(l, h), p| {
            (l.min(p), h.max(p))
        })
    }

    #[test]
    fn a_bridge_fills_its_stated_bounds_and_no_more() {
        let bridge = Bridge {
            from_m: DVec2::new(2.0, 0.0),
            to_m: DVec2::new(32.0, 0.0),
            width_m: 4.0,
            underside_m: 6.0,
            depth_m: 1.5,
            piers_m: vec![DVec2::new(12.0, 0.0)],
            abutments: true,
            base_m: -0.5,
        };
        let (low, high) = bounds(&bridge.build(Coat::default()).solids);
        assert!(
            (low - DVec3::new(2.0, -2.0, -0.5)).abs().max_element() < 1e-9,
            "{low}"
        );
        assert!(
            (high - DVec3::new(32.0, 2.0, 7.5)).abs().max_element() < 1e-9,
            "{high}"
        );
    }

    #[test]
    fn a_canopy_fills_its_stated_depth_and_stands_on_posts_inside_it() {
        let footprint = [(0.0, 0.0), (20.0, 0.0), (20.0, 4.0), (0.0, 4.0)].map(DVec2::from);
        let posts = canopy_posts(&footprint);
        let build = canopy(&footprint, &posts, [-0.5, 4.0, 4.6], Coat::default());
        let (low, high) = bounds(&build.solids);
        assert!(
            (low - DVec3::new(0.0, 0.0, -0.5)).abs().max_element() < 1e-9,
            "{low}"
        );
        assert!(
            (high - DVec3::new(20.0, 4.0, 4.6)).abs().max_element() < 1e-9,
            "{high}"
        );
        assert!(posts.len() >= 8);
    }

    #[test]
    fn rails_stop_as_much_of_the_height_as_the_fence_is_opaque() {
        let line = [DVec2::ZERO, DVec2::new(10.0, 0.0)];
        for opacity in [0.1, 0.3, 0.9] {
            let rails = FenceKind::Rail.panels(&line, 0.0, 1.2, opacity);
            let tall: f64 = (rails.iter())
                .map(|rail| {
                    let (low, high) = bounds(std::slice::from_ref(rail));
                    high.z - low.z
                })
                .sum();
            assert!((tall / 1.2 - opacity).abs() < 1e-9);
            assert!((bounds(&rails).1.z - 1.2).abs() < 1e-9);
        }
    }
}
