//! The program as people run it, on a screen in memory: dragged, keyed, typed into; what it exports is what `grade` says
//! of the same frame. May not enter: what needs no window of its own.
//!
//! Needs Xvfb, xdotool and ImageMagick's `import`; `SUNSIDE_NO_WINDOW=1` says that they are not expected. Nothing
//! minimises a window there: that takes a window manager. What minimising does (a size of nothing, no drawing) is as the
//! shell has it, and not tested.
#![cfg(target_os = "linux")]

use crate::cli_status::sunside;
use crate::window::{Size, Window, box_site};
use egui::{Pos2, Rect};
use serde_json::Value;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};
use tempfile::TempDir;

const LONGEST: Duration = Duration::from_secs(120);
/// What a window needs to take an event in before the next one.
const PAUSE: Duration = Duration::from_millis(300);

/// A process that ends with the test.
struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        // One that has ended is gone already.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// A screen in memory.
struct Screen {
    _server: Running,
    display: String,
}

impl Screen {
    /// None where nobody expects one.
    fn new() -> Option<Screen> {
        if std::env::var("SUNSIDE_NO_WINDOW").is_ok_and(|set| set == "1") {
            eprintln!("not run: SUNSIDE_NO_WINDOW says that no screen in memory is expected");
            return None;
        }
        let lacks = |tool: &str, error: std::io::Error| -> ! {
            panic!(
                "{tool}: {error}; the packages xvfb, xdotool and imagemagick bring what is needed, SUNSIDE_NO_WINDOW=1 \
                    says that they are not expected"
            )
        };
        for tool in ["xdotool", "import"] {
            let ran = Command::new(tool).arg("-version").output();
            if let Err(error) = ran {
                lacks(tool, error);
            }
        }
        // It chooses a number that is free and tells it.
        let server = Command::new("Xvfb")
            .args(["-displayfd", "1", "-screen", "0", "2000x1200x24"])
            // Nor does it begin anew when one program has left and the next has not come.
            .args(["-nolisten", "tcp", "-dpi", "96", "-noreset"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn();
        let mut server = match server {
            Ok(server) => Running(server),
            Err(error) => lacks("Xvfb", error),
        };
        let mut number = String::new();
        let out = server.0.stdout.take().unwrap();
        BufReader::new(out).read_line(&mut number).unwrap();
        let display = format!(":{}", number.trim());
        assert!(display.len() > 1, "Xvfb told no display");
        Some(Screen {
            _server: server,
            display,
        })
    }

    fn tool(&self, name: &str, args: &[&str]) -> String {
        let output = Command::new(name)
            .args(args)
            .env("DISPLAY", &self.display)
            .output()
            .unwrap();
        String::from_utf8(output.stdout).unwrap()
    }

    fn xdotool(&self, args: &[&str]) {
        self.tool("xdotool", args);
        sleep(PAUSE);
    }
}

/// The program on that screen.
struct Program<'a> {
    screen: &'a Screen,
    child: Running,
    window: String,
    settings: PathBuf,
}

impl Drop for Program<'_> {
    /// What was on the screen when the test failed is kept beside the build.
    fn drop(&mut self) {
        if std::thread::panicking() {
            let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join("window_end_to_end.png");
            let target = file.display().to_string();
            self.screen.tool("import", &["-window", "root", &target]);
            eprintln!("what was on the screen lies in {target}");
        }
    }
}

