//! The house's own rules: layers, first lines, lengths. May not enter: what the program does.

use std::fs;
use std::path::{Path, PathBuf};

/// Rooms in order; those of one tier do not know one another, except that all may use `document`.
const TIERS: [&[&str]; 16] = [
    &["units"],
    &["document", "sky", "camera", "mesh"],
    &["scene"],
    &["sighting"],
    &["grade"],
    &["plan"],
    &["judge"],
    &["gpu"],
    &["picture"],
    &["export"],
    &["card"],
    &["report"],
    &["rehearsal"],
    &["practise"],
    &["window"],
    &["cli"],
];

/// Crates that know a GPU, a window or a command line, and the first tier that may name them.
const WORLDLY: [(&str, usize); 5] = [
    ("wgpu", 7),
    ("egui", 14),
    ("winit", 14),
    ("clap", 15),
    ("indicatif", 15),
];

fn tier(room: &str) -> Option<usize> {
    TIERS.iter().position(|rooms| rooms.contains(&room))
}

fn sources(folder: &Path, extension: &str, out: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, extension, out);
        } else if path.extension().is_some_and(|e| e == extension) {
            out.push(path);
        }
    }
}

/// Rooms named as `crate::room`, or within `crate::{…}`, outside comments and test modules.
fn rooms_named(text: &str) -> Vec<String> {
    let code = text.split("#[cfg(test)]\nmod ").next().unwrap_or(text);
    let lines = code
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"));
    let code = lines.collect::<Vec<_>>().join("\n");
    code.split("crate::")
        .skip(1)
        .flat_map(|piece| match piece.strip_prefix('{') {
            Some(group) => firsts_of_group(group),
            None => first_word(piece).into_iter().collect(),
        })
        .collect()
}

/// The first word of each item of a braced group that has just been opened.
fn firsts_of_group(group: &str) -> Vec<String> {
    let (mut depth, mut starts) = (1, vec![0]);
    for (at, c) in group.char_indices() {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 1 => starts.push(at + 1),
            _ => {}
        }
        if depth == 0 {
            break;
        }
    }
    let firsts = starts.into_iter().map(|at| first_word(&group[at..]));
    firsts.flatten().collect()
}

fn first_word(text: &str) -> Option<String> {
    let word = text
        .trim_start()
        .split(|c: char| !c.is_ascii_lowercase() && c != '_')
        .next();
    word.filter(|word| !word.is_empty()).map(str::to_string)
}

/// What is wrong with a file of a room.
fn faults(room: &str, text: &str) -> Vec<String> {
    let mut faults = Vec::new();
    let Some(own) = tier(room) else {
        return vec![format!("{room} is in no tier")];
    };
    for other in rooms_named(text) {
        let Some(theirs) = tier(&other) else { continue };
        let neighbour = theirs == own && other != room && other != "document";
        if theirs > own || neighbour {
            faults.push(format!("{room} knows {other}"));
        }
    }
    for (name, least) in WORLDLY {
        let named = format!("{name}::");
        let code = text
            .lines()
            .filter(|line| !line.trim_start().starts_with("//"));
        if own < least && code.into_iter().any(|line| line.contains(&named)) {
            faults.push(format!("{room} knows {name}"));
        }
    }
    if text.lines().count() > 400 {
        faults.push(format!("{} lines hold two rooms", text.lines().count()));
    }
    faults
}

#[test]
fn every_room_keeps_to_its_place() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    sources(&root, "rs", &mut files);
    assert!(files.len() > 60, "the walk found {} files", files.len());
    let mut all = Vec::new();
    for file in files {
        let inside = file.strip_prefix(&root).unwrap();
        let first = inside
            .components()
            .next()
            .unwrap()
            .as_os_str()
            .to_str()
            .unwrap();
        let room = first.trim_end_matches(".rs");
        if room == "lib" || room == "main" {
            continue;
        }
        let text = fs::read_to_string(&file).unwrap();
        all.extend(
            faults(room, &text)
                .into_iter()
                .map(|f| format!("{}: {f}", inside.display())),
        );
    }
    assert!(all.is_empty(), "{}", all.join("\n"));
}

/// Whether a file's first lines say what may not enter.
fn says_what_may_not_enter(text: &str) -> bool {
    let head: Vec<&str> = (text.lines())
        .map_while(|line| line.strip_prefix("//!"))
        .flat_map(str::split_whitespace)
        .collect();
    head.join(" ").contains("May not enter: ")
}

#[test]
fn every_file_says_first_what_may_not_enter() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files = Vec::new();
    for folder in ["src", "tests", "examples", "benches"] {
        sources(&root.join(folder), "rs", &mut files);
    }
    assert!(files.len() > 150, "the walk found {} files", files.len());
    files.retain(|file| !says_what_may_not_enter(&fs::read_to_string(file).unwrap()));
    assert!(files.is_empty(), "{files:#?}");
    assert!(says_what_may_not_enter(
        "//! What for. May not\n//! enter: that.\n"
    ));
    assert!(!says_what_may_not_enter(
        "//! What for.\n// May not enter: that.\n"
    ));
}

#[test]
fn rooms_within_braces_are_seen_one_by_one() {
    let text = "use crate::{\n    scene::{Scene, track::Track},\n    units::rad,\n};\nuse crate::mesh::obj;\n";
    assert_eq!(rooms_named(text), ["scene", "units", "mesh"]);
    let nested =
        "use crate::{sky::{sun::{Sun, sun_at}, clock}, cli};\nfn f(x: &crate::plan::Plan) {}\n";
    assert_eq!(rooms_named(nested), ["sky", "cli", "plan"]);
    let found = faults("sky", "//! Sun.\nuse crate::{units::rad, scene::Scene};\n");
    assert_eq!(found, ["sky knows scene"]);
}

#[test]
fn a_breach_is_seen() {
    let found = faults(
        "sky",
        "//! Sun.\nuse crate::scene::Scene;\nuse crate::units::rad;\n",
    );
    assert_eq!(found, ["sky knows scene"]);
    let found = faults("grade", "//! Grades.\nfn f() { wgpu::Instance::new() }\n");
    assert_eq!(found, ["grade knows wgpu"]);
    assert_eq!(faults("mesh", "use crate::camera::film::Film;\n").len(), 1);
    let fine = "//! Tests may look up.\n#[cfg(test)]\nmod tests { use crate::cli::args; }\n";
    assert!(faults("sky", fine).is_empty());
}
