//! Shadows of poles and rails, closed and drawn, against the closed-form tables shadow_geometry.csv,
//! overhang_shadow.csv and solar_phase.csv. May not enter: whole scenes.

use crate::reference_scene::{empty_stage, toward};
use crate::table::rows;
use glam::{DVec2, DVec3};
use serde::Deserialize;
use sunside::mesh::solid::Solid;
use sunside::scene::surroundings::Kind;
use sunside::sighting::closed_form::{handrail_drop_m, handrail_shift_m, profile_angle_deg};
use sunside::sighting::cpu::Cpu;
use sunside::sighting::frame::Id;
use sunside::sighting::lit::SunBuffer;
use sunside::sighting::rasterizer::Around;
use sunside::sighting::stage::{Stage, StageKind, StageObject};

/// Step along a line whose lit and dark places are looked for.
const STEP_M: f64 = 0.002;

/// The sun in the machine frame for a side of which only the normal's bearing is known.
fn toward_from_side(relative_deg: f64, elevation_deg: f64, side_sign: f64) -> DVec3 {
    // Clockwise from the normal as seen from above: from +y that is toward +x, from −y toward −x.
    let (sin, cos) = relative_deg.to_radians().sin_cos();
    let (sin_e, cos_e) = elevation_deg.to_radians().sin_cos();
    DVec3::new(side_sign * sin * cos_e, side_sign * cos * cos_e, sin_e)
}

fn stage_of(solids: Vec<Solid>) -> Stage {
    let mut stage = empty_stage();
    for solid in solids {
        stage.add(StageObject {
            name: "solid".into(),
            kind: StageKind::Thing(Kind::Pole),
            opacity: 1.0,
            pieces: vec![solid.convex()],
            coats: vec![],
        });
    }
    stage
}

/// An upright slab of 0.2 m behind the plane through `at` with this outward normal.
fn slab(at: DVec3, normal: DVec3, half_length_m: f64, bottom_m: f64, top_m: f64) -> Solid {
    let along = DVec2::new(-normal.y, normal.x) * half_length_m;
    let (front, back) = (at.truncate(), (at - normal * 0.2).truncate());
    let footprint = vec![front - along, front + along, back + along, back - along];
    Solid::Prism {
        footprint,
        bottom_m,
        top_m,
    }
}

/// Places from `from` along `way` (unit) that lie in shadow, as distances: the first and the last.
fn dark(
    stage: &Stage,
    sun: DVec3,
    normal: DVec3,
    from: DVec3,
    way: DVec3,
    reach_m: f64,
) -> [f64; 2] {
    let bounds: Vec<DVec3> = [from, from + way * reach_m]
        .into_iter()
        .flat_map(|end| {
            DVec3::AXES
                .into_iter()
                .flat_map(move |a| [end - a * 0.3, end + a * 0.3])
        })
        .collect();
    // A narrow strip along the line: texels of some 2 mm.
    let buffer = SunBuffer::draw_around(
        &Cpu::default(),
        stage,
        sun,
        Around::Everything,
        384,
        &bounds,
    );
    let found: Vec<f64> = (0..(reach_m / STEP_M) as usize)
        .map(|i| i as f64 * STEP_M)
        .filter(|&d| !buffer.lit(&buffer.sighting.all, Id::object(0), from + way * d, normal))
        .collect();
    [found.first(), found.last()]
        .map(|d| *d.unwrap_or_else(|| panic!("no shadow along {way} from {from}, sun {sun}")))
}

#[derive(Deserialize)]
struct PoleRow {
    row: usize,
    pole_x_east_m: f64,
    pole_y_north_m: f64,
    pole_height_m: f64,
    sun_azimuth_deg: f64,
    sun_elevation_deg: f64,
    ground_tip_x_m: f64,
    ground_tip_y_m: f64,
    side_normal_azimuth_deg: f64,
    shadow_top_height_on_side_plane_m: Option<f64>,
    hit_x_m: Option<f64>,
    hit_y_m: Option<f64>,
    shadow_reaches_side: u8,
}

const POLE_RADIUS_M: f64 = 0.05;

