//! What the sun sees: a few points of its disc, three views each (the machine closely, what lies about it,
//! the rest of the site). May not enter: colours.

use super::surface::Seen;
use crate::sighting::cover::SUN_RADIUS_TAN;
use crate::sighting::frame::{Frame, Sighting};
use crate::sighting::rasterizer::{Around, Rasterizer};
use crate::sighting::scatter::GOLDEN_ANGLE_RAD;
use crate::sighting::stage::Stage;
use crate::sighting::view::View;
use glam::{DVec2, DVec3};
use std::sync::Mutex;

/// Pixels across of the three views, closest first.
const WIDTHS: [usize; 3] = [3072, 2560, 2048];
/// What a depth may differ by and still be the same surface, beside the slope's share, metres.
const TOLERANCE_M: f64 = 0.005;

/// What one point of the sun's disc sees.
pub struct SunMaps {
    toward: DVec3,
    maps: Vec<(View, Frame)>,
}

/// Directions to `n` points that stand for the sun's disc (a sunflower's spiral: equal shares of area).
pub fn disc(toward: DVec3, n: usize) -> Vec<DVec3> {
    let (u, v) = toward.any_orthonormal_pair();
    (0..n)
        .map(|i| {
            let radius = ((i as f64 + 0.5) / n as f64).sqrt() * SUN_RADIUS_TAN;
            let turn = i as f64 * GOLDEN_ANGLE_RAD;
            let radius = if n == 1 { 0.0 } else { radius };
            (toward + (u * turn.cos() + v * turn.sin()) * radius).normalize()
        })
        .collect()
}

impl SunMaps {
    /// Draws the views. `near` are points about the machine on which shadows fall near the eye, `wide` the
    /// bounds of all that shall be shaded.
    pub fn draw(
        rasterizer: &dyn Rasterizer,
        stage: &Stage,
        toward: DVec3,
        near: &[DVec3],
        wide: &[DVec3],
    ) -> SunMaps {
        let bounds = [stage.hull.as_slice(), near, wide];
        let views: Vec<View> = bounds
            .iter()
            .zip(WIDTHS)
            .filter(|(points, _)| points.len() > 2)
            .map(|(points, width)| square(View::of_sun(toward, points, width), width))
            .collect();
        let slots: Vec<Mutex<Frame>> = views.iter().map(|_| Mutex::default()).collect();
        rasterizer.sight_each(
            stage,
            &views,
            Around::Casters,
            &|i, sighting: &mut Sighting| {
                *slots[i].lock().expect("no drawing thread panics") = sighting.all.clone();
            },
        );
        let frames = slots
            .into_iter()
            .map(|slot| slot.into_inner().expect("no drawing thread panics"));
        SunMaps {
            toward,
            maps: views.into_iter().zip(frames).collect(),
        }
    }

    /// Whether this point of the sun shines on a place.
    pub fn lit(&self, seen: &Seen) -> bool {
        let facing = seen.normal.dot(self.toward);
        if facing <= 0.0 && !seen.is_soft {
            return false;
        }
        for (view, frame) in &self.maps {
            let Some(flat) = view.on_plane(seen.point) else {
                continue;
            };
            let pixel = view.pixel(flat);
            let inside = pixel.x >= 0.0
                && pixel.y >= 0.0
                && pixel.x < view.width as f64
                && pixel.y < view.height as f64;
            if !inside {
                continue;
            }
            let at = pixel.y as usize * view.width + pixel.x as usize;
            let id = frame.ids[at];
            if id == seen.id && (id.as_patch().is_some() || seen.is_soft) {
                return true;
            }
            let facing = facing.max(0.1);
            let slope = (1.0 - facing * facing).max(0.0).sqrt() / facing;
            let tolerance = 1.5 / view.pixels_per_unit() * slope + TOLERANCE_M;
            return (frame.near[at] as f64) < view.near(seen.point) + tolerance;
        }
        true
    }
}

/// Bounds how many rows a view may have: seen end-on the window may be taller than wide.
fn square(mut view: View, most: usize) -> View {
    if view.height > most {
        let shrink = most as f64 / view.height as f64;
        view.width = (view.width as f64 * shrink).ceil() as usize;
        view.height = most;
        let size = view.high - view.low;
        let pixel = size.y / most as f64;
        view.high = view.low + DVec2::new(view.width as f64 * pixel, size.y);
    }
    view
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_disc_has_its_radius_and_its_middle() {
        let toward = DVec3::new(0.3, -0.5, 0.6).normalize();
        let points = disc(toward, 64);
        let mean = (points.iter().sum::<DVec3>() / 64.0).normalize();
        assert!(mean.angle_between(toward) < 2e-4);
        let widest = points
            .iter()
            .map(|p| p.angle_between(toward))
            .fold(0.0, f64::max);
        // The sun's apparent diameter is about 0.53 degrees (from memory; 31.6' to 32.7' over the year).
        assert!((2.0 * widest.to_degrees() - 0.53).abs() < 0.01, "{widest}");
        assert!(disc(toward, 1)[0].distance(toward) < 1e-12);
    }
}
