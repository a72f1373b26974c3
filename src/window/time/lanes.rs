//! The day at the present spot: a lane for each fault of light, hatched the denser the worse, the verdict as their sum,
//! and a handle to be dragged. May not enter: how the light is followed.

use crate::grade::Verdict;
use crate::plan::day::{Day, Run};
use crate::rehearsal::desk::Desk;
use crate::sky::sun::sun_at;
use crate::window::hatch::{self, Density};
use crate::window::theme::{self, Page};
use chrono::{DateTime, Duration, Timelike, Utc};
use egui::{Align2, Color32, Painter, Rect, Sense, Stroke, Ui, pos2, vec2};

/// Heights of a lane and of the verdict's, on a page that is low and on one that is not, and of the row of hours.
const LANE: [f32; 2] = [13.0, 17.0];
const VERDICT: [f32; 2] = [18.0, 22.0];
const HOURS: f32 = 18.0;
/// From here on a page is not low.
const TALL: f32 = 860.0;
/// Width of the lanes' names.
const NAMES: f32 = 112.0;
/// An hour's figures need so much room.
const FIGURES: f32 = 30.0;

/// Where instants lie across.
struct Scale {
    first: DateTime<Utc>,
    last: DateTime<Utc>,
    left: f32,
    right: f32,
}

impl Scale {
    fn x(&self, at: DateTime<Utc>) -> f32 {
        let share = (at - self.first).num_seconds() as f32
            / ((self.last - self.first).num_seconds() as f32).max(1.0);
        self.left + share * (self.right - self.left)
    }

    /// The whole minute at a place, within the day.
    fn minute(&self, x: f32) -> DateTime<Utc> {
        let share = ((x - self.left) / (self.right - self.left).max(1.0)).clamp(0.0, 1.0);
        let seconds = f64::from(share) * (self.last - self.first).num_seconds() as f64;
        let at = self.first.timestamp() + seconds as i64;
        let minute = DateTime::from_timestamp((at + 30).div_euclid(60) * 60, 0);
        minute.unwrap_or(self.first).clamp(self.first, self.last)
    }
}

/// Draws them.
pub fn ui(
    ui: &mut Ui,
    desk: &mut Desk,
    day: Option<&Day>,
    is_new: bool,
    (first, last): (DateTime<Utc>, DateTime<Utc>),
) {
    let page = theme::page(ui.ctx());
    let rulebook = desk.site.rulebook;
    let of_light = |fault: &&crate::grade::rulebook::Fault| {
        fault.group == crate::grade::rulebook::Group::Light
    };
    let names: Vec<&str> = (rulebook.faults.iter().filter(of_light))
        .map(|fault| fault.title.as_str())
        .collect();
    let is_tall = ui.ctx().content_rect().height() >= TALL;
    let [lane_height, verdict_height] = [LANE, VERDICT].map(|both| both[usize::from(is_tall)]);
    let height = HOURS + lane_height * (names.len() + 1) as f32 + verdict_height + 4.0;
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::click_and_drag());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Slider, true, "Time of day"));
    let scale = Scale {
        first,
        last,
        left: rect.left() + NAMES,
        right: rect.right() - 8.0,
    };
    if let Some(at) = response.interact_pointer_pos()
        && (response.dragged() || response.clicked())
    {
        desk.at(scale.minute(at.x), "Drag the time");
    }
    if response.drag_stopped() {
        desk.part();
    }
    let painter = ui.painter().with_clip_rect(rect);
    columns(&painter, &page, desk, rect, &scale);
    let faded = |color: Color32| match is_new {
        true => color,
        false => color.gamma_multiply(0.45),
    };
    let mut top = rect.top() + HOURS;
    let mut lane = |name: &str, height: f32, bold: bool| {
        let font = if bold {
            theme::bold(theme::NOTE)
        } else {
            theme::regular(theme::NOTE)
        };
        let ink = if bold { page.ink } else { page.faint };
        let middle = pos2(rect.left(), top + height / 2.0);
        painter.text(middle, Align2::LEFT_CENTER, name, font, ink);
        painter.hline(rect.x_range(), top + height, Stroke::new(0.5, page.rule));
        let field = top + 1.5..top + height - 1.5;
        top += height;
        field
    };
    let block = |run_from, run_to, field: &std::ops::Range<f32>| {
        Rect::from_min_max(
            pos2(scale.x(run_from), field.start),
            pos2(scale.x(run_to), field.end),
        )
    };
    let graded = |runs: &[Run<crate::grade::Grade>], field: std::ops::Range<f32>| {
        for run in runs {
            if let Some(density) = Density::of_grade(run.what) {
                let rect = block(run.from, run.to, &field);
                hatch::fill_rect(&painter, rect, density, faded(page.grade(density.ink())));
            }
        }
    };
    for name in &names {
        let field = lane(name, lane_height, false);
        let known = day.and_then(|day| day.lanes.iter().find(|lane| lane.fault.title == **name));
        if let Some(known) = known {
            graded(&known.runs, field);
        }
    }
    let field = lane("not of light", lane_height, false);
    if let Some(day) = day {
        graded(&day.rest, field);
    }
    let field = lane("Verdict", verdict_height, true);
    for run in day.map_or(&[][..], |day| &day.verdict) {
        let rect = block(run.from, run.to, &field);
        verdict(&painter, &page, rect, run.what, &faded);
    }
    if day.is_none() {
        painter.text(
            pos2(scale.left + 8.0, field.start + 7.0),
            Align2::LEFT_CENTER,
            "following the light \u{2026}",
            theme::regular(theme::NOTE),
            page.faint,
        );
    }
    handle(
        &painter,
        &page,
        rect,
        scale.x(desk.take.at.clamp(first, last)),
    );
    if let (Some(at), Some(day)) = (response.hover_pos(), day)
        && !response.dragged()
    {
        let told = told_at(desk, day, scale.minute(at.x));
        response.on_hover_text_at_pointer(told);
    }
}

