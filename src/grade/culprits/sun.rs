//! What sun and eye decide without a pixel: where the photographer's shadow points, and the sun itself where it stands
//! in the frame. May not enter: shadows on the machine.

use super::{Culprits, MarkRole, Scene};
use crate::grade::MeasureId;
use crate::grade::measure::light::{ShadowLine, shadow_line_deg};
use crate::units::{rad, wrap_180};
use glam::{DVec2, DVec3};

/// Lines on the ground begin and end so far from the feet, metres.
const GROUND_M: [f64; 2] = [0.5, 400.0];
/// The sun is drawn so large, a share of the frame's width: its own disc would hardly show.
const SUN_SHARE: f64 = 0.02;

impl Scene<'_> {
    /// A line on the ground from the photographer's feet along a bearing of the machine frame.
    fn on_ground(&self, bearing_deg: f64) -> Option<[[f64; 2]; 2]> {
        let eye = self.camera.pose.eye;
        let feet = eye.with_z(eye.z - self.composed.stand.height_m);
        let (sin, cos) = rad(bearing_deg).sin_cos();
        let [near, far] = GROUND_M.map(|reach_m| feet + DVec3::new(sin, cos, 0.0) * reach_m);
        self.finder.line(near, far)
    }

    /// Where the shadow points, the stretch that it should meet, and how far beside that it may.
    pub(super) fn shadow_line(&self, out: &mut Culprits) {
        let (eye, toward) = (self.camera.pose.eye, self.minute.toward);
        let line = ShadowLine::of(self.model(), eye, toward);
        out.line(
            MarkRole::Guide,
            self.on_ground(line.corner_deg),
            Some("near corner".into()),
        );
        out.line(
            MarkRole::Guide,
            self.on_ground(line.centre_deg),
            Some("middle".into()),
        );
        let signed = shadow_line_deg(self.model(), eye, toward);
        let limit = self.limit(signed.abs()).unwrap_or(0.0);
        let turn = wrap_180(line.corner_deg - line.centre_deg).signum();
        let bounds = [
            line.corner_deg + turn * limit,
            line.centre_deg - turn * limit,
        ];
        let passed = match signed {
            past if past > 0.0 => &bounds[..1],
            past if past < 0.0 => &bounds[1..],
            _ => &bounds[..],
        };
        for bound in passed {
            out.line(MarkRole::Limit, self.on_ground(*bound), None);
        }
        let shadow = self.on_ground(line.shadow_deg);
        out.line(MarkRole::Value, shadow, Some("your shadow".into()));
        self.sun_itself(out);
        let told = self.told(signed.abs(), "");
        match shadow {
            Some([from, to]) => {
                out.label = Some(told);
                out.anchor = Some([(from[0] + to[0]) / 2.0, (from[1] + to[1]) / 2.0]);
            }
            None => {
                let forward = self.finder.basis.forward;
                let aside =
                    wrap_180(line.shadow_deg - crate::units::bearing_deg(forward.x, forward.y));
                let (way, edge) = match aside > 0.0 {
                    true => ("right", 1.0),
                    false => ("left", 0.0),
                };
                out.label = Some(match aside.abs() > 90.0 {
                    true => format!("your shadow points away from the machine ({told})"),
                    false => format!("your shadow points out of the frame to the {way} ({told})"),
                });
                out.anchor = out.marks.last().map(|_| [edge, 0.9]);
            }
        }
        out.nothing = out.label.clone();
    }

    /// Marks the sun where it stands in the frame.
    fn sun_itself(&self, out: &mut Culprits) -> bool {
        let Some(at) = self
            .finder
            .inside(self.camera.pose.eye + self.minute.toward * 1e6)
        else {
            return false;
        };
        let film = &self.camera.film;
        let radius = DVec2::new(1.0, film.width_mm / film.height_mm) * SUN_SHARE;
        let corner = |i: usize| {
            let (sin, cos) = (std::f64::consts::TAU * i as f64 / 24.0).sin_cos();
            let place = DVec2::from(at) + DVec2::new(cos, sin) * radius;
            place.clamp(DVec2::ZERO, DVec2::ONE).to_array()
        };
        out.area(
            MarkRole::Value,
            (0..24).map(corner).collect(),
            Some("the sun".into()),
        );
        out.anchor = Some(at);
        true
    }

    /// Low, high, veiled or hidden: the sun can be pointed at only where it stands in the frame.
    pub(super) fn sun(&self, out: &mut Culprits) {
        let height = self.minute.sun.elevation_deg;
        if self.measure == MeasureId::BeamStrength {
            out.nothing =
                Some("the sky's veil lies over the whole frame, not at a place in it".into());
            return;
        }
        if self.measure == MeasureId::SunBehindTerrain && self.value() == Some(0.0) {
            out.nothing = Some("no terrain hides the sun".into());
            return;
        }
        if height > 0.0 && self.sun_itself(out) {
            out.label = self.value().map(|value| self.told(value, ""));
            if self.measure == MeasureId::SunBehindTerrain {
                out.label = Some("the sun, behind terrain".into());
            }
            return;
        }
        let where_is = match (height > 0.0, self.measure) {
            (false, _) => "the sun is below the horizon",
            (true, MeasureId::ProfileAngle) => {
                "the sun stands outside the frame: how high it stands shows in the shaded running gear"
            }
            (true, MeasureId::SunBehindTerrain) => {
                "the skyline that hides the sun lies outside the frame"
            }
            _ => "the sun stands outside the frame",
        };
        out.nothing = Some(where_is.into());
    }
}
