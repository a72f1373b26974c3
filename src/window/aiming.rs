//! The frame taken hold of: dragged, it turns the camera so that what was pressed stays under the pointer; the wheel
//! steps through the lenses. May not enter: what is painted.

use crate::camera::projection::Camera;
use crate::grade::Stand;
use crate::rehearsal::command::Command;
use crate::rehearsal::desk::Desk;
use crate::rehearsal::moves;
use crate::units::deg;
use egui::{Event, Pos2, Rect, Response, Ui};

/// So many points of the wheel are one lens.
const WHEEL: f32 = 30.0;

/// What was taken hold of.
struct Held {
    /// Where it was pressed.
    from: Pos2,
    /// How the camera stood then.
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

    /// All of a drag counts from where it was pressed: moves that one slow redraw takes in together do not slip.
    fn drag(&mut self, ui: &Ui, response: &Response, picture: Rect, desk: &mut Desk) {
        if let Some([from, to]) = within_one_redraw(ui, response) {
            let stand = desk.take.stand;
            let aimed = dragged(&desk.room.1.camera(&stand), picture, from, to);
            desk.stand(moves::aim(&stand, aimed[0], aimed[1], 0.0), "Aim");
            desk.part();
        }
        if response.drag_started() {
            let from = ui.input(|input| input.pointer.press_origin());
            self.held = from.map(|from| Held {
                from,
                stand: desk.take.stand,
                laid: desk.take.stand,
            });
        }
        if (response.dragged() || response.drag_stopped())
            && let (Some(held), Some(to)) = (&mut self.held, response.interact_pointer_pos())
        {
            if desk.take.stand != held.laid {
                held.from = to - response.drag_delta();
                held.stand = desk.take.stand;
            }
            let camera = desk.room.1.camera(&held.stand);
            let [right, up] = dragged(&camera, picture, held.from, to);
            if to != held.from || desk.take.stand != held.stand {
                desk.stand(moves::aim(&held.stand, right, up, 0.0), "Aim");
            }
            held.laid = desk.take.stand;
        }
        if response.drag_stopped() {
            self.held = None;
            desk.part();
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

/// Where the frame was pressed and let go of again since the last redraw: egui takes that for no drag.
fn within_one_redraw(ui: &Ui, response: &Response) -> Option<[Pos2; 2]> {
    if !response.contains_pointer() || response.dragged() || response.drag_stopped() {
        return None;
    }
    let (mut from, mut drag): (Option<Pos2>, Option<[Pos2; 2]>) = (None, None);
    ui.input(|input| {
        for event in &input.events {
            if let Event::PointerButton { pos, pressed, .. } = event {
                match pressed {
                    true => from = response.interact_rect.contains(*pos).then_some(*pos),
                    false => drag = from.take().map(|from| [from, *pos]),
                }
            }
        }
    });
    let slack = ui
        .ctx()
        .options(|options| options.input_options.max_click_dist);
    drag.filter(|[from, to]| from.distance(*to) > slack)
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
