//! Views: how an eye's rays fill a grid of pixels. May not enter: what there is to see.

use crate::camera::projection::Camera;
use glam::{DVec2, DVec3};

/// Share of the canonical view's width left free on each side of the machine: room for the band in
/// which a backdrop is looked at.
const BORDER: f64 = 0.06;

/// Angle in degrees between the machine's axis and the sun view's pixel rows: odd, so that rails and
/// edges never lie along rows, and small, so that few pixels miss the machine.
const SUN_GRID_TURN_DEG: f64 = 7.3;

/// Nothing nearer than this along the axis is drawn, metres.
pub const NEAREST_M: f64 = 0.1;

/// How rays leave the eye.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rays {
    /// Through one point.
    Perspective,
    /// All parallel.
    Orthographic,
}

/// A grid of pixels before an eye. The window is measured on the plane at unit distance (perspective) or in
/// metres (orthographic).
#[derive(Clone, Debug, PartialEq)]
pub struct View {
    /// How rays leave the eye.
    pub rays: Rays,
    /// The eye, or any point of an orthographic view's central ray.
    pub eye: DVec3,
    /// Unit vector to the picture's right.
    pub right: DVec3,
    /// Unit vector to the picture's top.
    pub up: DVec3,
    /// Unit vector into the picture.
    pub forward: DVec3,
    /// Lower left corner of the window.
    pub low: DVec2,
    /// Upper right corner of the window.
    pub high: DVec2,
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
}

impl View {
    /// A camera's own frame at a width in pixels.
    pub fn of_camera(
        eye: DVec3,
        [right, up, forward]: [DVec3; 3],
        low: DVec2,
        high: DVec2,
        width: usize,
    ) -> View {
        let height = (width as f64 * (high.y - low.y) / (high.x - low.x))
            .round()
            .max(1.0) as usize;
        View {
            rays: Rays::Perspective,
            eye,
            right,
            up,
            forward,
            low,
            high,
            width,
            height,
        }
    }

    /// The frame that a camera takes, at a width in pixels; a shifted lens moves the window.
    pub fn through(camera: &Camera, width: usize) -> View {
        let basis = camera.pose.basis();
        let lens = &camera.lens;
        let shift = DVec2::new(lens.shift_x_mm, lens.shift_y_mm);
        let half = DVec2::new(camera.film.width_mm, camera.film.height_mm) / 2.0;
        View::of_camera(
            camera.pose.eye,
            [basis.right, basis.up, basis.forward],
            (shift - half) / lens.focal_mm,
            (shift + half) / lens.focal_mm,
            width,
        )
    }

    /// The one view that belongs to an eye: level, heading bisecting the extreme bearings of `points`, just
    /// wide enough for them. `None` where they span over `widest_deg` or lie behind the eye.
    pub fn canonical(eye: DVec3, points: &[DVec3], width: usize, widest_deg: f64) -> Option<View> {
        let middle = points.iter().sum::<DVec3>() / points.len() as f64 - eye;
        let ahead = DVec3::new(middle.x, middle.y, 0.0).try_normalize()?;
        let aside = DVec3::new(ahead.y, -ahead.x, 0.0);
        let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
        for point in points {
            let offset = *point - eye;
            let bearing = offset.dot(aside).atan2(offset.dot(ahead));
            (least, most) = (least.min(bearing), most.max(bearing));
        }
        if !(most - least).is_finite() || (most - least).to_degrees() > widest_deg {
            return None;
        }
        let (sin, cos) = ((least + most) / 2.0).sin_cos();
        let forward = ahead * cos + aside * sin;
        let right = aside * cos - ahead * sin;
        let mut view = View {
            rays: Rays::Perspective,
            eye,
            right,
            up: DVec3::Z,
            forward,
            low: DVec2::ZERO,
            high: DVec2::ONE,
            width,
            height: 1,
        };
        view.fit(points, BORDER)?;
        Some(view)
    }

    /// What the sun sees of `points`: parallel rays from the direction `toward` the sun, pixels square, the
    /// grid turned off the machine's axis by a fixed odd angle.
    pub fn of_sun(toward: DVec3, points: &[DVec3], width: usize) -> View {
        let forward = -toward;
        // The machine's axis as the sun sees it; end-on, any direction serves.
        let axis = DVec3::X - toward * toward.x;
        let along = axis.try_normalize().filter(|_| axis.length() > 0.05);
        let along = along.unwrap_or_else(|| toward.any_orthonormal_vector());
        let across = along.cross(forward).normalize();
        let (sin, cos) = SUN_GRID_TURN_DEG.to_radians().sin_cos();
        let mut view = View {
            rays: Rays::Orthographic,
            eye: DVec3::ZERO,
            right: along * cos + across * sin,
            up: across * cos - along * sin,
            forward,
            low: DVec2::ZERO,
            high: DVec2::ONE,
            width,
            height: 1,
        };
        view.fit(points, 0.004)
            .expect("an orthographic view sees every point");
        view
    }

