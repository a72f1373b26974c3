//! The picture's light against closed form and the daylight model: a card, a sphere, the edge of a shadow, sun
//! against shade, middle grey. May not enter: how a picture is drawn; what a scene file says.

use crate::graphics;
use crate::open_field::{self, white_light};
use glam::{DVec2, DVec3, Vec3};
use std::f64::consts::PI;
use sunside::camera::exposure::{ev_of_settings, illuminance_lx};
use sunside::mesh::solid::Solid;
use sunside::picture::lit::{self, Quality};
use sunside::picture::plain::{self, Linear, Options};
use sunside::picture::{Light, tone};
use sunside::scene::coat::{Coat, Finish};
use sunside::scene::surroundings::Kind;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::stage::Stage;
use sunside::sighting::view::View;
use sunside::sky::color::{beam_color, sky_color};
use sunside::sky::daylight::{SkyCondition, daylight, plane_illuminance_lx};

/// sRGB 118 is 18 % of linear light (IEC 61966-2-1): a grey card.
const GREY_CARD: Coat = Coat::new(Finish::Plain, [118; 3]);
const GREY: f64 = 0.18;
/// Half the sun's apparent diameter (from memory: 31.6' to 32.7' over the year).
const SUN_RADIUS_RAD: f64 = 0.265 * PI / 180.0;
/// Middle of the place where things stand, far enough from the machine that it matters nowhere.
const THERE: DVec3 = DVec3::new(150.0, 150.0, 0.0);

/// Grey things on grey ground.
fn stage_with(things: &[Solid]) -> Stage {
    let things = things.iter().cloned();
    let things: Vec<(Kind, Solid)> = things.map(|thing| (Kind::Building, thing)).collect();
    open_field::stage_with(GREY_CARD, &things)
}

/// Looks at a point from a level or steep way off, `wide_m` of it across the picture.
fn looking(at: DVec3, from: DVec3, wide_m: f64, width: usize) -> View {
    let away = from - at;
    let forward = -away.normalize();
    let right = forward
        .cross(if forward.z.abs() > 0.9 {
            DVec3::Y
        } else {
            DVec3::Z
        })
        .normalize();
    let half = wide_m / 2.0 / away.length();
    let size = DVec2::splat(half);
    View::of_camera(
        from,
        [right, right.cross(forward), forward],
        -size,
        size,
        width,
    )
}

/// Who draws: every law holds for both.
#[derive(Clone, Copy, Debug)]
enum Who {
    Processor,
    Adapter,
}

/// The adapter too, unless none is expected.
fn all() -> Vec<Who> {
    match graphics::painting() {
        Some(_) => vec![Who::Processor, Who::Adapter],
        None => vec![Who::Processor],
    }
}

fn take(who: Who, stage: &Stage, view: &View, light: &Light, suns: usize) -> Linear {
    match who {
        Who::Processor => by_processor(stage, view, light, suns),
        Who::Adapter => by_adapter(stage, view, light),
    }
}

fn by_adapter(stage: &Stage, view: &View, light: &Light) -> Linear {
    let mut lit = graphics::painting().expect("it was there before");
    let prepared = lit.prepare(&Cpu::default(), stage).unwrap();
    lit.set_stage(&prepared);
    lit.set_light(light, Quality::Still).unwrap();
    let options = lit::Options {
        quality: Quality::Still,
        exposed_for_lx: 50_000.0,
        largest_tile: 2048,
    };
    let values = lit.light(view, &options).unwrap();
    Linear {
        width: view.width,
        height: view.height,
        light: values
            .iter()
            .map(|v| Vec3::from_array(*v).as_dvec3())
            .collect(),
    }
}

fn by_processor(stage: &Stage, view: &View, light: &Light, suns: usize) -> Linear {
    let options = Options {
        samples: 1,
        suns,
        exposed_for_lx: None,
    };
    plain::linear(&Cpu::default(), stage, view, light, &options)
}

/// Mean light of the middle `share` of a picture.
fn middle_mean(picture: &Linear, share: f64) -> DVec3 {
    let margin = |size: usize| ((1.0 - share) / 2.0 * size as f64) as usize;
    let (x, y) = (margin(picture.width), margin(picture.height));
    let mut sum = DVec3::ZERO;
    let mut count = 0;
    for row in y..picture.height - y {
        for column in x..picture.width - x {
            sum += picture.at(column, row);
            count += 1;
        }
    }
    sum / f64::from(count)
}

/// An upright card, 4 m square, that faces south.
fn card() -> Solid {
    Solid::Beam {
        a: THERE + DVec3::new(-2.0, 0.0, 4.0),
        b: THERE + DVec3::new(2.0, 0.0, 4.0),
        width_m: 0.1,
        height_m: 4.0,
    }
}

