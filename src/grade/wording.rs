//! Sentences from a rulebook's templates, and numbers as people read them. May not enter: limits.
//!
//! A template is text with `{value}`, `{abs}` (the value without its sign), `{limit}` and `{detail}`; a
//! piece in square brackets is left out where there is no detail.

use super::catalogue::{MeasureId, Unit};
use crate::units::{METRES_PER_FOOT, Units};

/// What a template may hold, for messages.
pub const TEMPLATE: &str = "text with {value}, {abs}, {limit}, {detail}; [a piece with {detail}]";

#[derive(Clone, Debug, PartialEq)]
enum Piece {
    Text(String),
    Value,
    Abs,
    Limit,
    Detail,
    /// Left out where there is no detail.
    IfDetail(Vec<Piece>),
}

/// A measure's number with its unit, as a label says it.
pub fn told(id: MeasureId, number: f64, units: Units) -> String {
    printed(id, number, id.decimals(), units)
}

/// Whether a measure reads otherwise in feet and inches.
pub fn is_length(id: MeasureId) -> bool {
    matches!(id.unit(), Unit::Metres | Unit::SquareMetres)
}

/// A measure's number with its unit. Feet and inches are told to the inch, whatever the decimals.
fn printed(id: MeasureId, number: f64, decimals: usize, units: Units) -> String {
    match (units, id.unit()) {
        (Units::Feet, Unit::Metres) => feet_and_inches(number),
        (Units::Feet, Unit::SquareMetres) => {
            let square_feet = number / (METRES_PER_FOOT * METRES_PER_FOOT);
            plain_number(square_feet, decimals) + " sq ft"
        }
        (_, unit) => plain_number(number, decimals) + unit.suffix(),
    }
}

/// "6 ft 7 in", "4 in", "−1 ft 8 in".
fn feet_and_inches(metres: f64) -> String {
    if metres.is_infinite() {
        return plain_number(metres, 0) + " ft";
    }
    let text = Units::Feet.length(metres).replace('-', "−");
    text.replace("0 ft ", "")
}

/// A sentence with gaps.
#[derive(Clone, Debug, PartialEq)]
pub struct Template(Vec<Piece>);

/// What fills the gaps.
#[derive(Clone, Copy, Debug)]
pub struct Filling<'a> {
    /// The measure, for unit and decimals.
    pub id: MeasureId,
    /// Its value.
    pub value: f64,
    /// The limit that it passed.
    pub limit: f64,
    /// The culprit or the place.
    pub detail: Option<&'a str>,
    /// In which lengths are told.
    pub units: Units,
}

impl Template {
    /// Reads a template; what is wrong with it, otherwise.
    pub fn parse(text: String) -> Result<Template, String> {
        let mut pieces = Vec::new();
        let mut rest = text.as_str();
        while let Some(open) = rest.find('[') {
            pieces.extend(gaps(&rest[..open])?);
            let Some(length) = rest[open..].find(']') else {
                return Err("a square bracket is not closed".into());
            };
            pieces.push(Piece::IfDetail(gaps(&rest[open + 1..open + length])?));
            rest = &rest[open + length + 1..];
        }
        pieces.extend(gaps(rest)?);
        Ok(Template(pieces))
    }

    /// Fills the gaps.
    pub fn fill(&self, filling: &Filling<'_>) -> String {
        let mut text = String::new();
        fill(&self.0, filling, &mut text);
        text
    }
}

/// Pieces of a text without square brackets.
fn gaps(text: &str) -> Result<Vec<Piece>, String> {
    let mut pieces = Vec::new();
    let mut rest = text;
    while let Some(open) = rest.find('{') {
        plain(&rest[..open], &mut pieces)?;
        let Some(length) = rest[open..].find('}') else {
            return Err("a brace is not closed".into());
        };
        pieces.push(match &rest[open + 1..open + length] {
            "value" => Piece::Value,
            "abs" => Piece::Abs,
            "limit" => Piece::Limit,
            "detail" => Piece::Detail,
            other => return Err(format!("no gap is called {{{other}}}")),
        });
        rest = &rest[open + length + 1..];
    }
    plain(rest, &mut pieces)?;
    Ok(pieces)
}

