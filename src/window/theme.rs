//! How a page looks: paper and ink of both themes, type, spacing, and the forms that stand for grades. May not enter:
//! what a page says.

use crate::grade::Grade;
use egui::{
    Color32, Context, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Margin, Painter,
    Rect, Shadow, Stroke, Theme, Ui, Vec2, Visuals, vec2,
};
use std::sync::Arc;

/// Sizes of type, points: notes, text, headings, the verdict.
pub const NOTE: f32 = 12.0;
/// Text.
pub const TEXT: f32 = 14.0;
/// Headings.
pub const HEAD: f32 = 18.0;
/// The verdict.
pub const LARGE: f32 = 28.0;

/// What surrounds the frame: neutral, so that light can be judged.
pub const SURROUND: Color32 = Color32::from_gray(118);
/// The frame's mount.
pub const MOUNT: Color32 = Color32::from_gray(246);
/// A small frame's mount, and while the pointer is over it.
pub const SLIDE: Color32 = Color32::from_gray(232);
/// Lighter: it can be pressed.
pub const SLIDE_UNDER_POINTER: Color32 = Color32::from_gray(255);
/// Words on the mount.
pub const MOUNT_INK: Color32 = Color32::from_gray(52);

/// Colours of a page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Page {
    /// The page itself.
    pub paper: Color32,
    /// A field on it, or a line of the table that is chosen.
    pub field: Color32,
    /// Words.
    pub ink: Color32,
    /// Units, notes, rules of the table.
    pub faint: Color32,
    /// Thin rules.
    pub rule: Color32,
    /// Grades: clean, slight, marked, ruinous.
    pub grades: [Color32; 4],
}

const fn rgb(hex: u32) -> Color32 {
    Color32::from_rgb((hex >> 16) as u8, (hex >> 8) as u8, hex as u8)
}

/// Ink on paper.
pub const LIGHT: Page = Page {
    paper: rgb(0xF3EFE4),
    field: rgb(0xFBF8F0),
    ink: rgb(0x22303A),
    faint: rgb(0x57656D),
    rule: rgb(0xB9B5A6),
    grades: [rgb(0x22303A), rgb(0x4E6778), rgb(0x8F6210), rgb(0x8E3B2E)],
};

/// Paper on night.
pub const DARK: Page = Page {
    paper: rgb(0x1C2126),
    field: rgb(0x282F36),
    ink: rgb(0xE9E4D8),
    faint: rgb(0xA6ADB0),
    rule: rgb(0x4A535B),
    grades: [rgb(0xE9E4D8), rgb(0x9DB4C4), rgb(0xE0B25A), rgb(0xE08770)],
};

/// The page of a context's theme.
pub fn page(ctx: &Context) -> Page {
    match ctx.theme() {
        Theme::Dark => DARK,
        Theme::Light => LIGHT,
    }
}

impl Page {
    /// A grade's colour.
    pub fn grade(&self, grade: Grade) -> Color32 {
        self.grades[grade as usize]
    }
}

/// What a field that is typed into is called, for those who hear the page, and what stands in it.
pub fn field_info(name: &str, text: impl ToString) -> egui::WidgetInfo {
    egui::WidgetInfo {
        label: Some(name.into()),
        ..egui::WidgetInfo::text_edit(true, text.to_string(), text.to_string(), "")
    }
}

const BOLD: &str = "heros bold";

/// The font of text.
pub fn regular(size: f32) -> FontId {
    FontId::new(size, FontFamily::Proportional)
}

/// The font of headings and figures that count.
pub fn bold(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name(BOLD.into()))
}

/// Gives a context fonts, spacing and both themes.
pub fn dress(ctx: &Context) {
    let mut fonts = FontDefinitions::empty();
    let mut add = |name: &str, bytes: &'static [u8]| {
        let data = Arc::new(FontData::from_static(bytes));
        fonts.font_data.insert(name.into(), data);
    };
    add("heros", include_bytes!("fonts/texgyreheros-regular.otf"));
    add(BOLD, include_bytes!("fonts/texgyreheros-bold.otf"));
    // Arrows and other signs that the text font lacks; its letters are all equally wide, for what is set in columns.
    add("signs", epaint_default_fonts::HACK_REGULAR);
    let family = |name: &str| vec![name.to_string(), "signs".to_string()];
    let families = &mut fonts.families;
    families.insert(FontFamily::Proportional, family("heros"));
    families.insert(FontFamily::Monospace, vec!["signs".into(), "heros".into()]);
    families.insert(FontFamily::Name(BOLD.into()), family(BOLD));
    ctx.set_fonts(fonts);
    for (theme, page) in [(Theme::Light, LIGHT), (Theme::Dark, DARK)] {
        ctx.set_visuals_of(theme, visuals(theme, &page));
    }
    ctx.all_styles_mut(|style| {
        use egui::TextStyle::{Body, Button, Heading, Monospace, Small};
        for (text, font) in [
            (Small, regular(NOTE)),
            (Body, regular(TEXT)),
            (Button, regular(TEXT)),
            (Monospace, FontId::new(NOTE, FontFamily::Monospace)),
            (Heading, bold(HEAD)),
        ] {
            style.text_styles.insert(text, font);
        }
        let spacing = &mut style.spacing;
        spacing.item_spacing = vec2(8.0, 4.0);
        spacing.button_padding = vec2(8.0, 3.0);
        spacing.interact_size = vec2(40.0, 22.0);
        spacing.window_margin = Margin::same(12);
        spacing.menu_margin = Margin::same(8);
        spacing.scroll = egui::style::ScrollStyle::thin();
        spacing.tooltip_width = 320.0;
        style.animation_time = 0.0;
        style.interaction.selectable_labels = false;
    });
}

