//! A frame that was rehearsed, exported as a photograph and judged again: pose, verdict, doubts. May not enter: single
//! formulas.

use crate::judge_exif::{ascii, rationals, short, tiff, with_exif};
use glam::DVec2;
use image::{ExtendedColorType, ImageEncoder, codecs::jpeg::JpegEncoder};
use std::path::Path;
use sunside::camera::film::Film;
use sunside::document::Document;
use sunside::gpu::choice::Choice;
use sunside::grade::{Grade, Rulebook, Stand, Studio, Verdict};
use sunside::judge::marks::{Given, read};
use sunside::judge::photo::Photo;
use sunside::judge::pose::Mark;
use sunside::judge::shot::Shot;
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

fn tagged(
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
        // With anything unknown a frame is at most good.
        assert_ne!(found.sheet.verdict, Verdict::Fine);
    });
}

#[test]
fn a_marks_file_is_read_and_told_of_everything_wrong_in_it() {
    let scene = Scene::load(Path::new("scenes/open_siding.toml")).unwrap();
    let of = |text: &str| {
        let document = Document::parse("m.toml", text.as_bytes());
        read(document, &scene.machine.shut, &scene.place.zone)
    };
    let given = of(
        "[marks]\nplaced_to_px = 0.5\nfocal_mm = 50\nfilm_mm = [36, 24]\nat = \"2027-05-14 10:00\"\n\
         [[mark]]\npoint = \"coupler_front\"\nat_px = [10, 20.5]\n",
    )
    .unwrap();
    assert_eq!((given.marks.len(), given.focal_mm), (1, Some(50.0)));
    assert_eq!(given.at, scene.frame.at);
    let told = of(
        "[marks]\nplaced_to_px = 0\nwhen = 1\n[[mark]]\npoint = \"cupler_front\"\nat_px = [1, 2]\n\
         [[mark]]\npoint = \"coupler_rear\"\nat_px = [nan, 2]\n[[mark]]\npoint = \"coupler_rear\"\nat_px = [1]\n\
         [[mark]]\npoint = \"coupler_front\"\nat_px = [1, 2]\n[[mark]]\npoint = \"coupler_front\"\nat_px = [1, 2]\n",
    )
    .unwrap_err()
    .to_string();
    for wanted in [
        "m.toml:2:",
        "marks.when: unknown key",
        "did you mean \"coupler_front\"?",
        "mark[2].at_px",
        "1 numbers instead of 2",
        "a point marked twice",
    ] {
        assert!(told.contains(wanted), "{wanted}: {told}");
    }
}

