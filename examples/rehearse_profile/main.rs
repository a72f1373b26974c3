//! What a redraw of the rehearsal window takes while nothing changes, while the camera is dragged and while time is, and
//! how often the frame is graded meanwhile; then each part of a frame by itself. It is the real window's code on an
//! offscreen target, so that it runs on any adapter. May not enter: what the window shows.
//! `cargo run --release --example rehearse_profile -- SCENE [WIDTH HEIGHT]`

mod parts;
mod window;

use egui::{pos2, vec2};
use std::error::Error;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant, SystemTime};
use sunside::gpu::device::Gpu;
use sunside::grade::Rulebook;
use sunside::rehearsal::opening::Begin;
use sunside::rehearsal::remembered::Remembered;
use sunside::sighting::cpu::Cpu;
use sunside::window::app::{App, Means};
use sunside::window::painter::Painter;
use sunside::window::theme;
use window::{Took, Window};

/// Redraws of each kind.
const REDRAWS: usize = 90;

fn told(what: &str, took: &[Took], per_s: Option<f64>) {
    let median = |of: &dyn Fn(&Took) -> Duration| {
        let mut all: Vec<f64> = took.iter().map(|one| of(one).as_secs_f64() * 1e3).collect();
        all.sort_by(f64::total_cmp);
        (all[all.len() / 2], all[all.len() * 95 / 100])
    };
    let (whole, worst) = median(&Took::whole);
    let (layout, _) = median(&|one| one.layout);
    let (device, _) = median(&|one| one.device);
    let grades = per_s.map_or(String::new(), |per_s| {
        format!(", {per_s:.0} grades a second")
    });
    println!(
        "{what}: {whole:.1} ms a redraw ({:.0} a second; 95 % within {worst:.1} ms): layout {layout:.1}, device \
         {device:.1}{grades}",
        1e3 / whole
    );
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let scene = PathBuf::from(arguments.next().ok_or("name a scene file")?);
    let mut number = |usual: u32| arguments.next().map_or(Ok(usual), |text| text.parse());
    let size = [number(1280)?, number(800)?];
    let options = wgpu::InstanceDescriptor::new_without_display_handle_from_env();
    let (gpu, _) = Gpu::open_for(&wgpu::Instance::new(options), None)?;
    println!("{}, {} x {}", gpu.name, size[0], size[1]);
    let format = wgpu::TextureFormat::Rgba8Unorm;
    let target = gpu.device.create_texture(&wgpu::TextureDescriptor {
        label: Some("window"),
        size: wgpu::Extent3d {
            width: size[0],
            height: size[1],
            depth_or_array_layers: 1,
        },
        mip_level_count: 1,
        sample_count: 1,
        dimension: wgpu::TextureDimension::D2,
        format,
        usage: wgpu::TextureUsages::RENDER_ATTACHMENT,
        view_formats: &[],
    });
    let context = egui::Context::default();
    theme::dress(&context);
    let means = Means {
        rulebook: Box::leak(Box::new(Rulebook::roster())),
        rasterizer: Box::leak(Box::new(Cpu::default())),
        waker: Arc::new(|| {}),
        today: SystemTime::now().into(),
    };
    let nowhere = Remembered::load_from(&std::env::temp_dir().join("sunside-profile"));
    let app = App::new(means, Some((&scene, Begin::default())), nowhere);
    let painter = Painter::new(&gpu, format);
    let mut window = Window {
        gpu: Arc::new(gpu),
        painter,
        lit: None,
        context,
        app,
        target: target.create_view(&Default::default()),
        size,
        start: Instant::now(),
        drawn: [0; 2],
    };
    window.settle()?;
    let still: Result<Vec<Took>, _> = (0..REDRAWS).map(|_| window.redraw(vec![])).collect();
    told("nothing changes", &still?, None);
    println!("{} triangles, {} draws", window.drawn[0], window.drawn[1]);
    let middle = pos2(size[0] as f32 * 0.5, size[1] as f32 * 0.55);
    let (took, per_s) = window.drag(middle, vec2(3.0, 0.0), REDRAWS)?;
    told("the camera is dragged", &took, Some(per_s));
    window.settle()?;
    let lanes = pos2(size[0] as f32 * 0.45, 140.0);
    let (took, per_s) = window.drag(lanes, vec2(4.0, 0.0), REDRAWS)?;
    told("time is dragged", &took, Some(per_s));
    window.settle()?;
    parts::tell(&mut window)
}
