//! Call the hour, on the page. May not enter: what a call is worth.

use super::answers::{self, Told};
use crate::grade::wording::{self, sentence_case};
use crate::practise::drill::hour::{AFTER_MIN, CALLS_MIN, Hour};
use crate::window::theme;
use egui::{RichText, Ui};

/// Minutes as one says them.
fn said(minutes: u32) -> String {
    match (minutes / 60, minutes % 60) {
        (0, minutes) => format!("{minutes} minutes"),
        (1, 0) => "1 hour".into(),
        (hours, 0) => format!("{hours} hours"),
        (1, minutes) => format!("1 hour and {minutes} minutes"),
        (hours, minutes) => format!("{hours} hours and {minutes} minutes"),
    }
}

/// Draws what is asked, or what is true; whether the next round is wanted.
pub fn ui(ui: &mut Ui, hour: &mut Hour, mut told: Told) -> bool {
    let Some(late) = hour.late_min() else {
        let note = "Read the shadows: the handrail's on the doors, how the light lies on nose and side, which way a \
                    pole's falls on the ground. The frame is good now; after this it no longer is.";
        answers::question(ui, "How long until the light is gone?", note);
        for (n, minutes) in CALLS_MIN.into_iter().enumerate() {
            if answers::answer(ui, n + 1, &said(minutes), false, None) {
                hour.call(minutes);
            }
        }
        return false;
    };
    let page = theme::page(ui.ctx());
    answers::points(ui, hour.points());
    let on = answers::go_on(ui, "Next frame");
    let called = said(hour.called_min.unwrap_or_default());
    let lasts = said(hour.lasts_min as u32);
    let off = said(late.abs() as u32);
    let way = match late {
        late if late > 0.0 => format!("{off} too long"),
        late if late < 0.0 => format!("{off} too short"),
        _ => "to the minute".into(),
    };
    ui.label(format!("You called {called}; it lasts {lasts}: {way}."));
    let zone = &hour.posed.room.scene.place.zone;
    let gone = zone.local(hour.gone_at).naive.format("%H:%M");
    let ended = format!("At {gone}: {}", hour.ended_by);
    ui.label(RichText::new(sentence_case(&ended)).color(page.faint));
    if let Some((id, values)) = hour.run_out {
        let [before, after] = values.map(|value| wording::told(id, value, told.units));
        let read = format!(
            "In your frame the {} read {before}; by then {after}.",
            id.title()
        );
        ui.label(RichText::new(read).color(page.faint));
    }
    let later = zone.local(hour.afterwards().at).naive.format("%H:%M");
    theme::heading(ui, &format!("At {later}, {AFTER_MIN} minutes later"));
    if let Some(worst) = told.truth.and_then(|truth| truth.worst()) {
        answers::line(ui, worst.grade, worst.what_in(told.units), true);
    }
    let called_at = zone.local(hour.posed.at).naive.format("%H:%M");
    answers::beside(ui, &mut told, &format!("Your frame, {called_at}"));
    on
}
