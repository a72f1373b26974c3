//! The machine's outline over a photograph, and the photograph's tones within it. May not enter: grades.

use super::pose::{Fit, Plate};
use crate::grade::measure::eye::Eye;
use crate::mesh::model::Model;
use glam::{DVec2, DVec3};
use image::{Rgb, RgbImage};

/// Levels at or above this in all channels are clipped to white, those at or below that blocked to black, of 255. Common
/// practice: the last few levels of either end hold no detail. One channel alone is clipped by sound paint too: sunlit
/// yellow or red.
const CLIPPED: u8 = 252;
const BLOCKED: u8 = 6;

/// Any length along a direction, metres.
const FAR_M: f64 = 100.0;

/// Pixels across on which tones are counted.
const COUNTED_PX: u32 = 800;

/// The pixels that the machine covers, were nothing before it.
#[derive(Clone, Debug)]
pub struct Outline {
    width: usize,
    height: usize,
    covered: Vec<bool>,
}

/// Tones on the machine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tones {
    /// Share of it that is clipped to white.
    pub clipped: f64,
    /// Share of it that is blocked to black.
    pub blocked: f64,
    /// Mean level, 0 to 1, as the file encodes it.
    pub mean: f64,
}

impl Outline {
    /// The outline at so many pixels across.
    pub fn of(model: &Model, fit: &Fit, plate: &Plate, width: u32) -> Outline {
        let scale = f64::from(width) / plate.width_px;
        let height = (plate.height_px * scale).round().max(1.0) as usize;
        let mut outline = Outline {
            width: width as usize,
            height,
            covered: vec![false; width as usize * height],
        };
        let places: Vec<Option<DVec2>> = (model.vertices.iter())
            .map(|at| fit.image_px(plate, *at).map(|place| place * scale))
            .collect();
        for triangle in &model.triangles {
            if let [Some(a), Some(b), Some(c)] =
                triangle.corners.map(|corner| places[corner as usize])
            {
                outline.fill(a, b, c);
            }
        }
        outline
    }

    /// Covers the pixels whose middles lie within a triangle, whichever way it turns.
    fn fill(&mut self, a: DVec2, b: DVec2, c: DVec2) {
        let low = a.min(b).min(c).max(DVec2::ZERO);
        let most = DVec2::new(self.width as f64 - 1.0, self.height as f64 - 1.0);
        let high = a.max(b).max(c).min(most);
        let area = (b - a).perp_dot(c - a);
        if !(low.cmple(high).all() && area != 0.0) {
            return;
        }
        for y in low.y as usize..=high.y as usize {
            for x in low.x as usize..=high.x as usize {
                let at = DVec2::new(x as f64 + 0.5, y as f64 + 0.5);
                let within = [(a, b), (b, c), (c, a)]
                    .iter()
                    .all(|(from, to)| (*to - *from).perp_dot(at - *from) * area.signum() >= 0.0);
                if within {
                    self.covered[y * self.width + x] = true;
                }
            }
        }
    }

    fn at(&self, x: isize, y: isize) -> bool {
        let within = x >= 0 && y >= 0 && x < self.width as isize && y < self.height as isize;
        within && self.covered[y as usize * self.width + x as usize]
    }

    /// Share of the picture that it covers.
    pub fn share(&self) -> f64 {
        let count = self.covered.iter().filter(|covered| **covered).count();
        count as f64 / self.covered.len() as f64
    }

    /// Pixels across and down.
    pub fn size(&self) -> [usize; 2] {
        [self.width, self.height]
    }

    /// Pixels of its edge, right and down.
    pub fn edge(&self) -> impl Iterator<Item = [usize; 2]> + '_ {
        let all = (0..self.height).flat_map(|y| (0..self.width).map(move |x| [x, y]));
        all.filter(|[x, y]| {
            let (x, y) = (*x as isize, *y as isize);
            let around = [(-1, 0), (1, 0), (0, -1), (0, 1)];
            self.at(x, y) && around.iter().any(|(dx, dy)| !self.at(x + dx, y + dy))
        })
    }

    /// The outline's edge drawn over a picture of its size.
    pub fn draw_over(&self, picture: &mut RgbImage) {
        for [x, y] in self.edge() {
            picture.put_pixel(x as u32, y as u32, Rgb([255, 40, 160]));
        }
    }
}

/// The tones of a photograph on the machine, where nothing that the scene has stands before it; none where nothing of it
/// is in the picture. `eye` is what its camera sees of the scene.
pub fn tones(
    model: &Model,
    fit: &Fit,
    plate: &Plate,
    picture: &RgbImage,
    eye: Option<&Eye>,
) -> Option<Tones> {
    let outline = Outline::of(model, fit, plate, COUNTED_PX.min(picture.width()));
    let px = plate.width_px / outline.width as f64;
    let seen = |x: usize, y: usize| {
        let at_px = DVec2::new(x as f64 + 0.5, y as f64 + 0.5) * px;
        let is_hidden = || eye.is_some_and(|eye| hides(eye, fit.ray(plate, at_px)));
        outline.covered[y * outline.width + x] && !is_hidden()
    };
    counted(picture, [outline.width, outline.height], seen)
}

/// Whether something else stands before the machine in a direction.
fn hides(eye: &Eye, direction: DVec3) -> bool {
    let view = &eye.view;
    let Some(on_plane) = view.on_plane(view.eye + FAR_M * direction) else {
        return false;
    };
    let at = view.pixel(on_plane);
    let size = DVec2::new(view.width as f64, view.height as f64);
    let is_within = (at.cmpge(DVec2::ZERO) & at.cmplt(size)).all();
    let pixel = at.y as usize * view.width + at.x as usize;
    is_within && (eye.sighting.all.ids.get(pixel)).is_some_and(|id| id.as_object().is_some())
}

/// The tones of a whole photograph.
pub fn all_tones(picture: &RgbImage) -> Option<Tones> {
    let (width, height) = picture.dimensions();
    let across = COUNTED_PX.min(width);
    let down = (f64::from(height) * f64::from(across) / f64::from(width)).round();
    counted(
        picture,
        [across as usize, down.max(1.0) as usize],
        |_, _| true,
    )
}

/// Tones at the middles of a grid's cells, those that count.
fn counted(
    picture: &RgbImage,
    [width, height]: [usize; 2],
    counts: impl Fn(usize, usize) -> bool,
) -> Option<Tones> {
    let (mut count, mut clipped, mut blocked, mut sum) = (0.0, 0.0, 0.0, 0.0);
    for y in 0..height {
        for x in (0..width).filter(|x| counts(*x, y)) {
            let across = (x as f64 + 0.5) / width as f64 * f64::from(picture.width());
            let down = (y as f64 + 0.5) / height as f64 * f64::from(picture.height());
            let Rgb(levels) = *picture.get_pixel(
                (across as u32).min(picture.width() - 1),
                (down as u32).min(picture.height() - 1),
            );
            count += 1.0;
            clipped += f64::from(u8::from(levels.iter().all(|level| *level >= CLIPPED)));
            blocked += f64::from(u8::from(levels.iter().all(|level| *level <= BLOCKED)));
            sum += levels.iter().map(|level| f64::from(*level)).sum::<f64>() / (3.0 * 255.0);
        }
    }
    (count > 0.0).then(|| Tones {
        clipped: clipped / count,
        blocked: blocked / count,
        mean: sum / count,
    })
}
