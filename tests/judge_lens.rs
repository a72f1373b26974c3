//! The lens of a photograph: what its tags tell against what the marks make of it, a picture that was cut, a bend. May not
//! enter: grades but those of the lens.

use crate::judge_pose::{Case, PLATE, cases, found, grid};
use crate::judge_take::{away_m, jpeg_with, marks, photograph, photograph_bytes, rehearsed};
use glam::{DVec2, DVec3};
use image::{DynamicImage, ImageFormat};
use std::io::Cursor;
use sunside::grade::{Stand, Studio};
use sunside::judge::marks::Given;
use sunside::judge::photo::Photo;
use sunside::judge::pose::{Known, Mark, fit};
use sunside::judge::take::take;
use sunside::report::judged;

/// What a lens's own length may differ from the told one by.
const SHARE: f64 = 0.015;

/// Closed form: a normal prior on one unknown and its normal marginal likelihood make a normal posterior whose weights
/// (one over the variance) add, and whose mean is weighted by them (JCGM 101:2008, 6.4.9; from memory).
#[test]
fn a_focal_length_known_roughly_counts_as_one_more_observation() {
    let mut leaned = 0;
    for case in cases() {
        let told_mm = case.truth.number("true_focal_length_mm") * (1.0 - SHARE);
        let known = |focal_mm| Known {
            focal_mm,
            focal_share: SHARE,
            placed_to_px: 0.5,
            ..Known::default()
        };
        let free = found(&case.noisy, &known(None), &case.truth);
        let rough = found(&case.noisy, &known(Some(told_mm)), &case.truth);
        let weight = |sigma: f64| sigma.powi(-2);
        let free_share = free.sigmas().focal_mm / free.focal_mm;
        let (marks, told) = (weight(free_share), weight(SHARE));
        let mean = (marks * free.focal_mm.ln() + told * told_mm.ln()) / (marks + told);
        let share = (marks + told).sqrt().recip();
        let found_share = rough.sigmas().focal_mm / rough.focal_mm;
        // The model is not quite linear, and each fit sees its own noise.
        assert!(
            (rough.focal_mm.ln() - mean).abs() < 0.3 * share,
            "{} {}",
            rough.focal_mm,
            mean.exp()
        );
        assert!(
            (found_share / share - 1.0).abs() < 0.2,
            "{found_share} {share}"
        );
        leaned += usize::from(found_share < 0.9 * free_share);
        // Known exactly, it is that and no other.
        let exact = Known {
            focal_share: 0.0,
            ..known(Some(told_mm))
        };
        assert_eq!(
            fit(&case.noisy, &PLATE, &exact).unwrap().sigmas().focal_mm,
            0.0
        );
    }
    assert!(leaned > 5, "{leaned}");
}

#[test]
fn points_of_one_face_leave_distance_as_doubtful_as_the_lens_is() {
    let face = (0..9).map(|i| {
        let (across, up) = (f64::from(i % 3), f64::from(i / 3));
        DVec3::new(across * 6.0 - 6.0, -1.5, up * 2.0)
    });
    let known = Known {
        focal_mm: Some(50.0),
        focal_share: SHARE,
        // So rough that perspective alone tells next to nothing of the lens.
        placed_to_px: 5.0,
        ..Known::default()
    };
    let found = fit(&grid(face), &PLATE, &known).unwrap();
    let sigmas = found.sigmas();
    assert!(
        (sigmas.focal_mm / 50.0 / SHARE - 1.0).abs() < 0.1,
        "{sigmas:?}"
    );
    // 28.5 m from the face, and a lens longer by a share is farther by that share.
    assert!(
        (sigmas.eye_m.y / 28.5 / SHARE - 1.0).abs() < 0.3,
        "{sigmas:?}"
    );
    assert!(found.pose.eye.distance(DVec3::new(3.0, -30.0, 1.6)) < 1e-2);
}

/// Marks as another lens shows them from the stand.
fn marks_through(studio: &Studio, stand: &Stand, lens_mm: f64, height_px: f64) -> Vec<Mark> {
    let through = Stand { lens_mm, ..*stand };
    marks(studio, &through, height_px)
}

