//! The file in which progress is kept, in the system's folder for data: read, added to, exported, erased. It is written
//! whole or not at all; a damaged one is kept aside and told, never written over. May not enter: what rounds tell.

use super::fault::FaultKind;
use super::progress::{MOST_ROUNDS, Progress, Round};
use super::words::rounds_told;
use crate::document::{read_file, write_whole};
use crate::grade::MeasureId;
use etcetera::BaseStrategy;
use serde::{Deserialize, Serialize};
use std::fs::{File, TryLockError};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// Names the folder that is used instead of the system's own.
pub const FOLDER_VARIABLE: &str = "SUNSIDE_DATA_DIR";

const FILE: &str = "practice.json";
/// Held by whoever writes.
const LOCK: &str = "practice.lock";
/// The form that is written; the first one is read too.
const VERSION: u32 = 2;
const FIRST: u32 = 1;
/// Bytes of a file that is read.
const LONGEST: u64 = 8 << 20;
/// Degrees that a round may have.
const DEGREES: [f64; 2] = [1e-3, 1e6];
/// The largest value of a measure.
const LARGEST: f64 = 1e9;
/// How often, and after how long each time, another window is waited for.
const WAITS: usize = 40;
const WAIT: Duration = Duration::from_millis(25);

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    version: u32,
    rounds: Vec<Round>,
}

/// Where progress is kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Store {
    /// None where the system has no folder for it.
    file: Option<PathBuf>,
}

/// Why a file is none that can be read.
enum Unread {
    /// Nothing is there.
    Missing,
    /// It is damaged, in a sentence; its bytes, and the rounds of it that are sound.
    Damaged(String, Vec<u8>, Progress),
    /// It cannot be read, or is of a newer program, and must stay as it is.
    Kept(String),
}

impl Store {
    /// In the usual folder, or in the one that `SUNSIDE_DATA_DIR` names.
    pub fn usual() -> Store {
        let named = std::env::var_os(FOLDER_VARIABLE).filter(|name| !name.is_empty());
        let system = || {
            let strategy = etcetera::base_strategy::choose_native_strategy().ok()?;
            Some(strategy.data_dir().join("sunside"))
        };
        let folder = named.map(PathBuf::from).or_else(system);
        Store {
            file: folder.map(|folder| folder.join(FILE)),
        }
    }

    /// In a folder.
    pub fn within(folder: &Path) -> Store {
        Store {
            file: Some(folder.join(FILE)),
        }
    }

    /// The file.
    pub fn file(&self) -> Option<&Path> {
        self.file.as_deref()
    }

    /// What is kept, and what is wrong with it, if anything is: then what of it is sound.
    pub fn load(&self) -> (Progress, Option<String>) {
        let Some(path) = &self.file else {
            let told = "the system names no folder for data: progress is not kept";
            return (Progress::default(), Some(told.into()));
        };
        match read(path) {
            Ok(progress) => (progress, None),
            Err(Unread::Missing) => (Progress::default(), None),
            Err(Unread::Damaged(why, bytes, sound)) => {
                let kept = match set_aside(path, &bytes) {
                    Some(kept) => format!("it is kept as {}", kept.display()),
                    None => "it stays as it is, and nothing is kept until it can be moved".into(),
                };
                let goes_on = match sound.rounds.len() {
                    0 => "Practice begins anew".to_string(),
                    1 => "Practice goes on from the one round of it that is sound".to_string(),
                    many => format!("Practice goes on from the {many} rounds of it that are sound"),
                };
                (sound, Some(format!("{why}\n{goes_on}; {kept}")))
            }
            Err(Unread::Kept(why)) => {
                let told = format!("{why}; it stays as it is, and nothing is added to it");
                (Progress::default(), Some(told))
            }
        }
    }

    /// Adds rounds to what is kept by now: another window's rounds stay.
    ///
    /// # Errors
    /// One sentence: a round is none that can be kept; it could not be written, and is as it was; or it is not to be
    /// written over.
    pub fn add(&self, rounds: &[Round]) -> Result<(), String> {
        let Some(path) = self.file.as_ref().filter(|_| !rounds.is_empty()) else {
            return Ok(());
        };
        let failed = |why: String| format!("progress is not kept: {why}");
        rounds.iter().try_for_each(sound).map_err(failed)?;
        let folder = path.parent().unwrap_or(Path::new("."));
        std::fs::create_dir_all(folder)
            .map_err(|error| failed(format!("cannot make {}: {error}", folder.display())))?;
        // Two windows that read, then write, would lose what the other has written between.
        let _held = hold(&folder.join(LOCK)).map_err(failed)?;
        let mut progress = match read(path) {
            Ok(progress) => progress,
            Err(Unread::Missing) => Progress::default(),
            Err(Unread::Damaged(why, bytes, sound)) => {
                set_aside(path, &bytes).ok_or_else(|| failed(why))?;
                sound
            }
            Err(Unread::Kept(why)) => return Err(failed(why)),
        };
        for round in rounds {
            progress.add(round.clone());
        }
        write_whole(path, text(&progress).as_bytes()).map_err(|error| failed(error.to_string()))
    }

