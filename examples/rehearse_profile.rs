//! What a redraw of the rehearsal window takes while nothing changes, while the camera is dragged and while time is, and
//! how often the frame is graded meanwhile. May not enter: what the window shows. It is the real window's code on an offscreen target, so that it runs on any adapter.
//! `cargo run --release --example rehearse_profile -- SCENE [WIDTH HEIGHT]`

use egui::{Event, Modifiers, PointerButton, Pos2, Rect, pos2, vec2};
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
use sunside::window::screen::Screen;
use sunside::window::theme;

/// Redraws of each kind.
const REDRAWS: usize = 90;

struct Window {
    gpu: Arc<Gpu>,
    painter: Painter,
    context: egui::Context,
    app: App,
    target: wgpu::TextureView,
    size: [u32; 2],
    start: Instant,
    /// Triangles and draws of the last redraw's interface.
    drawn: [usize; 2],
}

/// What one redraw took.
#[derive(Clone, Copy, Default)]
struct Took {
    /// Laying out, with the picture's work handed in.
    layout: Duration,
    /// Painting the interface, and waiting until the device is done with all of it.
    device: Duration,
}

impl Took {
    fn whole(&self) -> Duration {
        self.layout + self.device
    }
}

impl Window {
    fn redraw(&mut self, events: Vec<Event>) -> Result<Took, Box<dyn Error>> {
        let begin = Instant::now();
        let [width, height] = self.size;
        let rect = Rect::from_min_size(Pos2::ZERO, vec2(width as f32, height as f32));
        let input = egui::RawInput {
            screen_rect: Some(rect),
            time: Some(self.start.elapsed().as_secs_f64()),
            events,
            focused: true,
            ..Default::default()
        };
        let (app, gpu, painter) = (&mut self.app, &self.gpu, &mut self.painter);
        let mut touched = vec![];
        let output = self.context.run_ui(input, |ui| {
            let mut screen = Screen {
                gpu,
                renderer: &mut painter.renderer,
                touched: &mut touched,
            };
            app.ui(ui, &mut screen);
        });
        let layout = begin.elapsed();
        let shapes = self.context.tessellate(output.shapes, 1.0);
        let triangles = shapes.iter().map(|shape| match &shape.primitive {
            egui::epaint::Primitive::Mesh(mesh) => mesh.indices.len() / 3,
            egui::epaint::Primitive::Callback(_) => 0,
        });
        self.drawn = [triangles.sum(), shapes.len()];
        let (gpu, size) = (&self.gpu, self.size);
        self.painter
            .paint(gpu, size, 1.0, output.textures_delta, shapes, &touched);
        // As onto a screen.
        let mut encoder = gpu.device.create_command_encoder(&Default::default());
        self.painter.show_on(&mut encoder, &self.target);
        gpu.queue.submit([encoder.finish()]);
        gpu.wait()?;
        Ok(Took {
            layout,
            device: begin.elapsed() - layout,
        })
    }

    /// Redraws until the frame is proved and its still is shown.
    fn settle(&mut self) -> Result<(), Box<dyn Error>> {
        let begin = Instant::now();
        let mut rested = 0;
        while rested < 20 {
            let took = self.redraw(vec![])?;
            let proved = self.app.rehearsing().is_some_and(|page| {
                let proved = page.desk.graded.as_ref().is_some_and(|one| one.proved);
                let day = page.desk.day.as_ref().is_some_and(|day| day.day.is_proved);
                let ground = page.desk.ground.as_ref();
                let ground = ground.is_some_and(|ground| ground.patch.share >= 1.0);
                proved && page.desk.is_graded() && day && ground
            });
            rested = if proved { rested + 1 } else { 0 };
            std::thread::sleep(Duration::from_millis(50).saturating_sub(took.whole()));
            if begin.elapsed() > Duration::from_secs(120) {
                return Err("the rehearsal does not come to rest".into());
            }
        }
        Ok(())
    }

    /// Address of the frame that was graded last: another one is another grade.
    fn grade(&mut self) -> usize {
        let graded = self
            .app
            .rehearsing()
            .and_then(|page| page.desk.graded.clone());
        graded.map_or(0, |graded| Arc::as_ptr(&graded) as usize)
    }

    /// Drags from a place by steps, and tells what each redraw took and how many grades came.
    fn drag(&mut self, from: Pos2, step: egui::Vec2) -> Result<(Vec<Took>, f64), Box<dyn Error>> {
        let button = |pos, pressed| Event::PointerButton {
            pos,
            button: PointerButton::Primary,
            pressed,
            modifiers: Modifiers::NONE,
        };
        self.redraw(vec![Event::PointerMoved(from), button(from, true)])?;
        let begin = Instant::now();
        let (mut took, mut grades, mut last) = (vec![], 0, self.grade());
        let mut at = from;
        for n in 0..REDRAWS {
            // To and fro, so that the machine stays in the frame.
            let way = if (n / 15) % 2 == 0 { 1.0 } else { -1.0 };
            at += step * way;
            took.push(self.redraw(vec![Event::PointerMoved(at)])?);
            let grade = self.grade();
            grades += usize::from(grade != last);
            last = grade;
        }
        let per_s = grades as f64 / begin.elapsed().as_secs_f64();
        self.redraw(vec![button(at, false)])?;
        Ok((took, per_s))
    }
}

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
    let (took, per_s) = window.drag(middle, vec2(3.0, 0.0))?;
    told("the camera is dragged", &took, Some(per_s));
    window.settle()?;
    let lanes = pos2(size[0] as f32 * 0.45, 140.0);
    let (took, per_s) = window.drag(lanes, vec2(4.0, 0.0))?;
    told("time is dragged", &took, Some(per_s));
    Ok(())
}
