//! The ground from above, to scale: where the camera stands, what lies about, and what this minute makes of every spot.
//! The spot and the machine are dragged. May not enter: what a spot is worth, how far one must stay away.

mod lay; // what lies on it
mod pane; // from metres to points
mod patch; // ground shaded by verdict

use super::theme;
use crate::camera::lens::angle_of_view_deg;
use crate::grade::Grade;
use crate::picture::drawing::ground::{Paper, Plan, seen, shade};
use crate::plan::here::Patch;
use crate::rehearsal::bench::Room;
use crate::rehearsal::desk::Desk;
use crate::scene::polygon::{Region, contains};
use crate::units::{Units, feet, rad};
use egui::{CursorIcon, Painter, Pos2, Rect, Response, Sense, Shape, Stroke, Ui, vec2};
use glam::{DVec2, DVec3};
use lay::Lay;
use std::sync::Arc;

/// How near the pointer must come to what it takes hold of, points.
const GRIP: f32 = 14.0;
/// Room about what is fitted, as a share of the pane.
const MARGIN: f64 = 0.12;

/// So much of the ground about the machine is always fitted, metres to each side.
const ABOUT_M: f64 = 18.0;

/// What is dragged.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Held {
    Spot,
    /// The machine, and how far along its track it was taken hold of from its centre.
    Machine(f64),
    /// The paper, and the place on it that was pressed.
    Paper(DVec2),
}

/// The pane's own state.
#[derive(Default)]
pub struct GroundPane {
    /// The frame's axis points up instead of north.
    pub view_up: bool,
    /// What lies in the middle, and points to a metre; none while all is fitted.
    sight: Option<(DVec2, f64)>,
    held: Option<Held>,
    /// How the paper lay when something was taken hold of: it lies still meanwhile.
    still: Option<(DVec2, f64)>,
    /// As it was drawn last.
    drawn: Option<Paper>,
    /// What lies on the ground of a site as it is tried, and its shade at a minute: laid out once.
    laid: Option<Laid>,
}

struct Laid {
    room: Arc<Room>,
    plan: Plan,
    /// Toward the sun (machine frame), and triangles of what lies in shade then.
    shade: Option<(DVec3, Vec<[DVec2; 3]>)>,
}

