//! Sighting's pipelines: ids and depth of one view, packing and counting of many. May not enter: which views.

use super::device::Gpu;
use super::uniforms::{Corner, SightingView, Taking};
use wgpu::BindingType::{Buffer, Texture};
use wgpu::ShaderStages;

/// What a pixel shows, as [`crate::sighting::frame::Id`].
pub const IDS: wgpu::TextureFormat = wgpu::TextureFormat::R32Uint;
/// How near it is.
pub const DEPTH: wgpu::TextureFormat = wgpu::TextureFormat::Depth32Float;

/// Pixels of a row and rows that one workgroup of the counting pass covers (`count.wgsl`).
pub const COUNTED_BLOCK: [u32; 2] = [32, 8];

/// The same of the packing pass (`pack.wgsl`).
pub const PACKED_BLOCK: [u32; 2] = [32, 2];

/// All pipelines of sighting.
#[derive(Debug)]
pub struct Passes {
    /// Binds one view, by its offset.
    pub view_layout: wgpu::BindGroupLayout,
    /// Binds ids, depths, what is told, and what is made of them.
    pub take_layout: wgpu::BindGroupLayout,
    /// Closed and solid.
    pub solid: wgpu::RenderPipeline,
    /// Solid, both sides of every face.
    pub open: wgpu::RenderPipeline,
    /// Closed; some pixels pass through.
    pub sifted: wgpu::RenderPipeline,
    /// Counts patches.
    pub count: wgpu::ComputePipeline,
    /// Packs ids and depths.
    pub pack: wgpu::ComputePipeline,
}

impl Passes {
    /// Builds them.
    pub fn new(gpu: &Gpu) -> Passes {
        let device = &gpu.device;
        let view_layout = layout(
            device,
            "one view",
            &[(
                ShaderStages::VERTEX_FRAGMENT,
                Buffer {
                    ty: wgpu::BufferBindingType::Uniform,
                    has_dynamic_offset: true,
                    min_binding_size: wgpu::BufferSize::new(size_of::<SightingView>() as u64),
                },
            )],
        );
        let plain = |ty, least: usize| Buffer {
            ty,
            has_dynamic_offset: false,
            min_binding_size: wgpu::BufferSize::new(least as u64),
        };
        let layers = |sample_type| Texture {
            sample_type,
            view_dimension: wgpu::TextureViewDimension::D2Array,
            multisampled: false,
        };
        let take_layout = layout(
            device,
            "taking",
            &[
                layers(wgpu::TextureSampleType::Uint),
                layers(wgpu::TextureSampleType::Depth),
                plain(wgpu::BufferBindingType::Uniform, size_of::<Taking>()),
                plain(wgpu::BufferBindingType::Storage { read_only: false }, 0),
            ]
            .map(|ty| (ShaderStages::COMPUTE, ty)),
        );
        let shader = |label, text: &'static str| {
            device.create_shader_module(wgpu::ShaderModuleDescriptor {
                label: Some(label),
                source: wgpu::ShaderSource::Wgsl(text.into()),
            })
        };
        let sighting = shader("sighting", include_str!("../../shaders/sighting.wgsl"));
        let drawing = pipeline_layout(device, &view_layout);
        let draw = |fragment, cull| render(device, &drawing, &sighting, fragment, cull);
        let taking = pipeline_layout(device, &take_layout);
        let take = |name: &'static str, text: &'static str| {
            device.create_compute_pipeline(&wgpu::ComputePipelineDescriptor {
                label: Some(name),
                layout: Some(&taking),
                module: &shader(name, text),
                entry_point: Some(name),
                compilation_options: Default::default(),
                cache: None,
            })
        };
        Passes {
            solid: draw("solid", true),
            open: draw("solid", false),
            sifted: draw("sifted", true),
            count: take("count", include_str!("../../shaders/count.wgsl")),
            pack: take("pack", include_str!("../../shaders/pack.wgsl")),
            view_layout,
            take_layout,
        }
    }
}

fn layout(
    device: &wgpu::Device,
    label: &str,
    entries: &[(ShaderStages, wgpu::BindingType)],
) -> wgpu::BindGroupLayout {
    let entries = entries.iter().enumerate();
    let entries = entries.map(|(i, (visibility, ty))| wgpu::BindGroupLayoutEntry {
        binding: i as u32,
        visibility: *visibility,
        ty: *ty,
        count: None,
    });
    device.create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor {
        label: Some(label),
        entries: &entries.collect::<Vec<_>>(),
    })
}

fn pipeline_layout(device: &wgpu::Device, group: &wgpu::BindGroupLayout) -> wgpu::PipelineLayout {
    device.create_pipeline_layout(&wgpu::PipelineLayoutDescriptor {
        label: None,
        bind_group_layouts: &[Some(group)],
        immediate_size: 0,
    })
}

fn render(
    device: &wgpu::Device,
    layout: &wgpu::PipelineLayout,
    module: &wgpu::ShaderModule,
    fragment: &str,
    cull: bool,
) -> wgpu::RenderPipeline {
    device.create_render_pipeline(&wgpu::RenderPipelineDescriptor {
        label: Some("sighting"),
        layout: Some(layout),
        vertex: wgpu::VertexState {
            module,
            entry_point: Some("place"),
            compilation_options: Default::default(),
            buffers: &[Some(wgpu::VertexBufferLayout {
                array_stride: size_of::<Corner>() as u64,
                step_mode: wgpu::VertexStepMode::Vertex,
                attributes: &wgpu::vertex_attr_array![0 => Float32x3, 1 => Uint32, 2 => Uint32],
            })],
        },
        primitive: wgpu::PrimitiveState {
            cull_mode: cull.then_some(wgpu::Face::Back),
            ..Default::default()
        },
        depth_stencil: Some(wgpu::DepthStencilState {
            format: DEPTH,
            depth_write_enabled: Some(true),
            depth_compare: Some(wgpu::CompareFunction::Greater),
            stencil: Default::default(),
            bias: Default::default(),
        }),
        multisample: Default::default(),
        fragment: Some(wgpu::FragmentState {
            module,
            entry_point: Some(fragment),
            compilation_options: Default::default(),
            targets: &[Some(IDS.into())],
        }),
        multiview_mask: None,
        cache: None,
    })
}
