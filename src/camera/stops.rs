//! The marks engraved on apertures and shutters. May not enter: light, film speed.
//!
//! Marks are common practice (from memory); each stands for an exact power of two, of which the
//! engraving is a rounding: f/11 means √128 = 11.31, 1/60 means 1/64 s.

/// An engraved mark and what it means.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mark {
    /// As engraved: "5.6", "1/250".
    pub text: &'static str,
    /// What it means: an f-number, or seconds.
    pub value: f64,
}

/// How finely an aperture ring is divided.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Scale {
    /// Full stops only.
    Full,
    /// Half stops, what most rings click at.
    #[default]
    Half,
}

const FULL: [&str; 13] = [
    "1", "1.4", "2", "2.8", "4", "5.6", "8", "11", "16", "22", "32", "45", "64",
];
const HALF: [&str; 25] = [
    "1", "1.2", "1.4", "1.7", "2", "2.4", "2.8", "3.3", "4", "4.8", "5.6", "6.7", "8", "9.5", "11",
    "13", "16", "19", "22", "27", "32", "38", "45", "54", "64",
];

/// Full stops of shutter time from 8 s (2³) down to 1/4000 (2⁻¹²).
const SHUTTER: [&str; 16] = [
    "8", "4", "2", "1", "1/2", "1/4", "1/8", "1/15", "1/30", "1/60", "1/125", "1/250", "1/500",
    "1/1000", "1/2000", "1/4000",
];
const SLOWEST_LOG2: i32 = 3;

/// A number within this many stops of a full mark is taken for the mark: 1/15, 1/30, 1/60 s and f/22
/// are the roundest of them, 0.09 off.
const MEANT_STOPS: f64 = 0.1;

impl Scale {
    /// Every mark from f/1 to f/64, ascending.
    pub fn marks(self) -> impl Iterator<Item = Mark> {
        let (texts, per_stop): (&[&str], f64) = match self {
            Scale::Full => (&FULL, 1.0),
            Scale::Half => (&HALF, 2.0),
        };
        texts.iter().enumerate().map(move |(step, text)| Mark {
            text,
            // One stop is a factor √2 in the f-number.
            value: (step as f64 / (2.0 * per_stop)).exp2(),
        })
    }
}

/// Every full stop of shutter time, the slowest first.
pub fn shutter_marks() -> impl Iterator<Item = Mark> {
    SHUTTER.iter().zip(0..).map(|(text, step)| Mark {
        text,
        value: f64::from(SLOWEST_LOG2 - step).exp2(),
    })
}

/// The aperture mark nearest in stops to an f-number; the smaller opening on a tie.
pub fn nearest_aperture(f_number: f64, scale: Scale) -> Mark {
    let mut marks: Vec<Mark> = scale.marks().collect();
    marks.reverse();
    nearest(marks.into_iter(), f_number)
}

/// The shutter mark nearest in stops to a time; the slower on a tie.
pub fn nearest_shutter(seconds: f64) -> Mark {
    nearest(shutter_marks(), seconds)
}

/// What an f-number means: the full mark that it is the engraving of, else itself.
pub fn meant_f_number(f_number: f64) -> f64 {
    let mark = nearest_aperture(f_number, Scale::Full).value;
    let stops = 2.0 * (f_number / mark).log2().abs();
    if stops < MEANT_STOPS { mark } else { f_number }
}

/// What a time in seconds means: the full mark that it is the engraving of, else itself.
pub fn meant_seconds(seconds: f64) -> f64 {
    let mark = nearest_shutter(seconds).value;
    let stops = (seconds / mark).log2().abs();
    if stops < MEANT_STOPS { mark } else { seconds }
}

/// The mark with the smallest ratio to `value`; the first of equals.
fn nearest(marks: impl Iterator<Item = Mark>, value: f64) -> Mark {
    let off = |mark: &Mark| (mark.value / value).log2().abs();
    // Rounding in the powers must not decide a tie.
    marks
        .reduce(|best, mark| {
            if off(&mark) < off(&best) - 1e-9 {
                mark
            } else {
                best
            }
        })
        .expect("a scale has marks")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The engraving read as a number.
    fn engraved(text: &str) -> f64 {
        match text.split_once('/') {
            Some((_, below)) => 1.0 / below.parse::<f64>().unwrap(),
            None => text.parse().unwrap(),
        }
    }

    #[test]
    fn every_engraving_rounds_what_it_means() {
        for scale in [Scale::Full, Scale::Half] {
            for mark in scale.marks() {
                let stops = 2.0 * (engraved(mark.text) / mark.value).log2().abs();
                // Less than a sixth of a stop, so that no engraving could mean its neighbour.
                assert!(stops < 1.0 / 6.0, "f/{} {stops}", mark.text);
            }
        }
        for mark in shutter_marks() {
            let stops = (engraved(mark.text) / mark.value).log2().abs();
            assert!(stops < MEANT_STOPS, "{} {stops}", mark.text);
        }
    }

    #[test]
    fn full_engravings_are_taken_for_what_they_mean_and_others_for_themselves() {
        for mark in Scale::Full.marks() {
            assert_eq!(meant_f_number(engraved(mark.text)), mark.value);
        }
        for mark in shutter_marks() {
            assert_eq!(meant_seconds(engraved(mark.text)), mark.value);
        }
        assert_eq!(meant_f_number(6.3), 6.3);
        assert_eq!(meant_seconds(1.0 / 90.0), 1.0 / 90.0);
    }

    #[test]
    fn the_nearest_mark_is_nearest_in_stops_and_ties_go_to_depth_of_field() {
        assert_eq!(nearest_aperture(6.9, Scale::Half).text, "6.7");
        assert_eq!(nearest_aperture(6.6, Scale::Full).text, "5.6");
        assert_eq!(nearest_aperture(2f64.powf(2.75), Scale::Full).text, "8");
        assert_eq!(nearest_aperture(0.01, Scale::Half).text, "1");
        assert_eq!(nearest_shutter(2f64.powf(-6.5)).text, "1/60");
        assert_eq!(nearest_shutter(1e-9).text, "1/4000");
    }
}
