//! What if: doors, couplings, sky, dirt, weeds, people, which end leads, where it stopped, another model, other film and
//! lenses. May not enter: what any of it does to the frame.

use super::header::button;
use super::theme;
use crate::camera::film::Film;
use crate::rehearsal::command::Command;
use crate::rehearsal::desk::Desk;
use crate::rehearsal::setting::Setting;
use crate::scene::equipment::EquipmentKind;
use crate::scene::limits::LENSES_MM;
use crate::scene::machine::{Condition, HeadEnd};
use crate::sky::daylight::SkyCondition;
use crate::units::{compass_word, wrap_360};
use egui::{ComboBox, Grid, RichText, ScrollArea, TextEdit, Ui};

/// The panel's own state.
#[derive(Default)]
pub struct WhatIf {
    /// The lens kit while it is typed.
    lenses: Option<String>,
}

/// Films by their usual names: high by wide, millimetres.
const FILMS: [(&str, Film); 5] = [
    ("24 × 36", Film::FULL),
    ("15.7 × 23.6", film(15.7, 23.6)),
    ("13 × 17.3", film(13.0, 17.3)),
    ("56 × 56", film(56.0, 56.0)),
    ("56 × 69", film(56.0, 69.0)),
];

const fn film(height_mm: f64, width_mm: f64) -> Film {
    Film {
        width_mm,
        height_mm,
    }
}

/// Skies with their words.
const SKIES: [(SkyCondition, &str); 4] = [
    (SkyCondition::Clear, "clear"),
    (SkyCondition::ThinCirrus, "thin cirrus"),
    (SkyCondition::Broken, "broken cloud"),
    (SkyCondition::Overcast, "overcast"),
];

impl WhatIf {
    /// Draws it.
    pub fn ui(&mut self, ui: &mut Ui, desk: &mut Desk, chosen: &mut Vec<Command>) {
        let before = desk.take.setting.clone();
        let mut setting = before.clone();
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            theme::heading(ui, "Machine");
            Grid::new("machine").num_columns(2).show(ui, |ui| {
                machine(ui, desk, &mut setting, chosen);
            });
            ui.add_space(6.0);
            theme::heading(ui, "About it");
            Grid::new("about").num_columns(2).show(ui, |ui| {
                pick(ui, "Sky", &mut setting.sky, &SKIES);
                ui.end_row();
                let name = named(ui, "Weeds");
                ui.checkbox(&mut setting.weeds_cut, "cut").labelled_by(name);
                ui.end_row();
                let name = named(ui, "People");
                ui.checkbox(&mut setting.people_gone, "sent away")
                    .labelled_by(name);
                ui.end_row();
            });
            ui.add_space(6.0);
            theme::heading(ui, "Camera");
            Grid::new("kit").num_columns(2).show(ui, |ui| {
                self.kit(ui, desk, &mut setting);
            });
            changes(ui, desk, &mut setting);
        });
        desk.set(setting, "What if");
    }

    fn kit(&mut self, ui: &mut Ui, desk: &mut Desk, setting: &mut Setting) {
        let label = named(ui, "Film, mm");
        let name = FILMS
            .iter()
            .find(|(_, film)| *film == setting.kit.film)
            .map_or("the scene's own", |(name, _)| name);
        let shown = ComboBox::from_id_salt("film")
            .selected_text(name)
            .show_ui(ui, |ui| {
                for (name, film) in FILMS {
                    ui.selectable_value(&mut setting.kit.film, film, name);
                }
            });
        shown.response.labelled_by(label);
        ui.end_row();
        let name = named(ui, "Lenses, mm");
        let kit: Vec<String> = setting.kit.lenses_mm.iter().map(f64::to_string).collect();
        let mut text = self.lenses.clone().unwrap_or_else(|| kit.join(", "));
        let field = TextEdit::singleline(&mut text).desired_width(140.0);
        let response = ui
            .add(field)
            .labelled_by(name)
            .on_hover_text("Focal lengths, with commas between them.");
        if response.has_focus() {
            self.lenses = Some(text.clone());
        }
        if response.lost_focus() {
            self.lenses = None;
            match parse_lenses(&text) {
                Ok(lenses) => setting.kit.lenses_mm = lenses,
                Err(why) => desk.refused = Some(why),
            }
        }
        ui.end_row();
        let name = named(ui, "f-number");
        let marks = [2.8, 4.0, 5.6, 8.0, 11.0, 16.0];
        let shown = ComboBox::from_id_salt("f-number")
            .selected_text(format!("f/{}", setting.kit.f_number))
            .show_ui(ui, |ui| {
                for mark in marks {
                    let word = format!("f/{mark}");
                    ui.selectable_value(&mut setting.kit.f_number, mark, word);
                }
            });
        shown.response.labelled_by(name);
        ui.end_row();
    }
}