#[test]
fn a_lens_that_is_not_quite_what_its_tag_says_puts_the_camera_where_it_stood() {
    rehearsed(|studio, stand, _| {
        let photo = photograph(studio, stand, true);
        let told_mm = stand.lens_mm;
        let given = Given {
            marks: marks_through(studio, stand, 0.98 * told_mm, photo.size_px()[1]),
            placed_to_px: Some(0.05),
            ..Given::default()
        };
        let found = take(studio, &photo, &given).unwrap();
        assert!((found.fit.focal_mm / (0.98 * told_mm) - 1.0).abs() < 2e-3);
        assert!(away_m(&found, stand) < 0.1, "{}", away_m(&found, stand));
        assert_eq!(found.shot.focal_mm.doubt, None);
        let text = judged::text(studio, &photo, &found);
        let wanted =
            format!("the lens is told as {told_mm:.1} mm, which lenses keep to 1.5 %; with");
        assert!(text.contains(&wanted), "{text}");
        // A person's word is exact: then the stand has to give way.
        let exact = Given {
            focal_mm: Some(told_mm),
            ..given
        };
        let held = take(studio, &photo, &exact).unwrap();
        assert_eq!(held.fit.focal_mm.round(), told_mm);
        assert!(away_m(&held, stand) > 3.0 * away_m(&found, stand));
    });
}

/// The middle two thirds of the frame, with its marks and the tags of the whole.
fn middle_two_thirds(studio: &Studio, stand: &Stand) -> (Photo, Given) {
    let whole = photograph_bytes(studio, stand, true);
    let picture = image::load_from_memory(&whole).unwrap();
    // The middle two thirds of 900 x 600; the tags go on telling the whole lens on 24 x 36 mm.
    let cut = picture.crop_imm(150, 100, 600, 400);
    let mut jpeg = Vec::new();
    DynamicImage::from(cut.into_rgb8())
        .write_to(&mut Cursor::new(&mut jpeg), ImageFormat::Jpeg)
        .unwrap();
    let tagged = jpeg_with(studio, &jpeg, stand.lens_mm);
    let photo = Photo::read("cut.jpg", &tagged).unwrap();
    let mut marks = marks(studio, stand, picture.height().into());
    for mark in &mut marks {
        mark.at_px -= DVec2::new(150.0, 100.0);
    }
    marks.retain(|mark| (mark.at_px.x - 300.0).abs() < 300.0);
    assert!(marks.len() >= 8);
    let given = Given {
        marks,
        placed_to_px: Some(0.1),
        ..Given::default()
    };
    (photo, given)
}

#[test]
fn a_picture_cut_to_its_own_shape_is_judged_by_the_marks_and_what_was_cut_is_told() {
    rehearsed(|studio, stand, _| {
        let (photo, given) = middle_two_thirds(studio, stand);
        let found = take(studio, &photo, &given).unwrap();
        assert!(
            (found.fit.focal_mm / stand.lens_mm - 1.5).abs() < 0.02,
            "{}",
            found.fit.focal_mm
        );
        assert!(away_m(&found, stand) < 0.3, "{}", away_m(&found, stand));
        let doubt = found.shot.focal_mm.doubt.clone().unwrap();
        for wanted in [
            "the marks make it",
            "by which it is judged",
            "cut to 67 % of its width",
            "(24.0 × 16.0 mm of the sensor)",
        ] {
            assert!(doubt.contains(wanted), "{wanted}: {doubt}");
        }
        assert!(found.poor().is_none());
        let bad = Given {
            focal_mm: Some(stand.lens_mm),
            ..given
        };
        // Given by hand it is held to, and that nothing fits then is said in words.
        let told = match take(studio, &photo, &bad) {
            Ok(found) => {
                assert!(found.poor().is_some());
                judged::text(studio, &photo, &found)
            }
            Err(why) => why,
        };
        assert!(told.contains("the marks fit to"), "{told}");
    });
}

#[test]
fn marks_that_fit_nothing_well_are_told_with_their_likely_causes() {
    rehearsed(|studio, stand, _| {
        let photo = photograph(studio, stand, true);
        let mut marks = marks(studio, stand, photo.size_px()[1]);
        // Stretched by an eighth up and down, as by straightening.
        for mark in &mut marks {
            mark.at_px.y = 300.0 + 1.12 * (mark.at_px.y - 300.0);
        }
        let given = Given {
            marks,
            placed_to_px: Some(0.1),
            ..Given::default()
        };
        let found = take(studio, &photo, &given).unwrap();
        let text = judged::text(studio, &photo, &found);
        assert!(found.poor().unwrap() > 3.0);
        assert!(
            text.contains("The fit is poor: marks said to be placed to 0.1 px"),
            "{text}"
        );
    });
}