impl Program<'_> {
    /// The window at its usual size, its scene open.
    fn open<'a>(screen: &'a Screen, scene: &Path, title: &str, settings: &Path) -> Program<'a> {
        let program = Program::shown(screen, scene, title, settings);
        screen.xdotool(&["windowfocus", "--sync", &program.window]);
        // What is done while the first picture is drawn comes in one heap.
        program.settles();
        program
    }

    /// The same as soon as it has the scene's name.
    fn shown<'a>(screen: &'a Screen, scene: &Path, title: &str, settings: &Path) -> Program<'a> {
        let child = rehearse(scene, settings)
            .env("DISPLAY", &screen.display)
            .stderr(Stdio::inherit())
            .spawn()
            .unwrap();
        let mut child = Running(child);
        let mut window = String::new();
        until(&format!("the window {title:?} opens"), || {
            assert_eq!(child.0.try_wait().unwrap(), None, "it has ended");
            window = screen.tool("xdotool", &["search", "--name", title]);
            window = window.lines().last().unwrap_or_default().to_string();
            !window.is_empty()
        });
        Program {
            screen,
            child,
            window,
            settings: settings.to_path_buf(),
        }
    }

    /// It ends well and has written down what it remembers.
    fn ended(&mut self, scene: &Path, size: &str) {
        let mut status = None;
        until("the program ends", || {
            status = self.child.0.try_wait().unwrap();
            status.is_some()
        });
        assert_eq!(status.unwrap().code(), Some(0));
        let remembered = std::fs::read_to_string(self.settings.join("window.toml")).unwrap();
        assert!(remembered.contains(scene.to_str().unwrap()), "{remembered}");
        assert!(remembered.contains(size), "{remembered}");
    }

    /// Waits until the program has done what it was told, and all that follows from it: it works no more.
    fn settles(&self) {
        let span = Duration::from_millis(600);
        until("the program settles", || {
            let before = self.used_ticks();
            sleep(span);
            self.used_ticks() - before <= 3
        });
    }

    fn moved_to(&self, at: Pos2) {
        let [x, y] = [at.x, at.y].map(|v| (v.round() as i32).to_string());
        self.screen
            .xdotool(&["mousemove", "--window", &self.window, &x, &y]);
    }

    fn press(&self, at: Rect) {
        self.moved_to(at.center());
        self.screen.xdotool(&["click", "1"]);
    }

    fn drag(&self, from: Pos2, by: [i32; 2]) {
        self.moved_to(from);
        self.screen.xdotool(&["mousedown", "1"]);
        for _ in 0..4 {
            let [x, y] = by.map(|v| (v / 4).to_string());
            self.screen.xdotool(&["mousemove_relative", "--", &x, &y]);
        }
        self.screen.xdotool(&["mouseup", "1"]);
    }

    fn key(&self, key: &str) {
        self.screen.xdotool(&["key", key]);
    }

    fn type_over(&self, at: Rect, text: &str) {
        self.press(at);
        sleep(2 * PAUSE);
        self.key("ctrl+a");
        self.screen.xdotool(&["type", "--delay", "30", text]);
    }

    /// Processor time that it has used, in hundredths of a second, and how many of them a second has.
    fn used_ticks(&self) -> u64 {
        let stat = std::fs::read_to_string(format!("/proc/{}/stat", self.child.0.id())).unwrap();
        // proc_pid_stat(5): fields 14 and 15, counted after the name in brackets, which may hold spaces.
        let after = stat.rsplit_once(") ").unwrap().1;
        let fields = after.split(' ').skip(11).take(2);
        fields.map(|field| field.parse::<u64>().unwrap()).sum()
    }

    /// The picture of the window as it is on the screen.
    fn shot(&self) -> (u32, u32, Vec<u8>) {
        let file = self.settings.with_extension("ppm");
        let target = format!("ppm:{}", file.display());
        self.screen
            .tool("import", &["-window", &self.window, "-depth", "8", &target]);
        let bytes = std::fs::read(&file).unwrap();
        // "P6", width and height, 255: the Netpbm format's header, then bytes.
        let head: Vec<&[u8]> = bytes.splitn(4, |byte| *byte == b'\n').collect();
        let size = std::str::from_utf8(head[1]).unwrap();
        let (width, height) = size.split_once(' ').unwrap();
        let number = |text: &str| text.parse().unwrap();
        (number(width), number(height), head[3].to_vec())
    }
}

/// `sunside rehearse`, on no screen.
fn rehearse(scene: &Path, settings: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_sunside"));
    command
        .arg("rehearse")
        .arg(scene)
        .env("SUNSIDE_CONFIG_DIR", settings)
        .env("WINIT_X11_SCALE_FACTOR", "1")
        // A test build knows more backends than the program does.
        .env("WGPU_BACKEND", "vulkan")
        .env_remove("WAYLAND_DISPLAY")
        .env_remove("WAYLAND_SOCKET")
        .env_remove("DISPLAY");
    command
}

