//! The frame on its mount, aimed by hand, with guides and the causes of a
//! finding over it. May not enter: how the picture is drawn.

use super::aiming::Aiming;
use super::causes::{Causes, Tags, marks};
use super::mount::Mounted;
use super::screen::Screen;
use super::theme;
use super::viewport::{Subject, Viewport};
use crate::camera::exposure::{ev_of_settings, illuminance_lx};
use crate::rehearsal::desk::Desk;
use crate::units::Units;
use egui::{Align2, Color32, Painter, Rect, Sense, Ui, pos2};
use std::time::{Duration, Instant};

/// The pane's own state.
#[derive(Default)]
pub struct FramePane {
    /// Whether guides are drawn.
    pub guides: bool,
    causes: Causes,
    aiming: Aiming,
}

impl FramePane {
    /// Draws it; says after how long it wants to be drawn again.
    pub fn ui(
        &mut self,
        ui: &mut Ui,
        screen: &mut Screen,
        viewport: &mut Viewport,
        (desk, units): (&mut Desk, Units),
    ) -> Option<Duration> {
        let room = ui.available_rect_before_wrap();
        let painter = ui.painter().clone();
        let mounted = Mounted::paint(&painter, room, &desk.take.setting.kit.film);
        let picture = mounted.picture;
        let pixels = ui.ctx().pixels_per_point();
        let size_px = [picture.width(), picture.height()].map(|v| (v * pixels).round() as usize);
        let response = ui.interact(
            picture,
            ui.scope_id().with("frame"),
            Sense::click_and_drag(),
        );
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, "Frame"));
        self.aiming.ui(ui, &response, picture, desk);
        let subject = Subject {
            take: desk.take.clone(),
            exposed_for_lx: exposed_for_lx(desk),
            size_px,
        };
        let frame = viewport.frame(screen, subject, Instant::now());
        match &frame {
            Some(frame) => {
                let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
                painter.image(frame.texture, picture, whole, Color32::WHITE);
            }
            None => {
                painter.rect_filled(picture, 0.0, Color32::from_gray(90));
                let words = match viewport.fault() {
                    Some(fault) => format!("{fault}"),
                    None => "Setting up the site …".to_string(),
                };
                let font = theme::regular(theme::TEXT);
                painter.text(
                    picture.center(),
                    Align2::CENTER_CENTER,
                    words,
                    font,
                    Color32::WHITE,
                );
            }
        }
        let over = painter.with_clip_rect(picture);
        let mut tags = Tags::on(picture);
        if let Some(culprits) = desk.pointed() {
            self.causes
                .ui(ui, &over, picture, (culprits, units), &mut tags);
        }
        if let Some(words) = night(desk) {
            tags.put(&over, picture.center(), &words);
        }
        if self.guides {
            guides(&over, picture, desk, &mut tags);
        }
        let zone = &desk.site.base.place.zone;
        let take = &desk.take;
        let with = (&take.setting.kit, take.stand.lens_mm);
        mounted.caption(&painter, with, take.at, zone);
        if let Some(frame) = &frame {
            mounted.fineness(&painter, frame.fineness as f32);
        }
        frame.and_then(|frame| frame.again_in)
    }
}

/// Why the frame is dark, where the sun is down.
fn night(desk: &Desk) -> Option<String> {
    let graded = desk.graded.as_ref().filter(|_| desk.is_graded())?;
    let moment = graded.minute.moment();
    let below_deg = -moment.sun.elevation_deg;
    let told = || format!("Night: the sun is {below_deg:.0}° below the horizon");
    // By the end of civil twilight, when the sun is 6° down, it is dark (by definition).
    (below_deg > 6.0).then(told)
}

/// Light for which the picture is exposed: as the photographer sets it, else as advised for the last graded frame.
fn exposed_for_lx(desk: &Desk) -> Option<f64> {
    let iso = desk.site.base.kit.film_speed_iso;
    if let Some(seconds) = desk.take.exposure_s {
        return Some(illuminance_lx(
            ev_of_settings(desk.take.setting.kit.f_number, seconds),
            iso,
        ));
    }
    let advice = desk.graded.as_ref()?.graded.advice.as_ref()?;
    let ev = ev_of_settings(advice.aperture.value, advice.shutter.value);
    Some(illuminance_lx(ev, iso))
}

fn guides(painter: &Painter, picture: Rect, desk: &Desk, tags: &mut Tags) {
    if let Some(graded) = desk.graded.as_ref().filter(|_| desk.is_graded()) {
        marks(
            painter,
            picture,
            &desk.room.1.guides(&graded.composed),
            tags,
        );
    }
}
