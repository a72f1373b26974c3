//! Which piece of an object a point of its surface belongs to, and which way the piece faces there. May not
//! enter: colours.

use crate::mesh::solid::Convex;
use crate::sighting::stage::Stage;
use glam::DVec3;

/// A point may lie this far outside a piece's bounds and still be its own, metres: depths are single precision.
const SLACK_M: f64 = 0.01;
/// Loops with at least so many corners stand for round sections.
const ROUND_FROM: usize = 8;

/// A piece, ready to be asked.
struct Piece {
    low: DVec3,
    high: DVec3,
    /// Outward normals with their distance from the origin; the two ends first, where it has ends.
    planes: Vec<(DVec3, f64)>,
    form: Form,
}

/// What a piece's facets stand for.
enum Form {
    /// Flat faces.
    Flat,
    /// A round bar: a point of its axis, the axis, and how the surface leans along it.
    Bar(DVec3, DVec3, f64),
    /// An ellipsoid that fills the bounds.
    Ellipsoid,
}

/// A point's piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// Which of the object's pieces.
    pub piece: usize,
    /// Outward unit normal there.
    pub normal: DVec3,
}

/// The pieces of every object of a stage.
pub struct Pieces {
    of_object: Vec<Vec<Piece>>,
}

impl Pieces {
    /// Prepares every object.
    pub fn of(stage: &Stage) -> Pieces {
        let of_object = stage.objects.iter();
        Pieces {
            of_object: of_object
                .map(|object| object.pieces.iter().map(Piece::of).collect())
                .collect(),
        }
    }

    /// The piece whose surface lies nearest to a point; none where no piece is near.
    pub fn at(&self, object: usize, point: DVec3) -> Option<Found> {
        let mut nearest: Option<(f64, usize, usize)> = None;
        for (number, piece) in self.of_object[object].iter().enumerate() {
            let near = point.cmpge(piece.low).all() && point.cmple(piece.high).all();
            if !near {
                continue;
            }
            let (plane, distance) = piece.outermost(point);
            if nearest.is_none_or(|(least, ..)| distance.abs() < least) {
                nearest = Some((distance.abs(), number, plane));
            }
        }
        nearest.map(|(_, piece, plane)| Found {
            piece,
            normal: self.of_object[object][piece].normal(point, plane),
        })
    }
}

impl Piece {
    fn of(convex: &Convex) -> Piece {
        let (low, high) = (convex.corners.iter())
            .fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(low, high), p| {
                (low.min(*p), high.max(*p))
            });
        let planes = (convex.faces.iter())
            .map(|face| {
                let [a, b, c] = [0, 1, 2].map(|i| convex.corners[face[i] as usize]);
                let normal = (b - a).cross(c - a).normalize_or(DVec3::Z);
                (normal, normal.dot(a))
            })
            .collect();
        Piece {
            low: low - SLACK_M,
            high: high + SLACK_M,
            planes,
            form: Form::of(convex),
        }
    }

    /// The face that a point lies farthest outside of, or least deep within.
    fn outermost(&self, point: DVec3) -> (usize, f64) {
        let depths = self.planes.iter().map(|(n, off)| n.dot(point) - off);
        depths
            .enumerate()
            .fold((0, f64::NEG_INFINITY), |best, next| {
                if next.1 > best.1 { next } else { best }
            })
    }

    fn normal(&self, point: DVec3, plane: usize) -> DVec3 {
        let flat = self.planes[plane].0;
        match &self.form {
            Form::Bar(at, axis, lean) if plane > 1 => {
                let out = point - at;
                let out = (out - *axis * out.dot(*axis)).normalize_or(flat);
                (out + *axis * *lean).normalize_or(flat)
            }
            Form::Ellipsoid => {
                let radii = (self.high - self.low) / 2.0;
                let round = (point - (self.low + self.high) / 2.0) / (radii * radii);
                // The facets lie within the round: its direction alone would darken the rim too much.
                (round.normalize_or(flat) + flat).normalize_or(flat)
            }
            _ => flat,
        }
    }
}

impl Form {
    /// Bars and ellipsoids are told by how many faces they have: nothing else is cut so finely.
    fn of(convex: &Convex) -> Form {
        let half = convex.corners.len() / 2;
        let is_lofted = convex.faces.first().is_some_and(|end| end.len() == half);
        if !is_lofted {
            return if convex.faces.len() > 40 {
                Form::Ellipsoid
            } else {
                Form::Flat
            };
        }
        let ring = |corners: &[DVec3]| {
            let middle = corners.iter().sum::<DVec3>() / corners.len() as f64;
            let radii = || corners.iter().map(|p| p.distance(middle));
            let (least, most) =
                radii().fold((f64::INFINITY, 0.0f64), |(l, m), r| (l.min(r), m.max(r)));
            (middle, most, most - least < 0.01 * most)
        };
        let (a, radius_a, round_a) = ring(&convex.corners[..half]);
        let (b, radius_b, round_b) = ring(&convex.corners[half..]);
        let length = a.distance(b);
        if half < ROUND_FROM || !(round_a && round_b) || length < 1e-9 {
            return Form::Flat;
        }
        Form::Bar(a, (b - a) / length, (radius_a - radius_b) / length)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::solid::Solid;

    fn found(solids: &[Solid], point: DVec3) -> Option<Found> {
        let pieces = Pieces {
            of_object: vec![solids.iter().map(|one| Piece::of(&one.convex())).collect()],
        };
        pieces.at(0, point)
    }

    #[test]
    fn a_point_belongs_to_the_piece_whose_face_it_lies_on() {
        let beam = |z: f64| Solid::Beam {
            a: DVec3::new(-5.0, 0.0, z),
            b: DVec3::new(5.0, 0.0, z),
            width_m: 2.0,
            height_m: 1.0,
        };
        let two = [beam(0.5), beam(1.5)];
        let side = found(&two, DVec3::new(1.0, 1.0, 1.4)).unwrap();
        assert_eq!((side.piece, side.normal), (1, DVec3::Y));
        let top = found(&two, DVec3::new(1.0, 0.3, 2.0)).unwrap();
        assert_eq!((top.piece, top.normal), (1, DVec3::Z));
        assert_eq!(found(&two, DVec3::new(1.0, 0.3, 3.0)), None);
    }

    #[test]
    fn round_things_face_outward_from_their_middle_whatever_their_facets() {
        let bar = Solid::Bar {
            a: DVec3::new(2.0, 0.0, 0.0),
            b: DVec3::new(2.0, 0.0, 9.0),
            radius_a_m: 0.2,
            radius_b_m: 0.2,
        };
        let crown = Solid::Ellipsoid {
            centre: DVec3::new(2.0, 0.0, 5.0),
            radii_m: DVec3::splat(2.0),
        };
        for turn in 0..50 {
            let (sin, cos) = (f64::from(turn) * 0.37).sin_cos();
            let out = DVec3::new(cos, sin, 0.0);
            let on_bar = found(
                std::slice::from_ref(&bar),
                DVec3::new(2.0, 0.0, 3.0) + out * 0.2,
            )
            .unwrap();
            assert!(
                on_bar.normal.distance(out) < 1e-9,
                "{turn}: {}",
                on_bar.normal
            );
            let on_crown = found(
                std::slice::from_ref(&crown),
                DVec3::new(2.0, 0.0, 5.0) + out * 1.95,
            )
            .unwrap();
            assert!(on_crown.normal.angle_between(out) < 0.2, "{turn}");
        }
        let end = found(&[bar], DVec3::new(2.1, 0.0, 9.0)).unwrap();
        assert_eq!(end.normal, DVec3::Z);
    }
}