#[test]
fn hostile_photographs_are_told_and_nothing_panics() {
    rehearsed(|studio, stand, _| {
        let photo = photograph(studio, stand, true);
        let mut png = Vec::new();
        let mut cursor = std::io::Cursor::new(&mut png);
        photo
            .pixels
            .write_to(&mut cursor, image::ImageFormat::Png)
            .unwrap();
        assert!(Photo::read("whole.png", &png).is_ok());
        let mut jpeg = Vec::new();
        let mut cursor = std::io::Cursor::new(&mut jpeg);
        photo
            .pixels
            .write_to(&mut cursor, image::ImageFormat::Jpeg)
            .unwrap();
        let mut huge = png.clone();
        huge[16..24].copy_from_slice(&[0x7f, 0xff, 0xff, 0xff, 0x7f, 0xff, 0xff, 0xff]);
        let mut tiff_of_nothing = b"II*\0\x08\0\0\0\x01\0\0\x01\x04\0\x01\0\0\0".to_vec();
        tiff_of_nothing.extend([0xff; 8]);
        let hostile: Vec<Vec<u8>> = vec![
            vec![],
            b"not a picture".to_vec(),
            vec![0xff, 0xd8],
            vec![0xff, 0xd8, 0xff, 0xd9],
            vec![0xff; 4000],
            png[..40].to_vec(),
            png[..png.len() / 2].to_vec(),
            huge,
            tiff_of_nothing,
            b"II*\0\xff\xff\xff\xff".to_vec(),
            b"MM\0*\0\0\0\x08\0\0".to_vec(),
            jpeg[..200].to_vec(),
        ];
        for (index, bytes) in hostile.iter().enumerate() {
            let told = Photo::read("hostile", bytes).map(|photo| photo.size_px());
            assert!(told.is_err(), "{index}: {told:?}");
        }
        // Whatever a broken stream decodes to, it is a picture of its size or a message; one that is cut is a message, but
        // for its last bits, which the decoder may not need.
        let [width, height] = photo.size_px();
        let mut whole = 0;
        for step in 0..60 {
            let mut broken = jpeg.clone();
            let at = (step * 977) % broken.len();
            broken[at] ^= 0x5a;
            match Photo::read("broken", &broken) {
                Ok(read) => {
                    whole += 1;
                    let [across, down] = read.size_px();
                    assert!(across * down > 0.0 && across * down < 2e8);
                }
                Err(why) => assert!(!why.is_empty()),
            }
            let short = Photo::read("short", &jpeg[..jpeg.len() * step / 60]);
            assert!(short.is_err(), "{step} of 60 parts");
        }
        assert!(whole > 10, "{whole}");
        // Without the mark of its end it is the same picture, and that is said.
        let endless = Photo::read("endless", &jpeg[..jpeg.len() - 2]).unwrap();
        assert_eq!(endless.size_px(), [width, height]);
        assert!(endless.flaw.unwrap().contains("lacks the mark of its end"));
        assert_eq!(Photo::read("whole", &jpeg).unwrap().flaw, None);
        assert_eq!(endless.pixels, Photo::read("whole", &jpeg).unwrap().pixels);
    });
}

#[test]
fn what_the_levels_say_is_graded_and_what_is_not_told_is_never_guessed() {
    rehearsed(|studio, stand, _| {
        use sunside::grade::MeasureId::{Blocked, Clipped, ExposureError, FocusOutside};
        let mut photo = photograph(studio, stand, true);
        let given = Given {
            marks: marks(studio, stand, photo.size_px()[1]),
            placed_to_px: Some(0.01),
            ..Given::default()
        };
        let grade = |photo: &Photo, id| {
            let found = take(studio, photo, &given).unwrap();
            found.sheet.row(id).unwrap().grade
        };
        // Two stops more on the sensor: levels of a linear scale doubled twice, by the sRGB curve (IEC 61966-2-1).
        let exposed = |photo: &Photo, factor: f64| {
            let mut other = photo.clone();
            for pixel in other.pixels.pixels_mut() {
                for level in &mut pixel.0 {
                    let encoded = f64::from(*level) / 255.0;
                    let linear = match encoded <= 0.04045 {
                        true => encoded / 12.92,
                        false => ((encoded + 0.055) / 1.055).powf(2.4),
                    };
                    let more = (linear * factor).min(1.0);
                    let encoded = match more <= 0.0031308 {
                        true => 12.92 * more,
                        false => 1.055 * more.powf(1.0 / 2.4) - 0.055,
                    };
                    *level = (255.0 * encoded).round() as u8;
                }
            }
            other
        };
        let clipped = grade(&exposed(&photo, 4.0), Clipped).unwrap();
        assert!(clipped >= Grade::Marked, "{clipped:?}");
        let blocked = grade(&exposed(&photo, 1.0 / 32.0), Blocked).unwrap();
        assert!(blocked >= Grade::Slight, "{blocked:?}");
        // Two stops too many by its settings, and yet dark: the levels are judged, in one sentence.
        let dark = take(studio, &exposed(&photo, 1.0 / 32.0), &given).unwrap();
        let row = dark.sheet.row(ExposureError).unwrap();
        let why = row.unknown.as_ref().unwrap();
        assert!(why.starts_with("settings and levels disagree"), "{why}");
        assert!(
            why.contains("over-exposed") && why.contains("blocked to black"),
            "{why}"
        );
        let text = sunside::report::judged::text(studio, &photo, &dark);
        assert!(!text.contains("stop down"), "{text}");
        assert!(grade(&photo, ExposureError).is_some() && grade(&photo, FocusOutside).is_some());
        // Of an unknown sensor nobody knows how sharp is sharp.
        let mut bare = photo.clone();
        bare.said.sensor = sunside::judge::exif::read(&[], None).sensor;
        assert_eq!(grade(&bare, FocusOutside), None);
        let unknown = Shot::of(&bare, &given, studio);
        assert_eq!((unknown.film.value, unknown.focal_mm.value), (None, None));
        photo.said.f_number.value = None;
        assert_eq!(grade(&photo, ExposureError), None);
        assert_eq!(grade(&photo, FocusOutside), None);
        let told = Given {
            f_number: Some(5.6),
            ..given.clone()
        };
        let found = take(studio, &photo, &told).unwrap();
        assert_eq!(found.shot.f_number.origin, "as given");
        assert!(found.sheet.row(ExposureError).unwrap().grade.is_some());
    });
}

