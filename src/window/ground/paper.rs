//! From site metres to the ground's pane and back: north up or view up. May not enter: what lies on it.

use crate::units::rad;
use egui::{Pos2, Rect, vec2};
use glam::DVec2;

/// How the ground lies on the pane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paper {
    /// The pane.
    pub rect: Rect,
    /// What lies in its middle, east and north.
    pub middle_m: DVec2,
    /// Points to a metre.
    pub per_m: f64,
    /// Bearing that points up, degrees.
    pub up_deg: f64,
}

impl Paper {
    /// Where a place lies.
    pub fn at(&self, place_m: DVec2) -> Pos2 {
        let off = turn(place_m - self.middle_m, self.up_deg) * self.per_m;
        self.rect.center() + vec2(off.x as f32, -off.y as f32)
    }

    /// What lies at a point.
    pub fn place_m(&self, at: Pos2) -> DVec2 {
        let off = at - self.rect.center();
        let off = DVec2::new(f64::from(off.x), f64::from(-off.y)) / self.per_m;
        self.middle_m + turn(off, -self.up_deg)
    }

    /// Points that so many metres take.
    pub fn long(&self, length_m: f64) -> f32 {
        (length_m * self.per_m) as f32
    }
}

/// A place turned so that `up_deg` points up.
fn turn(off: DVec2, up_deg: f64) -> DVec2 {
    let (sin, cos) = rad(up_deg).sin_cos();
    DVec2::new(off.x * cos - off.y * sin, off.x * sin + off.y * cos)
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    fn paper(up_deg: f64) -> Paper {
        Paper {
            rect: Rect::from_min_size(pos2(10.0, 20.0), vec2(200.0, 100.0)),
            middle_m: DVec2::new(3.0, 4.0),
            per_m: 5.0,
            up_deg,
        }
    }

    #[test]
    fn the_bearing_that_is_up_points_up() {
        for up_deg in [0.0, 90.0, 215.0] {
            let paper = paper(up_deg);
            let (east, north) = rad(up_deg).sin_cos();
            let at = paper.at(paper.middle_m + DVec2::new(east, north) * 2.0);
            assert!((at - (paper.rect.center() + vec2(0.0, -10.0))).length() < 1e-3);
        }
    }

    #[test]
    fn points_lead_back_to_their_places() {
        let paper = paper(37.0);
        let place = DVec2::new(-8.25, 17.5);
        assert!((paper.place_m(paper.at(place)) - place).length() < 1e-4);
    }
}
