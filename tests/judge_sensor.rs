//! What a photograph was on its sensor, and the focal length that marks contradict. May not enter: grades.

use crate::judge_take::{marks, photograph, rehearsed};
use image::{ExtendedColorType, ImageEncoder};
use sunside::camera::film::Film;
use sunside::judge::marks::Given;
use sunside::judge::photo::Photo;
use sunside::judge::shot::Shot;
use sunside::judge::take::take;
use sunside::report::judged;

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

#[test]
fn what_a_tag_says_and_what_the_marks_say_of_a_typed_lens_are_both_told() {
    rehearsed(|studio, stand, _| {
        let photo = photograph(studio, stand, true);
        let given = Given {
            marks: marks(studio, stand, photo.size_px()[1]),
            focal_mm: Some(1.2 * stand.lens_mm),
            ..Given::default()
        };
        let told = take(studio, &photo, &given).unwrap().shot.focal_mm.doubt;
        let told = told.unwrap();
        let wanted = "FocalLength says 50.0 mm; with 50.0 mm the marks fit to ";
        assert!(told.contains(wanted), "{told}");
    });
}

/// Half the diagonal of 24 x 36 mm is what the equivalent is told on (CIPA DC-008): no kit has to do with it.
#[test]
fn a_lens_told_by_its_equivalent_alone_is_told_on_that_film_and_not_the_kits() {
    rehearsed(|studio, stand, _| {
        let mut photo = photograph(studio, stand, false);
        photo.said.sensor = sunside::judge::exif::read(&[], None).sensor;
        photo.said.equivalent_mm.value = Some(stand.lens_mm);
        let given = Given {
            marks: marks(studio, stand, photo.size_px()[1]),
            ..Given::default()
        };
        let found = take(studio, &photo, &given).unwrap();
        let text = judged::text(studio, &photo, &found);
        let wanted = "36.0 × 24.0 mm, a film of this shape with the diagonal of 24 × 36 mm, as the tags tell the lens";
        assert!(text.contains(wanted), "{text}");
        photo.said.equivalent_mm.value = None;
        let found = take(studio, &photo, &given).unwrap();
        let text = judged::text(studio, &photo, &found);
        assert!(
            text.contains("36.0 × 24.0 mm, which the scene's kit has"),
            "{text}"
        );
    });
}
