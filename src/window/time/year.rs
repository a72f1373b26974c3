//! The year as hours won: week by week, morning and afternoon, for each facing; a week is chosen and stood in. May not
//! enter: how hours are counted, where weeks lie.

use crate::grade::{Grade, Verdict};
use crate::picture::drawing::hours::{self, Form, HALVES, Lane, Layout};
use crate::plan::hours::{Half, Week};
use crate::rehearsal::bench::YearSoFar;
use crate::rehearsal::desk::Desk;
use crate::rehearsal::take::Take;
use crate::scene::machine::HeadEnd;
use crate::units::compass_word;
use crate::window::hatch::{self, Density};
use crate::window::theme::{self, Page};
use chrono::Datelike;
use egui::{Align2, Painter, Rect, Sense, Stroke, StrokeKind, Ui, pos2, vec2};

/// The year as far as it is known.
pub type YearView<'a> = Option<&'a YearSoFar>;

const NAMES: f32 = 176.0;
const MONTHS: f32 = 18.0;
const ROW: f32 = 23.0;
/// Left free above a lane's longest bar.
const HEADROOM: f32 = 3.0;
/// Two facings, morning and afternoon each.
const ROWS: [(usize, usize); 4] = [(0, 0), (0, 1), (1, 0), (1, 1)];

/// Draws it.
pub fn ui(ui: &mut Ui, desk: &mut Desk, year: YearView) {
    let page = theme::page(ui.ctx());
    let size = vec2(ui.available_width(), MONTHS + ROW * ROWS.len() as f32 + 2.0);
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
    let won = table(desk, year);
    let layout = Layout::of(&won, form(rect));
    let paint = Paint {
        painter: &painter,
        page: &page,
        rect,
    };
    paint.names(&won, &layout, year);
    paint.months(&won, &layout);
    for (facing, half) in ROWS {
        if let Some(lane) = layout.lane(&won, facing, half) {
            paint.lane(&lane);
        }
    }
    paint.unknown(&layout, year);
    paint.now(&layout, year, desk);
    let Some(at) = response.hover_pos().or(response.interact_pointer_pos()) else {
        return;
    };
    let Some((n, facing, half)) = layout.at(&year.all, at.x.into(), at.y.into()) else {
        return;
    };
    let Some(week) = &year.weeks[n] else { return };
    let told = told(desk, week, facing, half);
    if response.clicked() {
        stand_in(desk, year, &week.halves[facing][half], facing);
    }
    response.on_hover_text_at_pointer(told);
}

/// The room on the pane.
fn form(rect: Rect) -> Form {
    Form {
        left: f64::from(rect.left() + NAMES),
        right: f64::from(rect.right() - 8.0),
        top: f64::from(rect.top() + MONTHS),
        heading: 0.0,
        lane: [f64::from(ROW), 0.0],
        headroom: f64::from(HEADROOM),
    }
}

/// What is known of the year.
fn table<'a>(desk: &Desk, year: &'a YearSoFar) -> hours::Page<'a> {
    hours::Page {
        facings: year
            .nose_bearings_deg
            .map(|deg| format!("faces {}", compass_word(deg))),
        year: &year.all,
        weeks: year.weeks.iter().flatten().collect(),
        faults: &desk.site.rulebook.faults,
    }
}

/// Stands where and when a half week's best frame is.
fn stand_in(desk: &mut Desk, year: &YearSoFar, half: &Half, facing: usize) {
    let Some(best) = half.best else {
        desk.refused = Some("No allowed spot gives a frame in that week".into());
        return;
    };
    let mut setting = desk.take.setting.clone();
    setting.head_end = year.head_ends[facing];
    let take = Take {
        setting,
        stand: best.stand,
        at: best.at,
        exposure_s: desk.take.exposure_s,
    };
    desk.lay(take, "Stand in a week's best frame");
}

fn on_pane(rect: hours::Rect) -> Rect {
    let [x, y, width, height] = [rect.x, rect.y, rect.width, rect.height].map(|v| v as f32);
    Rect::from_min_size(pos2(x, y), vec2(width, height))
}

/// What the pane is painted with.
struct Paint<'a> {
    painter: &'a Painter,
    page: &'a Page,
    rect: Rect,
}

