//! The day as data: documented in README. May not enter: formulas.

use super::Light;
use crate::grade::Grade;
use crate::grade::rulebook::Group;
use crate::plan::day::{Look, Run, binding, grade_of, rest_of};
use crate::report::stand;
use crate::sky::events::DayState;
use chrono::{DateTime, Utc};
use serde_json::json;

impl Light<'_> {
    /// All of it.
    pub(super) fn all_data(&self) -> serde_json::Value {
        let scene = &self.studio.scene;
        let zone = &scene.place.zone;
        let local = |at: DateTime<Utc>| zone.local(at).to_string();
        let instant = |at: Option<DateTime<Utc>>| {
            at.map(|at| json!({"at": at.to_rfc3339(), "local": local(at)}))
        };
        let run = |from: DateTime<Utc>,
                   to: DateTime<Utc>,
                   key: &str,
                   what: Option<&str>,
                   worst: &Option<String>| {
            json!({
                "from": from.to_rfc3339(), "from_local": local(from),
                "to": to.to_rfc3339(), "to_local": local(to),
                key: what, "worst": worst,
            })
        };
        let grades = |runs: &[Run<Grade>]| {
            let one = |r: &Run<Grade>| run(r.from, r.to, "grade", Some(r.what.word()), &r.worst);
            runs.iter().map(one).collect::<Vec<_>>()
        };
        let row = |look: &Look| {
            let faults = self.studio.rulebook.faults.iter();
            let of_light = faults.filter(|fault| fault.group == Group::Light);
            let grade = |fault| json!(grade_of(&look.sheet, fault).word());
            let light: serde_json::Map<_, _> =
                of_light.map(|f| (f.key.clone(), grade(f))).collect();
            json!({
                "at": look.at.to_rfc3339(),
                "local": local(look.at),
                "sun": {"azimuth_deg": look.sun.azimuth_deg, "elevation_deg": look.sun.elevation_deg},
                "light": light,
                "rest": rest_of(&look.sheet).word(),
                "binds": binding(&self.studio, &look.sheet),
                "verdict": look.sheet.verdict.word(),
                "score": look.sheet.score,
            })
        };
        let lanes = self.day.lanes.iter().map(
            |lane| json!({"fault": lane.fault.key, "title": lane.fault.title, "runs": grades(&lane.runs)}),
        );
        let binds = self.day.binds.iter();
        let verdict = self.day.verdict.iter();
        json!({
            "scene": scene.name,
            "head_end": scene.machine.head_end.word(),
            "date": self.day.date.to_string(),
            "zone": zone.name(),
            "stand": stand::data(scene, &self.studio.obstacles, &self.stand),
            "sun": match self.day.state {
                DayState::Normal => "rises and sets",
                DayState::PolarDay => "does not set",
                DayState::PolarNight => "does not rise",
            },
            "rise": instant(self.day.rise),
            "set": instant(self.day.set),
            "rows": self.rows().map(row).collect::<Vec<_>>(),
            "lanes": lanes.collect::<Vec<_>>(),
            "rest": grades(&self.day.rest),
            "binds": binds.map(|r| run(r.from, r.to, "fault", r.what.as_deref(), &r.worst)).collect::<Vec<_>>(),
            "verdict": verdict.map(|r| run(r.from, r.to, "verdict", Some(r.what.word()), &r.worst)).collect::<Vec<_>>(),
            "best": self.day.best().map(|look| json!({
                "at": look.at.to_rfc3339(),
                "local": local(look.at),
                "sheet": look.sheet,
            })),
        })
    }
}
