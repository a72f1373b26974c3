//! Tones of the machine in a photograph: how they are graded, what stands before it, and what settings and clock are held against
//! them. May not enter: poses.

use crate::judge_take::{marks, photograph, rehearsed};
use chrono::NaiveDate;
use glam::{DVec2, DVec3};
use image::{Rgb, RgbImage};
use std::path::Path;
use sunside::document::Document;
use sunside::grade::{Grade, Rulebook, Stand, Studio, WIDEST_GRADED_DEG};
use sunside::judge::marks::Given;
use sunside::judge::outline::tones;
use sunside::judge::photo::Photo;
use sunside::judge::pose::{Fit, Plate, UNKNOWNS};
use sunside::judge::shot::Shot;
use sunside::judge::take::take;
use sunside::report::judged;
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;

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

/// Places in the picture right of every edge of their convex hull by a margin, by Andrew's monotone chain (1979).
fn hull(mut points: Vec<DVec2>) -> Vec<DVec2> {
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let half = |points: &mut dyn Iterator<Item = &DVec2>| {
        let mut chain: Vec<DVec2> = Vec::new();
        for point in points {
            while let [.., a, b] = chain[..]
                && (b - a).perp_dot(*point - b) <= 0.0
            {
                chain.pop();
            }
            chain.push(*point);
        }
        chain.pop();
        chain
    };
    let mut all = half(&mut points.iter());
    all.extend(half(&mut points.iter().rev()));
    all
}

fn is_inside(hull: &[DVec2], at: DVec2, margin: f64) -> bool {
    (0..hull.len()).all(|i| {
        let (a, b) = (hull[i], hull[(i + 1) % hull.len()]);
        (b - a).normalize().perp_dot(at - a) > margin
    })
}

/// Something white before a black machine is no tone of the machine: a shed of known corners, whitened where the camera's
/// projection has them.
#[test]
fn what_stands_before_the_machine_is_left_out_of_its_tones() {
    let plain = Scene::load(Path::new("scenes/open_siding.toml")).unwrap();
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let bare = Studio::new(plain, &rulebook, &cpu, None);
    let stand = bare.default_stand();
    // Two thirds of the way, before the machine's left part and not its right.
    let eye = bare.camera(&stand).pose.eye;
    let middle = eye * 0.35 + DVec3::new(3.0, 0.0, 0.0);
    let corners = [(-1.5, -1.0), (1.5, -1.0), (1.5, 1.0), (-1.5, 1.0)]
        .map(|(x, y)| DVec3::new(middle.x + x, middle.y + y, 0.0));
    let [base_m, top_m] = [-0.5, 3.0];
    let footprint = corners.map(|corner| {
        let at = bare.frame.to_site(corner);
        format!("[{:.6}, {:.6}]", at.x, at.y)
    });
    let text = std::fs::read_to_string("scenes/open_siding.toml").unwrap();
    let text = format!(
        "{text}\n[[building]]\nname = \"box\"\nfootprint_m = [{}]\nbase_m = {base_m}\nheight_m = {}\n",
        footprint.join(", "),
        top_m - base_m
    );
    let path = Path::new("scenes/box.toml");
    let scene = Scene::read(Document::parse("scenes/box.toml", text.as_bytes()), path).unwrap();
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let seen = studio.look_at_size(studio.eye(&stand), &rulebook.proof, WIDEST_GRADED_DEG);
    let camera = studio.camera(&stand);
    let fit = Fit {
        pose: camera.pose,
        focal_mm: stand.lens_mm,
        heeds_focal: true,
        radial: 0.0,
        middle_px: DVec2::ZERO,
        covariance: [[0.0; UNKNOWNS]; UNKNOWNS],
        rms_px: 0.0,
        sigma_px: 1.0,
        residuals: Vec::new(),
    };
    let plate = Plate {
        // Every pixel is one of those that are counted.
        width_px: 750.0,
        height_px: 500.0,
        film: studio.scene.kit.film,
    };
    let image_of = |at: DVec3| {
        let (u, v) = camera.u_v(&camera.project(at).unwrap());
        DVec2::new(u * plate.width_px, v * plate.height_px)
    };
    let both = |corner: &DVec3| [base_m, top_m].map(|z| image_of(corner.with_z(z)));
    let outline = hull(corners.iter().flat_map(both).collect());
    let painted = |is_white: &dyn Fn(DVec2) -> bool| {
        RgbImage::from_fn(750, 500, |x, y| {
            let at = DVec2::new(f64::from(x) + 0.5, f64::from(y) + 0.5);
            Rgb([if is_white(at) { 255 } else { 0 }; 3])
        })
    };
    let model = &studio.scene.machine.model;
    let clipped =
        |picture: &RgbImage, eye| tones(model, &fit, &plate, picture, eye).unwrap().clipped;
    let within = painted(&|at| is_inside(&outline, at, 1.5));
    // It covers some of the machine, and none of that counts.
    assert!(clipped(&within, None) > 0.02, "{}", clipped(&within, None));
    assert_eq!(clipped(&within, seen.as_ref()), 0.0);
    // All that lies beside it counts, to the last pixel.
    let beside = painted(&|at| !is_inside(&outline, at, -1.5));
    let left = 1.0 - clipped(&beside, seen.as_ref());
    let edge = clipped(
        &painted(&|at| is_inside(&outline, at, -1.5) && !is_inside(&outline, at, 1.5)),
        None,
    );
    assert!(left <= edge + 1e-9, "{left} {edge}");
}

