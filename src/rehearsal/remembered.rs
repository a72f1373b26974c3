//! What is remembered from one time to the next, in a file of the system's folder for such things: window, last scenes,
//! units, theme. A broken file is told, kept aside and never lost. May not enter: what a window does with it.

use crate::document::{Document, Edit, New, Problems, Table, read_file, render, write_whole};
use crate::units::Units;
use etcetera::BaseStrategy;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// Names the folder that is used instead of the system's own.
pub const FOLDER_VARIABLE: &str = "SUNSIDE_CONFIG_DIR";
/// Scenes that are remembered, the latest first.
pub const MOST_RECENT: usize = 8;

/// Sides of a window that a screen may have, points.
const SIZES: [f64; 2] = [320.0, 8192.0];
/// Bytes of a file that is read.
const LONGEST: u64 = 1 << 20;

const FILE: &str = "window.toml";
const HEAD: &str = "# What Sunside's window remembers. Delete this file to begin anew.\n";

/// The look of the window.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Theme {
    /// As the system has it.
    #[default]
    System,
    /// Light on dark.
    Dark,
    /// Dark on light.
    Light,
}

impl Theme {
    /// Each with its word.
    pub const WORDS: [(&'static str, Theme); 3] = [
        ("system", Theme::System),
        ("dark", Theme::Dark),
        ("light", Theme::Light),
    ];
}

/// Where the window was, in points of the screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Width and height within its frame.
    pub size: [f64; 2],
    /// Its upper left corner, where the system tells it.
    pub position: Option<[f64; 2]>,
    /// It fills the screen.
    pub maximised: bool,
}

/// What is remembered.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Memory {
    /// Where the window was; none the first time.
    pub place: Option<Place>,
    /// Scenes, the latest first.
    pub recent: Vec<PathBuf>,
    /// In which lengths are shown.
    pub units: Units,
    /// Dark or light.
    pub theme: Theme,
    /// Level and plumb lines and margins are shown.
    pub guides: bool,
    /// Where kept frames are written; none: wherever it is asked for.
    pub tray: Option<PathBuf>,
}

/// The memory with its file.
#[derive(Clone, Debug, PartialEq)]
pub struct Remembered {
    /// None where the system has no folder for it.
    file: Option<PathBuf>,
    /// As it was read or last written: what is different from it is written, and nothing else.
    known: Memory,
}

impl Memory {
    /// The scene of the last time.
    pub fn last_scene(&self) -> Option<&Path> {
        self.recent.first().map(PathBuf::as_path)
    }

    /// Puts a scene before all others.
    pub fn opened(&mut self, scene: &Path) {
        let scene = std::path::absolute(scene).unwrap_or_else(|_| scene.to_path_buf());
        self.recent.retain(|one| *one != scene);
        self.recent.insert(0, scene);
        self.recent.truncate(MOST_RECENT);
    }
}

impl Remembered {
    /// Reads what is remembered in the usual folder, or in the one that `SUNSIDE_CONFIG_DIR` names. What is wrong with
    /// it is told, and the usual is taken instead.
    pub fn load() -> (Remembered, Memory, Option<String>) {
        let named = std::env::var_os(FOLDER_VARIABLE).filter(|name| !name.is_empty());
        let system = || {
            let strategy = etcetera::base_strategy::choose_native_strategy().ok()?;
            Some(strategy.config_dir().join("sunside"))
        };
        match named.map(PathBuf::from).or_else(system) {
            Some(folder) => Remembered::load_from(&folder),
            None => {
                let told = "the system names no folder for settings: nothing is remembered";
                let nowhere = Remembered {
                    file: None,
                    known: Memory::default(),
                };
                (nowhere, Memory::default(), Some(told.into()))
            }
        }
    }

