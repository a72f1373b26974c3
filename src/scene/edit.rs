//! Saving a scene in the user's own file: only what changed is exchanged, and nothing is written that does not read back
//! as what was meant. May not enter: which frame is worth saving.

use super::clearing::Cleared;
use super::machine::{Condition, Machine};
pub use super::unsaved::Unsaved;
use super::{DefaultFrame, Kit, Scene};
use crate::camera::film::Film;
use crate::document::{Document, Edit, New, Problem, Problems, read_file, write_whole};
use crate::sky::clock::Zone;
use crate::sky::daylight::SkyCondition;
use chrono::{DateTime, SubsecRound, Utc};
use std::io;
use std::path::{Path, PathBuf};

/// Decimals that are written: a centimetre, a hundredth of a degree, a tenth of a millimetre of focal length.
const METRES: usize = 2;
const DEGREES: usize = 2;
const LENS: usize = 1;
/// What a photographer carries is written as it was given.
const AS_GIVEN: usize = 4;

/// A scene file as it was when it was loaded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Original {
    /// Where it lies.
    pub path: PathBuf,
    bytes: Vec<u8>,
}

/// What is saved of a scene.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Keep {
    /// Its frame alone.
    Frame,
    /// Its frame, how its machine stands, its sky, the kit, and what is cut or sent away.
    AsRehearsed,
}

impl Original {
    /// Loads a scene and keeps its file's bytes.
    pub fn load(path: &Path) -> Result<(Original, Scene), Problems> {
        let name = path.display().to_string();
        let bytes = read_file(path).map_err(|reason| Problem::unreadable(&name, &reason))?;
        let scene = Scene::read(Document::parse(&name, &bytes), path)?;
        let path = path.to_path_buf();
        Ok((Original { path, bytes }, scene))
    }

    /// Whether the file is still as it was loaded.
    pub fn is_as_loaded(&self) -> bool {
        read_file(&self.path).is_ok_and(|bytes| bytes == self.bytes)
    }

    /// Saves in place; returns the file and the scene as they now are. Numbers are rounded as they are written, so that
    /// the scene returned is the one to go on with.
    ///
    /// # Errors
    /// The file was changed since, cannot be written, or would not read back as the wanted scene.
    pub fn save(&self, wanted: &Scene, keep: Keep) -> Result<(Original, Scene), Unsaved> {
        match read_file(&self.path) {
            Ok(bytes) if bytes == self.bytes => self.write(&self.path, wanted, keep),
            // A file that is gone comes back; nothing is lost by that.
            Err(error) if error.kind() == io::ErrorKind::NotFound => {
                self.write(&self.path, wanted, keep)
            }
            _ => Err(Unsaved::Changed(self.path.clone())),
        }
    }

    /// The same into another file, its model named from there. Another scene in that file is replaced only where
    /// `replaces` says so, and anything else never. The scene's own file by another way is saved as in place.
    ///
    /// # Errors
    /// As [`Original::save`]; something lies there that is not to be replaced.
    pub fn save_as(
        &self,
        path: &Path,
        wanted: &Scene,
        keep: Keep,
        replaces: bool,
    ) -> Result<(Original, Scene), Unsaved> {
        let canonical = |path: &Path| path.canonicalize().ok();
        if path == self.path || canonical(path).is_some_and(|to| canonical(&self.path) == Some(to))
        {
            return self.save(wanted, keep);
        }
        if path.symlink_metadata().is_ok() {
            let is_scene = Original::load(path).is_ok();
            match (is_scene, replaces) {
                (false, _) => return Err(Unsaved::NoScene(path.to_path_buf())),
                (true, false) => return Err(Unsaved::Exists(path.to_path_buf())),
                (true, true) => {}
            }
        }
        self.write(path, wanted, keep)
    }

    fn write(&self, path: &Path, wanted: &Scene, keep: Keep) -> Result<(Original, Scene), Unsaved> {
        if std::fs::metadata(path).is_ok_and(|about| about.permissions().readonly()) {
            return Err(Unsaved::ReadOnly(path.to_path_buf()));
        }
        let bytes = self.edited(path, wanted, keep)?;
        let name = path.display().to_string();
        let read = Scene::read(Document::parse(&name, &bytes), path).map_err(Unsaved::Unsound)?;
        if let Some(what) = differs(&read, wanted, keep) {
            return Err(Unsaved::Otherwise(what));
        }
        if path != self.path || bytes != self.bytes || !path.exists() {
            write_whole(path, &bytes)?;
        }
        let path = path.to_path_buf();
        Ok((Original { path, bytes }, read))
    }

