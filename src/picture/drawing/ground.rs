//! The ground from above, as plain outlines in the site's metres: for the site plan and for a pane that shows the same.
//! May not enter: markup, colours, widgets, where a sheet has its words.

use crate::scene::Scene;
use crate::scene::ground::Access;
use crate::scene::polygon::{Region, convex_pieces, united};
use crate::scene::surroundings::{Kind, Object};
use crate::scene::track::{RAIL_HEAD_M, Track};
use crate::sighting::cover::hull;
use crate::sighting::trackwork::{TIE_HALF_M, TIE_SPACING_M};
use crate::units::rad;
use glam::{DVec2, DVec3};

/// Below this height of the sun shadows run off every paper: the sine of some two degrees.
const LOWEST_SUN: f64 = 0.03;
/// Ties are drawn where a metre is at least so long.
const TIES_FROM_PER_M: f64 = 4.0;
/// Nobody sees a larger site whole: what is fitted is taken for so large at least, metres.
const LEAST_FITTED_M: f64 = 10.0;
/// What a frame takes in is drawn so far beyond the machine's centre, metres.
const SEEN_BEYOND_M: f64 = 16.0;
/// The mark of north about its place, its tip up.
pub const NORTH_MARK: [DVec2; 4] = [
    DVec2::new(0.0, -12.0),
    DVec2::new(6.0, 10.0),
    DVec2::new(0.0, 5.0),
    DVec2::new(-6.0, 10.0),
];

/// How the ground lies on a sheet or pane, whose y points down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paper {
    /// Its upper left corner.
    pub low: DVec2,
    /// Its width and height.
    pub size: DVec2,
    /// What lies in its middle, east and north.
    pub middle_m: DVec2,
    /// Its units to a metre.
    pub per_m: f64,
    /// Bearing that points up, degrees.
    pub up_deg: f64,
}

impl Paper {
    /// Where a place lies.
    pub fn at(&self, place_m: DVec2) -> DVec2 {
        let off = turned(place_m - self.middle_m, self.up_deg) * self.per_m;
        self.low + self.size / 2.0 + DVec2::new(off.x, -off.y)
    }

    /// What lies at a point.
    pub fn place_m(&self, at: DVec2) -> DVec2 {
        let off = at - self.low - self.size / 2.0;
        self.middle_m + turned(DVec2::new(off.x, -off.y) / self.per_m, -self.up_deg)
    }

    /// The same, laid so that these places fill a width and height in its middle.
    pub fn fitted(self, places_m: impl IntoIterator<Item = DVec2>, room: DVec2) -> Paper {
        let whole = Paper { per_m: 1.0, ..self };
        let none = (DVec2::INFINITY, DVec2::NEG_INFINITY);
        let (low, high) = places_m.into_iter().fold(none, |(low, high), place_m| {
            let at = whole.at(place_m);
            (low.min(at), high.max(at))
        });
        let fits = room / (high - low).max(DVec2::splat(LEAST_FITTED_M));
        Paper {
            middle_m: whole.place_m((low + high) / 2.0),
            per_m: fits.min_element(),
            ..self
        }
    }

    /// A round length that is less than `most` of the paper's units long, metres.
    pub fn scale_m(&self, most: f64) -> f64 {
        let lengths = [2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0];
        let fits = |m: &f64| m * self.per_m < most;
        lengths.into_iter().rfind(fits).unwrap_or(1.0)
    }

    /// The ends of a track's ties that lie on the paper; none where they would be a blur.
    pub fn ties(&self, track: &Track) -> Vec<[DVec2; 2]> {
        if self.per_m <= TIES_FROM_PER_M {
            return vec![];
        }
        let (slack, high) = (DVec2::splat(TIE_HALF_M * self.per_m), self.low + self.size);
        let is_on = |at: DVec2| at.cmpge(self.low - slack).all() && at.cmple(high + slack).all();
        let mut ties = vec![];
        for pair in track.points_m.windows(2) {
            let along = (pair[1] - pair[0]).normalize_or_zero();
            let half = along.perp() * TIE_HALF_M;
            let count = (pair[0].distance(pair[1]) / TIE_SPACING_M) as usize;
            let middles = (0..count).map(|i| pair[0] + along * ((i as f64 + 0.5) * TIE_SPACING_M));
            let near = middles.filter(|middle| is_on(self.at(*middle)));
            ties.extend(near.map(|middle| [middle + half, middle - half]));
        }
        ties
    }
}

/// A place turned so that `up_deg` points up.
fn turned(off: DVec2, up_deg: f64) -> DVec2 {
    let (sin, cos) = rad(up_deg).sin_cos();
    DVec2::new(off.x * cos - off.y * sin, off.x * sin + off.y * cos)
}

/// A piece of allowed ground.
#[derive(Clone, Debug, PartialEq)]
pub struct Allowed {
    /// Its corners.
    pub outline_m: Vec<DVec2>,
    /// Convex pieces of it.
    pub pieces_m: Vec<Vec<DVec2>>,
    /// Whether leave must be asked for.
    pub is_asked: bool,
}

