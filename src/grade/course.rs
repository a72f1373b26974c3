//! The course of a date's sun round one minute: when something is so again, and which way the sun swings. May not
//! enter: measures, rules.

use super::{Moment, Studio};
use crate::sighting::closed_form::{cosine_from_normal, profile_angle_deg};
use crate::sighting::cover::{Cover, SunAxes};
use crate::sighting::elevation::Caster;
use crate::sighting::frame::Id;
use crate::sighting::lit::SunBuffer;
use crate::sighting::shown::{Class, Shown};
use chrono::{DateTime, Duration, Utc};
use glam::DVec3;

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

    /// The next minute of the date that serves by day, else the last one before: whole ones, since that is how they are
    /// told.
    pub fn nearest(&self, serves: impl Fn(&Moment) -> bool) -> Option<When> {
        let zone = &self.studio.scene.place.zone;
        let date = |at: DateTime<Utc>| zone.local(at).naive.date();
        let today = date(self.at);
        let serves = |at: DateTime<Utc>| {
            let moment = self.studio.moment(at);
            !moment.is_night() && serves(&moment)
        };
        let first = |way: i64| {
            let past = Duration::seconds(way * self.at.timestamp().rem_euclid(60));
            let whole = match way {
                1 => self.at - past,
                _ if past.is_zero() => self.at,
                _ => self.at + past + Duration::minutes(1),
            };
            let at = |k: i64| whole + Duration::minutes(way * k);
            let on_date = |k: &i64| date(at(*k)) == today;
            let mut steps = (1..).map(|k| k * STEP_MIN).take_while(on_date);
            let found = steps.find(|k| serves(at(*k)))?;
            let minutes = found - STEP_MIN + 1..=found;
            minutes.map(at).find(|at| serves(*at))
        };
        first(1)
            .map(When::Later)
            .or_else(|| first(-1).map(When::Earlier))
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
    pub fn moved_off(&self, shown: Shown, caster: Caster) -> String {
        let patches = self.every_few(shown, |class| matches!(class, Class::Nose | Class::Side));
        self.cleared(shown, &patches, &[caster], "the side")
    }

    /// When what shades the running gear now has left it while the sun still reaches that; none where what shades it is
    /// too small for the patches that are asked.
    pub fn gear_moved_off(&self, shown: Shown, sun: &SunBuffer) -> Option<String> {
        let stage = &self.studio.stage;
        let mut patches = self.every_few(shown, |class| class == Class::RunningGear);
        patches.retain(|n| {
            let normal = stage.patches.normal[*n];
            normal.dot(shown.outward()) > 0.0 || normal.dot(shown.ahead()) > 0.0
        });
        let objects = (0..stage.objects.len()).filter(|k| stage.objects[*k].is_caster());
        let wires = (0..stage.wires.len()).map(Caster::Wire);
        let all = objects.map(Caster::Object).chain(wires);
        // What lies in the machine's own shade has nothing to lose to others.
        let reached = |n: &usize| {
            let (normal, centre) = (stage.patches.normal[*n], stage.patches.centre[*n]);
            sun.lit(&sun.sighting.alone, Id::patch(*n), centre, normal)
        };
        let open: Vec<usize> = patches.iter().copied().filter(reached).collect();
        let casters: Vec<Caster> = all
            .filter(|caster| self.darkens(*caster, &open, sun.toward))
            .collect();
        let told = || self.cleared(shown, &patches, &casters, "the running gear");
        (!casters.is_empty()).then(told)
    }

    /// Some patches of the classes that are wanted.
    fn every_few(&self, shown: Shown, wanted: impl Fn(Class) -> bool) -> Vec<usize> {
        let classes = shown.classes(&self.studio.stage.patches);
        let found = (0..classes.len()).filter(|n| wanted(classes[*n]));
        found.step_by(PATCH_STEP).collect()
    }

    /// Whether a thing's shadow lies on any of these patches.
    fn darkens(&self, caster: Caster, patches: &[usize], toward: DVec3) -> bool {
        let stage = &self.studio.stage;
        let axes = SunAxes::new(toward);
        let (pieces, opacity) = caster.pieces(stage);
        let cover = Cover::new(axes, &pieces, opacity);
        let dark = |n: &usize| {
            let (normal, centre) = (stage.patches.normal[*n], stage.patches.centre[*n]);
            normal.dot(toward) > 0.0 && cover.dark(centre) > DARK_FROM
        };
        patches.iter().any(dark)
    }

    /// When none of some shadows lies on some patches any more, while the sun still reaches the side.
    fn cleared(&self, shown: Shown, patches: &[usize], casters: &[Caster], what: &str) -> String {
        let clear = |moment: &Moment| {
            let darkens = |caster: &Caster| self.darkens(*caster, patches, moment.toward);
            self.faced(moment, shown, Class::Side).is_some() && !casters.iter().any(darkens)
        };
        match self.nearest(clear) {
            Some(When::Later(at)) => self.wait(at, "when it has moved off"),
            Some(When::Earlier(at)) => self.by(at, "before it moves on"),
            None => format!("come on another date, since on this one it does not leave {what}"),
        }
    }
}
