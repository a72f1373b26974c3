//! The frame taken hold of: dragged, it turns the camera so that what was pressed stays under the pointer; the wheel
//! steps through the lenses. May not enter: what is painted.

use crate::camera::projection::Camera;
use crate::grade::Stand;
use crate::rehearsal::command::Command;
use crate::rehearsal::desk::Desk;
use crate::rehearsal::moves;
use crate::units::deg;
use egui::{Event, PointerButton, Pos2, Rect, Response, Ui};

/// So many points of the wheel are one lens.
const WHEEL: f32 = 30.0;

/// What was taken hold of.
struct Held {
    /// Where it was pressed.
    from: Pos2,
    /// Where the pointer was last.
    to: Pos2,
    /// It has been moved so far that it is no click.
    moves: bool,
    /// How the camera stood when it was pressed.
    stand: Stand,
    /// As the drag left it last: what else moves the camera meanwhile is taken hold of anew.
    laid: Stand,
}

/// How the camera is aimed by hand.
#[derive(Default)]
pub struct Aiming {
    held: Option<Held>,
    scrolled: f32,
}

impl Aiming {
    /// Takes in what was done to the frame since the last redraw.
    pub fn ui(&mut self, ui: &Ui, response: &Response, picture: Rect, desk: &mut Desk) {
        self.drag(ui, response, picture, desk);
        self.wheel(ui, response, desk);
    }

    /// All of a drag counts from where it was pressed. The pointer's events are asked one by one: what one slow redraw
    /// takes in together egui knows as fewer moves, or as no drag at all.
    fn drag(&mut self, ui: &Ui, response: &Response, picture: Rect, desk: &mut Desk) {
        let is_over = response.contains_pointer() || response.is_pointer_button_down_on();
        let (events, is_down) = ui.input(|input| {
            let told = |event: &Event| match event {
                Event::PointerMoved(at) => Some((*at, None)),
                Event::PointerButton {
                    pos,
                    button: PointerButton::Primary,
                    pressed,
                    ..
                } => Some((*pos, Some(*pressed))),
                _ => None,
            };
            let events: Vec<(Pos2, Option<bool>)> = input.events.iter().filter_map(told).collect();
            (events, input.pointer.primary_down())
        });
        let slack = ui
            .ctx()
            .options(|options| options.input_options.max_click_dist);
        for (n, (at, pressed)) in events.iter().copied().enumerate() {
            // Of moves in a row the last one says it all.
            if pressed.is_none() && matches!(events.get(n + 1), Some((_, None))) {
                continue;
            }
            if pressed == Some(true) && is_over && picture.contains(at) && self.held.is_none() {
                let stand = desk.take.stand;
                self.held = Some(Held {
                    from: at,
                    to: at,
                    moves: false,
                    stand,
                    laid: stand,
                });
            }
            if let Some(held) = &mut self.held {
                held.follow(at, slack, picture, desk);
            }
            if pressed == Some(false) && self.held.take().is_some_and(|held| held.moves) {
                desk.part();
            }
        }
        if !is_down {
            self.held = None;
        }
    }

    fn wheel(&mut self, ui: &Ui, response: &Response, desk: &mut Desk) {
        if !response.contains_pointer() {
            self.scrolled = 0.0;
            return;
        }
        let (scroll, shift) = ui.input(|input| {
            let delta = input.smooth_scroll_delta();
            (delta.x + delta.y, input.modifiers.shift)
        });
        self.scrolled += scroll;
        if shift && scroll != 0.0 {
            let factor = (f64::from(scroll) / 400.0).exp();
            desk.stand(moves::zoom(&desk.take.stand, factor), "Zoom");
            self.scrolled = 0.0;
        } else if self.scrolled.abs() >= WHEEL {
            let longer = self.scrolled > 0.0;
            self.scrolled = 0.0;
            desk.act(if longer {
                Command::LongerLens
            } else {
                Command::ShorterLens
            });
        }
    }
}

impl Held {
    /// Turns the camera after the pointer.
    fn follow(&mut self, at: Pos2, slack: f32, picture: Rect, desk: &mut Desk) {
        self.moves |= self.from.distance(at) > slack;
        if self.moves {
            if desk.take.stand != self.laid {
                (self.from, self.stand) = (self.to, desk.take.stand);
            }
            let camera = desk.room.1.camera(&self.stand);
            let [right, up] = dragged(&camera, picture, self.from, at);
            desk.stand(moves::aim(&self.stand, right, up, 0.0), "Aim");
            self.laid = desk.take.stand;
        }
        self.to = at;
    }
}

/// How far the camera turns when a point of the picture is dragged to another one, degrees right and up.
fn dragged(camera: &Camera, picture: Rect, from: Pos2, to: Pos2) -> [f64; 2] {
    let off = |at: Pos2| {
        let off = (at - picture.center()) / picture.size();
        let mm = [
            f64::from(off.x) * camera.film.width_mm,
            -f64::from(off.y) * camera.film.height_mm,
        ];
        mm.map(|mm| deg((mm / camera.lens.focal_mm).atan()))
    };
    let ([from_right, from_up], [to_right, to_up]) = (off(from), off(to));
    let (right, up) = (from_right - to_right, from_up - to_up);
    let roll = camera.pose.roll_deg.to_radians();
    [
        right * roll.cos() - up * roll.sin(),
        up * roll.cos() + right * roll.sin(),
    ]
}
