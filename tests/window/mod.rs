//! A window without a screen: the application drawn into egui's test harness on the tests' own device, its widgets found
//! by their labels. Nothing of it reads or writes the user's own settings. May not enter: what a test asks.

pub mod page;

use crate::graphics::adapter;
use egui::{Event, Key, Modifiers, MouseWheelUnit, Pos2, Rect, TouchPhase, Vec2, vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use egui_kittest::{Harness, Node};
use glam::DVec2;
use image::RgbaImage;
use page::{Page, Shared};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Condvar, Mutex, OnceLock, PoisonError};
use std::time::{Duration, Instant};
use sunside::gpu::choice::Choice;
use sunside::gpu::device::Gpu;
use sunside::grade::{Rulebook, Verdict};
use sunside::picture::lit::Lit;
use sunside::practise::progress::Drill;
use sunside::practise::store::Store;
use sunside::practise::tutor;
use sunside::rehearsal::bench::GradedTake;
use sunside::rehearsal::desk::Desk;
use sunside::rehearsal::marking::session::State;
use sunside::rehearsal::opening::Begin;
use sunside::rehearsal::remembered::Remembered;
use sunside::sighting::cpu::Cpu;
use sunside::window::app::{App, Means};
use sunside::window::marking::MarkingPage;
use sunside::window::practising::Practice;
use sunside::window::screen::Screen;
use sunside::window::theme;
use tempfile::TempDir;

/// The box machine on its siding: graded in a blink.
pub const BOX: &str = "tests/scenes/box_siding.toml";

/// Far longer than anything takes: only what never comes fails.
const LONGEST: Duration = Duration::from_secs(90);

/// What the harness draws.
pub struct Stage {
    pub app: App,
    pub page: Shared,
}

/// What paints frames on the tests' device: its passes are built once for as many windows as there are at a time.
static LIT: Mutex<Vec<Lit>> = Mutex::new(vec![]);

/// A window.
pub struct Window {
    pub harness: Harness<'static, Stage>,
    /// Where the settings of this one window would be, and room for its files.
    pub folder: TempDir,
    _place: Place,
}

/// How large, in points, and pixels to a point.
#[derive(Clone, Copy, Debug)]
pub struct Size(pub f32, pub f32, pub f32);

/// The rules that ship, for as long as the tests run.
fn rulebook() -> &'static Rulebook {
    static RULES: OnceLock<Rulebook> = OnceLock::new();
    RULES.get_or_init(Rulebook::roster)
}

fn rasterizer() -> &'static Cpu {
    static CPU: OnceLock<Cpu> = OnceLock::new();
    CPU.get_or_init(Cpu::default)
}

fn means() -> Means {
    Means {
        rulebook: rulebook(),
        rasterizer: rasterizer(),
        waker: Arc::new(|| {}),
        today: "2027-05-14T15:00:00Z".parse().unwrap(),
    }
}

/// The box machine's scene, with more in it, where it may be written, its model and another one beside it.
pub fn box_site(folder: &Path, more: &str) -> PathBuf {
    for part in ["scenes", "models"] {
        std::fs::create_dir_all(folder.join(part)).unwrap();
    }
    for name in [
        "box_machine.toml",
        "box_machine.obj",
        "two_boxes.toml",
        "two_boxes.obj",
    ] {
        let name = Path::new("models").join(name);
        std::fs::copy(Path::new("tests").join(&name), folder.join(&name)).unwrap();
    }
    let scene = folder.join("scenes/box_siding.toml");
    std::fs::write(&scene, std::fs::read_to_string(BOX).unwrap() + more).unwrap();
    scene
}

/// The same with little ground, so that all of it is soon searched and shaded.
pub fn narrow_site(folder: &Path) -> PathBuf {
    site_with_ground(folder, "[[18, -27], [27, -27], [27, -18], [18, -18]]")
}

/// The same with ground within these corners.
pub fn site_with_ground(folder: &Path, narrow: &str) -> PathBuf {
    let scene = box_site(folder, "");
    let text = std::fs::read_to_string(&scene).unwrap();
    let wide = "[[9, -60], [60, -60], [60, 60], [9, 60]]";
    assert!(text.contains(wide));
    std::fs::write(&scene, text.replace(wide, narrow)).unwrap();
    scene
}

/// Two windows at a time: each waits for its own clock half of the time, and more would share the processors with
/// whatever else is tested.
struct Place;

