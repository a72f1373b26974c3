//! A photograph graded like a frame that is only rehearsed: from its fitted pose the stand, from that the same
//! measures, each with its doubt. May not enter: files, tables of many.

use super::bent;
use super::marks::Given;
use super::outline::{Tones, tones};
use super::photo::Photo;
use super::pose::{Fit, Refused};
pub use super::shot::Shot;
use super::whence::Whence;
use crate::camera::pose::Pose;
use crate::grade::measure::capture::Capture;
use crate::grade::rulebook::ViewSize;
use crate::grade::{
    Grade, MeasureId, Measured, Minute, Reading, Sheet, Stand, Studio, WIDEST_GRADED_DEG, judge,
};
use crate::scene::DefaultFrame;
use crate::units::{bearing_deg, wrap_360};

/// Limits that lie within so many standard deviations leave the grade open.
const TOLD_SIGMAS: f64 = 2.0;

/// What is open about one measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubt {
    /// Which measure.
    pub measure: MeasureId,
    /// Its value.
    pub value: f64,
    /// Its standard deviation, from the pose's.
    pub sigma: f64,
    /// The better and the worse grade that lie within two of those; alike where no limit does.
    pub grades: [Grade; 2],
}

impl Doubt {
    /// Whether a limit lies within it.
    pub fn is_open(&self) -> bool {
        self.grades[0] != self.grades[1]
    }
}

/// A judged photograph.
#[derive(Clone, Debug)]
pub struct Take {
    /// What was shot.
    pub shot: Shot,
    /// Its camera, in the machine frame.
    pub fit: Fit,
    /// The same as a stand in the site.
    pub stand: Stand,
    /// What the rules say.
    pub sheet: Sheet,
    /// Each judged measure's doubt.
    pub doubts: Vec<Doubt>,
    /// Tones on the machine.
    pub tones: Option<Tones>,
    /// The receiver's position against the stand.
    pub whence: Option<Whence>,
}

impl Take {
    /// "I stood here": the stand as a scene's frame, through the lens that shows as much on the scene's own film. Where
    /// nobody knows when, the scene's own minute stays.
    pub fn frame(&self, studio: &Studio) -> DefaultFrame {
        let at = self.shot.at.value;
        let (own, shot) = (studio.scene.kit.film, self.shot.plate.film);
        let stand = Stand {
            lens_mm: self.stand.lens_mm * own.width_mm / shot.width_mm,
            ..self.stand
        };
        DefaultFrame {
            at: at.or(studio.scene.frame.at),
            ..studio.frame_of(&stand, at.unwrap_or_default())
        }
    }
}

/// Judges a photograph by its marks. `base` is the scene's studio; the photograph's own film, speed and f-number
/// take the kit's place.
pub fn take(base: &Studio, photo: &Photo, given: &Given) -> Result<Take, String> {
    let mut shot = Shot::of(photo, given, base);
    let fitted = shot.fit(given);
    let against = shot.against_focal(given, fitted.as_ref().ok());
    let fitted = fitted.map_err(|refused| told(&refused, against.as_deref()))?;
    shot.focal_mm.doubt = against.or(shot.focal_mm.doubt);
    let mut scene = base.scene.clone();
    scene.kit.film = shot.plate.film;
    let kit = &mut scene.kit;
    kit.film_speed_iso = shot.film_speed_iso.value.unwrap_or(kit.film_speed_iso);
    let studio = Studio::new(scene, base.rulebook, base.rasterizer, Some(base));
    let minute = shot.at.value.map(|at| studio.minute(at));
    let model = &studio.scene.machine.model;
    let tones = tones(model, &fitted, &shot.plate, &photo.pixels);
    let frame = Framed {
        studio: &studio,
        shot: &shot,
        tones: tones.as_ref(),
        minute: minute.as_ref(),
    };
    let stand = stand(&studio, &fitted.pose, fitted.focal_mm);
    let sheet = frame.sheet(&fitted, &studio.rulebook.proof);
    let doubts = doubts(&frame, &fitted, &sheet);
    let observer = &studio.scene.place.observer;
    let sigma_m = fitted.sigmas().eye_m.length();
    Ok(Take {
        whence: Whence::of(&photo.said, observer, stand.spot_m, sigma_m),
        tones,
        stand,
        sheet,
        doubts,
        fit: fitted,
        shot,
    })
}

/// Why there is no pose, and what may be behind it.
pub fn told(refused: &Refused, against_focal: Option<&str>) -> String {
    match against_focal {
        Some(against) => format!("{refused}; {against}"),
        None => refused.to_string(),
    }
}

/// A camera in the machine frame as a stand in the site.
fn stand(studio: &Studio, pose: &Pose, lens_mm: f64) -> Stand {
    let forward = bearing_deg(studio.frame.forward.x, studio.frame.forward.y);
    let eye = studio.frame.to_site(pose.eye);
    let spot_m = eye.truncate();
    Stand {
        spot_m,
        height_m: eye.z + studio.scene.ground_below_rail_m(spot_m),
        lens_mm,
        heading_deg: wrap_360(pose.heading_deg + forward - 90.0),
        pitch_deg: pose.pitch_deg,
        roll_deg: pose.roll_deg,
    }
}

