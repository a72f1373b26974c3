//! The adapter's picture against the sighting, against itself in tiles, and its wires. May not enter: stored pictures.

use crate::graphics;
use glam::{DVec2, DVec3};
use std::path::Path;
use sunside::grade::{Rulebook, Studio};
use sunside::mesh::part::Role;
use sunside::picture::lit::{Lit, Options, Quality};
use sunside::picture::{Light, plain};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::frame::Sighting;
use sunside::sighting::lit::SunBuffer;
use sunside::sighting::rasterizer::{Around, Rasterizer};
use sunside::sighting::stage::{Stage, StageWire};
use sunside::sighting::view::View;

const STILL: Options = Options {
    quality: Quality::Still,
    exposed_for_lx: 80_000.0,
    largest_tile: 2048,
};

/// Share of the sun on what is seen of each part, by the picture and by the sighting, where they differ by more than
/// a part's tolerance; and how many parts were compared.
fn compared(lit: &mut Lit, path: &str, at: Option<&str>, quality: Quality) -> (Vec<String>, usize) {
    let scene = Scene::load(Path::new(path)).unwrap();
    let at = match at {
        Some(text) => scene.place.zone.parse_instant(text).unwrap(),
        None => scene.frame.at.unwrap(),
    };
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let stage = &studio.stage;
    let stand = studio.default_stand();
    let view = plain::view_of(&studio.camera(&stand), rulebook.proof.width_px);
    let light = Light::at(&studio.scene, at);
    let mut sighting = Sighting::default();
    cpu.sight(stage, &view, Around::Everything, &mut sighting);
    let sun = SunBuffer::draw(
        &cpu,
        stage,
        light.toward,
        Around::Casters,
        rulebook.proof.sun_px,
    );
    let prepared = lit.prepare(&cpu, stage).unwrap();
    lit.set_stage(&prepared);
    lit.set_light(&light, quality).unwrap();
    let options = Options { quality, ..STILL };
    let mask = lit.lit_shares(&view, &options).unwrap();
    let frame = &sighting.all;
    let mut sums = vec![(0u32, 0.0f64, 0.0f64); stage.model.parts.len()];
    for (i, id) in frame.ids.iter().enumerate() {
        let Some(patch) = id.as_patch() else { continue };
        let point = view.point(i % view.width, i / view.width, frame.near[i]);
        let normal = stage.patches.normal[patch];
        let sum = &mut sums[stage.patches.part[patch] as usize];
        sum.0 += 1;
        sum.1 += f64::from(u8::from(sun.lit(&sun.sighting.all, *id, point, normal)));
        sum.2 += f64::from(mask[i]);
    }
    let mut wrong = Vec::new();
    let mut parts = 0;
    for (part, (pixels, by_sighting, by_picture)) in stage.model.parts.iter().zip(&sums) {
        // Of a few pixels no share can be told to 0.05.
        if *pixels < 100 {
            continue;
        }
        parts += 1;
        let n = f64::from(*pixels);
        let (seen, shown) = (by_sighting / n, by_picture / n);
        let tolerance = match (part.role, *pixels > 2000) {
            // Slats of one grille that lie close are one patch (`mesh::patch`), and what shows the same patch to the
            // sun counts as lit for the sighting, be it the slat before: it says up to 0.026 more.
            (Role::Grille, true) => 0.03,
            (_, true) => 0.02,
            (_, false) => 0.05,
        };
        // Texels four times as wide, one of which decides: half a texel along a shadow's edge.
        let tolerance = match quality {
            Quality::Moving => tolerance + 0.04,
            _ => tolerance,
        };
        if (seen - shown).abs() > tolerance {
            wrong.push(format!(
                "{path} {}: {pixels} px, sighting {seen:.3}, picture {shown:.3}",
                part.name
            ));
        }
    }
    (wrong, parts)
}

#[test]
fn the_sun_falls_on_each_part_as_the_sighting_says() {
    sun_falls_as_sighted(Quality::Still);
}

#[test]
fn the_sun_falls_on_each_part_of_a_moving_picture_as_the_sighting_says() {
    sun_falls_as_sighted(Quality::Moving);
}

