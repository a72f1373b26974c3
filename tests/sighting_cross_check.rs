//! Both rasterizers against a ray caster (parry3d-f64) and against properties that geometry
//! gives. May not enter: light, tables.

use crate::graphics::with_both;
use crate::reference_scene::{empty_stage, toward};
use glam::{DVec2, DVec3};
use parry3d_f64::math::Vector;
use parry3d_f64::query::{Ray, RayCast};
use parry3d_f64::shape::TriMesh;
use proptest::prelude::*;
use std::path::Path;
use std::sync::Arc;
use sunside::mesh::model::Model;
use sunside::mesh::patch::Patches;
use sunside::mesh::sidecar;
use sunside::mesh::solid::Solid;
use sunside::scene::surroundings::Kind;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::frame::{Frame, Id, Sighting};
use sunside::sighting::rasterizer::{Around, Rasterizer};
use sunside::sighting::stage::{Stage, StageKind, StageObject};
use sunside::sighting::view::{Rays, View};

fn box_machine() -> Model {
    sidecar::load(Path::new("tests/models/box_machine.toml")).unwrap()
}

fn sight(stage: &Stage, view: &View) -> Sighting {
    sight_by(&Cpu::default(), stage, view)
}

fn sight_by(rasterizer: &dyn Rasterizer, stage: &Stage, view: &View) -> Sighting {
    let mut sighting = Sighting::default();
    rasterizer.sight(stage, view, Around::Everything, &mut sighting);
    sighting
}

/// Eyes about the machine: two corners, the side, a bank, and two suns.
fn views(stage: &Stage, width: usize) -> Vec<View> {
    let eyes = [
        (22.0, -14.0, 0.6),
        (-20.0, 12.0, 0.8),
        (1.0, -24.0, 0.4),
        (9.0, 30.0, 6.0),
    ];
    let cameras = (eyes.into_iter())
        .map(|(x, y, z)| View::canonical(DVec3::new(x, y, z), &stage.hull, width, 100.0).unwrap());
    let suns = [(150.0, 20.0), (301.0, 47.0)];
    let suns = suns.map(|(az, el)| View::of_sun(toward(az, el), &stage.hull, width));
    cameras.chain(suns).collect()
}

/// A number from 0 up to `below`, the next of a fixed sequence (a 64-bit linear congruential generator).
fn next(seed: &mut u64, below: usize) -> usize {
    *seed = seed
        .wrapping_mul(6_364_136_223_846_793_005)
        .wrapping_add(1_442_695_040_888_963_407);
    ((*seed >> 33) as usize) % below
}

/// What a ray through a pixel's centre hits first.
fn cast(mesh: &TriMesh, patches: &Patches, view: &View, column: usize, row: usize) -> Id {
    let vector = |v: DVec3| Vector::new(v.x, v.y, v.z);
    let flat = view.plane_at(DVec2::new(column as f64 + 0.5, row as f64 + 0.5));
    let across = view.right * flat.x + view.up * flat.y;
    let ray = match view.rays {
        Rays::Perspective => Ray::new(vector(view.eye), vector(view.forward + across)),
        Rays::Orthographic => Ray::new(
            vector(view.eye + across - view.forward * 100.0),
            vector(view.forward),
        ),
    };
    match mesh.cast_local_ray_and_get_normal(&ray, 1e4, false) {
        None => Id::NOTHING,
        Some(hit) => Id::patch(patches.patch_of_triangle[hit.subshape as usize] as usize),
    }
}

/// Whether the eight pixels around one show what it shows.
fn is_inner(frame: &Frame, column: usize, row: usize) -> bool {
    let id = frame.ids[row * frame.width + column];
    (row - 1..=row + 1)
        .all(|r| (column - 1..=column + 1).all(|c| frame.ids[r * frame.width + c] == id))
}

#[test]
fn pixels_within_a_patch_show_what_a_ray_caster_hits() {
    with_both(hold_pixels_against_rays);
}