/// Plain arithmetic: 24 × 36 mm the other way up, and as much of it as a square or a strip leaves.
#[test]
fn a_picture_held_upright_turns_the_sensor_and_one_that_was_cut_has_less_of_it() {
    rehearsed(|studio, stand, _| {
        let shot = |width: u32, height: u32, given: &Given| {
            let mut png = Vec::new();
            image::codecs::png::PngEncoder::new(&mut png)
                .write_image(
                    &vec![90; (width * height * 3) as usize],
                    width,
                    height,
                    ExtendedColorType::Rgb8,
                )
                .unwrap();
            let photo = Photo::read("plain.png", &png).unwrap();
            Shot::of(&photo, given, studio)
        };
        let typed = Given {
            film: Some(Film::FULL),
            ..Given::default()
        };
        // Typed, and where nothing is known the scene's kit, which is the same.
        for given in [&typed, &Given::default()] {
            for ([width, height], [width_mm, height_mm]) in [
                ([300, 200], [36.0, 24.0]),
                ([200, 300], [24.0, 36.0]),
                ([200, 200], [24.0, 24.0]),
                ([300, 100], [36.0, 12.0]),
                ([100, 300], [8.0, 24.0]),
            ] {
                let film = shot(width, height, given).plate.film;
                assert!(
                    (film.width_mm - width_mm).abs() < 1e-9
                        && (film.height_mm - height_mm).abs() < 1e-9,
                    "{width} × {height}: {film:?}"
                );
            }
        }
        // Of a sensor that its tags tell, a cut leaves the focal length open.
        let photo = photograph(studio, stand, true);
        let whole = Shot::of(&photo, &Given::default(), studio);
        assert!((whole.focal_mm.value.unwrap() - stand.lens_mm).abs() < 0.5);
        let mut cut = photo.clone();
        cut.pixels = image::imageops::crop_imm(&photo.pixels, 0, 0, 600, 600).to_image();
        let cut = Shot::of(&cut, &Given::default(), studio);
        assert_eq!(cut.focal_mm.value, None);
        // "I stood here" shows as much through the lens of the scene's own film.
        let given = Given {
            marks: marks(studio, stand, photo.size_px()[1]),
            ..Given::default()
        };
        let mut found = take(studio, &photo, &given).unwrap();
        let lens_mm = found.frame(studio).lens_mm;
        found.shot.plate.film.width_mm = 24.0;
        assert!((found.frame(studio).lens_mm / lens_mm - 1.5).abs() < 1e-9);
    });
}

#[test]
fn a_focal_length_that_the_marks_contradict_is_told_with_the_one_that_fits() {
    rehearsed(|studio, stand, _| {
        let photo = photograph(studio, stand, true);
        for factor in [0.2, 0.85, 1.0, 1.2, 1.7] {
            let given = Given {
                marks: marks(studio, stand, photo.size_px()[1]),
                focal_mm: Some(stand.lens_mm * factor),
                ..Given::default()
            };
            let told = match take(studio, &photo, &given) {
                Ok(found) => found.shot.focal_mm.doubt,
                Err(why) => Some(why),
            };
            let right = format!("with {:.1} mm the marks fit", stand.lens_mm);
            let is_told = told.as_ref().is_some_and(|told| told.contains(&right));
            assert_eq!(is_told, factor != 1.0, "{factor}: {told:?}");
        }
    });
}