    /// The same of a folder.
    pub fn load_from(folder: &Path) -> (Remembered, Memory, Option<String>) {
        let path = folder.join(FILE);
        let (memory, told) = match read_short(&path) {
            Ok(bytes) => match read(&path, &bytes) {
                Ok(mut memory) => {
                    let told = hold_size(&mut memory);
                    (memory, told)
                }
                Err(problems) => (Memory::default(), Some(set_aside(&path, &bytes, &problems))),
            },
            Err(error) if error.kind() == ErrorKind::NotFound => (Memory::default(), None),
            Err(error) if error.kind() == ErrorKind::FileTooLarge => {
                (Memory::default(), Some(move_aside(&path)))
            }
            Err(error) => {
                let told = format!(
                    "cannot read {}: {error}; the usual settings are taken",
                    path.display()
                );
                (Memory::default(), Some(told))
            }
        };
        let known = memory.clone();
        let file = Some(path);
        (Remembered { file, known }, memory, told)
    }

    /// Writes what became different since it was last read or written. Another window's changes of other things stay,
    /// as do keys of a newer version; scenes that either opened are kept.
    ///
    /// # Errors
    /// One sentence: the folder cannot be made or the file not be written. The memory goes on without it.
    pub fn save(&mut self, memory: &Memory) -> Result<(), String> {
        let Some(path) = self.file.as_ref().filter(|_| *memory != self.known) else {
            return Ok(());
        };
        let folder = path.parent().unwrap_or(Path::new("."));
        std::fs::create_dir_all(folder).map_err(|error| {
            format!(
                "settings are not kept: cannot make {}: {error}",
                folder.display()
            )
        })?;
        let bytes = read_short(path).unwrap_or_default();
        let text = match read(path, &bytes) {
            Ok(_) => String::from_utf8_lossy(&bytes).into_owned(),
            // Nothing is there yet, or it is broken by now.
            Err(problems) => {
                if !bytes.is_empty() {
                    set_aside(path, &bytes, &problems);
                }
                HEAD.to_string()
            }
        };
        let theirs = read(path, text.as_bytes()).unwrap_or_default();
        let text = write(&text, &self.known, memory, &theirs);
        write_whole(path, text.as_bytes())
            .map_err(|error| format!("settings are not kept: {error}"))?;
        self.known = memory.clone();
        Ok(())
    }
}

/// The file, unless it is far longer than anything that is remembered.
fn read_short(path: &Path) -> std::io::Result<Vec<u8>> {
    if std::fs::metadata(path).is_ok_and(|about| about.is_file() && about.len() > LONGEST) {
        return Err(ErrorKind::FileTooLarge.into());
    }
    read_file(path)
}

/// Holds a window's size within what a screen may have, and says so.
fn hold_size(memory: &mut Memory) -> Option<String> {
    let place = memory.place.as_mut()?;
    let [wide, high] = place.size;
    place.size = place.size.map(|points| points.clamp(SIZES[0], SIZES[1]));
    let [least, most] = SIZES;
    ([wide, high] != place.size).then(|| {
        format!(
            "the window was remembered as {wide:.0} by {high:.0} points: each is held within {least:.0} to {most:.0}"
        )
    })
}

/// Moves a file aside that is too long to be read, and says so.
fn move_aside(path: &Path) -> String {
    let name = |number: usize| path.with_extension(format!("toml.long-{number}"));
    let free = (1..100).map(name).find(|file| !file.exists());
    let moved = free.filter(|file| std::fs::rename(path, file).is_ok());
    let kept = match moved {
        Some(file) => format!("it is kept as {}", file.display()),
        None => "it stays as it is until something is remembered".into(),
    };
    let name = path.display();
    format!("{name} is longer than 1 MiB and is not read. The usual settings are taken; {kept}")
}

/// Keeps a broken file beside its place and says so. Files set aside before are not written over.
fn set_aside(path: &Path, bytes: &[u8], problems: &Problems) -> String {
    let told = render(problems, false);
    let name = |number: usize| match number {
        0 => path.with_extension("toml.broken"),
        more => path.with_extension(format!("toml.broken-{more}")),
    };
    let is_free = |file: &PathBuf| match read_file(file) {
        Ok(old) => old == bytes,
        Err(error) => error.kind() == ErrorKind::NotFound,
    };
    let kept = (0..100).map(name).find(is_free);
    let kept = kept.filter(|file| write_whole(file, bytes).is_ok());
    let kept = match kept {
        Some(file) => format!("it is kept as {}", file.display()),
        None => "it stays as it is until something is remembered".into(),
    };
    format!("{}\nThe usual settings are taken; {kept}", told.trim_end())
}

