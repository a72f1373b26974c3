//! Civil time: the only room that knows zone rules. Outside it, instants are UTC and dates are plain.
//! May not enter: the sun, and any zone database but the one built into the program (a system's copy
//! may be years old, and an hour on the clock is 15° of sun).

use crate::document::edit_distance;
use chrono::{DateTime, Datelike, NaiveDate, NaiveDateTime, TimeDelta, Timelike, Utc};
use jiff::tz::{AmbiguousOffset, Offset, TimeZone, TimeZoneDatabase};
use std::fmt;
use std::ops::RangeInclusive;
use thiserror::Error;

/// Years in which a local time is accepted. Zone rules before are local mean time and after are a
/// guess; the estimate of the earth's rotation behind the sun's position holds far beyond both.
pub const YEARS: RangeInclusive<i32> = 1800..=2200;

/// A named zone with today's rules.
#[derive(Clone, Debug)]
pub struct Zone(TimeZone);

/// A name that no zone has.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("no time zone is called \"{found}\"{}", hint(.near))]
pub struct UnknownZone {
    /// What was asked for.
    pub found: String,
    /// Names that resemble it, best first; may be empty.
    pub near: Vec<String>,
}

fn hint(near: &[String]) -> String {
    if near.is_empty() {
        "; a zone is named like America/Chicago".to_owned()
    } else {
        format!("; did you mean {}?", near.join(", "))
    }
}

/// What a clock on the wall shows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Local {
    /// Date and time of day.
    pub naive: NaiveDateTime,
    /// Seconds by which the clock is ahead of UTC (negative in the Americas).
    pub offset_s: i32,
    /// The zone's letters then ("CDT"), or its bare offset ("-03") where it has none.
    pub abbreviation: String,
}

impl Local {
    /// Time of day with the zone: "10:20 CDT". Seconds are cut off, as on a clock.
    pub fn time_text(&self) -> String {
        format!("{} {}", self.naive.format("%H:%M"), self.letters())
    }

    /// The offset as it is written behind a time: "-05:00".
    pub fn offset_text(&self) -> String {
        let sign = if self.offset_s < 0 { '-' } else { '+' };
        let s = self.offset_s.unsigned_abs();
        let seconds = match s % 60 {
            0 => String::new(),
            rest => format!(":{rest:02}"),
        };
        format!("{sign}{:02}:{:02}{seconds}", s / 3600, s / 60 % 60)
    }

    /// What the clock shows is called: "CDT", or "UTC-03" where the zone has no letters.
    pub fn letters(&self) -> String {
        match self.has_letters() {
            true => self.abbreviation.clone(),
            false => format!("UTC{}", self.abbreviation),
        }
    }

    /// Whether the zone has letters then.
    pub fn has_letters(&self) -> bool {
        !self.abbreviation.starts_with(['+', '-'])
    }
}

/// Date, time and zone: "2027-05-14 10:20 CDT".
impl fmt::Display for Local {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.naive.date(), self.time_text())
    }
}

/// One way to read a local time that has no single meaning.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reading {
    /// The instant.
    pub utc: DateTime<Utc>,
    /// What the clock shows at it.
    pub local: Local,
}

/// "2027-11-07 01:30-05:00 (CDT, 06:30 UTC)": its first word can be given back as it stands.
impl fmt::Display for Reading {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (local, utc) = (&self.local, self.utc);
        write!(
            f,
            "{}{} ({}, {} UTC)",
            local.naive.format(minutes_or_seconds(&local.naive)),
            local.offset_text(),
            local.letters(),
            utc.format("%H:%M")
        )
    }
}

/// A local time that has no single meaning, with the two that it may have, each by its own offset.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TwoReadings {
    /// The zone.
    pub zone: String,
    /// The time asked for.
    pub asked: NaiveDateTime,
    /// The earlier instant, by the greater offset.
    pub earlier: Reading,
    /// The later one.
    pub later: Reading,
}

/// A local time that names no instant, or two.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum LocalTimeError {
    /// The clock was set forward over it: the readings show other times than the one asked for.
    #[error(
        "{} does not exist in {}, where the clock is set forward then: give {} or {}",
        .0.asked.format(minutes_or_seconds(&.0.asked)), .0.zone, .0.earlier, .0.later
    )]
    Missing(Box<TwoReadings>),
    /// The clock was set back over it: it comes twice.
    #[error(
        "{} happens twice in {}, where the clock is set back then: give {} or {}",
        .0.asked.format(minutes_or_seconds(&.0.asked)), .0.zone, .0.earlier, .0.later
    )]
    Doubled(Box<TwoReadings>),
    /// A year outside [`YEARS`].
    #[error("year {year} is outside {} to {}", YEARS.start(), YEARS.end())]
    OutOfRange {
        /// The year found.
        year: i32,
    },
}