impl Paint<'_> {
    /// Hours won as bars, and the fault that binds where nothing is won, if its name has room.
    fn lane(&self, lane: &Lane) {
        let (painter, page) = (self.painter, self.page);
        for (bar, verdict) in &lane.bars {
            let bar = on_pane(*bar).shrink2(vec2(0.5, 0.0));
            let density = Density::of_verdict(*verdict);
            let color = page.grade(density.map_or(Grade::Clean, Density::ink));
            painter.rect_filled(bar, 0.0, page.field);
            if let Some(density) = density {
                hatch::fill_rect(painter, bar, density, color);
            }
            painter.rect_stroke(bar, 0.0, Stroke::new(1.0, color), StrokeKind::Inside);
        }
        for binding in &lane.binds {
            let rect = on_pane(binding.rect);
            let font = theme::regular(theme::NOTE);
            let galley = painter.layout_no_wrap(binding.title.to_string(), font, page.faint);
            if galley.size().x + 4.0 < rect.width() {
                painter.galley(rect.center() - galley.size() / 2.0, galley, page.faint);
            }
        }
        let foot = lane.field.foot() as f32;
        painter.hline(self.rect.x_range(), foot, Stroke::new(0.5, page.rule));
    }

    /// A dot for each week that is still to come.
    fn unknown(&self, layout: &Layout, year: &YearSoFar) {
        let weeks = year.all.iter().zip(&year.weeks);
        for (of, _) in weeks.filter(|(_, known)| known.is_none()) {
            for (facing, half) in ROWS {
                let cell = on_pane(layout.field(&year.all, of, facing, half));
                let dot = pos2(cell.center().x, cell.bottom() - 2.0);
                self.painter.circle_filled(dot, 0.8, self.page.rule);
            }
        }
    }

    fn names(&self, won: &hours::Page, layout: &Layout, year: &YearSoFar) {
        let (left, faint) = (self.rect.left(), self.page.faint);
        let regular = || theme::regular(theme::NOTE);
        let word = |x: f32, y: f32, align: Align2, words: String, font, ink| {
            self.painter.text(pos2(x, y), align, words, font, ink);
        };
        for (facing, half) in ROWS {
            let y = layout.facing_top(facing) as f32 + ROW * (half as f32 + 0.5);
            let (words, font, ink) = match half {
                0 => (
                    won.facings[facing].clone(),
                    theme::bold(theme::NOTE),
                    self.page.ink,
                ),
                _ => {
                    let good_h = won.won_h(facing, Verdict::Good);
                    (format!("{good_h:.0} h good"), regular(), faint)
                }
            };
            word(left, y, Align2::LEFT_CENTER, words, font, ink);
            let name = HALVES[half].to_string();
            let x = left + NAMES - 8.0;
            word(x, y, Align2::RIGHT_CENTER, name, regular(), faint);
        }
        if let Some(share) = year.share.filter(|share| *share < 1.0) {
            let words = format!("{:.0} % counted", share * 100.0);
            let y = self.rect.top() + MONTHS / 2.0;
            word(left, y, Align2::LEFT_CENTER, words, regular(), faint);
        }
    }

    fn months(&self, won: &hours::Page, layout: &Layout) {
        let (painter, page) = (self.painter, self.page);
        let (top, foot) = (layout.form.top as f32, layout.foot() as f32);
        for (start, ends) in layout.months(won.year) {
            let [x, next] = ends.map(|x| x as f32);
            painter.vline(x, (top - 4.0)..=foot, Stroke::new(0.5, page.rule));
            painter.text(
                pos2((x + next) / 2.0, top - MONTHS / 2.0),
                Align2::CENTER_CENTER,
                start.format("%b").to_string(),
                theme::regular(theme::NOTE),
                page.faint,
            );
        }
        let across = self.rect.left()..=layout.form.right as f32;
        painter.hline(across, top, Stroke::new(1.0, page.ink));
    }

    /// The week of the take, framed in the rows of its facing.
    fn now(&self, layout: &Layout, year: &YearSoFar, desk: &Desk) {
        let date = super::date_of(desk);
        if date.year() != year.year {
            return;
        }
        let week = (date.ordinal0() as usize / 7).min(year.all.len().saturating_sub(1));
        let Some(of) = year.all.get(week) else { return };
        let leads = |end: &HeadEnd| *end == desk.take.setting.head_end;
        let facing = year.head_ends.iter().position(leads).unwrap_or(0);
        let cells = [0, 1].map(|half| on_pane(layout.field(&year.all, of, facing, half)));
        let stroke = Stroke::new(1.5, self.page.ink);
        let cells = cells[0].union(cells[1]);
        self.painter
            .rect_stroke(cells, 0.0, stroke, StrokeKind::Outside);
    }
}

/// What a half week wins, in words.
fn told(desk: &Desk, week: &Week, facing: usize, half: usize) -> String {
    let (name, half) = (HALVES[half], &week.halves[facing][half]);
    let dates = format!(
        "{} to {}",
        week.of.first.format("%-d %b"),
        week.of.last().format("%-d %b")
    );
    let mut text = format!(
        "{dates}, {name}s: about {:.1} h good or better, {:.1} h fair or better, of {:.0} h of sun \
         (one day stands for all)",
        half.good_h, half.fair_h, half.sun_h
    );
    if let Some(fault) = half.binds.map(|n| &desk.site.rulebook.faults[n]) {
        text += &format!("\n{} binds in {:.1} h", fault.title, half.binds_h);
    }
    match half.best {
        Some(best) => {
            let local = desk.site.base.place.zone.local(best.at);
            text += &format!(
                "\nBest {} at {}: about {}, not proved. Press to stand there.",
                local.naive.format("%-d %b"),
                local.naive.format("%H:%M"),
                best.verdict.word()
            );
        }
        None => text += "\nNo allowed spot gives a frame",
    }
    text
}
