//! A rulebook: every limit there is, read from one TOML file. May not enter: limits written in code.
//!
//! A measure without a table in the file has no rule: it is listed and not judged.

use super::catalogue::MeasureId;
use super::rule::Rule;
use super::rule_file;
use crate::document::{Document, FileKind, Problems, Table};
use serde::Serialize;
use std::ops::RangeInclusive;
use std::path::Path;

/// Weights that a rule may have: within them the base of every verdict's score lies above the best
/// score of the next worse verdict (held by a test).
pub const WEIGHTS: RangeInclusive<f64> = 0.1..=10.0;

/// Widths in pixels that a view may have: enough to tell margins, few enough for memory.
const VIEW_PX: RangeInclusive<f64> = 64.0..=8192.0;

/// Families of faults.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Group {
    /// Where things lie in the frame.
    Composition,
    /// Sun, sky and shadows.
    Light,
    /// The machine's own state.
    Subject,
    /// Lens and exposure.
    Capture,
}

impl Group {
    /// With the words of files and reports.
    pub const WORDS: [(&str, Group); 4] = [
        ("composition", Group::Composition),
        ("light", Group::Light),
        ("subject", Group::Subject),
        ("capture", Group::Capture),
    ];

    /// The word used in files and reports.
    pub fn word(self) -> &'static str {
        Self::WORDS[self as usize].0
    }
}

/// One cause, counted once.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// Its key in the file and in data output.
    pub key: String,
    /// Its name in reports.
    pub title: String,
    /// Its family.
    pub group: Group,
}

/// How large views are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ViewSize {
    /// Width of the camera's view in pixels.
    pub width_px: usize,
    /// Width and height of the sun's view in pixels.
    pub sun_px: usize,
}

/// Every rule of one file.
#[derive(Clone, Debug, PartialEq)]
pub struct Rulebook {
    /// Its name ("roster").
    pub name: String,
    /// What it is for.
    pub note: String,
    /// Size of views while searching.
    pub search: ViewSize,
    /// Size of views that prove a grade.
    pub proof: ViewSize,
    /// Faults, in the file's order.
    pub faults: Vec<Fault>,
    /// By measure, in the catalogue's order.
    rules: Vec<Option<Rule>>,
}

impl Rulebook {
    /// The rules of a roster shot: the default.
    pub fn roster() -> Rulebook {
        shipped("roster.toml", include_str!("rulebooks/roster.toml"))
    }

    /// The rules of a record shot: coverage, sharpness, scale, shadows off the lettering.
    pub fn record() -> Rulebook {
        shipped("record.toml", include_str!("rulebooks/record.toml"))
    }

    /// Reads a file from disk.
    pub fn load(path: &Path) -> Result<Rulebook, Problems> {
        from_document(Document::open(path)?)
    }

    /// Reads a file's text; `file_name` is for messages.
    pub fn read(file_name: &str, text: &str) -> Result<Rulebook, Problems> {
        from_document(Document::parse(file_name, text.as_bytes()))
    }

    /// Reads an opened file.
    pub fn from_document(document: Document) -> Result<Rulebook, Problems> {
        from_document(document)
    }

    /// The rule on a measure, if there is one.
    pub fn rule(&self, id: MeasureId) -> Option<&Rule> {
        self.rules[id as usize].as_ref()
    }

    /// Every rule, in the catalogue's order.
    pub fn rules(&self) -> impl Iterator<Item = &Rule> {
        self.rules.iter().flatten()
    }
}

/// The files that ship are held sound by tests.
fn shipped(name: &str, text: &str) -> Rulebook {
    Rulebook::read(name, text).unwrap_or_else(|problems| panic!("{problems}"))
}

fn from_document(document: Document) -> Result<Rulebook, Problems> {
    let document = document.wanted_as(FileKind::Rulebook)?;
    let book = read(&document.root());
    match document.finish() {
        Ok(()) => Problems::new().or(book),
        Err(problems) => Err(problems),
    }
}

fn read(root: &Table<'_>) -> Option<Rulebook> {
    let about = root.table("rulebook").required();
    let name = about.as_ref().and_then(|t| t.text("name").required());
    let note = about.as_ref().and_then(|t| t.text("note").required());
    let search = read_size(root, "search");
    let proof = read_size(root, "proof");
    let fault_tables = root.table("fault").required();
    let faults = fault_tables.as_ref().and_then(read_faults);
    let rules = read_rules(root, fault_tables.as_ref());
    Some(Rulebook {
        name: name?,
        note: note?,
        search: search?,
        proof: proof?,
        faults: faults?,
        rules: rules?,
    })
}

fn read_size(root: &Table<'_>, key: &str) -> Option<ViewSize> {
    let table = root.table(key).required()?;
    let pixels = |key: &str| {
        let whole = |width: f64| match width.fract() {
            0.0 => Ok(width as usize),
            _ => Err("not a whole number".into()),
        };
        let field = table.number(key).range(VIEW_PX);
        field.map("a whole number", whole).required()
    };
    let (width_px, sun_px) = (pixels("width_px"), pixels("sun_px"));
    Some(ViewSize {
        width_px: width_px?,
        sun_px: sun_px?,
    })
}

/// As many faults as a rulebook may have: sets of them are kept as bits of one number.
const MOST_FAULTS: usize = 64;

/// Every fault, in the file's order; none if any is broken, but each is looked at.
fn read_faults(tables: &Table<'_>) -> Option<Vec<Fault>> {
    let read = |key: &str| {
        let table = tables.table(key).required()?;
        let title = table.text("title").required();
        let group = table.choice("group", &Group::WORDS).required();
        Some(Fault {
            key: key.to_string(),
            title: title?,
            group: group?,
        })
    };
    let keys = tables.keys();
    if keys.len() > MOST_FAULTS {
        let found = format!("{} faults", keys.len());
        tables.fault(keys[MOST_FAULTS], found, format!("{MOST_FAULTS} or fewer"));
    }
    let faults: Vec<Option<Fault>> = keys.into_iter().map(read).collect();
    faults.into_iter().collect()
}

fn read_rules(root: &Table<'_>, faults: Option<&Table<'_>>) -> Option<Vec<Option<Rule>>> {
    let tables = root.table("measure").required()?;
    let fault_keys = faults.map(Table::keys).unwrap_or_default();
    let mut used = vec![false; fault_keys.len()];
    let mut sound = true;
    let mut rules = Vec::new();
    // Keys that are no measure's are never asked for, so the document tells them as unknown.
    for &id in MeasureId::ALL {
        let mut rule = None;
        if tables.has(id.key()) {
            let table = tables.table(id.key()).required();
            rule = table.and_then(|table| rule_file::read(id, &table, &fault_keys, &mut used));
            sound &= rule.is_some();
        }
        rules.push(rule);
    }
    for (key, used) in fault_keys.iter().zip(used) {
        if let (false, Some(faults)) = (used, faults) {
            faults.fault(key, "no measure belongs to this fault", "a fault in use");
        }
    }
    sound.then_some(rules)
}
