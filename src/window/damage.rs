//! What of the window has changed since the last redraw: of a still page nothing is painted anew, of one on which the
//! frame moves the frame alone. An adapter that a processor plays spends most of a redraw on pixels. May not enter: how
//! anything is painted.

use egui::epaint::{ClippedPrimitive, Primitive};
use egui::{Rect, TextureId};
use std::collections::HashMap;
use std::hash::{DefaultHasher, Hash, Hasher};

/// So many places at most are painted apart; more are put together.
const MOST: usize = 6;

/// One piece of the page, as it was painted last.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Piece {
    /// Tells it from every other one.
    key: u64,
    /// What it covers, points.
    covers: Rect,
}

/// The page as it was painted last.
#[derive(Debug, Default)]
pub struct Damage {
    pieces: Vec<Piece>,
}

impl Damage {
    /// Forgets the page: all of it will be painted anew.
    pub fn forget(&mut self) {
        self.pieces.clear();
    }

    /// Where the page must be painted anew; `touched` are textures whose pixels have changed. The places do not overlap.
    pub fn since(&mut self, shapes: &[ClippedPrimitive], touched: &[TextureId]) -> Vec<Rect> {
        let now: Vec<Piece> = shapes.iter().map(piece).collect();
        let before = std::mem::replace(&mut self.pieces, now);
        let mut places: Vec<Rect> = vec![];
        for (shape, piece) in shapes.iter().zip(&self.pieces) {
            if let Primitive::Mesh(mesh) = &shape.primitive
                && touched.contains(&mesh.texture_id)
            {
                places.push(piece.covers);
            }
        }
        let [gone, come] = [(&before, &self.pieces), (&self.pieces, &before)].map(|(of, other)| {
            let mut count: HashMap<u64, i32> = HashMap::new();
            for piece in other {
                *count.entry(piece.key).or_default() += 1;
            }
            let mut left = vec![];
            for piece in of {
                let known = count.entry(piece.key).or_default();
                if *known > 0 {
                    *known -= 1;
                } else {
                    left.push(*piece);
                }
            }
            left
        });
        places.extend(gone.iter().chain(&come).map(|piece| piece.covers));
        if reordered(&before, &self.pieces, &gone, &come) {
            places.extend(self.pieces.iter().map(|piece| piece.covers));
        }
        apart(places)
    }
}

/// Whether pieces that stayed lie over one another in another order.
fn reordered(before: &[Piece], now: &[Piece], gone: &[Piece], come: &[Piece]) -> bool {
    let stayed = |all: &[Piece], without: &[Piece]| -> Vec<u64> {
        let mut without: Vec<u64> = without.iter().map(|piece| piece.key).collect();
        let mut stayed = vec![];
        for piece in all {
            match without.iter().position(|key| *key == piece.key) {
                Some(at) => {
                    without.swap_remove(at);
                }
                None => stayed.push(piece.key),
            }
        }
        stayed
    };
    stayed(before, gone) != stayed(now, come)
}

fn piece(shape: &ClippedPrimitive) -> Piece {
    let mut hasher = DefaultHasher::new();
    let bits = |rect: Rect| [rect.min.x, rect.min.y, rect.max.x, rect.max.y].map(f32::to_bits);
    bits(shape.clip_rect).hash(&mut hasher);
    let covers = match &shape.primitive {
        Primitive::Mesh(mesh) => {
            mesh.texture_id.hash(&mut hasher);
            hasher.write(bytemuck::cast_slice(&mesh.indices));
            hasher.write(bytemuck::cast_slice(&mesh.vertices));
            mesh.calc_bounds().intersect(shape.clip_rect)
        }
        // Nobody can say what a callback paints.
        Primitive::Callback(callback) => callback.rect.intersect(shape.clip_rect),
    };
    Piece {
        key: hasher.finish(),
        covers,
    }
}

