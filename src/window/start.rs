//! The start page: the sites that can be opened, each with its own frame and what is there. May not enter: a rehearsal.

use super::slide::{Pictures, Slide};
use super::theme;
use crate::rehearsal::gallery::{Shown, Site};
use egui::{CentralPanel, Frame, Label, RichText, ScrollArea, Stroke, TextEdit, Ui, vec2};
use std::path::{Path, PathBuf};
use std::sync::mpsc::Receiver;

/// The page.
pub struct Start {
    /// Files whose sites are shown, in order.
    paths: Vec<PathBuf>,
    coming: Receiver<Site>,
    sites: Vec<Site>,
    typed: String,
    pictures: Pictures,
    /// Why the scene asked for last is not open.
    pub failed: Option<String>,
}

/// What was chosen.
pub enum Choice {
    /// A scene is to be opened.
    Open(PathBuf),
    /// The eye is to be trained.
    Practise,
    /// Back to the rehearsal.
    Back,
}

/// Most height of what is wrong with a scene: the sites stay in sight below it.
const FAILED: f32 = 160.0;

/// Least width of a site.
const SITE: f32 = 290.0;

impl Start {
    /// With sites that are still being read.
    pub fn new(paths: Vec<PathBuf>, coming: Receiver<Site>) -> Start {
        Start {
            paths,
            coming,
            sites: vec![],
            typed: String::new(),
            pictures: Pictures::default(),
            failed: None,
        }
    }

    /// Files whose sites are shown.
    pub fn paths(&self) -> &[PathBuf] {
        &self.paths
    }

    /// Draws it; `back` says whether there is a rehearsal to go back to.
    pub fn ui(&mut self, ui: &mut Ui, back: bool) -> Option<Choice> {
        self.sites.extend(self.coming.try_iter());
        let page = theme::page(ui.ctx());
        let mut choice = None;
        let frame = theme::panel(&page, 20);
        CentralPanel::default().frame(frame).show(ui, |ui| {
            ui.horizontal(|ui| {
                ui.label(
                    RichText::new("Sunside")
                        .font(theme::bold(theme::LARGE))
                        .color(page.ink),
                );
                ui.add_space(8.0);
                let told = "Walk the site with a camera before the trip.";
                ui.label(RichText::new(told).color(page.faint));
                if ui.button("Practise").clicked() {
                    choice = Some(Choice::Practise);
                }
                if back && ui.button("Back to the rehearsal").clicked() {
                    choice = Some(Choice::Back);
                }
            });
            ui.add_space(4.0);
            ui.horizontal(|ui| {
                let label = ui.label("Scene file");
                let field = TextEdit::singleline(&mut self.typed)
                    .hint_text("scenes/my_site.toml")
                    .desired_width(360.0);
                let field = ui.add(field).labelled_by(label.id);
                let entered = field.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter));
                let pressed = ui.button("Open").clicked();
                if (entered || pressed) && !self.typed.trim().is_empty() {
                    choice = Some(Choice::Open(PathBuf::from(self.typed.trim())));
                }
            });
            if let Some(why) = &self.failed {
                let color = page.grade(crate::grade::Grade::Ruinous);
                // Each line as it is, in letters of one width: carets stand under what they mean.
                let why = RichText::new(why.trim_end()).monospace().color(color);
                let width = ui.available_width();
                Frame::new()
                    .fill(page.field)
                    .stroke(Stroke::new(1.0, page.rule))
                    .inner_margin(8)
                    .show(ui, |ui| {
                        ScrollArea::both()
                            .id_salt("failed")
                            .auto_shrink([false, true])
                            .max_width(width - 18.0)
                            .max_height(FAILED)
                            .show(ui, |ui| ui.add(Label::new(why).extend()));
                    });
            }
            ui.add_space(8.0);
            theme::heading(ui, "Sites");
            let sites = self.sites(ui);
            choice = choice.take().or(sites.map(Choice::Open));
        });
        choice
    }

    fn sites(&mut self, ui: &mut Ui) -> Option<PathBuf> {
        let page = theme::page(ui.ctx());
        let mut chosen = None;
        if self.paths.is_empty() {
            ui.label("No scenes lie in a folder \"scenes\" here: name a scene file above.");
        }
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            let columns = (ui.available_width() / SITE).floor().clamp(1.0, 5.0);
            let width = (ui.available_width() - 14.0 * columns) / columns;
            let columns = columns as usize;
            let all: Vec<(u64, &PathBuf)> = (0u64..).zip(&self.paths).collect();
            for row in all.chunks(columns) {
                ui.horizontal_top(|ui| {
                    ui.spacing_mut().item_spacing = vec2(14.0, 4.0);
                    for (number, path) in row {
                        let site = self.sites.iter().find(|site| site.path == **path);
                        ui.vertical(|ui| {
                            ui.set_width(width);
                            let shown = site.map(|site| &site.shown);
                            let pictures = &mut self.pictures;
                            if one(ui, &page, pictures, *number, path, shown, width) {
                                chosen = Some(path.to_path_buf());
                            }
                        });
                    }
                });
                ui.add_space(16.0);
            }
        });
        chosen
    }
}

/// One site; whether it was pressed.
fn one(
    ui: &mut Ui,
    page: &theme::Page,
    pictures: &mut Pictures,
    number: u64,
    path: &Path,
    shown: Option<&Result<Shown, String>>,
    width: f32,
) -> bool {
    let name = path.file_stem().unwrap_or_default().to_string_lossy();
    match shown {
        Some(Ok(shown)) => {
            let slide = Slide {
                picture: Some(shown.picture.clone()),
                verdict: Some(shown.verdict),
                score: Some(shown.score),
                head: shown.name.clone(),
                line: shown.when.clone(),
                foot: String::new(),
                chosen: false,
                wraps: false,
            };
            let pressed = pictures.ui(ui, number, &slide, width).clicked();
            let note = RichText::new(&shown.note).small().color(page.faint);
            ui.add(egui::Label::new(note).wrap());
            pressed
        }
        Some(Err(why)) => {
            ui.label(RichText::new(name).font(theme::bold(theme::TEXT)));
            let color = page.grade(crate::grade::Grade::Ruinous);
            let line = why.lines().next().unwrap_or_default();
            ui.add(egui::Label::new(RichText::new(line).small().color(color)).wrap());
            false
        }
        None => {
            let pressed = ui.button(format!("Open {name}")).clicked();
            ui.label(RichText::new("its frame is being drawn \u{2026}").color(page.faint));
            pressed
        }
    }
}
