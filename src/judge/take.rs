//! A photograph graded like a frame that is only rehearsed: from its fitted pose the stand, from that the same
//! measures, each with its doubt. May not enter: files, tables of many.

pub use super::doubts::Doubt;
use super::doubts::{doubts, verdicts};
use super::framed::Framed;
use super::marks::Given;
use super::outline::{Tones, tones};
use super::photo::Photo;
use super::pose::{Fit, Known, Refused};
pub use super::shot::Shot;
use super::whence::Whence;
use crate::camera::pose::Pose;
use crate::grade::{Sheet, Stand, Studio, Verdict, WIDEST_GRADED_DEG};
use crate::scene::DefaultFrame;
use crate::units::{bearing_deg, wrap_360};
use chrono::TimeDelta;

/// A camera's clock goes wrong by some seconds a month and is set by hand to the minute: one standard deviation. Common
/// practice, from memory.
const CLOCK_S: i64 = 60;

/// Marks that err by so many times what they are said to do not fit.
const POOR: f64 = 3.0;

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
    /// The better and the worse verdict that those leave open; alike where they leave none.
    pub verdicts: [Verdict; 2],
    /// How exactly the marks are said to be placed, pixels.
    pub placed_to_px: f64,
    /// Tones on the machine.
    pub tones: Option<Tones>,
    /// The receiver's position against the stand.
    pub whence: Option<Whence>,
}

impl Take {
    /// How many times more the marks err than they are said to, where that is far too much.
    pub fn poor(&self) -> Option<f64> {
        let times = self.fit.rms_px / std::f64::consts::SQRT_2 / self.placed_to_px;
        (times > POOR).then_some(times)
    }

    /// Whether it is known when it was taken, and with it the light.
    pub fn knows_light(&self) -> bool {
        self.shot.at.value.is_some()
    }

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
    let machine = &base.scene.machine.model;
    let words = |name: &str| machine.words_of(name).map(str::to_string);
    let fitted = fitted.map_err(|refused| told(&refused.worded(words), against.as_deref()))?;
    // What another value in the file says and what the marks say are both told.
    let both = shot.focal_mm.doubt.take().into_iter().chain(against);
    shot.focal_mm.doubt = both.reduce(|said, seen| format!("{said}; {seen}"));
    let mut scene = base.scene.clone();
    scene.kit.film = shot.plate.film;
    let kit = &mut scene.kit;
    kit.film_speed_iso = shot.film_speed_iso.value.unwrap_or(kit.film_speed_iso);
    let studio = Studio::new(scene, base.rulebook, base.rasterizer, Some(base));
    let stand = stand(&studio, &fitted.pose, fitted.focal_mm);
    let eye = studio.look_at_size(
        studio.eye(&stand),
        &studio.rulebook.proof,
        WIDEST_GRADED_DEG,
    );
    let model = &studio.scene.machine.model;
    let tones = tones(model, &fitted, &shot.plate, &photo.pixels, eye.as_ref());
    shot.hold_clock(&studio, tones.as_ref(), given.at.is_some());
    let minute = shot.at.value.map(|at| studio.minute(at));
    let frame = Framed {
        studio: &studio,
        shot: &shot,
        focal_mm: match shot.leaves_focal_out(&fitted) {
            true => None,
            false => shot.focal_mm.value,
        },
        tones: tones.as_ref(),
        minute: minute.as_ref(),
    };
    let measures = frame.measured(&fitted, &studio.rulebook.proof);
    let sheet = frame.judged(&measures);
    let beside = shot.at.value.map(|at| {
        let clock = TimeDelta::seconds(CLOCK_S);
        let size = &studio.rulebook.search;
        [at + clock, at - clock].map(|at| studio.minute_at_size(at, size))
    });
    let doubts = doubts(&frame, &fitted, &sheet, beside.as_ref());
    let verdicts = verdicts(&frame, measures, &doubts);
    let observer = &studio.scene.place.observer;
    let sigma_m = fitted.sigmas().eye_m.length();
    Ok(Take {
        whence: Whence::of(&photo.said, observer, stand.spot_m, sigma_m),
        tones,
        stand,
        sheet,
        doubts,
        verdicts,
        placed_to_px: given.placed_to_px.unwrap_or(Known::default().placed_to_px),
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
pub(super) fn stand(studio: &Studio, pose: &Pose, lens_mm: f64) -> Stand {
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
