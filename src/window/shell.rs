//! The window itself: winit's events, the surface, egui's input and paint. It draws when something changed and sleeps
//! otherwise. May not enter: what the window shows.

use super::app::App;
use super::screen::Screen;
use super::shelter::{SCALE_VARIABLE, check_scale, essence, sheltered};
use super::surface::{Surface, Taken};
use crate::gpu::device::GpuError;
use crate::rehearsal::remembered::Place;
use egui::{ViewportCommand, ViewportId};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};
use winit::application::ApplicationHandler;
use winit::dpi::{LogicalPosition, LogicalSize};
use winit::event::{StartCause, WindowEvent};
use winit::event_loop::{ActiveEventLoop, ControlFlow, EventLoop, EventLoopProxy};
use winit::window::{Window, WindowId};

/// Smallest window in which everything has its place, points.
const SMALLEST: [f64; 2] = [1024.0, 700.0];
/// The first time's, points.
const USUAL: [f64; 2] = [1280.0, 800.0];

/// A screen that was not ready is asked again after this time.
const LATER: Duration = Duration::from_millis(30);
/// A driver that has failed is asked so often for another device, with such pauses: it needs a while to come up again.
const TRIES: u32 = 5;
const TRY_EVERY: Duration = Duration::from_millis(400);

/// What comes from elsewhere than the window's own system.
#[derive(Clone, Copy, Debug)]
pub enum Call {
    /// Somebody else than the user wants a redraw.
    Wake,
    /// The system asks the program to end.
    Close,
}

/// Why there is no window.
#[derive(Debug, thiserror::Error)]
pub enum WindowError {
    /// No display.
    #[error(
        "no window can be opened: {0} (on a system without a screen use plan, grade and the other commands, which \
         need none)"
    )]
    NoDisplay(String),
    /// The system's variable for the scale is no scale.
    #[error(
        "{SCALE_VARIABLE} is {0:?}: a scale is a number from 0.25 to 8, or \"randr\"; unset it to let the screen tell"
    )]
    Scale(String),
    /// The display is gone, or the window's own machinery broke down.
    #[error("the window broke down: {0} (files are as they were saved last)")]
    Broken(String),
    /// No adapter, or one that cannot draw to a window.
    #[error(transparent)]
    Gpu(#[from] GpuError),
    /// The device is gone, and no other one is to be had.
    #[error(
        "{lost}; and then: {then} (files and settings are as they were; the frames in the tray are gone)"
    )]
    GpuLost {
        /// What happened.
        lost: GpuError,
        /// Why there is no other.
        then: GpuError,
    },
}

/// What is open.
struct Open {
    window: Arc<Window>,
    surface: Surface,
    input: egui_winit::State,
}

/// The application as winit drives it.
struct Shell<'a> {
    app: &'a mut App,
    context: egui::Context,
    open: Option<Open>,
    /// When egui wants to be drawn next, if at all.
    next: Option<Instant>,
    failed: Option<WindowError>,
}

/// Opens the window and runs until it is closed. `make` gets what wakes the window from elsewhere.
///
/// # Errors
/// There is no display or no adapter.
pub fn run(
    context: &egui::Context,
    make: impl FnOnce(Arc<dyn Fn() + Send + Sync>) -> App,
) -> Result<(), WindowError> {
    check_scale(std::env::var_os(SCALE_VARIABLE).as_deref())?;
    let no_display =
        |error: winit::error::EventLoopError| WindowError::NoDisplay(essence(&error.to_string()));
    let events = EventLoop::<Call>::with_user_event()
        .build()
        .map_err(no_display)?;
    let proxy = events.create_proxy();
    let wake = waker(&proxy);
    close_when_told(proxy);
    let for_egui = Arc::clone(&wake);
    context.set_request_repaint_callback(move |_| for_egui());
    let mut app = make(wake);
    context.set_theme(app.theme());
    let mut shell = Shell {
        app: &mut app,
        context: context.clone(),
        open: None,
        next: None,
        failed: None,
    };
    let ran = sheltered(|| events.run_app(&mut shell));
    let ran = ran.map_err(|message| {
        // Nothing can be said to a display any more that is gone: what is open is not closed, it ends with the program.
        std::mem::forget(shell.open.take());
        WindowError::Broken(message)
    });
    let ran = ran.and_then(|ran| ran.map_err(no_display));
    let failed = shell.failed.take();
    // Fonts and pictures that no redraw has taken over are dropped on purpose.
    context.tex_manager().write().take_delta().clear();
    ran?;
    failed.map_or(Ok(()), Err)
}

