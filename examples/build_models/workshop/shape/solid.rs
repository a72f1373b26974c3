//! Closed solids with flat faces: prisms, lofts, plates with holes, pockets sunk into faces.
//! May not enter: round things (see `turned`, `sweep`).

use super::frame::Frame;
use super::mesh::Mesh;
use super::polygon::{signed_area2, triangulate};
use glam::{DVec2, DVec3};

/// A flat face: counter-clockwise seen from outside, less its holes.
#[derive(Clone, Debug)]
struct Face {
    outline: Vec<DVec3>,
    holes: Vec<Vec<DVec3>>,
}

/// A closed solid.
#[derive(Clone, Debug)]
pub struct Solid {
    faces: Vec<Face>,
}

/// The normal of an outline, its length twice the area (Newell's method).
fn newell(outline: &[DVec3]) -> DVec3 {
    let next = outline.iter().cycle().skip(1);
    outline.iter().zip(next).map(|(a, b)| a.cross(*b)).sum()
}

impl Face {
    fn new(outline: Vec<DVec3>) -> Face {
        Face {
            outline,
            holes: Vec::new(),
        }
    }

    fn normal(&self) -> DVec3 {
        newell(&self.outline).normalize()
    }

    fn flat(&self, outline: &[DVec3]) -> Vec<DVec2> {
        let normal = self.normal();
        let across = normal.any_orthonormal_vector();
        let up = normal.cross(across);
        outline
            .iter()
            .map(|p| DVec2::new(p.dot(across), p.dot(up)))
            .collect()
    }

    fn mesh(&self) -> Mesh {
        let holes: Vec<Vec<DVec2>> = self.holes.iter().map(|hole| self.flat(hole)).collect();
        Mesh {
            points: self
                .outline
                .iter()
                .chain(self.holes.iter().flatten())
                .copied()
                .collect(),
            triangles: triangulate(&self.flat(&self.outline), &holes),
        }
    }
}

impl Solid {
    /// A skin over rings with equally many corners each, closed by the first and the last ring.
    pub fn loft(rings: &[Vec<DVec3>]) -> Solid {
        let count = rings[0].len();
        let mut faces = Vec::new();
        for pair in rings.windows(2) {
            for k in 0..count {
                let next = (k + 1) % count;
                let quad = vec![pair[0][k], pair[0][next], pair[1][next], pair[1][k]];
                let flat = Face::new(quad.clone());
                let bent = (quad[3] - quad[0]).dot(flat.normal()).abs() > 1e-6
                    || (quad[2] - quad[0]).dot(flat.normal()).abs() > 1e-6;
                if bent {
                    faces.push(Face::new(vec![quad[0], quad[1], quad[2]]));
                    faces.push(Face::new(vec![quad[0], quad[2], quad[3]]));
                } else {
                    faces.push(flat);
                }
            }
        }
        faces.push(Face::new(rings[0].iter().rev().copied().collect()));
        faces.push(Face::new(rings[rings.len() - 1].clone()));
        Solid { faces }.outward()
    }

    /// `profile` (first two axes) drawn out along the third axis.
    pub fn prism(profile: &[DVec2], from: f64, to: f64) -> Solid {
        let ring = |z: f64| profile.iter().map(|p| p.extend(z)).collect::<Vec<_>>();
        Solid::loft(&[ring(from), ring(to)])
    }

    /// A prism with openings that go right through.
    pub fn plate(profile: &[DVec2], openings: &[Vec<DVec2>], from: f64, to: f64) -> Solid {
        let mut solid = Solid::prism(profile, from.min(to), from.max(to));
        let caps = solid.faces.len() - 2..solid.faces.len();
        for opening in openings {
            let mut ring = opening.clone();
            if signed_area2(&ring) < 0.0 {
                ring.reverse();
            }
            for k in 0..ring.len() {
                let (a, b) = (ring[k], ring[(k + 1) % ring.len()]);
                let (low, high) = (from.min(to), from.max(to));
                solid.faces.push(Face::new(vec![
                    b.extend(low),
                    a.extend(low),
                    a.extend(high),
                    b.extend(high),
                ]));
            }
            for cap in caps.clone() {
                let z = solid.faces[cap].outline[0].z;
                solid.faces[cap]
                    .holes
                    .push(ring.iter().map(|p| p.extend(z)).collect());
            }
        }
        solid
    }

    /// The same, built on a frame.
    pub fn on(mut self, frame: &Frame) -> Solid {
        for face in &mut self.faces {
            for point in face
                .outline
                .iter_mut()
                .chain(face.holes.iter_mut().flatten())
            {
                *point = frame.point(*point);
            }
        }
        self
    }

    /// Sinks a pocket of `depth_m` into the face on which `outline` lies.
    pub fn pocket(mut self, outline: &[DVec3], depth_m: f64) -> Solid {
        let at = self
            .faces
            .iter()
            .position(|face| {
                let normal = face.normal();
                let flat = face.flat(&face.outline);
                let turn = signed_area2(&flat).signum();
                outline
                    .iter()
                    .all(|p| (*p - face.outline[0]).dot(normal).abs() < 1e-9)
                    && face.flat(outline).iter().all(|p| {
                        // Every face with pockets is convex.
                        (0..flat.len()).all(|k| {
                            let (a, b) = (flat[k], flat[(k + 1) % flat.len()]);
                            (b - a).perp_dot(*p - a) * turn > 0.0
                        })
                    })
            })
            .expect("a pocket lies on no face");
        let normal = self.faces[at].normal();
        let mut rim = outline.to_vec();
        if newell(&rim).dot(normal) < 0.0 {
            rim.reverse();
        }
        let floor: Vec<DVec3> = rim.iter().map(|p| *p - normal * depth_m).collect();
        for k in 0..rim.len() {
            let next = (k + 1) % rim.len();
            self.faces
                .push(Face::new(vec![rim[k], rim[next], floor[next], floor[k]]));
        }
        self.faces.push(Face::new(floor));
        self.faces[at].holes.push(rim);
        self
    }

    /// Its triangles.
    pub fn mesh(&self) -> Mesh {
        Mesh::of(self.faces.iter().map(Face::mesh))
    }

    fn outward(mut self) -> Solid {
        if self.mesh().signed_volume6() < 0.0 {
            for face in &mut self.faces {
                face.outline.reverse();
            }
        }
        self
    }
}