fn until(what: &str, mut done: impl FnMut() -> bool) {
    let start = Instant::now();
    while !done() {
        assert!(start.elapsed() < LONGEST, "it never came about that {what}");
        sleep(Duration::from_millis(100));
    }
}

/// A shipped scene with its models, where it may be written.
fn copied(folder: &Path, name: &str) -> PathBuf {
    for part in ["scenes", "models"] {
        std::fs::create_dir(folder.join(part)).unwrap();
        for entry in std::fs::read_dir(part).unwrap() {
            let file = entry.unwrap().path();
            std::fs::copy(&file, folder.join(&file)).unwrap();
        }
    }
    folder.join("scenes").join(name)
}

#[test]
fn what_is_exported_is_what_grade_says_of_the_frame_that_was_dragged_and_typed() {
    let Some(screen) = Screen::new() else { return };
    let folder = TempDir::new().unwrap();
    let scene = copied(folder.path(), "open_siding.toml");
    let settings = folder.path().join("settings");
    // Where things lie is asked of the same page, laid out without a screen.
    let Some(mut page) = Window::sized(scene.to_str().unwrap(), Size(1280.0, 800.0, 1.0)) else {
        panic!("a window needs an adapter: SUNSIDE_NO_WINDOW=1 goes with SUNSIDE_NO_GPU=1");
    };
    let [frame, clock, files] = ["Frame", "Clock", "Files"].map(|l| page.place(l));
    let before = page.desk().take.stand;
    page.press("Files");
    let target = page.place("Folder for files");
    drop(page);

    let mut program = Program::open(&screen, &scene, "Tallgrass Siding", &settings);
    program.drag(frame.center(), [-48, 24]);
    program.settles();
    for key in ["d", "d", "s", "r", "equal", "e"] {
        program.key(key);
    }
    program.settles();
    program.type_over(clock, "9:45");
    program.key("Return");
    program.key("period");
    program.settles();
    program.press(files);
    sleep(2 * PAUSE);
    let out = folder.path().join("out");
    program.type_over(target, out.to_str().unwrap());
    program.key("ctrl+j");
    let file = out.join("open_siding-2027-05-14-0950.json");
    until("the data are written", || file.exists());
    let exported: Value = serde_json::from_str(&std::fs::read_to_string(&file).unwrap()).unwrap();

    // Everything that was done has come through.
    let stand = &exported["stand"];
    let number = |key: &str| stand[key].as_f64().unwrap();
    assert_eq!(exported["local"], "2027-05-14 09:50 CDT");
    assert_eq!(number("lens_mm"), 58.0); // the kit's next after the scene's 50 mm
    assert!((number("height_m") - before.height_m - 0.1).abs() < 1e-9);
    assert!((number("roll_deg") - 0.2).abs() < 1e-9);
    assert!(number("pitch_deg") > 0.2, "{stand}"); // the picture was drawn down
    let walked_m = (number("east_m") - before.spot_m.x).hypot(number("north_m") - before.spot_m.y);
    assert!((0.9..1.3).contains(&walked_m), "{walked_m} m"); // 1 m right, 0.5 m back

    let text = |key: &str| stand[key].to_string();
    let spot = format!("{},{}", text("east_m"), text("north_m"));
    let answer = sunside(&[
        "grade",
        scene.to_str().unwrap(),
        "--at",
        "2027-05-14 09:50",
        "--spot",
        &spot,
        "--lens",
        &text("lens_mm"),
        "--height",
        &text("height_m"),
        "--heading",
        &text("heading_deg"),
        "--pitch",
        &text("pitch_deg"),
        "--roll",
        &text("roll_deg"),
        "--head-end",
        exported["head_end"].as_str().unwrap(),
        "--json",
        "-",
    ]);
    assert!(answer.status < 2, "{}", answer.err);
    // The data come first, the sheet for people after them.
    let mut graded = serde_json::Deserializer::from_str(&answer.out).into_iter::<Value>();
    assert_eq!(graded.next().unwrap().unwrap(), exported);

    sizes(&program);
    rests(&program);
    closes(&mut program, &scene);
}

