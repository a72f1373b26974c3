//! What a command reads and writes: nothing that it reads is written over, no two outputs share a file, and
//! what cannot be written is refused before the work begins. May not enter: what is written.

use crate::card;
use crate::document::{Document, beside};
use miette::miette;
use std::path::{Path, PathBuf};

/// Files that a scene is made of: its own, its model's, its mesh; as far as they can be told.
fn of_scene(scene: &Path) -> Vec<PathBuf> {
    let named = |path: &Path, table: &str, key: &str| {
        let document = Document::open(path).ok()?;
        let root = document.root();
        let file = root.table(table).optional()?.text(key).optional()?;
        Some(beside(path, &file))
    };
    let model = named(scene, "machine", "model");
    let mesh = model
        .as_ref()
        .and_then(|model| named(model, "model", "mesh"));
    std::iter::once(scene.to_path_buf())
        .chain(model)
        .chain(mesh)
        .collect()
}

/// One path, links followed, as far as it exists.
fn real(path: &Path) -> PathBuf {
    let found = path.canonicalize();
    found.unwrap_or_else(|_| match (path.parent(), path.file_name()) {
        (Some(folder), Some(name)) => {
            let folder = if folder.as_os_str().is_empty() {
                Path::new(".")
            } else {
                folder
            };
            folder
                .canonicalize()
                .map_or_else(|_| path.to_path_buf(), |folder| folder.join(name))
        }
        _ => path.to_path_buf(),
    })
}

/// Holds outputs that are asked for apart from inputs and from one another, and looks whether their folders are
/// there. An output is named by its option.
pub fn hold_apart(
    scene: &Path,
    rules: Option<&Path>,
    outputs: &[(&str, Option<&Path>)],
) -> Result<(), miette::Report> {
    let mut inputs = of_scene(scene);
    inputs.extend(rules.map(Path::to_path_buf));
    hold_apart_from(&inputs, outputs)
}

/// The same, apart from any inputs.
pub fn hold_apart_from(
    inputs: &[PathBuf],
    outputs: &[(&str, Option<&Path>)],
) -> Result<(), miette::Report> {
    let outputs: Vec<(&str, &Path)> = outputs
        .iter()
        .filter_map(|(option, path)| Some((*option, (*path)?)))
        .filter(|(_, path)| *path != Path::new("-"))
        .collect();
    for (i, (option, path)) in outputs.iter().enumerate() {
        let target = real(path);
        if let Some(input) = inputs.iter().find(|input| real(input) == target) {
            return Err(miette!(
                "{option}: {} would write over {}, which is read; give another file",
                path.display(),
                input.display()
            ));
        }
        if let Some((other, _)) = outputs[..i].iter().find(|(_, other)| real(other) == target) {
            return Err(miette!(
                "{option}: {} is also what {other} writes; give two files",
                path.display()
            ));
        }
        let folder = target
            .parent()
            .filter(|folder| !folder.as_os_str().is_empty());
        if folder.is_some_and(|folder| !folder.is_dir()) {
            return Err(miette!(
                "{option}: cannot write {}: its folder does not exist",
                path.display()
            ));
        }
        if target.is_dir() {
            return Err(miette!(
                "{option}: cannot write {}: it is a folder; give a file's name",
                path.display()
            ));
        }
    }
    Ok(())
}

/// A folder for cards that this run made: empty it is taken away again, whatever ends the run.
pub struct MadeFolder<'a>(Option<&'a Path>);

impl Drop for MadeFolder<'_> {
    fn drop(&mut self) {
        // Only an empty folder can be removed so.
        let _ = self.0.map(std::fs::remove_dir);
    }
}

/// Makes a folder for cards, or says why it cannot serve: it is a file, or holds pages under the cards'
/// names that no plan wrote.
pub fn card_folder(dir: &Path, most: usize) -> Result<MadeFolder<'_>, miette::Report> {
    let made = MadeFolder((!dir.exists()).then_some(dir));
    if dir.exists() && !dir.is_dir() {
        return Err(miette!(
            "--card: {} is a file; give a folder",
            dir.display()
        ));
    }
    std::fs::create_dir_all(dir)
        .map_err(|error| miette!("--card: cannot make the folder {}: {error}", dir.display()))?;
    for number in 1..=most {
        let [page, picture] = card::paths(dir, number);
        let ours = std::fs::read_to_string(&page).map(|text| text.contains(card::MARK));
        let foreign = match ours {
            Ok(ours) => !ours,
            Err(_) => page.exists() || picture.exists(),
        };
        if foreign {
            return Err(miette!(
                "--card: {} holds a card-{number} that no plan wrote; give another folder",
                dir.display()
            ));
        }
    }
    Ok(made)
}

/// Takes away cards of an earlier, longer plan, so that the folder holds one plan's.
pub fn drop_cards_beyond(dir: &Path, last: usize, most: usize) {
    for number in last + 1..=most {
        for path in card::paths(dir, number) {
            // What cannot be taken away stays: the pages say which dates they are for.
            let _ = std::fs::remove_file(path);
        }
    }
}
