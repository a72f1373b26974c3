//! The year as text: what is won by facing and side, seasons in words, months as a table. May not enter: formulas,
//! searching.

use super::Told;
use crate::grade::Verdict;
use crate::grade::wording::sentence_case;
use crate::plan::year::{LEAST_A_DAY_MIN, Lane, Season, Span, Year};
use crate::report::plan_text::how_it_faces;
use crate::units::compass_word;
use chrono::{Datelike, Months, NaiveDate};
use std::fmt::Write;

/// So many faults are told of what binds, and none that binds in less than this share of the sun's hours.
const FAULTS: usize = 3;
const LEAST_SHARE: f64 = 0.05;
/// Half a day with less than this share of a season's minutes is not told beside the other.
const LEAST_HALF: f64 = 0.1;
/// Columns of the table of months.
const MONTH: usize = 12;
const COLUMN: usize = 22;

impl Told<'_> {
    /// All of it.
    pub fn text(&self) -> String {
        let year = self.year;
        let mut text = format!("{} · every {} min\n", self.title(), year.asked.every_min);
        text += "For every minute the best of all allowed spots, lenses and heights, as the search has it: hours and \
                 dates are about right, nothing is proved (plan proves).\n";
        for line in sun_words(year).into_iter().chain(self.clock_words()) {
            let _ = writeln!(text, "{line}");
        }
        if let Some(risk) = self.scene.sky.risk() {
            let _ = writeln!(text, "{}", sentence_case(risk));
        }
        if year.instants.is_empty() {
            return text + "The sun is not up at any minute of the year.\n";
        }
        for facing in &year.facings {
            let nose_deg = facing.nose_bearing_deg;
            let how = how_it_faces(self.scene.machine.head_end, facing.asked);
            let _ = writeln!(text, "\n{how} {} ({nose_deg:.0}°)", compass_word(nose_deg));
            for lane in year.lanes() {
                if std::ptr::eq(lane.facing, facing) {
                    text += &self.lane_text(&lane);
                }
            }
        }
        text += &self.months();
        let sum = |of: fn(&crate::plan::survey::Effort) -> usize| -> usize {
            year.facings.iter().map(|facing| of(&facing.effort)).sum()
        };
        let _ = writeln!(
            text,
            "\nLooked at {} spots, and for both facings at {} eyes, {} suns, {} pairs.",
            year.facings[0].effort.spots,
            sum(|effort| effort.eyes),
            sum(|effort| effort.suns),
            sum(|effort| effort.pairs),
        );
        text
    }

    /// One side.
    fn lane_text(&self, lane: &Lane) -> String {
        let all = lane.in_year();
        let side = compass_word(lane.side_bearing_deg());
        let mut text = format!("  {} side, to the {side}: ", lane.side.word());
        if all.fair_h == 0.0 {
            let bound = self.bound_words(lane, &|_| true);
            return text + &format!("no minute of the year is fair or better; {bound}.\n");
        }
        let _ = writeln!(
            text,
            "about {:.0} h fine, {:.0} h good or better, {:.0} h fair or better",
            all.fine_h, all.good_h, all.fair_h
        );
        let levels = [Verdict::Good, Verdict::Fair];
        let seasons = levels.map(|least| (least, lane.seasons(least)));
        let told = seasons.iter().find(|(_, seasons)| !seasons.is_empty());
        for (least, seasons) in &seasons {
            if seasons.is_empty() {
                let word = least.word();
                let _ = writeln!(
                    text,
                    "    No date has {LEAST_A_DAY_MIN} minutes that are {word} or better."
                );
            } else if told.is_some_and(|told| told.0 == *least) {
                for season in seasons {
                    let _ = writeln!(
                        text,
                        "    {}",
                        season_words(self.year, *least, season, side)
                    );
                }
            }
        }
        let Some((least, seasons)) = told else {
            let bound = self.bound_words(lane, &|_| true);
            let _ = writeln!(text, "    Else {bound}.");
            return text;
        };
        if let Some((first, hours)) = best_week(lane, *least) {
            let first = day_words(first);
            let _ = writeln!(
                text,
                "    The best week begins on {first}, with {hours:.1} h a day."
            );
        }
        let outside = |date: NaiveDate| !seasons.iter().any(|season| season.holds(date));
        let is_all_year = seasons
            .iter()
            .any(|season| is_whole(self.year, &season.span));
        let (when, bound) = match is_all_year {
            true => ("In the rest", self.bound_words(lane, &|_| true)),
            false => ("Outside these dates", self.bound_words(lane, &outside)),
        };
        let _ = writeln!(text, "    {when} {bound}.");
        text
    }

    /// Which faults bind on some dates, in which share of the sun's hours.
    fn bound_words(&self, lane: &Lane, holds: &dyn Fn(NaiveDate) -> bool) -> String {
        let sun_h = lane.won(holds).sun_h;
        if sun_h == 0.0 {
            return "the sun is not up at all".into();
        }
        let bound = lane.bound_h(holds);
        if bound.is_empty() {
            return match lane.won(holds).good_h > 0.0 {
                true => "nothing binds: every minute is good or better".into(),
                false => "no allowed spot shows it through any lens".into(),
            };
        }
        let share = |hours: f64| hours / sun_h;
        let told = bound.iter().enumerate();
        let told = told.filter(|(n, (_, hours))| *n == 0 || share(*hours) >= LEAST_SHARE);
        let words = told.take(FAULTS).map(|(n, (fault, hours))| {
            let title = &self.rulebook.faults[*fault].title;
            let percent = 100.0 * share(*hours);
            match n {
                0 => format!("{title} binds in {percent:.0} % of the sun's hours"),
                _ => format!("{title} in {percent:.0} %"),
            }
        });
        words.collect::<Vec<_>>().join(", ")
    }

    /// What the clock and the calendar do.
    fn clock_words(&self) -> Vec<String> {
        let zone = &self.scene.place.zone;
        let jump = |(at, by_min): &(_, i32)| {
            let way = if *by_min > 0 { "forward" } else { "back" };
            let local = zone.local(*at).naive;
            format!(
                "On {} the clock is set {way} by {} min, to {}.",
                day_words(local.date()),
                by_min.abs(),
                local.format("%H:%M")
            )
        };
        let calendar = &self.year.calendar;
        let left_out = |date: &NaiveDate| {
            format!(
                "{} does not exist: the zone's calendar leaves it out.",
                day_words(*date)
            )
        };
        // A calendar that leaves out a date sets no clock.
        let jumps = calendar.jumps.iter();
        let jumps = jumps
            .filter(|(_, by_min)| by_min % (24 * 60) != 0)
            .map(jump);
        jumps
            .chain(calendar.left_out.iter().map(left_out))
            .collect()
    }

    /// Hours won, month by month.
    fn months(&self) -> String {
        let lanes: Vec<Lane> = (self.drawn().into_iter())
            .filter(|lane| lane.in_year().fair_h > 0.0)
            .collect();
        if lanes.is_empty() {
            return "\nNo minute of the year is fair or better.\n".into();
        }
        let mut text = String::from("\nHours good or better (fair or better), month by month\n");
        let heads = lanes.iter().map(|lane| {
            let nose = compass_word(lane.facing.nose_bearing_deg);
            [
                format!("faces {nose}"),
                format!("{} side", lane.side.word()),
            ]
        });
        let heads: Vec<[String; 2]> = heads.collect();
        for row in 0..2 {
            let _ = write!(text, "{:MONTH$}", "");
            for head in &heads {
                let _ = write!(text, "{:>COLUMN$}", head[row]);
            }
            text.push('\n');
        }
        let months: Vec<_> = lanes.iter().map(Lane::by_month).collect();
        for month in 0..12 {
            let date = NaiveDate::default() + Months::new(month);
            let _ = write!(text, "{:MONTH$}", date.format("%B").to_string());
            for of_lane in &months {
                let half = &of_lane[month as usize];
                let cell = format!("{:.1} ({:.1})", half.good_h, half.fair_h);
                let _ = write!(text, "{cell:>COLUMN$}");
            }
            text.push('\n');
        }
        text
    }
}

