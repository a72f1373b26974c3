//! Shadows of other things on the body: drawn nowhere, but computed point by point from the occluder's
//! own geometry on flat elevations of the nose and the side. May not enter: limits.

mod face; // one flat face, its pixels and their regions

use super::cover::{Bunch, Cover, SunAxes, box_can_touch};
use super::frame::Sighting;
use super::lit::SunBuffer;
use super::rasterizer::{Around, Rasterizer};
use super::shown::{Class, Shown};
use super::stage::Stage;
use super::view::View;
use crate::mesh::solid::Convex;
use face::{Elevation, elevation};
use glam::{DVec2, DVec3};
use std::borrow::Cow;

/// Off the nose, degrees: from where one may look at an end and a side.
const LOOKS_DEG: [f64; 7] = [10.0, 20.0, 32.0, 44.0, 56.0, 68.0, 80.0];
/// Pixels across of such a look: some three centimetres each.
const LOOK_PX: usize = 768;

/// The faces of the body that one [`Shown`] is about.
pub struct BodyFaces {
    faces: Vec<Elevation>,
}

/// What casts a shadow: an index into the stage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Caster {
    /// Into its objects.
    Object(usize),
    /// Into its wires.
    Wire(usize),
}

impl Caster {
    /// What it is made of, and how opaque that is, 0–1.
    pub fn pieces(self, stage: &Stage) -> (Cow<'_, [Convex]>, f64) {
        match self {
            Caster::Object(k) => {
                let object = &stage.objects[k];
                (Cow::Borrowed(&object.pieces), object.opacity)
            }
            Caster::Wire(k) => (Cow::Owned(stage.wires[k].pieces()), 1.0),
        }
    }
}

/// Which of a shadow's pixels a rule counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Counted {
    /// Those of its largest connected region, by how dark they are.
    Largest,
    /// Those of cores that cross half a part's height.
    Core,
}

/// The part of the body that a rule counts as darkened, on an elevation.
pub struct Darkened<'a> {
    face: Option<&'a Elevation>,
    share: Vec<f32>,
}

/// One object's shadow on the body.
#[derive(Clone, Debug, PartialEq)]
pub struct BodyShadow {
    /// What casts it.
    pub caster: Caster,
    /// Name of the object or wire.
    pub name: String,
    /// Weighted area of its largest connected region, m².
    pub area_m2: f64,
    /// Whether its core crosses half the height of nose, cab or hood side.
    pub core: bool,
}

impl BodyFaces {
    /// Draws the elevations of what is shown, with square pixels of this size.
    pub fn draw(
        rasterizer: &dyn Rasterizer,
        stage: &Stage,
        shown: Shown,
        pixel_m: f64,
    ) -> BodyFaces {
        let directions = [
            (-shown.outward(), Class::Side),
            (-shown.ahead(), Class::Nose),
        ];
        let looks = looks(rasterizer, stage, shown);
        let faces = directions.into_iter().map(|(forward, class)| {
            let view = View::elevation(forward, &stage.hull, pixel_m);
            let mut sighting = Sighting::default();
            rasterizer.sight(stage, &view, Around::Nothing, &mut sighting);
            elevation(stage, &view, &sighting, shown, class, pixel_m, &looks)
        });
        BodyFaces {
            faces: faces.collect(),
        }
    }

    /// The shadows of everything around the machine, for the sun of a buffer; largest first.
    pub fn shadows(&self, stage: &Stage, sun: &SunBuffer) -> Vec<BodyShadow> {
        let axes = SunAxes::new(sun.toward);
        let (mut low, mut high) = (DVec2::INFINITY, DVec2::NEG_INFINITY);
        let mut nearest = f64::INFINITY;
        for point in stage.hull.iter() {
            (low, high) = (low.min(axes.flat(*point)), high.max(axes.flat(*point)));
            nearest = nearest.min(point.dot(sun.toward));
        }
        let runs: Vec<Vec<Bunch>> = self.faces.iter().map(|face| face.runs(&axes)).collect();
        let mut found = Vec::new();
        for (k, object) in stage.objects.iter().enumerate() {
            let touches = |bounds| box_can_touch(&axes, bounds, [low, high], nearest);
            if !object.is_caster() || !stage.may(k, touches) {
                continue;
            }
            let cover = Cover::new(axes, &object.pieces, object.opacity);
            if cover.can_touch(low, high, nearest) {
                let caster = Caster::Object(k);
                found.extend(self.shadow_of(caster, &object.name, &cover, &runs, stage, sun));
            }
        }
        for (k, wire) in stage.wires.iter().enumerate() {
            let pieces = wire.pieces();
            let cover = Cover::new(axes, &pieces, 1.0);
            if cover.can_touch(low, high, nearest) {
                let caster = Caster::Wire(k);
                found.extend(self.shadow_of(caster, &wire.name, &cover, &runs, stage, sun));
            }
        }
        found.sort_by(|a, b| b.area_m2.total_cmp(&a.area_m2).then(a.name.cmp(&b.name)));
        found
    }

