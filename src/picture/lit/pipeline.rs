//! What the making of all pipelines has in common. May not enter: what they draw.

use super::shader::Source;
use wgpu::{BindGroupLayout, VertexBufferLayout};

/// Light before development.
pub const LIGHT_FORMAT: wgpu::TextureFormat = wgpu::TextureFormat::Rgba16Float;
/// Depths of pictures and of the sun's maps.
pub const DEPTH_FORMAT: wgpu::TextureFormat = wgpu::TextureFormat::Depth32Float;

/// Bytes of a developed picture: encoded by the shader's own curve.
pub const FILM_FORMAT: wgpu::TextureFormat = wgpu::TextureFormat::Rgba8Unorm;

/// What a pass draws onto.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Onto {
    /// Light that is developed later, so many samples to a pixel.
    Light(u32),
    /// The picture itself, one sample to a pixel.
    Film,
}

impl Onto {
    fn samples(self) -> u32 {
        match self {
            Onto::Light(samples) => samples,
            Onto::Film => 1,
        }
    }

    fn format(self) -> wgpu::TextureFormat {
        match self {
            Onto::Light(_) => LIGHT_FORMAT,
            Onto::Film => FILM_FORMAT,
        }
    }

    /// The pass's module for it.
    pub fn of<'a>(self, light: &'a Source, film: &'a Source) -> &'a Source {
        match self {
            Onto::Light(_) => light,
            Onto::Film => film,
        }
    }
}

/// How a pass draws into light and depth.
#[derive(Clone, Copy)]
pub struct Kind<'a> {
    /// The module.
    pub source: &'a Source,
    /// Groups 0, 1, …
    pub groups: &'a [&'a BindGroupLayout],
    /// What corners are made of.
    pub buffers: &'a [Option<VertexBufferLayout<'a>>],
    /// What it draws onto.
    pub onto: Onto,
    /// Whether back faces are left out.
    pub culls: bool,
    /// Whether what is drawn hides what is drawn later.
    pub hides: bool,
    /// Whether it lies behind all that is drawn, infinitely far.
    pub behind: bool,
    /// Whether light is mixed with what is there by its share (alpha) instead of taking its place.
    pub mixes: bool,
}

