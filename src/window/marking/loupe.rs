//! The magnifier: pixels round the cross, each eight points wide, in a corner beside or over the photograph. May not
//! enter: what is marked.

use crate::judge::photo::Photo;
use crate::window::theme;
use egui::{
    Align2, Color32, ColorImage, Painter, Pos2, Rect, Stroke, StrokeKind, TextureHandle, Ui, Vec2,
    pos2, vec2,
};
use glam::DVec2;
use image::RgbImage;
use std::sync::Arc;

/// Points to a pixel.
pub const TIMES: f64 = 8.0;

/// Pixels across, one of them at each edge seen in part.
const PIXELS: i64 = 27;

/// Its width on the page, points.
const SIDE: f32 = (PIXELS as f32 - 2.0) * TIMES as f32;

/// Kept from the room's edge, points.
const ASIDE: f32 = 10.0;

/// Below it, for where it is and how large it shows.
const STRIP: f32 = 24.0;

/// Its picture on the device.
#[derive(Default)]
pub struct Loupe {
    texture: Option<(Arc<Photo>, DVec2, TextureHandle)>,
}

/// A place marked or expected, to be seen in the magnifier too.
#[derive(Clone, Copy, Debug)]
pub struct Spot {
    /// Where, pixels.
    pub at_px: DVec2,
    /// Its colour.
    pub color: Color32,
}

impl Loupe {
    /// Where it lies with the strip for its words, in a corner of the room: never where the cross is, else where it hides
    /// least of what lies round these places; of corners alike a lower one, where the ground is, away from the cross.
    pub fn place(room: Rect, cross: Pos2, shown: &[Pos2]) -> Rect {
        let side = SIDE
            .min(room.width() / 3.0)
            .min(room.height() / 2.0)
            .floor();
        let size = vec2(side, side + STRIP);
        let inner = room.shrink(ASIDE);
        let far = inner.max - size;
        let mut corners = [
            far,
            pos2(inner.left(), far.y),
            pos2(far.x, inner.top()),
            inner.min,
        ];
        if cross.x > room.center().x {
            corners.swap(0, 1);
            corners.swap(2, 3);
        }
        let squares = corners.map(|corner| Rect::from_min_size(corner, size));
        let about = Rect::from_points(shown);
        let hides = |square: &&Rect| {
            let both = square.intersect(about);
            let hidden = if both.is_positive() { both.area() } else { 0.0 };
            (square.expand(30.0).contains(cross), hidden as u32)
        };
        squares.iter().min_by_key(hides).copied().unwrap_or(room)
    }

    /// Draws it.
    pub fn paint(
        &mut self,
        ui: &Ui,
        painter: &Painter,
        whole: Rect,
        (photo, cross_px): (&Arc<Photo>, DVec2),
        spots: &[Spot],
    ) {
        let place = Rect::from_min_max(whole.min, whole.max - vec2(0.0, STRIP));
        let corner = cross_px.floor() - DVec2::splat((PIXELS / 2) as f64);
        let is_known =
            |(of, at, _): &(Arc<Photo>, DVec2, _)| Arc::ptr_eq(of, photo) && *at == corner;
        if !self.texture.as_ref().is_some_and(is_known) {
            let image = around(&photo.pixels, corner);
            let options = egui::TextureOptions::NEAREST;
            match &mut self.texture {
                Some((of, at, texture)) => {
                    texture.set(image, options);
                    (*of, *at) = (Arc::clone(photo), corner);
                }
                none => {
                    let texture = ui.ctx().load_texture("magnifier", image, options);
                    *none = Some((Arc::clone(photo), corner, texture));
                }
            }
        }
        let outer = painter;
        let painter = outer.with_clip_rect(place);
        let at = |px: DVec2| {
            let off = (px - cross_px) * TIMES;
            place.center() + vec2(off.x as f32, off.y as f32)
        };
        if let Some((_, _, texture)) = &self.texture {
            let size = Vec2::splat(PIXELS as f32 * TIMES as f32);
            let rect = Rect::from_min_size(at(corner), size);
            let all = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
            painter.image(texture.id(), rect, all, Color32::WHITE);
        }
        for spot in spots {
            let middle = at(spot.at_px);
            painter.circle_stroke(
                middle,
                7.0,
                Stroke::new(3.0, Color32::from_black_alpha(120)),
            );
            painter.circle_stroke(middle, 7.0, Stroke::new(1.5, spot.color));
        }
        cross(&painter, place);
        let strip = place.bottom() + STRIP / 2.0 - 1.0;
        let foot = Rect::from_min_max(place.left_bottom(), whole.max);
        outer.rect_filled(foot, 0.0, theme::MOUNT);
        let where_px = format!("{:.1}, {:.1} px", cross_px.x, cross_px.y);
        let times = format!("× {TIMES:.0}");
        let note = theme::regular(theme::NOTE);
        for (align, x, words) in [
            (Align2::LEFT_CENTER, place.left() + 6.0, where_px),
            (Align2::RIGHT_CENTER, place.right() - 6.0, times),
        ] {
            outer.text(pos2(x, strip), align, words, note.clone(), theme::MOUNT_INK);
        }
        for (width, color) in [(4.0, theme::MOUNT), (1.0, theme::MOUNT_INK)] {
            outer.rect_stroke(whole, 0.0, Stroke::new(width, color), StrokeKind::Inside);
        }
    }
}

