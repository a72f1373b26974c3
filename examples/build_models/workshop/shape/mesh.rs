//! A heap of triangles that only grows by closed pieces. May not enter: how pieces are made.

use super::frame::Frame;
use glam::DVec3;

/// Triangles, counter-clockwise seen from outside.
#[derive(Clone, Debug, Default)]
pub struct Mesh {
    /// Positions in metres.
    pub points: Vec<DVec3>,
    /// Indices into `points`.
    pub triangles: Vec<[usize; 3]>,
}

impl Mesh {
    /// One heap of several.
    pub fn of<I: IntoIterator<Item = Mesh>>(pieces: I) -> Mesh {
        let mut all = Mesh::default();
        for piece in pieces {
            all.add(&piece);
        }
        all
    }

    /// Adds a piece.
    pub fn add(&mut self, piece: &Mesh) {
        let base = self.points.len();
        self.points.extend_from_slice(&piece.points);
        self.triangles.extend(
            piece
                .triangles
                .iter()
                .map(|t| t.map(|corner| corner + base)),
        );
    }

    /// The same, shifted.
    pub fn moved(mut self, by: DVec3) -> Mesh {
        for point in &mut self.points {
            *point += by;
        }
        self
    }

    /// The same, built on a frame.
    pub fn on(mut self, frame: &Frame) -> Mesh {
        for point in &mut self.points {
            *point = frame.point(*point);
        }
        self
    }

    /// Left becomes right (y changes sign; windings stay outward).
    pub fn mirrored(mut self) -> Mesh {
        for point in &mut self.points {
            point.y = -point.y;
        }
        for corners in &mut self.triangles {
            corners.swap(1, 2);
        }
        self
    }

    /// Front becomes rear: half a turn about the vertical.
    pub fn turned_round(mut self) -> Mesh {
        for point in &mut self.points {
            point.x = -point.x;
            point.y = -point.y;
        }
        self
    }

    /// This and its mirror image.
    pub fn both_sides(self) -> Mesh {
        let other = self.clone().mirrored();
        Mesh::of([self, other])
    }

    /// Six times the signed volume: positive when windings are outward.
    pub fn signed_volume6(&self) -> f64 {
        self.triangles
            .iter()
            .map(|t| self.points[t[0]].dot(self.points[t[1]].cross(self.points[t[2]])))
            .sum()
    }

    /// The same with windings outward.
    pub fn outward(mut self) -> Mesh {
        if self.signed_volume6() < 0.0 {
            for corners in &mut self.triangles {
                corners.swap(1, 2);
            }
        }
        self
    }
}
