//! Buildings: walls over a footprint, a roof, and the trim that tells an eye what they are. Trim stands on
//! walls that face a given point (the machine): nobody who photographs it sees the others. May not enter:
//! keys of files.

use super::build::{Build, beam};
use super::{CONCRETE, GLASS, edges, prisms, roof};
use crate::mesh::solid::Solid;
use crate::scene::coat::{Coat, Finish};
use crate::scene::polygon::counter_clockwise;
use glam::DVec2;

const FRAMES: Coat = Coat::new(Finish::Paint, [0xc9, 0xc4, 0xb4]);
const DOOR: Coat = Coat::new(Finish::Boards, [0x4c, 0x58, 0x50]);
const SHUTTER: Coat = Coat::new(Finish::Corrugated, [0x76, 0x7c, 0x7c]);

/// What covers a building.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Roof {
    /// Level, behind a coping.
    Flat,
    /// Two slopes over the longer axis of four corners.
    Gable,
    /// Teeth along the longer axis of four corners, glass on their steep sides.
    SawTooth,
}

/// How a building looks.
#[derive(Clone, Debug)]
pub struct Look {
    /// What the walls are made of.
    pub walls: Coat,
    /// What covers it.
    pub roof: Roof,
    /// How far the roof rises over the walls (not of a flat one).
    pub roof_rise_m: f64,
    /// Rows of windows; 0 for blank walls.
    pub storeys: usize,
    /// Where wide doors are, each in the nearest wall.
    pub doors_m: Vec<DVec2>,
    /// Width of those doors.
    pub door_width_m: f64,
}

/// A wall that carries trim.
struct Wall {
    from: DVec2,
    along: DVec2,
    outward: DVec2,
    length_m: f64,
    base_m: f64,
}

impl Wall {
    /// A box on the wall: its middle so far along, its underside and top over the wall's foot, its face so far
    /// before the wall.
    fn plate(&self, middle_m: f64, width_m: f64, [low_m, top_m]: [f64; 2], proud_m: f64) -> Solid {
        // As deep behind the wall's face as before it, so that no face lies in the wall's own plane.
        let at = |x: f64| (self.from + self.along * x).extend(self.base_m + (low_m + top_m) / 2.0);
        let half_m = width_m / 2.0;
        beam(
            at(middle_m - half_m),
            at(middle_m + half_m),
            2.0 * proud_m,
            top_m - low_m,
        )
    }
}

/// A building over a footprint; walls that face `seen_from_m` carry trim. Walls come first.
pub fn building(
    footprint_m: &[DVec2],
    base_m: f64,
    height_m: f64,
    look: &Look,
    seen_from_m: DVec2,
) -> Build {
    let mut build = Build::default();
    let footprint = counter_clockwise(footprint_m.to_vec());
    let top_m = base_m + height_m;
    // A sheet of a wall is no house: no coping, no windows.
    let is_sheet = mean_depth_m(&footprint) < 1.0;
    let is_coped = look.roof == Roof::Flat && !is_sheet;
    let walls_top_m = if is_coped { top_m - 0.05 } else { top_m };
    build.all(look.walls, prisms(&footprint, base_m, walls_top_m));
    if is_sheet {
        return build;
    }
    match look.roof {
        Roof::Flat => roof::flat(&mut build, &footprint, [walls_top_m, top_m]),
        Roof::Gable => roof::gable(&mut build, &footprint, top_m, look),
        Roof::SawTooth => roof::saw_tooth(&mut build, &footprint, top_m, look),
    }
    let faces = edges(&footprint).filter_map(|(a, b)| {
        let (along, length_m) = ((b - a).normalize_or(DVec2::X), a.distance(b));
        // Counter-clockwise: outside lies to the right.
        let outward = -along.perp();
        let seen = (seen_from_m - (a + b) / 2.0).dot(outward) > 0.0;
        (seen && length_m > 2.0).then_some(Wall {
            from: a,
            along,
            outward,
            length_m,
            base_m,
        })
    });
    let walls: Vec<Wall> = faces.collect();
    trim(&mut build, &walls, height_m, look);
    build
}

/// Twice the area over the perimeter: about the depth of a slab, half the width of a square.
fn mean_depth_m(footprint: &[DVec2]) -> f64 {
    let twice_area: f64 = edges(footprint).map(|(a, b)| a.perp_dot(b)).sum();
    let around: f64 = edges(footprint).map(|(a, b)| a.distance(b)).sum();
    twice_area.abs() / around.max(1e-9)
}