/// A line as wide as something is, its corners and ends round.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// Its middle.
    pub points_m: Vec<DVec2>,
    /// Half its width.
    pub half_m: f64,
}

/// What something looks like from above.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// Leaves.
    Growth,
    /// A roof.
    Structure,
    /// Rolling equipment.
    Equipment,
    /// Anything slender.
    Slender,
}

/// Something that stands there.
#[derive(Clone, Debug, PartialEq)]
pub struct Thing {
    /// What it looks like.
    pub look: Look,
    /// Its outlines, convex: one where it is seen as one thing.
    pub outlines_m: Vec<Vec<DVec2>>,
    /// Its foot, if it is a pole or the like: too thin to be seen.
    pub foot_m: Option<DVec2>,
}

/// All that lies on a site's ground, whatever the minute and the camera.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Where one may stand, but for the strips.
    pub allowed: Vec<Allowed>,
    /// Along each track, where nobody may stand: it covers the ground that it takes away.
    pub stand_off: Vec<Strip>,
    /// Both rails of each track.
    pub rails: Vec<[Vec<DVec2>; 2]>,
    /// Wires, end to end.
    pub wires: Vec<[DVec2; 2]>,
    /// What stands there.
    pub things: Vec<Thing>,
    /// The machine, its head end pointed.
    pub machine: [DVec2; 5],
}

impl Plan {
    /// Of a site.
    pub fn of(scene: &Scene) -> Plan {
        let allowed = scene.ground.areas.iter().map(|area| Allowed {
            outline_m: area.polygon_m.clone(),
            pieces_m: convex_pieces(&area.polygon_m),
            is_asked: area.access == Access::Permission,
        });
        let stand_off = scene.tracks.iter().map(|track| Strip {
            points_m: track.points_m.clone(),
            half_m: scene.ground.stand_off_m + track.gauge_m / 2.0 + RAIL_HEAD_M,
        });
        let rails = scene.tracks.iter().map(|track| {
            let half_m = (track.gauge_m + RAIL_HEAD_M) / 2.0;
            [half_m, -half_m].map(|aside_m| beside(&track.points_m, aside_m))
        });
        let wires = scene.wires.iter();
        Plan {
            allowed: allowed.collect(),
            stand_off: stand_off.collect(),
            rails: rails.collect(),
            wires: wires
                .map(|wire| [wire.a.truncate(), wire.b.truncate()])
                .collect(),
            things: scene.surroundings.iter().map(thing).collect(),
            machine: scene.machine.outline_m(),
        }
    }
}

fn thing(object: &Object) -> Thing {
    let look = match object.kind {
        Kind::Crown | Kind::Bush => Look::Growth,
        Kind::Building | Kind::Bridge | Kind::Canopy => Look::Structure,
        Kind::Equipment => Look::Equipment,
        _ => Look::Slender,
    };
    let is_upright = matches!(
        object.kind,
        Kind::Pole | Kind::Mast | Kind::Signal | Kind::SwitchStand
    );
    Thing {
        look,
        outlines_m: outlines(object, |p| p.truncate()),
        foot_m: is_upright.then(|| object.foot_m()),
    }
}

/// An object's convex outlines, each point laid on the ground by `lay`; what is seen as one thing is one outline.
fn outlines(object: &Object, lay: impl Fn(DVec3) -> DVec2) -> Vec<Vec<DVec2>> {
    let is_one = matches!(
        object.kind,
        Kind::Equipment | Kind::Crown | Kind::Bush | Kind::Trunk | Kind::Person
    );
    let solids = object.solids.iter();
    let mut flats = solids.map(|solid| solid.convex().corners.into_iter().map(&lay).collect());
    match is_one {
        true => vec![hull(flats.by_ref().flat_map(|flat: Vec<_>| flat).collect())],
        false => flats.map(hull).collect(),
    }
}

/// What lies in shade while the sun stands there (site frame); the shade of several things is no darker than that of
/// one. `hull_m` has the machine's outermost points, in its own frame. Nothing under a sun so low that shadows run off
/// every paper.
pub fn shade(scene: &Scene, hull_m: &[DVec3], toward: DVec3) -> Vec<Region> {
    if toward.z < LOWEST_SUN {
        return vec![];
    }
    let below_m = scene.tracks[scene.machine.track].ground_below_rail_m;
    let fall = |p: DVec3| (p - toward * ((p.z + below_m).max(0.0) / toward.z)).truncate();
    let frame = scene.machine.frame();
    let machine = hull(hull_m.iter().map(|p| fall(frame.to_site(*p))).collect());
    let things = scene.surroundings.iter();
    let mut pieces: Vec<Vec<DVec2>> = things.flat_map(|object| outlines(object, fall)).collect();
    pieces.push(machine);
    united(&pieces)
}

