//! Standing and aiming: lenses of the kit, ground on which nobody stands, the machine moved under the camera, and every
//! step taken back. May not enter: verdicts.

use crate::window::{BOX, Window, site_with_ground};
use egui::{Event, Key, Modifiers};
use glam::DVec2;
use sunside::grade::Stand;
use sunside::units::Units;
use tempfile::TempDir;

const NONE: Modifiers = Modifiers::NONE;

#[test]
fn wheel_and_keys_step_through_the_kit_and_say_where_it_ends() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    let frame = window.place("Frame").center();
    assert_eq!(window.desk().site.base.kit.lenses_mm, [35.0, 50.0]);
    window.wheel(frame, -60.0);
    assert_eq!(window.desk().take.stand.lens_mm, 35.0);
    window.wheel(frame, 60.0);
    assert_eq!(window.desk().take.stand.lens_mm, 50.0);
    window.key(NONE, Key::Plus);
    assert_eq!(window.desk().take.stand.lens_mm, 50.0);
    assert!(
        window.has("The kit holds no longer lens"),
        "{:?}",
        window.labels()
    );
    window.key(NONE, Key::Minus);
    assert_eq!(window.desk().take.stand.lens_mm, 35.0);
    assert!(!window.has("The kit holds"));
    window.key(NONE, Key::Minus);
    assert!(window.has("The kit holds no shorter lens"));
    window.key(NONE, Key::Z);
    assert_eq!(window.desk().take.stand.lens_mm, 35.7); // two per cent
}

#[test]
fn nobody_walks_into_the_strip_along_the_rails() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    // The road begins 9 m from the track's middle; nearer lies no allowed ground, then the strip.
    let mut spot = window.desk().take.stand.spot_m;
    let refused = (0..60).any(|_| {
        window.key(NONE, Key::W);
        let now = window.desk().take.stand.spot_m;
        let stayed = now == spot;
        spot = now;
        stayed
    });
    assert!(refused && spot.x >= 9.0, "{spot}");
    assert!(window.has("Do not stand there: "), "{:?}", window.labels());
    // The reason and the caution, in one line at the foot.
    let why = window.desk().refused.clone().unwrap();
    let caution = sunside::card::cautions::CAUTIONS[1];
    assert!(
        window.has(&format!("{why}. {caution}")),
        "{:?}",
        window.labels()
    );
    // Dragged onto the track, the spot stays as well.
    let at = |window: &mut Window, place_m: DVec2| window.ground_at(place_m);
    window.press("Ground");
    let (from, to) = (
        at(&mut window, spot),
        at(&mut window, DVec2::new(0.0, spot.y)),
    );
    window.drag(from, to);
    let after = window.desk().take.stand.spot_m;
    assert!(after.x >= 9.0, "{after}");
    window.key(NONE, Key::S);
    assert!(!window.has("Do not stand there"));
}

#[test]
fn the_spot_is_dragged_and_the_camera_keeps_the_machine_in_sight() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    let before = window.desk().take.stand;
    let (from, to) = (
        window.ground_at(before.spot_m),
        window.ground_at(DVec2::new(30.0, 10.0)),
    );
    window.drag(from, to);
    let after = window.desk().take.stand;
    assert!(
        (after.spot_m - DVec2::new(30.0, 10.0)).length() < 0.5,
        "{after:?}"
    );
    // The bearing of the machine's middle turned as much as the camera.
    let bearing = |stand: &Stand| (-stand.spot_m.x).atan2(-stand.spot_m.y).to_degrees();
    let turned = (after.heading_deg - before.heading_deg) - (bearing(&after) - bearing(&before));
    assert!(
        (turned.rem_euclid(360.0) + 180.0) % 360.0 - 180.0 < 1e-6,
        "{turned}"
    );
}

