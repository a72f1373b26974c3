//! The pass that draws the sun's three maps. May not enter: what a shadow does to colours.

use super::Prepared;
use super::casters::Casters;
use super::pipeline::{DEPTH_FORMAT, buffer, buffer_type, depth_state, entry, layout};
use super::runs::{From, Looks, Runs};
use super::shader::SHADOW;
use super::sun::clip_from_machine;
use super::uniforms::SunUniform;
use crate::gpu::device::Gpu;
use crate::sighting::view::View;
use wgpu::{BufferUsages, ShaderStages};

/// Pipelines of the pass.
pub struct Shadow {
    solid: wgpu::RenderPipeline,
    veiled: wgpu::RenderPipeline,
    sun_layout: wgpu::BindGroupLayout,
}

/// A stage's casters on the device.
pub struct CastersOnDevice {
    positions: wgpu::Buffer,
    veiled: wgpu::Buffer,
    /// The machine and things, tracks, and what is veiled.
    runs: [Runs; 3],
}

/// What the sun sees of the casters.
struct Seen {
    indices: wgpu::Buffer,
    /// Indices of what is solid, which come first, and of all.
    solid: u32,
    all: u32,
}

impl CastersOnDevice {
    /// Uploads them.
    pub fn new(gpu: &Gpu, casters: Casters) -> CastersOnDevice {
        let device = &gpu.device;
        let vertex = |label, bytes: &[u8]| buffer(device, label, BufferUsages::VERTEX, bytes);
        CastersOnDevice {
            positions: vertex("casters", bytemuck::cast_slice(&casters.positions)),
            veiled: vertex("veiled casters", bytemuck::cast_slice(&casters.veiled)),
            runs: casters.runs,
        }
    }

    fn seen(&self, gpu: &Gpu, map: usize, view: &View, closed: bool, is_sketch: bool) -> Seen {
        let is_far = map == 2;
        let looks = Looks {
            clip_from_machine: clip_from_machine(view),
            from: From::Along(view.forward),
            sees_backs: !closed,
            coarsely: is_sketch && is_far,
        };
        let [things, tracks, veiled] = &self.runs;
        let mut indices = vec![];
        things.gather(&looks, &mut indices);
        // Rails and ties lie below the machine: they shade only what lies about it.
        if map > 0 && !looks.coarsely {
            tracks.gather(&looks, &mut indices);
        }
        let solid = indices.len() as u32;
        veiled.gather(&looks, &mut indices);
        let bytes = bytemuck::cast_slice(&indices);
        Seen {
            indices: buffer(&gpu.device, "casters seen", BufferUsages::INDEX, bytes),
            solid,
            all: indices.len() as u32,
        }
    }
}

/// An array of three maps.
pub struct SunMaps {
    /// All layers, for shaders.
    pub view: wgpu::TextureView,
    layers: [wgpu::TextureView; 3],
    /// Texels across and down.
    pub texels: u32,
}

impl SunMaps {
    /// Empty maps.
    pub fn new(gpu: &Gpu, texels: u32) -> SunMaps {
        let texture = gpu.device.create_texture(&wgpu::TextureDescriptor {
            label: Some("sun maps"),
            size: wgpu::Extent3d {
                width: texels,
                height: texels,
                depth_or_array_layers: 3,
            },
            mip_level_count: 1,
            sample_count: 1,
            dimension: wgpu::TextureDimension::D2,
            format: DEPTH_FORMAT,
            usage: wgpu::TextureUsages::RENDER_ATTACHMENT | wgpu::TextureUsages::TEXTURE_BINDING,
            view_formats: &[],
        });
        let layer = |base_array_layer| {
            texture.create_view(&wgpu::TextureViewDescriptor {
                dimension: Some(wgpu::TextureViewDimension::D2),
                base_array_layer,
                array_layer_count: Some(1),
                ..Default::default()
            })
        };
        SunMaps {
            view: texture.create_view(&wgpu::TextureViewDescriptor {
                dimension: Some(wgpu::TextureViewDimension::D2Array),
                ..Default::default()
            }),
            layers: [0, 1, 2].map(layer),
            texels,
        }
    }
}

