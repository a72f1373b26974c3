//! Shadows of other things on the body: drawn nowhere, but computed point by point from the occluder's
//! own geometry on flat elevations of the nose and the side. May not enter: limits.

use super::cover::{Cover, SunAxes, box_can_touch};
use super::frame::Sighting;
use super::lit::SunBuffer;
use super::rasterizer::{Around, Rasterizer};
use super::shown::{Class, Shown};
use super::stage::Stage;
use super::view::View;
use crate::mesh::part::Role;
use crate::mesh::solid::{Convex, Solid};
use glam::{DVec2, DVec3};

/// Darkness below this share of the disc does not count (rulebook, *foreign shadow*).
const DARK_FROM: f64 = 0.3;
/// A core is at least this dark, and this wide (rulebook, *foreign shadow*).
const CORE_DARK: f64 = 0.6;
const CORE_WIDTH_M: f64 = 0.03;
/// A core crosses at least this share of a part's height (rulebook).
const CORE_CROSSING: f64 = 0.5;

/// One pixel of the machine on an elevation.
struct Spot {
    pixel: u32,
    patch: u32,
    point: DVec3,
    /// Area of surface that the pixel stands for; 0 for what is not body.
    area_m2: f64,
    /// 0 nose, 1 cab, 2 hood, [`BETWEEN`] for what is not body.
    region: u8,
}

/// Grilles, glass, rails: no shadow there counts, but a stripe that runs on across them is one stripe.
const BETWEEN: u8 = 3;

/// A pixel of a core: nothing, or dark enough, with what it lies on.
#[derive(Clone, Copy, PartialEq)]
enum Core {
    Not,
    /// Dark, but not body, or in the machine's own shadow.
    Connects,
    /// Dark on a region of the body that would be lit.
    Takes(u8),
}

/// The nose or the side of the body, drawn flat.
struct Elevation {
    pixel_m: f64,
    width: usize,
    height: usize,
    spots: Vec<Spot>,
    /// Machine pixels, body or not.
    machine: Vec<bool>,
    region_height_m: [f64; 3],
}

/// The faces of the body that one [`Shown`] is about.
pub struct BodyFaces {
    faces: Vec<Elevation>,
}

/// One object's shadow on the body.
#[derive(Clone, Debug, PartialEq)]
pub struct BodyShadow {
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
        let faces = directions.into_iter().map(|(forward, class)| {
            let view = View::elevation(forward, &stage.hull, pixel_m);
            let mut sighting = Sighting::default();
            rasterizer.sight(stage, &view, Around::Nothing, &mut sighting);
            elevation(stage, &view, &sighting, shown, class, pixel_m)
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
        let mut found = Vec::new();
        for (k, object) in stage.objects.iter().enumerate() {
            let touches = |bounds| box_can_touch(&axes, bounds, [low, high], nearest);
            if !object.is_caster() || !stage.may(k, touches) {
                continue;
            }
            let cover = Cover::new(axes, &object.pieces, object.opacity);
            if cover.can_touch(low, high, nearest) {
                found.extend(self.shadow_of(&object.name, &cover, stage, sun));
            }
        }
        for wire in &stage.wires {
            let pieces = wire_pieces(&wire.points, wire.diameter_m);
            let cover = Cover::new(axes, &pieces, 1.0);
            if cover.can_touch(low, high, nearest) {
                found.extend(self.shadow_of(&wire.name, &cover, stage, sun));
            }
        }
        found.sort_by(|a, b| b.area_m2.total_cmp(&a.area_m2).then(a.name.cmp(&b.name)));
        found
    }

    fn shadow_of(
        &self,
        name: &str,
        cover: &Cover,
        stage: &Stage,
        sun: &SunBuffer,
    ) -> Option<BodyShadow> {
        let mut shadow = BodyShadow {
            name: name.to_owned(),
            area_m2: 0.0,
            core: false,
        };
        for face in &self.faces {
            let mut weight = vec![0.0f32; face.machine.len()];
            let mut core = vec![Core::Not; face.machine.len()];
            let mut any = false;
            for spot in &face.spots {
                let normal = stage.patches.normal[spot.patch as usize];
                if normal.dot(sun.toward) <= 0.0 {
                    continue;
                }
                let dark = cover.dark(spot.point);
                if dark <= DARK_FROM {
                    continue;
                }
                let pixel = spot.pixel as usize;
                if dark >= CORE_DARK {
                    core[pixel] = Core::Connects;
                }
                let id = super::frame::Id::patch(spot.patch as usize);
                if spot.region == BETWEEN || !sun.lit(&sun.sighting.alone, id, spot.point, normal) {
                    continue; // its own shadow: nothing left to take
                }
                any = true;
                let share = (dark - DARK_FROM) / (1.0 - DARK_FROM);
                weight[pixel] = (share * spot.area_m2) as f32;
                if dark >= CORE_DARK {
                    core[pixel] = Core::Takes(spot.region);
                }
            }
            if any {
                shadow.area_m2 = shadow.area_m2.max(face.largest_region(&weight));
                shadow.core |= face.core_crosses(&core);
            }
        }
        (shadow.area_m2 > 0.0).then_some(shadow)
    }
}

fn elevation(
    stage: &Stage,
    view: &View,
    sighting: &Sighting,
    shown: Shown,
    class: Class,
    pixel_m: f64,
) -> Elevation {
    let frame = &sighting.alone;
    let classes = shown.classes(&stage.patches);
    let mut spots = Vec::new();
    let mut machine = vec![false; frame.ids.len()];
    let mut span = [(f64::INFINITY, f64::NEG_INFINITY); 3];
    for (pixel, id) in frame.ids.iter().enumerate() {
        let Some(patch) = id.as_patch() else { continue };
        machine[pixel] = true;
        let point = view.point(pixel % frame.width, pixel / frame.width, frame.near[pixel]);
        let region = match stage.patches.role[patch] {
            _ if classes[patch] != class => BETWEEN,
            Role::Nose => 0,
            Role::Cab => 1,
            _ => 2,
        };
        if let Some((least, most)) = span.get_mut(region as usize) {
            (*least, *most) = (least.min(point.z), most.max(point.z));
        }
        let facing = -stage.patches.normal[patch].dot(view.forward);
        spots.push(Spot {
            pixel: pixel as u32,
            patch: patch as u32,
            point,
            area_m2: match region {
                BETWEEN => 0.0,
                _ => pixel_m * pixel_m / facing.max(0.3),
            },
            region,
        });
    }
    Elevation {
        pixel_m,
        width: frame.width,
        height: frame.height,
        spots,
        machine,
        region_height_m: span.map(|(least, most)| most - least),
    }
}

impl Elevation {
    /// The greatest sum of `weight` over one region connected through machine pixels that are dark or lie
    /// between dark ones.
    fn largest_region(&self, weight: &[f32]) -> f64 {
        let mut largest = 0.0f64;
        self.regions(
            |i| weight[i] > 0.0,
            |pixels| {
                largest = largest.max(pixels.iter().map(|i| weight[*i] as f64).sum());
            },
        );
        largest
    }

