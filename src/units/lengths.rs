//! Lengths as people write them, in metres or in feet and inches. May not enter: where they are shown.

use super::METRES_PER_FOOT;

/// In which lengths are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// Metres.
    #[default]
    Metric,
    /// Feet and inches.
    Feet,
}

impl Units {
    /// Each with its word in the file of what is remembered.
    pub const WORDS: [(&'static str, Units); 2] =
        [("metric", Units::Metric), ("feet and inches", Units::Feet)];

    /// A length: "12.34 m", "40 ft 6 in".
    pub fn length(self, metres: f64) -> String {
        match self {
            Units::Metric => {
                let text = format!("{metres:.2} m");
                if text == "-0.00 m" {
                    "0.00 m".into()
                } else {
                    text
                }
            }
            Units::Feet => {
                let inches = (metres.abs() / METRES_PER_FOOT * 12.0).round();
                let sign = if metres < 0.0 && inches > 0.0 {
                    "-"
                } else {
                    ""
                };
                format!("{sign}{} ft {} in", (inches / 12.0).floor(), inches % 12.0)
            }
        }
    }

    /// Metres of a length that somebody typed, in either system; a bare number is in this one's metres or feet. None
    /// where it is no length.
    pub fn parse(self, text: &str) -> Option<f64> {
        let text = text.to_lowercase();
        let (sign, text) = signed(&text);
        let metres = if let Some(metres) = number(text) {
            match self {
                Units::Metric => metres,
                Units::Feet => metres * METRES_PER_FOOT,
            }
        } else {
            metres(text).or_else(|| feet_and_inches(text))?
        };
        Some(sign * metres)
    }
}

/// A number that somebody typed, with its unit behind it or without; none where it is no number.
pub fn parse_number(text: &str, unit: &str) -> Option<f64> {
    let (sign, text) = signed(text);
    let text = text.strip_suffix(unit.trim()).unwrap_or(text);
    Some(sign * number(text)?)
}

/// A sign, and what follows it.
fn signed(text: &str) -> (f64, &str) {
    let text = text.trim();
    match text.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, text),
    }
}

/// Digits with a point or a comma, and nothing else: no sign, no exponent, no words that a reader of numbers knows.
fn number(text: &str) -> Option<f64> {
    let text = text.trim().replace(',', ".");
    let is_plain = text.chars().all(|c| c.is_ascii_digit() || c == '.');
    is_plain.then(|| text.parse().ok())?
}

fn metres(text: &str) -> Option<f64> {
    if let Some(centimetres) = text.strip_suffix("cm") {
        return Some(number(centimetres)? / 100.0);
    }
    let bare = ["metres", "meters", "m"];
    number(bare.iter().find_map(|unit| text.strip_suffix(unit))?)
}

fn feet_and_inches(text: &str) -> Option<f64> {
    let marks = ["feet", "foot", "ft", "'", "\u{2032}", "\u{2019}"];
    let inch_marks = ["inches", "inch", "in", "''", "\"", "\u{2033}", "\u{201d}"];
    let inches = |text: &str| {
        let text = text.trim();
        number(inch_marks.iter().find_map(|mark| text.strip_suffix(mark))?)
    };
    let total_in = match marks.iter().find_map(|mark| text.split_once(mark)) {
        // Two primes alone are inches.
        Some((_, "'")) => inches(text)?,
        Some((feet, rest)) if rest.trim().is_empty() => number(feet)? * 12.0,
        Some((feet, rest)) => {
            // Inches behind feet need no mark of their own: "41' 6".
            let rest = number(rest).or_else(|| inches(rest))?;
            number(feet)? * 12.0 + (rest < 12.0).then_some(rest)?
        }
        None => inches(text)?,
    };
    Some(total_in / 12.0 * METRES_PER_FOOT)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_shown_in_both_systems() {
        // 1 ft = 0.3048 m exactly (1959).
        for (metres, metric, feet) in [
            (12.3444, "12.34 m", "40 ft 6 in"),
            (0.0, "0.00 m", "0 ft 0 in"),
            (-0.001, "0.00 m", "0 ft 0 in"),
            (-1.0, "-1.00 m", "-3 ft 3 in"),
            // Never 12 inches.
            (0.3047, "0.30 m", "1 ft 0 in"),
        ] {
            assert_eq!(Units::Metric.length(metres), metric);
            assert_eq!(Units::Feet.length(metres), feet);
        }
    }

    #[test]
    fn lengths_are_read_in_both_systems() {
        for (text, metres) in [
            ("12.5 m", 12.5),
            ("12,5m", 12.5),
            (" -2 metres", -2.0),
            ("\u{2212}2 m", -2.0),
            ("160 cm", 1.6),
            ("41'", 41.0 * 0.3048),
            ("41 ft 0 in", 41.0 * 0.3048),
            ("40 FT 6 IN", 40.5 * 0.3048),
            ("40' 6\"", 40.5 * 0.3048),
            ("40\u{2032}6\u{2033}", 40.5 * 0.3048),
            ("40' 6''", 40.5 * 0.3048),
            ("40' 6", 40.5 * 0.3048),
            ("5.5 feet", 5.5 * 0.3048),
            ("18 in", 1.5 * 0.3048),
            ("18''", 1.5 * 0.3048),
        ] {
            for units in [Units::Metric, Units::Feet] {
                let read = units.parse(text).unwrap_or(f64::NAN);
                assert!((read - metres).abs() < 1e-12, "{text}: {read}");
            }
        }
        assert_eq!(Units::Metric.parse("12.5"), Some(12.5));
        assert_eq!(Units::Feet.parse("10"), Some(3.048));
    }

    #[test]
    fn what_is_no_length_is_none() {
        for text in [
            "",
            "m",
            "'",
            "-",
            "nan",
            "inf",
            "1e3",
            "12 stone",
            "4 ft 13 in",
            "1.2.3 m",
            "--2 m",
            "6 in 4 ft",
        ] {
            assert_eq!(Units::Metric.parse(text), None, "{text}");
        }
    }

    #[test]
    fn numbers_are_read_with_their_unit_or_without_and_words_are_none() {
        for (text, read) in [
            ("85", Some(85.0)),
            ("85 mm", Some(85.0)),
            ("85mm", Some(85.0)),
            ("-2,5", Some(-2.5)),
            ("\u{2212} 2.5 mm", Some(-2.5)),
            ("nan", None),
            ("NaN", None),
            ("inf", None),
            ("-infinity", None),
            ("1e9", None),
            ("fifty", None),
            ("", None),
            ("mm", None),
            (".", None),
        ] {
            assert_eq!(parse_number(text, " mm"), read, "{text:?}");
        }
    }

    #[test]
    fn what_is_shown_is_read_again() {
        for centimetres in -2000..2000 {
            let metres = f64::from(centimetres) / 100.0;
            for (units, half_m) in [(Units::Metric, 0.005), (Units::Feet, 0.0128)] {
                let read = units.parse(&units.length(metres)).unwrap();
                assert!((read - metres).abs() <= half_m, "{metres}");
            }
        }
    }
}