impl PoleRow {
    fn sun(&self) -> DVec3 {
        toward(self.sun_azimuth_deg, self.sun_elevation_deg)
    }

    fn pole(&self) -> Solid {
        let foot = DVec3::new(self.pole_x_east_m, self.pole_y_north_m, 0.0);
        Solid::Bar {
            a: foot,
            b: foot + DVec3::Z * self.pole_height_m,
            radius_a_m: POLE_RADIUS_M,
            radius_b_m: POLE_RADIUS_M,
        }
    }
}

#[test]
fn a_drawn_poles_shadow_on_a_side_is_as_high_as_the_table_says() {
    let mut checked = 0;
    for row in rows::<PoleRow>("shadow_geometry")
        .iter()
        .filter(|row| row.shadow_reaches_side == 1)
    {
        let normal = toward(row.side_normal_azimuth_deg, 0.0);
        let hit = DVec3::new(row.hit_x_m.unwrap(), row.hit_y_m.unwrap(), 0.0);
        let stage = stage_of(vec![slab(hit, normal, 6.0, -1.0, 14.0), row.pole()]);
        // Off the side by a hair, so that a rounding error does not put the point inside it.
        let [_, top_m] = dark(
            &stage,
            row.sun(),
            normal,
            hit + normal * 1e-6,
            DVec3::Z,
            12.0,
        );
        // The table's pole is a line. Of a round one the edge of the top that is away from the sun counts.
        let edge_m = POLE_RADIUS_M * row.sun_elevation_deg.to_radians().tan();
        let expected = row.shadow_top_height_on_side_plane_m.unwrap() + edge_m;
        assert!(
            (top_m - expected).abs() < 0.02 + edge_m * 0.1,
            "{}: {top_m}, {expected}",
            row.row
        );
        checked += 1;
    }
    assert!(checked >= 10, "{checked}");
}

#[test]
fn a_drawn_poles_shadow_on_the_ground_ends_where_the_table_says() {
    let mut checked = 0;
    for row in rows::<PoleRow>("shadow_geometry") {
        let tip = DVec3::new(row.ground_tip_x_m, row.ground_tip_y_m, 0.0);
        let way = toward(row.sun_azimuth_deg + 180.0, 0.0);
        let footprint = [(-5.0, -5.0), (5.0, -5.0), (5.0, 5.0), (-5.0, 5.0)];
        let ground = Solid::Prism {
            footprint: footprint
                .map(|(x, y)| tip.truncate() + DVec2::new(x, y))
                .to_vec(),
            bottom_m: -0.5,
            top_m: 0.0,
        };
        let stage = stage_of(vec![ground, row.pole()]);
        let from = tip - way * 2.0 + DVec3::Z * 1e-6;
        if from.distance(DVec3::new(row.pole_x_east_m, row.pole_y_north_m, 0.0)) < 2.1 {
            continue; // the pole itself would stand in the line
        }
        let [_, end_m] = dark(&stage, row.sun(), DVec3::Z, from, way, 4.0);
        // The far edge of the top, and what the tolerance of contact takes off a flat shadow's end.
        let expected = 2.0 + POLE_RADIUS_M;
        let flat_m = 0.010 / row.sun_elevation_deg.to_radians().tan();
        assert!(
            (end_m - expected).abs() < 0.02 + flat_m,
            "{}: {end_m}, {expected}",
            row.row
        );
        checked += 1;
    }
    assert!(checked >= 80, "{checked}");
}

#[derive(Deserialize)]
struct RailRow {
    row: usize,
    standoff_m: f64,
    rail_height_m: f64,
    sun_elevation_deg: f64,
    sun_azimuth_minus_normal_deg: f64,
    shadow_drop_m: f64,
    shadow_height_m: f64,
    shadow_shift_to_right_seen_from_outside_m: f64,
}

