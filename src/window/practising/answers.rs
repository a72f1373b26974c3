//! Numbered answers, by key or pointer, and what is shown when they are in. May not enter: which answers there are.

use crate::grade::Grade;
use crate::grade::wording::sentence_case;
use crate::picture::png::Picture;
use crate::practise::drill::truth::Truth;
use crate::units::Units;
use crate::window::slide::Pictures;
use crate::window::theme::{self, Page};
use egui::{Color32, Key, Modifiers, Rect, Response, RichText, Sense, Ui, Vec2, pos2, vec2};
use std::sync::Arc;

/// The frame beside is no wider, so that in a low window the words under it are seen too.
const BESIDE: f32 = 330.0;

/// What is shown once a round is over.
pub struct Told<'a> {
    /// What is true of the frame, once it has been worked out.
    pub truth: Option<&'a Truth>,
    /// The frame beside it, and its number among the pictures.
    pub beside: Option<(&'a Arc<Picture>, u64)>,
    /// What was changed for it, in a phrase.
    pub changed: &'a str,
    /// Pictures on the device.
    pub pictures: &'a mut Pictures,
    /// The round's number.
    pub number: u64,
    /// In which lengths are told.
    pub units: Units,
}

const KEYS: [Key; 10] = [
    Key::Num0,
    Key::Num1,
    Key::Num2,
    Key::Num3,
    Key::Num4,
    Key::Num5,
    Key::Num6,
    Key::Num7,
    Key::Num8,
    Key::Num9,
];

/// Whether a number key was pressed; it is used up.
pub fn number_pressed(ui: &Ui, number: usize) -> bool {
    ui.input_mut(|input| input.consume_key(Modifiers::NONE, KEYS[number % KEYS.len()]))
}

/// A line that is answered by its number or by pressing it; whether it was.
pub fn answer(ui: &mut Ui, number: usize, words: &str, chosen: bool, mark: Option<Grade>) -> bool {
    let page = theme::page(ui.ctx());
    let width = ui.available_width();
    let inset = if mark.is_some() { 52.0 } else { 30.0 };
    let font = theme::regular(theme::TEXT);
    let galley = ui
        .painter()
        .layout(words.to_string(), font, page.ink, width - inset - 8.0);
    let size = vec2(width, galley.size().y.max(16.0) + 10.0);
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    paint(ui, &page, rect, &response, chosen);
    let painter = ui.painter();
    let centre = rect.center().y;
    let at = pos2(rect.left() + 9.0, centre);
    let (align, bold) = (egui::Align2::LEFT_CENTER, theme::bold(theme::TEXT));
    painter.text(at, align, number % KEYS.len(), bold, page.faint);
    if let Some(grade) = mark {
        let square = Rect::from_center_size(pos2(rect.left() + 38.0, centre), Vec2::splat(14.0));
        theme::mark(painter, square, grade, &page);
    }
    let corner = pos2(rect.left() + inset, centre - galley.size().y / 2.0);
    painter.galley(corner, galley, page.ink);
    response.widget_info(|| egui::WidgetInfo::selected(egui::Role::Button, true, chosen, words));
    response.clicked() || number_pressed(ui, number)
}

fn paint(ui: &Ui, page: &Page, rect: Rect, response: &Response, chosen: bool) {
    let lit = chosen || response.hovered() || response.has_focus();
    let fill = if lit { page.field } else { page.paper };
    ui.painter().rect_filled(rect, 0.0, fill);
    let (width, color) = match (response.has_focus(), chosen) {
        (true, _) => (2.0, page.ink),
        (false, true) => (1.0, page.ink),
        (false, false) => (1.0, page.rule),
    };
    let stroke = egui::Stroke::new(width, color);
    ui.painter()
        .rect_stroke(rect, 0.0, stroke, egui::StrokeKind::Inside);
}

/// A button for going on; Enter presses it too, unless something else has the focus.
pub fn go_on(ui: &mut Ui, words: &str) -> bool {
    ui.add_space(4.0);
    let width = ui.available_width();
    let words = RichText::new(words).font(theme::bold(theme::TEXT));
    let pressed = ui
        .add_sized([width, 30.0], egui::Button::new(words))
        .clicked();
    let free = ui.ctx().memory(|memory| memory.focused().is_none());
    pressed || (free && ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Enter)))
}

