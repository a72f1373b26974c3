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
/// The same where each step draws a sun.
const DRAWN_STEP_MIN: i64 = 20;
/// Of the body's patches every so many are asked whether a shadow has left them.
const PATCH_STEP: usize = 8;
/// A point darker than this share of the sun's disc is still in a shadow (rulebook, *foreign shadow*).
const DARK_FROM: f64 = 0.3;

/// So many minutes beyond the first that serves roughly, one after the other, it is asked for a proof.
const PROVED_AFTER_MIN: [i64; 8] = [0, 1, 2, 4, 7, 12, 20, 30];

/// Whether a measure is clean at a minute, roughly or as for a proof.
pub(super) type Serves<'f> = &'f dyn Fn(DateTime<Utc>, bool) -> bool;

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
        let serves = |at: DateTime<Utc>| {
            let moment = self.studio.moment(at);
            !moment.is_night() && serves(&moment)
        };
        let first = |way: i64| {
            let at = |k: i64| self.whole(way) + Duration::minutes(way * k);
            let mut steps = (1..)
                .map(|k| k * STEP_MIN)
                .map_while(|k| self.is_today(at(k)).then_some(k));
            let found = steps.find(|k| serves(at(*k)))?;
            let minutes = found - STEP_MIN + 1..=found;
            minutes.map(at).find(|at| serves(*at))
        };
        first(1)
            .map(When::Later)
            .or_else(|| first(-1).map(When::Earlier))
    }

    /// The last whole minute that is over, or the next one, whose neighbours that way are told.
    fn whole(&self, way: i64) -> DateTime<Utc> {
        let past = Duration::seconds(self.at.timestamp().rem_euclid(60));
        match way {
            1 => self.at - past,
            _ if past.is_zero() => self.at,
            _ => self.at - past + Duration::minutes(1),
        }
    }

    fn is_today(&self, at: DateTime<Utc>) -> bool {
        let zone = &self.studio.scene.place.zone;
        zone.local(at).naive.date() == zone.local(self.at).naive.date()
    }

    /// The nearest minute of the date, in these ways, at which the very measure serves, as it is taken for a proof.
    /// What `may` rules out in closed form is not drawn; the rest is measured roughly every so often until that serves,
    /// and proved from there on, a few minutes at most.
    fn proved(
        &self,
        ways: &[i64],
        step_min: i64,
        may: impl Fn(&Moment) -> bool,
        serves: impl Fn(DateTime<Utc>, bool) -> bool,
    ) -> Option<When> {
        let may = |at: DateTime<Utc>| {
            let moment = self.studio.moment(at);
            self.is_today(at) && !moment.is_night() && !moment.behind_terrain && may(&moment)
        };
        let first = |way: i64| {
            let at = |k: i64| self.whole(way) + Duration::minutes(way * k);
            let roughly = |k: i64| may(at(k)) && serves(at(k), false);
            let mut steps = (1..)
                .map(|k| k * step_min)
                .map_while(|k| self.is_today(at(k)).then_some(k));
            let mut found = steps.find(|k| roughly(*k))?;
            let mut before = found - step_min;
            while found - before > 1 {
                let between = (before + found) / 2;
                match roughly(between) {
                    true => found = between,
                    false => before = between,
                }
            }
            let mut tries = PROVED_AFTER_MIN.into_iter().map(|more| at(found + more));
            tries.find(|at| may(*at) && serves(*at, true))
        };
        ways.iter().find_map(|way| {
            first(*way).map(match way {
                1 => When::Later,
                _ => When::Earlier,
            })
        })
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
    pub fn bearing(&self, shown: Shown, face: Class, serves: Serves<'_>) -> String {
        let reached = |moment: &Moment| self.faced(moment, shown, face).is_some();
        let swing = self.swing(shown, face);
        let ways: &[i64] = match swing {
            Swing::Toward => &[1],
            Swing::Away => &[-1],
            Swing::Behind | Swing::Best => &[1, -1],
        };
        let when = self.proved(ways, DRAWN_STEP_MIN, reached, serves);
        if !matches!(swing, Swing::Behind) {
            return match when {
                Some(When::Later(at)) => self.wait(at, "when the sun has swung far enough toward it"),
                Some(When::Earlier(at)) => self.by(at, "before the sun has swung too far from it"),
                None => "come on another date, since on this one the sun swings not far enough toward it".into(),
            };
        }
        let other = match face {
            Class::Nose => "",
            _ => "take the other side, or ",
        };
        let mend = match when {
            Some(When::Later(at)) => self.wait(at, "when the sun has come round to it"),
            Some(When::Earlier(at)) => self.by(at, "before the sun has left it"),
            None if self.nearest(reached).is_some() => {
                "come on another date, since on this one the sun comes not far enough round".into()
            }
            None => {
                let step = match face {
                    Class::Nose => "come on another date",
                    _ => "take the other side",
                };
                return format!("the sun stands behind it all day; {step}");
            }
        };
        format!("the sun stands behind it; {other}{mend}")
    }

    /// A running gear that the sun's height leaves dark; where the sun stands behind the side, its bearing does.
    pub fn height(&self, shown: Shown, serves: Serves<'_>) -> String {
        let side = shown.side.sign();
        let profile =
            |moment: &Moment| profile_angle_deg(moment.toward, side).filter(|_| !moment.is_night());
        let Some(now) = profile(&self.moment_in(0)) else {
            return self.bearing(shown, Class::Side, serves);
        };
        let lower = |moment: &Moment| profile(moment).is_some_and(|then| then < now);
        match self.proved(&[1, -1], DRAWN_STEP_MIN, lower, serves) {
            Some(When::Later(at)) => self.wait(at, "when the sun stands low enough as the side sees it"),
            Some(When::Earlier(at)) => self.by(at, "while the sun stands low enough as the side sees it"),
            None => "come on another date, since the sun stands at no hour of this one as the side needs it".into(),
        }
    }

    /// When the shadow of one thing has left the body while the sun still reaches that.
    pub fn moved_off(&self, shown: Shown, caster: Caster, serves: Serves<'_>) -> String {
        let patches = self.every_few(shown, |class| matches!(class, Class::Nose | Class::Side));
        self.cleared(shown, &patches, &[caster], serves)
    }

    /// When what shades the running gear now has left it while the sun still reaches that; none where what shades it is
    /// too small for the patches that are asked.
    pub fn gear_moved_off(
        &self,
        shown: Shown,
        sun: &SunBuffer,
        serves: Serves<'_>,
    ) -> Option<String> {
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
        let told = || self.cleared(shown, &patches, &casters, serves);
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

    /// When the shadows of some things lie on none of some patches any more, while the sun still reaches the side, and
    /// what is left of them, or has come instead, is no fault either: patches miss what is thin.
    fn cleared(
        &self,
        shown: Shown,
        patches: &[usize],
        casters: &[Caster],
        serves: Serves<'_>,
    ) -> String {
        let clear = |moment: &Moment| {
            let darkens = |caster: &Caster| self.darkens(*caster, patches, moment.toward);
            self.faced(moment, shown, Class::Side).is_some() && !casters.iter().any(darkens)
        };
        match self.proved(&[1, -1], STEP_MIN, clear, serves) {
            Some(When::Later(at)) => self.wait(at, "when it has moved off"),
            Some(When::Earlier(at)) => self.by(at, "before it moves on"),
            None => {
                "come on another date, since on this one no hour is free of shadows there".into()
            }
        }
    }
}
