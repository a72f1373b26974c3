//! Wires, drawn as lines over the finished picture: they are far thinner than a pixel. May not enter:
//! what they do to a grade.

use super::plain::Linear;
use crate::sighting::frame::Frame;
use crate::sighting::stage::Stage;
use crate::sighting::view::View;
use glam::{DVec2, DVec3};

/// Draws the wires of a stage where nothing stands before them. `fine` is the frame that the picture was
/// made from, `times` as wide.
pub fn draw(
    picture: &mut Linear,
    stage: &Stage,
    view: &View,
    fine: &Frame,
    times: usize,
    color: DVec3,
) {
    let small = View {
        width: picture.width,
        height: picture.height,
        ..view.clone()
    };
    for wire in &stage.wires {
        for pair in wire.points.windows(2) {
            let ends =
                [pair[0], pair[1]].map(|p| Some((small.pixel(small.on_plane(p)?), small.near(p))));
            if let [Some(a), Some(b)] = ends {
                segment(picture, &small, fine, times, a, b, wire.diameter_m, color);
            }
        }
    }
}

fn segment(
    picture: &mut Linear,
    view: &View,
    fine: &Frame,
    times: usize,
    (a, near_a): (DVec2, f64),
    (b, near_b): (DVec2, f64),
    diameter_m: f64,
    color: DVec3,
) {
    let span = b - a;
    let length_squared = span.length_squared();
    if !length_squared.is_finite() || length_squared < 1e-12 {
        return;
    }
    let widest = diameter_m * near_a.max(near_b) * view.pixels_per_unit();
    let reach = DVec2::splat(1.0 + widest);
    let (low, high) = (a.min(b) - reach, a.max(b) + reach);
    let columns = clamp(low.x, high.x, picture.width);
    for row in clamp(low.y, high.y, picture.height) {
        for column in columns.clone() {
            let pixel = DVec2::new(column as f64 + 0.5, row as f64 + 0.5);
            let t = (pixel - a).dot(span) / length_squared;
            if !(0.0..1.0).contains(&t) {
                continue;
            }
            let off = (pixel - a).perp_dot(span).abs() / length_squared.sqrt();
            let near = near_a + (near_b - near_a) * t;
            let width = diameter_m * near * view.pixels_per_unit();
            // Share of a pixel-wide slit across the line that the wire fills.
            let low = (off - 0.5).max(-width / 2.0);
            let high = (off + 0.5).min(width / 2.0);
            let cover = (high - low).clamp(0.0, 1.0);
            let at = (row * times + times / 2) * fine.width + column * times + times / 2;
            if cover > 0.0 && (fine.near[at] as f64) < near {
                let value = &mut picture.light[row * picture.width + column];
                *value = value.lerp(color, cover);
            }
        }
    }
}

fn clamp(low: f64, high: f64, size: usize) -> std::ops::Range<usize> {
    let bound = |v: f64| v.clamp(0.0, size as f64) as usize;
    bound(low.floor())..bound(high.ceil())
}