fn hold_pixels_against_rays(rasterizer: &dyn Rasterizer) {
    let stage = Stage::of_model(Arc::new(box_machine()));
    let patches = &stage.patches;
    let vertices = patches
        .vertices
        .iter()
        .map(|v| Vector::new(v.x, v.y, v.z))
        .collect();
    let mesh = TriMesh::new(vertices, patches.triangles.clone()).unwrap();
    let mut seed = 20_261_125;
    let (mut inner, mut on_machine, mut differing_edges, mut edges) = (0, 0, 0, 0);
    for view in views(&stage, 700) {
        let frame = sight_by(rasterizer, &stage, &view).alone;
        for _ in 0..4000 {
            let column = 1 + next(&mut seed, frame.width - 2);
            let row = 1 + next(&mut seed, frame.height - 2);
            let (drawn, hit) = (
                frame.ids[row * frame.width + column],
                cast(&mesh, patches, &view, column, row),
            );
            if is_inner(&frame, column, row) {
                assert_eq!(drawn, hit, "pixel {column}, {row} of {view:?}");
                inner += 1;
                on_machine += usize::from(drawn != Id::NOTHING);
            } else {
                edges += 1;
                differing_edges += usize::from(drawn != hit);
            }
        }
    }
    assert!(inner > 10_000 && on_machine > 3_000, "{inner} {on_machine}");
    // Even where patches meet, the same pixel centre is asked: only rounding may differ.
    assert!(
        differing_edges * 500 <= edges,
        "{differing_edges} of {edges}"
    );
}

#[test]
fn the_order_of_triangles_changes_no_count() {
    let stage = Stage::of_model(Arc::new(box_machine()));
    let mut shuffled = Patches::clone(&stage.patches);
    let mut seed = 7;
    for i in (1..shuffled.triangles.len()).rev() {
        let j = next(&mut seed, i + 1);
        shuffled.triangles.swap(i, j);
        shuffled.patch_of_triangle.swap(i, j);
    }
    let other = Stage {
        patches: Arc::new(shuffled),
        ..stage.clone()
    };
    for view in views(&stage, 500) {
        let counts = [&stage, &other].map(|stage| {
            let mut counts = vec![0; stage.patches.len()];
            sight(stage, &view).alone.count_patches(&mut counts);
            counts
        });
        assert_eq!(counts[0], counts[1]);
    }
}

#[test]
fn cutting_into_patches_keeps_area_and_silhouette() {
    keeps_area_and_silhouette(box_machine());
    // Long thin bars and round things: what cutting could open.
    let model = sidecar::load(Path::new("models/hood_six_axle.toml")).unwrap();
    assert!(model.closed);
    keeps_area_and_silhouette(model);
}

fn keeps_area_and_silhouette(model: Model) {
    let stage = Stage::of_model(Arc::new(model.clone()));
    let at = |i: u32| model.vertices[i as usize];
    let mut area_of_part = vec![0.0; model.parts.len()];
    for triangle in &model.triangles {
        let [a, b, c] = triangle.corners.map(at);
        area_of_part[triangle.part as usize] += (b - a).cross(c - a).length() / 2.0;
    }
    for (part, area) in area_of_part.iter().enumerate() {
        let of_patches: f64 = (stage.patches.part.iter().zip(&stage.patches.area_m2))
            .filter(|(p, _)| **p as usize == part)
            .map(|(_, area)| area)
            .sum();
        assert!(
            (of_patches / area - 1.0).abs() < 1e-9,
            "{}",
            model.parts[part].name
        );
    }
    // The same triangles before they were cut.
    let mut whole = Patches::clone(&stage.patches);
    whole.vertices = model.vertices.clone();
    whole.triangles = model.triangles.iter().map(|t| t.corners).collect();
    whole.patch_of_triangle = vec![0; whole.triangles.len()];
    let uncut = Stage {
        patches: Arc::new(whole),
        ..stage.clone()
    };
    for view in views(&stage, 900) {
        let [cut, uncut] = [&stage, &uncut].map(|stage| sight(stage, &view).alone);
        let covered = |frame: &Frame, i: usize| frame.ids[i] != Id::NOTHING;
        let pixels = cut.ids.len();
        let differing = (0..pixels)
            .filter(|&i| covered(&cut, i) != covered(&uncut, i))
            .count();
        assert!(
            differing as f64 <= 0.0005 * pixels as f64,
            "{differing} of {pixels}"
        );
        assert!((0..pixels).any(|i| covered(&cut, i)));
    }
}

