//! Where a photograph lies on its mount: whole, or nearer about a point. May not enter: what is marked.

use egui::{Pos2, Rect, pos2};
use glam::DVec2;

/// Points of the screen to a pixel of the photograph, at most.
const MOST: f64 = 32.0;

/// How it is looked at.
#[derive(Clone, Copy, Debug)]
pub struct Sight {
    /// So many times as large as the whole photograph on its mount.
    zoom: f64,
    /// The pixel in the middle.
    middle_px: DVec2,
}

/// The same in a place on the page.
#[derive(Clone, Copy, Debug)]
pub struct Laid {
    /// The mount's opening.
    pub room: Rect,
    /// Points of the screen to a pixel of the photograph.
    pub scale: f64,
    middle_px: DVec2,
    size_px: DVec2,
}

impl Default for Sight {
    fn default() -> Sight {
        Sight {
            zoom: 1.0,
            middle_px: DVec2::ZERO,
        }
    }
}

impl Sight {
    /// Lays a photograph of this size into an opening of its shape.
    pub fn laid(&mut self, room: Rect, size_px: DVec2) -> Laid {
        let whole = f64::from(room.width()) / size_px.x;
        self.zoom = self.zoom.clamp(1.0, (MOST / whole).max(1.0));
        // Nothing beside the photograph is shown.
        let half = size_px / (2.0 * self.zoom);
        self.middle_px = match self.zoom > 1.0 {
            true => self.middle_px.clamp(half, size_px - half),
            false => size_px / 2.0,
        };
        Laid {
            room,
            scale: whole * self.zoom,
            middle_px: self.middle_px,
            size_px,
        }
    }

    /// Nearer or farther about a pixel, which stays where it is.
    pub fn zoom(&mut self, about_px: DVec2, factor: f64) {
        let before = self.zoom;
        self.zoom = (self.zoom * factor).max(1.0);
        self.middle_px = about_px + (self.middle_px - about_px) * (before / self.zoom);
    }

    /// Moved by so many pixels.
    pub fn pan(&mut self, by_px: DVec2) {
        self.middle_px += by_px;
    }

    /// The whole photograph again.
    pub fn whole(&mut self) {
        self.zoom = 1.0;
    }

    /// Brings a pixel into sight, if it is out of it.
    pub fn show(&mut self, laid: &Laid, at_px: DVec2) {
        if !laid.room.shrink(24.0).contains(laid.at(at_px)) {
            self.middle_px = at_px;
        }
    }
}

impl Laid {
    /// Where a pixel lies on the page.
    pub fn at(&self, place_px: DVec2) -> Pos2 {
        let off = (place_px - self.middle_px) * self.scale;
        self.room.center() + egui::vec2(off.x as f32, off.y as f32)
    }

    /// Which pixel lies at a point of the page.
    pub fn place_px(&self, at: Pos2) -> DVec2 {
        let off = at - self.room.center();
        self.middle_px + DVec2::new(off.x.into(), off.y.into()) / self.scale
    }

    /// Where the whole photograph lies, its opening's edges not minded.
    pub fn whole(&self) -> Rect {
        Rect::from_min_max(self.at(DVec2::ZERO), self.at(self.size_px))
    }

    /// The part of a texture of the photograph that is seen, as shares of its sides.
    pub fn seen(&self) -> Rect {
        let [low, high] = [self.room.min, self.room.max].map(|at| self.place_px(at) / self.size_px);
        let corner = |share: DVec2| pos2(share.x as f32, share.y as f32);
        Rect::from_min_max(corner(low), corner(high))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::vec2;

    #[test]
    fn a_pixel_under_the_pointer_stays_there_and_the_edges_stay_outside() {
        let room = Rect::from_min_size(pos2(100.0, 50.0), vec2(600.0, 400.0));
        let size = DVec2::new(3000.0, 2000.0);
        let mut sight = Sight::default();
        let laid = sight.laid(room, size);
        assert_eq!(laid.at(DVec2::ZERO), room.min);
        assert_eq!(laid.at(size), room.max);
        let at = pos2(220.0, 110.0);
        let under = laid.place_px(at);
        sight.zoom(under, 6.0);
        let laid = sight.laid(room, size);
        assert!((laid.scale - 1.2).abs() < 1e-9);
        assert!(laid.at(under).distance(at) < 0.01);
        sight.pan(DVec2::splat(-9000.0));
        let laid = sight.laid(room, size);
        assert!(laid.at(DVec2::ZERO).distance(room.min) < 0.01);
        assert!((laid.seen().width() - 1.0 / 6.0).abs() < 1e-5);
        sight.zoom(DVec2::ZERO, 1e9);
        assert!(sight.laid(room, size).scale <= MOST + 1e-9);
        sight.whole();
        assert!(sight.laid(room, size).at(size).distance(room.max) < 0.01);
    }
}
