//! How much of the sun's disc a solid covers, seen from a point: closed form for one convex piece, fixed
//! directions for several. May not enter: pixels, machines.

pub use super::disc::{SUN_RADIUS_TAN, hull};
use super::disc::{disc_overlap, holds, holds_disc, misses_disc};
use super::penumbra::{Penumbra, Reach};
use super::scatter::GOLDEN_ANGLE_RAD;
use crate::mesh::solid::Convex;
use glam::{DVec2, DVec3};
use std::sync::{LazyLock, OnceLock};

/// Directions over the disc when several pieces overlap it.
const DIRECTIONS: usize = 64;

/// Where they meet the plane at unit distance: a sunflower of equal areas, the same for every point.
static DISC: LazyLock<[DVec2; DIRECTIONS]> = LazyLock::new(|| {
    std::array::from_fn(|i| {
        let radius = ((i as f64 + 0.5) / DIRECTIONS as f64).sqrt();
        let (sin, cos) = (i as f64 * GOLDEN_ANGLE_RAD).sin_cos();
        DVec2::new(cos, sin) * radius * SUN_RADIUS_TAN
    })
});

/// Nearer than this along the sun's direction a piece is cut, metres.
pub(super) const NEAREST_M: f64 = 0.01;

/// The sun's direction with two axes across it.
#[derive(Clone, Copy, Debug)]
pub struct SunAxes {
    /// Unit vector toward the sun's centre.
    pub toward: DVec3,
    across: DVec3,
    upward: DVec3,
}

impl SunAxes {
    /// Axes for a direction.
    pub fn new(toward: DVec3) -> SunAxes {
        let (across, upward) = toward.any_orthonormal_pair();
        SunAxes {
            toward,
            across,
            upward,
        }
    }

    /// A point across the sun's rays and toward it, metres.
    fn local(&self, point: DVec3) -> DVec3 {
        self.flat(point).extend(point.dot(self.toward))
    }

    /// Where a point lies across the sun's rays, metres.
    pub fn flat(&self, point: DVec3) -> DVec2 {
        DVec2::new(point.dot(self.across), point.dot(self.upward))
    }
}

/// Whether anything inside these bounds can shade, penumbra included, anything within `low` and `high` across
/// the rays whose least depth toward the sun is `depth`: asked before pieces are prepared one by one.
pub fn box_can_touch(
    axes: &SunAxes,
    [box_low, box_high]: [DVec3; 2],
    [low, high]: [DVec2; 2],
    depth: f64,
) -> bool {
    let corners = box_corners(box_low, box_high);
    Bounds::of(axes, corners.into_iter()).can_touch(low, high, depth)
}

/// The corners of a box.
pub fn box_corners(low: DVec3, high: DVec3) -> [DVec3; 8] {
    std::array::from_fn(|i| {
        let pick = |bit: usize, a: f64, b: f64| if i >> bit & 1 == 0 { a } else { b };
        DVec3::new(
            pick(0, low.x, high.x),
            pick(1, low.y, high.y),
            pick(2, low.z, high.z),
        )
    })
}

/// A piece with its bounds across the sun's rays, to skip points that it cannot touch.
pub struct Piece<'a> {
    convex: &'a Convex,
    /// Its corners: across, upward and toward the sun.
    corners: Vec<DVec3>,
    bounds: Bounds,
    /// Its outline across the rays, once a point has come near enough to ask.
    penumbra: OnceLock<Penumbra>,
}

impl Piece<'_> {
    fn penumbra(&self) -> &Penumbra {
        self.penumbra.get_or_init(|| Penumbra::of(&self.corners))
    }
}

/// Bounds across the rays, and the greatest depth toward the sun.
#[derive(Clone, Copy, Debug)]
struct Bounds {
    low: DVec2,
    high: DVec2,
    farthest: f64,
}

impl Bounds {
    const NONE: Bounds = Bounds {
        low: DVec2::INFINITY,
        high: DVec2::NEG_INFINITY,
        farthest: f64::NEG_INFINITY,
    };

    fn of(axes: &SunAxes, points: impl Iterator<Item = DVec3>) -> Bounds {
        points.fold(Bounds::NONE, |all, point| {
            let flat = axes.flat(point);
            all.with(&Bounds {
                low: flat,
                high: flat,
                farthest: point.dot(axes.toward),
            })
        })
    }

    fn with(&self, other: &Bounds) -> Bounds {
        Bounds {
            low: self.low.min(other.low),
            high: self.high.max(other.high),
            farthest: self.farthest.max(other.farthest),
        }
    }

    fn size(&self) -> f64 {
        let size = self.high - self.low;
        size.x * size.y
    }

    /// Whether what lies within can shade, penumbra included, anything between `low` and `high` whose least
    /// depth toward the sun is `depth`.
    fn can_touch(&self, low: DVec2, high: DVec2, depth: f64) -> bool {
        let reach = DVec2::splat((self.farthest - depth).max(0.0) * SUN_RADIUS_TAN);
        self.farthest > depth
            && (self.low - reach).cmple(high).all()
            && (self.high + reach).cmpge(low).all()
    }
}