#[test]
fn a_machine_that_stops_farther_on_takes_its_good_ground_with_it_and_leaves_the_camera() {
    // A lane beside the track, as long as the road and narrower: its ground is soon shaded.
    let folder = TempDir::new().unwrap();
    let scene = site_with_ground(folder.path(), "[[19, -60], [24, -60], [24, 60], [19, 60]]");
    let Some(mut window) = Window::of(scene.to_str().unwrap()) else {
        return;
    };
    let middle = |window: &mut Window| {
        window.until("the ground is shaded", |window| {
            let desk = window.desk();
            let (setting, at, stand) = (&desk.take.setting, desk.take.at, &desk.take.stand);
            desk.ground
                .as_ref()
                .is_some_and(|ground| ground.is_of(setting, at, stand) && ground.patch.share >= 1.0)
        });
        let patch = &window.desk().ground.as_ref().unwrap().patch;
        let weight =
            |cell: &sunside::plan::here::Cell| cell.known.score * cell.size_m * cell.size_m;
        let total: f64 = patch.cells.iter().map(weight).sum();
        patch.cells.iter().fold(DVec2::ZERO, |sum, cell| {
            sum + cell.centre_m * weight(cell) / total
        })
    };
    let stand = window.desk().take.stand;
    let before = middle(&mut window);
    window.key(NONE, Key::CloseBracket);
    window.until("the site is prepared", |window| window.desk().is_ready());
    let after = middle(&mut window);
    // The track runs from north to south: 10 m on is 10 m to the south, as far as the road reaches.
    assert!(before.y - after.y > 2.0, "{before} {after}");
    assert_eq!(window.desk().take.stand, stand);
    window.key(NONE, Key::T);
    window.until("it is turned", |window| window.desk().is_ready());
    assert_eq!(window.desk().take.stand, stand);
    let heads = [
        window.desk().site.base.machine.head_end,
        window.desk().room.1.scene.machine.head_end,
    ];
    assert_ne!(heads[0], heads[1]);
}

#[test]
fn a_machine_pushed_off_its_track_comes_back_with_the_reason() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    let mut steps = 0;
    while window.desk().refused.is_none() {
        window.key(NONE, Key::CloseBracket);
        window.until("it is there, or was refused", |window| {
            window.desk().is_ready() || window.desk().refused.is_some()
        });
        steps += 1;
        assert!(steps < 20);
    }
    window.until("it is back", |window| window.desk().is_ready());
    let chainage_m = window.desk().take.setting.chainage_m;
    assert!(
        chainage_m < 200.0 && window.has("allowed"),
        "{chainage_m} {:?}",
        window.labels()
    );
}

#[test]
fn steps_are_taken_back_exactly_and_a_held_key_is_one() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    let takes = |window: &mut Window| window.desk().take.clone();
    let first = takes(&mut window);
    for _ in 0..5 {
        window.harness.event(Event::Key {
            key: Key::D,
            physical_key: None,
            pressed: true,
            repeat: true,
            modifiers: NONE,
        });
    }
    window.harness.step();
    window.harness.key_up(Key::D);
    window.harness.step();
    let walked = takes(&mut window);
    assert!((walked.stand.spot_m - first.stand.spot_m).length() > 2.0);
    window.key(NONE, Key::R);
    let raised = takes(&mut window);
    window.key(NONE, Key::Period);
    let later = takes(&mut window);
    window.press("Undo");
    assert_eq!(takes(&mut window), raised);
    window.key(Modifiers::COMMAND, Key::Z);
    assert_eq!(takes(&mut window), walked);
    window.key(Modifiers::COMMAND, Key::Z);
    assert_eq!(takes(&mut window), first);
    assert_eq!(window.desk().steps(), [None, Some("Walk right")]);
    for wanted in [walked, raised, later] {
        window.key(Modifiers::COMMAND, Key::Y);
        assert_eq!(takes(&mut window), wanted);
    }
    assert_eq!(window.desk().steps()[1], None);
}