fn machine(ui: &mut Ui, desk: &Desk, setting: &mut Setting, chosen: &mut Vec<Command>) {
    let base = &desk.site.base;
    let name = named(ui, "Model");
    let shown = ComboBox::from_id_salt("model")
        .selected_text(plain(&setting.model))
        .show_ui(ui, |ui| {
            for offered in desk.site.models.offered() {
                let name = offered.name.clone();
                let word = plain(&name);
                ui.selectable_value(&mut setting.model, name, word);
            }
        });
    shown.response.labelled_by(name);
    ui.end_row();
    named(ui, "Faces");
    ui.vertical(|ui| {
        for end in [HeadEnd::First, HeadEnd::Second] {
            let word = compass_word(base.machine.bearing_led_by_deg(end));
            ui.selectable_value(&mut setting.head_end, end, word);
        }
    });
    ui.end_row();
    named(ui, "Stopped");
    let off_m = setting.chainage_m - base.machine.chainage_m;
    let words = match off_m {
        off if off.abs() < 0.05 => "where the scene has it".to_string(),
        off => {
            let turn_deg = if off < 0.0 { 180.0 } else { 0.0 };
            let toward = compass_word(wrap_360(base.machine.track_bearing_deg + turn_deg));
            format!("{:.1} m {toward}", off.abs())
        }
    };
    ui.label(words);
    ui.end_row();
    ui.label("");
    ui.horizontal(|ui| {
        button(ui, Command::MachineBack, "\u{2212}10 m", chosen);
        button(ui, Command::MachineOn, "+10 m", chosen);
    });
    ui.end_row();
    let name = named(ui, "Doors");
    ui.checkbox(&mut setting.doors_open, "open")
        .labelled_by(name);
    ui.end_row();
    for (word, coupled) in [
        ("At the front", &mut setting.coupled_front),
        ("At the rear", &mut setting.coupled_rear),
    ] {
        coupling(ui, word, coupled);
        ui.end_row();
    }
    let conditions = Condition::WORDS.map(|(word, condition)| (condition, word));
    pick(ui, "Paint", &mut setting.condition, &conditions);
    ui.end_row();
}

fn coupling(ui: &mut Ui, word: &str, coupled: &mut Option<EquipmentKind>) {
    let none = std::iter::once((None, "nothing"));
    let kinds = EquipmentKind::WORDS.map(|(word, kind)| (Some(kind), word));
    let words: Vec<_> = none.chain(kinds).collect();
    pick(ui, word, coupled, &words);
}

/// What is tried, in words, and the way back to the scene as it is.
fn changes(ui: &mut Ui, desk: &Desk, setting: &mut Setting) {
    let mut own = Setting::of(&desk.site.base);
    if own.head_end == HeadEnd::Unknown {
        own.head_end = HeadEnd::Second;
    }
    let differences = setting.differences(&own, &desk.site.base);
    if differences.is_empty() {
        return;
    }
    ui.add_space(6.0);
    theme::heading(ui, "Tried");
    for difference in differences {
        ui.label(crate::grade::wording::sentence_case(&difference));
    }
    if ui.button("As the scene has it").clicked() {
        *setting = own;
    }
}

/// The name of what follows; for those who hear the page too.
fn named(ui: &mut Ui, word: &str) -> egui::Id {
    let faint = theme::page(ui.ctx()).faint;
    ui.label(RichText::new(word).color(faint)).id
}

fn pick<T: PartialEq + Copy>(ui: &mut Ui, word: &str, value: &mut T, words: &[(T, &str)]) {
    let name = named(ui, word);
    let told = words.iter().find(|(one, _)| one == value);
    let shown = ComboBox::from_id_salt(word)
        .selected_text(told.map_or("", |(_, word)| word))
        .show_ui(ui, |ui| {
            for (one, word) in words {
                ui.selectable_value(value, *one, *word);
            }
        });
    shown.response.labelled_by(name);
}

/// A model's file name as words.
fn plain(name: &str) -> String {
    crate::grade::wording::sentence_case(&name.replace(['_', '-'], " "))
}

fn parse_lenses(text: &str) -> Result<Vec<f64>, String> {
    let mut lenses = vec![];
    for word in text.split([',', ';', ' ']).filter(|word| !word.is_empty()) {
        let mm = word.trim_end_matches("mm").parse::<f64>();
        match mm {
            Ok(mm) if LENSES_MM.contains(&mm) => lenses.push(mm),
            _ => {
                return Err(format!(
                    "{word:?} is no focal length: {} to {} mm",
                    LENSES_MM.start(),
                    LENSES_MM.end()
                ));
            }
        }
    }
    if lenses.is_empty() {
        return Err("A kit needs one lens at least".into());
    }
    lenses.sort_by(f64::total_cmp);
    lenses.dedup();
    Ok(lenses)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kit_is_read_as_people_type_it() {
        assert_eq!(parse_lenses("50, 35mm 85"), Ok(vec![35.0, 50.0, 85.0]));
        assert!(parse_lenses("").is_err() && parse_lenses("fifty").is_err());
        assert!(parse_lenses("1").is_err());
    }
}