/// A season's edges.
fn season_words(year: &Year, least: Verdict, season: &Season, side: &str) -> String {
    let halves = season.halves_min.map(f64::from);
    let all = halves[0] + halves[1];
    let half = match [halves[0] / all, halves[1] / all] {
        [_, 0.0] => "before solar noon only",
        [0.0, _] => "after solar noon only",
        [_, after] if after < LEAST_HALF => "nearly always before solar noon",
        [before, _] if before < LEAST_HALF => "nearly always after solar noon",
        _ => "before and after solar noon",
    };
    let mut words = format!(
        "{} {}, {half}, from the {side} side",
        sentence_case(least.word()),
        span_words(year, &season.span)
    );
    let gaps: Vec<String> = season.gaps.iter().map(gap_words).collect();
    if !gaps.is_empty() {
        words += &format!("; not {}", gaps.join(", "));
    }
    words + "."
}

/// The week with the most hours a day, and how many.
fn best_week(lane: &Lane, least: Verdict) -> Option<(NaiveDate, f64)> {
    // The year's last one or two days are no week.
    let weeks = (lane.by_week().into_iter()).filter(|(week, _)| week.days == 7);
    let hours = weeks.map(|(week, half)| {
        let of_day = half.at_least(least) / f64::from(week.days.max(1));
        (week.first, of_day)
    });
    hours.reduce(|best, next| if next.1 > best.1 { next } else { best })
}

/// What is unusual of the sun.
pub fn sun_words(year: &Year) -> Vec<String> {
    let calendar = &year.calendar;
    let spans = |spans: &[Span], what: &str| {
        let words: Vec<String> = spans.iter().map(|span| span_words(year, span)).collect();
        (!words.is_empty()).then(|| format!("The sun does not {what} {}.", words.join(" and ")))
    };
    let days = spans(&calendar.polar_days, "set");
    days.into_iter()
        .chain(spans(&calendar.polar_nights, "rise"))
        .collect()
}

fn is_whole(year: &Year, span: &Span) -> bool {
    let (first, last) = (year.weeks.first(), year.weeks.last());
    first.is_some_and(|week| week.first == span.first)
        && last.is_some_and(|week| week.last() == span.last)
}

/// From when to when.
fn span_words(year: &Year, span: &Span) -> String {
    let [first, last] = [span.first, span.last].map(day_words);
    let weeks = &year.weeks;
    // Where the page ends, nothing else does.
    let before = match weeks.first().is_some_and(|week| week.first == span.first) {
        true => "before ",
        false => "",
    };
    let beyond = match weeks.last().is_some_and(|week| week.last() == span.last) {
        true => "beyond ",
        false => "",
    };
    match is_whole(year, span) {
        true => "all year".into(),
        false if first == last => format!("on {first}"),
        false => format!("from {before}{first} to {beyond}{last}"),
    }
}

fn gap_words(gap: &Span) -> String {
    let (first, last) = (gap.first, gap.last);
    match (first == last, first.month() == last.month()) {
        (true, _) => format!("on {}", day_words(first)),
        (false, true) => format!("from {} to {}", first.day(), day_words(last)),
        (false, false) => format!("from {} to {}", day_words(first), day_words(last)),
    }
}

/// "11 March".
fn day_words(date: NaiveDate) -> String {
    date.format("%-d %B").to_string()
}