/// The card square on from the south.
fn card_view() -> View {
    let at = THERE + DVec3::Z * 4.0;
    looking(at, at - DVec3::Y * 15.0, 4.0, 120)
}

#[test]
fn direct_light_on_a_card_follows_the_cosine_law() {
    all()
        .into_iter()
        .for_each(direct_light_on_a_card_follows_the_cosine_law_by);
}

fn direct_light_on_a_card_follows_the_cosine_law_by(who: Who) {
    // Lambert: a grey card sends back ρ·E·cos θ (times 1/π, which the picture leaves out). The sun on the
    // horizon lights no ground, so that nothing else falls on the card.
    let stage = stage_with(&[card()]);
    for turn_deg in [0.0_f64, 30.0, 60.0, 80.0] {
        let light = white_light(180.0 + turn_deg, 0.2, 50_000.0, 0.0);
        let mean = middle_mean(&take(who, &stage, &card_view(), &light, 1), 0.8).y;
        let expected = GREY * 50_000.0 * turn_deg.to_radians().cos();
        assert!(
            (mean / expected - 1.0).abs() < 0.03,
            "{turn_deg}°: {mean} for {expected}"
        );
    }
    let behind = white_light(10.0, 0.2, 50_000.0, 0.0);
    assert!(middle_mean(&take(who, &stage, &card_view(), &behind, 1), 0.8).y < 100.0);
}

#[test]
fn direct_light_on_a_sphere_follows_lamberts_phase_law() {
    all()
        .into_iter()
        .for_each(direct_light_on_a_sphere_follows_lamberts_phase_law_by);
}

fn direct_light_on_a_sphere_follows_lamberts_phase_law_by(who: Who) {
    // Mean of ρ·E·cos over the disc of a sphere seen at the phase angle α: ρ·E·(2/3)·(sin α + (π − α)·cos α)/π
    // (Lambert 1760, in H. N. Russell, Astrophysical Journal 43, 1916; from memory).
    let centre = THERE + DVec3::Z * 8.0;
    let sphere = Solid::Ellipsoid {
        centre,
        radii_m: DVec3::splat(2.0),
    };
    let stage = stage_with(&[sphere]);
    let view = looking(centre, centre - DVec3::Y * 400.0, 4.0, 160);
    for phase_deg in [0.0_f64, 45.0, 90.0, 135.0] {
        let light = white_light(180.0 + phase_deg, 0.2, 50_000.0, 0.0);
        let with = take(who, &stage, &view, &light, 1);
        let inside = |column: usize, row: usize| {
            let at = |i: usize| (i as f64 + 0.5 - 80.0) / 80.0;
            at(column).hypot(at(row)) < 0.97
        };
        let pixels = (0..160).flat_map(|row| (0..160).map(move |column| (column, row)));
        let values: Vec<f64> = pixels
            .filter(|(column, row)| inside(*column, *row))
            .map(|(column, row)| with.at(column, row).y)
            .collect();
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        let phase = phase_deg.to_radians();
        let law = 2.0 / 3.0 * (phase.sin() + (PI - phase) * phase.cos()) / PI;
        let share = mean / (GREY * 50_000.0);
        // A polyhedron of 72 faces stands for the sphere, and its rim is left out.
        assert!(
            (share - law).abs() < 0.03,
            "{phase_deg}°: {share} for {law}"
        );
    }
}

#[test]
fn a_shadows_edge_is_as_wide_as_the_suns_disc_makes_it() {
    all()
        .into_iter()
        .for_each(a_shadows_edge_is_as_wide_as_the_suns_disc_makes_it_by);
}