/// Points beside one another, as the sun sees them: what cannot touch these bounds none of them is asked about.
#[derive(Clone, Copy, Debug)]
pub struct Bunch {
    low: DVec2,
    high: DVec2,
    /// The least depth toward the sun.
    depth: f64,
}

impl Bunch {
    /// Bounds of some points.
    pub fn of(axes: &SunAxes, points: impl Iterator<Item = DVec3>) -> Bunch {
        let none = Bunch {
            low: DVec2::INFINITY,
            high: DVec2::NEG_INFINITY,
            depth: f64::INFINITY,
        };
        points.fold(none, |all, point| {
            let local = axes.local(point);
            Bunch {
                low: all.low.min(local.truncate()),
                high: all.high.max(local.truncate()),
                depth: all.depth.min(local.z),
            }
        })
    }
}

/// An object's pieces, ready to be asked from many points.
pub struct Cover<'a> {
    axes: SunAxes,
    /// Bounds of all pieces.
    whole: Bounds,
    /// The largest across the rays first: it decides most points alone.
    pieces: Vec<Piece<'a>>,
    opacity: f64,
}

impl<'a> Cover<'a> {
    /// Prepares an object's pieces for a sun.
    pub fn new(axes: SunAxes, pieces: &'a [Convex], opacity: f64) -> Cover<'a> {
        let prepared = pieces.iter().map(|convex| Piece {
            convex,
            corners: convex.corners.iter().map(|c| axes.local(*c)).collect(),
            bounds: Bounds::of(&axes, convex.corners.iter().copied()),
            penumbra: OnceLock::new(),
        });
        let mut pieces: Vec<Piece<'a>> = prepared.collect();
        pieces.sort_by(|a, b| b.bounds.size().total_cmp(&a.bounds.size()));
        let whole = (pieces.iter()).fold(Bounds::NONE, |all, piece| all.with(&piece.bounds));
        Cover {
            axes,
            whole,
            pieces,
            opacity,
        }
    }

    /// Whether the object's shadow, penumbra included, can touch anything within these bounds across the
    /// rays whose least depth toward the sun is `depth`.
    pub fn can_touch(&self, low: DVec2, high: DVec2, depth: f64) -> bool {
        let touches = |bounds: &Bounds| bounds.can_touch(low, high, depth);
        touches(&self.whole) && self.pieces.iter().any(|piece| touches(&piece.bounds))
    }

    /// The pieces that can shade anything in a bunch, in their order.
    pub fn pieces_over(&self, bunch: &Bunch) -> Vec<&Piece<'a>> {
        let depth = bunch.depth + NEAREST_M;
        let touches = |bounds: &Bounds| bounds.can_touch(bunch.low, bunch.high, depth);
        match touches(&self.whole) {
            true => (self.pieces.iter().filter(|piece| touches(&piece.bounds)))
                .filter(|piece| piece.penumbra().can_touch(bunch.low, bunch.high, depth))
                .collect(),
            false => vec![],
        }
    }

    /// The share of the sun's disc that is covered, seen from `point`, times the object's opacity.
    pub fn dark(&self, point: DVec3) -> f64 {
        self.dark_by(self.pieces.iter(), point)
    }

    /// The same by some of the pieces, in their order: all that can touch the point must be among them.
    pub fn dark_by<'p>(&self, pieces: impl Iterator<Item = &'p Piece<'a>>, point: DVec3) -> f64
    where
        'a: 'p,
    {
        let point = self.axes.local(point);
        let (flat, depth) = (point.truncate(), point.z);
        let touches = |bounds: &Bounds| bounds.can_touch(flat, flat, depth + NEAREST_M);
        if !touches(&self.whole) {
            return 0.0;
        }
        let mut outlines: Vec<Vec<DVec2>> = Vec::new();
        for piece in pieces.filter(|piece| touches(&piece.bounds)) {
            match piece.penumbra().reach(flat, depth) {
                Reach::Beyond => continue,
                Reach::Whole => return self.opacity,
                Reach::Edge => {}
            }
            let outline = self.outline(piece, point);
            if outline.len() < 3 || misses_disc(&outline) {
                continue;
            }
            if holds_disc(&outline) {
                return self.opacity; // whatever the others cover, nothing is left
            }
            outlines.push(outline);
        }
        let share = match outlines.as_slice() {
            [] => 0.0,
            [one] => disc_overlap(one),
            more => {
                let hit = |at: &&DVec2| more.iter().any(|outline| holds(outline, **at));
                DISC.iter().filter(hit).count() as f64 / DIRECTIONS as f64
            }
        };
        share * self.opacity
    }

