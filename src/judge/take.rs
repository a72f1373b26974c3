//! A photograph graded like a frame that is only rehearsed: from its fitted pose the stand, from that the same
//! measures, each with its doubt. May not enter: files, tables of many.

use super::exif::Told;
use super::marks::Given;
use super::outline::{Tones, tones};
use super::photo::Photo;
use super::pose::{Fit, Known, Plate, Refused, fit};
use crate::camera::film::Film;
use crate::camera::pose::Pose;
use crate::grade::measure::capture::Capture;
use crate::grade::rulebook::ViewSize;
use crate::grade::{
    Grade, MeasureId, Measured, Minute, Sheet, Stand, Studio, WIDEST_GRADED_DEG, judge,
};
use crate::scene::DefaultFrame;
use crate::units::{bearing_deg, wrap_360};
use chrono::{DateTime, Utc};

/// Limits that lie within so many standard deviations leave the grade open.
const TOLD_SIGMAS: f64 = 2.0;

/// What was shot, as far as it is known.
#[derive(Clone, Debug)]
pub struct Shot {
    /// The picture and its size on the sensor.
    pub plate: Plate,
    /// Where that size comes from.
    pub film: Told<Film>,
    /// The focal length, if known, on that sensor.
    pub focal_mm: Told<f64>,
    /// When.
    pub at: Told<DateTime<Utc>>,
}

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
}

impl Shot {
    /// What is known of a photograph, given first, then what it says of itself, then the scene's kit.
    pub fn of(photo: &Photo, given: &Given, studio: &Studio) -> Shot {
        let [width_px, height_px] = photo.size_px();
        let shape = height_px / width_px;
        let said = &photo.said;
        // A picture that was cropped has its own shape; its width is taken to be the sensor's.
        let shaped = |width_mm: f64| Film {
            width_mm,
            height_mm: width_mm * shape,
        };
        let full_mm = Film::FULL.diagonal_mm();
        let equivalent = shaped(full_mm / 1.0_f64.hypot(shape));
        let (film, focal_mm) = match (given.film, said.upright_film(), said.equivalent_mm.value) {
            (Some(film), ..) => (Told::given(shaped(film.width_mm)), said.focal_mm.clone()),
            (None, Some(film), _) => {
                let cut = (film.height_mm / film.width_mm / shape - 1.0).abs() > 0.02;
                let doubt = cut.then(|| "the picture has another shape: it was cut".to_string());
                let told = Told::from(shaped(film.width_mm), said.sensor.origin.clone());
                (
                    told.doubted(doubt.or(said.sensor.doubt.clone())),
                    said.focal_mm.clone(),
                )
            }
            (None, None, Some(_)) => (
                Told::from(equivalent, "FocalLengthIn35mmFilm"),
                said.equivalent_mm.clone(),
            ),
            // Without a sensor a focal length in millimetres says nothing.
            (None, None, None) => (
                Told::from(shaped(studio.scene.kit.film.width_mm), "the scene's kit"),
                Told::missing("the sensor's size is not known"),
            ),
        };
        let at = match (said.instant(), said.local.value) {
            (Some(at), _) => Told::from(at, "DateTimeOriginal and its offset")
                .doubted(said.local.doubt.clone().or(said.offset_min.doubt.clone())),
            (None, Some(local)) => match studio.scene.place.zone.instant(local) {
                Ok(at) => Told::from(at, "DateTimeOriginal in the scene's zone")
                    .doubted(said.local.doubt.clone()),
                Err(why) => Told::missing(why.to_string()),
            },
            (None, None) => Told::missing(said.local.origin.clone()),
        };
        Shot {
            plate: Plate {
                width_px,
                height_px,
                film: film.value.unwrap_or(Film::FULL),
            },
            film,
            focal_mm: focal_mm.overridden(given.focal_mm),
            at: at.overridden(given.at),
        }
    }

    /// Where its camera stood, by the marks that are given.
    pub fn fit(&self, given: &Given) -> Result<Fit, Refused> {
        let known = Known {
            focal_mm: self.focal_mm.value,
            bend: given.radial,
            placed_to_px: given.placed_to_px.unwrap_or(Known::default().placed_to_px),
        };
        fit(&given.marks, &self.plate, &known)
    }
}