fn waker(proxy: &EventLoopProxy<Call>) -> Arc<dyn Fn() + Send + Sync> {
    let proxy = proxy.clone();
    Arc::new(move || {
        // The loop is gone when the window is closing: nobody is left to be woken.
        let _ = proxy.send_event(Call::Wake);
    })
}

/// Ctrl-C in the terminal, or a system that shuts down, closes the window as its button does: what is remembered is
/// written. A second call need not wait: no file is ever half written.
fn close_when_told(proxy: EventLoopProxy<Call>) {
    let told = AtomicBool::new(false);
    // Where nobody listens, the program ends at once, as any other.
    let _ = ctrlc::set_handler(move || {
        if told.swap(true, Ordering::Relaxed) || proxy.send_event(Call::Close).is_err() {
            std::process::exit(130);
        }
    });
}

impl Shell<'_> {
    fn open(&mut self, events: &ActiveEventLoop) -> Result<Open, WindowError> {
        let place = self.app.place();
        let [width, height] = place.map_or(USUAL, |place| place.size);
        // No larger than the largest screen that there is.
        let screens = events.available_monitors().map(|screen| {
            let size: LogicalSize<f64> = screen.size().to_logical(screen.scale_factor());
            [size.width, size.height].map(|points| points.max(1.0))
        });
        let largest = screens.reduce(|a, b| [a[0].max(b[0]), a[1].max(b[1])]);
        let [widest, highest] = largest.unwrap_or([width, height]);
        let [width, height] = [width.min(widest), height.min(highest)];
        let mut attributes = Window::default_attributes()
            .with_title(self.app.title())
            .with_min_inner_size(LogicalSize::new(SMALLEST[0], SMALLEST[1]))
            .with_inner_size(LogicalSize::new(width, height))
            .with_maximized(place.is_some_and(|place| place.maximised));
        if let Some([x, y]) = place.and_then(|place| place.position) {
            attributes = attributes.with_position(LogicalPosition::new(x, y));
        }
        let window = events.create_window(attributes);
        let window = window.map_err(|error| WindowError::NoDisplay(error.to_string()))?;
        let window = Arc::new(window);
        let surface = Surface::new(events, &window)?;
        let most = surface.gpu.device.limits().max_texture_dimension_2d as usize;
        let input = egui_winit::State::new(
            self.context.clone(),
            ViewportId::ROOT,
            events,
            Some(window.scale_factor() as f32),
            window.theme(),
            Some(most),
        );
        Ok(Open {
            window,
            surface,
            input,
        })
    }

    fn fail(&mut self, events: &ActiveEventLoop, error: WindowError) {
        self.failed = Some(error);
        events.exit();
    }

    /// One redraw.
    fn redraw(&mut self, events: &ActiveEventLoop) {
        let Some(open) = &mut self.open else { return };
        let size = open.window.inner_size();
        if size.width == 0 || size.height == 0 {
            return; // minimised
        }
        let input = open.input.take_egui_input(&open.window);
        let app = &mut *self.app;
        let Surface {
            gpu, painter, lit, ..
        } = &mut open.surface;
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
        let egui::FullOutput {
            platform_output,
            textures_delta,
            shapes,
            pixels_per_point,
            viewport_output,
        } = output;
        open.input
            .handle_platform_output(&open.window, platform_output);
        let shapes = self.context.tessellate(shapes, pixels_per_point);
        let size = [size.width, size.height];
        let mut again = None;
        match open
            .surface
            .paint(size, pixels_per_point, textures_delta, shapes, &touched)
        {
            Taken::Painted => {}
            Taken::Later => again = Some(LATER),
            Taken::Never => {}
            Taken::Lost(error) => return self.reopen(events, error),
        }
        let root = viewport_output.get(&ViewportId::ROOT);
        let closes = root.is_some_and(|root| root.commands.contains(&ViewportCommand::Close));
        let delay = root.map(|root| root.repaint_delay);
        let delay = delay.into_iter().chain(again).min();
        self.next = delay.and_then(|delay| Instant::now().checked_add(delay));
        let title = self.app.title();
        if open.window.title() != title {
            open.window.set_title(&title);
        }
        if closes && self.may_close() {
            self.close(events);
        }
    }

    /// The device is gone: everything that lay on it is made anew. Where that fails too, the window closes and says why.
    fn reopen(&mut self, events: &ActiveEventLoop, lost: GpuError) {
        let Some(open) = self.open.take() else { return };
        self.app.device_lost(&lost);
        let Open {
            window,
            surface,
            input,
        } = open;
        let page = surface.into_painter();
        let mut surface = Surface::new(events, &window);
        for _ in 1..TRIES {
            if surface.is_ok() {
                break;
            }
            std::thread::sleep(TRY_EVERY);
            surface = Surface::new(events, &window);
        }
        match surface {
            Ok(mut surface) => {
                surface.take_over(page);
                window.request_redraw();
                self.open = Some(Open {
                    window,
                    surface,
                    input,
                });
            }
            Err(then) => {
                self.app.close(place_of(&window), self.context.theme());
                self.fail(events, WindowError::GpuLost { lost, then });
            }
        }
    }

    /// Whether nothing would be lost; else the page asks.
    fn may_close(&mut self) -> bool {
        let may = self.app.may_close();
        if let Some(open) = self.open.as_ref().filter(|_| !may) {
            open.window.request_redraw();
        }
        may
    }

    fn close(&mut self, events: &ActiveEventLoop) {
        if let Some(open) = &self.open {
            self.app.close(place_of(&open.window), self.context.theme());
            // What is still being painted ends before the program does; nobody need look on.
            open.window.set_visible(false);
        }
        events.exit();
    }
}