fn a_shadows_edge_is_as_wide_as_the_suns_disc_makes_it_by(who: Who) {
    // A straight edge square to the sun, h over the ground: its half-shadow is h/sin e away and spreads over
    // 2·r·h/sin² e along the ground. From 10 to 90 % lit it takes the share 0.687 of that: the chord of a disc that
    // cuts off a tenth of its area, x with (arccos x − x·√(1 − x²))/π = 0.1.
    const TENTH_CHORD: f64 = 0.687;
    let height_m = 20.0;
    let elevation = 45.0_f64.to_radians();
    let roof = Solid::Prism {
        footprint: [(0.0, -15.0), (30.0, -15.0), (30.0, 15.0), (0.0, 15.0)]
            .map(|(x, y)| THERE.truncate() + DVec2::new(x, y))
            .to_vec(),
        bottom_m: height_m - 1.0,
        top_m: height_m - 0.99,
    };
    // Sun in the east: the roof's western edge falls to the west of it by h/tan e.
    let light = white_light(90.0, 45.0, 80_000.0, 10_000.0);
    let at = THERE + DVec3::new(-height_m / elevation.tan(), 0.0, -1.0);
    let view = looking(at, at + DVec3::Z * 18.0, 2.0, 400);
    let (with, without) = (
        take(who, &stage_with(&[roof]), &view, &light, 128),
        take(who, &stage_with(&[]), &view, &light, 1),
    );
    let share = |column: usize| {
        let rows = 150..250;
        let sum = |picture: &Linear| {
            rows.clone()
                .map(|row| picture.at(column, row).y)
                .sum::<f64>()
        };
        let shade = light.sky_lx / (light.sky_lx + light.beam_lx * light.toward.z);
        (sum(&with) / sum(&without) - shade) / (1.0 - shade)
    };
    let shares: Vec<f64> = (0..400).map(share).collect();
    let first = |least: f64| shares.iter().position(|share| *share < least).unwrap() as f64;
    // From west (lit) to east (shaded) the share falls.
    let width_m = (first(0.1) - first(0.9)) * 2.0 / 400.0;
    let expected_m = TENTH_CHORD * 2.0 * SUN_RADIUS_RAD * height_m / elevation.sin().powi(2);
    assert!(
        (width_m / expected_m - 1.0).abs() < 0.08,
        "{width_m} for {expected_m}"
    );
    let middle_m = (first(0.5) - 200.0) * 2.0 / 400.0;
    assert!(middle_m.abs() < 0.04, "the edge lies {middle_m} m off");
}

#[test]
fn sun_and_shade_on_an_upright_plane_stand_in_the_daylight_models_ratio() {
    all()
        .into_iter()
        .for_each(sun_and_shade_on_an_upright_plane_stand_in_the_daylight_models_ratio_by);
}

fn sun_and_shade_on_an_upright_plane_stand_in_the_daylight_models_ratio_by(who: Who) {
    // IES 1984 daylight by way of `sky::daylight`; a board far off shades the card and takes no sky worth naming.
    for elevation_deg in [15.0, 35.0, 55.0] {
        let model = daylight(elevation_deg, 1013.25, SkyCondition::Clear);
        let light = Light {
            beam_color: beam_color(elevation_deg, 1013.25),
            sky_color: sky_color(elevation_deg, 1013.25, SkyCondition::Clear),
            ..white_light(
                200.0,
                elevation_deg,
                model.beam_normal_lx,
                model.sky_horizontal_lx,
            )
        };
        let far = THERE + DVec3::Z * 4.0 + light.toward * 60.0;
        let board = Solid::Beam {
            a: far - DVec3::X * 4.0,
            b: far + DVec3::X * 4.0,
            width_m: 0.1,
            height_m: 10.0,
        };
        // A lower camera would see the board's shadow on the ground alone; the card fills this one.
        let luminance = |stage: &Stage| {
            let mean = middle_mean(&take(who, stage, &card_view(), &light, 1), 0.6);
            mean.dot(DVec3::new(0.2126, 0.7152, 0.0722))
        };
        let ratio = luminance(&stage_with(&[card()])) / luminance(&stage_with(&[card(), board]));
        let total = |lit: f64| {
            let normal = DVec3::NEG_Y;
            plane_illuminance_lx(&model, light.toward, normal, lit, 0.5, 0.2).total()
        };
        let expected = total(1.0) / total(0.0);
        assert!(
            (ratio / expected - 1.0).abs() < 0.10,
            "{elevation_deg}°: {ratio} for {expected}"
        );
    }
}

#[test]
fn middle_grey_comes_out_where_the_exposure_says() {
    all()
        .into_iter()
        .for_each(middle_grey_comes_out_where_the_exposure_says_by);
}

fn middle_grey_comes_out_where_the_exposure_says_by(who: Who) {
    // f/16 at 1/100 s and ISO 100, the rule of thumb for full sun (trade: "sunny 16"), is right for 64,000 lx by
    // ISO 2720 with C = 250: a grey card in that light is middle grey, code 118 of sRGB.
    let exposed_for_lx = illuminance_lx(ev_of_settings(16.0, 0.01), 100.0);
    assert!((exposed_for_lx - 64_000.0).abs() < 1.0);
    let stage = stage_with(&[card()]);
    let code = |beam_lx: f64| {
        let light = white_light(180.0, 0.2, beam_lx, 0.0);
        let mean = middle_mean(&take(who, &stage, &card_view(), &light, 1), 0.8);
        f64::from(tone::develop(mean / exposed_for_lx)[1])
    };
    let grey = code(64_000.0);
    assert!((grey - 118.0).abs() < 5.0, "{grey}");
    // A stop either way is darker and lighter by more than a third of a stop's own step on paper.
    assert!(code(32_000.0) < grey - 25.0 && code(128_000.0) > grey + 25.0);
}
