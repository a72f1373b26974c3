//! Hulls of crowns and bushes, for moving pictures: corners on the crown's own pieces, turned as its mass is. May not
//! enter: devices, single leaves.

use super::leaves::{bounds, outward};
use super::surfaces::{Manner, Surfaces};
use super::uniforms::CoarseCorner;
use crate::scene::coat::Coat;
use crate::sighting::scatter::hash;
use crate::sighting::stage::Stage;
use glam::{DVec3, Vec4};

/// Corners and triangles of all crowns.
#[derive(Default)]
pub struct Hulls {
    /// Corners.
    pub corners: Vec<CoarseCorner>,
    /// Three to a triangle.
    pub triangles: Vec<[u32; 3]>,
}

/// Hulls of a stage.
pub fn hulls(stage: &Stage, surfaces: &mut Surfaces) -> Hulls {
    let mut hulls = Hulls::default();
    for (k, object) in stage.objects.iter().enumerate() {
        let leafy: Vec<usize> = (0..object.pieces.len())
            .filter(|piece| {
                let finish = Coat::of_piece(&object.coats, *piece).finish;
                matches!(Manner::of(finish, object.opacity), Manner::Leafy(_))
            })
            .collect();
        let corners = leafy
            .iter()
            .flat_map(|piece| &object.pieces[*piece].corners);
        let whole = bounds(corners);
        let reach_m = ((whole.1 - whole.0) / 2.0).max_element() * 2.0;
        for piece in leafy {
            let convex = &object.pieces[piece];
            let own = bounds(convex.corners.iter());
            let row = surfaces.of_piece(stage, k, piece) as usize;
            let color = surfaces.rows[row].color;
            let base = hulls.corners.len() as u32;
            let seed = hash(k as u32, piece as u32, 67);
            let corner = |p: &DVec3| CoarseCorner {
                position: p.as_vec3().to_array(),
                albedo: halves(color.truncate().extend(object.opacity as f32)),
                normal: signed(outward(*p, own, whole)),
                open: [(reach_m / 64.0 * 65535.0).min(65535.0) as u16, 0],
                flat: seed.to_le_bytes().map(|byte| byte as i8),
            };
            hulls.corners.extend(convex.corners.iter().map(corner));
            let triangles = convex.triangles().map(|t| t.map(|i| i + base));
            hulls.triangles.extend(triangles);
        }
    }
    hulls
}

fn signed(direction: DVec3) -> [i8; 4] {
    let [x, y, z] = (direction * 127.0).round().to_array().map(|v| v as i8);
    [x, y, z, 0]
}

/// IEEE 754 half precision of numbers from 0 to 1, those under its least normal one as 0.
fn halves(v: Vec4) -> [u16; 4] {
    v.to_array().map(|v| {
        let bits = v.clamp(0.0, 1.0).to_bits();
        let (exponent, mantissa) = ((bits >> 23) as i32 - 127 + 15, (bits & 0x7F_FFFF) >> 13);
        if exponent <= 0 {
            0
        } else {
            (exponent << 10) as u16 | mantissa as u16
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values of IEEE 754-2008, table of binary16.
    #[test]
    fn halves_are_written_as_the_standard_has_them() {
        assert_eq!(
            halves(Vec4::new(0.0, 1.0, 0.5, 0.333_251_95)),
            [0, 0x3C00, 0x3800, 0x3555]
        );
    }
}