/// Reads the file. Keys that are not known are of a newer version, and no problem.
fn read(path: &Path, bytes: &[u8]) -> Result<Memory, Problems> {
    let document = Document::parse(&path.display().to_string(), bytes);
    let memory = memory_of(&document.root());
    document.into_problems().or(Some(memory))
}

fn memory_of(root: &Table<'_>) -> Memory {
    let mut memory = Memory::default();
    if let Some(window) = root.table("window").optional() {
        let size = window.tuple::<2>("size").range(1.0..=100_000.0).optional();
        let position = window
            .tuple::<2>("position")
            .range(-100_000.0..=100_000.0)
            .optional();
        let maximised = window.flag("maximised").default(false);
        memory.place = size.map(|size| Place {
            size,
            position,
            maximised,
        });
    }
    if let Some(scenes) = root.table("scenes").optional() {
        let recent = scenes.texts("recent").default(vec![]);
        memory.recent = recent
            .into_iter()
            .map(PathBuf::from)
            .take(MOST_RECENT)
            .collect();
        memory.tray = scenes.text("tray").optional().map(PathBuf::from);
    }
    if let Some(look) = root.table("look").optional() {
        memory.units = look
            .choice("units", &Units::WORDS)
            .default(Units::default());
        memory.theme = look
            .choice("theme", &Theme::WORDS)
            .default(Theme::default());
        memory.guides = look.flag("guides").default(false);
    }
    memory
}

fn word<T: PartialEq>(words: &[(&str, T)], value: &T) -> New {
    let found = words.iter().find(|(_, one)| one == value);
    New::Text(found.map_or(String::new(), |(word, _)| (*word).to_string()))
}

/// A path as text of one line; none of one that would make the file unreadable.
fn writable(path: &Path) -> Option<String> {
    let text = path.to_str()?;
    (!text.contains(char::is_control)).then(|| text.to_string())
}

/// The file's text with what is different from what was known.
fn write(text: &str, known: &Memory, memory: &Memory, theirs: &Memory) -> String {
    let Some(mut edit) = Edit::of(text) else {
        return text.to_string();
    };
    if let Some(place) = memory.place.filter(|_| memory.place != known.place) {
        edit.set("window", "size", &New::Numbers(place.size.to_vec(), 1));
        match place.position {
            Some(position) => edit.set("window", "position", &New::Numbers(position.to_vec(), 1)),
            None => edit.remove("window", "position"),
        }
        edit.set("window", "maximised", &New::Flag(place.maximised));
    }
    if memory.recent != known.recent {
        // Scenes that another window opened meanwhile come behind this one's.
        let mine = memory.recent.iter();
        let others = (theirs.recent.iter())
            .filter(|one| !memory.recent.contains(one) && !known.recent.contains(one));
        let all = mine.chain(others).filter_map(|path| writable(path));
        edit.set(
            "scenes",
            "recent",
            &New::Texts(all.take(MOST_RECENT).collect()),
        );
    }
    if memory.tray != known.tray {
        match memory.tray.as_deref().and_then(writable) {
            Some(tray) => edit.set("scenes", "tray", &New::Text(tray)),
            None => edit.remove("scenes", "tray"),
        }
    }
    let look = |memory: &Memory| {
        [
            ("units", word(&Units::WORDS, &memory.units)),
            ("theme", word(&Theme::WORDS, &memory.theme)),
            ("guides", New::Flag(memory.guides)),
        ]
    };
    for ((key, new), (_, old)) in look(memory).into_iter().zip(look(known)) {
        if new != old {
            edit.set("look", key, &new);
        }
    }
    edit.finish()
}