    /// A flat view along `forward` with `up` upright, as a drawing's elevation.
    pub fn elevation(forward: DVec3, points: &[DVec3], metres_per_pixel: f64) -> View {
        let mut view = View {
            rays: Rays::Orthographic,
            eye: DVec3::ZERO,
            right: forward.cross(DVec3::Z),
            up: DVec3::Z,
            forward,
            low: DVec2::ZERO,
            high: DVec2::ONE,
            width: 1,
            height: 1,
        };
        view.bound(points, 0.01)
            .expect("an orthographic view sees every point");
        let size = view.high - view.low;
        view.width = (size.x / metres_per_pixel).ceil() as usize;
        view.height = (size.y / metres_per_pixel).ceil() as usize;
        view.high = view.low + DVec2::new(view.width as f64, view.height as f64) * metres_per_pixel;
        view
    }

    /// Sets the window for `points` with a border; `None` when one is not before the eye.
    fn bound(&mut self, points: &[DVec3], border: f64) -> Option<()> {
        let (mut low, mut high) = (DVec2::INFINITY, DVec2::NEG_INFINITY);
        for point in points {
            let on_plane = self.on_plane(*point)?;
            (low, high) = (low.min(on_plane), high.max(on_plane));
        }
        let margin = DVec2::splat((high.x - low.x) * border / (1.0 - 2.0 * border));
        (self.low, self.high) = (low - margin, high + margin);
        Some(())
    }

    /// Sets window and height for `points` at the view's width, pixels square.
    fn fit(&mut self, points: &[DVec3], border: f64) -> Option<()> {
        self.bound(points, border)?;
        let size = self.high - self.low;
        self.height = (self.width as f64 * size.y / size.x).ceil().max(1.0) as usize;
        // The last row is filled up.
        self.high.y = self.low.y + size.x * self.height as f64 / self.width as f64;
        Some(())
    }

    /// A point on the window's plane; `None` when it is not before the eye.
    pub fn on_plane(&self, point: DVec3) -> Option<DVec2> {
        let offset = point - self.eye;
        let flat = DVec2::new(offset.dot(self.right), offset.dot(self.up));
        match self.rays {
            Rays::Orthographic => Some(flat),
            Rays::Perspective => {
                let depth = offset.dot(self.forward);
                (depth > NEAREST_M).then(|| flat / depth)
            }
        }
    }

    /// Pixels per unit of the window.
    pub fn pixels_per_unit(&self) -> f64 {
        self.width as f64 / (self.high.x - self.low.x)
    }

    /// Pixel coordinates (x right, y down, pixel centres at halves) of a point on the window's plane.
    pub fn pixel(&self, on_plane: DVec2) -> DVec2 {
        let size = self.high - self.low;
        DVec2::new(
            (on_plane.x - self.low.x) / size.x * self.width as f64,
            (self.high.y - on_plane.y) / size.y * self.height as f64,
        )
    }

    /// The point on the window's plane at pixel coordinates.
    pub fn plane_at(&self, pixel: DVec2) -> DVec2 {
        let size = self.high - self.low;
        DVec2::new(
            self.low.x + pixel.x / self.width as f64 * size.x,
            self.high.y - pixel.y / self.height as f64 * size.y,
        )
    }

    /// The point in space that a pixel (by its indices) with this nearness shows.
    pub fn point(&self, column: usize, row: usize, near: f32) -> DVec3 {
        let flat = self.plane_at(DVec2::new(column as f64 + 0.5, row as f64 + 0.5));
        let across = self.right * flat.x + self.up * flat.y;
        match self.rays {
            Rays::Perspective => self.eye + (across + self.forward) / near as f64,
            Rays::Orthographic => self.eye + across - self.forward * near as f64,
        }
    }

    /// How near a point is, in the frame's measure.
    pub fn near(&self, point: DVec3) -> f64 {
        let depth = (point - self.eye).dot(self.forward);
        match self.rays {
            Rays::Perspective => 1.0 / depth,
            Rays::Orthographic => -depth,
        }
    }
}