impl<'a> Kind<'a> {
    /// Solid things.
    pub fn solid(source: &'a Source, groups: &'a [&'a BindGroupLayout], onto: Onto) -> Kind<'a> {
        Kind {
            source,
            groups,
            buffers: &[],
            onto,
            culls: false,
            hides: true,
            behind: false,
            mixes: false,
        }
    }

    /// The pipeline that draws so.
    pub fn pipeline(&self, device: &wgpu::Device) -> wgpu::RenderPipeline {
        self.specialised(device, "vs", &[])
    }

    /// The same, its corners from another entry of the module, and some of its constants set.
    pub fn specialised(
        &self,
        device: &wgpu::Device,
        vs: &str,
        constants: &[(&str, f64)],
    ) -> wgpu::RenderPipeline {
        let module = self.source.module(device);
        let layout = layout(device, self.groups);
        let compilation_options = wgpu::PipelineCompilationOptions {
            constants,
            ..Default::default()
        };
        let alpha = wgpu::BlendState::ALPHA_BLENDING;
        let compare = if self.behind {
            wgpu::CompareFunction::GreaterEqual
        } else {
            wgpu::CompareFunction::Greater
        };
        device.create_render_pipeline(&wgpu::RenderPipelineDescriptor {
            label: Some(self.source.name),
            layout: Some(&layout),
            vertex: wgpu::VertexState {
                module: &module,
                entry_point: Some(vs),
                compilation_options: compilation_options.clone(),
                buffers: self.buffers,
            },
            primitive: wgpu::PrimitiveState {
                cull_mode: self.culls.then_some(wgpu::Face::Back),
                ..Default::default()
            },
            depth_stencil: Some(depth_state(self.hides, compare)),
            multisample: wgpu::MultisampleState {
                count: self.onto.samples(),
                ..Default::default()
            },
            fragment: Some(wgpu::FragmentState {
                module: &module,
                entry_point: Some("fs"),
                compilation_options,
                targets: &[Some(wgpu::ColorTargetState {
                    format: self.onto.format(),
                    blend: self.mixes.then_some(alpha),
                    write_mask: wgpu::ColorWrites::ALL,
                })],
            }),
            multiview_mask: None,
            cache: None,
        })
    }
}

/// A depth buffer's state.
pub fn depth_state(writes: bool, compare: wgpu::CompareFunction) -> wgpu::DepthStencilState {
    wgpu::DepthStencilState {
        format: DEPTH_FORMAT,
        depth_write_enabled: Some(writes),
        depth_compare: Some(compare),
        stencil: Default::default(),
        bias: Default::default(),
    }
}

/// A layout of groups 0, 1, …
pub fn layout(device: &wgpu::Device, groups: &[&BindGroupLayout]) -> wgpu::PipelineLayout {
    let groups: Vec<Option<&BindGroupLayout>> = groups.iter().map(|group| Some(*group)).collect();
    device.create_pipeline_layout(&wgpu::PipelineLayoutDescriptor {
        label: None,
        bind_group_layouts: &groups,
        immediate_size: 0,
    })
}

/// A buffer with these bytes; never empty, since empty ones cannot be bound.
pub fn buffer(
    device: &wgpu::Device,
    label: &str,
    usage: wgpu::BufferUsages,
    bytes: &[u8],
) -> wgpu::Buffer {
    let size = bytes.len().next_multiple_of(16).max(16);
    let buffer = device.create_buffer(&wgpu::BufferDescriptor {
        label: Some(label),
        size: size as u64,
        usage: usage | wgpu::BufferUsages::COPY_DST,
        mapped_at_creation: true,
    });
    // A lost device maps nothing; what goes wrong is told by `Gpu::check`.
    if let Ok(mut mapped) = buffer.get_mapped_range_mut(..) {
        mapped.slice(..bytes.len()).copy_from_slice(bytes);
    }
    buffer.unmap();
    buffer
}

/// An entry of a layout.
pub fn entry(
    binding: u32,
    visibility: wgpu::ShaderStages,
    ty: wgpu::BindingType,
) -> wgpu::BindGroupLayoutEntry {
    wgpu::BindGroupLayoutEntry {
        binding,
        visibility,
        ty,
        count: None,
    }
}

/// A whole buffer as uniform or as storage that is only read.
pub fn buffer_type(ty: wgpu::BufferBindingType) -> wgpu::BindingType {
    wgpu::BindingType::Buffer {
        ty,
        has_dynamic_offset: false,
        min_binding_size: None,
    }
}

/// A texture that is loaded from, never filtered.
pub fn texture_type(
    sample_type: wgpu::TextureSampleType,
    view_dimension: wgpu::TextureViewDimension,
) -> wgpu::BindingType {
    wgpu::BindingType::Texture {
        sample_type,
        view_dimension,
        multisampled: false,
    }
}

/// A texture of one row or plane of numbers.
pub fn numbers(
    gpu: &crate::gpu::device::Gpu,
    label: &str,
    (columns, rows): (u32, u32),
    values: &[f32],
) -> wgpu::TextureView {
    let size = wgpu::Extent3d {
        width: columns,
        height: rows,
        depth_or_array_layers: 1,
    };
    let texture = gpu.device.create_texture(&wgpu::TextureDescriptor {
        label: Some(label),
        size,
        mip_level_count: 1,
        sample_count: 1,
        dimension: wgpu::TextureDimension::D2,
        format: wgpu::TextureFormat::R32Float,
        usage: wgpu::TextureUsages::TEXTURE_BINDING | wgpu::TextureUsages::COPY_DST,
        view_formats: &[],
    });
    gpu.queue.write_texture(
        texture.as_image_copy(),
        bytemuck::cast_slice(values),
        wgpu::TexelCopyBufferLayout {
            offset: 0,
            bytes_per_row: Some(4 * columns),
            rows_per_image: None,
        },
        size,
    );
    texture.create_view(&Default::default())
}
