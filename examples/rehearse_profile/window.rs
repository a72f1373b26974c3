//! The window's code on an offscreen target: redraws, rest, drags. May not enter: what is told of them.

use egui::{Event, Modifiers, PointerButton, Pos2, Rect, vec2};
use std::error::Error;
use std::sync::Arc;
use std::time::{Duration, Instant};
use sunside::gpu::device::Gpu;
use sunside::picture::lit::Lit;
use sunside::window::app::App;
use sunside::window::painter::Painter;
use sunside::window::screen::Screen;

/// The rehearsal window on an offscreen target.
pub struct Window {
    pub gpu: Arc<Gpu>,
    pub painter: Painter,
    pub lit: Option<Lit>,
    pub context: egui::Context,
    pub app: App,
    pub target: wgpu::TextureView,
    pub size: [u32; 2],
    pub start: Instant,
    /// Triangles and draws of the last redraw's interface.
    pub drawn: [usize; 2],
}

/// What one redraw took.
#[derive(Clone, Copy, Default)]
pub struct Took {
    /// Laying out, with the picture's work handed in.
    pub layout: Duration,
    /// Painting the interface, and waiting until the device is done with all of it.
    pub device: Duration,
}

impl Took {
    pub fn whole(&self) -> Duration {
        self.layout + self.device
    }
}

impl Window {
    pub fn redraw(&mut self, events: Vec<Event>) -> Result<Took, Box<dyn Error>> {
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
        let lit = &mut self.lit;
        let mut touched = vec![];
        let output = self.context.run_ui(input, |ui| {
            let mut screen = Screen {
                gpu,
                renderer: &mut painter.renderer,
                lit,
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
            .paint(gpu, size, 1.0, output.textures_delta, shapes, &touched)?;
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
    pub fn settle(&mut self) -> Result<(), Box<dyn Error>> {
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
    pub fn drag(
        &mut self,
        from: Pos2,
        step: egui::Vec2,
        redraws: usize,
    ) -> Result<(Vec<Took>, f64), Box<dyn Error>> {
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
        for n in 0..redraws {
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
