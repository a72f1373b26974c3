//! Measures of light: sun bearing, sun height, clarity, foreign and own shadow. May not enter: lenses,
//! except for the photographer's shadow.

use super::eye::{Eye, Sample};
use crate::camera::projection::Camera;
use crate::grade::{MeasureId, Measured};
use crate::mesh::model::Model;
use crate::sighting::closed_form::{handrail_drop_m, profile_angle_deg};
use crate::sighting::elevation::BodyShadow;
use crate::sighting::frame::Id;
use crate::sighting::lit::SunBuffer;
use crate::sighting::shown::{Class, Shown};
use crate::sighting::stage::Stage;
use crate::sky::daylight::{Daylight, plane_illuminance_lx};
use crate::units::{bearing_deg, wrap_180};
use glam::{DVec2, DVec3};

/// Reflectance of dry ground and ballast for daylight. Common practice in daylight calculation: 0.2.
pub const GROUND_ALBEDO: f64 = 0.2;

/// Height of the photographer whose shadow may fall into the frame: a standing adult (from memory).
const PHOTOGRAPHER_M: f64 = 1.75;

/// Lit shares and mean illuminances of nose, side and running gear, however they were summed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Shares {
    /// Weight of the visible nose, side, running gear, lettering.
    pub weight: [f64; 4],
    /// Of each, the weight in direct sun with the machine alone.
    pub lit_alone: [f64; 4],
    /// Of each, the weight in direct sun with everything.
    pub lit: [f64; 4],
    /// Illuminance times weight of nose and side, own shadows only.
    pub lux: [f64; 2],
}

/// The row of [`Shares`] for lettering.
pub const LETTERING: usize = 3;

/// The row of [`Shares`] that a class has.
pub fn row(class: Class) -> Option<usize> {
    match class {
        Class::Nose => Some(0),
        Class::Side => Some(1),
        Class::RunningGear => Some(2),
        Class::Other => None,
    }
}

/// What light a sample has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SampleLight {
    /// In direct sun with the machine alone.
    pub lit_alone: bool,
    /// In direct sun with everything.
    pub lit: bool,
    /// Its illuminance, own shadows only, lx.
    pub lux: f64,
}

/// The light of one sample at the exact sun: its own point is asked of the sun's buffer.
pub fn sample_light(
    stage: &Stage,
    sample: &Sample,
    sun: Option<&SunBuffer>,
    daylight: &Daylight,
    openness: &[f32],
) -> SampleLight {
    let patch = sample.patch as usize;
    let normal = stage.patches.normal[patch];
    let (lit_alone, lit) = sun.map_or((false, false), |sun| {
        sun.lit_alone_and_with_all(Id::patch(patch), sample.point, normal)
    });
    let toward = sun.map_or(DVec3::NEG_Z, |sun| sun.toward);
    let share = f64::from(u8::from(lit_alone));
    let open = openness[patch] as f64;
    let light = plane_illuminance_lx(daylight, toward, normal, share, open, GROUND_ALBEDO);
    SampleLight {
        lit_alone,
        lit,
        lux: light.total(),
    }
}

/// Sums an eye's samples at the exact sun.
pub fn exact_shares(
    stage: &Stage,
    eye: &Eye,
    sun: Option<&SunBuffer>,
    daylight: &Daylight,
    openness: &[f32],
) -> Shares {
    let mut shares = Shares::default();
    for sample in &eye.samples {
        let Some(row) = row(sample.class) else {
            continue;
        };
        let light = sample_light(stage, sample, sun, daylight, openness);
        let mut add = |row: usize| {
            shares.weight[row] += 1.0;
            shares.lit_alone[row] += f64::from(u8::from(light.lit_alone));
            shares.lit[row] += f64::from(u8::from(light.lit));
        };
        add(row);
        if sample.lettering {
            add(LETTERING);
        }
        if row < 2 {
            shares.lux[row] += light.lux;
        }
    }
    shares
}

impl Shares {
    /// Mean illuminance over the visible nose and side.
    pub fn mean_lux(&self) -> f64 {
        (self.lux[0] + self.lux[1]) / (self.weight[0] + self.weight[1])
    }

    /// Calls `put` with every measure that follows from the shares; NaN where nothing is visible.
    pub fn measures(&self, put: &mut dyn FnMut(MeasureId, f64)) {
        let percent = |lit: [f64; 4], row: usize| 100.0 * lit[row] / self.weight[row];
        put(MeasureId::NoseLit, percent(self.lit_alone, 0));
        put(MeasureId::SideLit, percent(self.lit_alone, 1));
        put(MeasureId::RunningGearLit, percent(self.lit_alone, 2));
        let mean = |row: usize| self.lux[row] / self.weight[row];
        put(MeasureId::NoseSide, mean(0) / mean(1));
        put(
            MeasureId::ForeignGear,
            percent(self.lit_alone, 2) - percent(self.lit, 2),
        );
        put(
            MeasureId::LetteringShaded,
            100.0 - percent(self.lit, LETTERING),
        );
    }
}

/// Bearings in the machine frame, clockwise from its y axis, that the shadow line is measured by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShadowLine {
    /// From the eye to the near front corner.
    pub corner_deg: f64,
    /// From the eye to the machine's centre.
    pub centre_deg: f64,
    /// Where the photographer's shadow points.
    pub shadow_deg: f64,
}

