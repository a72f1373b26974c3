//! The year as data: documented in README. May not enter: formulas, searching.

use super::Told;
use crate::grade::Verdict;
use crate::plan::hours::Half;
use crate::plan::year::{Lane, Season, Span};
use serde_json::{Value, json};

impl Told<'_> {
    /// All of it.
    pub fn data(&self) -> Value {
        let (year, zone) = (self.year, &self.scene.place.zone);
        let calendar = &year.calendar;
        let facing = |facing: &crate::plan::year::Facing| {
            let lanes = year.lanes();
            let of_it = lanes
                .iter()
                .filter(|lane| std::ptr::eq(lane.facing, facing));
            json!({
                "head_end": facing.head_end.word(),
                "nose_bearing_deg": facing.nose_bearing_deg,
                "asked": facing.asked,
                "sides": of_it.map(|lane| self.lane(lane)).collect::<Vec<_>>(),
            })
        };
        json!({
            "scene": self.scene.name,
            "rulebook": self.rulebook.name,
            "year": year.asked.year,
            "every_min": year.asked.every_min,
            "zone": zone.name(),
            "clock_jumps": calendar.jumps.iter().map(|(at, by_min)| json!({
                "at": at.to_rfc3339(),
                "local": zone.local(*at).to_string(),
                "by_min": by_min,
            })).collect::<Vec<_>>(),
            "left_out": calendar.left_out.iter().map(|date| date.to_string()).collect::<Vec<_>>(),
            "sun_does_not_set": calendar.polar_days.iter().map(span).collect::<Vec<_>>(),
            "sun_does_not_rise": calendar.polar_nights.iter().map(span).collect::<Vec<_>>(),
            "facings": year.facings.iter().map(facing).collect::<Vec<_>>(),
        })
    }

    fn lane(&self, lane: &Lane) -> Value {
        let title = |fault: usize| self.rulebook.faults[fault].title.as_str();
        let won = |half: &Half| {
            json!({
                "sun_h": half.sun_h,
                "fine_h": half.fine_h,
                "good_h": half.good_h,
                "fair_h": half.fair_h,
                "binds": half.binds.map(title),
                "binds_h": half.binds_h,
            })
        };
        let season = |season: &Season| {
            let [before, after] = season.halves_min.map(|min| f64::from(min) / 60.0);
            let mut data = span(&season.span);
            data["gaps"] = season.gaps.iter().map(span).collect();
            data["before_noon_h"] = json!(before);
            data["after_noon_h"] = json!(after);
            data
        };
        let seasons = |least| lane.seasons(least).iter().map(season).collect::<Vec<_>>();
        let bound = lane.bound_h(|_| true).into_iter();
        let mut data = won(&lane.in_year());
        data["side"] = json!(lane.side.word());
        data["side_bearing_deg"] = json!(lane.side_bearing_deg());
        data["good_seasons"] = json!(seasons(Verdict::Good));
        data["fair_seasons"] = json!(seasons(Verdict::Fair));
        data["months"] = lane.by_month().iter().map(won).collect();
        let weeks = lane.by_week().into_iter().map(|(week, half)| {
            let mut data = won(&half);
            data["first"] = json!(week.first.to_string());
            data["days"] = json!(week.days);
            data
        });
        data["weeks"] = weeks.collect();
        let told = bound.map(|(fault, hours)| json!({ "fault": title(fault), "hours": hours }));
        data["not_good"] = told.collect();
        data
    }
}

fn span(span: &Span) -> Value {
    json!({ "first": span.first.to_string(), "last": span.last.to_string() })
}