/// A text that names no instant.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum TimeTextError {
    /// Not a date and a time.
    #[error(
        "\"{found}\" is not a date and time: write 2027-05-14 10:20, with seconds if wanted, and with \
         Z or an offset such as -05:00 behind it if it is not the place's own time"
    )]
    Malformed {
        /// The text.
        found: String,
    },
    /// A date and time, but no instant.
    #[error(transparent)]
    Local(#[from] LocalTimeError),
}

fn minutes_or_seconds(time: &NaiveDateTime) -> &'static str {
    if time.second() == 0 {
        "%Y-%m-%d %H:%M"
    } else {
        "%Y-%m-%d %H:%M:%S"
    }
}

impl Zone {
    /// The zone of this name in the tz database that ships with the program.
    pub fn named(name: &str) -> Result<Zone, UnknownZone> {
        let database = TimeZoneDatabase::bundled();
        match database.get(name) {
            Ok(zone) if !zone.is_unknown() => Ok(Zone(zone)),
            _ => Err(UnknownZone {
                found: name.to_owned(),
                near: near_names(name, &database),
            }),
        }
    }

    /// Its name in the tz database.
    pub fn name(&self) -> &str {
        self.0.iana_name().unwrap_or("UTC")
    }

    /// What the clock shows at an instant.
    pub fn local(&self, instant: DateTime<Utc>) -> Local {
        let info = self.0.to_offset_info(to_jiff(instant));
        let offset_s = info.offset().seconds();
        let utc = instant.naive_utc();
        Local {
            naive: utc
                .checked_add_signed(TimeDelta::seconds(offset_s.into()))
                .unwrap_or(utc),
            offset_s,
            abbreviation: info.abbreviation().to_owned(),
        }
    }

    /// The instant at which the clock shows a local time.
    pub fn instant(&self, local: NaiveDateTime) -> Result<DateTime<Utc>, LocalTimeError> {
        in_years(local)?;
        let Some(offsets) = self.offsets(local) else {
            return Err(LocalTimeError::OutOfRange { year: local.year() });
        };
        let reading = |offset: Offset| {
            let utc = at_offset(local, offset.seconds());
            Reading {
                utc,
                local: self.local(utc),
            }
        };
        let two = |earlier: Offset, later: Offset| {
            Box::new(TwoReadings {
                zone: self.name().to_owned(),
                asked: local,
                earlier: reading(earlier),
                later: reading(later),
            })
        };
        match offsets {
            AmbiguousOffset::Unambiguous { offset } => Ok(at_offset(local, offset.seconds())),
            AmbiguousOffset::Gap { before, after } => {
                Err(LocalTimeError::Missing(two(after, before)))
            }
            AmbiguousOffset::Fold { before, after } => {
                Err(LocalTimeError::Doubled(two(before, after)))
            }
        }
    }

    /// The instant of a local time, whatever the clock does: of a doubled one the earlier, instead of a missing one
    /// what the clock shows after the gap; none beyond the years that there are.
    pub fn nearest_instant(&self, local: NaiveDateTime) -> Option<DateTime<Utc>> {
        match self.instant(local) {
            Ok(at) => Some(at),
            Err(LocalTimeError::Missing(two)) => Some(two.later.utc),
            Err(LocalTimeError::Doubled(two)) => Some(two.earlier.utc),
            Err(LocalTimeError::OutOfRange { .. }) => None,
        }
    }

    /// Reads "2027-05-14 10:20", a "T" between date and time, seconds, and a closing "Z" or offset
    /// ("-05:00"), which overrules the zone.
    pub fn parse_instant(&self, text: &str) -> Result<DateTime<Utc>, TimeTextError> {
        let malformed = || TimeTextError::Malformed {
            found: text.to_owned(),
        };
        let (date, rest) = text.trim().split_once(['T', ' ']).ok_or_else(malformed)?;
        let (time, offset_s) = split_offset(rest).ok_or_else(malformed)?;
        let date = NaiveDate::parse_from_str(date, "%Y-%m-%d").map_err(|_| malformed())?;
        let time = chrono::NaiveTime::parse_from_str(time, "%H:%M")
            .or_else(|_| chrono::NaiveTime::parse_from_str(time, "%H:%M:%S"))
            .ok()
            .filter(|t| t.nanosecond() < 1_000_000_000) // chrono's way to write a leap second
            .ok_or_else(malformed)?;
        let local = date.and_time(time);
        match offset_s {
            Some(offset_s) => Ok(at_offset(in_years(local)?, offset_s)),
            None => Ok(self.instant(local)?),
        }
    }

    /// First instant of a civil day and of the day after it: 24 hours apart but where the clock is
    /// changed, and none where the calendar skips the day.
    pub fn day(&self, date: NaiveDate) -> (DateTime<Utc>, DateTime<Utc>) {
        let next = date.succ_opt().unwrap_or(date);
        (self.day_start(date), self.day_start(next))
    }

