//! Pictures cut beside their middle: the camera stood where it did, within what is told, and the doubt is told in words.
//! May not enter: whole pictures.

use crate::judge_pose::{Case, PLATE, cases};
use crate::judge_take::{away_m, jpeg_with, marks, photograph_bytes, rehearsed, tagged};
use glam::{DVec2, DVec3};
use image::{DynamicImage, ImageFormat};
use std::io::Cursor;
use sunside::camera::film::Film;
use sunside::grade::{Stand, Studio};
use sunside::judge::marks::Given;
use sunside::judge::photo::Photo;
use sunside::judge::pose::{Fit, Known, Mark, Plate, UNKNOWNS, fit};
use sunside::judge::take::take;
use sunside::report::judged;

/// The eye's and the turn's error of a fit in what it says of its doubt: eᵀ C⁻¹ e over one unknown at a time.
fn in_sigmas(found: &Fit, case: &Case) -> [f64; 6] {
    let of = |what: &str| case.truth.number(&format!("true_{what}"));
    let sigmas = found.sigmas();
    let pose = found.pose;
    let turn = |a: f64, b: f64| (a - b + 180.0).rem_euclid(360.0) - 180.0;
    let eye = (pose.eye - DVec3::new(of("x_m"), of("y_m"), of("z_m"))) / sigmas.eye_m;
    [
        eye.x,
        eye.y,
        eye.z,
        turn(pose.heading_deg, of("heading_deg")) / sigmas.heading_deg,
        turn(pose.pitch_deg, of("pitch_deg")) / sigmas.pitch_deg,
        turn(pose.roll_deg, of("roll_deg")) / sigmas.roll_deg,
    ]
}

/// The same camera's marks, so many pixels cut from the left and from above.
fn cut(case: &Case, left_px: f64, top_px: f64) -> (Vec<Mark>, Plate) {
    let mut marks = case.noisy.clone();
    for mark in &mut marks {
        mark.at_px -= DVec2::new(left_px, top_px);
    }
    // Five sixths of it are kept, the film with it.
    let share = 5.0 / 6.0;
    let plate = Plate {
        width_px: PLATE.width_px * share,
        height_px: PLATE.height_px * share,
        film: Film {
            width_mm: PLATE.film.width_mm * share,
            height_mm: PLATE.film.height_mm * share,
        },
    };
    (marks, plate)
}

/// Source: OpenCV 5.0 `projectPoints` (the table's README), noise of 0.5 px. A normal error is beyond three standard deviations
/// 0.3 times in a hundred.
#[test]
fn the_doubt_of_a_cut_picture_holds_its_camera_where_a_held_middle_would_not() {
    let (mut beyond, mut held_beyond, mut all) = (0, 0, 0);
    for (index, case) in cases().iter().enumerate() {
        // All to one side, all to the other, and between.
        let left_px = [0.0, 750.0, 600.0, 150.0][index % 4];
        let top_px = [500.0, 0.0, 100.0, 250.0][index % 4];
        let (marks, plate) = cut(case, left_px, top_px);
        let known = Known {
            focal_mm: Some(case.truth.number("true_focal_length_mm")),
            focal_share: 0.015,
            placed_to_px: 0.5,
            ..Known::default()
        };
        let open = Known {
            middle_share: 0.15,
            ..known
        };
        let outside = |of: &Fit| {
            let errors = in_sigmas(of, case);
            errors.iter().filter(|error| error.abs() > 3.0).count()
        };
        let found = fit(&marks, &plate, &open).unwrap();
        assert!(found.is_beside() && found.mismarked().count() == 0);
        beyond += outside(&found);
        let axis_px = (
            PLATE.width_px / 2.0 - left_px - plate.width_px / 2.0,
            found.middle_px.x,
        );
        let off = (axis_px.1 - axis_px.0) / found.sigmas().middle_px.x;
        assert!(off.abs() < 4.0, "{index}: {axis_px:?} {off}");
        held_beyond += fit(&marks, &plate, &known).map_or(6, |held| outside(&held));
        all += 6;
    }
    assert!(beyond <= 5, "{beyond} of {all}");
    assert!(held_beyond > 60, "{held_beyond} of {all}");
}

/// A picture cut to a box (left, top, width, height) as a JPEG, and those of its marks that stay, moved along.
pub fn cut_to(
    whole: &DynamicImage,
    mut marks: Vec<Mark>,
    [left, top, width, height]: [u32; 4],
) -> (Vec<u8>, Given) {
    let mut jpeg = Vec::new();
    DynamicImage::from(whole.crop_imm(left, top, width, height).into_rgb8())
        .write_to(&mut Cursor::new(&mut jpeg), ImageFormat::Jpeg)
        .unwrap();
    let size = DVec2::new(width.into(), height.into());
    for mark in &mut marks {
        mark.at_px -= DVec2::new(left.into(), top.into());
    }
    marks.retain(|mark| (mark.at_px.cmpge(DVec2::ZERO) & mark.at_px.cmplt(size)).all());
    assert!(marks.len() >= 10, "{}", marks.len());
    let given = Given {
        marks,
        placed_to_px: Some(0.2),
        ..Given::default()
    };
    (jpeg, given)
}