#[test]
fn what_is_under_the_pointer_stays_there_while_the_camera_is_aimed() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    let frame = window.place("Frame");
    let before = window.desk().take.stand;
    window.drag(
        frame.center(),
        frame.center() - egui::vec2(frame.width() / 4.0, 0.0),
    );
    let after = window.desk().take.stand;
    // A quarter of 36 mm beside the axis of a 50 mm lens: atan(9 / 50), from the pinhole.
    let turned = (after.heading_deg - before.heading_deg).rem_euclid(360.0);
    let wanted = (9.0_f64 / 50.0).atan().to_degrees();
    assert!(
        (turned - wanted).abs() < 0.01,
        "{turned} instead of {wanted}"
    );
    assert_eq!(window.desk().steps()[0], Some("Aim"));
    window.press("Undo");
    assert_eq!(window.desk().take.stand, before);
}

/// A slow redraw takes in many moves at once, or a whole drag: all of it counts from where it was pressed.
#[test]
fn a_drag_counts_from_where_it_was_pressed_however_few_redraws_it_takes() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    let frame = window.place("Frame");
    let before = window.desk().take.stand;
    // From a sixth of the width left of the middle to a sixth right of it: 6 mm of 36 on either side, at 50 mm.
    let aside = egui::vec2(frame.width() / 6.0, 0.0);
    let (from, to) = (frame.center() - aside, frame.center() + aside);
    let wanted = -2.0 * (6.0_f64 / 50.0).atan().to_degrees();
    let button = |pos, pressed| Event::PointerButton {
        pos,
        button: egui::PointerButton::Primary,
        pressed,
        modifiers: NONE,
    };
    let press = [Event::PointerMoved(from), button(from, true)];
    let moves = [0.3, 0.6, 1.0].map(|share| Event::PointerMoved(from + (to - from) * share));
    let all: Vec<Event> = press.into_iter().chain(moves).collect();
    let release = [button(to, false)];
    // In two redraws, in three, in one: each a frame of its own, all its events at once.
    for cuts in [vec![5], vec![2, 2], vec![]] {
        window.harness.hover_at(from);
        window.harness.step();
        let mut events: Vec<Event> = all.iter().chain(&release).cloned().collect();
        for cut in cuts {
            let later = events.split_off(cut);
            let first = std::mem::replace(&mut events, later);
            window.harness.input_mut().events.extend(first);
            window.harness.step();
        }
        window.harness.input_mut().events.extend(events);
        window.harness.run_steps(2);
        let turned = window.desk().take.stand.heading_deg - before.heading_deg;
        let turned = (turned + 180.0).rem_euclid(360.0) - 180.0;
        assert!(
            (turned - wanted).abs() < 0.01,
            "{turned} instead of {wanted}"
        );
        assert_eq!(window.desk().steps()[0], Some("Aim"));
        window.press("Undo");
        assert_eq!(window.desk().take.stand, before);
    }
}

#[test]
fn heights_are_shown_and_typed_in_feet_and_inches_once_these_are_chosen() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    assert!(window.has_value("1.60 m"), "{:?}", window.labels());
    window.key(NONE, Key::Slash);
    window.type_over("feet");
    window.key(NONE, Key::Enter);
    // 1.60 m / 0.3048 m = 5 ft 3 in, to the inch (1 ft = 0.3048 m exactly, 1959).
    assert!(window.has_value("5 ft 3 in"), "{:?}", window.labels());
    for (typed, height_m, shown) in [
        ("5' 6\"", 1.6764, "5 ft 6 in"),
        ("6", 1.8288, "6 ft 0 in"),
        ("1.5 m", 1.5, "4 ft 11 in"),
    ] {
        window.fill("Height", typed);
        let stand = window.desk().take.stand;
        assert!(
            (stand.height_m - height_m).abs() < 1e-9,
            "{typed}: {stand:?}"
        );
        assert!(window.has_value(shown), "{typed}: {:?}", window.labels());
    }
    window.fill("Height", "tall");
    assert_eq!(window.desk().take.stand.height_m, 1.5);
    assert!(
        window.has("Height: \"tall\" is no length"),
        "{:?}",
        window.labels()
    );
}

