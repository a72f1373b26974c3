//! What if: each thing that can be tried of a site, chosen by its label, changes in the graded frame what it must change,
//! says how it differs from the scene's own, and is taken back by one button. May not enter: how scenes are changed.

use crate::window::{Size, Window, box_site};
use egui::Key;
use sunside::grade::{MeasureId, Sheet};
use sunside::scene::equipment::EquipmentKind;
use tempfile::TempDir;

/// In which the whole list of what may be tried is seen.
const TALL: Size = Size(1280.0, 1200.0, 1.0);

/// Weeds and somebody between the camera and the machine's side.
const ABOUT: &str = "
[[bush]]
name = \"weeds\"
kind = \"weeds\"
position_m = [4, -4]
width_m = 3
height_m = 1.4
[[person]]
name = \"crew\"
position_m = [5, 2]
";

/// The box machine with things about it, the panel open; what it said of the scene's own frame.
fn opened(folder: &TempDir) -> Option<(Window, Sheet)> {
    let scene = box_site(folder.path(), ABOUT);
    let mut window = Window::sized(scene.to_str().unwrap(), TALL)?;
    window.press_holding("What if");
    assert!(!window.has("Tried"));
    let sheet = window.proved().graded.sheet.clone();
    Some((window, sheet))
}

fn value(sheet: &Sheet, measure: MeasureId) -> Option<f64> {
    sheet.row(measure).unwrap().value
}

/// The sheet once something was tried, which the panel tells in these words.
fn told(window: &mut Window, words: &str) -> Sheet {
    let sheet = window.proved().graded.sheet.clone();
    assert!(
        window.has("Tried") && window.has(words),
        "{words}: {:?}",
        window.labels()
    );
    sheet
}

/// Takes all of it back.
fn back(window: &mut Window, own: &Sheet) {
    window.press("As the scene has it");
    assert_eq!(window.proved().graded.sheet, *own);
    assert!(!window.has("Tried"), "{:?}", window.labels());
}

#[test]
fn another_model_stands_there_with_its_own_height_and_no_handrail() {
    let folder = TempDir::new().unwrap();
    let Some((mut window, own)) = opened(&folder) else {
        return;
    };
    let height_m = |window: &mut Window| {
        let hull = &window.desk().room.1.stage.hull;
        hull.iter().map(|point| point.z).fold(0.0, f64::max)
    };
    // Heights as both models' files state them.
    assert!((height_m(&mut window) - 4.6).abs() < 0.01);
    window.choose("Model", "Two boxes");
    let sheet = told(&mut window, "The model two boxes");
    assert!((height_m(&mut window) - 4.0).abs() < 0.01);
    assert!(value(&own, MeasureId::HandrailShadow).is_some());
    assert_eq!(value(&sheet, MeasureId::HandrailShadow), None);
    back(&mut window, &own);
}

#[test]
fn a_smaller_film_cuts_off_what_the_larger_one_held() {
    let folder = TempDir::new().unwrap();
    let Some((mut window, own)) = opened(&folder) else {
        return;
    };
    window.choose("Film, mm", "13 × 17.3");
    let sheet = told(&mut window, "Film 17.3 × 13 mm");
    // Central projection: the share of the frame's width grows as the film shrinks, off the axis about alike.
    let [before, after] = [&own, &sheet].map(|sheet| value(sheet, MeasureId::Size).unwrap());
    assert!(
        (after / before - 36.0 / 17.3).abs() < 0.01,
        "{before} {after}"
    );
    assert!(value(&sheet, MeasureId::SideMargin).unwrap() < 0.0);
    assert!(sheet.score < own.score);
    back(&mut window, &own);
}

#[test]
fn a_kit_and_a_stop_are_tried_and_the_keys_take_the_new_lenses() {
    let folder = TempDir::new().unwrap();
    let Some((mut window, own)) = opened(&folder) else {
        return;
    };
    window.fill("Lenses, mm", "50, 85");
    window.choose("f-number", "f/2.8");
    let sheet = told(&mut window, "Lenses of 50, 85 mm");
    assert!(window.has("F/2.8"), "{:?}", window.labels());
    assert_eq!(sheet.verdict, own.verdict);
    assert_eq!(window.proved().composed.capture.f_number, 2.8);
    window.key(egui::Modifiers::NONE, Key::Plus);
    assert_eq!(window.desk().take.stand.lens_mm, 85.0);
    window.press("Undo");
    back(&mut window, &own);
}

