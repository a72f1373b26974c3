//! The machines that may stand in for a scene's own: the models that lie beside its model, loaded when asked for and
//! kept. May not enter: where a machine stands.

use super::setting::Refusal;
use crate::document::{Document, FileKind, render};
use crate::mesh::model::Model;
use crate::mesh::sidecar;
use crate::scene::Scene;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// One model that may be asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offered {
    /// By which it is asked for: its file's name without its ending.
    pub name: String,
    /// What it is, for people ("six-axle hood unit"); its name where its file does not say.
    pub title: String,
    /// Its file.
    pub file: PathBuf,
}

/// Models beside a scene's own.
#[derive(Debug)]
pub struct Models {
    offered: Vec<Offered>,
    kept: Mutex<Vec<Kept>>,
}

/// A loaded model. The same machine is always the same `Arc`: what was computed of it serves again.
#[derive(Debug)]
struct Kept {
    name: String,
    shut: Arc<Model>,
    open: Option<Arc<Model>>,
}

impl Models {
    /// The models in the folder of a scene's model, by name; the scene's own is loaded already, in its livery.
    pub fn beside(scene: &Scene) -> Models {
        let machine = &scene.machine;
        let own = offered(&machine.model_file);
        let folder = machine.model_file.parent();
        let entries = folder.and_then(|folder| std::fs::read_dir(in_words(folder)).ok());
        let files = entries.into_iter().flatten().flatten();
        // The folder's path as the scene has it, so that the scene's own model is found again.
        let files = files.filter_map(|entry| Some(folder?.join(entry.file_name())));
        let others = files.filter(|file| *file != machine.model_file && is_model(file));
        let mut all: Vec<Offered> = others.map(|file| offered(&file)).collect();
        all.push(own.clone());
        all.sort_by(|a, b| a.name.cmp(&b.name));
        let is_open = !Arc::ptr_eq(&machine.model, &machine.shut);
        let kept = Kept {
            name: own.name,
            shut: machine.shut.clone(),
            open: is_open.then(|| machine.model.clone()),
        };
        Models {
            offered: all,
            kept: Mutex::new(vec![kept]),
        }
    }

    /// What may be asked for, by name.
    pub fn offered(&self) -> &[Offered] {
        &self.offered
    }

    /// A model by its name, with its doors shut and as it stands.
    ///
    /// # Errors
    /// There is none of that name, or its file is wrong.
    pub fn model(&self, name: &str, doors_open: bool) -> Result<[Arc<Model>; 2], Refusal> {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let at = match kept.iter().position(|one| one.name == name) {
            Some(at) => at,
            None => {
                let shut = Arc::new(self.load(name)?);
                let (name, open) = (name.to_string(), None);
                kept.push(Kept { name, shut, open });
                kept.len() - 1
            }
        };
        let one = &mut kept[at];
        let shut = one.shut.clone();
        if !doors_open || shut.hinged_doors.is_empty() {
            return Ok([shut.clone(), shut]);
        }
        let open = (one.open).get_or_insert_with(|| Arc::new(shut.with_doors_open()));
        Ok([shut, open.clone()])
    }

    /// The file of a model.
    pub fn file(&self, name: &str) -> Option<&Path> {
        let found = self.offered.iter().find(|one| one.name == name)?;
        Some(&found.file)
    }

    fn load(&self, name: &str) -> Result<Model, Refusal> {
        let file = self.file(name);
        let file = file.ok_or_else(|| Refusal::NoModel(name.to_string()))?;
        sidecar::load(file).map_err(|problems| Refusal::BrokenModel {
            name: name.to_string(),
            problems: render(&problems, false).trim_end().to_string(),
        })
    }
}

/// The name by which a model's file is asked for.
pub fn name_of(file: &Path) -> String {
    let stem = file.file_stem().unwrap_or_default();
    stem.to_string_lossy().into_owned()
}

fn offered(file: &Path) -> Offered {
    let name = name_of(file);
    let stated = Document::open(file).ok().and_then(|document| {
        let root = document.root();
        root.table("model").optional()?.text("name").optional()
    });
    Offered {
        title: stated.unwrap_or_else(|| name.replace('_', " ")),
        name,
        file: file.to_path_buf(),
    }
}

fn is_model(file: &Path) -> bool {
    let is_toml = file.extension().is_some_and(|ending| ending == "toml");
    let kind = || FileKind::of(&Document::open(file).ok()?);
    is_toml && kind() == Some(FileKind::Model)
}

/// A bare name's folder is the current one.
fn in_words(folder: &Path) -> &Path {
    if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    }
}