#[test]
fn a_bend_is_looked_for_unless_that_is_turned_off_and_told_at_the_corner() {
    rehearsed(|studio, stand, _| {
        let photo = photograph(studio, stand, true);
        let [width, height] = photo.size_px();
        let focal_px = stand.lens_mm / 36.0 * width;
        let middle = DVec2::new(width, height) / 2.0;
        let mut marks = marks(studio, stand, height);
        for mark in &mut marks {
            let off = (mark.at_px - middle) / focal_px;
            mark.at_px = middle + focal_px * off * (1.0 - 0.2 * off.length_squared());
        }
        let given = Given {
            marks,
            placed_to_px: Some(0.05),
            ..Given::default()
        };
        let found = take(studio, &photo, &given).unwrap();
        assert!(
            (found.fit.radial + 0.2).abs() < 0.02,
            "{}",
            found.fit.radial
        );
        // The corner lies half a diagonal from the middle: 21.63 mm on 24 x 36.
        let wanted = 100.0 * -0.2 * (21.633 / stand.lens_mm).powi(2);
        let [percent, sigma] = found.fit.corner_percent(&found.shot.plate).unwrap();
        assert!(
            (percent - wanted).abs() < 4.0 * sigma + 0.2,
            "{percent} {wanted}"
        );
        let text = judged::text(studio, &photo, &found);
        let told = format!("(barrel): the corners lie {:.1} % ± ", percent.abs());
        assert!(text.contains(&told), "{text}");
        let straight = Given {
            radial: false,
            ..given
        };
        let found = take(studio, &photo, &straight).unwrap();
        assert_eq!(found.fit.radial, 0.0);
    });
}

/// Newton's way there and back: a place of the picture is where its ray's points are imaged.
#[test]
fn a_ray_leads_to_what_is_imaged_there() {
    let case: Case = cases().remove(3);
    let mut found = found(&case.exact, &Known::default(), &case.truth);
    for radial in [0.0, -0.25, 0.2] {
        found.radial = radial;
        for at_px in [
            DVec2::new(20.0, 30.0),
            DVec2::new(2250.0, 1500.0),
            DVec2::new(4400.0, 900.0),
        ] {
            let point = found.pose.eye + 25.0 * found.ray(&PLATE, at_px);
            let back = found.image_px(&PLATE, point).unwrap();
            assert!(back.distance(at_px) < 0.01, "{radial}: {at_px} {back}");
        }
    }
}

/// A tag 2.5 standard deviations off, six exact marks: the errors seen are none, so what marks err by is the stated precision
/// alone, two of its squares over the degrees of freedom (12 − 6 + 2, less the share of the length that the marks decide).
#[test]
fn what_a_tag_is_off_by_is_no_error_of_the_marks() {
    let mut tried = 0;
    for case in cases() {
        let true_mm = case.truth.number("true_focal_length_mm");
        let known = Known {
            focal_mm: Some(true_mm * (1.0 + 2.5 * SHARE)),
            focal_share: SHARE,
            placed_to_px: 0.1,
            ..Known::default()
        };
        let six = &case.exact[..6];
        let Ok(found) = fit(six, &PLATE, &known) else {
            continue;
        };
        if found.sigmas().focal_mm > 0.2 * SHARE * true_mm {
            continue;
        }
        tried += 1;
        let stated = 2.0 * 0.1_f64.powi(2);
        let [least, most] = [8.0, 7.0].map(|degrees: f64| (stated / degrees).sqrt());
        assert!(
            (0.99 * least..1.1 * most).contains(&found.sigma_px),
            "{} of {least} to {most}",
            found.sigma_px
        );
    }
    assert!(tried > 5, "{tried}");
}

/// Cut evenly to two thirds, its tags unchanged, and one mark off: both are told.
#[test]
fn a_picture_that_was_cut_and_a_mark_that_is_off_are_both_told() {
    rehearsed(|studio, stand, _| {
        let (photo, given) = middle_two_thirds(studio, stand);
        // Ten marks placed by hand, whose errors a wrong length hides the worst in.
        let ten = Given {
            marks: given
                .marks
                .iter()
                .step_by(given.marks.len() / 10)
                .take(10)
                .cloned()
                .collect(),
            placed_to_px: None,
            ..given.clone()
        };
        assert_eq!(ten.marks.len(), 10);
        for (given, off_px) in [
            (&given, 15.0),
            (&given, 40.0),
            (&ten, 15.0),
            (&ten, 25.0),
            (&ten, 40.0),
        ] {
            let mut bad = given.clone();
            let place = bad.marks.len() / 2;
            bad.marks[place].at_px += off_px * DVec2::new(0.6, -0.8);
            let name = bad.marks[place].name.clone();
            let found = take(studio, &photo, &bad).unwrap();
            let named: Vec<&str> = found.fit.mismarked().map(|one| one.name.as_str()).collect();
            assert_eq!(named, [name.as_str()], "{off_px}");
            let share = found.fit.focal_mm / stand.lens_mm / 1.5;
            assert!((share - 1.0).abs() < 0.05, "{off_px}: {share}");
            assert!(away_m(&found, stand) < 3.0 * found.fit.sigmas().eye_m.length());
            let doubt = found.shot.focal_mm.doubt.unwrap();
            assert!(
                doubt.contains("by which it is judged: as of a picture"),
                "{doubt}"
            );
        }
    });
}
