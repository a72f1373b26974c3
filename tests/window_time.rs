//! Time: the handle, the clock, the calendar, the year's hours. May not enter: how light is followed.

use crate::window::{BOX, Window, narrow_site};
use chrono::{Datelike, NaiveDate, Timelike};
use egui::{Key, Modifiers, pos2};
use sunside::grade::Verdict;
use tempfile::TempDir;

const NONE: Modifiers = Modifiers::NONE;

/// The clock of the site.
fn clock(window: &mut Window) -> (NaiveDate, u32, u32) {
    let desk = window.desk();
    let local = desk.site.base.place.zone.local(desk.take.at).naive;
    (local.date(), local.hour(), local.minute())
}

#[test]
fn the_handle_dragged_to_the_evening_changes_clock_and_verdict() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    let (morning, _) = window.verdict();
    let (date, hour, _) = clock(&mut window);
    assert_eq!((morning, hour), (Verdict::Fair, 10));
    let lanes = window.place("Time of day");
    let y = lanes.top() + 9.0;
    window.drag(pos2(lanes.center().x, y), pos2(lanes.right() - 14.0, y));
    let (same, evening, _) = clock(&mut window);
    // The sun of mid May sets at a quarter to nine there; the camera stands on its far side by then.
    assert!(same == date && (19..=21).contains(&evening), "{evening} h");
    assert_eq!(window.verdict().0, Verdict::Lost);
    assert_eq!(window.desk().steps()[0], Some("Drag the time"));
}

#[test]
fn the_clock_is_typed_and_what_is_no_time_is_told() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    window.fill("Clock", "16:05");
    assert_eq!((clock(&mut window).1, clock(&mut window).2), (16, 5));
    window.fill("Clock", "25:99");
    assert_eq!((clock(&mut window).1, clock(&mut window).2), (16, 5));
    assert!(
        window.has("\"25:99\" is no time of day"),
        "{:?}",
        window.labels()
    );
    // While words are typed, letters are no commands.
    let stand = window.desk().take.stand;
    window.press("Clock");
    window.type_over("noon");
    window.key(NONE, Key::E);
    assert_eq!(window.desk().take.stand, stand);
    // Escape takes back what was typed, and nothing is told of it.
    window.type_over("11:11");
    window.desk().refused = None;
    window.key(NONE, Key::Escape);
    assert_eq!((clock(&mut window).1, clock(&mut window).2), (16, 5));
    assert!(window.desk().refused.is_none() && window.has_value("16:05"));
    assert!(!window.has_value("11:11"), "{:?}", window.labels());
}

#[test]
fn an_hour_that_the_clock_leaves_out_or_has_twice_is_told() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    // Summer time in America/Chicago (tz database): from 14 March 2027, 2:00, to 7 November 2027, 2:00.
    for (month, day, asked, hour) in [(3, 14, "2:30", 3), (11, 7, "1:30", 1)] {
        let date = NaiveDate::from_ymd_opt(2027, month, day).unwrap();
        let noon = date.and_hms_opt(12, 0, 0).unwrap();
        let at = window.desk().site.base.place.zone.instant(noon).unwrap();
        window.desk().at(at, "Choose a date");
        window.harness.step();
        window.fill("Clock", asked);
        let told = window.desk().refused.clone();
        assert!(told.is_some_and(|why| why.contains(&format!("2027-{month:02}-{day:02}"))));
        assert_eq!((clock(&mut window).0, clock(&mut window).1), (date, hour));
    }
}

#[test]
fn a_date_is_chosen_from_the_calendar() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    window.press("Fri 14 May 2027");
    assert!(window.has("May 2027"));
    window.press("+1");
    window.press("21");
    let (date, hour, minute) = clock(&mut window);
    assert_eq!((date.month(), date.day(), hour, minute), (6, 21, 10, 0));
    assert!(!window.has("+12"), "{:?}", window.labels());
    window.key(NONE, Key::PageUp);
    window.key(Modifiers::SHIFT, Key::PageDown);
    let (date, ..) = clock(&mut window);
    assert_eq!((date.month(), date.day()), (7, 20));
}

