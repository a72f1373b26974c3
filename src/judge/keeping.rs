//! Marks kept in the file beside their photograph: what changed is exchanged, comments and everything else stay, and
//! nothing is written over that somebody else wrote meanwhile. May not enter: fitting, the photograph itself.

use super::marks::{Given, read};
use crate::document::{Document, Edit, New, Problems, read_file, render, write_whole};
use crate::mesh::model::Model;
use crate::scene::edit::instant_text;
use crate::sky::clock::Zone;
use std::collections::BTreeSet;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// Decimals that are written: a hundredth of a pixel, a thousandth of a micrometre, and of the shortest exposure a
/// hundred-thousandth.
const PIXELS: usize = 2;
const FINE: usize = 6;
const SHORT: usize = 10;

/// How a new file begins.
const HEAD: &str = "# Named points of the machine in a photograph: pixels right of and below its upper left corner, picture \
                    upright.\n";

/// The marks file that belongs to a photograph.
pub fn marks_beside(photo: &Path) -> PathBuf {
    let mut name = photo.as_os_str().to_owned();
    name.push(".marks.toml");
    PathBuf::from(name)
}

/// Why marks do not stand in their file, by what helps.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Unkept {
    /// What lies there cannot be read, or nothing can be put into it: it is mended, or put aside.
    #[error("{0}")]
    Unreadable(String),
    /// Another program wrote it meanwhile: it is read anew, or put aside.
    #[error("{} was changed by another program", .0.display())]
    Changed(PathBuf),
    /// It could not be written: that may be tried again.
    #[error("{0}")]
    Unwritten(String),
}

/// Gives a marks file that is in the way another name beside its own, never one that is taken; that name, or none where
/// nothing lies there.
///
/// # Errors
/// It cannot be renamed.
pub fn put_aside(path: &Path) -> io::Result<Option<PathBuf>> {
    let named = |n: u32| {
        let mut name = path.with_extension("").into_os_string();
        name.push(match n {
            1 => ".aside.toml".to_string(),
            n => format!(".aside-{n}.toml"),
        });
        PathBuf::from(name)
    };
    let is_taken = |name: &PathBuf| name.symlink_metadata().is_ok();
    let aside = (1..u32::MAX).map(named).find(|name| !is_taken(name));
    let aside = aside.ok_or(ErrorKind::AlreadyExists)?;
    // A second name is refused where there is a file meanwhile; a new name in place of the old one is not, and is left
    // to disks that know no second names, and to folders.
    let linked = std::fs::hard_link(path, &aside).and_then(|()| std::fs::remove_file(path));
    match linked {
        Ok(()) => Ok(Some(aside)),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) if error.kind() == ErrorKind::AlreadyExists => Err(error),
        Err(_) if is_taken(&aside) => Err(ErrorKind::AlreadyExists.into()),
        Err(_) => std::fs::rename(path, &aside).map(|()| Some(aside)),
    }
}

/// A marks file as it was read or written last.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// Where it lies.
    pub path: PathBuf,
    /// What stands in it; none where there is none.
    bytes: Option<Vec<u8>>,
}

impl Kept {
    /// Where no file lies yet.
    pub fn none(path: &Path) -> Kept {
        Kept {
            path: path.to_path_buf(),
            bytes: None,
        }
    }

    /// Reads what is there; a file that is not there is no fault. Says in words what is wrong with one that is: a
    /// sentence, and below it each fault drawn in its place.
    pub fn open(path: &Path, model: &Model, zone: &Zone) -> Result<(Kept, Given), String> {
        let name = path.display().to_string();
        let kept = |bytes| Kept {
            bytes,
            ..Kept::none(path)
        };
        match read_file(path) {
            Ok(bytes) => {
                let given = read(Document::parse(&name, &bytes), model, zone);
                Ok((
                    kept(Some(bytes)),
                    given.map_err(|problems| told(&problems))?,
                ))
            }
            Err(error) if error.kind() == ErrorKind::NotFound => Ok((kept(None), Given::default())),
            Err(error) => Err(format!("{name}: cannot read ({error})")),
        }
    }

    /// Whether the file is as it was read or written last, or gone: no other hand's work lies there.
    pub fn is_as_known(&self) -> bool {
        match read_file(&self.path) {
            Ok(bytes) => self.bytes.as_ref() == Some(&bytes),
            Err(error) => error.kind() == ErrorKind::NotFound,
        }
    }