/// What a camera's frame takes in: a wedge that ends on a line square to its axis, beyond `toward_m`.
pub fn seen(spot_m: DVec2, heading_deg: f64, across_deg: f64, toward_m: DVec2) -> [DVec2; 3] {
    let half_deg = across_deg / 2.0;
    let reach_m = (spot_m.distance(toward_m) + SEEN_BEYOND_M) / rad(half_deg).cos();
    let side = |turn_deg: f64| {
        let (east, north) = rad(heading_deg + turn_deg).sin_cos();
        spot_m + DVec2::new(east, north) * reach_m
    };
    [side(-half_deg), spot_m, side(half_deg)]
}

/// A line beside another one, to its left; its corners stay corners.
fn beside(points_m: &[DVec2], aside_m: f64) -> Vec<DVec2> {
    let left = |a: usize, b: usize| (points_m[b] - points_m[a]).normalize_or_zero().perp();
    let last = points_m.len().saturating_sub(1);
    let point = |i: usize| {
        let (before, after) = (left(i.saturating_sub(1), i), left(i, (i + 1).min(last)));
        let both = before + after;
        // At an end there is one piece only; at a corner the two offset pieces meet on its bisector.
        let out = match (i == 0) || (i == last) {
            true => both,
            false => both * (2.0 / both.length_squared().max(1e-3)),
        };
        points_m[i] + out * aside_m
    };
    (0..points_m.len()).map(point).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    fn paper(up_deg: f64) -> Paper {
        Paper {
            low: DVec2::new(10.0, 20.0),
            size: DVec2::new(200.0, 100.0),
            middle_m: DVec2::new(3.0, 4.0),
            per_m: 5.0,
            up_deg,
        }
    }

    #[test]
    fn the_bearing_that_is_up_points_up() {
        for up_deg in [0.0, 90.0, 215.0] {
            let paper = paper(up_deg);
            let (east, north) = rad(up_deg).sin_cos();
            let at = paper.at(paper.middle_m + DVec2::new(east, north) * 2.0);
            assert!((at - DVec2::new(110.0, 60.0)).length() < 1e-9);
        }
    }

    #[test]
    fn points_lead_back_to_their_places() {
        let paper = paper(37.0);
        let place = DVec2::new(-8.25, 17.5);
        assert!((paper.place_m(paper.at(place)) - place).length() < 1e-9);
    }

    #[test]
    fn what_is_fitted_fills_its_room_in_the_middle() {
        let room = DVec2::new(160.0, 80.0);
        for up_deg in [0.0, 90.0] {
            let ends = [DVec2::new(-40.0, 7.0), DVec2::new(40.0, 7.0)];
            let fitted = paper(up_deg).fitted(ends, room);
            let [a, b] = ends.map(|end| fitted.at(end));
            assert!(((a + b) / 2.0 - DVec2::new(110.0, 70.0)).length() < 1e-9);
            let wanted = if up_deg == 0.0 { room.x } else { room.y };
            assert!(((b - a).length() - wanted).abs() < 1e-9);
        }
    }

    #[test]
    fn rails_lie_beside_the_middle_of_a_bent_track_all_along() {
        let bent = [(0.0, 0.0), (30.0, 0.0), (60.0, 12.0)].map(DVec2::from);
        let [left, right] = [0.75, -0.75].map(|aside_m| beside(&bent, aside_m));
        for (rail, sign) in [(left, 1.0), (right, -1.0)] {
            for piece in 0..2 {
                let along = (bent[piece + 1] - bent[piece]).normalize();
                for end in [rail[piece], rail[piece + 1]] {
                    let aside = along.perp_dot(end - bent[piece]);
                    assert!((aside - sign * 0.75).abs() < 1e-9, "{aside}");
                }
            }
        }
    }

    /// The shadow of an upright is as long as its height over the tangent of the sun's: 45° make both equal.
    #[test]
    fn a_pole_s_shade_reaches_as_far_as_it_is_high() {
        let scene = Scene::load(Path::new("tests/scenes/box_siding.toml")).unwrap();
        let pole = scene.surroundings.iter().find(|one| one.kind == Kind::Pole);
        let pole = pole.unwrap();
        let corners = pole.solids.iter().flat_map(|solid| solid.convex().corners);
        let high_m = corners.map(|p| p.z).fold(0.0, f64::max);
        let below_m = scene.tracks[0].ground_below_rail_m;
        // From the east: shade falls to the west.
        let toward = DVec3::new(1.0, 0.0, 1.0).normalize();
        let hull_m = &scene.machine.model.vertices;
        let regions = shade(&scene, hull_m, toward);
        let corners = regions
            .iter()
            .flat_map(|one| one.rings_m().flatten().collect::<Vec<_>>());
        let west = corners.map(|p| p.x).fold(f64::INFINITY, f64::min);
        let reach_m = pole.foot_m().x - west;
        assert!(
            (reach_m - high_m - below_m).abs() < 0.3,
            "{reach_m} {high_m}"
        );
        assert_eq!(shade(&scene, hull_m, DVec3::X), vec![]);
    }
}