impl GroundPane {
    /// Draws it; `patch` is what this minute makes of the ground, as far as it is known.
    pub fn ui(&mut self, ui: &mut Ui, desk: &mut Desk, patch: Option<&Patch>, units: Units) {
        let page = theme::page(ui.ctx());
        let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::click_and_drag());
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, "Ground pane"));
        let painter = ui.painter().with_clip_rect(rect);
        let paper = self.paper(rect, desk);
        self.drawn = Some(paper);
        self.drag(ui, &response, &paper, desk);
        let toward = desk.graded.as_ref().map(|graded| graded.minute.toward);
        let laid = Laid::of(self.laid.take(), &desk.room.1, toward);
        let lay = Lay {
            painter: &painter,
            paper: &paper,
            page: &page,
            plan: &laid.plan,
        };
        lay.areas();
        if let Some(patch) = patch {
            patch::shade(&painter, &paper, &page, patch);
        }
        lay.stand_off();
        lay.area_edges();
        if let Some((_, triangles)) = &laid.shade {
            lay.shade(triangles);
        }
        lay.tracks(&laid.room.scene.tracks);
        lay.things();
        lay.machine();
        camera(&painter, &paper, &page, desk);
        lay.scale_and_north(|m| match units {
            Units::Feet => format!("{:.0} ft", feet(m)),
            Units::Metric => format!("{m:.0} m"),
        });
        self.laid = Some(laid);
        let spot = pane::at(&paper, desk.take.stand.spot_m);
        place(&painter, (rect, spot), &page, desk.take.stand.spot_m, units);
        painter.rect_stroke(
            rect,
            0.0,
            Stroke::new(1.0, page.rule),
            egui::StrokeKind::Inside,
        );
    }

    /// The paper of this redraw: as it was moved, else with the machine and the spot in it.
    fn paper(&self, rect: Rect, desk: &Desk) -> Paper {
        // What is dragged must not move the paper under the pointer that drags it.
        if let (Some(Held::Spot | Held::Machine(_)), Some(drawn)) = (self.held, self.drawn)
            && pane::rect(&drawn) == rect
        {
            return drawn;
        }
        let up_deg = if self.view_up {
            desk.take.stand.heading_deg
        } else {
            0.0
        };
        let whole = Paper {
            up_deg,
            ..pane::paper(rect)
        };
        if let Some((middle_m, per_m)) = self.sight.or(self.still) {
            return Paper {
                middle_m,
                per_m,
                ..whole
            };
        }
        let machine = &desk.room.1.scene.machine;
        let shown = machine.outline_m().into_iter();
        let shown = shown.chain([desk.take.stand.spot_m]);
        // What throws shadows and grows from roofs stands farther off than machine and spot lie apart.
        let about = [DVec2::splat(-ABOUT_M), DVec2::splat(ABOUT_M)];
        let shown = shown.chain(about.map(|off| machine.centre_m + off));
        whole.fitted(shown, whole.size * (1.0 - 2.0 * MARGIN))
    }

    fn drag(&mut self, ui: &Ui, response: &Response, paper: &Paper, desk: &mut Desk) {
        let pointer = response.interact_pointer_pos();
        if response.drag_started()
            && let Some(at) = ui.input(|input| input.pointer.press_origin())
        {
            self.held = Some(held_at(at, paper, desk));
            self.still = Some((paper.middle_m, paper.per_m));
        }
        if let Some(at) = response.hover_pos() {
            let over = self.held.unwrap_or_else(|| held_at(at, paper, desk));
            ui.ctx().set_cursor_icon(match over {
                Held::Paper(_) => CursorIcon::Default,
                _ if self.held.is_some() => CursorIcon::Grabbing,
                _ => CursorIcon::Grab,
            });
            let turn = ui.input(|input| input.smooth_scroll_delta().y);
            if turn != 0.0 {
                self.zoom(paper, at, (f64::from(turn) / 200.0).exp());
            }
        }
        if response.double_clicked()
            && let Some(at) = pointer
        {
            desk.walk_to(short(paper.place_m(pane::inner(at))), "Stand there");
        }
        let moves = response.dragged() || response.drag_stopped();
        if let (Some(held), true, Some(at)) = (self.held, moves, pointer) {
            let place_m = paper.place_m(pane::inner(at));
            match held {
                Held::Spot => desk.walk_to(short(place_m), "Drag the spot"),
                Held::Machine(from_m) => {
                    let mut setting = desk.take.setting.clone();
                    let along = along_m(desk, place_m) - from_m;
                    setting.chainage_m = (along * 10.0).round() / 10.0;
                    desk.set(setting, "Drag the machine");
                }
                Held::Paper(pressed_m) => {
                    self.sight = Some((paper.middle_m + pressed_m - place_m, paper.per_m));
                }
            }
        }
        if response.drag_stopped() {
            self.held = None;
            self.still = None;
            desk.part();
        }
    }

    /// Makes the ground larger about a point.
    fn zoom(&mut self, paper: &Paper, about: Pos2, factor: f64) {
        let per_m = (paper.per_m * factor).clamp(0.5, 80.0);
        let place = paper.place_m(pane::inner(about));
        let middle_m = place + (paper.middle_m - place) * (paper.per_m / per_m);
        self.sight = Some((middle_m, per_m));
    }

    /// Shows the machine and the spot whole again.
    pub fn fit(&mut self) {
        self.sight = None;
    }

    /// Where a place lay on the pane when it was drawn last.
    pub fn point_of(&self, place_m: DVec2) -> Option<Pos2> {
        self.drawn.map(|paper| pane::at(&paper, place_m))
    }

    /// Whether it was moved or made larger.
    pub fn is_moved(&self) -> bool {
        self.sight.is_some()
    }
}