fn add(stage: &mut Stage, solid: &Solid, opacity: f64) {
    stage.add(StageObject {
        name: "thing".into(),
        kind: StageKind::Thing(Kind::Crown),
        opacity,
        pieces: vec![solid.convex()],
        coats: vec![],
    });
}

#[test]
fn two_half_open_crowns_in_line_hide_three_quarters() {
    with_both(hold_crowns);
}

fn hold_crowns(rasterizer: &dyn Rasterizer) {
    let crown = |x: f64| Solid::Ellipsoid {
        centre: DVec3::new(x, 0.0, 4.0),
        radii_m: DVec3::new(1.0, 3.0, 3.0),
    };
    let view = View {
        rays: Rays::Orthographic,
        eye: DVec3::new(-50.0, 0.0, 4.0),
        right: -DVec3::Y,
        up: DVec3::Z,
        forward: DVec3::X,
        low: DVec2::splat(-4.0),
        high: DVec2::splat(4.0),
        width: 400,
        height: 400,
    };
    let covered = |crowns: &[(f64, f64)]| {
        let mut stage = empty_stage();
        for &(x, opacity) in crowns {
            add(&mut stage, &crown(x), opacity);
        }
        sight_by(rasterizer, &stage, &view)
            .all
            .ids
            .iter()
            .filter(|id| **id != Id::NOTHING)
            .count() as f64
    };
    let solid = covered(&[(0.0, 1.0)]);
    assert!(solid > 50_000.0);
    let one = covered(&[(0.0, 0.5)]) / solid;
    let two = covered(&[(0.0, 0.5), (5.0, 0.5)]) / solid;
    assert!((one - 0.5).abs() < 0.02, "{one}");
    assert!((two - 0.75).abs() < 0.02, "{two}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    #[test]
    fn a_boxs_pixels_lie_within_its_projected_corners_and_reach_them(
        size in (0.5..8.0_f64, 0.5..4.0_f64, 0.5..5.0_f64),
        bearing in 0.0..360.0_f64,
        distance in 12.0..60.0_f64,
        eye_height in -1.0..9.0_f64,
    ) {
        let (x, y) = (size.0, size.1);
        let solid = Solid::Prism {
            footprint: [(-x, -y), (x, -y), (x, y), (-x, y)].map(DVec2::from).to_vec(),
            bottom_m: 0.0,
            top_m: size.2,
        };
        let corners = solid.convex().corners;
        let eye = toward(bearing, 0.0) * distance + DVec3::Z * eye_height;
        let view = View::canonical(eye, &corners, 500, 100.0).unwrap();
        let mut stage = empty_stage();
        add(&mut stage, &solid, 1.0);
        let frame = sight(&stage, &view).all;
        let (mut low, mut high) = (DVec2::INFINITY, DVec2::NEG_INFINITY);
        for corner in &corners {
            let pixel = view.pixel(view.on_plane(*corner).unwrap());
            (low, high) = (low.min(pixel), high.max(pixel));
        }
        let (mut first, mut last) = (DVec2::INFINITY, DVec2::NEG_INFINITY);
        for (i, id) in frame.ids.iter().enumerate() {
            if id.as_object().is_some() {
                let at = DVec2::new((i % frame.width) as f64, (i / frame.width) as f64);
                (first, last) = (first.min(at), last.max(at + 1.0));
            }
        }
        // A corner sharper than a pixel may end between centres, never beyond them.
        prop_assert!((first - low).min_element() > -1.0 && (last - high).max_element() < 1.0);
        prop_assert!((first.x - low.x).abs() <= 1.0 && (last.x - high.x).abs() <= 1.0);
        prop_assert!((first - low).max_element() < 3.0 && (high - last).max_element() < 3.0);
    }
}