/// What grades a camera of one photograph.
struct Framed<'a> {
    studio: &'a Studio<'a>,
    shot: &'a Shot,
    tones: Option<&'a Tones>,
    minute: Option<&'a Minute>,
}

impl Framed<'_> {
    /// The sheet of a camera; without an instant everything that the sun decides is unknown.
    fn sheet(&self, fit: &Fit, size: &ViewSize) -> Sheet {
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
        let mut measured = match self.minute {
            Some(minute) => {
                let graded = studio.grade_at(&composed, minute);
                merits = graded.sheet.merits;
                graded.measured
            }
            None => composed.measured,
        };
        for rule in studio.rulebook.rules() {
            if !measured.iter().any(|one| one.id == rule.id) {
                measured.push(Measured::unknown(rule.id, "when it was taken is not known"));
            }
        }
        self.settings(&mut measured);
        self.levels(&mut measured);
        judge(studio.rulebook, &measured).with_merits(merits)
    }

    /// Nothing is guessed of how the lens was stopped down and the film exposed.
    fn settings(&self, measured: &mut [Measured]) {
        let aperture = (&self.shot.f_number, "f-number");
        let shutter = (&self.shot.exposure_s, "exposure time");
        let speed = (&self.shot.film_speed_iso, "speed");
        for one in measured {
            let needed = match one.id {
                MeasureId::FocusOutside => &[aperture][..],
                MeasureId::ExposureError => &[aperture, shutter, speed],
                _ => continue,
            };
            let missing = needed.iter().find(|(told, _)| told.value.is_none());
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
                None => Measured::unknown(id, "the machine lies outside the picture"),
            });
        }
    }
}

/// Every judged measure's doubt: each independent direction of the pose's error is tried one standard deviation
/// either way, and the halves of what it changes are added as squares (the law of propagation of uncertainty, JCGM
/// 100:2008, 5.1.2, its slopes by differences).
fn doubts(frame: &Framed, fit: &Fit, sheet: &Sheet) -> Vec<Doubt> {
    // Differences are smooth enough where the search looks; the values are the proof's.
    let size = &frame.studio.rulebook.search;
    let tried: Vec<[Sheet; 2]> = directions(&fit.covariance)
        .iter()
        .map(|way| [1.0, -1.0].map(|sign| frame.sheet(&moved(fit, way, sign), size)))
        .collect();
    // With its sign: the absolute of a small number turns back at nothing, and would hide its own doubt.
    let of = |sheet: &Sheet, id| sheet.row(id).and_then(|row| row.signed.or(row.value));
    let doubt = |id: MeasureId| {
        let signed = of(sheet, id)?;
        let is_absolute = sheet.row(id)?.signed.is_some();
        let rule = frame.studio.rulebook.rule(id)?;
        let half = |pair: &[Sheet; 2]| match (of(&pair[0], id), of(&pair[1], id)) {
            (Some(a), Some(b)) if (a - b).is_finite() => (a - b) / 2.0,
            _ => 0.0,
        };
        let sigma = tried
            .iter()
            .map(|pair| half(pair).powi(2))
            .sum::<f64>()
            .sqrt();
        let [low, high] = [-1.0, 1.0].map(|way| signed + way * TOLD_SIGMAS * sigma);
        let within = |value: f64| value.clamp(low, high);
        // Between the ends an absolute measure is least at nothing.
        let all = [low, signed, high, within(0.0)].map(|value| match is_absolute {
            true => rule.penalty(value.abs()).0,
            false => rule.penalty(value).0,
        });
        let all = &all[..3 + usize::from(is_absolute)];
        let (best, worst) = (all.iter().min()?, all.iter().max()?);
        Some(Doubt {
            measure: id,
            value: sheet.row(id)?.value?,
            sigma,
            grades: [*best, *worst],
        })
    };
    MeasureId::ALL.iter().filter_map(|id| doubt(*id)).collect()
}

/// The columns of a covariance's lower factor; what is known has none.
fn directions(covariance: &[[f64; 8]; 8]) -> Vec<[f64; 8]> {
    let mut rest = *covariance;
    let mut all = Vec::new();
    for i in 0..8 {
        let pivot = rest[i][i];
        // What is left after the earlier ones may be a rounding error of nothing.
        if !(pivot > 1e-12 * covariance[i][i] && pivot > 0.0) {
            continue;
        }
        let column: [f64; 8] = std::array::from_fn(|j| rest[j][i] / pivot.sqrt());
        for j in 0..8 {
            for k in 0..8 {
                rest[j][k] -= column[j] * column[k];
            }
        }
        all.push(column);
    }
    all
}

/// A fit moved along a direction.
fn moved(fit: &Fit, way: &[f64; 8], sign: f64) -> Fit {
    let by = way.map(|value| value * sign);
    let pose = Pose {
        eye: fit.pose.eye + glam::DVec3::new(by[0], by[1], by[2]),
        heading_deg: fit.pose.heading_deg + by[3],
        pitch_deg: fit.pose.pitch_deg + by[4],
        roll_deg: fit.pose.roll_deg + by[5],
    };
    Fit {
        pose,
        focal_mm: fit.focal_mm + by[6],
        radial: fit.radial + by[7],
        ..fit.clone()
    }
}