    /// Whether a core wide enough crosses half a region's height. It may run on across grilles, glass, rails
    /// and the machine's own shadows, but only what it takes from the body counts.
    fn core_crosses(&self, core: &[Core]) -> bool {
        let wide = (CORE_WIDTH_M / self.pixel_m).ceil() as usize;
        // A square of the core's least width fits wherever its corner may stand.
        let fits = |i: usize| {
            let (x, y) = (i % self.width, i / self.width);
            x + wide <= self.width
                && y + wide <= self.height
                && (0..wide)
                    .all(|dy| (0..wide).all(|dx| core[i + dy * self.width + dx] != Core::Not))
        };
        let mut crosses = false;
        self.regions(fits, |pixels| {
            let mut rows = [(usize::MAX, 0usize); 3];
            for pixel in pixels {
                if let Core::Takes(region) = core[*pixel] {
                    let (least, most) = &mut rows[region as usize];
                    let row = pixel / self.width;
                    (*least, *most) = ((*least).min(row), (*most).max(row));
                }
            }
            for ((least, most), height_m) in rows.into_iter().zip(self.region_height_m) {
                let needed = CORE_CROSSING * height_m;
                crosses |= least <= most && (most - least + wide) as f64 * self.pixel_m >= needed;
            }
        });
        crosses
    }

    /// Calls `each` with every region of pixels for which `is_in` holds. Gaps of two machine pixels (a grab
    /// iron, a seam) do not part a region.
    fn regions(&self, is_in: impl Fn(usize) -> bool, mut each: impl FnMut(&[usize])) {
        const REACH: usize = 3;
        let mut seen = vec![false; self.machine.len()];
        let mut pixels = Vec::new();
        for start in 0..self.machine.len() {
            if seen[start] || !self.machine[start] || !is_in(start) {
                continue;
            }
            pixels.clear();
            pixels.push(start);
            seen[start] = true;
            let mut next = 0;
            while next < pixels.len() {
                let (x, y) = (pixels[next] % self.width, pixels[next] / self.width);
                next += 1;
                for ny in y.saturating_sub(REACH)..(y + REACH + 1).min(self.height) {
                    for nx in x.saturating_sub(REACH)..(x + REACH + 1).min(self.width) {
                        let i = ny * self.width + nx;
                        if !seen[i] && is_in(i) {
                            seen[i] = true;
                            pixels.push(i);
                        }
                    }
                }
            }
            each(&pixels);
        }
    }
}

/// A wire as short round bars.
fn wire_pieces(points: &[DVec3], diameter_m: f64) -> Vec<Convex> {
    let bar = |ends: &[DVec3]| {
        let radius = diameter_m / 2.0;
        Solid::Bar {
            a: ends[0],
            b: ends[1],
            radius_a_m: radius,
            radius_b_m: radius,
        }
        .convex()
    };
    points.windows(2).map(bar).collect()
}
