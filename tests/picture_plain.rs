//! The plain picture against what geometry and light give: bounds, a shadow's length, ratios of light.
//! May not enter: stored pictures.

use crate::open_field::{self, white_light};
use glam::{DVec2, DVec3};
use std::path::Path;
use sunside::camera::{film::Film, lens::Lens, pose::Pose, projection::Camera};
use sunside::mesh::solid::Solid;
use sunside::picture::{Light, plain, png};
use sunside::scene::Scene;
use sunside::scene::coat::{Coat, Finish};
use sunside::scene::surroundings::Kind;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::stage::Stage;

/// Things on the ground, all of one grey.
fn stage_with(things: &[(Kind, Solid)]) -> Stage {
    open_field::stage_with(Coat::new(Finish::Plain, [128; 3]), things)
}

fn light(azimuth_deg: f64, elevation_deg: f64) -> Light {
    white_light(azimuth_deg, elevation_deg, 80_000.0, 12_000.0)
}

const ONE_SUN: plain::Options = plain::Options {
    samples: 1,
    suns: 1,
    exposed_for_lx: None,
};

/// A camera that looks straight down from `height_m` over the ground.
fn from_above(middle: DVec2, height_m: f64, focal_mm: f64) -> Camera {
    let pose = Pose {
        pitch_deg: -90.0,
        ..Pose::level(middle.extend(height_m - 1.0), 0.0)
    };
    Camera {
        pose,
        lens: Lens::new(focal_mm),
        film: Film::FULL,
    }
}

fn place(size_m: f64, middle: DVec3) -> Solid {
    let half = size_m / 2.0;
    Solid::Prism {
        footprint: [(-half, -half), (half, -half), (half, half), (-half, half)]
            .map(|(x, y)| middle.truncate() + DVec2::new(x, y))
            .to_vec(),
        bottom_m: middle.z - half,
        top_m: middle.z + half,
    }
}

#[test]
fn a_box_of_one_metre_has_the_bounds_that_its_distance_gives() {
    // A white box against grass: its face lies 20 m before the lens, 3 m to the right, and 50 mm on 36 mm
    // shows 14.4 m across there, so that 1 m is 1200 / 14.4 pixels.
    let eye = DVec3::new(100.0, 100.0, 0.6);
    let stage = stage_with(&[(Kind::Building, place(1.0, eye + DVec3::new(3.0, 20.5, 0.0)))]);
    let camera = Camera {
        pose: Pose::level(eye, 0.0),
        lens: Lens::new(50.0),
        film: Film::FULL,
    };
    let view = plain::view_of(&camera, 1200);
    let with = plain::linear(
        &Cpu::default(),
        &stage,
        &view,
        &light(180.0, 40.0),
        &ONE_SUN,
    );
    let without = plain::linear(
        &Cpu::default(),
        &stage_with(&[]),
        &view,
        &light(180.0, 40.0),
        &ONE_SUN,
    );
    let row = 395;
    let differs = |x: usize| (with.at(x, row) - without.at(x, row)).length() > 500.0;
    let inside: Vec<usize> = (0..1200).filter(|x| differs(*x)).collect();
    // Its left flank shows too, back to 21 m.
    let per_m = |distance_m: f64| 1200.0 / (36.0 / 50.0 * distance_m);
    let expected = [600.0 + 2.5 * per_m(21.0), 600.0 + 3.5 * per_m(20.0)];
    assert!(
        (inside[0] as f64 - expected[0]).abs() <= 1.0,
        "{inside:?} {expected:?}"
    );
    let last = *inside.last().unwrap() as f64 + 1.0;
    assert!((last - expected[1]).abs() <= 1.0, "{last} {expected:?}");
}

#[test]
fn a_shifted_lens_moves_the_window_and_not_the_eye() {
    let mut camera = from_above(DVec2::ZERO, 30.0, 50.0);
    camera.pose.pitch_deg = 0.0;
    camera.lens.shift_y_mm = 5.0;
    let view = plain::view_of(&camera, 900);
    let point = camera.pose.eye + camera.ray(0.2, 0.7) * 40.0;
    let pixel = view.pixel(view.on_plane(point).unwrap());
    assert!(
        (pixel - DVec2::new(0.2 * 900.0, 0.7 * 600.0)).length() < 1e-6,
        "{pixel}"
    );
}