#[test]
fn the_year_comes_week_by_week_and_a_pressed_week_is_stood_in() {
    let folder = TempDir::new().unwrap();
    let scene = narrow_site(folder.path());
    let Some(mut window) = Window::of(scene.to_str().unwrap()) else {
        return;
    };
    window.press("Year");
    window.until("a week has come", |window| {
        let year = window.desk().year.clone();
        year.is_some_and(|year| {
            year.weeks
                .iter()
                .flatten()
                .any(|week| week.halves[0][0].best.is_some())
        })
    });
    let year = window.desk().year.clone().unwrap();
    let n = year.weeks.iter().position(|week| {
        week.as_ref()
            .is_some_and(|week| week.halves[0][0].best.is_some())
    });
    let n = n.unwrap();
    let best = year.weeks[n].as_ref().unwrap().halves[0][0].best.unwrap();
    let table = window.place("Hours won");
    // Names take 176 points, 8 are left free at the right; the months' row is 18 points high, each row 23.
    let wide = (table.width() - 184.0) / year.weeks.len() as f32;
    window.press_at(table.min + egui::vec2(176.0 + wide * (n as f32 + 0.5), 18.0 + 11.0));
    let desk = window.desk();
    assert_eq!((desk.take.stand, desk.take.at), (best.stand, best.at));
    window.press("Day");
    window.key(NONE, Key::M);
}

#[test]
fn in_the_polar_night_every_minute_is_lost_and_said_to_be() {
    let Some(mut window) = Window::of("scenes/birch_fell_yard.toml") else {
        return;
    };
    let noon = NaiveDate::from_ymd_opt(2027, 12, 21)
        .unwrap()
        .and_hms_opt(12, 0, 0)
        .unwrap();
    let at = window.desk().site.base.place.zone.instant(noon).unwrap();
    window.desk().at(at, "Choose a date");
    assert_eq!(window.verdict().0, Verdict::Lost);
    // At midnight the frame is dark, and says why.
    let says = |window: &mut Window| {
        window.harness.run_steps(2);
        let shapes = &window.harness.output().shapes;
        shapes.iter().any(|shape| match &shape.shape {
            egui::Shape::Text(text) => text.galley.text().starts_with("Night: the sun is"),
            _ => false,
        })
    };
    assert!(!says(&mut window));
    window
        .desk()
        .at(at + chrono::Duration::hours(12), "Choose a date");
    window.proved();
    assert!(says(&mut window));
    window.desk().at(at, "Choose a date");
    window.proved();
    window.until("the day was followed", |window| {
        let date = window.desk().date();
        window
            .desk()
            .day
            .as_ref()
            .is_some_and(|day| day.day.date == date)
    });
    let lanes = window.place("Time of day");
    window.press_at(lanes.center());
    assert_eq!(window.verdict().0, Verdict::Lost);
}

#[test]
fn keys_do_not_leave_the_years_of_the_calendar() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    let last = NaiveDate::from_ymd_opt(2200, 12, 31).unwrap();
    let last = last.and_hms_opt(23, 58, 0).unwrap();
    let at = window.desk().site.base.place.zone.instant(last).unwrap();
    window.desk().at(at, "Choose a date");
    for key in [Key::Period, Key::PageDown] {
        window.key(NONE, key);
        assert_eq!(window.desk().take.at, at);
        let refused = window.desk().refused.clone().unwrap();
        assert!(
            refused.contains("2201 is outside 1800 to 2200"),
            "{refused}"
        );
        window.desk().refused = None;
    }
}

#[test]
fn a_clock_that_is_only_looked_at_stays_in_the_hour_that_comes_twice() {
    let Some(mut window) = Window::of(BOX) else {
        return;
    };
    // 1:30 by standard time, an hour after 1:30 by summer time (America/Chicago, tz database).
    let at = "2027-11-07T07:30:00Z".parse().unwrap();
    window.desk().at(at, "Choose a date");
    window.harness.step();
    window.fill("Clock", "01:30");
    assert_eq!((window.desk().take.at, &window.desk().refused), (at, &None));
}
