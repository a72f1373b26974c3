//! The verdict sheet: the verdict and score, and the findings in their families, worst first; pressing one shows its
//! causes in the frame. May not enter: how anything is graded.

use super::theme::{self, Page};
use crate::grade::rulebook::Group;
use crate::grade::{Finding, Grade, Graded, MeasureId, Sheet, Verdict};
use crate::rehearsal::desk::Desk;
use crate::rehearsal::kept::{Kept, changes};
use crate::units::Units;
use egui::{Align2, Rect, Response, RichText, ScrollArea, Sense, Stroke, Ui, Vec2, pos2, vec2};

/// The sheet's own state.
#[derive(Default)]
pub struct VerdictSheet {
    /// The finding that was shown at the last redraw.
    shown: Option<MeasureId>,
    /// In which lengths are told.
    units: Units,
}

/// The grade whose form stands for a verdict.
pub fn form(verdict: Verdict) -> Grade {
    match verdict {
        Verdict::Fine => Grade::Clean,
        Verdict::Good => Grade::Slight,
        Verdict::Fair | Verdict::Poor => Grade::Marked,
        Verdict::Lost => Grade::Ruinous,
    }
}

impl VerdictSheet {
    /// Draws it.
    /// `kept` is the kept frame that it is held against.
    pub fn ui(&mut self, ui: &mut Ui, desk: &mut Desk, kept: Option<u64>, units: Units) {
        let page = theme::page(ui.ctx());
        let Some(graded) = desk.graded.clone() else {
            ui.label(RichText::new("Not graded yet").color(page.faint));
            return;
        };
        let proved = desk.is_graded() && graded.proved;
        let told = if proved {
            "Proved at full size: what the grade command says of this frame."
        } else {
            "Graded at search size while things move; it is proved when they rest."
        };
        let sheet = &graded.graded.sheet;
        let ends = [sheet.verdict; 2];
        head(
            ui,
            &page,
            (ends, sheet.verdict.word(), sheet.score),
            proved,
            told,
        );
        // One that is shown by a key may lie out of sight.
        let to_see = desk.finding.filter(|_| desk.finding != self.shown);
        self.shown = desk.finding;
        self.units = units;
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            if let Some(kept) = desk.kept.iter().find(|one| Some(one.number) == kept) {
                since(ui, &page, kept, &graded.graded.sheet);
            }
            for (word, group) in Group::WORDS {
                self.group(ui, &page, desk, &graded.graded, (word, group), to_see);
            }
        });
    }

    fn group(
        &mut self,
        ui: &mut Ui,
        page: &Page,
        desk: &mut Desk,
        graded: &Graded,
        (word, group): (&str, Group),
        to_see: Option<MeasureId>,
    ) {
        let sheet = &graded.sheet;
        ui.add_space(6.0);
        theme::heading(ui, &crate::grade::wording::sentence_case(word));
        let mut none = true;
        for finding in sheet.findings.iter().filter(|one| one.group == group) {
            none = false;
            let shown = desk.finding == Some(finding.measure);
            let response = row(ui, page, (finding, None), self.units, shown);
            let response = response.on_hover_text("Press to see in the frame what causes it.");
            if to_see == Some(finding.measure) {
                response.scroll_to_me(None);
            }
            if response.clicked() {
                desk.point_at((!shown).then_some(finding.measure));
            }
        }
        if none {
            ui.horizontal(|ui| {
                let (rect, _) = ui.allocate_exact_size(Vec2::splat(14.0), Sense::hover());
                theme::mark(ui.painter(), rect, Grade::Clean, page);
                ui.label(RichText::new("clean").color(page.faint));
            });
        }
    }
}

