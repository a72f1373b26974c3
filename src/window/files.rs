//! Files: picture, card, data, and the scene with this frame as its own. May not enter: what stands in them.

use super::header::button;
use super::theme;
use super::typed;
use crate::rehearsal::command::Command;
use crate::rehearsal::desk::Desk;
use crate::rehearsal::kept::Export;
use crate::rehearsal::setting::Setting;
use crate::scene::edit::Keep;
use crate::units::parse_number;
use egui::{DragValue, Grid, RichText, TextEdit, Ui};
use std::path::{Path, PathBuf};

/// The panel's own state.
pub struct Files {
    /// Folder into which is written.
    pub folder: String,
    /// The scene's own folder.
    own: String,
    /// Width of a picture, pixels.
    pub width_px: u32,
    /// Save the machine, the sky and the kit as they are tried; none: if anything is, since the frame may be lost
    /// without.
    as_rehearsed: Option<bool>,
    /// Another file for the scene; empty for its own.
    save_as: String,
}

impl Files {
    /// For a scene's file: a folder of its name where the program was started.
    pub fn of(scene: &Path) -> Files {
        let stem = scene.file_stem().unwrap_or_default().to_string_lossy();
        let own = format!("{stem}-frames");
        Files {
            folder: own.clone(),
            own,
            width_px: 2400,
            as_rehearsed: None,
            save_as: String::new(),
        }
    }

    /// The folder, where another one than the scene's was chosen.
    pub fn chosen_folder(&self) -> Option<PathBuf> {
        (self.folder != self.own).then(|| PathBuf::from(&self.folder))
    }

    /// Whether the site is saved as it is tried.
    fn as_rehearsed(&self, desk: &Desk) -> bool {
        let tried = || desk.take.setting != Setting::of(&desk.site.base);
        self.as_rehearsed.unwrap_or_else(tried)
    }

    /// Draws it.
    pub fn ui(&mut self, ui: &mut Ui, desk: &mut Desk, chosen: &mut Vec<Command>) {
        let page = theme::page(ui.ctx());
        theme::heading(ui, "Into the folder");
        let field = TextEdit::singleline(&mut self.folder).desired_width(f32::INFINITY);
        let field = ui.add(field);
        field.widget_info(|| theme::field_info("Folder for files", &self.folder));
        ui.add_space(6.0);
        Grid::new("files").num_columns(2).show(ui, |ui| {
            button(ui, Command::ExportPicture, "Picture", chosen);
            let width = DragValue::new(&mut self.width_px).range(64..=6000);
            let width = width.suffix(" px wide");
            let (width, refused) = typed::number(ui, width, |text| parse_number(text, "px"));
            width.widget_info(|| theme::field_info("Width of the picture", self.width_px));
            if let Some(text) = refused {
                desk.refused = Some(format!("Width of the picture: {text:?} is no number"));
            }
            ui.end_row();
            button(ui, Command::ExportCard, "Card", chosen);
            ui.label(RichText::new("for the field").color(page.faint));
            ui.end_row();
            button(ui, Command::ExportData, "Data", chosen);
            ui.label(RichText::new("the graded frame, JSON").color(page.faint));
            ui.end_row();
        });
        ui.add_space(6.0);
        theme::heading(ui, "The scene, with this frame as its own");
        let mut as_rehearsed = self.as_rehearsed(desk);
        let tick = ui.checkbox(&mut as_rehearsed, "with what is tried of the site");
        if tick.changed() {
            self.as_rehearsed = Some(as_rehearsed);
        }
        let field = TextEdit::singleline(&mut self.save_as)
            .hint_text("in its own file, or name another")
            .desired_width(f32::INFINITY);
        let field = ui.add(field);
        field.widget_info(|| theme::field_info("File for the scene", &self.save_as));
        button(ui, Command::SaveScene, "Save scene", chosen);
        let told = "Comments and everything else in the file stay as they are.";
        ui.label(RichText::new(told).small().color(page.faint));
    }

    /// Has a file written; its name says site and minute.
    pub fn export(&self, desk: &mut Desk, command: Command) {
        let local = desk.site.base.place.zone.local(desk.take.at).naive;
        let stem = desk.site.path.file_stem().unwrap_or_default();
        let name = format!(
            "{}-{}",
            stem.to_string_lossy(),
            local.format("%Y-%m-%d-%H%M")
        );
        let folder = Path::new(self.folder.trim());
        let path = |ending: &str| -> PathBuf { folder.join(format!("{name}.{ending}")) };
        match command {
            Command::ExportPicture => desk.export(Export::Picture(self.width_px), path("png")),
            Command::ExportData => desk.export(Export::Data, path("json")),
            Command::SaveScene => {
                let keep = match self.as_rehearsed(desk) {
                    true => Keep::AsRehearsed,
                    false => Keep::Frame,
                };
                let other = self.save_as.trim();
                desk.save_scene(keep, (!other.is_empty()).then(|| PathBuf::from(other)));
            }
            _ => desk.export(Export::Card, folder.join(format!("{name}-card"))),
        }
    }
}