#[test]
fn a_poles_shadow_is_as_long_as_its_height_over_the_tangent_of_the_sun() {
    let foot = DVec3::new(100.0, 100.0, -1.0);
    for elevation_deg in [20.0, 35.0, 55.0] {
        let height_m = 6.0;
        let pole = Solid::Bar {
            a: foot,
            b: foot + DVec3::Z * height_m,
            radius_a_m: 0.15,
            radius_b_m: 0.15,
        };
        let stage = stage_with(&[(Kind::Pole, pole)]);
        // Sun in the east: the shadow runs to the west.
        let light = light(90.0, elevation_deg);
        // The top's far rim casts the end of it.
        let expected_m = height_m / light.toward.z * light.toward.x + 0.15;
        let middle = foot.truncate() - DVec2::X * (expected_m / 2.0);
        let camera = from_above(middle, 40.0, 36.0);
        let view = plain::view_of(&camera, 1600);
        let picture = plain::linear(&Cpu::default(), &stage, &view, &light, &ONE_SUN);
        // On the ground 40 m below a lens of 36 mm a picture 36 mm wide shows 40 m: 1600 px.
        let m_per_px = 40.0 / 1600.0;
        let row = picture.height / 2;
        let open = light.beam_lx * light.toward.z + light.sky_lx;
        let bright = |x: usize| picture.at(x, row).y;
        // Ground is about as bright as its own mean; shade without the beam is far below it.
        let mean = (0..200).map(bright).sum::<f64>() / 200.0;
        let shade = mean * (light.sky_lx / open + 1.0) / 2.0;
        let first_dark = (0..1600).find(|x| bright(*x) < shade).unwrap();
        let end_m = middle.x + (first_dark as f64 - 800.0) * m_per_px;
        let length_m = foot.x - end_m;
        assert!(
            (length_m / expected_m - 1.0).abs() < 0.02,
            "{length_m} for {expected_m}"
        );
    }
}

#[test]
fn sun_and_shade_on_level_ground_stand_in_the_ratio_of_their_illuminances() {
    let foot = DVec3::new(100.0, 100.0, 4.0);
    let roof = Solid::Prism {
        footprint: [(-3.0, -3.0), (3.0, -3.0), (3.0, 3.0), (-3.0, 3.0)]
            .map(|(x, y)| foot.truncate() + DVec2::new(x, y))
            .to_vec(),
        bottom_m: 6.0,
        top_m: 6.2,
    };
    let light = light(90.0, 40.0);
    let camera = from_above(foot.truncate() - DVec2::X * 8.0, 25.0, 30.0);
    let view = plain::view_of(&camera, 800);
    let shaded = stage_with(&[(Kind::Canopy, roof)]);
    let take = |stage: &Stage| plain::linear(&Cpu::default(), stage, &view, &light, &ONE_SUN);
    let (open, under) = (take(&stage_with(&[])), take(&shaded));
    // The roof's shadow lies 7.1 m over the ground, so 7.1 / tan(40°) = 8.5 m to the west: mid-picture.
    let at = (view.width / 2, view.height / 2);
    let ratio = open.at(at.0, at.1).y / under.at(at.0, at.1).y;
    let expected = (light.beam_lx * light.toward.z + light.sky_lx) / light.sky_lx;
    // Air between adds a little light to both.
    assert!((ratio / expected - 1.0).abs() < 0.03, "{ratio} {expected}");
}

#[test]
fn a_hidden_sun_leaves_only_the_sky() {
    let stage = stage_with(&[]);
    let view = plain::view_of(&from_above(DVec2::new(100.0, 100.0), 10.0, 50.0), 60);
    let take = |light: &Light| plain::linear(&Cpu::default(), &stage, &view, light, &ONE_SUN);
    let sunny = light(180.0, 40.0);
    let hidden = Light {
        sun_hidden: true,
        ..sunny.clone()
    };
    let ratio = take(&sunny).at(30, 20).y / take(&hidden).at(30, 20).y;
    let expected = 1.0 + sunny.beam_lx * sunny.toward.z / sunny.sky_lx;
    assert!((ratio / expected - 1.0).abs() < 0.02, "{ratio} {expected}");
}

#[test]
fn the_same_frame_comes_out_the_same() {
    let scene = Scene::load(Path::new("tests/scenes/box_siding.toml")).unwrap();
    let stage = Stage::of_scene(&scene, None);
    let at = scene.frame.at.unwrap();
    let eye = scene
        .machine
        .frame()
        .to_machine(DVec3::new(22.0, -22.0, 1.1));
    let heading_deg = sunside::units::bearing_deg(-eye.x, -eye.y);
    let camera = Camera {
        pose: Pose::level(eye, heading_deg),
        lens: Lens::new(50.0),
        film: Film::FULL,
    };
    let view = plain::view_of(&camera, 150);
    let light = Light::at(&scene, at);
    let take = || {
        plain::render(
            &Cpu::default(),
            &stage,
            &view,
            &light,
            &plain::Options::default(),
        )
    };
    assert_eq!(take(), take());
}

#[test]
fn a_saved_picture_says_its_colour_space_its_title_and_its_instant() {
    let picture = png::Picture {
        width: 3,
        height: 2,
        pixels_srgb: (0..6).map(|i| [10 * i, 200, 30]).collect(),
    };
    let file = png::encode(&picture, "Gleis „Süd“", "2027-05-14 10:20 CDT");
    let mut reader = ::png::Decoder::new(std::io::Cursor::new(file))
        .read_info()
        .unwrap();
    let mut bytes = vec![0; 18];
    reader.next_frame(&mut bytes).unwrap();
    let info = reader.info();
    assert!(info.srgb.is_some());
    let texts: Vec<String> = info
        .utf8_text
        .iter()
        .map(|chunk| chunk.get_text().unwrap())
        .collect();
    assert!(texts.contains(&"Gleis „Süd“".to_string()));
    assert!(texts.contains(&"2027-05-14 10:20 CDT".to_string()));
    assert_eq!(bytes, picture.pixels_srgb.as_flattened());
}