impl Shadow {
    /// Its pipelines.
    pub fn new(gpu: &Gpu) -> Shadow {
        let device = &gpu.device;
        let sun_layout = device.create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor {
            label: Some("sun"),
            entries: &[entry(
                0,
                ShaderStages::VERTEX,
                buffer_type(wgpu::BufferBindingType::Uniform),
            )],
        });
        let module = SHADOW.module(device);
        let layout = layout(device, &[&sun_layout]);
        let solid = wgpu::vertex_attr_array![0 => Float32x3];
        let veiled =
            wgpu::vertex_attr_array![0 => Float32x3, 1 => Float32, 2 => Float32, 3 => Uint32];
        let make =
            |vs: &str, fs: Option<&str>, stride: u64, attributes: &[wgpu::VertexAttribute]| {
                device.create_render_pipeline(&wgpu::RenderPipelineDescriptor {
                    label: Some(SHADOW.name),
                    layout: Some(&layout),
                    vertex: wgpu::VertexState {
                        module: &module,
                        entry_point: Some(vs),
                        compilation_options: Default::default(),
                        buffers: &[Some(wgpu::VertexBufferLayout {
                            array_stride: stride,
                            step_mode: wgpu::VertexStepMode::Vertex,
                            attributes,
                        })],
                    },
                    primitive: Default::default(),
                    depth_stencil: Some(depth_state(true, wgpu::CompareFunction::Less)),
                    multisample: Default::default(),
                    fragment: fs.map(|fs| wgpu::FragmentState {
                        module: &module,
                        entry_point: Some(fs),
                        compilation_options: Default::default(),
                        targets: &[],
                    }),
                    multiview_mask: None,
                    cache: None,
                })
            };
        Shadow {
            solid: make("vs_solid", None, 12, &solid),
            veiled: make("vs_veiled", Some("fs_veiled"), 24, &veiled),
            sun_layout,
        }
    }

    /// Draws one map of a sun, on so many of its texels; a sketch leaves out what is small far off.
    pub fn draw(
        &self,
        gpu: &Gpu,
        map: usize,
        view: &View,
        stage: &Prepared,
        maps: &SunMaps,
        (used, is_sketch): (u32, bool),
    ) {
        let casters = &stage.casters;
        let uniform = SunUniform {
            clip_from_machine: clip_from_machine(view).as_mat4(),
            right: view.right.extend(0.0).as_vec4(),
            up: view.up.extend(0.0).as_vec4(),
        };
        let bytes = bytemuck::bytes_of(&uniform);
        let sun = buffer(&gpu.device, "sun", BufferUsages::UNIFORM, bytes);
        let group = gpu.device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some("sun"),
            layout: &self.sun_layout,
            entries: &[wgpu::BindGroupEntry {
                binding: 0,
                resource: sun.as_entire_binding(),
            }],
        });
        let seen = casters.seen(gpu, map, view, stage.closed, is_sketch);
        let mut encoder = gpu.device.create_command_encoder(&Default::default());
        let mut pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
            label: Some(SHADOW.name),
            depth_stencil_attachment: Some(wgpu::RenderPassDepthStencilAttachment {
                view: &maps.layers[map],
                depth_ops: Some(wgpu::Operations {
                    load: wgpu::LoadOp::Clear(1.0),
                    store: wgpu::StoreOp::Store,
                }),
                stencil_ops: None,
            }),
            ..Default::default()
        });
        pass.set_viewport(0.0, 0.0, used as f32, used as f32, 0.0, 1.0);
        pass.set_bind_group(0, &group, &[]);
        pass.set_pipeline(&self.solid);
        pass.set_vertex_buffer(0, casters.positions.slice(..));
        pass.set_index_buffer(seen.indices.slice(..), wgpu::IndexFormat::Uint32);
        pass.draw_indexed(0..seen.solid, 0, 0..1);
        if seen.all > seen.solid {
            pass.set_pipeline(&self.veiled);
            pass.set_vertex_buffer(0, casters.veiled.slice(..));
            pass.draw_indexed(seen.solid..seen.all, 0, 0..1);
        }
        drop(pass);
        gpu.queue.submit([encoder.finish()]);
    }
}
