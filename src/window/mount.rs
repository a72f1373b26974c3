//! A frame's mount: where the picture lies in its room, what surrounds it, and the words at its foot. May not enter: the
//! picture itself.

use super::theme;
use crate::camera::film::Film;
use crate::scene::Kit;
use crate::sky::clock::Zone;
use chrono::{DateTime, Utc};
use egui::{Color32, Painter, Rect, Stroke, pos2, vec2};

/// The mount's white round the picture, points; the lower edge carries words.
const MOUNT: f32 = 10.0;
const FOOT: f32 = 30.0;
/// Neutral grey round the mount.
const ROUND: f32 = 12.0;

/// A mount in its place.
pub struct Mounted {
    /// Where the picture lies.
    pub picture: Rect,
    /// The mount round it.
    mount: Rect,
}

impl Mounted {
    /// Paints the mount of a film's frame as large as a room allows, and what surrounds it. Nothing is painted where the
    /// picture lies: it would be paid for at every redraw.
    pub fn paint(painter: &Painter, room: Rect, film: &Film) -> Mounted {
        let picture = picture_rect(room, film.width_mm / film.height_mm);
        let mount = Rect::from_min_max(
            picture.min - vec2(MOUNT, MOUNT),
            picture.max + vec2(MOUNT, FOOT),
        );
        around(painter, room, mount, theme::SURROUND);
        around(painter, mount, picture, theme::MOUNT);
        Mounted { picture, mount }
    }

    /// The mount's foot: film, lens and minute, as on a slide's mount.
    pub fn caption(
        &self,
        painter: &Painter,
        (kit, lens_mm): (&Kit, f64),
        at: DateTime<Utc>,
        zone: &Zone,
    ) {
        let local = zone.local(at);
        let left = format!(
            "{:.0} × {:.0} · {lens_mm:.0} mm · f/{}",
            kit.film.height_mm, kit.film.width_mm, kit.f_number
        );
        let right = format!(
            "{} {}",
            local.naive.format("%-d %b %Y · %H:%M"),
            local.letters()
        );
        self.words(painter, [left, right]);
    }

    /// Words at the left and right of the mount's foot.
    pub fn words(&self, painter: &Painter, [left, right]: [String; 2]) {
        let (picture, ink) = (self.picture, theme::MOUNT_INK);
        let y = (picture.bottom() + self.mount.bottom()) / 2.0;
        let font = theme::regular(theme::NOTE);
        let [left, right] =
            [left, right].map(|words| painter.layout_no_wrap(words, font.clone(), ink));
        let both = left.size().x + right.size().x + 8.0;
        // On a mount too narrow for both the minute is told above anyway.
        if both <= picture.width() {
            let at = pos2(picture.right(), y) - vec2(right.size().x, right.size().y / 2.0);
            painter.galley(at, right, ink);
        }
        painter.galley(pos2(picture.left(), y - left.size().y / 2.0), left, ink);
    }

    /// How far the picture has come, as a line under it.
    pub fn fineness(&self, painter: &Painter, share: f32) {
        if share < 1.0 {
            let x = self.picture.left()..=self.picture.left() + self.picture.width() * share;
            let stroke = Stroke::new(2.0, theme::MOUNT_INK);
            painter.hline(x, self.picture.bottom() + 3.0, stroke);
        }
    }
}

/// The largest picture of these proportions that fits with its mount.
fn picture_rect(room: Rect, proportion: f64) -> Rect {
    let space = vec2(
        room.width() - 2.0 * (MOUNT + ROUND),
        room.height() - MOUNT - FOOT - 2.0 * ROUND,
    )
    .max(vec2(32.0, 32.0));
    let proportion = proportion as f32;
    let width = space.x.min(space.y * proportion);
    let size = vec2(width, width / proportion).floor();
    let corner = room.center() - size / 2.0 - vec2(0.0, (FOOT - MOUNT) / 2.0);
    Rect::from_min_size(corner.floor(), size)
}

/// Fills what lies between two rectangles.
fn around(painter: &Painter, outer: Rect, inner: Rect, color: Color32) {
    let strip = |left: f32, top: f32, right: f32, bottom: f32| {
        let rect = Rect::from_min_max(pos2(left, top), pos2(right, bottom));
        painter.rect_filled(rect, 0.0, color);
    };
    strip(outer.left(), outer.top(), outer.right(), inner.top());
    strip(outer.left(), inner.bottom(), outer.right(), outer.bottom());
    strip(outer.left(), inner.top(), inner.left(), inner.bottom());
    strip(inner.right(), inner.top(), outer.right(), inner.bottom());
}