#[test]
fn what_is_coupled_at_either_end_counts_and_is_named() {
    let folder = TempDir::new().unwrap();
    let Some((mut window, own)) = opened(&folder) else {
        return;
    };
    for (label, kind, word, words, measure) in [
        (
            "At the front",
            EquipmentKind::Boxcar,
            "boxcar",
            "A boxcar coupled at the front",
            MeasureId::CoupledFront,
        ),
        (
            "At the rear",
            EquipmentKind::TankCar,
            "tank-car",
            "A tank car coupled at the rear",
            MeasureId::CoupledRear,
        ),
    ] {
        window.choose(label, word);
        let sheet = told(&mut window, words);
        let machine = &window.desk().room.1.scene.machine;
        assert!([machine.front_equipment, machine.rear_equipment].contains(&Some(kind)));
        assert_eq!(
            [&own, &sheet].map(|sheet| value(sheet, measure)),
            [Some(0.0), Some(1.0)]
        );
        back(&mut window, &own);
    }
}

#[test]
fn an_overcast_sky_takes_the_beam_and_dirt_and_doors_count() {
    let folder = TempDir::new().unwrap();
    let Some((mut window, own)) = opened(&folder) else {
        return;
    };
    window.choose("Sky", "overcast");
    let sheet = told(&mut window, "A sky of overcast");
    assert_eq!(value(&own, MeasureId::BeamStrength), Some(1.0));
    assert!(value(&sheet, MeasureId::BeamStrength).unwrap() < 0.1);
    assert!(sheet.score < own.score);
    back(&mut window, &own);
    window.choose("Paint", "filthy");
    let sheet = told(&mut window, "Filthy");
    assert_eq!(value(&sheet, MeasureId::Dirt), Some(2.0));
    back(&mut window, &own);
    window.press("Doors");
    let sheet = told(&mut window, "Doors open");
    assert_eq!(
        [&own, &sheet].map(|sheet| value(sheet, MeasureId::DoorsOpen)),
        [Some(0.0), Some(1.0)]
    );
    back(&mut window, &own);
}

#[test]
fn weeds_cut_hide_less_and_people_sent_away_are_gone() {
    let folder = TempDir::new().unwrap();
    let Some((mut window, own)) = opened(&folder) else {
        return;
    };
    let hidden = |sheet: &Sheet| value(sheet, MeasureId::Hidden).unwrap();
    let people = |sheet: &Sheet| value(sheet, MeasureId::People);
    assert_eq!(people(&own), Some(1.0));
    window.press("Weeds");
    let sheet = told(&mut window, "Weeds cut");
    assert!(
        hidden(&sheet) < hidden(&own),
        "{} {}",
        hidden(&sheet),
        hidden(&own)
    );
    assert_eq!(people(&sheet), Some(1.0));
    window.press("People");
    let sheet = told(&mut window, "People gone");
    assert_eq!(people(&sheet), Some(0.0));
    // Nothing is left between them.
    assert_eq!(hidden(&sheet), 0.0);
    back(&mut window, &own);
}

#[test]
fn the_end_that_leads_turns_the_machine_and_its_light() {
    let folder = TempDir::new().unwrap();
    let Some((mut window, own)) = opened(&folder) else {
        return;
    };
    window.press("north");
    let sheet = told(&mut window, "The end toward the north leads");
    let nose_deg = window.desk().room.1.scene.machine.forward_bearing_deg();
    assert!(
        (nose_deg + 180.0).rem_euclid(360.0) - 180.0 < 1e-9,
        "{nose_deg}"
    );
    // From the south-east the nose toward the north is not seen lit from in front of it.
    assert!(sheet.score < own.score, "{} {}", sheet.score, own.score);
    back(&mut window, &own);
}