/// Doors, windows, pilasters and plinths.
fn trim(build: &mut Build, walls: &[Wall], height_m: f64, look: &Look) {
    let mut doors: Vec<Vec<(f64, f64)>> = vec![vec![]; walls.len()];
    for door in &look.doors_m {
        let foot = |wall: &Wall| {
            let x = (*door - wall.from).dot(wall.along);
            x.clamp(0.0, wall.length_m)
        };
        let distance = |wall: &Wall| (wall.from + wall.along * foot(wall)).distance(*door);
        let nearest =
            (0..walls.len()).min_by(|i, j| distance(&walls[*i]).total_cmp(&distance(&walls[*j])));
        let Some(i) = nearest else { continue };
        let wall = &walls[i];
        let width_m = look.door_width_m.min(wall.length_m - 0.6);
        let half_m = width_m / 2.0;
        // Not `clamp`: where the door fills the wall, rounding may put the limits the wrong way round.
        let beside_m = half_m + 0.3;
        let middle_m = foot(wall).min(wall.length_m - beside_m).max(beside_m);
        let tall_m = (0.78 * height_m).min(width_m * 1.15).min(5.5);
        let (leaf, frame) = if width_m > 2.2 {
            (SHUTTER, CONCRETE)
        } else {
            (DOOR, FRAMES)
        };
        build.add(
            frame,
            wall.plate(middle_m, width_m + 0.36, [0.0, tall_m + 0.18], 0.05),
        );
        build.add(leaf, wall.plate(middle_m, width_m, [0.0, tall_m], 0.07));
        doors[i].push((middle_m - half_m - 0.4, middle_m + half_m + 0.4));
    }
    // A wall without any door gets one for people, if it is the longest.
    let longest = (0..walls.len())
        .max_by(|i, j| walls[*i].length_m.total_cmp(&walls[*j].length_m))
        .filter(|i| doors[*i].is_empty() && height_m > 2.6 && walls[*i].length_m > 4.0);
    if let Some(i) = longest.filter(|_| look.walls.finish != Finish::Plain) {
        let (wall, middle_m) = (&walls[i], 1.6);
        build.add(FRAMES, wall.plate(middle_m, 1.2, [0.0, 2.2], 0.03));
        build.add(DOOR, wall.plate(middle_m, 1.0, [0.0, 2.1], 0.045));
        doors[i].push((middle_m - 0.8, middle_m + 0.8));
    }
    for (wall, doors) in walls.iter().zip(&doors) {
        windows(build, wall, height_m, look, doors);
    }
}

fn windows(build: &mut Build, wall: &Wall, height_m: f64, look: &Look, doors: &[(f64, f64)]) {
    let is_heavy = matches!(look.walls.finish, Finish::Brick | Finish::Concrete);
    // Metres of wall for each window, and the window's own width.
    let (bay_m, widest_m, most) = match look.walls.finish {
        Finish::Brick | Finish::Concrete => (4.6, 3.0, 9),
        Finish::Corrugated => (6.0, 2.4, 6),
        _ => (3.4, 1.0, 6),
    };
    let bays = ((wall.length_m - 0.6) / bay_m)
        .floor()
        .clamp(1.0, most as f64) as usize;
    let step_m = wall.length_m / bays as f64;
    let width_m = (step_m * 0.58).min(widest_m);
    if is_heavy {
        let plinth_m = 0.45_f64.min(0.15 * height_m);
        build.add(
            CONCRETE,
            wall.plate(wall.length_m / 2.0, wall.length_m, [0.0, plinth_m], 0.03),
        );
    }
    if look.walls.finish == Finish::Brick && bays > 1 {
        for bay in 0..=bays {
            let middle_m = (bay as f64 * step_m).clamp(0.24, wall.length_m - 0.24);
            if doors
                .iter()
                .all(|(from, to)| middle_m < from - 0.3 || middle_m > to + 0.3)
            {
                let pilaster = wall.plate(middle_m, 0.48, [0.0, height_m - 0.3], 0.09);
                build.add(look.walls, pilaster);
            }
        }
    }
    let storey_m = height_m / look.storeys.max(1) as f64;
    for storey in 0..look.storeys {
        let sill_m = storey_m * (storey as f64 + 0.32);
        let top_m = sill_m + (storey_m * 0.48).min(width_m * 1.3);
        for bay in 0..bays {
            let middle_m = (bay as f64 + 0.5) * step_m;
            let half_m = width_m / 2.0 + 0.1;
            let beside =
                |(from, to): &(f64, f64)| middle_m + half_m < *from || middle_m - half_m > *to;
            if !doors.iter().all(beside) && sill_m < 5.7 {
                continue;
            }
            if is_heavy {
                let sill = wall.plate(middle_m, width_m + 0.3, [sill_m - 0.14, sill_m], 0.06);
                build.add(CONCRETE, sill);
            } else {
                let frame = wall.plate(middle_m, width_m + 0.2, [sill_m - 0.1, top_m + 0.1], 0.025);
                build.add(FRAMES, frame);
            }
            build.add(GLASS, wall.plate(middle_m, width_m, [sill_m, top_m], 0.035));
        }
    }
    debug_assert!(wall.outward.is_finite());
}

