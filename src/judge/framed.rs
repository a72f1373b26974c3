//! What the rules say of one camera: the same measures as of a frame that is rehearsed, without what nobody knows of this
//! photograph, and with its levels. May not enter: fitting, doubts.

use super::bent;
use super::outline::Tones;
use super::pose::Fit;
use super::shot::Shot;
use super::take::stand;
use crate::grade::measure::capture::Capture;
use crate::grade::rulebook::ViewSize;
use crate::grade::{
    MeasureId, Measured, Merit, Minute, Reading, Sheet, Studio, WIDEST_GRADED_DEG, judge,
};

/// What was measured, and what speaks for the frame.
pub(super) struct Measures {
    /// Every measure.
    pub all: Vec<Measured>,
    /// What speaks for it.
    pub merits: Vec<Merit>,
}

/// What grades a camera of one photograph.
#[derive(Clone, Copy)]
pub(super) struct Framed<'a> {
    /// With the photograph's own film, speed and f-number.
    pub studio: &'a Studio<'a>,
    /// How it was shot.
    pub shot: &'a Shot,
    /// The focal length that is told, if it is believed.
    pub focal_mm: Option<f64>,
    /// Tones on the machine.
    pub tones: Option<&'a Tones>,
    /// When; without one everything that the sun decides is unknown.
    pub minute: Option<&'a Minute>,
}

impl Framed<'_> {
    /// What a camera is measured to be.
    pub(super) fn measured(&self, fit: &Fit, size: &ViewSize) -> Measures {
        let (studio, shot) = (self.studio, self.shot);
        let kit = &studio.scene.kit;
        let capture = Capture {
            f_number: shot.f_number.value.unwrap_or(kit.f_number),
            exposure_s: shot.exposure_s.value,
        };
        let stand = stand(studio, &fit.pose, fit.focal_mm);
        let mut composed = studio.compose(&stand, &capture, size, WIDEST_GRADED_DEG);
        let model = &studio.scene.machine.model;
        bent::remeasure(&mut composed.measured, fit, &shot.plate, model);
        let mut merits = Vec::new();
        let mut all = match self.minute {
            Some(minute) => {
                let graded = studio.grade_at(&composed, minute);
                merits = graded.sheet.merits;
                graded.measured
            }
            None => composed.measured,
        };
        for rule in studio.rulebook.rules() {
            if !all.iter().any(|one| one.id == rule.id) {
                all.push(Measured::unknown(rule.id, "when it was taken is not known"));
            }
        }
        self.as_marked(fit, &mut all);
        if fit.is_beside() {
            bent::mend_by_cutting(&mut all);
        }
        self.settings(&mut all);
        self.levels(&mut all);
        self.at_odds(&mut all);
        Measures { all, merits }
    }

    /// The sheet of what was measured.
    pub(super) fn judged(&self, measures: &Measures) -> Sheet {
        judge(self.studio.rulebook, &measures.all).with_merits(measures.merits.clone())
    }

    /// Rules of lenses speak of what is engraved on them: a lens that lies just on a limit would else fall to one side by
    /// what its marks err.
    fn as_marked(&self, fit: &Fit, measured: &mut [Measured]) {
        let Some(focal_mm) = self.focal_mm else {
            return;
        };
        for one in measured {
            if let (MeasureId::FocalEquivalent, Reading::Value(mm)) = (one.id, &mut one.reading) {
                *mm *= focal_mm / fit.focal_mm;
            }
        }
    }

    /// Nothing is guessed of how the lens was stopped down and the film exposed.
    fn settings(&self, measured: &mut [Measured]) {
        let shot = self.shot;
        let aperture = (shot.f_number.value.is_some(), "f-number");
        let shutter = (shot.exposure_s.value.is_some(), "exposure time");
        let speed = (shot.film_speed_iso.value.is_some(), "speed");
        let sensor = (shot.film.value.is_some(), "sensor's size");
        for one in measured {
            let needed = match one.id {
                MeasureId::FocusOutside => &[aperture, sensor][..],
                MeasureId::ExposureError => &[aperture, shutter, speed],
                _ => continue,
            };
            let missing = needed.iter().find(|(is_known, _)| !is_known);
            if let (Some((_, name)), Reading::Value(_)) = (missing, &one.reading) {
                *one = Measured::unknown(one.id, format!("the {name} is not known"));
            }
        }
    }

    /// The picture's own levels on the machine.
    fn levels(&self, measured: &mut Vec<Measured>) {
        measured.retain(|one| !one.id.is_of_photographs());
        let shares = self.tones.map(|tones| [tones.clipped, tones.blocked]);
        for (place, id) in [MeasureId::Clipped, MeasureId::Blocked]
            .into_iter()
            .enumerate()
        {
            measured.push(match shares {
                Some(shares) => Measured::value(id, 100.0 * shares[place]),
                None => Measured::unknown(id, "nothing of the machine is seen in the picture"),
            });
        }
    }
    /// Where settings and levels advise against each other the picture is believed, and that is said once.
    fn at_odds(&self, measured: &mut [Measured]) {
        let found = |id: MeasureId| {
            let rule = self.studio.rulebook.rule(id)?;
            let one = measured.iter().find(|one| one.id == id)?;
            let Reading::Value(value) = one.reading else {
                return None;
            };
            rule.passed_limit(value)?;
            Some(one.signed.unwrap_or(value))
        };
        let [error, clipped, blocked] = [
            MeasureId::ExposureError,
            MeasureId::Clipped,
            MeasureId::Blocked,
        ]
        .map(found);
        let (way, share, what) = match (error, clipped, blocked) {
            (Some(stops), None, Some(share)) if stops > 0.0 => ("over", share, "blocked to black"),
            (Some(stops), Some(share), None) if stops < 0.0 => ("under", share, "clipped to white"),
            _ => return,
        };
        let stops = error.unwrap_or_default().abs();
        let sky = self.studio.scene.sky.word();
        let why = format!(
            "settings and levels disagree: by its settings, under a {sky} sky, it would be {way}-exposed by {stops:.1} \
             stops, yet {share:.1} % of the machine is {what}; the levels are judged, since sky, developing or a setting was \
             another"
        );
        for one in measured {
            if one.id == MeasureId::ExposureError {
                *one = Measured::unknown(one.id, why.clone());
            }
        }
    }
}
