//! A stage as shaders read it: corners, surfaces, what casts shadows. May not enter: devices, light, eyes.

use super::casters::{Casters, casters_bounds};
use super::cover::Cover;
use super::crowns::{Hulls, hulls};
use super::leaves::sprays;
use super::normals::smoothed;
use super::surfaces::{CLASSES, Manner, Surfaces, class_of};
use super::uniforms::{Corner, Spray};
use crate::mesh::part::Role;
use crate::picture::openness::Openness;
use crate::scene::coat::Coat;
use crate::sighting::rasterizer::Rasterizer;
use crate::sighting::stage::{Stage, StageKind};
use glam::DVec3;
use std::collections::HashMap;

/// Triangles over corners that are shared.
#[derive(Default)]
pub struct Mesh {
    /// Corners.
    pub corners: Vec<Corner>,
    /// Three to a triangle, class by class of finishes.
    pub indices: [Vec<u32>; CLASSES],
    known: HashMap<[u32; 9], u32>,
}

/// All of a stage that does not change with eye or light.
pub struct StageMesh {
    /// What is solid.
    pub solid: Mesh,
    /// What is seen through.
    pub veil: Mesh,
    /// Sprays of leaves.
    pub sprays: Vec<Spray>,
    /// Crowns without leaves.
    pub hulls: Hulls,
    /// What covers the ground.
    pub cover: Cover,
    /// The table of surfaces.
    pub surfaces: Surfaces,
    /// What casts shadows.
    pub casters: Casters,
    /// Shares of sky and ground that patches, and the ground, see.
    pub openness: Openness,
    /// Bounds of all that casts shadows, tracks left out.
    pub casters_bounds: [DVec3; 2],
    /// Height of the open ground over the rail, metres.
    pub ground_z_m: f64,
}

/// Turns up to this read as round: on rods and fittings, and elsewhere.
const ROUND_ROD: f64 = 0.45;
const ROUND: f64 = 0.80;

impl StageMesh {
    /// Brings a stage into shape.
    pub fn of(rasterizer: &dyn Rasterizer, stage: &Stage) -> StageMesh {
        let openness = Openness::of(rasterizer, stage, &|_| 1.0);
        let mut surfaces = Surfaces::of_machine(stage);
        let mut solid = Mesh::default();
        let mut veil = Mesh::default();
        machine(stage, &openness, &mut solid);
        for k in 0..stage.objects.len() {
            object(stage, k, &mut surfaces, &mut solid, &mut veil);
        }
        let ground_z_m = (stage.objects.iter())
            .position(|object| object.kind == StageKind::Ground)
            .map_or(-0.5, |k| top_of(&stage.soups[k].vertices));
        let sprays = sprays(stage, &mut surfaces);
        let hulls = hulls(stage, &mut surfaces);
        let cover = Cover::of(stage, &mut surfaces);
        StageMesh {
            sprays,
            hulls,
            cover,
            solid,
            veil,
            surfaces,
            casters: Casters::of(stage),
            casters_bounds: casters_bounds(stage),
            openness,
            ground_z_m,
        }
    }
}

fn top_of(vertices: &[DVec3]) -> f64 {
    let top = vertices
        .iter()
        .map(|v| v.z)
        .fold(f64::NEG_INFINITY, f64::max);
    if top.is_finite() { top } else { 0.0 }
}

impl Mesh {
    fn add(
        &mut self,
        class: usize,
        position: DVec3,
        surface: u32,
        flat: DVec3,
        smooth: DVec3,
        open: (f64, f64),
    ) {
        let unit = |v: f64| (v.clamp(-1.0, 1.0) * f64::from(i16::MAX)).round() as i16;
        let packed = |n: DVec3| [unit(n.x), unit(n.y), unit(n.z), 0];
        let share = |v: f64| (v.clamp(0.0, 1.0) * f64::from(u16::MAX)).round() as u16;
        let corner = Corner {
            position: position.as_vec3().to_array(),
            surface,
            flat: packed(flat),
            smooth: packed(smooth),
            open: [share(open.0), share(open.1)],
        };
        let key: [u32; 9] = bytemuck::cast(corner);
        let next = self.corners.len() as u32;
        let index = *self.known.entry(key).or_insert(next);
        if index == next {
            self.corners.push(corner);
        }
        self.indices[class].push(index);
    }
}

fn machine(stage: &Stage, openness: &Openness, mesh: &mut Mesh) {
    let patches = &stage.patches;
    let triangles: Vec<[DVec3; 3]> = (patches.triangles.iter())
        .map(|t| t.map(|i| patches.vertices[i as usize]))
        .collect();
    let flat: Vec<DVec3> = triangles.iter().map(direction).collect();
    let group = |t: usize| {
        let patch = patches.patch_of_triangle[t] as usize;
        let round = match patches.role[patch] {
            Role::Handrail
            | Role::Wheel
            | Role::Detail
            | Role::Light
            | Role::Roof
            | Role::Coupler => ROUND_ROD,
            _ => ROUND,
        };
        (patches.part[patch], round)
    };
    let smooth = smoothed(&triangles, &flat, &group);
    let mut seen: HashMap<(u32, [i64; 3]), (f64, f64)> = HashMap::new();
    for (t, corners) in triangles.iter().enumerate() {
        let patch = patches.patch_of_triangle[t];
        let part = patches.part[patch as usize];
        for (corner, normal) in corners.iter().zip(smooth[t]) {
            let key = (patch, (*corner * 1e4).round().to_array().map(|v| v as i64));
            let open = *(seen.entry(key))
                .or_insert_with(|| openness.on_patch(stage, patch as usize, *corner));
            mesh.add(0, *corner, part, flat[t], normal, open);
        }
    }
}

fn object(stage: &Stage, k: usize, surfaces: &mut Surfaces, solid: &mut Mesh, veil: &mut Mesh) {
    let (object, soup) = (&stage.objects[k], &stage.soups[k]);
    let triangles: Vec<[DVec3; 3]> = (soup.triangles.iter())
        .map(|t| t.map(|i| soup.vertices[i as usize]))
        .collect();
    let flat: Vec<DVec3> = triangles.iter().map(direction).collect();
    let smooth = smoothed(&triangles, &flat, &|t| (soup.piece_of_triangle[t], ROUND));
    for (t, corners) in triangles.iter().enumerate() {
        let piece = soup.piece_of_triangle[t] as usize;
        let finish = Coat::of_piece(&object.coats, piece).finish;
        let mesh = match Manner::of(finish, object.opacity) {
            Manner::Solid => &mut *solid,
            Manner::Veiled => &mut *veil,
            Manner::Leafy(_) => continue,
        };
        let surface = surfaces.of_piece(stage, k, piece);
        let class = class_of(surfaces.rows[surface as usize].finish);
        for (corner, normal) in corners.iter().zip(smooth[t]) {
            mesh.add(class, *corner, surface, flat[t], normal, (1.0, 0.0));
        }
    }
}

fn direction([a, b, c]: &[DVec3; 3]) -> DVec3 {
    (*b - *a).cross(*c - *a).normalize_or(DVec3::Z)
}
