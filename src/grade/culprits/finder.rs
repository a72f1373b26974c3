//! Points, lines and areas of space as they lie in a camera's frame, cut at its edges. May not enter: what they mean.

use crate::camera::pose::Basis;
use crate::camera::projection::Camera;
use crate::sighting::view::NEAREST_M;
use glam::{DVec2, DVec3};

/// A camera's frame.
pub(super) struct Finder<'a> {
    camera: &'a Camera,
    /// The camera's directions.
    pub basis: Basis,
}

/// The ends of a line in the frame.
pub(super) type Ends = [[f64; 2]; 2];

impl<'a> Finder<'a> {
    pub fn new(camera: &'a Camera) -> Finder<'a> {
        Finder {
            camera,
            basis: camera.pose.basis(),
        }
    }

    fn depth(&self, point: DVec3) -> f64 {
        (point - self.camera.pose.eye).dot(self.basis.forward)
    }

    /// Where a point before the camera lies, in the frame or beside it.
    pub fn place(&self, point: DVec3) -> Option<DVec2> {
        if self.depth(point) < 0.99 * NEAREST_M {
            return None;
        }
        let image = self.camera.project(point)?;
        Some(DVec2::from(self.camera.u_v(&image)))
    }

    /// The same, where it lies in the frame.
    pub fn inside(&self, point: DVec3) -> Option<[f64; 2]> {
        let place = self.place(point)?;
        let inside = place.cmpge(DVec2::ZERO).all() && place.cmple(DVec2::ONE).all();
        inside.then(|| place.to_array())
    }

    /// The part of a straight line of space that lies in the frame.
    pub fn line(&self, a: DVec3, b: DVec3) -> Option<Ends> {
        let [a, b] = self.before(a, b)?;
        cut(self.place(a)?, self.place(b)?)
    }

    /// What of a line lies before the camera.
    fn before(&self, a: DVec3, b: DVec3) -> Option<[DVec3; 2]> {
        let (da, db) = (self.depth(a) - NEAREST_M, self.depth(b) - NEAREST_M);
        let crossing = || a.lerp(b, da / (da - db));
        match (da >= 0.0, db >= 0.0) {
            (true, true) => Some([a, b]),
            (true, false) => Some([a, crossing()]),
            (false, true) => Some([crossing(), b]),
            (false, false) => None,
        }
    }

    /// The part of a flat convex area of space that lies in the frame; empty where none does.
    pub fn area(&self, corners: &[DVec3]) -> Vec<[f64; 2]> {
        let mut kept: Vec<DVec2> = Vec::new();
        for (i, a) in corners.iter().enumerate() {
            let b = corners[(i + 1) % corners.len()];
            if let Some(ends) = self.before(*a, b) {
                kept.extend(ends.into_iter().filter_map(|end| self.place(end)));
            }
        }
        kept.dedup_by(|a, b| a.distance(*b) < 1e-12);
        for (axis, bound, keeps_above) in [
            (0, 0.0, true),
            (0, 1.0, false),
            (1, 0.0, true),
            (1, 1.0, false),
        ] {
            let room = |p: DVec2| {
                if keeps_above {
                    p[axis] - bound
                } else {
                    bound - p[axis]
                }
            };
            let mut next = Vec::with_capacity(kept.len() + 2);
            for (i, a) in kept.iter().enumerate() {
                let b = kept[(i + 1) % kept.len()];
                if room(*a) >= 0.0 {
                    next.push(*a);
                }
                if (room(*a) >= 0.0) != (room(b) >= 0.0) {
                    next.push(a.lerp(b, room(*a) / (room(*a) - room(b))));
                }
            }
            kept = next;
        }
        kept.into_iter()
            .map(|p| p.clamp(DVec2::ZERO, DVec2::ONE).to_array())
            .collect()
    }

    /// The line through a place of the frame along an upright of the world that stands at the optical axis: where a
    /// plumb line would hang if the camera were not pitched.
    pub fn plumb(&self, through: [f64; 2]) -> Option<Ends> {
        let along = DVec2::new(self.basis.right.z, self.basis.up.z);
        self.across(through, along)
    }

    /// The line through a place of the frame that is level in the world.
    pub fn level(&self, through: [f64; 2]) -> Option<Ends> {
        let along = DVec2::new(self.basis.up.z, -self.basis.right.z);
        self.across(through, along)
    }

    /// The line through a place along a direction on the film (right, up), from edge to edge.
    pub fn across(&self, through: [f64; 2], along: DVec2) -> Option<Ends> {
        let film = &self.camera.film;
        let step =
            DVec2::new(along.x / film.width_mm, -along.y / film.height_mm).try_normalize()?;
        let through = DVec2::from(through);
        cut(through - step * 4.0, through + step * 4.0)
    }
}

/// The part of a line within the frame (Liang and Barsky 1984, from memory).
pub(super) fn cut(a: DVec2, b: DVec2) -> Option<Ends> {
    let way = b - a;
    let (mut from, mut to) = (0.0f64, 1.0f64);
    for axis in 0..2 {
        for (speed, room) in [(-way[axis], a[axis]), (way[axis], 1.0 - a[axis])] {
            if speed == 0.0 {
                if room < 0.0 {
                    return None;
                }
            } else if speed < 0.0 {
                from = from.max(room / speed);
            } else {
                to = to.min(room / speed);
            }
        }
    }
    let at = |t: f64| (a + way * t).clamp(DVec2::ZERO, DVec2::ONE).to_array();
    (from <= to && a.is_finite() && b.is_finite()).then(|| [at(from), at(to)])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::camera::{film::Film, lens::Lens, pose::Pose};

    /// A level camera at the origin that looks north: 36 mm on 36 x 24 mm, so that 10 m away the frame spans 10 x
    /// 6.667 m.
    fn camera() -> Camera {
        Camera {
            pose: Pose::level(DVec3::ZERO, 0.0),
            lens: Lens::new(36.0),
            film: Film::FULL,
        }
    }

    #[test]
    fn a_line_is_cut_at_the_frame_and_before_the_camera() {
        let camera = camera();
        let finder = Finder::new(&camera);
        let [a, b] = finder
            .line(DVec3::new(-20.0, 10.0, 0.0), DVec3::new(2.5, 10.0, 0.0))
            .unwrap();
        assert!((a[0] - 0.0).abs() < 1e-12 && (b[0] - 0.75).abs() < 1e-12);
        assert!((a[1] - 0.5).abs() < 1e-12 && (b[1] - 0.5).abs() < 1e-12);
        // One metre below the eye and running away from behind it: it comes in at the lower edge.
        let [near, far] = finder
            .line(DVec3::new(0.0, -5.0, -1.0), DVec3::new(0.0, 30.0, -1.0))
            .unwrap();
        assert!((near[1] - 1.0).abs() < 1e-12);
        assert!((far[1] - (0.5 + 1.5 / 30.0)).abs() < 1e-12);
        assert_eq!(finder.line(DVec3::NEG_Y * 3.0, DVec3::NEG_Y * 9.0), None);
        assert_eq!(finder.line(DVec3::NAN, DVec3::Y), None);
    }

    #[test]
    fn an_area_is_cut_at_the_frame() {
        let camera = camera();
        let finder = Finder::new(&camera);
        let square = [(-1.0, -1.0), (9.0, -1.0), (9.0, 1.0), (-1.0, 1.0)];
        let corners = square.map(|(x, z)| DVec3::new(x, 10.0, z));
        let area = finder.area(&corners);
        // The shoelace formula: 0.6 of the width by 0.3 of the height.
        let doubled: f64 = (0..area.len())
            .map(|i| {
                let (a, b) = (area[i], area[(i + 1) % area.len()]);
                a[0] * b[1] - a[1] * b[0]
            })
            .sum();
        assert!((doubled.abs() / 2.0 - 0.6 * 0.3).abs() < 1e-12);
        let behind = corners.map(|corner| -corner);
        assert!(finder.area(&behind).is_empty());
    }
}
