//! The pass that draws the sky of moving pictures, on a grid: processors that play an adapter run what a shader holds
//! for every pixel, so only cells that may show hills or clouds get the shader that draws them. May not enter: what
//! stands before the sky.

use super::pipeline::{Kind, Onto};
use super::shader::DOME;
use crate::gpu::device::Gpu;
use crate::sighting::view::{Rays, View};
use glam::{DVec2, DVec3};

/// Cells across and down, as shaders/dome.wgsl has them.
const ACROSS: usize = 24;
const DOWN: usize = 24;

/// The pass's pipelines: the clear dome alone, and all of the sky.
pub struct Dome([wgpu::RenderPipeline; 2]);

impl Dome {
    /// On a device.
    pub fn new(gpu: &Gpu, frame: &wgpu::BindGroupLayout) -> Dome {
        let groups = [frame];
        let kind = Kind {
            hides: false,
            behind: true,
            ..Kind::solid(&DOME, &groups, Onto::Film)
        };
        let make = |full| kind.specialised(&gpu.device, "vs", &[("IS_FULL", full)]);
        Dome([make(0.0), make(1.0)])
    }

    /// Draws the sky of a view; over `over_hills` (the sine of an elevation) there is nothing but a clear dome.
    pub fn draw(&self, pass: &mut wgpu::RenderPass, view: &View, over_hills: f64) {
        let is_full: Vec<bool> = (0..ACROSS * DOWN)
            .map(|cell| lowest(view, cell) < over_hills)
            .collect();
        let mut start = 0;
        for alike in is_full.chunk_by(|a, b| a == b) {
            let end = start + alike.len();
            pass.set_pipeline(&self.0[usize::from(alike[0])]);
            pass.draw(6 * start as u32..6 * end as u32, 0..1);
            start = end;
        }
    }
}

/// Sine of the lowest elevation that a cell shows: of one of its corners, for over the level a straight edge bulges
/// upward.
fn lowest(view: &View, cell: usize) -> f64 {
    let corner = |aside: usize, down: usize| {
        let share = DVec2::new(
            (cell % ACROSS + aside) as f64 / ACROSS as f64,
            (cell / ACROSS + down) as f64 / DOWN as f64,
        );
        let at = view.low + (view.high - view.low) * share;
        let direction: DVec3 = match view.rays {
            Rays::Perspective => view.right * at.x + view.up * at.y + view.forward,
            Rays::Orthographic => view.forward,
        };
        direction.normalize().z
    };
    let corners = [corner(0, 0), corner(0, 1), corner(1, 0), corner(1, 1)];
    corners.into_iter().fold(f64::INFINITY, f64::min)
}
