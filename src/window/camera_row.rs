//! The camera's numbers under the frame, each to be dragged or typed. May not enter: what they do to the frame.

use super::header::button;
use super::theme;
use super::typed;
use crate::grade::Stand;
use crate::rehearsal::command::Command;
use crate::rehearsal::desk::Desk;
use crate::scene::limits::{HEIGHTS_M, LENSES_MM, PITCHES_DEG, ROLLS_DEG};
use crate::units::{Units, parse_number, wrap_360};
use egui::{DragValue, RichText, Ui};
use std::ops::RangeInclusive;

/// One number of the camera.
struct Number {
    word: &'static str,
    why: &'static str,
    unit: &'static str,
    decimals: usize,
    speed: f64,
    range: RangeInclusive<f64>,
    get: fn(&Stand) -> f64,
    set: fn(&mut Stand, f64),
}

fn numbers() -> [Number; 5] {
    [
        Number {
            word: "Lens",
            why: "Focal length. About 50 mm on 24 x 36 keeps the far end in proportion.",
            unit: " mm",
            decimals: 1,
            speed: 0.25,
            range: LENSES_MM,
            get: |stand| stand.lens_mm,
            set: |stand, value| stand.lens_mm = value,
        },
        Number {
            word: "Height",
            why: "Over the ground stood on. The eye belongs about as high as the rails.",
            unit: " m",
            decimals: 2,
            speed: 0.01,
            range: HEIGHTS_M,
            get: |stand| stand.height_m,
            set: |stand, value| stand.height_m = value,
        },
        Number {
            word: "Aim",
            why: "True bearing of the axis, clockwise from north.",
            unit: "°",
            decimals: 1,
            speed: 0.05,
            range: -360.0..=720.0,
            get: |stand| stand.heading_deg,
            set: |stand, value| stand.heading_deg = wrap_360(value),
        },
        Number {
            word: "Pitch",
            why: "Up is positive. A pitched camera makes verticals lean.",
            unit: "°",
            decimals: 1,
            speed: 0.02,
            range: PITCHES_DEG,
            get: |stand| stand.pitch_deg,
            set: |stand, value| stand.pitch_deg = value,
        },
        Number {
            word: "Roll",
            why: "Clockwise as the photographer sees it. Half a degree is seen.",
            unit: "°",
            decimals: 1,
            speed: 0.02,
            range: ROLLS_DEG,
            get: |stand| stand.roll_deg,
            set: |stand, value| stand.roll_deg = value,
        },
    ]
}

/// Draws them.
pub fn ui(ui: &mut Ui, desk: &mut Desk, units: Units, chosen: &mut Vec<Command>) {
    let page = theme::page(ui.ctx());
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().button_padding.x = 5.0;
        for number in numbers() {
            ui.spacing_mut().item_spacing.x = 4.0;
            let label = ui.label(
                RichText::new(number.word)
                    .font(theme::regular(theme::NOTE))
                    .color(page.faint),
            );
            let mut value = (number.get)(&desk.take.stand);
            let field = DragValue::new(&mut value)
                .speed(number.speed)
                .range(number.range.clone())
                .max_decimals(number.decimals)
                .min_decimals(number.decimals.min(1));
            let is_length = number.unit == " m";
            let field = match is_length {
                true => field.custom_formatter(move |metres, _| units.length(metres)),
                false => field.suffix(number.unit),
            };
            let (response, refused) = typed::number(ui, field, |text| match is_length {
                true => units.parse(text),
                false => parse_number(text, number.unit),
            });
            let response = response.labelled_by(label.id).on_hover_text(number.why);
            if let Some(text) = refused {
                desk.refused = Some(match is_length {
                    true => format!(
                        "{}: {text:?} is no length (\"1.6 m\", \"5 ft 3 in\")",
                        number.word
                    ),
                    false => format!("{}: {text:?} is no number", number.word),
                });
            }
            if response.changed() {
                let mut stand = desk.take.stand;
                (number.set)(&mut stand, value);
                desk.stand(stand, number.word);
            }
            if response.drag_stopped() || response.lost_focus() {
                desk.part();
            }
            ui.add_space(3.0);
        }
        for (command, word) in [
            (Command::Level, "Level"),
            (Command::Balance, "Balance"),
            (Command::Guides, "Guides"),
        ] {
            button(ui, command, word, chosen);
        }
    });
}
