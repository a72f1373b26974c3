//! The year as hours won: week by week, morning and afternoon, for each facing; a week is chosen and stood in. May not
//! enter: how hours are counted.

use crate::plan::hours::{Half, Week};
use crate::rehearsal::bench::YearSoFar;
use crate::rehearsal::desk::Desk;
use crate::rehearsal::take::Take;
use crate::scene::machine::HeadEnd;
use crate::units::compass_word;
use crate::window::hatch::{self, Density};
use crate::window::theme::{self, Page};
use chrono::{Datelike, Days};
use egui::{Align2, Painter, Rect, Sense, Stroke, Ui, pos2, vec2};

/// The year as far as it is known.
pub type YearView<'a> = Option<&'a YearSoFar>;

const NAMES: f32 = 150.0;
const MONTHS: f32 = 18.0;
const ROW: f32 = 23.0;
/// Rows of the table: two facings, morning and afternoon each.
const ROWS: usize = 4;
const HALVES: [&str; 2] = ["morning", "afternoon"];

/// Draws it.
pub fn ui(ui: &mut Ui, desk: &mut Desk, year: YearView) {
    let page = theme::page(ui.ctx());
    let size = vec2(ui.available_width(), MONTHS + ROW * ROWS as f32 + 2.0);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, "Hours won"));
    let painter = ui.painter().with_clip_rect(rect);
    let Some(year) = year else {
        painter.text(
            rect.center(),
            Align2::CENTER_CENTER,
            "counting the hours of the year \u{2026}",
            theme::regular(theme::TEXT),
            page.faint,
        );
        return;
    };
    let table = Table::of(rect, year);
    names(&painter, &page, rect, year);
    let most_h = table.most_h();
    for (n, week) in year.weeks.iter().enumerate() {
        for row in 0..ROWS {
            let cell = table.cell(n, row);
            match week {
                Some(week) => bars(&painter, &page, cell, half(week, row), most_h),
                None => {
                    let dot = pos2(cell.center().x, cell.bottom() - 2.0);
                    painter.circle_filled(dot, 0.8, page.rule);
                }
            }
        }
    }
    for row in 0..ROWS {
        bound(&painter, &page, &table, year, row, desk);
        let y = table.cell(0, row).bottom();
        painter.hline(rect.x_range(), y, Stroke::new(0.5, page.rule));
    }
    months(&painter, &page, &table, year);
    now(&painter, &page, &table, year, desk);
    let Some(at) = response.hover_pos().or(response.interact_pointer_pos()) else {
        return;
    };
    let Some((n, row)) = table.hit(at) else {
        return;
    };
    let Some(week) = &year.weeks[n] else { return };
    if response.clicked() {
        stand_in(desk, year, half(week, row), row);
    }
    response.on_hover_text_at_pointer(told(desk, week, row));
}

/// The half of a week that a row shows.
fn half(week: &Week, row: usize) -> &Half {
    &week.halves[row / 2][row % 2]
}

/// Stands where and when a half week's best frame is.
fn stand_in(desk: &mut Desk, year: &YearSoFar, half: &Half, row: usize) {
    let Some(best) = half.best else {
        desk.refused = Some("No allowed spot gives a frame in that week".into());
        return;
    };
    let mut setting = desk.take.setting.clone();
    setting.head_end = year.head_ends[row / 2];
    let take = Take {
        setting,
        stand: best.stand,
        at: best.at,
        exposure_s: desk.take.exposure_s,
    };
    desk.lay(take, "Stand in a week's best frame");
}

/// Where cells lie.
struct Table<'a> {
    left: f32,
    top: f32,
    week: f32,
    year: &'a YearSoFar,
}

impl Table<'_> {
    fn of(rect: Rect, year: &YearSoFar) -> Table<'_> {
        let left = rect.left() + NAMES;
        Table {
            left,
            top: rect.top() + MONTHS,
            week: (rect.right() - 8.0 - left) / year.weeks.len().max(1) as f32,
            year,
        }
    }

    fn cell(&self, week: usize, row: usize) -> Rect {
        let corner = pos2(
            self.left + self.week * week as f32,
            self.top + ROW * row as f32,
        );
        Rect::from_min_size(corner, vec2(self.week, ROW))
    }

    fn hit(&self, at: egui::Pos2) -> Option<(usize, usize)> {
        let (week, row) = ((at.x - self.left) / self.week, (at.y - self.top) / ROW);
        let inside = week >= 0.0
            && row >= 0.0
            && (week as usize) < self.year.weeks.len()
            && (row as usize) < ROWS;
        inside.then_some((week as usize, row as usize))
    }

    /// The longest bar: hours of a week.
    fn most_h(&self) -> f64 {
        let weeks = self.year.weeks.iter().flatten();
        let halves = weeks.flat_map(|week| week.halves.iter().flatten());
        halves.fold(7.0, |most, half| most.max(half.fair_h))
    }
}

/// A half week: hours fair hatched, hours good filled.
fn bars(painter: &Painter, page: &Page, cell: Rect, half: &Half, most_h: f64) {
    let bar = |hours: f64| {
        let height = (hours / most_h) as f32 * (cell.height() - 3.0);
        Rect::from_min_max(
            pos2(cell.left() + 0.5, cell.bottom() - height),
            pos2(cell.right() - 0.5, cell.bottom()),
        )
    };
    if half.fair_h > 0.0 {
        let color = page.grade(crate::grade::Grade::Marked);
        hatch::fill_rect(painter, bar(half.fair_h), Density::Dense, color);
    }
    if half.good_h > 0.0 {
        painter.rect_filled(
            bar(half.good_h),
            0.0,
            page.grade(crate::grade::Grade::Slight),
        );
    }
}

