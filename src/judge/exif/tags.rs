//! Single tags as numbers and texts, each held to what it may be. May not enter: what they mean together.

use chrono::NaiveDateTime;
use exif::{Exif, In, Tag, Value};

/// The tags of a file.
pub(super) struct Tags<'a> {
    pub found: Option<&'a Exif>,
}

/// What stands at a tag: nothing, something that cannot be it (in words), or a value.
pub(super) type Read<T> = Option<Result<T, String>>;

impl Tags<'_> {
    fn value(&self, tag: Tag) -> Option<&Value> {
        Some(&self.found?.get_field(tag, In::PRIMARY)?.value)
    }

    /// A number within a range; EXIF writes zero for "unknown".
    pub(super) fn number(&self, tag: Tag, range: std::ops::RangeInclusive<f64>) -> Read<f64> {
        let value = self.value(tag)?;
        Some(match first_number(value) {
            Some(number) if range.contains(&number) => Ok(number),
            Some(number) => Err(format!("{tag} says {number}")),
            None => Err(format!("{tag} holds no number")),
        })
    }

    /// A text without the spaces and zeros that fill it up.
    pub(super) fn text(&self, tag: Tag) -> Option<String> {
        let Value::Ascii(lines) = self.value(tag)? else {
            return None;
        };
        let text = String::from_utf8_lossy(lines.first()?);
        let text = text.trim_matches(|c: char| c == '\0' || c.is_whitespace());
        (!text.is_empty()).then(|| text.to_string())
    }

    /// A local time, written "2027:06:11 10:20:00"; blanks and zeros stand for an unset clock.
    pub(super) fn time(&self, tag: Tag) -> Read<NaiveDateTime> {
        let text = self.text(tag)?;
        let read = NaiveDateTime::parse_from_str(&text, "%Y:%m:%d %H:%M:%S");
        Some(read.map_err(|_| format!("{tag} says \"{}\"", shown(&text))))
    }

    /// An offset from universal time in minutes, written "-06:00" or "Z".
    pub(super) fn offset_min(&self, tag: Tag) -> Read<i32> {
        let text = self.text(tag)?;
        Some(offset(&text).ok_or_else(|| format!("{tag} says \"{}\"", shown(&text))))
    }

    /// Degrees, minutes and seconds with their letter, within ± `most`.
    pub(super) fn degrees(&self, tag: Tag, letter: Tag, negative: char, most: f64) -> Read<f64> {
        let numbers = three_numbers(self.value(tag)?);
        let sign = match self.text(letter) {
            Some(text) if text.to_ascii_uppercase().starts_with(negative) => -1.0,
            Some(_) => 1.0,
            None => return Some(Err(format!("{tag} without {letter}"))),
        };
        let degrees = numbers.map(|[d, m, s]| sign * (d + m / 60.0 + s / 3600.0));
        Some(match degrees {
            Some(degrees) if degrees.abs() <= most => Ok(degrees),
            _ => Err(format!("{tag} is no angle of ±{most}°")),
        })
    }

    /// Universal time from the position's own clock.
    pub(super) fn universal(&self) -> Read<NaiveDateTime> {
        let date = self.text(Tag::GPSDateStamp)?;
        let time = self.value(Tag::GPSTimeStamp)?;
        let read = || {
            let day = chrono::NaiveDate::parse_from_str(&date, "%Y:%m:%d").ok()?;
            let [hour, minute, second] = three_numbers(time)?;
            let whole =
                |value: f64, below: f64| (value >= 0.0 && value < below).then_some(value as u32);
            day.and_hms_opt(
                whole(hour, 24.0)?,
                whole(minute, 60.0)?,
                whole(second, 60.0)?,
            )
        };
        let told = || {
            format!(
                "GPSDateStamp says \"{}\", or GPSTimeStamp no time",
                shown(&date)
            )
        };
        Some(read().ok_or_else(told))
    }
}

fn offset(text: &str) -> Option<i32> {
    if text == "Z" {
        return Some(0);
    }
    let sign = match text.chars().next()? {
        '+' => 1,
        '-' => -1,
        _ => return None,
    };
    let (hours, minutes) = text.get(1..)?.split_once(':')?;
    let (hours, minutes): (i32, i32) = (hours.parse().ok()?, minutes.parse().ok()?);
    let fine = (0..=14).contains(&hours) && (0..60).contains(&minutes);
    fine.then_some(sign * (60 * hours + minutes))
}

/// A text cut short, without characters that a terminal would obey.
fn shown(text: &str) -> String {
    let plain = |c: char| if c.is_control() { '?' } else { c };
    text.chars().take(40).map(plain).collect()
}

fn first_number(value: &Value) -> Option<f64> {
    let number = match value {
        Value::Rational(all) => all.first()?.to_f64(),
        Value::SRational(all) => all.first()?.to_f64(),
        Value::Float(all) => f64::from(*all.first()?),
        Value::Double(all) => *all.first()?,
        other => f64::from(other.get_uint(0)?),
    };
    number.is_finite().then_some(number)
}

fn three_numbers(value: &Value) -> Option<[f64; 3]> {
    let Value::Rational(all) = value else {
        return None;
    };
    let all = [all.first()?, all.get(1)?, all.get(2)?].map(|one| one.to_f64());
    all.iter()
        .all(|one| one.is_finite() && *one >= 0.0)
        .then_some(all)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn offsets_are_read_as_the_standard_writes_them() {
        assert_eq!(offset("-06:00"), Some(-360));
        assert_eq!(offset("+05:45"), Some(345));
        assert_eq!(offset("Z"), Some(0));
        for bad in ["", "06:00", "+25:00", "+5", "-é0:00", "+05:99", "+-5:00"] {
            assert_eq!(offset(bad), None, "{bad}");
        }
    }
}
