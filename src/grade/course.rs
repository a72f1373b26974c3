//! The course of a date's sun round one minute: when something is so again, and which way the sun swings. May not
//! enter: measures, rules.

use super::{Moment, Studio};
use crate::sighting::closed_form::{cosine_from_normal, profile_angle_deg};
use crate::sighting::cover::{Cover, SunAxes};
use crate::sighting::elevation::{BodyShadow, Caster};
use crate::sighting::shown::{Class, Shown};
use chrono::{DateTime, Duration, Utc};

/// A day is walked in steps of so many minutes; the step that finds something is walked minute by minute.
const STEP_MIN: i64 = 10;
/// Of the body's patches every so many are asked whether a shadow has left them.
const PATCH_STEP: usize = 8;
/// A point darker than this share of the sun's disc is still in a shadow (rulebook, *foreign shadow*).
const DARK_FROM: f64 = 0.3;

/// The nearest minute of the day that serves.
#[derive(Clone, Copy)]
pub(super) enum When {
    Later(DateTime<Utc>),
    Earlier(DateTime<Utc>),
}

/// How the sun moves against a face.
enum Swing {
    /// It stands behind the face.
    Behind,
    Toward,
    Away,
    /// Neither an earlier nor a later minute is better.
    Best,
}

/// The rest of a date from a minute on, and what lies before it.
pub(super) struct Course<'a> {
    pub studio: &'a Studio<'a>,
    pub at: DateTime<Utc>,
}

impl Course<'_> {
    fn told(&self, at: DateTime<Utc>) -> String {
        let zone = &self.studio.scene.place.zone;
        zone.local(at).naive.format("%H:%M").to_string()
    }

    pub fn wait(&self, at: DateTime<Utc>, why: &str) -> String {
        format!("wait until {}, {why}", self.told(at))
    }

    pub fn by(&self, at: DateTime<Utc>, why: &str) -> String {
        format!("come by {}, {why}", self.told(at))
    }

    fn moment_in(&self, minutes: i64) -> Moment {
        self.studio.moment(self.at + Duration::minutes(minutes))
    }

    /// The next minute of the date that serves by day, else the last one before.
    pub fn nearest(&self, serves: impl Fn(&Moment) -> bool) -> Option<When> {
        let zone = &self.studio.scene.place.zone;
        let date = |at: DateTime<Utc>| zone.local(at).naive.date();
        let today = date(self.at);
        let serves = |minutes: &i64| {
            let moment = self.moment_in(*minutes);
            !moment.is_night() && serves(&moment)
        };
        let first = |way: i64| {
            let on_date = |k: &i64| date(self.at + Duration::minutes(way * k)) == today;
            let mut steps = (1..).map(|k| k * STEP_MIN).take_while(on_date);
            let found = steps.find(|k| serves(&(way * k)))?;
            (found - STEP_MIN + 1..=found).find(|k| serves(&(way * k)))
        };
        let at = |minutes: i64| self.at + Duration::minutes(minutes);
        if let Some(minutes) = first(1) {
            return Some(When::Later(at(minutes)));
        }
        first(-1).map(|minutes| When::Earlier(at(-minutes)))
    }

    /// Cosine of the sun's azimuth from the normal of a face, where it is more than grazing.
    fn faced(&self, moment: &Moment, shown: Shown, face: Class) -> Option<f64> {
        let normal = match face {
            Class::Nose => shown.ahead(),
            _ => shown.outward(),
        };
        cosine_from_normal(moment.toward, normal).filter(|_| !moment.is_night())
    }

    fn swing(&self, shown: Shown, face: Class) -> Swing {
        let in_minutes = |minutes| self.faced(&self.moment_in(minutes), shown, face);
        let Some(now) = in_minutes(0) else {
            return Swing::Behind;
        };
        let better = |minutes| in_minutes(minutes).is_some_and(|then| then > now);
        match (better(STEP_MIN), better(-STEP_MIN)) {
            (true, _) => Swing::Toward,
            (false, true) => Swing::Away,
            (false, false) => Swing::Best,
        }
    }

    /// A face that the sun's bearing leaves dark.
    pub fn bearing(&self, shown: Shown, face: Class) -> String {
        match self.swing(shown, face) {
            Swing::Toward => "wait, since the sun is swinging toward it".into(),
            Swing::Away => "come earlier, since the sun is swinging away from it".into(),
            Swing::Best => {
                "come on another date, since on this one the sun swings no farther toward it".into()
            }
            Swing::Behind => {
                let other = match face {
                    Class::Nose => "",
                    _ => "take the other side, or ",
                };
                let round = |moment: &Moment| self.faced(moment, shown, face).is_some();
                match self.nearest(round) {
                    Some(When::Later(at)) => {
                        let wait = self.wait(at, "when the sun comes round to it");
                        format!("the sun stands behind it; {other}{wait}")
                    }
                    Some(When::Earlier(at)) => {
                        let by = self.by(at, "before the sun has left it");
                        format!("the sun stands behind it; {other}{by}")
                    }
                    None => match face {
                        Class::Nose => {
                            "the sun stands behind it all day; come on another date".into()
                        }
                        _ => "the sun stands behind it all day; take the other side".into(),
                    },
                }
            }
        }
    }

    /// A running gear that the sun's height leaves dark; where the sun stands behind the side, its bearing does.
    pub fn height(&self, shown: Shown) -> String {
        let side = shown.side.sign();
        let profile = |minutes| {
            let moment = self.moment_in(minutes);
            profile_angle_deg(moment.toward, side).filter(|_| !moment.is_night())
        };
        let Some(now) = profile(0) else {
            return self.bearing(shown, Class::Side);
        };
        let lower = |minutes| profile(minutes).is_some_and(|then| then < now);
        match (lower(STEP_MIN), lower(-STEP_MIN)) {
            (true, _) => "wait, since the sun is sinking as the side sees it".into(),
            (false, true) => "come earlier, since the sun is climbing as the side sees it".into(),
            (false, false) => {
                "come on another date, since the sun stands no lower on this one".into()
            }
        }
    }

    /// When the shadow of one thing has left the body while the sun still reaches that.
    pub fn moved_off(&self, shown: Shown, shadow: &BodyShadow) -> String {
        let stage = &self.studio.stage;
        let classes = shown.classes(&stage.patches);
        let body = |n: &usize| matches!(classes[*n], Class::Nose | Class::Side);
        let patches: Vec<usize> = (0..classes.len())
            .filter(body)
            .step_by(PATCH_STEP)
            .collect();
        let bars = match shadow.caster {
            Caster::Wire(k) => stage.wires[k].pieces(),
            Caster::Object(_) => Vec::new(),
        };
        let clear = |moment: &Moment| {
            let axes = SunAxes::new(moment.toward);
            let cover = match shadow.caster {
                Caster::Object(k) => {
                    let object = &stage.objects[k];
                    Cover::new(axes, &object.pieces, object.opacity)
                }
                Caster::Wire(_) => Cover::new(axes, &bars, 1.0),
            };
            let reached = self.faced(moment, shown, Class::Side).is_some();
            let dark = |n: &usize| {
                let (normal, centre) = (stage.patches.normal[*n], stage.patches.centre[*n]);
                normal.dot(moment.toward) > 0.0 && cover.dark(centre) > DARK_FROM
            };
            reached && !patches.iter().any(dark)
        };
        match self.nearest(clear) {
            Some(When::Later(at)) => self.wait(at, "when it has moved off"),
            Some(When::Earlier(at)) => self.by(at, "before it moves on"),
            None => "come on another date, since on this one it does not leave the side".into(),
        }
    }
}