fn plain(text: &str, pieces: &mut Vec<Piece>) -> Result<(), String> {
    if let Some(stray) = text.find(['}', '[', ']']) {
        return Err(format!("a stray {}", &text[stray..=stray]));
    }
    if !text.is_empty() {
        pieces.push(Piece::Text(text.to_string()));
    }
    Ok(())
}

fn fill(pieces: &[Piece], filling: &Filling<'_>, text: &mut String) {
    for piece in pieces {
        match piece {
            Piece::Text(plain) => text.push_str(plain),
            Piece::Value => text.push_str(&filling.with_unit(filling.value)),
            Piece::Abs => text.push_str(&filling.with_unit(filling.value.abs())),
            Piece::Limit => text.push_str(&filling.with_unit(filling.limit)),
            Piece::Detail => text.push_str(filling.detail.unwrap_or("something")),
            Piece::IfDetail(inner) if filling.detail.is_some() => fill(inner, filling, text),
            Piece::IfDetail(_) => {}
        }
    }
}

impl Filling<'_> {
    /// A number as the sentence says it. What rounds to its limit is "just" past it: more decimals would
    /// tell nothing that anybody could act on.
    fn with_unit(&self, number: f64) -> String {
        let usual = self.id.decimals();
        let printed = |number: f64, decimals: usize| printed(self.id, number, decimals, self.units);
        // In feet no limit is a round number: there is nothing to be held.
        let in_feet = self.units == Units::Feet && is_length(self.id);
        let holds = |limit: f64, decimals: usize| in_feet || holds(limit, decimals);
        let tells_apart = |&decimals: &usize| {
            printed(self.value, decimals) != printed(self.limit, decimals)
                && holds(self.limit, decimals)
        };
        match (usual..=usual + 1).find(tells_apart) {
            Some(decimals) => printed(number, decimals),
            None => {
                let decimals = (usual..usual + 4).find(|d| holds(self.limit, *d));
                let limit = printed(self.limit, decimals.unwrap_or(usual));
                if number == self.limit {
                    limit
                } else if self.limit == 0.0 && in_feet && self.id.unit() == Unit::Metres {
                    "less than 1 in".into()
                } else if self.limit == 0.0 {
                    format!("less than {}", printed(0.1f64.powi(usual as i32), usual))
                } else if number < self.limit {
                    format!("just under {limit}")
                } else {
                    format!("just over {limit}")
                }
            }
        }
    }
}

/// Whether so many decimals print a limit as its file states it.
fn holds(limit: f64, decimals: usize) -> bool {
    let scaled = limit * 10f64.powi(decimals as i32);
    (scaled - scaled.round()).abs() < 1e-6
}

/// A number with so many decimals and a true minus sign; never a negative zero.
pub fn plain_number(number: f64, decimals: usize) -> String {
    if number.is_infinite() {
        return if number > 0.0 { "∞" } else { "−∞" }.into();
    }
    let text = format!("{number:.decimals$}");
    match text.strip_prefix('-') {
        Some(digits) if digits.contains(|c: char| c.is_ascii_digit() && c != '0') => {
            format!("−{digits}")
        }
        Some(digits) => digits.to_string(),
        None => text,
    }
}

/// The same text with its first letter large.
pub fn sentence_case(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| {
        first.to_uppercase().collect::<String>() + letters.as_str()
    })
}