    /// The file's bytes with what is kept of a scene.
    fn edited(&self, path: &Path, wanted: &Scene, keep: Keep) -> Result<Vec<u8>, Unsaved> {
        let name = self.path.display().to_string();
        let document = Document::parse(&name, &self.bytes);
        let source = document.source().clone();
        let own = Scene::read(document, &self.path).map_err(Unsaved::Unsound)?;
        let mut edit = Edit::of(&source.text).ok_or(Unsaved::Otherwise("the file"))?;
        frame(&mut edit, &own, &wanted.frame);
        if keep == Keep::AsRehearsed {
            machine(&mut edit, &own.machine, &wanted.machine);
            sky(&mut edit, wanted.sky);
            cleared(&mut edit, wanted.cleared);
            kit(&mut edit, &own.kit, &wanted.kit);
        }
        let machine = if keep == Keep::AsRehearsed {
            &wanted.machine
        } else {
            &own.machine
        };
        model(&mut edit, &own.machine, machine, &self.path, path);
        let mark = if self.bytes.starts_with("\u{feff}".as_bytes()) {
            "\u{feff}"
        } else {
            ""
        };
        Ok((mark.to_string() + &edit.finish()).into_bytes())
    }
}

fn frame(edit: &mut Edit<'_>, own: &Scene, wanted: &DefaultFrame) {
    let spot = wanted.spot_m.to_array().to_vec();
    edit.set("frame", "spot_m", &New::Numbers(spot, METRES));
    edit.set("frame", "lens_mm", &New::Number(wanted.lens_mm, LENS));
    edit.set("frame", "height_m", &New::Number(wanted.height_m, METRES));
    match wanted.heading_deg {
        Some(heading_deg) => edit.set("frame", "heading_deg", &New::Number(heading_deg, DEGREES)),
        None => edit.remove("frame", "heading_deg"),
    }
    let level = New::Number(0.0, DEGREES);
    edit.set_unless(
        "frame",
        "pitch_deg",
        &New::Number(wanted.pitch_deg, DEGREES),
        &level,
    );
    edit.set_unless(
        "frame",
        "roll_deg",
        &New::Number(wanted.roll_deg, DEGREES),
        &level,
    );
    if let Some(at) = wanted.at.filter(|_| wanted.at != own.frame.at) {
        let before = edit.text_at("frame", "at").unwrap_or_default();
        let text = instant_text(&own.place.zone, at, before);
        edit.set("frame", "at", &New::Text(text));
    }
}

/// An instant as the file has its own: in local time, with an offset where it has one or where the clock alone does not
/// tell.
pub fn instant_text(zone: &Zone, at: DateTime<Utc>, before: &str) -> String {
    let at = at.trunc_subsecs(0);
    let between = if before.contains('T') { "T" } else { " " };
    let seconds = if at.timestamp() % 60 == 0 { "" } else { ":%S" };
    let form = format!("%Y-%m-%d{between}%H:%M{seconds}");
    let local = zone.local(at);
    let plain = local.naive.format(&form).to_string();
    let with_offset = plain.clone() + &local.offset_text();
    let universal = at.format(&form).to_string() + "Z";
    let time = before.split_once(['T', ' ']).map_or("", |(_, time)| time);
    let ways = match time {
        time if time.ends_with(['Z', 'z']) => [universal.clone(), with_offset, plain],
        time if time.contains(['+', '-']) => [with_offset, universal.clone(), plain],
        _ => [plain, with_offset, universal.clone()],
    };
    let leads_back = |text: &String| zone.parse_instant(text) == Ok(at);
    ways.into_iter().find(leads_back).unwrap_or(universal)
}

fn machine(edit: &mut Edit<'_>, own: &Machine, wanted: &Machine) {
    if wanted.model_file != own.model_file {
        edit.remove("machine", "livery"); // another model's
    }
    let chainage = New::Number(wanted.chainage_m, METRES);
    edit.set("machine", "chainage_m", &chainage);
    edit.set(
        "machine",
        "head_end",
        &New::Text(wanted.head_end.word().into()),
    );
    let doors = New::Flag(wanted.doors_open);
    edit.set_unless("machine", "doors_open", &doors, &New::Flag(false));
    let [condition, clean] =
        [wanted.condition, Condition::Clean].map(|one| New::Text(one.word().into()));
    edit.set_unless("machine", "condition", &condition, &clean);
    for (key, kind) in [
        ("coupled_front", wanted.front_equipment),
        ("coupled_rear", wanted.rear_equipment),
    ] {
        match kind {
            Some(kind) => edit.set("machine", key, &New::Text(kind.word().into())),
            None => edit.remove("machine", key),
        }
    }
}

/// Names another model, or the same from another folder.
fn model(edit: &mut Edit<'_>, own: &Machine, wanted: &Machine, from: &Path, to: &Path) {
    let moved = folder(from) != folder(to);
    if wanted.model_file == own.model_file && !moved {
        return;
    }
    let before = edit.text_at("machine", "model").unwrap_or_default();
    let beside = wanted.model_file.parent() == own.model_file.parent();
    let file = wanted
        .model_file
        .file_name()
        .unwrap_or_default()
        .to_string_lossy();
    let text = match before.rsplit_once('/') {
        Some((way, _)) if beside && !moved => format!("{way}/{file}"),
        None if beside && !moved => file.into_owned(),
        _ => way_to(&folder(to), &wanted.model_file),
    };
    edit.set("machine", "model", &New::Text(text));
}