    /// The piece's outline on the plane at unit distance toward the sun, as a convex loop, from a point in the
    /// sun's axes.
    fn outline(&self, piece: &Piece, point: DVec3) -> Vec<DVec2> {
        let before = |corner: &DVec3| *corner - point;
        let mut flats = Vec::with_capacity(2 * piece.corners.len());
        let corners = piece.corners.iter().map(before);
        let corners = corners.filter(|c| c.z >= NEAREST_M);
        flats.extend(corners.map(|c| c.truncate() / c.z));
        if flats.len() < piece.corners.len() {
            // Partly behind the point: the cut's own corners belong to the outline.
            // Every edge lies in two faces, which run along it in opposite directions.
            let faces = piece.convex.faces.iter();
            let edges = faces
                .flat_map(|face| (0..face.len()).map(|i| (face[i], face[(i + 1) % face.len()])));
            for (a, b) in edges.filter(|(a, b)| a < b) {
                let ends = [a, b].map(|corner| before(&piece.corners[corner as usize]));
                let [p, q] = ends;
                if (p.z < NEAREST_M) != (q.z < NEAREST_M) {
                    let cut = p.lerp(q, (NEAREST_M - p.z) / (q.z - p.z));
                    flats.push(cut.truncate() / NEAREST_M);
                }
            }
        }
        hull(flats)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solid::Solid;

    fn dark_of_bar(width_m: f64, distance_m: f64, aside_m: f64) -> f64 {
        let bar = Solid::Beam {
            a: DVec3::new(distance_m, aside_m, -50.0),
            b: DVec3::new(distance_m, aside_m, 50.0),
            width_m,
            height_m: 0.001,
        };
        // A beam's width lies across its line in the horizontal: for an upright line, along y.
        let pieces = [bar.convex()];
        Cover::new(SunAxes::new(DVec3::X), &pieces, 1.0).dark(DVec3::ZERO)
    }

    /// Closed form: a strip of half-width h (in sun radii) through the centre of a unit disc covers
    /// (2/π)(asin h + h·√(1−h²)).
    #[test]
    fn an_upright_strip_covers_what_the_closed_form_says() {
        for (width, distance) in [(0.03f64, 10.0), (0.15, 40.0), (0.01, 8.0), (0.05, 9.0)] {
            let h = width / 2.0 / distance / SUN_RADIUS_TAN;
            let exact = 2.0 / std::f64::consts::PI * (h.asin() + h * (1.0 - h * h).sqrt());
            let found = dark_of_bar(width, distance, 0.0);
            assert!(
                (found - exact).abs() < 2e-3,
                "{width} m at {distance} m: {found} against {exact}"
            );
        }
        assert_eq!(dark_of_bar(0.3, 10.0, 0.0), 1.0);
        assert_eq!(dark_of_bar(0.03, 10.0, 0.2), 0.0);
    }

    #[test]
    fn a_straight_edge_through_the_middle_covers_half() {
        let wall = Solid::Prism {
            footprint: [(5.0, 0.0), (6.0, 0.0), (6.0, 30.0), (5.0, 30.0)]
                .map(|(x, y)| DVec2::new(x, y))
                .to_vec(),
            bottom_m: -20.0,
            top_m: 20.0,
        };
        let pieces = [wall.convex()];
        let cover = Cover::new(SunAxes::new(DVec3::X), &pieces, 1.0);
        assert!((cover.dark(DVec3::ZERO) - 0.5).abs() < 1e-6);
        assert_eq!(cover.dark(DVec3::new(0.0, 1.0, 0.0)), 1.0);
        assert_eq!(
            cover.dark(DVec3::new(7.0, 1.0, 0.0)),
            0.0,
            "it lies behind the point"
        );
    }

    #[test]
    fn one_piece_before_the_whole_disc_decides_and_half_of_it_does_not() {
        let block = |from: f64, to: f64| {
            Solid::Prism {
                footprint: [(5.0, from), (6.0, from), (6.0, to), (5.0, to)]
                    .map(|(x, y)| DVec2::new(x, y))
                    .to_vec(),
                bottom_m: -1.0,
                top_m: 1.0,
            }
            .convex()
        };
        let dark =
            |pieces: &[Convex]| Cover::new(SunAxes::new(DVec3::X), pieces, 0.7).dark(DVec3::ZERO);
        assert_eq!(dark(&[block(0.0, 0.2), block(-1.0, 1.0)]), 0.7);
        // Two halves that meet before the disc's middle cover it together; one alone covers half.
        assert!((dark(&[block(0.0, 1.0), block(-1.0, 0.0)]) - 0.7).abs() < 0.02);
        assert!((dark(&[block(0.0, 1.0)]) - 0.35).abs() < 1e-6);
    }

    #[test]
    fn two_pieces_of_one_object_do_not_count_twice() {
        let bar = |width_m: f64| {
            Solid::Beam {
                a: DVec3::new(10.0, 0.0, -50.0),
                b: DVec3::new(10.0, 0.0, 50.0),
                width_m,
                height_m: 0.001,
            }
            .convex()
        };
        let (one, two) = ([bar(0.05)], [bar(0.05), bar(0.04)]);
        let axes = SunAxes::new(DVec3::X);
        let alone = Cover::new(axes, &one, 1.0).dark(DVec3::ZERO);
        let both = Cover::new(axes, &two, 1.0).dark(DVec3::ZERO);
        assert!((alone - both).abs() < 0.04, "{alone} {both}");
    }
}