static PLACES: (Mutex<u32>, Condvar) = (Mutex::new(2), Condvar::new());

impl Place {
    fn take() -> Place {
        let left = PLACES.0.lock().unwrap_or_else(PoisonError::into_inner);
        let left = PLACES.1.wait_while(left, |left| *left == 0);
        *left.unwrap_or_else(PoisonError::into_inner) -= 1;
        Place
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        *PLACES.0.lock().unwrap_or_else(PoisonError::into_inner) += 1;
        PLACES.1.notify_one();
    }
}

impl Drop for Window {
    fn drop(&mut self) {
        let mut page = self.harness.state().page.lock();
        if adapter().is_some_and(|gpu| Arc::ptr_eq(&gpu, &page.gpu)) {
            let mut known = LIT.lock().unwrap_or_else(PoisonError::into_inner);
            known.extend(page.lit.take());
        }
    }
}

impl Window {
    /// The start page, or a scene that is being opened; none where no adapter is expected.
    pub fn new(scene: Option<&Path>, size: Size) -> Option<Window> {
        Some(Window::on(adapter()?, scene, size))
    }

    /// Photographs of a scene that are to be marked.
    pub fn judging(scene: &Path, photographs: &[&Path], size: Size) -> Option<Window> {
        let photographs = photographs.iter().map(|path| path.to_path_buf());
        let begin = Begin {
            photographs: photographs.collect(),
            ..Begin::default()
        };
        let mut window = Window::begun(adapter()?, Some((scene, begin)), size);
        window.until("the photograph is read", |window| {
            window
                .marking()
                .is_some_and(|page| !matches!(page.session.state, State::Opening))
        });
        Some(window)
    }

    /// The photographs, if they are on the screen.
    pub fn marking(&mut self) -> Option<&mut MarkingPage> {
        self.harness.state_mut().app.marking()
    }

    /// The same on a device.
    pub fn on(gpu: Arc<Gpu>, scene: Option<&Path>, size: Size) -> Window {
        Window::begun(gpu, scene.map(|scene| (scene, Begin::default())), size)
    }

    fn begun(gpu: Arc<Gpu>, scene: Option<(&Path, Begin)>, size: Size) -> Window {
        let folder = TempDir::new().unwrap();
        let remembered = Remembered::load_from(folder.path());
        let store = Store::within(folder.path());
        let app = App::new(means(), scene, remembered).keeping(store);
        Window::showing(gpu, app, folder, size)
    }

    /// The page on which the eye is trained, its frames small and painted by the processor; none where no adapter is
    /// expected.
    pub fn practising(scenes: &[&str], drill: Drill, rounds: u32, size: Size) -> Option<Window> {
        let folder = TempDir::new().unwrap();
        let remembered = Remembered::load_from(folder.path());
        let practice = Practice {
            means: tutor::Means {
                scenes: scenes.iter().map(PathBuf::from).collect(),
                rulebook: rulebook(),
                rasterizer: rasterizer(),
                painter: Choice::Cpu,
                width_px: 160,
                seed: 4,
                today: means().today,
            },
            drill: Some(drill),
            rounds,
            store: Store::within(folder.path()),
        };
        let app = App::practising(means(), practice, remembered);
        Some(Window::showing(adapter()?, app, folder, size))
    }

    fn showing(gpu: Arc<Gpu>, app: App, folder: TempDir, size: Size) -> Window {
        let Size(width, height, pixels) = size;
        let place = Place::take();
        let mut lit = LIT.lock().unwrap_or_else(PoisonError::into_inner);
        let same = lit.iter().position(|lit| std::ptr::eq(lit.gpu(), &*gpu));
        let lit = same.map(|at| lit.swap_remove(at));
        let page = Shared::new(Page::new(gpu, lit));
        let stage = Stage {
            app,
            page: page.clone(),
        };
        let harness = Harness::builder()
            .with_size(vec2(width, height))
            .with_pixels_per_point(pixels)
            .with_context_setup(theme::dress)
            .renderer(page)
            .build_ui_state(
                |ui, stage: &mut Stage| {
                    let Stage { app, page } = stage;
                    let page = &mut *page.lock();
                    let mut screen = Screen {
                        gpu: &page.gpu,
                        renderer: &mut page.painter.renderer,
                        lit: &mut page.lit,
                        touched: &mut page.touched,
                    };
                    app.ui(ui, &mut screen);
                },
                stage,
            );
        Window {
            harness,
            folder,
            _place: place,
        }
    }