    /// Writes what is given; the file as it then is. What stands there already is not written again.
    ///
    /// # Errors
    /// Why it was not written; what lies there is untouched then.
    pub fn save(&self, given: &Given, model: &Model, zone: &Zone) -> Result<Kept, Unkept> {
        let name = self.path.display();
        let unreadable = |why: &str| Unkept::Unreadable(format!("{name}: {why}"));
        let there = match read_file(&self.path) {
            Ok(bytes) => Some(bytes),
            Err(error) if error.kind() == ErrorKind::NotFound => None,
            Err(error) => return Err(unreadable(&format!("cannot read ({error})"))),
        };
        // A file that is gone comes back; one that changed is somebody's work.
        if there.is_some() && there != self.bytes {
            return Err(Unkept::Changed(self.path.clone()));
        }
        let text = match &self.bytes {
            Some(bytes) => String::from_utf8(bytes.clone()).map_err(|_| unreadable("no UTF-8"))?,
            None => String::new(),
        };
        let mut written = edited(&text, given, zone).map_err(|why| unreadable(&why))?;
        if text.is_empty() {
            written = format!("{HEAD}{written}");
        }
        let title = name.to_string();
        let back = read(Document::parse(&title, written.as_bytes()), model, zone);
        let back = back.map_err(|problems| Unkept::Unwritten(told(&problems)))?;
        if !alike(&back, given) {
            let why = format!("{name} would not read back as it was meant");
            return Err(Unkept::Unwritten(why));
        }
        let bytes = Some(written.into_bytes());
        if let Some(bytes) = bytes.as_ref().filter(|_| bytes != there) {
            let written = write_whole(&self.path, bytes);
            written.map_err(|error| Unkept::Unwritten(error.to_string()))?;
        }
        Ok(Kept {
            path: self.path.clone(),
            bytes,
        })
    }
}

/// Faults of a file: the first one as a sentence, then all of them drawn in their places.
fn told(problems: &Problems) -> String {
    let first = problems.iter().next().map_or(String::new(), |one| {
        let name = Path::new(&one.file).file_name().unwrap_or_default();
        let (name, found) = (name.to_string_lossy(), &one.found);
        match found.is_empty() {
            true => format!("{name}, line {}: {}", one.line, one.message),
            false => format!("{name}, line {}: {}: {found}", one.line, one.message),
        }
    });
    let more = match problems.len() {
        0 | 1 => String::new(),
        all => format!(" (and {} more)", all - 1),
    };
    format!("{first}{more}\n{}", render(problems, false))
}

/// The text with what is given in place of what stands there.
fn edited(text: &str, given: &Given, zone: &Zone) -> Result<String, String> {
    let mut edit = Edit::of(text).ok_or("no TOML")?;
    let count = edit
        .count("mark")
        .ok_or("its marks stand in one line; write each under [[mark]]")?;
    for (key, value) in [
        ("placed_to_px", given.placed_to_px),
        ("focal_mm", given.focal_mm),
        ("f_number", given.f_number),
        ("exposure_s", given.exposure_s),
        ("film_speed_iso", given.film_speed_iso),
    ] {
        match value {
            Some(value) => {
                let decimals = if key == "exposure_s" { SHORT } else { FINE };
                edit.set("marks", key, &New::Number(value, decimals));
            }
            None => edit.remove("marks", key),
        }
    }
    match given.film {
        Some(film) => {
            let size = vec![film.width_mm, film.height_mm];
            edit.set("marks", "film_mm", &New::Numbers(size, FINE));
        }
        None => edit.remove("marks", "film_mm"),
    }
    match given.at {
        Some(at) => {
            let before = edit.text_at("marks", "at").unwrap_or_default();
            if before.is_empty() || zone.parse_instant(before) != Ok(at) {
                let text = instant_text(zone, at, before);
                edit.set("marks", "at", &New::Text(text));
            }
        }
        None => edit.remove("marks", "at"),
    }
    edit.set_unless(
        "marks",
        "radial",
        &New::Flag(given.radial),
        &New::Flag(Given::default().radial),
    );
    let place = |at: glam::DVec2| New::Numbers(at.to_array().to_vec(), PIXELS);
    let mut there = BTreeSet::new();
    for n in 0..count {
        let name = edit
            .nth_text("mark", n, "point")
            .unwrap_or_default()
            .to_string();
        match given.marks.iter().find(|mark| mark.name == name) {
            Some(mark) => edit.set_nth("mark", n, "at_px", &place(mark.at_px)),
            None => edit.remove_nth("mark", n),
        }
        there.insert(name);
    }
    for mark in given
        .marks
        .iter()
        .filter(|mark| !there.contains(&mark.name))
    {
        let point = New::Text(mark.name.clone());
        edit.push("mark", &[("point", point), ("at_px", place(mark.at_px))]);
    }
    Ok(edit.finish())
}

/// Whether what was read back is what was meant, but for rounding and the order of marks.
fn alike(back: &Given, given: &Given) -> bool {
    let near = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() < 1e-6 && (a / b - 1.0).abs() < 1e-3,
        (a, b) => a == b,
    };
    let place = |mark: &super::pose::Mark| {
        let same = given.marks.iter().find(|other| other.name == mark.name);
        same.is_some_and(|other| (other.at_px - mark.at_px).abs().max_element() < 0.0051)
    };
    back.marks.len() == given.marks.len()
        && back.marks.iter().all(place)
        && near(back.placed_to_px, given.placed_to_px)
        && near(back.focal_mm, given.focal_mm)
        && near(back.f_number, given.f_number)
        && near(back.exposure_s, given.exposure_s)
        && near(back.film_speed_iso, given.film_speed_iso)
        && near(
            back.film.map(|film| film.width_mm),
            given.film.map(|film| film.width_mm),
        )
        && back.at.map(|at| at.timestamp()) == given.at.map(|at| at.timestamp())
        && back.radial == given.radial
}
