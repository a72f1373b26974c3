//! Small questions over a page: which photograph, where the scene with this frame is to lie, and whether marks that are not
//! kept may be lost. May not enter: how any of it is done.

use crate::window::theme;
use egui::{Key, Modal, RichText, TextEdit, Ui};
use std::path::{Path, PathBuf};

/// Which photograph is to be judged.
#[derive(Default)]
pub struct WhichPhoto {
    typed: Option<String>,
    fresh: bool,
}

impl WhichPhoto {
    /// Opens it.
    pub fn open(&mut self) {
        *self = WhichPhoto {
            typed: Some(String::new()),
            fresh: true,
        };
    }

    /// Whether it is open.
    pub fn is_open(&self) -> bool {
        self.typed.is_some()
    }

    /// Draws it; the file that was named.
    pub fn ui(&mut self, ui: &Ui) -> Option<PathBuf> {
        let typed = self.typed.as_mut()?;
        let (mut chosen, mut leaves) = (None, false);
        let modal = Modal::new(egui::Id::unique("which photograph")).show(ui.ctx(), |ui| {
            ui.set_width(480.0);
            let page = theme::page(ui.ctx());
            ui.label(RichText::new("Judge a photograph").font(theme::bold(theme::HEAD)));
            let told = "Of the machine as it stands in this scene: JPEG, PNG or TIFF. A file dropped on the window serves too.";
            ui.label(RichText::new(told).small().color(page.faint));
            let field = TextEdit::singleline(typed).hint_text("photos/IMG_0412.jpg");
            let field = ui.add(field.desired_width(f32::INFINITY));
            field.widget_info(|| theme::field_info("Photograph file", &*typed));
            if std::mem::take(&mut self.fresh) {
                field.request_focus();
            }
            let entered = field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
            ui.horizontal(|ui| {
                let pressed = ui.button("Open").clicked();
                if (pressed || entered) && !typed.trim().is_empty() {
                    chosen = Some(PathBuf::from(typed.trim()));
                }
                leaves = ui.button("Cancel").clicked();
            });
        });
        if leaves || chosen.is_some() || modal.should_close() {
            self.typed = None;
        }
        chosen
    }
}

/// "I stood here": into which file.
#[derive(Default)]
pub struct StoodHere {
    typed: Option<String>,
    fresh: bool,
    /// The file that lies there already and was told of: pressed again, it is replaced.
    pub replaces: Option<PathBuf>,
    /// What came of the last try.
    pub told: Option<String>,
}

impl StoodHere {
    /// Opens it with a name beside the scene that says which photograph.
    pub fn open(&mut self, scene: &Path, photo: &Path) {
        let stem = |path: &Path| {
            path.file_stem()
                .unwrap_or_default()
                .to_string_lossy()
                .into_owned()
        };
        let name = format!("{}_{}.toml", stem(scene), stem(photo));
        *self = StoodHere {
            typed: Some(scene.with_file_name(name).display().to_string()),
            fresh: true,
            ..StoodHere::default()
        };
    }

    /// Whether it is open.
    pub fn is_open(&self) -> bool {
        self.typed.is_some()
    }

    /// Closes it.
    pub fn close(&mut self) {
        *self = StoodHere::default();
    }

    /// Draws it; the file that was chosen.
    pub fn ui(&mut self, ui: &Ui) -> Option<PathBuf> {
        let typed = self.typed.as_mut()?;
        let mut chosen = None;
        let mut leaves = false;
        let modal = Modal::new(egui::Id::unique("stood here")).show(ui.ctx(), |ui| {
            ui.set_width(480.0);
            let page = theme::page(ui.ctx());
            ui.label(RichText::new("I stood here").font(theme::bold(theme::HEAD)));
            let told = "The scene with this stand, lens and minute as its own frame. Comments and all else stay; the \
                        scene's own file is changed only if you name it.";
            ui.label(RichText::new(told).small().color(page.faint));
            let field = ui.add(TextEdit::singleline(typed).desired_width(f32::INFINITY));
            field.widget_info(|| theme::field_info("Scene file to save", &*typed));
            if std::mem::take(&mut self.fresh) {
                field.request_focus();
            }
            if field.changed() {
                (self.replaces, self.told) = (None, None);
            }
            let entered = field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
            if let Some(told) = &self.told {
                let color = page.grade(crate::grade::Grade::Ruinous);
                ui.label(RichText::new(told).color(color));
            }
            ui.horizontal(|ui| {
                let word = if self.replaces.is_some() { "Replace it" } else { "Save" };
                let pressed = ui.button(word).clicked();
                if (pressed || entered) && !typed.trim().is_empty() {
                    chosen = Some(PathBuf::from(typed.trim()));
                }
                leaves = ui.button("Cancel").clicked();
            });
        });
        if leaves || (modal.should_close() && chosen.is_none()) {
            self.close();
        }
        chosen
    }
}

/// What to do with marks that are not kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    /// Stay on the page.
    Stay,
    /// Try once more to write them, and leave then.
    Again,
    /// Leave without them.
    Leave,
}

/// Asks whether they may be lost.
pub fn lost(ui: &Ui, lost: &[String]) -> Option<Answer> {
    let mut answer = None;
    let modal = Modal::new(egui::Id::unique("lost marks")).show(ui.ctx(), |ui| {
        ui.set_width(480.0);
        let page = theme::page(ui.ctx());
        ui.label(RichText::new("Some marks are not kept").font(theme::bold(theme::HEAD)));
        for one in lost {
            ui.label(RichText::new(one).color(page.grade(crate::grade::Grade::Ruinous)));
        }
        ui.horizontal(|ui| {
            if ui.button("Stay").clicked() {
                answer = Some(Answer::Stay);
            }
            if ui.button("Try to write them again").clicked() {
                answer = Some(Answer::Again);
            }
            if ui.button("Leave without them").clicked() {
                answer = Some(Answer::Leave);
            }
        });
    });
    answer.or(modal.should_close().then_some(Answer::Stay))
}
