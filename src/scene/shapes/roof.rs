//! Roofs of buildings: level, gabled, toothed. May not enter: walls and what is on them.

use super::build::{Build, beam, loft};
use super::building::Look;
use super::{CONCRETE, GLASS, edges, prisms};
use crate::scene::coat::{Coat, Finish};
use glam::{DVec2, DVec3};

const ROOFING: Coat = Coat::new(Finish::Roofing, [0x5a, 0x57, 0x52]);
const SHINGLES: Coat = Coat::new(Finish::Roofing, [0x62, 0x54, 0x4a]);
const SHEETS: Coat = Coat::new(Finish::Corrugated, [0x84, 0x82, 0x7c]);

/// A level roof inside a coping; the walls end a little under its top.
pub fn flat(build: &mut Build, footprint: &[DVec2], [walls_top_m, top_m]: [f64; 2]) {
    build.all(
        ROOFING,
        prisms(footprint, walls_top_m - 0.2, walls_top_m + 0.01),
    );
    for (a, b) in edges(footprint) {
        let along = (b - a).normalize_or(DVec2::X);
        // It stands 50 mm before the wall and a hand's breadth behind its face.
        let inward = along.perp() * 0.11;
        let at = |p: DVec2| (p + inward).extend(top_m - 0.09);
        build.add(
            CONCRETE,
            beam(at(a - along * 0.05), at(b + along * 0.05), 0.32, 0.18),
        );
    }
}

/// The four corners with the longer side first, and which of them is the ridge's direction.
fn long_side_first(footprint: &[DVec2]) -> [DVec2; 4] {
    let corner = |i: usize| footprint[i % footprint.len()];
    let turn = usize::from(corner(0).distance(corner(1)) < corner(1).distance(corner(2)));
    [
        corner(turn),
        corner(turn + 1),
        corner(turn + 2),
        corner(turn + 3),
    ]
}

/// Two slopes over four corners, with eaves, and the walls under them.
pub fn gable(build: &mut Build, footprint: &[DVec2], eaves_m: f64, look: &Look) {
    // a–b and d–c run along; the ridge lies between them.
    let [a, b, c, d] = long_side_first(footprint);
    let rise_m = look.roof_rise_m;
    let along = (b - a).normalize_or(DVec2::X);
    let end = |right: DVec2, left: DVec2| {
        let ridge = ((right + left) / 2.0).extend(eaves_m + rise_m - 0.05);
        // Seen from the far end, left lies to the right.
        [right.extend(eaves_m), left.extend(eaves_m), ridge]
    };
    build.add(look.walls, loft(end(a, d), end(b, c)));
    let overhang_m = 0.35;
    let thick_m = 0.14;
    for (near, far, at_end) in [(a, d, b), (d, a, c)] {
        let half = (far - near) / 2.0;
        let slope = (half.normalize_or(DVec2::X)).extend(rise_m / half.length().max(0.1));
        let length = |x: f64| slope * x;
        let section = |foot: DVec2, shift: DVec2| {
            let eave = (foot + shift).extend(eaves_m) - length(overhang_m);
            let ridge = (foot + shift).extend(eaves_m) + length(half.length());
            let up = DVec3::Z * thick_m;
            [eave, eave + up, ridge + up, ridge]
        };
        let mut low = section(near, -along * overhang_m);
        let other = if at_end == b { b } else { c };
        let mut high = section(other, along * overhang_m);
        if at_end == b {
            low.reverse();
            high.reverse();
        }
        let roof = match look.walls.finish {
            Finish::Corrugated => SHEETS,
            _ => SHINGLES,
        };
        build.add(roof, loft(low, high));
    }
}

/// Teeth over four corners, each with a pane on its steep side.
pub fn saw_tooth(build: &mut Build, footprint: &[DVec2], eaves_m: f64, look: &Look) {
    let [a, b, c, d] = long_side_first(footprint);
    let teeth = (a.distance(b) / 7.0).round().clamp(1.0, 12.0) as usize;
    for tooth in 0..teeth {
        let at = |share: f64| (tooth as f64 + share) / teeth as f64;
        let side = |from: DVec2, to: DVec2| {
            let (low, high) = (from.lerp(to, at(0.0)), from.lerp(to, at(1.0)));
            let top = from.lerp(to, at(0.06)).extend(eaves_m + look.roof_rise_m);
            [low.extend(eaves_m), high.extend(eaves_m), top]
        };
        // From the right flank to the left one: counter-clockwise as the left one sees it.
        let turned = |[low, high, top]: [DVec3; 3]| [top, high, low];
        let (right, left) = (side(a, b), side(d, c));
        build.add(ROOFING, loft(turned(right), turned(left)));
        // The steep side, set back a hand's breadth from its edges.
        let pane = |flank: [DVec3; 3], toward: DVec3| {
            let inward = (toward - flank[0]).normalize_or(DVec3::X) * 0.3;
            let back = (flank[0] - flank[1]).normalize_or(DVec3::X) * 0.03;
            [0.12, 0.88].map(|share| flank[0].lerp(flank[2], share) + inward + back)
        };
        let (on_right, on_left) = (pane(right, left[0]), pane(left, right[0]));
        let deep = (right[1] - right[0]).normalize_or(DVec3::X) * 0.1;
        let face = [on_left[0], on_right[0], on_right[1], on_left[1]];
        build.add(GLASS, loft(face.map(|p| p + deep), face));
    }
}
