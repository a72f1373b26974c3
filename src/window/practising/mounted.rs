//! The frame of a round, large on its mount, and when the answer is in what causes its worst finding. May not enter:
//! answers.

use super::Playing;
use crate::practise::tutor::Play;
use crate::units::Units;
use crate::window::causes::{Causes, Tags};
use crate::window::mount::Mounted;
use crate::window::slide::Pictures;
use crate::window::theme;
use egui::{Align2, Color32, Rect, Sense, Ui, pos2};

/// The frame's own state.
#[derive(Default)]
pub struct FrameView {
    causes: Causes,
}

impl FrameView {
    /// Draws it.
    pub fn ui(&mut self, ui: &mut Ui, playing: &Playing, pictures: &mut Pictures, units: Units) {
        let room = ui.available_rect_before_wrap();
        let painter = ui.painter().clone();
        let (mut posed, mut over) = match &playing.play {
            Some(Play::Spot(spot)) => (spot.dealt.posed.clone(), spot.is_over()),
            Some(Play::Mend(mend)) => (mend.now.clone(), false),
            Some(Play::Hour(hour)) => (hour.posed.clone(), false),
            None => {
                painter.rect_filled(room, 0.0, theme::SURROUND);
                return;
            }
        };
        let mut picture_shown = playing.picture.as_ref();
        let mut texture_number = 2 * playing.number;
        // A called hour is followed by the frame after its light is gone, with what ended it.
        if let (Some(Play::Hour(hour)), Some((after, _))) = (&playing.play, &playing.beside)
            && hour.called_min.is_some()
        {
            (posed, over) = (hour.afterwards(), true);
            (picture_shown, texture_number) = (Some(after), texture_number + 1);
        }
        let scene = &posed.room.scene;
        let mounted = Mounted::paint(&painter, room, &scene.kit.film);
        let picture = mounted.picture;
        let response = ui.interact(picture, ui.scope_id().with("frame"), Sense::hover());
        let words = match picture_shown {
            Some(_) => "Frame",
            None => "Frame being painted",
        };
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, words));
        match picture_shown {
            Some(shown) => {
                let texture = pictures.texture(ui, texture_number, shown);
                let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
                painter.image(texture.id(), picture, whole, Color32::WHITE);
            }
            None => {
                painter.rect_filled(picture, 0.0, Color32::from_gray(90));
                let font = theme::regular(theme::TEXT);
                let (at, middle) = (picture.center(), Align2::CENTER_CENTER);
                painter.text(at, middle, "Being painted …", font, Color32::WHITE);
            }
        }
        let culprits = playing
            .truth
            .as_ref()
            .and_then(|truth| truth.culprits.as_ref());
        if let Some(culprits) = culprits.filter(|_| over) {
            let clipped = painter.with_clip_rect(picture);
            let mut tags = Tags::on(picture);
            self.causes
                .ui(ui, &clipped, picture, (culprits, units), &mut tags);
        }
        // Lens and clock would give the answer away.
        let tells = over || matches!(playing.play, Some(Play::Mend(_)));
        if tells {
            let with = (&scene.kit, posed.stand.lens_mm);
            mounted.caption(&painter, with, posed.at, &scene.place.zone);
        }
    }
}