    fn shadow_of(
        &self,
        caster: Caster,
        name: &str,
        cover: &Cover,
        runs: &[Vec<Bunch>],
        stage: &Stage,
        sun: &SunBuffer,
    ) -> Option<BodyShadow> {
        let mut shadow = BodyShadow {
            caster,
            name: name.to_owned(),
            area_m2: 0.0,
            core: false,
        };
        for (face, runs) in self.faces.iter().zip(runs) {
            if let Some((weight, core)) = face.shade(cover, runs, stage, sun) {
                shadow.area_m2 = shadow.area_m2.max(face.largest_region(&weight).0);
                shadow.core |= !face.crossing(&core).is_empty();
            }
        }
        (shadow.area_m2 > 0.0).then_some(shadow)
    }

    /// Where one caster's shadow is counted.
    pub fn darkened(
        &self,
        stage: &Stage,
        sun: &SunBuffer,
        caster: Caster,
        counted: Counted,
    ) -> Darkened<'_> {
        let axes = SunAxes::new(sun.toward);
        let (pieces, opacity) = caster.pieces(stage);
        let cover = Cover::new(axes, &pieces, opacity);
        let shaded = |face: &Elevation| face.shade(&cover, &face.runs(&axes), stage, sun);
        let mut most = 0.0;
        let mut out = Darkened {
            face: None,
            share: Vec::new(),
        };
        for face in &self.faces {
            let Some((weight, core)) = shaded(face) else {
                continue;
            };
            let (area_m2, pixels) = face.largest_region(&weight);
            let pixels = match counted {
                Counted::Largest => pixels,
                Counted::Core => face.crossing(&core),
            };
            if pixels.is_empty() || area_m2 <= most {
                continue;
            }
            most = area_m2;
            let mut share = vec![0.0; weight.len()];
            match counted {
                Counted::Core => pixels.iter().for_each(|pixel| share[*pixel] = 1.0),
                Counted::Largest => {
                    let mut counts = vec![false; weight.len()];
                    pixels.iter().for_each(|pixel| counts[*pixel] = true);
                    for spot in &face.spots {
                        let pixel = spot.pixel as usize;
                        if counts[pixel] {
                            share[pixel] = weight[pixel] / spot.area_m2 as f32;
                        }
                    }
                }
            }
            out = Darkened {
                face: Some(face),
                share,
            };
        }
        out
    }
}

/// The machine as it is seen from afar, level, from all round the quarter that is shown. A buffer of a sun there tells
/// what can be seen: what the hood hides of the cab's front from every one of them, no frame of that quarter shows.
fn looks(rasterizer: &dyn Rasterizer, stage: &Stage, shown: Shown) -> Vec<SunBuffer> {
    let toward = |off_nose_deg: f64| {
        let (sin, cos) = off_nose_deg.to_radians().sin_cos();
        shown.ahead() * cos + shown.outward() * sin
    };
    let draw = |off_nose_deg: f64| {
        let toward = toward(off_nose_deg);
        SunBuffer::draw(rasterizer, stage, toward, Around::Nothing, LOOK_PX)
    };
    LOOKS_DEG.map(draw).to_vec()
}

impl Darkened<'_> {
    /// How dark a point of the body counts, 0–1; nothing outside the counted part.
    pub fn share(&self, class: Class, point: DVec3) -> f64 {
        let Some(face) = self.face.filter(|face| face.class == class) else {
            return 0.0;
        };
        let Some(flat) = face.view.on_plane(point) else {
            return 0.0;
        };
        let at = face.view.pixel(flat);
        let inside = at.cmpge(DVec2::ZERO).all() && (at.x as usize) < face.width;
        match inside && (at.y as usize) < face.height {
            true => f64::from(self.share[at.y as usize * face.width + at.x as usize]),
            false => 0.0,
        }
    }
}
