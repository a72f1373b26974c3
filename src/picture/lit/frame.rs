//! Bind group 0, the frame's: the view, the light, the sun's maps, the skyline. May not enter: the stage.

use super::pipeline::{buffer_type, entry, texture_type};
use super::uniforms::FrameUniform;
use crate::gpu::device::Gpu;
use crate::picture::tone::{CONTRAST, GREY, WHITE, encode};
use crate::sighting::view::{NEAREST_M, Rays, View};
use glam::{DMat4, DVec2, DVec3, DVec4, Vec4};
use wgpu::{BufferBindingType, ShaderStages, TextureSampleType, TextureViewDimension};

/// How far an orthographic view reaches to either side of its eye, metres.
const DEEP_M: f64 = 4000.0;

/// What else a frame's uniform says.
#[derive(Clone, Copy, Debug)]
pub struct Manner {
    /// Illuminance that the exposure is for, lx.
    pub exposed_for_lx: f64,
    /// Show the share of the sun that each pixel has, instead of light.
    pub lit_shares: bool,
    /// 1 for stills, 0 for live frames.
    pub fineness: f64,
    /// Pixels drawn for one of the picture, across.
    pub times: u32,
    /// The tile's first column and row in the whole picture.
    pub first: [usize; 2],
}

/// The group's layout.
pub fn layout(gpu: &Gpu) -> wgpu::BindGroupLayout {
    let all = ShaderStages::VERTEX_FRAGMENT | ShaderStages::COMPUTE;
    let uniform = buffer_type(BufferBindingType::Uniform);
    let unfiltered = TextureSampleType::Float { filterable: false };
    let entries = [
        entry(0, all, uniform),
        entry(1, all, uniform),
        entry(
            2,
            all,
            texture_type(TextureSampleType::Depth, TextureViewDimension::D2Array),
        ),
        entry(3, all, texture_type(unfiltered, TextureViewDimension::D2)),
    ];
    gpu.device
        .create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor {
            label: Some("frame"),
            entries: &entries,
        })
}

/// The group.
pub fn group(
    gpu: &Gpu,
    layout: &wgpu::BindGroupLayout,
    frame: &wgpu::Buffer,
    light: &wgpu::Buffer,
    maps: &wgpu::TextureView,
    skyline: &wgpu::TextureView,
) -> wgpu::BindGroup {
    let bind = |binding, resource| wgpu::BindGroupEntry { binding, resource };
    gpu.device.create_bind_group(&wgpu::BindGroupDescriptor {
        label: Some("frame"),
        layout,
        entries: &[
            bind(0, frame.as_entire_binding()),
            bind(1, light.as_entire_binding()),
            bind(2, wgpu::BindingResource::TextureView(maps)),
            bind(3, wgpu::BindingResource::TextureView(skyline)),
        ],
    })
}

/// Clip space (depth reversed, infinitely far) from the machine frame.
pub fn clip_from_machine(view: &View) -> DMat4 {
    let size = view.high - view.low;
    let middle = (view.high + view.low) / 2.0;
    let scale = DVec2::new(2.0, 2.0) / size;
    // Rows over (x, y, z, 1) of an offset from the eye.
    let row = |axis: DVec3, shift: f64| axis.extend(shift - axis.dot(view.eye));
    let (right, up, forward) = (
        row(view.right, 0.0),
        row(view.up, 0.0),
        row(view.forward, 0.0),
    );
    let rows = match view.rays {
        Rays::Perspective => [
            (right - forward * middle.x) * scale.x,
            (up - forward * middle.y) * scale.y,
            DVec4::W * NEAREST_M,
            forward,
        ],
        Rays::Orthographic => [
            (right - DVec4::W * middle.x) * scale.x,
            (up - DVec4::W * middle.y) * scale.y,
            DVec4::W * 0.5 - forward / (2.0 * DEEP_M),
            DVec4::W,
        ],
    };
    DMat4::from_cols(rows[0], rows[1], rows[2], rows[3]).transpose()
}

/// The film curve's knee, at which grey stays where it is before white is stretched, and 1 / its value at white.
fn curve() -> [f64; 2] {
    let knee = GREY.powf(CONTRAST) * (1.0 - GREY) / GREY;
    [knee, 1.0 + knee / WHITE.powf(CONTRAST)]
}

/// What shaders/shared/curve.wgsl makes of a share of white.
fn encoded(share: f64) -> f64 {
    let [knee, at_white] = curve();
    let raised = (share * WHITE).powf(CONTRAST);
    encode((raised / (raised + knee) * at_white).min(1.0))
}