/// Daylight by night: f/5.6, 1/125 s and ISO 64 are 12.6 steps, and no yard is lit like that.
#[test]
fn a_clock_that_says_night_of_a_picture_in_daylight_is_not_believed() {
    rehearsed(|studio, stand, _| {
        let mut photo = photograph(studio, stand, true);
        let given = Given {
            marks: marks(studio, stand, photo.size_px()[1]),
            placed_to_px: Some(0.05),
            ..Given::default()
        };
        let night = NaiveDate::from_ymd_opt(2027, 5, 14).and_then(|day| day.and_hms_opt(23, 0, 0));
        photo.said.local.value = night;
        let found = take(studio, &photo, &given).unwrap();
        assert_eq!(found.shot.at.value, None);
        let text = judged::text(studio, &photo, &found);
        for wanted in [
            "2027-05-14 23:00",
            "which is daylight: the clock, its date or its zone is wrong",
            "Verdict: at best ",
        ] {
            assert!(text.contains(wanted), "{wanted}: {text}");
        }
        assert!(!text.contains("come by day"), "{text}");
        // What a person says stays, and is doubted.
        let typed = Given {
            at: studio
                .scene
                .frame
                .at
                .map(|at| at + chrono::TimeDelta::hours(13)),
            ..given.clone()
        };
        let found = take(studio, &photo, &typed).unwrap();
        assert_eq!(found.shot.at.value, typed.at);
        assert!(found.shot.at.doubt.unwrap().contains("which is daylight"));
        // A long exposure by night is one.
        photo.said.exposure_s.value = Some(8.0);
        assert!(take(studio, &photo, &given).unwrap().knows_light());
    });
}

#[test]
fn a_time_before_there_were_tags_is_told_with_doubt() {
    rehearsed(|studio, stand, _| {
        let mut jpeg = crate::judge_take::photograph_bytes(studio, stand, true);
        assert_eq!(
            Photo::read("now.jpg", &jpeg).unwrap().said.local.doubt,
            None
        );
        let place = jpeg
            .windows(10)
            .position(|part| part == b"2027:05:14")
            .unwrap();
        jpeg[place..place + 4].copy_from_slice(b"1850");
        let doubt = Photo::read("old.jpg", &jpeg).unwrap().said.local.doubt;
        assert!(doubt.unwrap().contains("no camera wrote tags yet"));
    });
}

/// Plain reading of the limits: what lies between them is clean, and the nearest of it is the limit itself.
#[test]
fn a_doubt_that_reaches_over_the_clean_middle_leaves_clean_open() {
    use sunside::grade::MeasureId::EyeOverRail;
    rehearsed(|studio, stand, _| {
        let rule = studio.rulebook.rule(EyeOverRail).unwrap();
        let [low, high] = [&rule.low, &rule.high].map(|side| side.as_ref().unwrap().limits[0]);
        let middle = (low + high) / 2.0;
        assert_eq!(
            [low - 1.0, middle, high + 1.0].map(|at| rule.nearest_clean(at)),
            [low, middle, high]
        );
        // Just above what is clean, and so doubtful that both ends are not.
        let above = Stand {
            height_m: stand.height_m + high + 0.3 - studio.eye(stand).z,
            ..*stand
        };
        let photo = photograph(studio, &above, true);
        let mut tried = 0;
        for placed_to_px in [10.0, 20.0, 40.0, 60.0] {
            let given = Given {
                marks: marks(studio, &above, photo.size_px()[1]),
                placed_to_px: Some(placed_to_px),
                ..Given::default()
            };
            let Ok(found) = take(studio, &photo, &given) else {
                continue;
            };
            let doubt = found
                .doubts
                .iter()
                .find(|doubt| doubt.measure == EyeOverRail)
                .unwrap();
            if doubt.value - 2.0 * doubt.sigma > low {
                continue;
            }
            tried += 1;
            assert_eq!(doubt.grades[0], Grade::Clean, "{doubt:?}");
        }
        assert!(tried > 0);
    });
}