#[test]
fn lengths_in_findings_are_told_in_feet_and_inches_and_stay_metric_in_what_is_written() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    // 4 m over a road that lies 0.5 m below the rail: 3.5 m = 11 ft 5.8 in over the rail; the rulebook's limit of 3 m is
    // 9 ft 10.1 in (1 ft = 0.3048 m exactly, 1959).
    window.fill("Height", "4 m");
    let sheet = window.proved().graded.sheet.clone();
    let high = |units: &str| format!("The eye is {units}, and looks down on the roof");
    let metric = high("3.5 m over the rail, limit 3.0 m");
    assert!(window.has(&metric), "{:?}", window.labels());
    window.key(NONE, Key::Slash);
    window.type_over("feet");
    window.key(NONE, Key::Enter);
    window.harness.run_steps(2);
    assert!(
        window.has(&high("11 ft 6 in over the rail, limit 9 ft 10 in")),
        "{:?}",
        window.labels()
    );
    let again = window.proved().graded.sheet.clone();
    assert_eq!(again, sheet);
    let written = serde_json::to_string(&again).unwrap();
    assert!(written.contains(&metric) && !written.contains(" ft "));
    // So is what is said in the frame.
    window.press_holding("The eye is 11 ft");
    window.until("the causes are known", |window| {
        window.desk().pointed().is_some()
    });
    let culprits = window.desk().pointed().unwrap();
    let label = |units| culprits.label_in(units).unwrap().to_string();
    assert_eq!(label(Units::Metric), "3.5 m over the rail, limit 3.0 m");
    assert_eq!(
        label(Units::Feet),
        "11 ft 6 in over the rail, limit 9 ft 10 in"
    );
}

#[test]
fn what_is_typed_and_is_no_number_is_told_and_changes_nothing() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    let take = window.desk().take.clone();
    for field in ["Lens", "Height", "Aim", "Pitch", "Roll"] {
        for text in ["nan", "inf", "-inf", "fifty"] {
            window.fill(field, text);
            let told = format!("{field}: \"{text}\" is no ");
            assert!(window.has(&told), "{told}: {:?}", window.labels());
            assert_eq!(window.desk().take, take);
        }
    }
    window.fill("Lens", "35 mm");
    window.fill("Pitch", "-1,5");
    let stand = window.desk().take.stand;
    assert_eq!((stand.lens_mm, stand.pitch_deg), (35.0, -1.5));
    // Escape takes back what was typed, number or not.
    window.desk().refused = None;
    for (field, text) in [("Lens", "nan"), ("Roll", "1"), ("Height", "2 m")] {
        window.press(field);
        window.type_over(text);
        window.key(NONE, Key::Escape);
        assert_eq!(window.desk().take.stand, stand, "{field}: {text}");
        assert_eq!(window.desk().refused, None, "{field}: {text}");
    }
}

#[test]
fn a_key_held_down_toggles_once() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    let guides = |window: &mut Window| {
        let rehearsing = window.harness.state_mut().app.rehearsing();
        rehearsing.unwrap().guides()
    };
    let held = |window: &mut Window, key: Key| {
        for repeat in [false, true, true, true] {
            window.harness.event(Event::Key {
                key,
                physical_key: None,
                pressed: true,
                repeat,
                modifiers: NONE,
            });
            window.harness.step();
        }
        window.harness.key_up(key);
        window.harness.step();
    };
    assert!(!guides(&mut window));
    held(&mut window, Key::G);
    assert!(guides(&mut window));
    held(&mut window, Key::G);
    assert!(!guides(&mut window));
    let open = window.desk().take.setting.doors_open;
    held(&mut window, Key::O);
    assert_eq!(window.desk().take.setting.doors_open, !open);
    held(&mut window, Key::Space);
    assert_eq!(window.desk().kept.len(), 1);
}