fn sun_falls_as_sighted(quality: Quality) {
    let Some(mut lit) = graphics::painting() else {
        return;
    };
    let mut wrong = Vec::new();
    for (path, at) in [
        ("scenes/open_siding.toml", None),
        ("scenes/open_siding.toml", Some("2027-05-14 12:40")),
        ("scenes/crowded_shop.toml", None),
        ("scenes/crowded_shop.toml", Some("2027-05-14 08:10")),
    ] {
        let (faults, parts) = compared(&mut lit, path, at, quality);
        assert!(parts >= 10, "{path}: {parts}");
        wrong.extend(faults);
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_tiled_picture_is_the_whole_one() {
    let Some(mut lit) = graphics::painting() else {
        return;
    };
    let scene = Scene::load(Path::new("scenes/crowded_shop.toml")).unwrap();
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let view = plain::view_of(&studio.camera(&studio.default_stand()), 480);
    let light = Light::at(&studio.scene, studio.scene.frame.at.unwrap());
    let prepared = lit.prepare(&cpu, &studio.stage).unwrap();
    lit.set_stage(&prepared);
    lit.set_light(&light, Quality::Still).unwrap();
    let whole = lit.draw(&view, &STILL).unwrap();
    let tiled = lit
        .draw(
            &view,
            &Options {
                largest_tile: 100,
                ..STILL
            },
        )
        .unwrap();
    let pairs = whole.pixels_srgb.iter().zip(&tiled.pixels_srgb);
    // A sample on the very edge of a triangle may fall to either side when the window is another one.
    let off = pairs
        .filter(|(a, b)| a.iter().zip(b.iter()).any(|(a, b)| a.abs_diff(*b) > 2))
        .count();
    let share = off as f64 / whole.pixels_srgb.len() as f64;
    assert!(share < 0.004, "{share} of all pixels differ");
    // Seams are no worse than the rest.
    let at_seam = |i: usize| (i % 480 % 100).min(99 - i % 480 % 100) == 0;
    let seams = (0..whole.pixels_srgb.len()).filter(|i| at_seam(*i));
    let (mut all, mut differing) = (0, 0);
    for i in seams {
        all += 1;
        let (a, b) = (whole.pixels_srgb[i], tiled.pixels_srgb[i]);
        differing += usize::from(a.iter().zip(&b).any(|(a, b)| a.abs_diff(*b) > 2));
    }
    assert!(
        (differing as f64) < 0.01 * f64::from(all),
        "{differing} of {all}"
    );
}

/// A stage with nothing but a level wire, ten metres before a lens that looks along y.
fn wire_stage(diameter_m: f64) -> Stage {
    let mut stage = crate::reference_scene::empty_stage();
    stage.wires.push(StageWire {
        name: "wire".into(),
        points: vec![DVec3::new(-30.0, 10.0, 1.3), DVec3::new(30.0, 10.0, 1.3)],
        diameter_m,
    });
    stage
}

#[test]
fn a_wire_darkens_by_its_own_width_however_thin() {
    let Some(mut lit) = graphics::painting() else {
        return;
    };
    let half = DVec2::new(0.3, 0.2);
    let axes = [DVec3::X, DVec3::Z, DVec3::Y];
    let view = View::of_camera(DVec3::ZERO, axes, -half, half, 600);
    let scene = Scene::load(Path::new("scenes/open_siding.toml")).unwrap();
    let light = Light::at(&scene, scene.frame.at.unwrap());
    let mut take = |diameter_m: f64| {
        let prepared = lit
            .prepare(&Cpu::default(), &wire_stage(diameter_m))
            .unwrap();
        lit.set_stage(&prepared);
        lit.set_light(&light, Quality::Still).unwrap();
        lit.light(&view, &STILL).unwrap()
    };
    let without = take(1e-9);
    // A pixel is 10 m · 0.6 / 600 = 10 mm at the wire. What is missing from a column of sky, in pixels of wire, is
    // the wire's width in pixels, less the little light that the wire sends itself (under a tenth of the sky's).
    for diameter_m in [0.002, 0.010, 0.030] {
        let with = take(diameter_m);
        let column = 300;
        let missing: f64 = (0..view.height)
            .map(|row| {
                let i = row * view.width + column;
                1.0 - f64::from(with[i][1] / without[i][1])
            })
            .sum();
        let expected = diameter_m / 0.010;
        assert!(
            missing < 1.05 * expected && missing > 0.6 * expected,
            "{missing} of {expected}"
        );
    }
}