/// Lines to the middle, open there for the pixel that is meant, dark under light.
fn cross(painter: &Painter, place: Rect) {
    let middle = place.center();
    for (width, color) in [(3.0, Color32::from_black_alpha(130)), (1.0, Color32::WHITE)] {
        let stroke = Stroke::new(width, color);
        for way in [
            vec2(1.0, 0.0),
            vec2(-1.0, 0.0),
            vec2(0.0, 1.0),
            vec2(0.0, -1.0),
        ] {
            painter.line_segment([middle + way * 5.0, middle + way * place.width()], stroke);
        }
    }
}

/// Pixels from a corner on; dark where there is no photograph.
fn around(picture: &RgbImage, corner: DVec2) -> ColorImage {
    let pixel = |n: i64| {
        let (x, y) = (corner.x as i64 + n % PIXELS, corner.y as i64 + n / PIXELS);
        let inside = u32::try_from(x).ok().zip(u32::try_from(y).ok());
        let found = inside.and_then(|(x, y)| picture.get_pixel_checked(x, y));
        found.map_or(Color32::from_gray(60), |pixel| {
            let [r, g, b] = pixel.0;
            Color32::from_rgb(r, g, b)
        })
    };
    let size = [PIXELS as usize; 2];
    ColorImage::new(size, (0..PIXELS * PIXELS).map(pixel).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pixels_round_a_place_are_those_of_the_photograph_and_dark_beyond_its_edge() {
        let picture = RgbImage::from_fn(40, 30, |x, y| image::Rgb([x as u8, y as u8, 7]));
        let image = around(&picture, DVec2::new(-3.0, 10.0));
        let at = |x: usize, y: usize| image.pixels[y * image.size[0] + x];
        assert_eq!(at(3, 0), Color32::from_rgb(0, 10, 7));
        assert_eq!(at(13, 5), Color32::from_rgb(10, 15, 7));
        assert_eq!(at(2, 0), Color32::from_gray(60));
        assert_eq!(at(3, 20), Color32::from_gray(60));
    }

    #[test]
    fn it_gives_way_to_what_it_magnifies() {
        let room = Rect::from_min_size(pos2(0.0, 0.0), vec2(900.0, 600.0));
        let there = Loupe::place(room, pos2(100.0, 100.0), &[]);
        assert!(there.left() > 600.0 && there.top() > 300.0);
        let other = Loupe::place(room, pos2(850.0, 100.0), &[]);
        assert!(other.right() < 300.0 && other.top() > 300.0);
        // Where points lie it stands aside.
        let machine = [pos2(300.0, 500.0), pos2(850.0, 400.0)];
        let third = Loupe::place(room, pos2(450.0, 300.0), &machine);
        assert!(third.right() < 300.0 && third.top() > 300.0);
        let fourth = Loupe::place(room, pos2(120.0, 500.0), &machine);
        assert!(fourth.bottom() < 300.0);
    }
}