/// A sentence as the second half of another.
pub fn lower_first(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_lowercase().chain(letters).collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(template: &str, value: f64, limit: f64, detail: Option<&str>) -> String {
        Template::parse(template.into()).unwrap().fill(&Filling {
            id: MeasureId::Roll,
            value,
            limit,
            detail,
            units: Units::Metric,
        })
    }

    #[test]
    fn gaps_are_filled_with_units() {
        let text = told("roll {value}, limit {limit}", 1.84, 1.5, None);
        assert_eq!(text, "roll 1.8°, limit 1.5°");
        assert_eq!(told("{value} {abs}", -2.0, 1.5, None), "−2.0° 2.0°");
    }

    #[test]
    fn a_value_just_past_its_limit_does_not_read_as_the_limit() {
        let text = told("{value}, limit {limit}", 1.54, 1.5, None);
        assert_eq!(text, "1.54°, limit 1.50°");
        let text = told("{value}, limit {limit}", 1.504, 1.5, None);
        assert_eq!(text, "just over 1.5°, limit 1.5°");
        assert_eq!(told("{abs}", 0.004, 0.0, None), "less than 0.1°");
    }

    #[test]
    fn lengths_and_areas_are_told_in_feet_and_inches_and_nothing_else_is() {
        let told = |id: MeasureId, value: f64, limit: f64| {
            let template = Template::parse("{value}, limit {limit}".into()).unwrap();
            template.fill(&Filling {
                id,
                value,
                limit,
                detail: None,
                units: Units::Feet,
            })
        };
        // 1 ft = 0.3048 m exactly (1959): 2.65 m = 8 ft 8.3 in, 2 m = 6 ft 6.7 in, 0.1 m = 3.9 in, 0.3 m2 = 3.23 sq ft.
        for (id, value, limit, text) in [
            (
                MeasureId::EyeOverRail,
                2.65,
                2.0,
                "8 ft 8 in, limit 6 ft 7 in",
            ),
            (
                MeasureId::EyeOverRail,
                2.005,
                2.0,
                "just over 6 ft 7 in, limit 6 ft 7 in",
            ),
            (
                MeasureId::EyeOverRail,
                -0.7,
                -0.5,
                "−2 ft 4 in, limit −1 ft 8 in",
            ),
            (MeasureId::HandrailShadow, 0.05, 0.1, "2 in, limit 4 in"),
            (
                MeasureId::HandrailShadow,
                0.002,
                0.0,
                "less than 1 in, limit 0 in",
            ),
            (
                MeasureId::ForeignBody,
                0.5,
                0.3,
                "5.38 sq ft, limit 3.23 sq ft",
            ),
            (MeasureId::Roll, 1.84, 1.5, "1.8°, limit 1.5°"),
            (MeasureId::FocalEquivalent, 28.0, 35.0, "28 mm, limit 35 mm"),
        ] {
            assert_eq!(told(id, value, limit), text, "{}", id.key());
        }
    }

    #[test]
    fn a_bracket_goes_with_its_detail() {
        assert_eq!(told("hidden[ by {detail}]", 1.0, 0.0, None), "hidden");
        let text = told("hidden[ by {detail}] here", 1.0, 0.0, Some("a bush"));
        assert_eq!(text, "hidden by a bush here");
    }

    #[test]
    fn broken_templates_say_what_is_wrong() {
        for (template, message) in [
            ("{valeu}", "no gap is called {valeu}"),
            ("{value", "a brace is not closed"),
            ("[by {detail}", "a square bracket is not closed"),
            ("by {detail}]", "a stray ]"),
        ] {
            assert_eq!(
                Template::parse(template.into()),
                Err(message.into()),
                "{template}"
            );
        }
    }

    #[test]
    fn numbers_have_a_true_minus_and_no_negative_zero() {
        assert_eq!(plain_number(-0.5, 1), "−0.5");
        assert_eq!(plain_number(-0.04, 1), "0.0");
        assert_eq!(plain_number(f64::NEG_INFINITY, 1), "−∞");
        assert_eq!(sentence_case("über den gleisen"), "Über den gleisen");
    }
}