    /// What is kept as a file's text, how many rounds, and what is wrong with it, if anything is.
    ///
    /// # Errors
    /// One sentence: what is kept cannot be read.
    pub fn exported(&self) -> Result<(String, usize, Option<String>), String> {
        let (progress, told) = match self.file.as_deref().map(read) {
            None | Some(Err(Unread::Missing)) => (Progress::default(), None),
            Some(Ok(progress)) => (progress, None),
            Some(Err(Unread::Damaged(why, _, sound))) => (sound, Some(why)),
            Some(Err(Unread::Kept(why))) => return Err(format!("nothing is exported: {why}")),
        };
        Ok((text(&progress), progress.rounds.len(), told))
    }

    /// Writes what is kept into another file; in a sentence how much, and what is wrong with it.
    ///
    /// # Errors
    /// One sentence: what is kept cannot be read, or the other file not be written.
    pub fn export(&self, to: &Path) -> Result<String, String> {
        let (text, rounds, told) = self.exported()?;
        write_whole(to, text.as_bytes()).map_err(|error| error.to_string())?;
        let rounds = rounds_told(rounds);
        Ok(match told {
            None => format!("Wrote {rounds} to {}", to.display()),
            Some(why) => format!(
                "Wrote the {rounds} that are sound to {}; {why}",
                to.display()
            ),
        })
    }

    /// Erases what is kept; in a sentence what was done, and which files with rounds stay beside it.
    ///
    /// # Errors
    /// One sentence: it cannot be removed; or it is of a newer program or nothing that this one wrote, and stays.
    pub fn erase(&self) -> Result<String, String> {
        let nothing = || Ok("There was nothing to erase".to_string());
        let Some(path) = &self.file else {
            return nothing();
        };
        let failed = |why: String| format!("cannot erase {}: {why}", path.display());
        match read(path) {
            Err(Unread::Missing) => return nothing(),
            Err(Unread::Kept(why)) => return Err(failed(why)),
            Ok(_) | Err(Unread::Damaged(..)) => {}
        }
        // Between another window's reading and writing nothing is erased: it would come back.
        let folder = path.parent().unwrap_or(Path::new("."));
        let _held = hold(&folder.join(LOCK)).map_err(failed)?;
        // What is written through a link is erased through it.
        let file = std::fs::canonicalize(path).and_then(std::fs::remove_file);
        file.map_err(|error| failed(error.to_string()))?;
        // The lock stays: another window may wait for it, and it is empty.
        let names = std::fs::read_dir(folder).into_iter().flatten().flatten();
        let mut stay: Vec<String> = names
            .map(|entry| entry.file_name().to_string_lossy().into_owned())
            .filter(|name| name.starts_with("practice") && name != LOCK)
            .collect();
        stay.sort();
        Ok(match stay.is_empty() {
            true => "Erased".into(),
            false => format!("Erased; beside it there stay {}", stay.join(", ")),
        })
    }
}

/// Takes the lock, which falls when the file is closed: also with a program that is killed.
fn hold(path: &Path) -> Result<File, String> {
    let place = |error: std::io::Error| format!("{}: {error}", path.display());
    let lock = File::options()
        .create(true)
        .truncate(false)
        .write(true)
        .open(path)
        .map_err(place)?;
    for _ in 0..WAITS {
        match lock.try_lock() {
            Ok(()) => return Ok(lock),
            Err(TryLockError::WouldBlock) => std::thread::sleep(WAIT),
            // A folder on another machine may know no locks: one window is the rule.
            Err(TryLockError::Error(error)) if error.kind() == ErrorKind::Unsupported => {
                return Ok(lock);
            }
            Err(TryLockError::Error(error)) => return Err(place(error)),
        }
    }
    Err(format!("{}: another window holds it", path.display()))
}

/// The file's text.
fn text(progress: &Progress) -> String {
    let line = |round: &Round| serde_json::to_string(round).unwrap_or_default();
    let rounds: Vec<String> = progress.rounds.iter().map(line).collect();
    // A round a line: whoever looks into it, or compares two, finds his way.
    format!(
        "{{\"version\":{VERSION},\"rounds\":[\n{}\n]}}\n",
        rounds.join(",\n")
    )
}