    /// A scene, open and graded, in the smallest window.
    pub fn of(scene: &str) -> Option<Window> {
        Window::sized(scene, Size(1024.0, 700.0, 1.0))
    }

    /// The same in a window of a size.
    pub fn sized(scene: &str, size: Size) -> Option<Window> {
        let mut window = Window::new(Some(Path::new(scene)), size)?;
        window.until("the scene is open", |window| window.is_open());
        window.proved();
        Some(window)
    }

    /// The same window in another size.
    pub fn resize(&mut self, Size(width, height, pixels): Size) {
        // The screen's own scale, not the page's zoom.
        let viewports = &mut self.harness.input_mut().viewports;
        let root = viewports.entry(egui::ViewportId::ROOT).or_default();
        root.native_pixels_per_point = Some(pixels);
        self.harness.set_size(vec2(width, height));
        self.harness.run_steps(3);
    }

    /// The page as it is painted.
    pub fn picture(&mut self) -> RgbaImage {
        self.harness.render().unwrap()
    }

    /// Waits until it asks for no more redraws: the still is drawn.
    pub fn rests(&mut self) {
        self.until("it asks for no more redraws", |window| {
            let root = &window.harness.output().viewport_output[&egui::ViewportId::ROOT];
            root.repaint_delay > Duration::from_secs(1)
        });
    }

    /// Waits until the day is followed and the ground shaded for the take as it is.
    pub fn surveyed(&mut self) {
        self.until("the day and the ground are known", |window| {
            let desk = window.desk();
            let take = &desk.take;
            let day = desk.day.as_ref();
            let day = day.is_some_and(|day| day.is_of(take, desk.date()) && day.day.is_proved);
            let ground = desk.ground.as_ref();
            day && ground.is_some_and(|ground| {
                let of = ground.is_of(&take.setting, take.at, &take.stand);
                of && ground.patch.share >= 1.0
            })
        });
    }

    pub fn is_open(&mut self) -> bool {
        self.harness.state_mut().app.rehearsing().is_some()
    }

    /// What is rehearsed.
    pub fn desk(&mut self) -> &mut Desk {
        let rehearsing = self.harness.state_mut().app.rehearsing();
        &mut rehearsing.expect("a rehearsal is on the screen").desk
    }

    /// Draws until something has come about.
    pub fn until(&mut self, what: &str, mut done: impl FnMut(&mut Window) -> bool) {
        let start = Instant::now();
        loop {
            self.harness.step();
            if done(self) {
                break;
            }
            assert!(start.elapsed() < LONGEST, "it never came about that {what}");
            std::thread::sleep(Duration::from_millis(10));
        }
        // What has come is on the screen only now.
        self.harness.step();
    }

    /// Waits for the verdict of the take as it is, at full size.
    pub fn proved(&mut self) -> Arc<GradedTake> {
        self.until("the frame is proved", |window| {
            let desk = window.desk();
            desk.is_graded() && desk.graded.as_ref().is_some_and(|graded| graded.proved)
        });
        self.desk().graded.clone().unwrap()
    }

    /// The verdict that stands on the sheet.
    pub fn verdict(&mut self) -> (Verdict, f64) {
        let sheet = &self.proved().graded.sheet;
        let told = format!("Verdict {} {:.1}", sheet.verdict.word(), sheet.score);
        assert!(self.has(&told), "the sheet does not say {told:?}");
        (sheet.verdict, sheet.score)
    }

    /// Presses a key, with what is held down meanwhile.
    pub fn key(&mut self, modifiers: Modifiers, key: Key) {
        match modifiers.is_none() {
            true => self.harness.key_press(key),
            false => self.harness.key_press_modifiers(modifiers, key),
        }
        self.harness.step();
        self.harness.step();
    }

    /// Types into what has the focus, in place of what stands there.
    pub fn type_over(&mut self, text: &str) {
        self.key(Modifiers::COMMAND, Key::A);
        self.harness.event(Event::Text(text.into()));
        self.harness.step();
    }

