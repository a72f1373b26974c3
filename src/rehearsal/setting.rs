//! What is tried of a site: which end leads, where along its track the machine stands, its doors, couplings and dirt,
//! the sky, what is cut or sent away, and what the photographer carries. Plain data: a scene is made from it. May not
//! enter: stands, instants, grades.

use super::models::{Models, name_of};
use crate::scene::clearing::Cleared;
use crate::scene::equipment::EquipmentKind;
use crate::scene::limits::{
    F_NUMBERS, FILM_SIDES_MM, FILM_SPEEDS_ISO, HEIGHTS_M, LENSES_MM, MOST_SLENDER,
};
use crate::scene::machine::{Condition, HeadEnd};
use crate::scene::standing::Misfit;
use crate::scene::{Kit, Scene};
use crate::sky::daylight::SkyCondition;
use std::ops::RangeInclusive;
use thiserror::Error;

/// What is tried of a site.
#[derive(Clone, Debug, PartialEq)]
pub struct Setting {
    /// Which end leads.
    pub head_end: HeadEnd,
    /// Distance of the machine's centre along its track.
    pub chainage_m: f64,
    /// The model, by the name that [`Models`] has for it.
    pub model: String,
    /// Doors of cab or hood stand open.
    pub doors_open: bool,
    /// What is coupled at the head end.
    pub coupled_front: Option<EquipmentKind>,
    /// What is coupled at the rear end.
    pub coupled_rear: Option<EquipmentKind>,
    /// How clean it is.
    pub condition: Condition,
    /// The sky.
    pub sky: SkyCondition,
    /// Weeds and low bushes are cut.
    pub weeds_cut: bool,
    /// Nobody stands about.
    pub people_gone: bool,
    /// Film, lenses, heights, working f-number.
    pub kit: Kit,
}

/// Why a site cannot be had so, in a sentence.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum Refusal {
    /// It does not fit its track.
    #[error("{0}: {allowed} m allowed", allowed = .0.allowed())]
    OffTrack(Misfit),
    /// Its wheels do not fit the rails.
    #[error("{0}")]
    Gauge(Misfit),
    /// It would stand in something.
    #[error("there it would stand in the {0}")]
    InTheWay(String),
    /// No such model.
    #[error("no model is called {0}")]
    NoModel(String),
    /// A model whose file is wrong.
    #[error("the model {name} cannot be read:\n{problems}")]
    BrokenModel {
        /// The model.
        name: String,
        /// What is wrong.
        problems: String,
    },
    /// Nothing to photograph with.
    #[error("{0}")]
    Kit(String),
}

impl Setting {
    /// A site as its scene has it.
    pub fn of(scene: &Scene) -> Setting {
        let machine = &scene.machine;
        Setting {
            head_end: machine.head_end,
            chainage_m: machine.chainage_m,
            model: name_of(&machine.model_file),
            doors_open: machine.doors_open,
            coupled_front: machine.front_equipment,
            coupled_rear: machine.rear_equipment,
            condition: machine.condition,
            sky: scene.sky,
            weeds_cut: scene.cleared.weeds,
            people_gone: scene.cleared.people,
            kit: scene.kit.clone(),
        }
    }

    /// The scene with all this: its own is the one that it was loaded as.
    ///
    /// # Errors
    /// The machine does not fit its track, would stand in other equipment, or is none that there is; a kit that nobody
    /// carries.
    pub fn scene(&self, base: &Scene, models: &Models) -> Result<Scene, Refusal> {
        hold_kit(&self.kit)?;
        let [shut, model] = models.model(&self.model, self.doors_open)?;
        let file = models.file(&self.model);
        let mut scene = base.with_machine(|machine| {
            machine.model = model;
            machine.shut = shut;
            machine.model_file = file.map_or(machine.model_file.clone(), Into::into);
            machine.doors_open = self.doors_open;
            machine.chainage_m = self.chainage_m;
            machine.head_end = self.head_end;
            machine.condition = self.condition;
            machine.couple(self.coupled_front, self.coupled_rear);
        });
        let track = &scene.tracks[scene.machine.track];
        match Misfit::of(&scene.machine.model, track, self.chainage_m) {
            Some(off @ Misfit::OffTrack { .. }) => return Err(Refusal::OffTrack(off)),
            Some(gauge) => return Err(Refusal::Gauge(gauge)),
            None => {}
        }
        // What the scene itself has side by side may stay so.
        let before = base.run_into();
        if let Some(name) = scene.run_into().iter().find(|name| !before.contains(name)) {
            return Err(Refusal::InTheWay(name.to_string()));
        }
        scene.sky = self.sky;
        scene.kit = self.kit.clone();
        Ok(scene.with_cleared(Cleared {
            weeds: self.weeds_cut,
            people: self.people_gone,
        }))
    }
}

/// Holds a kit to what a scene file may state.
fn hold_kit(kit: &Kit) -> Result<(), Refusal> {
    let held = |what: &str, value: f64, unit: &str, allowed: &RangeInclusive<f64>| {
        let (least, most) = (allowed.start(), allowed.end());
        (allowed.contains(&value)).then_some(()).ok_or_else(|| {
            Refusal::Kit(format!(
                "{what}{value}{unit}: {least} to {most}{unit} allowed"
            ))
        })
    };
    let (width_mm, height_mm) = (kit.film.width_mm, kit.film.height_mm);
    for side_mm in [width_mm, height_mm] {
        held("a side of the film of ", side_mm, " mm", &FILM_SIDES_MM)?;
    }
    if width_mm.max(height_mm) > MOST_SLENDER * width_mm.min(height_mm) {
        return Err(Refusal::Kit(format!(
            "{width_mm} × {height_mm} mm is a strip of film, not a frame: one side at most {MOST_SLENDER} times as long \
             as the other"
        )));
    }
    for (what, list, unit, allowed) in [
        ("lens", &kit.lenses_mm, " mm", &LENSES_MM),
        ("height", &kit.heights_m, " m", &HEIGHTS_M),
    ] {
        if list.is_empty() {
            return Err(Refusal::Kit(format!(
                "the kit has no {what}: at least one is needed"
            )));
        }
        for value in list {
            held(&format!("a {what} of "), *value, unit, allowed)?;
        }
    }
    held("a film of ISO ", kit.film_speed_iso, "", &FILM_SPEEDS_ISO)?;
    held("f/", kit.f_number, "", &F_NUMBERS)
}