/// A question.
pub fn question(ui: &mut Ui, words: &str, note: &str) {
    let page = theme::page(ui.ctx());
    ui.label(
        RichText::new(words)
            .font(theme::bold(theme::HEAD))
            .color(page.ink),
    );
    if !note.is_empty() {
        ui.label(RichText::new(note).small().color(page.faint));
    }
    ui.add_space(4.0);
}

/// A line with what was said against what is true.
pub fn compared(ui: &mut Ui, what: &str, said: &str, truth: &str, right: bool) {
    let page = theme::page(ui.ctx());
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        ui.label(RichText::new(format!("{what}:")).color(page.faint));
        ui.label(
            RichText::new(said)
                .font(theme::bold(theme::TEXT))
                .color(page.ink),
        );
        if !right {
            let color = page.grade(Grade::Ruinous);
            ui.label(RichText::new(format!("not so: {truth}")).color(color));
        } else {
            ui.label(RichText::new("right").color(page.faint));
        }
    });
}

/// Points of a round, as its verdict.
pub fn points(ui: &mut Ui, points: f64) {
    let page = theme::page(ui.ctx());
    ui.horizontal(|ui| {
        let told = format!("{points:.1} of 3 points");
        ui.label(
            RichText::new(told)
                .font(theme::bold(theme::HEAD))
                .color(page.ink),
        );
    });
    ui.add_space(2.0);
}

/// The worst finding in the rulebook's words, its remedy, and what else was found, under a heading.
pub fn truth(ui: &mut Ui, told: &Told, heading: &str) {
    let page = theme::page(ui.ctx());
    theme::heading(ui, heading);
    let Some(truth) = told.truth else {
        ui.label(RichText::new("It is being measured \u{2026}").color(page.faint));
        return;
    };
    let findings = &truth.graded.sheet.findings;
    if findings.is_empty() {
        line(
            ui,
            Grade::Clean,
            "The rulebook has nothing against it: a clean frame",
            true,
        );
        let note = "It does not weigh everything: bare ground in front, shadows on it and what the edge cuts are left \
                    to your taste.";
        ui.label(RichText::new(note).small().color(page.faint));
    }
    for (n, finding) in findings.iter().take(4).enumerate() {
        line(ui, finding.grade, finding.what_in(told.units), n == 0);
        if let Some(remedy) = finding.remedy_in(told.units).filter(|_| n == 0) {
            let remedy = RichText::new(sentence_case(remedy)).color(page.faint);
            ui.label(remedy);
        }
    }
    if findings.len() > 4 {
        let more = format!("and {} more", findings.len() - 4);
        ui.label(RichText::new(more).small().color(page.faint));
    }
}

/// A finding: its mark and its words.
pub fn line(ui: &mut Ui, grade: Grade, words: &str, first: bool) {
    let page = theme::page(ui.ctx());
    ui.horizontal_top(|ui| {
        let (rect, _) = ui.allocate_exact_size(Vec2::splat(15.0), Sense::hover());
        theme::mark(ui.painter(), rect, grade, &page);
        let size = if first { theme::TEXT } else { theme::NOTE };
        let color = if first { page.ink } else { page.faint };
        let words = RichText::new(words).font(theme::regular(size)).color(color);
        ui.add(egui::Label::new(words).wrap());
    });
}

/// The frame beside, on a small mount, with its words.
pub fn beside(ui: &mut Ui, told: &mut Told, words: &str) {
    let page = theme::page(ui.ctx());
    ui.add_space(4.0);
    theme::heading(ui, words);
    let width = ui.available_width().min(BESIDE);
    let Some((picture, number)) = told.beside else {
        ui.label(RichText::new("It is being painted \u{2026}").color(page.faint));
        return;
    };
    let inner = width - 12.0;
    let height = inner * picture.height as f32 / picture.width as f32;
    let (rect, response) = ui.allocate_exact_size(vec2(width, height + 12.0), Sense::hover());
    ui.painter().rect_filled(rect, 0.0, theme::SLIDE);
    let texture = told.pictures.texture(ui, number, picture);
    let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
    ui.painter()
        .image(texture.id(), rect.shrink(6.0), whole, Color32::WHITE);
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, words));
    if !told.changed.is_empty() {
        ui.label(RichText::new(told.changed).color(page.faint));
    }
}