fn visuals(theme: Theme, page: &Page) -> Visuals {
    let mut visuals = match theme {
        Theme::Dark => Visuals::dark(),
        Theme::Light => Visuals::light(),
    };
    visuals.override_text_color = None;
    visuals.weak_text_color = Some(page.faint);
    // A page at rest is not drawn again and again for a cursor.
    visuals.text_cursor.blink = false;
    visuals.hyperlink_color = page.ink;
    visuals.faint_bg_color = page.field;
    visuals.extreme_bg_color = page.field;
    visuals.code_bg_color = page.field;
    visuals.warn_fg_color = page.grade(Grade::Marked);
    visuals.error_fg_color = page.grade(Grade::Ruinous);
    visuals.window_fill = page.paper;
    visuals.panel_fill = page.paper;
    visuals.window_stroke = Stroke::new(1.0, page.ink);
    visuals.window_corner_radius = CornerRadius::ZERO;
    visuals.menu_corner_radius = CornerRadius::ZERO;
    visuals.window_shadow = Shadow::NONE;
    visuals.popup_shadow = Shadow::NONE;
    visuals.selection.bg_fill = page.rule;
    visuals.selection.stroke = Stroke::new(1.0, page.ink);
    let widgets = &mut visuals.widgets;
    let states = [
        (&mut widgets.noninteractive, page.paper, page.rule, 1.0),
        (&mut widgets.inactive, page.field, page.rule, 1.0),
        (&mut widgets.hovered, page.field, page.ink, 1.0),
        (&mut widgets.active, page.rule, page.ink, 2.0),
        (&mut widgets.open, page.field, page.ink, 1.0),
    ];
    for (state, fill, edge, width) in states {
        state.bg_fill = fill;
        state.weak_bg_fill = fill;
        state.bg_stroke = Stroke::new(width, edge);
        state.fg_stroke = Stroke::new(1.0, page.ink);
        state.corner_radius = CornerRadius::ZERO;
        state.expansion = 0.0;
    }
    visuals
}

/// Draws the form of a grade into a square: an open ring, one stroke, two strokes, a filled square with a diagonal.
pub fn mark(painter: &Painter, within: Rect, grade: Grade, page: &Page) {
    let square = Rect::from_center_size(within.center(), Vec2::splat(within.size().min_elem()));
    let (at, side) = (square.center(), square.width());
    let stroke = Stroke::new((side / 7.0).max(1.5), page.grade(grade));
    let slant = |shift: f32| {
        let (x, y) = (side * 0.16, side * 0.42);
        let middle = at + vec2(shift * side, 0.0);
        painter.line_segment([middle + vec2(-x, y), middle + vec2(x, -y)], stroke);
    };
    match grade {
        Grade::Clean => {
            painter.circle_stroke(at, side * 0.36, stroke);
        }
        Grade::Slight => slant(0.0),
        Grade::Marked => {
            slant(-0.18);
            slant(0.18);
        }
        Grade::Ruinous => {
            let filled = square.shrink(side * 0.08);
            painter.rect_filled(filled, 0.0, page.grade(grade));
            let ends = [filled.left_bottom(), filled.right_top()];
            painter.line_segment(ends, Stroke::new(stroke.width, page.paper));
        }
    }
}

/// Paper under a part of the page, with a margin in points.
pub fn panel(page: &Page, margin: i8) -> egui::Frame {
    egui::Frame::new()
        .fill(page.paper)
        .inner_margin(egui::Margin::same(margin))
}

/// A heading with a rule under it, as a column of a timetable has.
pub fn heading(ui: &mut Ui, text: &str) {
    let page = page(ui.ctx());
    let label = egui::RichText::new(text).font(bold(NOTE)).color(page.faint);
    ui.label(label);
    let rect = ui.available_rect_before_wrap();
    let y = ui.cursor().top();
    ui.painter()
        .hline(rect.x_range(), y - 2.0, Stroke::new(1.0, page.rule));
}

#[cfg(test)]
mod tests {
    use super::*;

    /// WCAG 2.2, relative luminance and contrast ratio (published formula).
    fn contrast(a: Color32, b: Color32) -> f64 {
        let luminance = |color: Color32| {
            let linear = |code: u8| {
                let v = f64::from(code) / 255.0;
                if v <= 0.04045 {
                    v / 12.92
                } else {
                    ((v + 0.055) / 1.055).powf(2.4)
                }
            };
            0.2126 * linear(color.r()) + 0.7152 * linear(color.g()) + 0.0722 * linear(color.b())
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// WCAG 2.2, 1.4.3: text at least 4.5 : 1; 1.4.11: marks at least 3 : 1.
    #[test]
    fn words_and_marks_stand_out_from_the_page() {
        for page in [LIGHT, DARK] {
            for ground in [page.paper, page.field] {
                for color in [
                    page.ink,
                    page.faint,
                    page.grades[1],
                    page.grades[2],
                    page.grades[3],
                ] {
                    let ratio = contrast(color, ground);
                    assert!(ratio >= 4.5, "{color:?} on {ground:?}: {ratio:.2}");
                }
            }
        }
        assert!(contrast(MOUNT_INK, MOUNT) >= 4.5);
    }
}
