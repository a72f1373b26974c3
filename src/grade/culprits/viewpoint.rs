//! Where the eye stands and what lens it looks through, as edges, heights and frames. May not enter: suns, pixels of
//! surroundings.

use super::level::ends;
use super::{Culprits, MarkRole, Scene};
use crate::grade::measure::composition::{COUPLER_HEIGHT_M, upright_edge};
use crate::mesh::model::End;
use crate::sighting::shown::{Class, Shown};
use glam::{DVec2, DVec3};

impl Scene<'_> {
    /// Height of the machine's highest point.
    fn top_m(&self) -> f64 {
        let hull = self.studio.stage.hull.iter();
        hull.map(|point| point.z).fold(0.0, f64::max)
    }

    /// An upright of the machine's whole height.
    fn upright(&self, foot: DVec3) -> Option<[[f64; 2]; 2]> {
        self.finder
            .line(foot.with_z(0.0), foot.with_z(self.top_m()))
    }

    /// The side lies between the far edge and the near one, the face between the near one and its other edge: how the
    /// frame's width is shared between them is what the angle decides.
    pub(super) fn off_nose(&self, out: &mut Culprits) {
        let eye = self.camera.pose.eye;
        let [near, far] = ends(self.model(), eye);
        let [corner, back] = [near, far].map(|end| upright_edge(end, eye)[0]);
        let other = DVec3::new(corner.x, -corner.y, corner.z);
        for (foot, words) in [(back, None), (corner, Some("near corner")), (other, None)] {
            out.line(
                MarkRole::Value,
                self.upright(foot),
                words.map(str::to_string),
            );
        }
        out.anchor = self.finder.inside(corner.with_z(self.top_m() / 2.0));
        if let Some(value) = self.value() {
            out.label = Some(self.told(value, "off the nose"));
        }
        self.unseen(out, "the machine's upright edges lie outside the frame");
    }

    fn unseen(&self, out: &mut Culprits, why: &str) {
        if out.is_empty() {
            out.nothing = Some(why.into());
        }
    }

    /// The face of the end that comes toward the eye.
    pub(super) fn end_shown(&self, out: &mut Culprits) {
        if self.value() == Some(0.0) {
            out.nothing = Some("it is the head end, or either end would do".into());
            return;
        }
        let own = self.own();
        for sample in own.samples.iter().filter(|s| s.class == Class::Nose) {
            out.mask.set(sample.pixel as usize, 1.0);
        }
        let words = match self.value() {
            Some(1.0) => "which end is it?",
            _ => "the rear end",
        };
        out.label = Some(words.into());
        self.unseen(out, "the face of that end lies outside the frame");
    }

    /// The eye's own height is the horizon; the limits' heights lie on the side.
    pub(super) fn eye_over_rail(&self, out: &mut Culprits) {
        let eye = self.camera.pose.eye;
        let [near, far] = ends(self.model(), eye).map(|end| upright_edge(end, eye)[0]);
        let at = |height_m: f64| {
            self.finder
                .line(far.with_z(height_m), near.with_z(height_m))
        };
        let words = |text: &str| Some(text.to_string());
        out.line(MarkRole::Value, at(eye.z), words("eye's height"));
        out.line(MarkRole::Guide, at(0.0), words("rail"));
        if let Some(limit) = self.limit(eye.z) {
            out.line(MarkRole::Limit, at(limit), words("limit"));
        }
        out.anchor = self.finder.inside(near.with_z(eye.z));
        out.say_length(|units| self.told_in(units, eye.z, "over the rail"));
        self.unseen(out, "the machine's near side lies outside the frame");
    }

    /// What a lens at the limit would take in from the same spot.
    pub(super) fn focal(&self, out: &mut Culprits) {
        let equivalent_mm = self.camera.lens.equivalent_mm(&self.camera.film);
        let Some(limit_mm) = self.limit(equivalent_mm) else {
            return;
        };
        out.label = Some(self.told(equivalent_mm, ""));
        let share = equivalent_mm / limit_mm;
        if share >= 1.0 {
            out.nothing = Some("a lens at the limit would take in more than this frame".into());
            return;
        }
        let film = &self.camera.film;
        let lens = &self.camera.lens;
        let shift = DVec2::new(
            lens.shift_x_mm / film.width_mm,
            -lens.shift_y_mm / film.height_mm,
        );
        let axis = DVec2::splat(0.5) - shift;
        let inner = axis + shift * share;
        let corner = |x: f64, y: f64| {
            let at = inner + DVec2::new(x, y) * share / 2.0;
            at.clamp(DVec2::ZERO, DVec2::ONE).to_array()
        };
        let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)];
        let words = format!("what {limit_mm:.0} mm would take in");
        out.area(
            MarkRole::Limit,
            corners.map(|(x, y)| corner(x, y)).to_vec(),
            Some(words),
        );
        out.anchor = Some(corner(0.0, -1.0));
    }

    /// Uprights of one height at both couplers, and the lines by which the far one shrinks.
    pub(super) fn near_far(&self, out: &mut Culprits) {
        let eye = self.camera.pose.eye;
        let side = Shown::to(eye).side.sign();
        let top_m = self.top_m();
        let foot = |end: &End| DVec3::new(end.coupler_x_m, side * end.corner_half_width_m, 0.0);
        let [near, far] = ends(self.model(), eye).map(foot);
        out.line(MarkRole::Value, self.upright(near), Some("near".into()));
        out.line(MarkRole::Value, self.upright(far), Some("far".into()));
        for height_m in [0.0, COUPLER_HEIGHT_M, top_m] {
            let line = self
                .finder
                .line(near.with_z(height_m), far.with_z(height_m));
            out.line(MarkRole::Guide, line, None);
        }
        out.anchor = self.finder.inside(near.with_z(top_m / 2.0));
        if let Some(value) = self.value() {
            out.label = Some(self.told(value, ": 1"));
        }
        self.unseen(out, "both ends lie outside the frame");
    }
}