#[test]
fn a_handrails_drop_and_shift_are_those_of_the_table() {
    let mut checked = 0;
    for row in rows::<RailRow>("overhang_shadow") {
        for side in [1.0, -1.0] {
            let relative = row.sun_azimuth_minus_normal_deg;
            let sun = toward_from_side(relative, row.sun_elevation_deg, side);
            let drop = handrail_drop_m(row.standoff_m, sun, side);
            if relative.to_radians().cos() <= 0.02 {
                assert_eq!(drop, None, "{}", row.row);
                continue;
            }
            let shift = handrail_shift_m(row.standoff_m, sun, side).unwrap();
            assert!(
                (drop.unwrap() - row.shadow_drop_m).abs() < 1e-9,
                "{}: {drop:?}",
                row.row
            );
            let expected = row.shadow_shift_to_right_seen_from_outside_m;
            assert!(
                (shift - expected).abs() < 1e-9,
                "{}: {shift}, {expected}",
                row.row
            );
            checked += 1;
        }
    }
    assert!(checked >= 150, "{checked}");
}

#[test]
fn a_drawn_handrails_shadow_falls_where_the_table_says() {
    let mut checked = 0;
    for row in rows::<RailRow>("overhang_shadow").iter().step_by(3) {
        // Nearer to grazing the rail's shadow is broader than the tolerance.
        if row.shadow_drop_m > 8.0 || row.sun_azimuth_minus_normal_deg.abs() > 80.0 {
            continue;
        }
        let side = if row.row % 2 == 0 { 1.0 } else { -1.0 };
        let sun = toward_from_side(
            row.sun_azimuth_minus_normal_deg,
            row.sun_elevation_deg,
            side,
        );
        let normal = DVec3::Y * side;
        let rail = |x: f64| DVec3::new(x, side * row.standoff_m, row.rail_height_m);
        let bar = Solid::Bar {
            a: rail(-12.0),
            b: rail(12.0),
            radius_a_m: 0.02,
            radius_b_m: 0.02,
        };
        let low_m = row.shadow_height_m - 0.8;
        let stage = stage_of(vec![slab(DVec3::ZERO, normal, 15.0, low_m - 1.0, 8.0), bar]);
        let from = DVec3::Z * low_m + normal * 1e-6;
        let [first, last] = dark(&stage, sun, normal, from, DVec3::Z, 1.6);
        let middle = low_m + (first + last) / 2.0;
        assert!(
            (middle - row.shadow_height_m).abs() < 0.01,
            "{}: {middle}",
            row.row
        );
        checked += 1;
    }
    assert!(checked >= 20, "{checked}");
}

#[derive(Deserialize)]
struct PhaseRow {
    row: usize,
    sun_azimuth_deg: f64,
    sun_elevation_deg: f64,
    subject_facing_deg: f64,
    side_seen: String,
    cos_factor_nose: f64,
    cos_factor_side: f64,
    cos_factor_top: f64,
}

#[test]
fn the_profile_angle_is_that_of_the_tables_cosines() {
    let mut checked = 0;
    for row in rows::<PhaseRow>("solar_phase") {
        let sun_site = toward(row.sun_azimuth_deg, row.sun_elevation_deg);
        let nose = toward(row.subject_facing_deg, 0.0);
        let left = DVec3::Z.cross(nose);
        let sun = DVec3::new(sun_site.dot(nose), sun_site.dot(left), sun_site.z);
        let side = if row.side_seen == "left" { 1.0 } else { -1.0 };
        for (found, expected) in [
            (sun.x, row.cos_factor_nose),
            (sun.y * side, row.cos_factor_side),
            (sun.z, row.cos_factor_top),
        ] {
            assert!(
                (found.max(0.0) - expected).abs() < 1e-9,
                "{}: {found}",
                row.row
            );
        }
        let grazing = 0.02 * row.sun_elevation_deg.to_radians().cos();
        match profile_angle_deg(sun, side) {
            None => assert!(row.cos_factor_side <= grazing + 1e-9, "{}", row.row),
            Some(profile) => {
                let expected = (row.cos_factor_top / row.cos_factor_side)
                    .atan()
                    .to_degrees();
                assert!(
                    (profile - expected).abs() < 1e-9,
                    "{}: {profile}, {expected}",
                    row.row
                );
                checked += 1;
            }
        }
    }
    assert!(checked >= 30, "{checked}");
}