#[cfg(test)]
mod tests {
    use super::*;
    use glam::DVec3;

    fn look(roof: Roof, finish: Finish) -> Look {
        Look {
            walls: Coat::new(finish, [0x80; 3]),
            roof,
            roof_rise_m: 2.0,
            storeys: 1,
            doors_m: vec![DVec2::new(6.0, -1.0)],
            door_width_m: 3.0,
        }
    }

    fn rectangle(x: f64, y: f64) -> Vec<DVec2> {
        [(0.0, 0.0), (x, 0.0), (x, y), (0.0, y)]
            .map(|(x, y)| DVec2::new(x, y))
            .to_vec()
    }

    #[test]
    fn every_piece_of_every_building_looks_outward() {
        for roof in [Roof::Flat, Roof::Gable, Roof::SawTooth] {
            for finish in [
                Finish::Brick,
                Finish::Corrugated,
                Finish::Boards,
                Finish::Concrete,
            ] {
                for footprint in [rectangle(12.0, 7.0), rectangle(7.0, 30.0)] {
                    let at = DVec2::new(5.0, -20.0);
                    let build = building(&footprint, 0.0, 5.0, &look(roof, finish), at);
                    assert_eq!(build.solids.len(), build.coats.len());
                    for (i, solid) in build.solids.iter().enumerate() {
                        assert!(
                            solid.convex().volume_m3() > 1e-6,
                            "{roof:?} {finish:?} {i}: {solid:?}"
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn a_flat_roof_ends_at_the_height_and_another_rises_over_it_by_its_rise() {
        for (roof, top_m) in [
            (Roof::Flat, 5.0),
            (Roof::Gable, 7.14),
            (Roof::SawTooth, 7.0),
        ] {
            let build = building(
                &rectangle(12.0, 7.0),
                0.0,
                5.0,
                &look(roof, Finish::Brick),
                DVec2::new(5.0, -20.0),
            );
            let corners = build.solids.iter().flat_map(|one| one.convex().corners);
            let high = corners.map(|p| p.z).fold(f64::NEG_INFINITY, f64::max);
            assert!((high - top_m).abs() < 1e-9, "{roof:?}: {high}");
        }
    }

    #[test]
    fn trim_stands_on_walls_that_face_the_machine_and_on_no_others() {
        let build = building(
            &rectangle(24.0, 7.0),
            0.0,
            5.0,
            &look(Roof::Flat, Finish::Brick),
            DVec2::new(6.0, -20.0),
        );
        let glass = (build.solids.iter().zip(&build.coats)).filter(|(_, coat)| **coat == GLASS);
        let middles: Vec<DVec3> = glass
            .map(|(one, _)| {
                let corners = one.convex().corners;
                corners.iter().sum::<DVec3>() / corners.len() as f64
            })
            .collect();
        assert!(!middles.is_empty());
        assert!(middles.iter().all(|p| p.y.abs() < 0.1), "{middles:?}");
        // No window where the door is.
        assert!(
            middles.iter().all(|p| (p.x - 6.0).abs() > 2.0),
            "{middles:?}"
        );
    }

    #[test]
    fn a_door_as_wide_as_its_wall_finds_its_place_whatever_the_rounding() {
        let mut look = look(Roof::Flat, Finish::Brick);
        look.door_width_m = 12.0;
        // 7.53 among them: half a door and its frame, from either end, differ there by one step of a float.
        for hundredths in 210..1260 {
            let walls = rectangle(f64::from(hundredths) / 100.0, 9.0);
            let build = building(&walls, 0.0, 4.0, &look, DVec2::new(5.0, -20.0));
            assert!(build.solids.len() > 3);
        }
    }

    #[test]
    fn a_sheet_of_a_wall_has_no_trim() {
        let sheet = rectangle(10.0, 0.2);
        let build = building(
            &sheet,
            -0.5,
            9.0,
            &look(Roof::Flat, Finish::Brick),
            DVec2::new(5.0, -20.0),
        );
        assert_eq!(build.solids, prisms(&sheet, -0.5, 8.5));
    }
}
