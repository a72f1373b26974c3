//! A frame that was rehearsed, exported as a photograph and judged again: pose, verdict, doubts. May not enter: single
//! formulas.

use crate::judge_exif::{ascii, rationals, short, tiff, with_exif};
use glam::DVec2;
use image::{ExtendedColorType, ImageEncoder, codecs::jpeg::JpegEncoder};
use std::path::Path;
use sunside::gpu::choice::Choice;
use sunside::grade::{Grade, Rulebook, Stand, Studio, Verdict};
use sunside::judge::marks::Given;
use sunside::judge::photo::Photo;
use sunside::judge::pose::Mark;
use sunside::judge::take::{Take, take};
use sunside::picture::painter::Painter;
use sunside::picture::predicted::predicted;
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;

pub const WIDTH_PX: usize = 900;

/// The site's own frame, its studio, and the sheet that the rehearsal gives it.
pub fn rehearsed(then: impl FnOnce(&Studio, &Stand, &sunside::grade::Sheet)) {
    let scene = Scene::load(Path::new("scenes/open_siding.toml")).unwrap();
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let stand = studio.default_stand();
    let at = studio.scene.frame.at.unwrap();
    let minute = studio.minute(at);
    let mut capture = studio.default_capture();
    capture.exposure_s = Some(1.0 / 125.0);
    capture.f_number = 5.6;
    let sheet = studio.grade(&stand, &capture, &minute).sheet;
    then(&studio, &stand, &sheet);
}

/// The frame as a photograph; with its focal length in its tags, or without.
pub fn photograph(studio: &Studio, stand: &Stand, focal: bool) -> Photo {
    Photo::read("siding.jpg", &photograph_bytes(studio, stand, focal)).unwrap()
}

/// The same as its file.
pub fn photograph_bytes(studio: &Studio, stand: &Stand, focal: bool) -> Vec<u8> {
    jpeg_of(studio, stand, focal.then_some(stand.lens_mm), USUAL)
}

/// f-number, and one over the exposure time in seconds.
const USUAL: (f64, f64) = (5.6, 125.0);

/// A frame taken with some settings, as a JPEG with these in its tags.
pub fn jpeg_of(
    studio: &Studio,
    stand: &Stand,
    focal_mm: Option<f64>,
    (f_number, over): (f64, f64),
) -> Vec<u8> {
    let at = studio.scene.frame.at.unwrap();
    let painter = Painter::open(Choice::Cpu).unwrap();
    let settings = Some((f_number, 1.0 / over));
    let painted = predicted(&painter, studio, stand, at, settings, WIDTH_PX).picture;
    let mut jpeg = Vec::new();
    JpegEncoder::new_with_quality(&mut jpeg, 92)
        .write_image(
            painted.pixels_srgb.as_flattened(),
            painted.width as u32,
            painted.height as u32,
            ExtendedColorType::Rgb8,
        )
        .unwrap();
    tagged(studio, &jpeg, focal_mm, false, (f_number, over))
}

/// A JPEG with tags of how it was shot on 24 x 36 mm, the sensor told by the equivalent focal length.
pub fn jpeg_with(studio: &Studio, jpeg: &[u8], focal_mm: f64) -> Vec<u8> {
    tagged(studio, jpeg, Some(focal_mm), true, USUAL)
}

pub fn tagged(
    studio: &Studio,
    jpeg: &[u8],
    focal_mm: Option<f64>,
    equivalent: bool,
    (f_number, over): (f64, f64),
) -> Vec<u8> {
    let mut exif = vec![
        rationals(0x829a, &[(1, over as u32)]),
        rationals(0x829d, &[((10.0 * f_number).round() as u32, 10)]),
        short(0x8827, studio.scene.kit.film_speed_iso as u16),
        ascii(0x9003, "2027:05:14 10:00:00"),
        ascii(0x9011, "-05:00"),
    ];
    match focal_mm.filter(|_| equivalent) {
        Some(mm) => exif.push(short(0xa405, mm as u16)),
        // 900 pixels on 36 mm: 250 to a centimetre.
        None => exif.extend([
            rationals(0xa20e, &[(250, 1)]),
            rationals(0xa20f, &[(250, 1)]),
            short(0xa210, 3),
        ]),
    }
    exif.extend(focal_mm.map(|mm| rationals(0x920a, &[(mm as u32, 1)])));
    with_exif(jpeg, &tiff(&[short(0x0112, 1)], &exif, &[]))
}

/// Marks with a pixel of noise from a linear congruential generator (Numerical Recipes' constants), twelve evens summed.
pub fn noisy(mut marks: Vec<Mark>) -> Vec<Mark> {
    let mut state = 7_u64;
    let mut even = || {
        state = state.wrapping_mul(1664525).wrapping_add(1013904223) % (1 << 32);
        state as f64 / 4294967296.0
    };
    let mut normal = || (0..12).map(|_| even()).sum::<f64>() - 6.0;
    for mark in &mut marks {
        mark.at_px += DVec2::new(normal(), normal());
    }
    marks
}

/// Marks as the file beside a photograph has them.
pub fn marks_text(about: &str, marks: &[Mark]) -> String {
    let mut text = format!("[marks]\n{about}\n");
    for Mark { name, at_px, .. } in marks {
        text += &format!(
            "[[mark]]\npoint = \"{name}\"\nat_px = [{:.2}, {:.2}]\n",
            at_px.x, at_px.y
        );
    }
    text
}