/// Where a window is, to be remembered.
fn place_of(window: &Window) -> Place {
    let scale = window.scale_factor();
    let size: LogicalSize<f64> = window.inner_size().to_logical(scale);
    let position = window.outer_position().ok();
    let position = position.map(|at| at.to_logical::<f64>(scale));
    Place {
        size: [size.width, size.height],
        position: position.map(|at| [at.x, at.y]),
        maximised: window.is_maximized(),
    }
}

impl ApplicationHandler<Call> for Shell<'_> {
    fn new_events(&mut self, _: &ActiveEventLoop, cause: StartCause) {
        if let (StartCause::ResumeTimeReached { .. }, Some(open)) = (cause, &self.open) {
            self.next = None;
            open.window.request_redraw();
        }
    }

    fn resumed(&mut self, events: &ActiveEventLoop) {
        if self.open.is_some() {
            return;
        }
        match self.open(events) {
            Ok(open) => {
                open.window.request_redraw();
                self.open = Some(open);
            }
            Err(error) => self.fail(events, error),
        }
    }

    fn user_event(&mut self, events: &ActiveEventLoop, call: Call) {
        match (call, &self.open) {
            (Call::Wake, Some(open)) => open.window.request_redraw(),
            (Call::Wake, None) => {}
            (Call::Close, _) => self.close(events),
        }
    }

    fn window_event(&mut self, events: &ActiveEventLoop, _: WindowId, event: WindowEvent) {
        match event {
            WindowEvent::CloseRequested => {
                if self.may_close() {
                    self.close(events);
                }
                return;
            }
            WindowEvent::RedrawRequested => return self.redraw(events),
            _ => {}
        }
        let Some(open) = &mut self.open else { return };
        let answer = open.input.on_window_event(&open.window, &event);
        if answer.repaint {
            open.window.request_redraw();
        }
    }

    fn about_to_wait(&mut self, events: &ActiveEventLoop) {
        match self.next {
            Some(next) if next <= Instant::now() => {
                self.next = None;
                if let Some(open) = &self.open {
                    open.window.request_redraw();
                }
                events.set_control_flow(ControlFlow::Wait);
            }
            Some(next) => events.set_control_flow(ControlFlow::WaitUntil(next)),
            None => events.set_control_flow(ControlFlow::Wait),
        }
    }
}
