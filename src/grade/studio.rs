//! The studio: a scene prepared once, from which any stand and minute is graded. The command line, the
//! plan and the window all come here. May not enter: searching.

use super::composed::Composed;
use super::measure::capture::{Capture, exposure};
use super::measure::eye::Eye;
use super::measure::{light, subject};
use super::mend::Mends;
use super::minute::Minute;
use super::rulebook::ViewSize;
use super::{MeasureId, Measured, Rulebook, Sheet, Stand, StandChange, judge};
use crate::camera::exposure::{Advice, advise};
use crate::camera::framing::balanced_heading;
use crate::camera::lens::Lens;
use crate::camera::pose::Pose;
use crate::camera::projection::Camera;
use crate::camera::stops::Scale;
use crate::scene::machine::Frame;
use crate::scene::obstacles::Obstacles;
use crate::scene::{DefaultFrame, Scene};
use crate::sighting::elevation::{BodyFaces, BodyShadow};
use crate::sighting::openness::Openness;
use crate::sighting::rasterizer::Rasterizer;
use crate::sighting::shown::{Shown, Side};
use crate::sighting::stage::Stage;
use crate::units::{bearing_deg, deg, wrap_180, wrap_360};
use chrono::{DateTime, Utc};
use glam::DVec3;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, OnceLock};

/// An eye so near that the machine spans nearly everything is still graded, up to this.
pub const WIDEST_GRADED_DEG: f64 = 175.0;

/// A heading so near to the balanced one is that one: the finest that scene files are written in, degrees.
const BALANCED_DEG: f64 = 0.01;

/// Size of a pixel of the body's elevations, for proofs and for searching.
const PROOF_FACE_M: f64 = 0.02;
const SEARCH_FACE_M: f64 = 0.10;

/// A scene, ready to be graded.
pub struct Studio<'a> {
    /// The scene.
    pub scene: Scene,
    /// Its stage, in the machine frame.
    pub stage: Stage,
    /// The rules.
    pub rulebook: &'a Rulebook,
    /// Who draws.
    pub rasterizer: &'a dyn Rasterizer,
    /// The machine's place in the site.
    pub frame: Frame,
    /// What nobody can stand in.
    pub obstacles: Obstacles,
    /// Share of the sky that each patch sees, and share of it that lies bare.
    pub openness: Arc<Openness>,
    faces: Arc<[OnceLock<BodyFaces>; 4]>,
    search_faces: Arc<[OnceLock<BodyFaces>; 4]>,
    graded: AtomicUsize,
}

/// A graded frame.
#[derive(Clone, Debug)]
pub struct Graded {
    /// Verdict, score, findings.
    pub sheet: Sheet,
    /// The numbers behind it.
    pub measured: Vec<Measured>,
    /// Advised exposure, when there is light.
    pub advice: Option<Advice>,
    /// Mean illuminance on the visible nose and side, lx.
    pub subject_lx: f64,
}