fn folder(path: &Path) -> PathBuf {
    let parent = path
        .parent()
        .filter(|parent| !parent.as_os_str().is_empty());
    let parent = parent.unwrap_or(Path::new("."));
    parent
        .canonicalize()
        .unwrap_or_else(|_| parent.to_path_buf())
}

/// The way from a folder to a file; the file's whole path where they lie on different drives.
fn way_to(folder: &Path, file: &Path) -> String {
    let file = file.canonicalize().unwrap_or_else(|_| file.to_path_buf());
    let shared = folder.components().zip(file.components());
    let shared = shared.take_while(|(a, b)| a == b).count();
    if shared == 0 {
        return file.to_string_lossy().into_owned();
    }
    let up = folder.components().skip(shared).map(|_| "..".to_string());
    let down = file.components().skip(shared);
    let down = down.map(|part| part.as_os_str().to_string_lossy().into_owned());
    up.chain(down).collect::<Vec<_>>().join("/")
}

fn sky(edit: &mut Edit<'_>, wanted: SkyCondition) {
    let [wanted, clear] = [wanted, SkyCondition::Clear].map(|sky| New::Text(sky.word().into()));
    edit.set_unless("sky", "condition", &wanted, &clear);
}

fn cleared(edit: &mut Edit<'_>, wanted: Cleared) {
    for (key, is_gone) in [("weeds", wanted.weeds), ("people", wanted.people)] {
        edit.set_unless("cleared", key, &New::Flag(is_gone), &New::Flag(false));
    }
}

fn kit(edit: &mut Edit<'_>, own: &Kit, wanted: &Kit) {
    if own == wanted {
        return;
    }
    let film = |film: &Film| New::Numbers(vec![film.width_mm, film.height_mm], AS_GIVEN);
    edit.set_unless("kit", "film_mm", &film(&wanted.film), &film(&Film::FULL));
    for (key, before, list) in [
        ("lenses_mm", &own.lenses_mm, &wanted.lenses_mm),
        ("heights_m", &own.heights_m, &wanted.heights_m),
    ] {
        // The file's own order stays where the list is the same.
        if before != list || !edit.has("kit", key) {
            edit.set("kit", key, &New::Numbers(list.clone(), AS_GIVEN));
        }
    }
    for (key, value, usual) in [
        ("film_speed_iso", wanted.film_speed_iso, 100.0),
        ("f_number", wanted.f_number, 8.0),
    ] {
        edit.set_unless(
            "kit",
            key,
            &New::Number(value, AS_GIVEN),
            &New::Number(usual, AS_GIVEN),
        );
    }
}

/// What of a scene that was read back is not as wanted, beyond what is rounded.
fn differs(read: &Scene, wanted: &Scene, keep: Keep) -> Option<&'static str> {
    let near =
        |a: f64, b: f64, decimals: usize| (a - b).abs() <= 0.51 * 0.1_f64.powi(decimals as i32);
    let (mine, theirs) = (&read.frame, &wanted.frame);
    let heading = match (mine.heading_deg, theirs.heading_deg) {
        (Some(a), Some(b)) => near(a, b, DEGREES),
        (a, b) => a == b,
    };
    let at = theirs.at.map(|at| at.trunc_subsecs(0));
    let (one, other) = (&read.machine, &wanted.machine);
    let stands = [
        (near(mine.spot_m.x, theirs.spot_m.x, METRES), "the spot"),
        (near(mine.spot_m.y, theirs.spot_m.y, METRES), "the spot"),
        (near(mine.lens_mm, theirs.lens_mm, LENS), "the lens"),
        (near(mine.height_m, theirs.height_m, METRES), "the height"),
        (heading, "the heading"),
        (near(mine.pitch_deg, theirs.pitch_deg, DEGREES), "the pitch"),
        (near(mine.roll_deg, theirs.roll_deg, DEGREES), "the roll"),
        (
            at.is_none() || mine.at.map(|at| at.trunc_subsecs(0)) == at,
            "the time",
        ),
    ];
    let same_model =
        one.model.name == other.model.name && one.model.triangles == other.model.triangles;
    let rehearsed = [
        (same_model, "the model"),
        (
            near(one.chainage_m, other.chainage_m, METRES),
            "the machine's place",
        ),
        (one.head_end == other.head_end, "the leading end"),
        (one.doors_open == other.doors_open, "the doors"),
        (
            one.front_equipment == other.front_equipment,
            "what is coupled",
        ),
        (
            one.rear_equipment == other.rear_equipment,
            "what is coupled",
        ),
        (one.condition == other.condition, "the machine's condition"),
        (read.sky == wanted.sky, "the sky"),
        (read.kit == wanted.kit, "the kit"),
        (read.cleared == wanted.cleared, "what is cut or sent away"),
    ];
    let of_machine = rehearsed.iter().filter(|_| keep == Keep::AsRehearsed);
    let mut all = stands.iter().chain(of_machine);
    all.find(|(same, _)| !same).map(|(_, what)| *what)
}