/// The verdict in capitals by its words, the forms of its better and its worse end, and the score: fainter while it is not
/// `sure`.
pub fn head(
    ui: &mut Ui,
    page: &Page,
    (ends, words, score): ([Verdict; 2], &str, f64),
    sure: bool,
    told: &str,
) {
    let height = 40.0;
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
    let painter = ui.painter();
    let square = Rect::from_min_size(rect.min + vec2(0.0, 6.0), Vec2::splat(28.0));
    match ends {
        [better, worse] if better == worse => theme::mark(painter, square, form(better), page),
        [better, worse] => {
            let small = Vec2::splat(15.0);
            let other = Rect::from_min_size(square.max - small, small);
            theme::mark(
                painter,
                Rect::from_min_size(square.min, small),
                form(better),
                page,
            );
            theme::mark(painter, other, form(worse), page);
        }
    }
    let score = format!("{score:.1}");
    let figures = painter.text(
        pos2(rect.right(), rect.center().y),
        Align2::RIGHT_CENTER,
        &score,
        theme::regular(theme::LARGE),
        if sure { page.ink } else { page.faint },
    );
    let at = pos2(rect.left() + 38.0, rect.center().y);
    let laid = |size| painter.layout_no_wrap(words.to_uppercase(), theme::bold(size), page.ink);
    let room = figures.left() - 8.0 - at.x;
    let fits = |size: &f32| laid(*size).size().x <= room;
    let size = [theme::LARGE, theme::HEAD].into_iter().find(fits);
    let galley = laid(size.unwrap_or(theme::TEXT));
    let place = Align2::LEFT_CENTER.anchor_size(at, galley.size());
    painter.galley(place.min, galley, page.ink);
    response.widget_info(|| {
        let text = format!("Verdict {words} {score}");
        egui::WidgetInfo::labeled(egui::Role::Label, true, text)
    });
    response.on_hover_text(told);
    ui.painter()
        .hline(rect.x_range(), rect.bottom(), Stroke::new(1.0, page.ink));
}

/// What changed since a kept frame.
fn since(ui: &mut Ui, page: &Page, kept: &Kept, now: &Sheet) {
    let changes = changes(&kept.sheet, now);
    if changes.is_empty() {
        return;
    }
    theme::heading(ui, "Since the kept frame");
    for change in changes {
        ui.horizontal(|ui| {
            for grade in [change.from, change.to] {
                let (rect, _) = ui.allocate_exact_size(Vec2::splat(12.0), Sense::hover());
                theme::mark(ui.painter(), rect, grade, page);
            }
            let word = if change.to < change.from {
                "better"
            } else {
                "worse"
            };
            let text = format!("{}: {word}", change.measure.title());
            let text = RichText::new(crate::grade::wording::sentence_case(&text));
            ui.label(text.font(theme::regular(theme::NOTE)));
        });
    }
}

/// One finding, to be pressed; `doubt` is how far it may be off.
pub fn row(
    ui: &mut Ui,
    page: &Page,
    (finding, doubt): (&Finding, Option<&str>),
    units: Units,
    shown: bool,
) -> Response {
    let width = ui.available_width();
    let text_width = width - 24.0;
    let what = ui.painter().layout(
        finding.what_in(units).to_string(),
        theme::regular(theme::TEXT),
        page.ink,
        text_width,
    );
    let remedy = finding
        .remedy_in(units)
        .map(crate::grade::wording::sentence_case);
    let below = [doubt.map(str::to_string), remedy].into_iter().flatten();
    let below = below.collect::<Vec<_>>().join("\n");
    let remedy = (!below.is_empty()).then_some(below).map(|remedy| {
        let font = theme::regular(theme::NOTE);
        ui.painter().layout(remedy, font, page.faint, text_width)
    });
    let height = what.size().y + remedy.as_ref().map_or(0.0, |r| r.size().y + 2.0) + 8.0;
    let (rect, response) = ui.allocate_exact_size(vec2(width, height), Sense::click());
    let painter = ui.painter();
    if shown || response.hovered() || response.has_focus() {
        painter.rect_filled(rect, 0.0, page.field);
    }
    if shown || response.has_focus() {
        let stroke = Stroke::new(1.0, page.ink);
        painter.rect_stroke(rect, 0.0, stroke, egui::StrokeKind::Inside);
    }
    let square = Rect::from_min_size(rect.min + vec2(2.0, 5.0), Vec2::splat(14.0));
    theme::mark(painter, square, finding.grade, page);
    let corner = rect.min + vec2(22.0, 4.0);
    let below = corner + vec2(0.0, what.size().y + 2.0);
    painter.galley(corner, what, page.ink);
    if let Some(remedy) = remedy {
        painter.galley(below, remedy, page.faint);
    }
    response.widget_info(|| {
        let text = format!("{} {}", finding.grade.word(), finding.sentence_in(units));
        egui::WidgetInfo::labeled(egui::Role::Button, true, text)
    });
    response
}
