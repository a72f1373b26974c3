//! Small questions over a page: which photograph, where the scene with this frame is to lie, and whether marks that are not
//! kept may be lost. May not enter: how any of it is done.

use crate::window::theme;
use egui::text::{CCursor, CCursorRange};
use egui::{Key, Modal, RichText, TextEdit, Ui};
use std::path::{Path, PathBuf};

/// Photographs that were judged together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Judged {
    /// Their files, in order.
    pub photos: Vec<PathBuf>,
    /// The one that was looked at last.
    pub at: usize,
    /// Where its marks are kept, if it is the only one.
    pub marks: Option<PathBuf>,
}

/// Which photograph is to be judged.
#[derive(Default)]
pub struct WhichPhoto {
    typed: Option<String>,
    fresh: bool,
    /// Those that were judged last.
    pub last: Option<Judged>,
}

impl WhichPhoto {
    /// Opens it with the photograph that was judged last.
    pub fn open(&mut self) {
        let last = self.last.as_ref();
        let last = last.and_then(|last| last.photos.get(last.at));
        self.typed = Some(last.map_or(String::new(), |path| path.display().to_string()));
        self.fresh = true;
    }

    /// What is judged where these are asked for: with one of those that were judged last, they all are.
    pub fn asked(&self, photos: Vec<PathBuf>) -> Judged {
        if let ([path], Some(last)) = (&photos[..], &self.last)
            && let Some(at) = last.photos.iter().position(|photo| photo == path)
        {
            return Judged { at, ..last.clone() };
        }
        Judged {
            photos,
            at: 0,
            marks: None,
        }
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
            let mut field = field.desired_width(f32::INFINITY).show(ui);
            if std::mem::take(&mut self.fresh) {
                field.response.request_focus();
                // What is typed takes its place.
                let all = CCursorRange::two(CCursor::new(0), CCursor::new(typed.chars().count()));
                field.state.cursor.set_char_range(Some(all));
                field.state.store(ui.ctx(), field.response.id);
            }
            let field = field.response.response;
            field.widget_info(|| theme::field_info("Photograph file", &*typed));
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
            let told = "The scene with this stand, lens and minute as its own frame; film and exposure are those of its kit, \
                        not the photograph's, so its grade may be another. Comments and all else stay; the scene's own file is \
                        changed only if you name it.";
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn with_one_of_those_judged_last_all_of_them_are_opened_at_it() {
        let paths = |names: &[&str]| names.iter().map(PathBuf::from).collect::<Vec<_>>();
        let mut which = WhichPhoto::default();
        let alone = which.asked(paths(&["b.jpg"]));
        assert_eq!((alone.photos, alone.at), (paths(&["b.jpg"]), 0));
        which.last = Some(Judged {
            photos: paths(&["a.jpg", "b.jpg", "c.jpg"]),
            at: 1,
            marks: None,
        });
        which.open();
        assert_eq!(which.typed.as_deref(), Some("b.jpg"));
        let again = which.asked(paths(&["c.jpg"]));
        assert_eq!((again.photos.len(), again.at), (3, 2));
        assert_eq!(which.asked(paths(&["d.jpg"])).photos, paths(&["d.jpg"]));
        assert_eq!(which.asked(paths(&["a.jpg", "d.jpg"])).photos.len(), 2);
    }
}