impl Take {
    /// "I stood here": the stand as a scene's frame. Where nobody knows when, the scene's own minute stays.
    pub fn frame(&self, studio: &Studio) -> DefaultFrame {
        let at = self.shot.at.value;
        DefaultFrame {
            at: at.or(studio.scene.frame.at),
            ..studio.frame_of(&self.stand, at.unwrap_or_default())
        }
    }
}

/// Judges a photograph by its marks. `base` is the scene's studio; the photograph's own film, speed and f-number
/// take the kit's place.
pub fn take(base: &Studio, photo: &Photo, given: &Given) -> Result<Take, String> {
    let shot = Shot::of(photo, given, base);
    let fitted = shot.fit(given).map_err(|refused| refused.to_string())?;
    let mut scene = base.scene.clone();
    scene.kit.film = shot.plate.film;
    scene.kit.film_speed_iso = photo.said.iso.value.unwrap_or(scene.kit.film_speed_iso);
    let studio = Studio::new(scene, base.rulebook, base.rasterizer, Some(base));
    let capture = Capture {
        f_number: photo
            .said
            .f_number
            .value
            .unwrap_or(studio.scene.kit.f_number),
        exposure_s: photo.said.exposure_s.value,
    };
    let minute = shot.at.value.map(|at| studio.minute(at));
    let frame = Framed {
        studio: &studio,
        capture: &capture,
        minute: minute.as_ref(),
    };
    let stand = stand(&studio, &fitted.pose, fitted.focal_mm);
    let sheet = frame.sheet(&stand, &studio.rulebook.proof);
    let doubts = doubts(&frame, &fitted, &sheet);
    let model = &studio.scene.machine.model;
    Ok(Take {
        tones: tones(model, &fitted, &shot.plate, &photo.pixels),
        shot,
        stand,
        sheet,
        doubts,
        fit: fitted,
    })
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

/// What grades a stand of one photograph.
struct Framed<'a> {
    studio: &'a Studio<'a>,
    capture: &'a Capture,
    minute: Option<&'a Minute>,
}

impl Framed<'_> {
    /// The sheet of a stand; without an instant everything that the sun decides is unknown.
    fn sheet(&self, stand: &Stand, size: &ViewSize) -> Sheet {
        let composed = self
            .studio
            .compose(stand, self.capture, size, WIDEST_GRADED_DEG);
        if let Some(minute) = self.minute {
            return self.studio.grade_at(&composed, minute).sheet;
        }
        let rulebook = self.studio.rulebook;
        let mut measured = composed.measured;
        for rule in rulebook.rules() {
            if !measured.iter().any(|one| one.id == rule.id) {
                measured.push(Measured::unknown(rule.id, "when it was taken is not known"));
            }
        }
        judge(rulebook, &measured)
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
        .map(|way| {
            [1.0, -1.0].map(|sign| {
                let (pose, focal_mm) = moved(fit, way, sign);
                frame.sheet(&stand(frame.studio, &pose, focal_mm), size)
            })
        })
        .collect();
    let of = |sheet: &Sheet, id| sheet.row(id).and_then(|row| row.value);
    let doubt = |id: MeasureId| {
        let value = of(sheet, id)?;
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
        let at = |steps: f64| rule.penalty(value + steps * sigma).0;
        let all = [at(-TOLD_SIGMAS), at(0.0), at(TOLD_SIGMAS)];
        let (best, worst) = (all.iter().min()?, all.iter().max()?);
        Some(Doubt {
            measure: id,
            value,
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
fn moved(fit: &Fit, way: &[f64; 8], sign: f64) -> (Pose, f64) {
    let by = way.map(|value| value * sign);
    let pose = Pose {
        eye: fit.pose.eye + glam::DVec3::new(by[0], by[1], by[2]),
        heading_deg: fit.pose.heading_deg + by[3],
        pitch_deg: fit.pose.pitch_deg + by[4],
        roll_deg: fit.pose.roll_deg + by[5],
    };
    (pose, fit.focal_mm + by[6])
}