fn read(path: &Path) -> Result<Progress, Unread> {
    let name = path.display();
    let about = std::fs::metadata(path).ok();
    if about.as_ref().is_some_and(|about| !about.is_file()) {
        return Err(Unread::Kept(format!("{name} is no file")));
    }
    if about.is_some_and(|about| about.len() > LONGEST) {
        return Err(Unread::Kept(format!("{name} is longer than 8 MiB")));
    }
    let bytes = match read_file(path) {
        Ok(bytes) => bytes,
        Err(error) if error.kind() == ErrorKind::NotFound => return Err(Unread::Missing),
        Err(error) if error.kind() == ErrorKind::NotADirectory => {
            let folder = path.parent().unwrap_or(path).display();
            return Err(Unread::Kept(format!("{folder} is not a folder")));
        }
        Err(error) => return Err(Unread::Kept(format!("cannot read {name}: {error}"))),
    };
    // Another form is told before its keys are: they are not this program's.
    #[derive(Deserialize)]
    struct Version {
        version: f64,
    }
    let newer = serde_json::from_slice::<Version>(&bytes).map(|found| found.version);
    if let Some(version) = newer.ok().filter(|version| *version > f64::from(VERSION)) {
        let why =
            format!("{name} is of a newer program: version {version} found, {VERSION} allowed");
        return Err(Unread::Kept(why));
    }
    let damaged = |why: String| Unread::Damaged(why, bytes.clone(), sound_of(&bytes));
    let written: Written = serde_json::from_slice(&bytes).map_err(|error| {
        let (line, column) = (error.line(), error.column());
        let why = error.to_string();
        let why = why.trim_end_matches(&format!(" at line {line} column {column}"));
        damaged(format!(
            "{name}:{line}:{column}: {why}; allowed is what practice writes"
        ))
    })?;
    if written.version < FIRST {
        let found = written.version;
        return Err(damaged(format!(
            "{name}: version {found} found, {FIRST} to {VERSION} allowed"
        )));
    }
    for (number, round) in written.rounds.iter().enumerate() {
        if let Err(why) = sound(round) {
            // As it is written the head stands in the first line, each round in one of its own.
            let line = bytes.split(|byte| *byte == b'\n').nth(number + 1);
            let line = line.map(|line| line.strip_suffix(b",").unwrap_or(line));
            let own = line.and_then(|line| serde_json::from_slice::<Round>(line).ok());
            let place = match own.as_ref() == Some(round) {
                true => format!("{name}:{}", number + 2),
                false => name.to_string(),
            };
            return Err(damaged(format!("{place}: round {}: {why}", number + 1)));
        }
    }
    let mut progress = Progress {
        rounds: written.rounds,
    };
    let surplus = progress.rounds.len().saturating_sub(MOST_ROUNDS);
    progress.rounds.drain(..surplus);
    Ok(progress)
}

/// The rounds of a damaged file that are sound: each stands in a line of its own.
fn sound_of(bytes: &[u8]) -> Progress {
    let mut progress = Progress::default();
    let lines = bytes.split(|byte| *byte == b'\n');
    for line in lines.map(|line| line.strip_suffix(b",").unwrap_or(line)) {
        let round = serde_json::from_slice::<Round>(line).ok();
        if let Some(round) = round.filter(|round| sound(round).is_ok()) {
            progress.add(round);
        }
    }
    progress
}

/// Holds a round to what one may be.
fn sound(round: &Round) -> Result<(), String> {
    let [least, most] = DEGREES;
    if let Some(degree) = round
        .degree
        .filter(|degree| !(least..=most).contains(degree))
    {
        return Err(format!("degree {degree} found, {least} to {most} allowed"));
    }
    if !(0.0..=3.0).contains(&round.points) {
        return Err(format!("points {} found, 0 to 3 allowed", round.points));
    }
    if let Some(late) = round
        .late_min
        .filter(|late| late.is_nan() || late.abs() > 1440.0)
    {
        return Err(format!("late_min {late} found, -1440 to 1440 allowed"));
    }
    if let Some(value) = round
        .value
        .filter(|value| value.is_nan() || value.abs() > LARGEST)
    {
        return Err(format!(
            "value {value} found, {} to {LARGEST} allowed",
            -LARGEST
        ));
    }
    if let Some(key) = &round.measure
        && MeasureId::from_key(key).is_none()
    {
        return Err(format!("measure: no measure is called {key:?}"));
    }
    let planted = round.planted.iter().map(|key| ("planted", key));
    let named = round.named.iter().map(|key| ("named", key));
    let offered = round.offered.iter().map(|key| ("offered", key));
    for (under, key) in planted.chain(named).chain(offered) {
        if FaultKind::from_key(key).is_none() {
            let all: Vec<&str> = FaultKind::ALL.iter().map(|kind| kind.key()).collect();
            let all = all.join(", ");
            return Err(format!(
                "{under}: no fault is called {key:?}; allowed are {all}"
            ));
        }
    }
    Ok(())
}

/// Keeps a damaged file beside its place; none where it could not be. Files set aside before are not written over.
fn set_aside(path: &Path, bytes: &[u8]) -> Option<PathBuf> {
    let name = |number: usize| path.with_extension(format!("json.damaged-{number}"));
    let is_free = |file: &PathBuf| match read_file(file) {
        Ok(old) => old == bytes,
        Err(error) => error.kind() == ErrorKind::NotFound,
    };
    let free = (1..1000).map(name).find(is_free)?;
    write_whole(&free, bytes).is_ok().then_some(free)
}