/// Over weeks that win nothing: the fault that binds, where its name has room.
fn bound(painter: &Painter, page: &Page, table: &Table, year: &YearSoFar, row: usize, desk: &Desk) {
    let fault = |week: &Option<Week>| {
        let half = half(week.as_ref()?, row);
        (half.fair_h == 0.0).then_some(half.binds).flatten()
    };
    let mut first = 0;
    for group in year.weeks.chunk_by(|a, b| fault(a) == fault(b)) {
        let last = first + group.len() - 1;
        if let Some(fault) = fault(&group[0]) {
            let title = desk.site.rulebook.faults[fault].title.clone();
            let font = theme::regular(theme::NOTE);
            let galley = painter.layout_no_wrap(title, font, page.faint);
            let area = table.cell(first, row).union(table.cell(last, row));
            if galley.size().x + 4.0 < area.width() {
                painter.galley(area.center() - galley.size() / 2.0, galley, page.faint);
            }
        }
        first = last + 1;
    }
}

fn names(painter: &Painter, page: &Page, rect: Rect, year: &YearSoFar) {
    let font = theme::regular(theme::NOTE);
    for row in 0..ROWS {
        let y = rect.top() + MONTHS + ROW * (row as f32 + 0.5);
        if row % 2 == 0 {
            let nose = compass_word(year.nose_bearings_deg[row / 2]);
            let words = format!("faces {nose}");
            let at = pos2(rect.left(), y);
            painter.text(
                at,
                Align2::LEFT_CENTER,
                words,
                theme::bold(theme::NOTE),
                page.ink,
            );
        }
        let at = pos2(rect.left() + NAMES - 8.0, y);
        painter.text(
            at,
            Align2::RIGHT_CENTER,
            HALVES[row % 2],
            font.clone(),
            page.faint,
        );
    }
    if let Some(share) = year.share.filter(|share| *share < 1.0) {
        let words = format!("{:.0} % counted", share * 100.0);
        let at = pos2(rect.left(), rect.top() + MONTHS / 2.0);
        painter.text(at, Align2::LEFT_CENTER, words, font, page.faint);
    }
}

fn months(painter: &Painter, page: &Page, table: &Table, year: &YearSoFar) {
    let first_of = |month: u32| chrono::NaiveDate::from_ymd_opt(year.year, month, 1);
    for month in 1..=12 {
        let Some(date) = first_of(month) else {
            continue;
        };
        let x = table.left + table.week * date.ordinal0() as f32 / 7.0;
        let foot = table.cell(0, ROWS - 1).bottom();
        painter.vline(x, (table.top - 4.0)..=foot, Stroke::new(0.5, page.rule));
        let at = pos2(x + 3.0, table.top - MONTHS / 2.0);
        let word = date.format("%b").to_string();
        let font = theme::regular(theme::NOTE);
        painter.text(at, Align2::LEFT_CENTER, word, font, page.faint);
    }
    painter.hline(
        (table.left - NAMES)..=table.cell(year.weeks.len().saturating_sub(1), 0).right(),
        table.top,
        Stroke::new(1.0, page.ink),
    );
}

/// The week of the take, framed in the rows of its facing.
fn now(painter: &Painter, page: &Page, table: &Table, year: &YearSoFar, desk: &Desk) {
    let date = super::date_of(desk);
    if date.year() != year.year {
        return;
    }
    let week = (date.ordinal0() as usize / 7).min(year.weeks.len().saturating_sub(1));
    let leads = |end: &HeadEnd| *end == desk.take.setting.head_end;
    let facing = year.head_ends.iter().position(leads).unwrap_or(0);
    let cells = table
        .cell(week, 2 * facing)
        .union(table.cell(week, 2 * facing + 1));
    let stroke = Stroke::new(1.5, page.ink);
    painter.rect_stroke(cells, 0.0, stroke, egui::StrokeKind::Outside);
}

/// What a half week wins, in words.
fn told(desk: &Desk, week: &Week, row: usize) -> String {
    let half = half(week, row);
    let dates = format!(
        "{} to {}",
        week.of.first.format("%-d %b"),
        (week.of.first + Days::new(u64::from(week.of.days.max(1)) - 1)).format("%-d %b")
    );
    let mut text = format!(
        "{dates}, {}s: {:.1} h good or better, {:.1} h fair or better, of {:.0} h of sun",
        HALVES[row % 2],
        half.good_h,
        half.fair_h,
        half.sun_h
    );
    if let Some(fault) = half.binds.map(|n| &desk.site.rulebook.faults[n]) {
        text += &format!("\n{} binds in {:.1} h", fault.title, half.binds_h);
    }
    match half.best {
        Some(best) => {
            let local = desk.site.base.place.zone.local(best.at);
            text += &format!(
                "\nBest {} at {}: {}. Press to stand there.",
                local.naive.format("%-d %b"),
                local.naive.format("%H:%M"),
                best.verdict.word()
            );
        }
        None => text += "\nNo allowed spot gives a frame",
    }
    text
}