/// The same as a polynomial of the share's fourth root, power by power: through the nodes of Chebyshev, which keep
/// the worst error near its least.
fn quick_curve() -> [f64; QUICK] {
    let node = |k: usize| {
        let turn = std::f64::consts::PI * (k as f64 + 0.5) / QUICK as f64;
        0.5 + 0.5 * turn.cos()
    };
    let nodes: [f64; QUICK] = std::array::from_fn(node);
    // Newton's divided differences, then powers.
    let mut differences = nodes.map(|root| encoded(root.powi(4)));
    for order in 1..QUICK {
        for k in (order..QUICK).rev() {
            let step = nodes[k] - nodes[k - order];
            differences[k] = (differences[k] - differences[k - 1]) / step;
        }
    }
    let mut powers = [0.0; QUICK];
    for k in (0..QUICK).rev() {
        for power in (0..QUICK).rev() {
            let lower = if power > 0 { powers[power - 1] } else { 0.0 };
            powers[power] = lower - nodes[k] * powers[power];
        }
        powers[0] += differences[k];
    }
    powers
}

/// Terms of the quick curve.
const QUICK: usize = 6;

/// A view's uniform; sizes are those of the drawn pixels.
pub fn uniform(view: &View, manner: &Manner) -> FrameUniform {
    let w = |v: DVec3, w: f64| v.extend(w).as_vec4();
    let [knee, at_white] = curve();
    let quick = quick_curve();
    let perspective = f64::from(u8::from(view.rays == Rays::Perspective));
    FrameUniform {
        clip_from_machine: clip_from_machine(view).as_mat4(),
        eye: w(view.eye, perspective),
        right: w(view.right, 1.0 / view.pixels_per_unit()),
        up: w(view.up, manner.fineness),
        forward: w(view.forward, f64::from(u8::from(manner.lit_shares))),
        window: DVec4::new(view.low.x, view.low.y, view.high.x, view.high.y).as_vec4(),
        tile: Vec4::new(
            view.width as f32,
            view.height as f32,
            manner.first[0] as f32,
            manner.first[1] as f32,
        ),
        film: DVec4::new(GREY, CONTRAST, WHITE, 1.0 / manner.exposed_for_lx).as_vec4(),
        times: DVec4::new(f64::from(manner.times), knee, at_white, 0.0).as_vec4(),
        quick_low: DVec4::from_slice(&quick[..4]).as_vec4(),
        quick_high: DVec4::new(quick[4], quick[5], 0.0, 0.0).as_vec4(),
    }
}

/// A window of a view: `size` pixels from `first` (column, row).
pub fn tile(view: &View, first: [usize; 2], size: [usize; 2]) -> View {
    let at = |column: usize, row: usize| view.plane_at(DVec2::new(column as f64, row as f64));
    let [column, row] = first;
    View {
        low: at(column, row + size[1]),
        high: at(column + size[0], row),
        width: size[0],
        height: size[1],
        ..view.clone()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_quick_curve_is_within_two_steps_of_a_byte() {
        let powers = quick_curve();
        for i in 0..=1000 {
            let share = (f64::from(i) / 1000.0).powi(2);
            let root = share.powf(0.25);
            let quick = powers.iter().rev().fold(0.0, |sum, a| sum * root + a);
            let off = 255.0 * (quick - encoded(share)).abs();
            assert!(off < 2.0, "{share}: {off}");
        }
    }

    /// A point's clip coordinates must name the pixel that the view itself gives it.
    #[test]
    fn clip_space_and_the_view_name_the_same_pixel() {
        let view = View::of_camera(
            DVec3::new(20.0, -15.0, 1.2),
            [
                DVec3::new(0.6, 0.8, 0.0),
                DVec3::Z,
                DVec3::new(-0.8, 0.6, 0.0),
            ],
            DVec2::new(-0.30, -0.25),
            DVec2::new(0.40, 0.20),
            900,
        );
        let whole = [view.width, view.height];
        let part = tile(&view, [300, 120], [256, 200]);
        for (view, first) in [(tile(&view, [0, 0], whole), [0, 0]), (part, [300, 120])] {
            for point in [DVec3::new(1.0, 2.0, 3.0), DVec3::new(-6.0, 1.5, 0.2)] {
                let clip = clip_from_machine(&view) * point.extend(1.0);
                let ndc = clip / clip.w;
                let size = DVec2::new(view.width as f64, view.height as f64);
                let pixel = DVec2::new(ndc.x + 1.0, 1.0 - ndc.y) / 2.0 * size;
                let own = view.pixel(view.on_plane(point).unwrap());
                assert!(pixel.distance(own) < 1e-6, "{pixel} {own} {first:?}");
                assert!((ndc.z - NEAREST_M * view.near(point)).abs() < 1e-12);
            }
        }
    }
}