    /// Instants after the first and before the last at which the clock is set, with the minutes by which it is set
    /// forward (+) or back (−).
    pub fn jumps(&self, first: DateTime<Utc>, last: DateTime<Utc>) -> Vec<(DateTime<Utc>, i32)> {
        let changes = self.0.following(to_jiff(first));
        let at = changes.filter_map(|to| DateTime::from_timestamp(to.timestamp().as_second(), 0));
        let jump = |at: DateTime<Utc>| {
            let before = self.local(at - TimeDelta::seconds(1)).offset_s;
            let by_s = self.local(at).offset_s - before;
            // A zone may change its letters alone, or, long ago, seconds that no watch shows.
            (by_s / 60 != 0).then_some((at, by_s / 60))
        };
        at.take_while(|at| *at < last).filter_map(jump).collect()
    }

    fn day_start(&self, date: NaiveDate) -> DateTime<Utc> {
        let midnight = NaiveDateTime::from(date);
        match self.offsets(midnight) {
            None => midnight.and_utc(), // beyond any zone's rules
            Some(AmbiguousOffset::Unambiguous { offset }) => at_offset(midnight, offset.seconds()),
            Some(AmbiguousOffset::Fold { before, .. }) => at_offset(midnight, before.seconds()),
            Some(AmbiguousOffset::Gap { before, .. }) => {
                // Midnight is skipped: the day starts where the clock jumps, which is at midnight by
                // the old offset or, where the jump began late in the evening, a little before.
                let after_jump = at_offset(midnight, before.seconds());
                self.0
                    .preceding(to_jiff(after_jump + TimeDelta::seconds(1)))
                    .next()
                    .and_then(|jump| DateTime::from_timestamp(jump.timestamp().as_second(), 0))
                    .unwrap_or(after_jump)
            }
        }
    }

    fn offsets(&self, local: NaiveDateTime) -> Option<AmbiguousOffset> {
        let civil = jiff::civil::DateTime::new(
            i16::try_from(local.year()).ok()?,
            local.month() as i8,
            local.day() as i8,
            local.hour() as i8,
            local.minute() as i8,
            local.second() as i8,
            (local.nanosecond() % 1_000_000_000) as i32,
        )
        .ok()?;
        Some(self.0.to_ambiguous_timestamp(civil).offset())
    }
}

fn in_years(local: NaiveDateTime) -> Result<NaiveDateTime, LocalTimeError> {
    if YEARS.contains(&local.year()) {
        Ok(local)
    } else {
        Err(LocalTimeError::OutOfRange { year: local.year() })
    }
}

fn at_offset(local: NaiveDateTime, offset_s: i32) -> DateTime<Utc> {
    local
        .checked_sub_signed(TimeDelta::seconds(offset_s.into()))
        .unwrap_or(local)
        .and_utc()
}

fn to_jiff(instant: DateTime<Utc>) -> jiff::Timestamp {
    let second = instant.timestamp();
    jiff::Timestamp::from_second(second).unwrap_or(if second < 0 {
        jiff::Timestamp::MIN
    } else {
        jiff::Timestamp::MAX
    })
}

/// Parts a time of day from a closing "Z" or "±HH:MM"; none if what follows the time is neither.
fn split_offset(text: &str) -> Option<(&str, Option<i32>)> {
    if let Some(time) = text.strip_suffix(['Z', 'z']) {
        return Some((time.trim_end(), Some(0)));
    }
    let Some(at) = text.find(['+', '-']) else {
        return Some((text, None));
    };
    let (time, offset) = text.split_at(at);
    let (hours, minutes) = offset[1..].split_once(':')?;
    let two_digits = |s: &str| {
        (s.len() == 2 && s.bytes().all(|b| b.is_ascii_digit())).then(|| s.parse::<i32>().ok())?
    };
    let (hours, minutes) = (two_digits(hours)?, two_digits(minutes)?);
    if hours > 25 || minutes > 59 {
        return None;
    }
    let size_s = hours * 3600 + minutes * 60;
    let offset_s = if offset.starts_with('-') {
        -size_s
    } else {
        size_s
    };
    Some((time.trim_end(), Some(offset_s)))
}

/// Up to three names that a slip of the pen away from `asked`, or that end in it ("Chicago").
fn near_names(asked: &str, database: &TimeZoneDatabase) -> Vec<String> {
    const FARTHEST: usize = 3;
    let asked: String = asked.trim().to_lowercase().replace(' ', "_");
    let mut near: Vec<(usize, String)> = database
        .available()
        .filter_map(|name| {
            let full = name.as_str().to_lowercase();
            let city = full.rsplit('/').next().unwrap_or(&full);
            let slips = edit_distance(&asked, &full).min(1 + edit_distance(&asked, city));
            (slips <= FARTHEST.min(asked.chars().count() / 2))
                .then(|| (slips, name.as_str().to_owned()))
        })
        .collect();
    near.sort();
    near.truncate(3);
    near.into_iter().map(|(_, name)| name).collect()
}