    /// The widgets whose label is this, or whose label holds it.
    fn all<'a>(&'a self, label: &'a str, whole: bool) -> Vec<Node<'a>> {
        let nodes = match whole {
            true => self.harness.query_all_by_label(label).collect::<Vec<_>>(),
            false => self.harness.query_all_by_label_contains(label).collect(),
        };
        let acts = |node: &Node| egui::accessibility::is_input(node.accesskit_node().role());
        match nodes.iter().any(acts) {
            true => nodes.into_iter().filter(acts).collect(),
            false => nodes,
        }
    }

    /// The labels that hold these words, of what can be pressed if any can.
    pub fn all_holding(&self, words: &str) -> Vec<String> {
        let all = self.all(words, false).into_iter();
        all.filter_map(|node| node.accesskit_node().label())
            .collect()
    }

    /// Where a place of the site lies on the ground's pane.
    pub fn ground_at(&mut self, place_m: DVec2) -> Pos2 {
        let rehearsing = self.harness.state_mut().app.rehearsing().unwrap();
        rehearsing.ground.point_of(place_m).unwrap()
    }

    /// Whether a label holds these words.
    pub fn has(&self, words: &str) -> bool {
        !self.all(words, false).is_empty()
    }

    /// Whether the keys are with the widget that has this label.
    pub fn has_focus(&self, label: &str) -> bool {
        let all = self.all(label, true);
        all.iter().any(|node| node.accesskit_node().is_focused())
    }

    /// Where the first widget with this label lies.
    pub fn place(&self, label: &str) -> Rect {
        let all = self.all(label, true);
        let first = all.first().unwrap_or_else(|| {
            panic!("nothing is called {label:?}; there is {:?}", self.labels());
        });
        first.rect()
    }

    /// Where all the widgets with this label lie.
    pub fn places(&self, label: &str) -> Vec<Rect> {
        let all = self.all(label, true);
        all.iter().map(Node::rect).collect()
    }

    /// Whether a field or a label shows this.
    pub fn has_value(&self, text: &str) -> bool {
        self.labels().iter().any(|one| one == text)
            || self.harness.query_all_by_value(text).next().is_some()
    }

    /// Every label on the screen, for messages.
    pub fn labels(&self) -> Vec<String> {
        let nodes = self.harness.root().children_recursive();
        let text = |node: Node| node.accesskit_node().label().or(node.value());
        nodes.filter_map(text).collect()
    }

    /// Presses the widget with this label.
    pub fn press(&mut self, label: &str) {
        if let Some(node) = self.all(label, true).first() {
            node.scroll_to_me();
        }
        // A list that was scrolled already comes to rest in the next redraws.
        self.harness.run_steps(4);
        let at = self.place(label).center();
        self.press_at(at);
    }

    /// Chooses one of what a list offers.
    pub fn choose(&mut self, list: &str, word: &str) {
        self.press(list);
        self.harness.run_steps(2);
        self.press(word);
        self.harness.run_steps(2);
    }

    /// Presses the first widget whose label begins so or holds these words.
    pub fn press_holding(&mut self, words: &str) {
        let place = self.all(words, false).first().map(|node| node.rect());
        let place =
            place.unwrap_or_else(|| panic!("no label holds {words:?}: {:?}", self.labels()));
        self.press_at(place.center());
    }

    pub fn press_at(&mut self, at: Pos2) {
        self.harness.hover_at(at);
        self.harness.drag_at(at);
        self.harness.drop_at(at);
        self.harness.step();
        self.harness.step();
    }

    /// Drags from one point to another, in steps.
    pub fn drag(&mut self, from: Pos2, to: Pos2) {
        self.harness.hover_at(from);
        self.harness.drag_at(from);
        for step in 1..=8 {
            let at = from + (to - from) * (step as f32 / 8.0);
            self.harness.hover_at(at);
        }
        self.harness.drop_at(to);
        self.harness.step();
        self.harness.step();
    }

    /// Turns the wheel over a point.
    pub fn wheel(&mut self, at: Pos2, points: f32) {
        self.harness.hover_at(at);
        self.harness.event(Event::MouseWheel {
            source: egui::MouseWheelSource::Wheel,
            unit: MouseWheelUnit::Point,
            delta: Vec2::new(0.0, points),
            phase: TouchPhase::Move,
            modifiers: Modifiers::NONE,
        });
        self.harness.step();
        self.harness.run_steps(4);
    }

    /// Puts the words of a field in place of what stands there, and leaves it.
    pub fn fill(&mut self, label: &str, text: &str) {
        self.press(label);
        self.type_over(text);
        self.key(Modifiers::NONE, Key::Enter);
    }
}