/// Marks on the points that face the camera, placed to 0.01 px.
pub fn marks(studio: &Studio, stand: &Stand, height_px: f64) -> Vec<Mark> {
    let camera = studio.camera(stand);
    let side = camera.pose.eye.y.signum();
    let facing = studio.scene.machine.model.points.iter();
    let mark = |point: &sunside::mesh::model::NamedPoint| {
        let (u, v) = camera.u_v(&camera.project(point.position_m)?);
        let place = DVec2::new(u * WIDTH_PX as f64, v * height_px);
        Some(Mark {
            name: point.name.clone(),
            at_m: point.position_m,
            at_px: (place * 100.0).round() / 100.0,
        })
    };
    let all = facing.filter(|point| point.position_m.y * side > -0.3);
    all.filter_map(mark).collect()
}

pub fn away_m(found: &Take, stand: &Stand) -> f64 {
    let height_m = found.stand.height_m - stand.height_m;
    found.stand.spot_m.distance(stand.spot_m).hypot(height_m)
}

#[test]
fn a_rehearsed_frame_judged_as_a_photograph_has_its_pose_and_its_verdict() {
    rehearsed(|studio, stand, sheet| {
        let photo = photograph(studio, stand, true);
        let given = Given {
            marks: marks(studio, stand, photo.size_px()[1]),
            placed_to_px: Some(0.01),
            ..Given::default()
        };
        assert!(given.marks.len() >= 12);
        let found = take(studio, &photo, &given).unwrap();
        assert_eq!(found.shot.at.value, studio.scene.frame.at);
        assert!(away_m(&found, stand) < 0.05, "{:?}", found.stand);
        for (found, wanted) in [
            (found.stand.heading_deg, stand.heading_deg),
            (found.stand.pitch_deg, stand.pitch_deg),
            (found.stand.roll_deg, stand.roll_deg),
        ] {
            assert!((found - wanted).abs() < 0.1, "{found} {wanted}");
        }
        assert_eq!(found.sheet.verdict, sheet.verdict);
        assert!((found.sheet.score - sheet.score).abs() < 1.0);
        let key = |sheet: &sunside::grade::Sheet| -> Vec<(String, Grade)> {
            let of = |one: &sunside::grade::Finding| (one.fault.clone(), one.grade);
            let rehearsed = sheet.findings.iter();
            let rehearsed = rehearsed.filter(|one| !one.measure.is_of_photographs());
            rehearsed.map(of).collect()
        };
        assert_eq!(key(&found.sheet), key(sheet));
        // A rehearsed frame has no levels to be judged. Two stops too many clip, and block nothing.
        use sunside::grade::MeasureId::{Blocked, Clipped};
        assert!(sheet.row(Clipped).is_none() && sheet.row(Blocked).is_none());
        let grade = |id| found.sheet.row(id).unwrap().grade;
        assert!(grade(Clipped) >= Some(Grade::Marked), "{:?}", found.tones);
        assert_eq!(grade(Blocked), Some(Grade::Clean));
        let tones = found.tones.unwrap();
        assert!(
            tones.mean > 0.05 && tones.mean < 0.8 && tones.clipped < 0.5,
            "{tones:?}"
        );
    });
}

#[test]
fn a_mismarked_point_is_named_and_what_is_open_is_told_with_both_grades() {
    rehearsed(|studio, stand, _| {
        let photo = photograph(studio, stand, false);
        let mut marks = noisy(marks(studio, stand, photo.size_px()[1]));
        marks[3].at_px += DVec2::new(24.0, -32.0);
        let bad = marks[3].name.clone();
        let given = Given {
            marks,
            ..Given::default()
        };
        let found = take(studio, &photo, &given).unwrap();
        assert_eq!(found.shot.focal_mm.value, None);
        let named: Vec<&str> = found.fit.mismarked().map(|one| one.name.as_str()).collect();
        assert_eq!(named, [bad.as_str()]);
        let sigmas = found.fit.sigmas();
        assert!(away_m(&found, stand) < 4.0 * sigmas.eye_m.length() && away_m(&found, stand) < 3.0);
        assert!((found.fit.focal_mm - stand.lens_mm).abs() < 4.0 * sigmas.focal_mm);
        let roll = (found.doubts.iter())
            .find(|doubt| doubt.measure == sunside::grade::MeasureId::Roll)
            .unwrap();
        // The frame is level: the doubt of its roll is the pose's own, though the measure is an absolute one.
        let ratio = roll.sigma / sigmas.roll_deg;
        assert!((0.7..1.4).contains(&ratio), "{roll:?} {sigmas:?}");
        for doubt in &found.doubts {
            assert!(doubt.sigma.is_finite() && doubt.grades[0] <= doubt.grades[1]);
        }
    });
}

#[test]
fn without_a_time_the_light_is_unknown_and_the_rest_is_judged() {
    rehearsed(|studio, stand, sheet| {
        let mut photo = photograph(studio, stand, true);
        photo.said.local.value = None;
        let given = Given {
            marks: marks(studio, stand, photo.size_px()[1]),
            placed_to_px: Some(0.01),
            ..Given::default()
        };
        let found = take(studio, &photo, &given).unwrap();
        let row = |sheet: &sunside::grade::Sheet, id| sheet.row(id).unwrap().clone();
        use sunside::grade::MeasureId::{NearFar, NoseLit, ShadowLine};
        for id in [NoseLit, ShadowLine] {
            assert!(row(&found.sheet, id).unknown.is_some(), "{id:?}");
        }
        let near_far = row(&found.sheet, NearFar).value.unwrap();
        assert!((near_far - row(sheet, NearFar).value.unwrap()).abs() < 1e-3);
        // What it is told as says so everywhere, and the mount's mark says no more.
        let mount = sunside::report::judged::mount(studio, &photo, &found);
        let words = sunside::report::judged::verdict(&found);
        assert!(words.starts_with("at best "), "{words}");
        assert_eq!((mount.verdict_words(), mount.at_best), (words, true));
        // With anything unknown a frame is at most good.
        assert_ne!(found.sheet.verdict, Verdict::Fine);
    });
}
