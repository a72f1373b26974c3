//! Patches: a machine's surface cut into small pieces with an id, an area and a normal, which is what
//! every eye counts. May not enter: eyes, suns, what surrounds the machine.

use super::model::Model;
use super::part::Role;
use glam::DVec3;
use std::collections::HashMap;

/// Edges of the body and running gear longer than this are halved, so that a patch is small against the
/// shadows that a rule weighs. Parts whose light no rule weighs (rails, details) stay whole.
const LONGEST_EDGE_M: f64 = 0.60;

/// Small triangles of one part and one direction are pooled in cells of this size.
const CELL_M: f64 = 0.22;

/// Normals are pooled when they agree after rounding to this many steps per unit.
const NORMAL_STEPS: f64 = 6.0;

/// A machine's surface in pieces. Index `n` runs over patches.
#[derive(Clone, Debug)]
pub struct Patches {
    /// Vertices of the cut mesh, machine frame, metres.
    pub vertices: Vec<DVec3>,
    /// Triangles of the cut mesh, counter-clockwise from outside.
    pub triangles: Vec<[u32; 3]>,
    /// The patch of each triangle.
    pub patch_of_triangle: Vec<u32>,
    /// Area of each patch in m².
    pub area_m2: Vec<f64>,
    /// Mean outward unit normal of each patch.
    pub normal: Vec<DVec3>,
    /// Area centre of each patch.
    pub centre: Vec<DVec3>,
    /// Index of each patch's part in the model; patches are ordered by part.
    pub part: Vec<u32>,
    /// Role of each patch.
    pub role: Vec<Role>,
    /// Whether back faces may be culled.
    pub closed: bool,
}

impl Patches {
    /// Cuts a model into patches.
    pub fn of(model: &Model) -> Patches {
        let mut cut = Cutter {
            vertices: model.vertices.clone(),
            middles: HashMap::new(),
        };
        let mut pieces: Vec<([u32; 3], u32)> = Vec::new();
        for triangle in &model.triangles {
            let role = model.parts[triangle.part as usize].role;
            if role.is_body() || role.is_running_gear() {
                cut.split(triangle.corners, triangle.part, &mut pieces);
            } else {
                pieces.push((triangle.corners, triangle.part));
            }
        }
        // Ordered by part: the rows of a part then lie together in memory.
        pieces.sort_by_key(|(_, part)| *part);
        let mut patches = Patches {
            vertices: cut.vertices,
            triangles: Vec::with_capacity(pieces.len()),
            patch_of_triangle: Vec::with_capacity(pieces.len()),
            area_m2: Vec::new(),
            normal: Vec::new(),
            centre: Vec::new(),
            part: Vec::new(),
            role: Vec::new(),
            closed: model.closed,
        };
        let mut by_cell: HashMap<(u32, [i32; 3], [i32; 3]), u32> = HashMap::new();
        for (corners, part) in pieces {
            let [a, b, c] = corners.map(|i| patches.vertices[i as usize]);
            let cross = (b - a).cross(c - a);
            let area = cross.length() / 2.0;
            if area < 1e-9 {
                continue; // a sliver has no direction and covers no pixel
            }
            let normal = cross / (2.0 * area);
            let centre = (a + b + c) / 3.0;
            let key = (
                part,
                (normal * NORMAL_STEPS).round().to_array().map(|v| v as i32),
                (centre / CELL_M).floor().to_array().map(|v| v as i32),
            );
            let next = patches.area_m2.len() as u32;
            let patch = *by_cell.entry(key).or_insert(next);
            if patch == next {
                patches.area_m2.push(0.0);
                patches.normal.push(DVec3::ZERO);
                patches.centre.push(DVec3::ZERO);
                patches.part.push(part);
                patches.role.push(model.parts[part as usize].role);
            }
            let n = patch as usize;
            patches.area_m2[n] += area;
            patches.normal[n] += normal * area;
            patches.centre[n] += centre * area;
            patches.triangles.push(corners);
            patches.patch_of_triangle.push(patch);
        }
        for n in 0..patches.area_m2.len() {
            patches.normal[n] = patches.normal[n].normalize_or(DVec3::Z);
            patches.centre[n] /= patches.area_m2[n];
        }
        patches
    }

    /// How many patches there are.
    pub fn len(&self) -> usize {
        self.area_m2.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.area_m2.is_empty()
    }
}

/// Halves long edges. An edge is split by its own length alone, so that neighbours agree and no crack
/// opens between them.
struct Cutter {
    vertices: Vec<DVec3>,
    middles: HashMap<(u32, u32), u32>,
}

impl Cutter {
    fn middle(&mut self, a: u32, b: u32) -> u32 {
        let vertices = &mut self.vertices;
        *self.middles.entry((a.min(b), a.max(b))).or_insert_with(|| {
            vertices.push((vertices[a as usize] + vertices[b as usize]) / 2.0);
            vertices.len() as u32 - 1
        })
    }

    fn is_long(&self, a: u32, b: u32) -> bool {
        self.vertices[a as usize].distance(self.vertices[b as usize]) > LONGEST_EDGE_M
    }

    fn split(&mut self, corners: [u32; 3], part: u32, out: &mut Vec<([u32; 3], u32)>) {
        let [a, b, c] = corners;
        match [(a, b), (b, c), (c, a)].map(|(from, to)| self.is_long(from, to)) {
            [false, false, false] => out.push((corners, part)),
            [true, true, true] => {
                let (ab, bc, ca) = (self.middle(a, b), self.middle(b, c), self.middle(c, a));
                for piece in [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]] {
                    self.split(piece, part, out);
                }
            }
            // One edge at least is short: let it lie opposite the tip.
            [_, false, _] => self.strip(a, b, c, part, out),
            [_, _, false] => self.strip(b, c, a, part, out),
            [false, _, _] => self.strip(c, a, b, part, out),
        }
    }

    /// Cuts a needle into a strip between its two sides: about 2^(k+1) triangles where k halvings are
    /// needed. (Halving it into needles again would make 3^k.)
    fn strip(
        &mut self,
        tip: u32,
        left: u32,
        right: u32,
        part: u32,
        out: &mut Vec<([u32; 3], u32)>,
    ) {
        let (lefts, rights) = (self.chain(tip, left), self.chain(tip, right));
        let (mut i, mut j) = (0, 0);
        // Both chains start at the tip; the one that lags behind goes on.
        while i < lefts.len() || j < rights.len() {
            let at = |chain: &[u32], n: usize| if n == 0 { tip } else { chain[n - 1] };
            let (l, r) = (at(&lefts, i), at(&rights, j));
            let left_lags = (i + 1) * rights.len() <= (j + 1) * lefts.len();
            if j == rights.len() || (i < lefts.len() && left_lags) {
                i += 1;
                if l != r {
                    out.push(([l, lefts[i - 1], r], part));
                }
            } else {
                j += 1;
                if l != r {
                    out.push(([l, rights[j - 1], r], part));
                }
            }
        }
    }

    /// The ends of the pieces of an edge, `to` the last.
    fn chain(&mut self, from: u32, to: u32) -> Vec<u32> {
        if !self.is_long(from, to) {
            return vec![to];
        }
        let middle = self.middle(from, to);
        let mut chain = self.chain(from, middle);
        chain.extend(self.chain(middle, to));
        chain
    }
}
