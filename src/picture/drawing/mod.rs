//! Drawings that explain, as SVG: each stands alone, with a scale or an axis. May not enter: pages, grading.

pub mod day_strip;
pub mod ground;
pub mod handrail;
pub mod hatch;
pub mod hours;
pub mod labels;
pub mod plate;
pub mod site_plan;
pub mod year;

use super::canvas::Ink;

/// Ink, and the lighter inks beside it; all hold in grey print.
pub(crate) const INK: &str = "#22303a";
pub(crate) const SLATE: &str = "#4e6778";
pub(crate) const OXIDE: &str = "#8e3b2e";

/// An ink as markup has it.
pub(crate) fn hex([r, g, b]: Ink) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// Text made safe for markup.
pub fn escape(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            // Control characters are no part of any page.
            c if c.is_control() && c != '\n' && c != '\t' => safe.push('\u{fffd}'),
            c => safe.push(c),
        }
    }
    safe
}

/// Opening of a drawing of a size in its own units.
pub(crate) fn open(width: f64, height: f64, title: &str) -> String {
    let title = escape(title);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.0} {height:.0}\" role=\"img\" \
         aria-label=\"{title}\" font-family=\"Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif\" \
         font-size=\"9\" fill=\"{INK}\"><title>{title}</title>"
    )
}

/// A line of text; `anchor` is start, middle or end. A pale edge keeps it readable over lines.
pub(crate) fn text(x: f64, y: f64, anchor: &str, words: &str) -> String {
    format!(
        "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\" stroke=\"#fff\" stroke-width=\"2.4\" \
         stroke-linejoin=\"round\" paint-order=\"stroke\">{}</text>",
        escape(words)
    )
}

/// A straight line with a stroke's attributes.
pub(crate) fn line(x1: f64, y1: f64, x2: f64, y2: f64, style: &str) -> String {
    format!("<line x1=\"{x1:.1}\" y1=\"{y1:.1}\" x2=\"{x2:.1}\" y2=\"{y2:.1}\" {style}/>")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_in_names_stays_text() {
        assert_eq!(
            escape("<b>\"R&D\" 'x'\u{1}"),
            "&lt;b&gt;&quot;R&amp;D&quot; &#39;x&#39;\u{fffd}"
        );
        assert!(!open(1.0, 1.0, "a<script>").contains("<script>"));
    }
}
