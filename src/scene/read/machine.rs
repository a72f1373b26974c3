//! \[machine] of a scene file: which model, where on which track, in what state. May not enter: the
//! model's own file (see `mesh::sidecar`).

use crate::document::{Problems, Table, beside, nearest};
use crate::mesh::model::Model;
use crate::mesh::sidecar;
use crate::scene::equipment::EquipmentKind;
use crate::scene::machine::{Condition, HeadEnd, Machine};
use crate::scene::standing::Misfit;
use crate::scene::track::Track;
use std::path::{Path, PathBuf};
use std::sync::Arc;

pub fn machine(
    root: &Table<'_>,
    tracks: &[Option<Track>],
    scene_path: &Path,
    problems: &mut Problems,
) -> Option<Machine> {
    let table = root.table("machine").required()?;
    let (model, model_file) = model(&table, scene_path, problems).unzip();
    let track = track_named(&table, tracks);
    let chainage = table.number("chainage_m").required();
    let head_end = table.choice("head_end", &HeadEnd::WORDS).required();
    let doors_open = table.flag("doors_open").default(false);
    let livery = livery(&table, model.as_deref());
    let condition = table
        .choice("condition", &Condition::WORDS)
        .default(Condition::Clean);
    let rare = table.flag("rare").default(false);
    let front = table
        .choice("coupled_front", &EquipmentKind::WORDS)
        .optional();
    let rear = table
        .choice("coupled_rear", &EquipmentKind::WORDS)
        .optional();
    let (index, mut model, chainage_m) = (track?, model?, chainage?);
    let model_file = model_file?;
    if let Some(livery) = livery {
        model = Arc::new(model.in_livery(&model.liveries[livery]));
    }
    let shut = model.clone();
    if doors_open && !model.hinged_doors.is_empty() {
        model = Arc::new(model.with_doors_open());
    }
    let on = tracks[index].as_ref()?;
    if !stands_on(&table, &model, on, chainage_m) {
        return None;
    }
    let at = on.point_at(chainage_m);
    Some(Machine {
        model,
        shut,
        model_file,
        track: index,
        chainage_m,
        centre_m: at.position_m,
        track_bearing_deg: at.bearing_deg,
        head_end: head_end?,
        doors_open,
        coupled_front: front.is_some(),
        coupled_rear: rear.is_some(),
        front_equipment: front,
        rear_equipment: rear,
        condition,
        rare,
    })
}

fn model(
    table: &Table<'_>,
    scene_path: &Path,
    problems: &mut Problems,
) -> Option<(Arc<Model>, PathBuf)> {
    let file = table.text("model").required()?;
    let path = beside(scene_path, &file);
    if !path.is_file() {
        let why = if path.is_dir() {
            "this is a folder, not a model file"
        } else {
            "no such model file"
        };
        let message = format!("{why}: {}", path.display());
        table.fault(
            "model",
            message,
            "a model's TOML, its path relative to this file",
        );
        return None;
    }
    match sidecar::load(&path) {
        Ok(model) => Some((Arc::new(model), path)),
        Err(found) => {
            problems.extend(found);
            None
        }
    }
}

/// The number of the livery that the key `livery` names, if it does.
fn livery(table: &Table<'_>, model: Option<&Model>) -> Option<usize> {
    let Some(model) = model else {
        // The model's own problems have been told; the key is known all the same.
        return table.text("livery").optional().and(None);
    };
    if model.liveries.is_empty() && table.has("livery") {
        table.fault(
            "livery",
            "this model comes in one livery only",
            "no such key",
        );
        return None;
    }
    let names = model.liveries.iter().map(|livery| livery.name.as_str());
    let words: Vec<(&str, usize)> = names.zip(0..).collect();
    table.choice("livery", &words).optional()
}

/// The number of the track that the key `track` names.
pub(super) fn track_named(table: &Table<'_>, tracks: &[Option<Track>]) -> Option<usize> {
    let name = table.text("track").required()?;
    let named = |track: &Option<Track>| track.as_ref().is_some_and(|track| track.name == name);
    let found = tracks.iter().position(named);
    // With a refused track nobody knows whether that was its name.
    if found.is_none() && tracks.iter().all(Option::is_some) {
        let names: Vec<&str> = tracks
            .iter()
            .flatten()
            .map(|track| track.name.as_str())
            .collect();
        let mut allowed = names.join(", ");
        if let Some(near) = nearest(&name, names) {
            allowed = format!("{allowed}; did you mean {near}?");
        }
        table.fault("track", "no track of this name", allowed);
    }
    found
}

/// The machine stands wholly on its track, and its wheels fit.
fn stands_on(table: &Table<'_>, model: &Model, track: &Track, chainage_m: f64) -> bool {
    let misfit = Misfit::of(model, track, chainage_m);
    if let Some(misfit) = misfit {
        let key = match misfit {
            Misfit::Gauge { .. } => "track",
            Misfit::OffTrack { .. } => "chainage_m",
        };
        table.fault(key, misfit.to_string(), misfit.allowed());
    }
    misfit.is_none()
}