/// A frame of the siding, cut to a box (left, top, width, height), with its marks and tags.
fn cut_photograph(
    studio: &Studio,
    stand: &Stand,
    to: [u32; 4],
    equivalent: bool,
) -> (Photo, Given) {
    let whole = image::load_from_memory(&photograph_bytes(studio, stand, true)).unwrap();
    let marks = marks(studio, stand, whole.height().into());
    let (jpeg, given) = cut_to(&whole, marks, to);
    let jpeg = match equivalent {
        true => jpeg_with(studio, &jpeg, stand.lens_mm),
        false => tagged(studio, &jpeg, Some(stand.lens_mm), false, (5.6, 125.0)),
    };
    (Photo::read("cut.jpg", &jpeg).unwrap(), given)
}

/// Of another shape; of the same shape, found by the focal length; with the pixels of a sensor that nobody makes.
#[test]
fn a_picture_cut_beside_its_middle_is_judged_with_that_doubt_and_it_is_said() {
    rehearsed(|studio, stand, _| {
        for (cut, equivalent, why) in [
            (
                [40, 60, 820, 400],
                true,
                "the picture has another shape: it was cut",
            ),
            ([60, 30, 780, 520], true, "by the focal length that fits"),
            (
                [20, 50, 780, 520],
                false,
                "no usual sensor has 31.2 × 20.8 mm",
            ),
        ] {
            let (photo, mut given) = cut_photograph(studio, stand, cut, equivalent);
            // Of the first a person tells the sensor; of the second nobody tells more than the tags.
            given.film = why.contains("another shape").then_some(Film::FULL);
            let found = take(studio, &photo, &given).unwrap();
            let sigmas = found.fit.sigmas();
            assert!(found.fit.is_beside(), "{why}");
            assert_eq!(found.fit.mismarked().count(), 0, "{why}");
            assert!(
                away_m(&found, stand) < 3.0 * sigmas.eye_m.length(),
                "{why}: {} {sigmas:?}",
                away_m(&found, stand)
            );
            for (found, wanted, sigma) in [
                (
                    found.stand.heading_deg,
                    stand.heading_deg,
                    sigmas.heading_deg,
                ),
                (found.stand.pitch_deg, stand.pitch_deg, sigmas.pitch_deg),
            ] {
                assert!(
                    (found - wanted).abs() < 3.0 * sigma,
                    "{why}: {found} {wanted} {sigma}"
                );
            }
            // The doubt is in what is graded, too.
            use sunside::grade::MeasureId::Lean;
            let lean = found.doubts.iter().find(|doubt| doubt.measure == Lean);
            let row = found.sheet.row(Lean).unwrap();
            assert!(lean.unwrap().sigma > 0.0 && row.value.is_some());
            let text = judged::text(studio, &photo, &found);
            assert!(!text.contains("turn the camera"), "{text}");
            for wanted in [why, "its middle is left open", "in doubt by that"] {
                assert!(text.contains(wanted), "{wanted}: {text}");
            }
            let data = judged::data(&photo, &found);
            assert!(data["cut"].as_str().is_some_and(|told| told.contains(why)));
            assert!(data["sigma"]["axis_px"][0].as_f64().unwrap() > 1.0);
            // Margins are those of the picture that there is.
            let model = &studio.scene.machine.model;
            let margins =
                sunside::judge::bent::margins(&found.fit, &found.shot.plate, &model.vertices);
            let told = found
                .sheet
                .row(sunside::grade::MeasureId::SideMargin)
                .unwrap();
            let wanted = 100.0 * margins.smaller_side();
            assert!((told.value.unwrap() - wanted).abs() < 1e-9);
        }
    });
}

#[test]
fn a_whole_picture_keeps_its_middle() {
    for case in cases() {
        let found = fit(&case.noisy, &PLATE, &Known::default()).unwrap();
        assert_eq!((found.middle_px, found.is_beside()), (DVec2::ZERO, false));
        assert!((8..UNKNOWNS).all(|row| found.covariance[row] == [0.0; UNKNOWNS]));
    }
    rehearsed(|studio, stand, _| {
        let photo = Photo::read("whole.jpg", &photograph_bytes(studio, stand, true)).unwrap();
        let given = Given {
            marks: crate::judge_take::noisy(marks(studio, stand, photo.size_px()[1])),
            ..Given::default()
        };
        let found = take(studio, &photo, &given).unwrap();
        assert!(!found.fit.is_beside());
        assert!(!judged::text(studio, &photo, &found).contains("middle is left open"));
    });
}