impl ShadowLine {
    /// For an eye and a sun.
    pub fn of(model: &Model, eye: DVec3, toward: DVec3) -> ShadowLine {
        let shown = Shown::to(eye);
        let end = if shown.head { &model.head } else { &model.rear };
        let corner = DVec2::new(end.corner_x_m, shown.side.sign() * end.corner_half_width_m);
        // Any frame will do for a difference of bearings: x and y stand in for east and north.
        let bearing = |flat: DVec2| bearing_deg(flat.x, flat.y);
        ShadowLine {
            corner_deg: bearing(corner - eye.truncate()),
            centre_deg: bearing(-eye.truncate()),
            shadow_deg: ShadowLine::shadow_deg(toward),
        }
    }

    /// Where shadows point, whoever casts them.
    pub fn shadow_deg(toward: DVec3) -> f64 {
        bearing_deg(-toward.x, -toward.y)
    }

    /// The same eye under another sun.
    pub fn under(self, shadow_deg: f64) -> ShadowLine {
        ShadowLine { shadow_deg, ..self }
    }

    /// How far off it is: see [`shadow_line_deg`].
    pub fn off_deg(&self) -> f64 {
        let stretch = wrap_180(self.corner_deg - self.centre_deg);
        let from_centre = wrap_180(self.shadow_deg - self.centre_deg) * stretch.signum();
        let stretch = stretch.abs();
        if from_centre > stretch {
            from_centre - stretch
        } else if from_centre < 0.0 {
            from_centre
        } else {
            0.0
        }
    }
}

/// Angle from the stretch between near front corner and machine centre to where the photographer's shadow
/// points; + past the corner, − past the centre toward the rear.
pub fn shadow_line_deg(model: &Model, eye: DVec3, toward: DVec3) -> f64 {
    ShadowLine::of(model, eye, toward).off_deg()
}

/// Height of the handrail's shadow line over the doors' lower edge; `Err` says why it has no meaning.
pub fn handrail_shadow_m(model: &Model, shown: Shown, toward: DVec3) -> Result<f64, &'static str> {
    let (Some(rail), Some(doors)) = (model.handrail, model.doors) else {
        return Err("the model states no side handrail before hood doors");
    };
    let drop = handrail_drop_m(rail.offset_m - doors.offset_m, toward, shown.side.sign());
    let drop = drop.ok_or("the sun stands in the side's plane or behind it")?;
    Ok(rail.height_m - drop - doors.bottom_m)
}

/// Measures that only sun, eye and model decide.
pub fn sun_geometry(model: &Model, eye: DVec3, toward: DVec3, out: &mut Vec<Measured>) {
    let shown = Shown::to(eye);
    out.push(Measured::absolute(
        MeasureId::ShadowLine,
        shadow_line_deg(model, eye, toward),
    ));
    let (rail, profile) = (MeasureId::HandrailShadow, MeasureId::ProfileAngle);
    if model.handrail.is_some() && model.doors.is_some() {
        out.push(match handrail_shadow_m(model, shown, toward) {
            Ok(value) => Measured::value(rail, value),
            Err(why) => Measured::not_applicable(rail, why),
        });
        out.push(Measured::not_applicable(
            profile,
            "the handrail's shadow speaks",
        ));
    } else {
        out.push(Measured::not_applicable(
            rail,
            "the model states no side handrail before hood doors",
        ));
        out.push(match profile_angle_deg(toward, shown.side.sign()) {
            Some(angle) => Measured::value(profile, angle),
            None => Measured::not_applicable(profile, "the sun stands behind the side"),
        });
    }
}

/// Foreign shadows on the body, as measures.
pub fn foreign(shadows: &[BodyShadow], out: &mut Vec<Measured>) {
    let largest = shadows.first();
    let mut area = Measured::value(
        MeasureId::ForeignBody,
        largest.map_or(0.0, |shadow| shadow.area_m2),
    );
    if let Some(shadow) = largest {
        area = area.with_detail(format!("the {}", shadow.name));
    }
    out.push(area);
    let core = shadows.iter().find(|shadow| shadow.core);
    let mut flag = Measured::flag(MeasureId::ForeignCore, core.is_some());
    if let Some(shadow) = core {
        flag = flag.with_detail(format!("the {}", shadow.name));
    }
    out.push(flag);
}

/// The photographer's shadow on level ground: its feet, and where the shadow of the head falls.
pub fn photographer_shadow(camera: &Camera, ground_z: f64, toward: DVec3) -> Option<[DVec3; 2]> {
    if toward.z <= 0.0 {
        return None;
    }
    let feet = camera.pose.eye.truncate().extend(ground_z);
    let length = PHOTOGRAPHER_M / toward.z;
    let reach = DVec3::new(-toward.x, -toward.y, 0.0) * length;
    Some([feet, feet + reach])
}

/// Whether the photographer's shadow falls inside the frame: the line from the feet to the shadow of the
/// head, on level ground.
pub fn own_shadow(camera: &Camera, ground_z: f64, toward: DVec3) -> bool {
    let Some([feet, head]) = photographer_shadow(camera, ground_z, toward) else {
        return false;
    };
    (1..=16).any(|i| {
        let point = feet.lerp(head, i as f64 / 16.0);
        camera
            .project(point)
            .is_some_and(|image| camera.in_frame(&image))
    })
}
