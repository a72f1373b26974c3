//! What sighting's shaders read, laid out as they read it: the bridge from `f64` to `f32`. May not enter:
//! textures, passes. A test compares each layout with its WGSL.
#![allow(unsafe_code)] // bytemuck's derived casts are unsafe traits; this file alone has them for sighting

use crate::sighting::view::{NEAREST_M, Rays, View};
use bytemuck::{Pod, Zeroable};
use glam::DVec3;

/// One view (`SightingView` of `sighting.wgsl`).
#[repr(C)]
#[derive(Clone, Copy, Debug, Pod, Zeroable)]
pub struct SightingView {
    /// The eye.
    pub eye: [f32; 3],
    /// Where its axis meets the picture, across, clip space.
    pub x_shift: f32,
    /// Across: clip space per metre (times depth in perspective).
    pub x_row: [f32; 3],
    /// Where its axis meets the picture, upward.
    pub y_shift: f32,
    /// Upward.
    pub y_row: [f32; 3],
    /// z = z_constant + z_per_depth · depth.
    pub z_constant: f32,
    /// Into the picture.
    pub forward: [f32; 3],
    /// See `z_constant`.
    pub z_per_depth: f32,
    /// w = w_constant + w_per_depth · depth.
    pub w_constant: f32,
    /// See `w_constant`.
    pub w_per_depth: f32,
    /// Texels to a pixel, across and down.
    pub scale: u32,
    /// Fills the last row.
    pub spare: u32,
}

impl SightingView {
    /// The view as its shader reads it. `depths` bounds all that is drawn, along the axis; only parallel rays
    /// need it. Each pixel has `scale` texels across and down, of which the first has its centre where the
    /// pixel has: the picture is moved by as much as the two lie apart.
    pub fn of(view: &View, depths: Depths, scale: u32) -> SightingView {
        let size = view.high - view.low;
        let (kx, ky) = (2.0 / size.x, 2.0 / size.y);
        let middle = (view.low + view.high) / 2.0;
        let apart = f64::from(scale - 1) / f64::from(scale);
        let perspective = view.rays == Rays::Perspective;
        let (z_constant, z_per_depth) = match view.rays {
            Rays::Perspective => (NEAREST_M, 0.0),
            Rays::Orthographic => (depths.far_m / depths.range_m(), -1.0 / depths.range_m()),
        };
        let row = |v: DVec3| v.as_vec3().to_array();
        SightingView {
            eye: row(view.eye),
            x_shift: (-middle.x * kx - apart / view.width as f64) as f32,
            x_row: row(view.right * kx),
            y_shift: (-middle.y * ky + apart / view.height as f64) as f32,
            y_row: row(view.up * ky),
            z_constant: z_constant as f32,
            forward: row(view.forward),
            z_per_depth: z_per_depth as f32,
            w_constant: if perspective { 0.0 } else { 1.0 },
            w_per_depth: if perspective { 1.0 } else { 0.0 },
            scale,
            spare: 0,
        }
    }
}

/// From where to where things lie along a view's axis.
#[derive(Clone, Copy, Debug)]
pub struct Depths {
    /// Nearest, metres from the eye.
    pub near_m: f64,
    /// Farthest.
    pub far_m: f64,
}

impl Depths {
    fn range_m(&self) -> f64 {
        self.far_m - self.near_m
    }

    /// What the frame calls nearness, from the depth that was drawn.
    pub fn nearness(&self, rays: Rays, depth: f32) -> f32 {
        match rays {
            Rays::Perspective => (f64::from(depth) / NEAREST_M) as f32,
            Rays::Orthographic => (f64::from(depth) * self.range_m() - self.far_m) as f32,
        }
    }
}

/// A corner of a triangle (`Corner` of `sighting.wgsl`). The first corner speaks for its triangle.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Pod, Zeroable)]
pub struct Corner {
    /// Machine frame, metres.
    pub position: [f32; 3],
    /// The id of the triangles that it speaks for.
    pub id: u32,
    /// A pixel whose hash lies below this is stopped.
    pub stops_below: u32,
}

/// What the packing and the counting pass are told (`Taking` of `pack.wgsl` and `count.wgsl`).
#[repr(C)]
#[derive(Clone, Copy, Debug, Pod, Zeroable)]
pub struct Taking {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Texels to a pixel, across and down.
    pub scale: u32,
    /// How many patches there are to be counted.
    pub patches: u32,
}