/// A place in whole centimetres.
fn short(place_m: DVec2) -> DVec2 {
    (place_m * 100.0).round() / 100.0
}

/// How far along the machine's track the place beside it is. A machine stands on a straight piece, near enough.
fn along_m(desk: &Desk, place_m: DVec2) -> f64 {
    let scene = &desk.room.1.scene;
    let track = &scene.tracks[scene.machine.track];
    let at = track.point_at(scene.machine.chainage_m);
    let (east, north) = rad(at.bearing_deg).sin_cos();
    scene.machine.chainage_m + (place_m - at.position_m).dot(DVec2::new(east, north))
}

fn held_at(at: Pos2, paper: &Paper, desk: &Desk) -> Held {
    if pane::at(paper, desk.take.stand.spot_m).distance(at) <= GRIP {
        return Held::Spot;
    }
    let machine = &desk.room.1.scene.machine;
    let place_m = paper.place_m(pane::inner(at));
    match contains(&machine.outline_m(), place_m) {
        true => Held::Machine(along_m(desk, place_m) - machine.chainage_m),
        false => Held::Paper(place_m),
    }
}

impl Laid {
    /// What is laid out already, as far as it is still so.
    fn of(known: Option<Laid>, room: &Arc<Room>, toward: Option<DVec3>) -> Laid {
        let mut laid = match known {
            Some(known) if Arc::ptr_eq(&known.room, room) => known,
            _ => Laid {
                room: Arc::clone(room),
                plan: Plan::of(&room.scene),
                shade: None,
            },
        };
        let (now, then) = (toward, laid.shade.as_ref().map(|(toward, _)| *toward));
        if now != then {
            let shaded = |toward| {
                let toward = room.frame.direction_to_site(toward);
                let regions = shade(&room.scene, &room.stage.hull, toward);
                regions.iter().flat_map(Region::triangles_m).collect()
            };
            laid.shade = now.map(|toward| (toward, shaded(toward)));
        }
        laid
    }
}

/// Where the spot is, in words: on site it is paced out.
fn place(
    painter: &Painter,
    (rect, spot): (Rect, Pos2),
    page: &theme::Page,
    spot_m: DVec2,
    units: Units,
) {
    let toward = |metres: f64, words: [&str; 2]| {
        let word = words[usize::from(metres < 0.0)];
        format!("{} {word}", units.length(metres.abs()))
    };
    let east = toward(spot_m.x, ["east", "west"]);
    let north = toward(spot_m.y, ["north", "south"]);
    let words = format!("{east}\n{north}");
    let galley = painter.layout_no_wrap(words, theme::regular(theme::NOTE), page.ink);
    let size = galley.size() + vec2(13.0, 8.0);
    let low = Rect::from_min_max(rect.max - size, rect.max);
    // In the upper corner where it would cover the spot itself.
    let field = match low.expand(GRIP).contains(spot) {
        true => Rect::from_min_size(rect.min, size),
        false => low,
    };
    let corner = field.min + vec2(5.0, 3.0);
    painter.rect_filled(field, 0.0, page.paper.gamma_multiply(0.85));
    painter.galley(corner, galley, page.ink);
}

/// The camera's place, and what its frame takes in.
fn camera(painter: &Painter, paper: &Paper, page: &theme::Page, desk: &Desk) {
    let stand = &desk.take.stand;
    let across_deg = angle_of_view_deg(stand.lens_mm, desk.take.setting.kit.film.width_mm);
    let toward_m = desk.room.1.frame.origin_m;
    let wedge = seen(stand.spot_m, stand.heading_deg, across_deg, toward_m);
    let [left, spot, right] = wedge.map(|place_m| pane::at(paper, place_m));
    let color = page.grade(Grade::Ruinous);
    for end in [left, right] {
        let stroke = Stroke::new(1.0, color);
        painter.extend(Shape::dashed_line(&[spot, end], stroke, 7.0, 3.0));
    }
    painter.circle(spot, 6.0, page.paper, Stroke::new(2.0, color));
    painter.circle_filled(spot, 1.8, color);
}