/// The window is drawn up to its corners at every size.
fn sizes(program: &Program) {
    for (width, height) in [(1024u32, 700u32), (1600, 900)] {
        let size = [width, height].map(|v| v.to_string());
        let args = ["windowsize", "--sync", &program.window, &size[0], &size[1]];
        program.screen.xdotool(&args);
        // Paper at the head and at the foot, left and right.
        until("the window is drawn anew", || {
            let (wide, high, bytes) = program.shot();
            let pixel = |x: u32, y: u32| {
                let at = 3 * (y * wide + x) as usize;
                bytes[at..at + 3].to_vec()
            };
            let corners = [
                pixel(2, 2),
                pixel(wide - 3, 2),
                pixel(2, high - 3),
                pixel(wide - 3, high - 3),
            ];
            let paper = corners
                .iter()
                .all(|one| *one == corners[0] && *one != [0, 0, 0]);
            (wide, high) == (width, height) && paper
        });
    }
}

/// At rest it sleeps: no more than 2 % of one processor, twice in a row.
fn rests(program: &Program) {
    const TICKS_PER_S: u64 = 100; // USER_HZ of Linux
    let span = Duration::from_secs(3);
    let mut calm = 0;
    until("it rests", || {
        let before = program.used_ticks();
        sleep(span);
        let used = program.used_ticks() - before;
        calm = if used * 100 <= 2 * TICKS_PER_S * span.as_secs() {
            calm + 1
        } else {
            0
        };
        calm == 2
    });
}

/// Closed, it ends well and has written down what it remembers.
fn closes(program: &mut Program, scene: &Path) {
    program
        .screen
        .xdotool(&["windowfocus", "--sync", &program.window]);
    program.key("ctrl+q");
    program.ended(scene, "size = [1600, 900]");
}

/// Ctrl-C in the terminal, and a system that shuts down, close the window as its button does.
#[test]
fn a_window_told_to_end_writes_what_it_remembers() {
    let Some(screen) = Screen::new() else { return };
    let folder = TempDir::new().unwrap();
    let scene = box_site(folder.path(), "");
    for signal in ["-INT", "-TERM"] {
        let settings = folder.path().join(signal);
        let mut program = Program::shown(&screen, &scene, "Box Siding", &settings);
        let process = program.child.0.id().to_string();
        let sent = Command::new("kill").args([signal, &process]).status();
        assert!(sent.unwrap().success());
        program.ended(&scene, "size = [1280, 800]");
    }
}

/// What `rehearse` says where it cannot run: one sentence, and status 2.
fn refusal(command: &mut Command) -> String {
    let output = command.output().unwrap();
    let told = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{told}");
    assert!(!told.contains("panicked"), "{told}");
    told.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn without_a_screen_rehearse_says_so_in_a_sentence() {
    let folder = TempDir::new().unwrap();
    let told = refusal(&mut rehearse(
        Path::new("scenes/open_siding.toml"),
        folder.path(),
    ));
    assert!(told.contains("no window can be opened"), "{told}");
    assert!(told.contains("use plan, grade"), "{told}");
}

#[test]
fn without_a_driver_rehearse_names_the_packages_that_bring_one() {
    let Some(screen) = Screen::new() else { return };
    let folder = TempDir::new().unwrap();
    let mut command = rehearse(Path::new("scenes/open_siding.toml"), folder.path());
    command.env("DISPLAY", &screen.display);
    // Both names of the Vulkan loader's list of drivers, the newer one and the older.
    for variable in ["VK_DRIVER_FILES", "VK_ICD_FILENAMES"] {
        command.env(variable, "/nonexistent");
    }
    let told = refusal(&mut command);
    assert!(told.contains("mesa-vulkan-drivers"), "{told}");
}