/// A stretch of the verdict: hatched, with its word where there is room for it.
fn verdict(
    painter: &Painter,
    page: &Page,
    rect: Rect,
    verdict: Verdict,
    faded: &dyn Fn(Color32) -> Color32,
) {
    let density = Density::of_verdict(verdict);
    if let Some(density) = density {
        let color = page.grade(density.ink());
        hatch::fill_rect(painter, rect, density, faded(color));
    }
    let ink = match density {
        Some(Density::Full) => page.paper,
        _ => page.ink,
    };
    let word = verdict.word().to_uppercase();
    let galley = painter.layout_no_wrap(word, theme::bold(theme::NOTE), ink);
    if galley.size().x + 10.0 < rect.width() {
        let at = rect.center() - galley.size() / 2.0;
        let under = Rect::from_min_size(at, galley.size()).expand2(vec2(3.0, 0.0));
        let ground = match density {
            Some(Density::Full) => page.grade(crate::grade::Grade::Ruinous),
            _ => page.paper,
        };
        painter.rect_filled(under, 0.0, ground);
        painter.galley(at, galley, ink);
    }
}

/// Rules and figures of the hours of the civil clock.
fn columns(painter: &Painter, page: &Page, desk: &Desk, rect: Rect, scale: &Scale) {
    let zone = &desk.site.base.place.zone;
    let hours = ((scale.last - scale.first).num_minutes() as f32 / 60.0).max(0.1);
    let per_hour = (scale.right - scale.left) / hours;
    let every = (1..=24_u32)
        .find(|n| per_hour * *n as f32 >= FIGURES)
        .unwrap_or(24);
    let top = rect.top() + HOURS;
    painter.hline(rect.x_range(), top, Stroke::new(1.0, page.ink));
    let quarter = scale.first.timestamp().div_euclid(900) * 900;
    let marks = (0..200).filter_map(|k| DateTime::from_timestamp(quarter + 900 * k, 0));
    for at in marks
        .skip_while(|at| *at < scale.first)
        .take_while(|at| *at <= scale.last)
    {
        let clock = zone.local(at).naive.time();
        if clock.minute() != 0 {
            continue;
        }
        let x = scale.x(at);
        let told = clock.hour().is_multiple_of(every);
        let stroke = Stroke::new(if told { 0.8 } else { 0.4 }, page.rule);
        painter.vline(x, top..=rect.bottom(), stroke);
        if told {
            let text = format!("{:02}", clock.hour());
            let font = theme::regular(theme::NOTE);
            let at = pos2(x, rect.top() + HOURS / 2.0);
            painter.text(at, Align2::CENTER_CENTER, text, font, page.faint);
        }
    }
}

/// The handle: a rule through all lanes with a grip at its head.
fn handle(painter: &Painter, page: &Page, rect: Rect, x: f32) {
    let x = painter.round_to_pixel_center(x);
    painter.vline(x, rect.y_range(), Stroke::new(2.0, page.ink));
    let grip = Rect::from_min_max(
        pos2(x - 5.0, rect.top()),
        pos2(x + 5.0, rect.top() + HOURS - 4.0),
    );
    painter.rect_filled(grip, 0.0, page.ink);
    for off in [-2.0, 1.0] {
        let line = Stroke::new(1.0, page.paper);
        painter.vline(
            x + off + 0.5,
            (grip.top() + 3.0)..=(grip.bottom() - 3.0),
            line,
        );
    }
}

/// What the day is like at a minute, in words.
fn told_at(desk: &Desk, day: &Day, at: DateTime<Utc>) -> String {
    let place = &desk.site.base.place;
    let sun = sun_at(&place.observer, at);
    let local = place.zone.local(at);
    let within = |from: DateTime<Utc>, to: DateTime<Utc>| {
        (from..to.max(from + Duration::minutes(1))).contains(&at)
    };
    let verdict = day.verdict.iter().find(|run| within(run.from, run.to));
    let mut text = format!(
        "{}: sun {:.0}° high, bearing {:.0}°",
        local.naive.format("%H:%M"),
        sun.elevation_deg,
        sun.azimuth_deg
    );
    if let Some(run) = verdict {
        text += &format!("\n{}", run.what.word());
    }
    let lanes = day.lanes.iter().flat_map(|lane| &lane.runs);
    for run in lanes
        .chain(&day.rest)
        .filter(|run| within(run.from, run.to))
    {
        if let Some(worst) = &run.worst {
            text += &format!("\n{worst}");
        }
    }
    text
}