impl<'a> Studio<'a> {
    /// Prepares a scene. `kin` is a studio of the same model, whose patches are used again.
    pub fn new(
        scene: Scene,
        rulebook: &'a Rulebook,
        rasterizer: &'a dyn Rasterizer,
        kin: Option<&Studio>,
    ) -> Studio<'a> {
        let kin = kin.filter(|kin| Arc::ptr_eq(&kin.scene.machine.model, &scene.machine.model));
        let stage = Stage::of_scene(&scene, kin.map(|kin| &kin.stage));
        let openness = match kin {
            Some(kin) => kin.openness.clone(),
            None => Arc::new(Openness::of(rasterizer, &stage, rulebook.search.sun_px)),
        };
        let frame = scene.machine.frame();
        Studio {
            obstacles: Obstacles::of(&scene),
            scene,
            stage,
            rulebook,
            rasterizer,
            frame,
            openness,
            // Elevations are of the machine alone: wherever it stands they are the same.
            faces: kin.map_or_else(Default::default, |kin| kin.faces.clone()),
            search_faces: kin.map_or_else(Default::default, |kin| kin.search_faces.clone()),
            graded: AtomicUsize::new(0),
        }
    }

    /// The eye of a stand, in the machine frame.
    pub fn eye(&self, stand: &Stand) -> DVec3 {
        let z = stand.height_m - self.scene.ground_below_rail_m(stand.spot_m);
        self.frame.to_machine(stand.spot_m.extend(z))
    }

    /// Turns a heading in the site into one in the machine frame, whose y axis stands in for north.
    fn machine_heading_deg(&self, heading_deg: f64) -> f64 {
        let forward = bearing_deg(self.frame.forward.x, self.frame.forward.y);
        wrap_360(heading_deg - forward + 90.0)
    }

    /// The heading in the site that balances the side margins; toward the machine's centre where none does.
    pub fn balanced_heading_deg(&self, stand: &Stand) -> f64 {
        let eye = self.eye(stand);
        let lens = Lens::new(stand.lens_mm);
        let film = &self.scene.kit.film;
        let hull = &self.stage.hull;
        let heading = balanced_heading(eye, film, &lens, stand.pitch_deg, stand.roll_deg, hull)
            .unwrap_or_else(|| bearing_deg(-eye.x, -eye.y));
        let forward = bearing_deg(self.frame.forward.x, self.frame.forward.y);
        wrap_360(heading + forward - 90.0)
    }

    /// The camera of a stand, in the machine frame.
    pub fn camera(&self, stand: &Stand) -> Camera {
        Camera {
            pose: Pose {
                eye: self.eye(stand),
                heading_deg: self.machine_heading_deg(stand.heading_deg),
                pitch_deg: stand.pitch_deg,
                roll_deg: stand.roll_deg,
            },
            lens: Lens::new(stand.lens_mm),
            film: self.scene.kit.film,
        }
    }

    /// The scene's own frame as a stand.
    pub fn default_stand(&self) -> Stand {
        let frame = &self.scene.frame;
        let mut stand = Stand {
            spot_m: frame.spot_m,
            height_m: frame.height_m,
            lens_mm: frame.lens_mm,
            heading_deg: 0.0,
            pitch_deg: frame.pitch_deg,
            roll_deg: frame.roll_deg,
        };
        stand.heading_deg = frame
            .heading_deg
            .unwrap_or_else(|| self.balanced_heading_deg(&stand));
        stand
    }

    /// The scene's own stand with a change.
    pub fn changed_stand(&self, change: &StandChange) -> Stand {
        let mut stand = self.default_stand();
        stand.spot_m = change.spot_m.unwrap_or(stand.spot_m);
        stand.lens_mm = change.lens_mm.unwrap_or(stand.lens_mm);
        stand.height_m = change.height_m.unwrap_or(stand.height_m);
        stand.pitch_deg = change.pitch_deg.unwrap_or(stand.pitch_deg);
        stand.roll_deg = change.roll_deg.unwrap_or(stand.roll_deg);
        let changed =
            change.spot_m.is_some() || change.lens_mm.is_some() || change.height_m.is_some();
        stand.heading_deg = match (change.heading_deg, self.scene.frame.heading_deg) {
            (Some(heading), _) => heading,
            (None, Some(heading)) if !changed => heading,
            _ => self.balanced_heading_deg(&stand),
        };
        stand
    }

    /// A stand and an instant as a scene's own frame, whose heading is none where it is the balanced one.
    pub fn frame_of(&self, stand: &Stand, at: DateTime<Utc>) -> DefaultFrame {
        let aside_deg = wrap_180(stand.heading_deg - self.balanced_heading_deg(stand));
        DefaultFrame {
            spot_m: stand.spot_m,
            lens_mm: stand.lens_mm,
            height_m: stand.height_m,
            heading_deg: (aside_deg.abs() > BALANCED_DEG).then_some(stand.heading_deg),
            pitch_deg: stand.pitch_deg,
            roll_deg: stand.roll_deg,
            at: Some(at),
        }
    }

    /// What the photographer does unless told otherwise: the kit's f-number, exposure as advised.
    pub fn default_capture(&self) -> Capture {
        Capture {
            f_number: self.scene.kit.f_number,
            exposure_s: None,
        }
    }

    /// Draws an eye at one of the rulebook's sizes; none where the machine spans more than `widest_deg`.
    pub fn look_at_size(&self, eye: DVec3, size: &ViewSize, widest_deg: f64) -> Option<Eye> {
        let width = size.width_px;
        Eye::draw(self.rasterizer, &self.stage, eye, width, widest_deg)
    }

    /// The body's elevations for what is shown, drawn once, fine enough for a core of 30 mm.
    pub fn body_faces(&self, shown: Shown) -> &BodyFaces {
        let draw = || BodyFaces::draw(self.rasterizer, &self.stage, shown, PROOF_FACE_M);
        self.faces[slot(shown)].get_or_init(draw)
    }

    /// The same, coarse: for searching.
    pub fn search_faces(&self, shown: Shown) -> &BodyFaces {
        let draw = || BodyFaces::draw(self.rasterizer, &self.stage, shown, SEARCH_FACE_M);
        self.search_faces[slot(shown)].get_or_init(draw)
    }

    /// Elevations for what is shown, fine or coarse.
    fn faces(&self, shown: Shown, proof: bool) -> &BodyFaces {
        match proof {
            true => self.body_faces(shown),
            false => self.search_faces(shown),
        }
    }

    /// The elevations that go with an eye of this size.
    pub(super) fn faces_for(&self, eye: &Eye) -> &BodyFaces {
        self.faces(eye.shown, self.is_proof(eye))
    }

    /// Other things' shadows on the body at a minute, for what is shown; on fine elevations for a proof.
    pub fn shadows<'m>(&self, minute: &'m Minute, shown: Shown, proof: bool) -> &'m [BodyShadow] {
        let slot = slot(shown) + 4 * usize::from(proof);
        minute.shadows[slot].get_or_init(|| {
            let of_sun = |sun| self.faces(shown, proof).shadows(&self.stage, sun);
            minute.buffer.as_ref().map_or(vec![], of_sun)
        })
    }

    /// Whether a direction of the machine frame meets terrain above the level horizon.
    pub fn is_hill(&self, direction: DVec3) -> bool {
        let site = self.frame.direction_to_site(direction);
        let elevation = deg(site.z.atan2(site.x.hypot(site.y)));
        let horizon = &self.scene.place.horizon;
        elevation < horizon.elevation_deg(bearing_deg(site.x, site.y))
    }

    /// Grades one frame exactly.
    pub fn grade(&self, stand: &Stand, capture: &Capture, minute: &Minute) -> Graded {
        let proof = &self.rulebook.proof;
        self.grade_at(
            &self.compose(stand, capture, proof, WIDEST_GRADED_DEG),
            minute,
        )
    }

    /// Whether an eye was drawn at proof size.
    pub(super) fn is_proof(&self, eye: &Eye) -> bool {
        eye.view.width >= self.rulebook.proof.width_px
    }

    /// How many frames it has graded so far.
    pub fn graded(&self) -> usize {
        self.graded.load(Ordering::Relaxed)
    }

    /// Grades a composed frame at a minute. What would mend a finding is worked out where the eye was drawn at proof
    /// size: that measures other minutes and other spots.
    pub fn grade_at(&self, composed: &Composed, minute: &Minute) -> Graded {
        let mut graded = self.grade_unmended(composed, minute);
        if composed.eye.as_ref().is_some_and(|eye| self.is_proof(eye)) {
            let mends = Mends::of(self, composed, minute);
            for one in &mut graded.measured {
                one.mend = mends.of_measure(one);
            }
            graded.sheet = self.judged(&graded.measured);
        }
        graded
    }

    fn judged(&self, measured: &[Measured]) -> Sheet {
        judge(self.rulebook, measured).with_merits(subject::merits(&self.scene.machine))
    }

    /// The same with no more than the rulebook's advice: for those who compare.
    pub fn grade_unmended(&self, composed: &Composed, minute: &Minute) -> Graded {
        self.graded.fetch_add(1, Ordering::Relaxed);
        let Composed {
            stand,
            capture,
            camera,
            eye,
            ..
        } = composed;
        let mut out = composed.measured.clone();
        self.sun_measures(camera, &minute.moment(), &mut out);
        let mut subject_lx = f64::NAN;
        // By night one sentence will do.
        let by_day = !minute.moment().is_night();
        if let Some(eye) = eye.as_ref().filter(|_| by_day) {
            let rear = || self.scene.machine.model.rear.words();
            let end = if eye.shown.head {
                "nose".into()
            } else {
                rear()
            };
            let buffer = minute.buffer.as_ref();
            let shares = light::exact_shares(
                &self.stage,
                eye,
                buffer,
                &minute.daylight,
                &self.openness.sky,
            );
            subject_lx = shares.mean_lux();
            shares.measures(&mut |id, value| {
                out.push(if value.is_nan() {
                    Measured::not_applicable(id, "nothing of it can be seen")
                } else if matches!(id, MeasureId::NoseLit | MeasureId::NoseSide) {
                    Measured::value(id, value).with_detail(end.clone())
                } else {
                    Measured::value(id, value)
                });
            });
            let shadows = self.shadows(minute, eye.shown, self.is_proof(eye));
            light::foreign(shadows, &mut out);
        }
        let ground_z = camera.pose.eye.z - stand.height_m;
        let own = light::own_shadow(camera, ground_z, minute.toward);
        out.push(Measured::flag(MeasureId::OwnShadow, own));
        let advice = advise(
            subject_lx,
            self.scene.kit.film_speed_iso,
            capture.f_number,
            Scale::Half,
        );
        if by_day {
            exposure(capture, advice.as_ref(), &mut out);
        }
        let sheet = self.judged(&out);
        Graded {
            sheet,
            measured: out,
            advice,
            subject_lx,
        }
    }
}

fn slot(shown: Shown) -> usize {
    usize::from(shown.head) * 2 + usize::from(shown.side == Side::Left)
}
