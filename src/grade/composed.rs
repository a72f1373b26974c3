//! A frame but for its minute: where the camera stands and looks, what it sees, and everything that can be
//! measured without the sun. May not enter: suns, except to bound what any sun could give.

use super::measure::capture::{Capture, focus};
use super::measure::eye::Eye;
use super::measure::surroundings::{Found, counted, found};
use super::measure::{composition, light, subject};
use super::minute::Moment;
use super::rulebook::ViewSize;
use super::{MeasureId, Measured, Stand, Studio, Tally};
use crate::camera::framing::Margins;
use crate::camera::projection::Camera;
use glam::DVec3;
use std::sync::Arc;

/// A frame but for its minute.
#[derive(Clone)]
pub struct Composed {
    /// Where and how the camera stands.
    pub stand: Stand,
    /// How it is focused, stopped down and exposed.
    pub capture: Capture,
    /// The camera, in the machine frame.
    pub camera: Camera,
    /// What its eye sees; none where the machine spans too much to be drawn.
    pub eye: Option<Arc<Eye>>,
    /// What stands around the machine, as far as it was drawn.
    pub found: Option<Arc<Found>>,
    /// Composition, subject and focus.
    pub measured: Vec<Measured>,
}

/// What nothing is said of by night.
const BY_DAY: [MeasureId; 14] = [
    MeasureId::ShadowLine,
    MeasureId::NoseLit,
    MeasureId::SideLit,
    MeasureId::NoseSide,
    MeasureId::HandrailShadow,
    MeasureId::ProfileAngle,
    MeasureId::SunBehindTerrain,
    MeasureId::RunningGearLit,
    MeasureId::BeamStrength,
    MeasureId::ForeignBody,
    MeasureId::ForeignCore,
    MeasureId::ForeignGear,
    MeasureId::LetteringShaded,
    MeasureId::ExposureError,
];

/// What must be drawn to be measured, without the sun and with it.
const SEEN: [MeasureId; 17] = [
    MeasureId::Hidden,
    MeasureId::WorstHiddenPart,
    MeasureId::Growths,
    MeasureId::RooflineChanges,
    MeasureId::TreeRowChanges,
    MeasureId::BarsBehind,
    MeasureId::BandBehind,
    MeasureId::WiresUprights,
    MeasureId::People,
    MeasureId::NoseLit,
    MeasureId::SideLit,
    MeasureId::NoseSide,
    MeasureId::RunningGearLit,
    MeasureId::ForeignBody,
    MeasureId::ForeignCore,
    MeasureId::ForeignGear,
    MeasureId::LetteringShaded,
];

/// What geometry says of a stand wherever that is: of its lens, and of the machine as it stands.
const OF_THE_LENS: [MeasureId; 5] = [
    MeasureId::FocalEquivalent,
    MeasureId::CoupledFront,
    MeasureId::CoupledRear,
    MeasureId::DoorsOpen,
    MeasureId::Dirt,
];

impl Studio<'_> {
    /// Draws a stand's eye and measures what needs no sun. An eye for which the machine spans more than
    /// `widest_deg` is not drawn.
    pub fn compose(
        &self,
        stand: &Stand,
        capture: &Capture,
        size: &ViewSize,
        widest_deg: f64,
    ) -> Composed {
        let eye = self.look_at_size(self.eye(stand), size, widest_deg);
        self.compose_seen(eye.map(Arc::new), stand, capture)
    }

    /// The same from an eye that was drawn before.
    pub fn compose_seen(
        &self,
        eye: Option<Arc<Eye>>,
        stand: &Stand,
        capture: &Capture,
    ) -> Composed {
        let camera = self.camera(stand);
        let mut measured = Vec::with_capacity(MeasureId::ALL.len());
        let margins = self.geometry(&camera, capture, &mut measured);
        let is_hill = |direction: DVec3| self.is_hill(direction);
        let look = |eye: &Arc<Eye>| found(&self.stage, eye, &camera, margins, &is_hill);
        let found = eye.as_ref().map(look).map(Arc::new);
        if let Some(found) = &found {
            counted(&self.stage, found, &mut measured);
        } else {
            let why = "the machine fills more than any lens takes in";
            measured.extend(SEEN.map(|id| Measured::unknown(id, why)));
        }
        let site_eye = self.frame.to_site(camera.pose.eye);
        if let Some(name) = self.obstacles.at(site_eye) {
            measured.retain(|one| one.id != MeasureId::Hidden);
            let blind = Measured::value(MeasureId::Hidden, 100.0);
            measured.push(blind.with_detail(format!("the {name}")));
        }
        Composed {
            stand: *stand,
            capture: *capture,
            camera,
            eye,
            found,
            measured,
        }
    }

    /// Viewpoint, margins, subject and focus: nothing is drawn for these.
    fn geometry(
        &self,
        camera: &Camera,
        capture: &Capture,
        out: &mut Vec<Measured>,
    ) -> Option<Margins> {
        let machine = &self.scene.machine;
        composition::viewpoint(&machine.model, machine.head_end, camera.pose.eye, out);
        let margins = composition::geometry(&machine.model, &self.stage.hull, camera, out);
        subject::stated(machine, out);
        focus(&machine.model, camera, capture, out);
        margins
    }

    /// What sun, sky and machine decide without a picture.
    pub fn sun_measures(&self, camera: &Camera, moment: &Moment, out: &mut Vec<Measured>) {
        let model = &self.scene.machine.model;
        let elevation_deg = moment.sun.elevation_deg;
        out.push(Measured::value(MeasureId::SunElevation, elevation_deg));
        if moment.is_night() {
            let why = "the sun is below the horizon";
            out.extend(BY_DAY.map(|id| Measured::not_applicable(id, why)));
            return;
        }
        light::sun_geometry(model, camera.pose.eye, moment.toward, out);
        out.push(Measured::flag(
            MeasureId::SunBehindTerrain,
            moment.behind_terrain,
        ));
        out.push(Measured::value(
            MeasureId::BeamStrength,
            self.scene.sky.beam_strength(),
        ));
    }

    /// What geometry alone makes of a stand, nothing drawn.
    pub fn geometry_tally(&self, stand: &Stand, capture: &Capture) -> Tally {
        let mut out = Vec::new();
        self.geometry(&self.camera(stand), capture, &mut out);
        let mut tally = Tally::new(self.rulebook.faults.len());
        tally.add_measured(self.rulebook, &out);
        tally
    }

    /// A tally that no frame with this lens betters, from wherever and whenever: what neither changes.
    pub fn lens_bound(&self, stand: &Stand) -> Tally {
        let mut out = Vec::new();
        self.geometry(&self.camera(stand), &self.default_capture(), &mut out);
        out.retain(|one| OF_THE_LENS.contains(&one.id));
        let beam = self.scene.sky.beam_strength();
        out.push(Measured::value(MeasureId::BeamStrength, beam));
        let mut tally = Tally::new(self.rulebook.faults.len());
        tally.add_measured(self.rulebook, &out);
        tally
    }

    /// A tally that no frame betters which holds what `so_far` counts and is taken at this moment: every
    /// measure left out could only take away.
    pub fn bound(&self, so_far: &Tally, stand: &Stand, moment: &Moment) -> Tally {
        let mut out = Vec::new();
        self.sun_measures(&self.camera(stand), moment, &mut out);
        let mut tally = so_far.clone();
        tally.add_measured(self.rulebook, &out);
        tally
    }
}
