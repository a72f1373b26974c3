//! The house's own rules: layers, first lines, lengths. May not enter: what the program does.

use std::fs;
use std::path::{Path, PathBuf};

/// Rooms in order; those of one tier do not know one another, except that all may use `document`.
const TIERS: [&[&str]; 9] = [
    &["units"],
    &["document", "sky", "camera", "mesh"],
    &["scene"],
    &["sighting"],
    &["grade"],
    &["plan"],
    &["picture"],
    &["card"],
    &["cli"],
];

/// Crates that know a GPU, a window or a command line, and the first tier that may name them.
const WORLDLY: [(&str, usize); 5] = [
    ("wgpu", 6),
    ("egui", 7),
    ("winit", 7),
    ("clap", 8),
    ("indicatif", 8),
];

fn tier(room: &str) -> Option<usize> {
    TIERS.iter().position(|rooms| rooms.contains(&room))
}

fn sources(folder: &Path, out: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, out);
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push(path);
        }
    }
}

/// Rooms named as `crate::room` outside comments and test modules.
fn rooms_named(text: &str) -> Vec<String> {
    let code = text.split("#[cfg(test)]\nmod ").next().unwrap_or(text);
    let mut rooms = Vec::new();
    for line in code
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
    {
        for piece in line.split("crate::").skip(1) {
            let name = piece
                .split(|c: char| !c.is_ascii_lowercase() && c != '_')
                .next();
            rooms.extend(name.filter(|n| !n.is_empty()).map(str::to_string));
        }
    }
    rooms
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
    if !text.starts_with("//! ") {
        faults.push("its first line does not say what it is for".into());
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
    sources(&root, &mut files);
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

#[test]
fn a_breach_is_seen() {
    let found = faults(
        "sky",
        "//! Sun.\nuse crate::scene::Scene;\nuse crate::units::rad;\n",
    );
    assert_eq!(found, ["sky knows scene"]);
    let found = faults("grade", "//! Grades.\nfn f() { wgpu::Instance::new() }\n");
    assert_eq!(found, ["grade knows wgpu"]);
    assert_eq!(faults("mesh", "use crate::camera::film::Film;\n").len(), 2);
    let fine = "//! Tests may look up.\n#[cfg(test)]\nmod tests { use crate::cli::args; }\n";
    assert!(faults("sky", fine).is_empty());
}