/// Places put together until none overlaps another, and few are left.
fn apart(mut places: Vec<Rect>) -> Vec<Rect> {
    places.retain(|place| place.is_positive());
    loop {
        let pairs = (0..places.len()).flat_map(|i| (i + 1..places.len()).map(move |k| (i, k)));
        let cost = |(i, k): &(usize, usize)| {
            let (a, b) = (places[*i], places[*k]);
            a.union(b).area() - a.area() - b.area()
        };
        let cheapest = pairs.min_by(|a, b| cost(a).total_cmp(&cost(b)));
        let Some((i, k)) = cheapest else { break };
        let overlap = places[i].intersect(places[k]).is_positive();
        let any_overlap = overlap
            || (0..places.len()).any(|i| {
                (i + 1..places.len()).any(|k| places[i].intersect(places[k]).is_positive())
            });
        if !any_overlap && places.len() <= MOST && cost(&(i, k)) > 0.0 {
            break;
        }
        // Those that overlap come first: what is painted twice would be mixed twice.
        let (i, k) = match overlap || !any_overlap {
            true => (i, k),
            false => {
                let pairs =
                    (0..places.len()).flat_map(|i| (i + 1..places.len()).map(move |k| (i, k)));
                let touching =
                    |(i, k): &(usize, usize)| places[*i].intersect(places[*k]).is_positive();
                pairs.into_iter().find(touching).unwrap_or((i, k))
            }
        };
        let other = places.swap_remove(k);
        places[i] = places[i].union(other);
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{Color32, epaint::Mesh, pos2, vec2};

    fn square(x: f32, color: Color32) -> ClippedPrimitive {
        let mut mesh = Mesh::default();
        mesh.add_colored_rect(Rect::from_min_size(pos2(x, 0.0), vec2(10.0, 10.0)), color);
        ClippedPrimitive {
            clip_rect: Rect::from_min_size(pos2(0.0, 0.0), vec2(100.0, 8.0)),
            primitive: Primitive::Mesh(mesh),
        }
    }

    fn rect(x: f32, width: f32) -> Rect {
        Rect::from_min_size(pos2(x, 0.0), vec2(width, 8.0))
    }

    #[test]
    fn only_what_changed_is_painted_and_only_within_its_clip() {
        let mut damage = Damage::default();
        let mut page = vec![square(0.0, Color32::RED), square(50.0, Color32::RED)];
        assert_eq!(damage.since(&page, &[]).len(), 2);
        assert!(damage.since(&page, &[]).is_empty());
        page[1] = square(50.0, Color32::BLUE);
        assert_eq!(damage.since(&page, &[]), [rect(50.0, 10.0)]);
        // Where something was taken away, what lies under it must come out again.
        page.pop();
        assert_eq!(damage.since(&page, &[]), [rect(50.0, 10.0)]);
        assert_eq!(
            damage.since(&page, &[TextureId::default()]),
            [rect(0.0, 10.0)]
        );
    }

    #[test]
    fn what_overlaps_is_one_place_and_so_is_what_changed_its_order() {
        let mut damage = Damage::default();
        let mut page = vec![square(0.0, Color32::RED), square(5.0, Color32::BLUE)];
        assert_eq!(damage.since(&page, &[]), [rect(0.0, 15.0)]);
        page.swap(0, 1);
        assert_eq!(damage.since(&page, &[]), [rect(0.0, 15.0)]);
    }

    #[test]
    fn many_places_are_put_together() {
        let mut damage = Damage::default();
        let page: Vec<_> = (0..9)
            .map(|i| square(30.0 * i as f32, Color32::RED))
            .collect();
        let wide: Vec<_> = page
            .into_iter()
            .map(|mut shape| {
                shape.clip_rect = rect(0.0, 1000.0);
                shape
            })
            .collect();
        let places = damage.since(&wide, &[]);
        assert!(places.len() <= MOST);
        let area: f32 = places.iter().map(|place| place.area()).sum();
        assert!(area < 270.0 * 8.0);
    }
}
