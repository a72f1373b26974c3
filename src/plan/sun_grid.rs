//! The grid of suns in declination and hour angle: two degrees wide, one or half a one where what is lit bends.
//! May not enter: what is lit.

use super::instants::Instant;
use super::suns::Corners;
use std::collections::BTreeMap;

/// Finest step of the grid, degrees: nothing is cut further, so that no more instants ever want more suns than it has.
const FINE_DEG: f64 = 0.5;
/// Fine steps in the grid's widest.
const COARSE: i32 = 4;
/// So few suns of a coarse field are rather drawn themselves than its corners.
const FEW_COARSE: usize = 1;
/// Likewise where the field would be cut: that brings up to five more nodes.
const FEW_FINE: usize = 4;
/// A field is cut where what is probed may lie farther than this from straight: what a search's lit shares may err by.
const BENT: f32 = 0.03;

/// A node of the grid, in fine steps.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Key {
    dec: i32,
    hour: i32,
}

impl Key {
    /// Declination and hour angle.
    pub(super) fn degrees(self) -> [f64; 2] {
        [self.dec, self.hour].map(|steps| f64::from(steps) * FINE_DEG)
    }

    fn step(self, dec: i32, hour: i32) -> Key {
        Key {
            dec: self.dec + dec,
            hour: self.hour + hour,
        }
    }

    /// The lower corner of the field, so many steps wide, in which a sun lies, and how far it lies inside, 0–1.
    fn below(instant: &Instant, steps: i32) -> (Key, [f32; 2]) {
        let wide = FINE_DEG * f64::from(steps);
        let at = [instant.sun.declination_deg, instant.sun.hour_angle_deg].map(|deg| deg / wide);
        let [dec, hour] = at.map(|at| at.floor() as i32 * steps);
        (Key { dec, hour }, at.map(|at| (at - at.floor()) as f32))
    }
}

/// What is drawn for a node.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Place {
    /// A node of the grid.
    Key(Key),
    /// The very sun of an instant.
    Own(usize),
}

/// Nodes for suns, and between which of them each sun lies.
#[derive(Default)]
pub(super) struct Grid {
    /// The nodes, in the order in which they were first wanted.
    pub(super) places: Vec<Place>,
    /// For each instant its corners.
    pub(super) corners: Vec<Corners>,
    index: BTreeMap<Key, u32>,
    /// Width of the fields that may yet be cut, in fine steps.
    steps: i32,
    /// Their instants.
    fields: BTreeMap<Key, Vec<usize>>,
}

impl Grid {
    /// Each instant's own sun.
    pub(super) fn own(instants: &[Instant]) -> Grid {
        let mut grid = Grid::of(instants);
        (0..instants.len()).for_each(|instant| grid.draw_own(instant));
        grid
    }

    /// The coarse grid.
    pub(super) fn coarse(instants: &[Instant]) -> Grid {
        let mut grid = Grid::of(instants);
        let mut fields: BTreeMap<Key, Vec<usize>> = BTreeMap::new();
        for (k, instant) in instants.iter().enumerate() {
            let (field, _) = Key::below(instant, COARSE);
            fields.entry(field).or_default().push(k);
        }
        for suns in fields.values() {
            for k in suns {
                match suns.len() {
                    0..=FEW_COARSE => grid.draw_own(*k),
                    _ => grid.draw_corners(*k, &instants[*k], COARSE),
                }
            }
        }
        fields.retain(|_, suns| suns.len() > FEW_COARSE);
        (grid.steps, grid.fields) = (COARSE, fields);
        grid
    }

    fn of(instants: &[Instant]) -> Grid {
        Grid {
            corners: vec![[(0, 0.0); 4]; instants.len()],
            ..Grid::default()
        }
    }

    /// Whether a field may yet be cut.
    pub(super) fn is_open(&self) -> bool {
        !self.fields.is_empty()
    }

    fn draw_own(&mut self, instant: usize) {
        let node = self.places.len() as u32;
        self.places.push(Place::Own(instant));
        self.corners[instant] = [(node, 1.0), (node, 0.0), (node, 0.0), (node, 0.0)];
    }

    fn draw_corners(&mut self, k: usize, instant: &Instant, steps: i32) {
        let (key, [u, v]) = Key::below(instant, steps);
        let places = &mut self.places;
        let mut node = |key: Key| {
            *self.index.entry(key).or_insert_with(|| {
                places.push(Place::Key(key));
                places.len() as u32 - 1
            })
        };
        self.corners[k] = [
            (node(key), (1.0 - u) * (1.0 - v)),
            (node(key.step(0, steps)), (1.0 - u) * v),
            (node(key.step(steps, 0)), u * (1.0 - v)),
            (node(key.step(steps, steps)), u * v),
        ];
    }

    /// Cuts the fields over which what was probed of the nodes bends into four; where that brings more nodes than there
    /// are suns, these are drawn themselves. Nodes are added behind those that there are, to be probed for the next time.
    pub(super) fn refine(&mut self, instants: &[Instant], probed: &[&[f32]]) {
        let steps = self.steps / 2;
        let mut finer: BTreeMap<Key, Vec<usize>> = BTreeMap::new();
        for (field, suns) in std::mem::take(&mut self.fields) {
            if self.bend(field, probed) <= BENT {
                continue;
            }
            for k in suns.iter().copied() {
                if suns.len() <= FEW_FINE {
                    self.draw_own(k);
                    continue;
                }
                self.draw_corners(k, &instants[k], steps);
                if steps > 1 {
                    let (field, _) = Key::below(&instants[k], steps);
                    finer.entry(field).or_default().push(k);
                }
            }
        }
        (self.steps, self.fields) = (steps, finer);
    }

    /// How far from straight what was probed may lie inside a field: a parabola through three nodes in a row lies off
    /// its chord by an eighth of their second difference, in either direction. At the grid's rim, where there are no
    /// three, a quarter of the rise stands in.
    fn bend(&self, field: Key, probed: &[&[f32]]) -> f32 {
        let wide = self.steps;
        let at = |key: Key| {
            let node = self
                .index
                .get(&key)
                .and_then(|node| probed.get(*node as usize));
            node.copied()
        };
        let corners = [(0, 0), (0, wide), (wide, 0), (wide, wide)];
        let corners = corners.map(|(dec, hour)| field.step(dec, hour));
        let parts = at(field).map_or(0, <[f32]>::len);
        let mut along = vec![[0.0f32; 2]; parts];
        for (way, (dec, hour)) in [(wide, 0), (0, wide)].into_iter().enumerate() {
            let mut any = false;
            for corner in corners {
                let row = [corner.step(-dec, -hour), corner, corner.step(dec, hour)].map(at);
                let [Some(before), Some(here), Some(after)] = row else {
                    continue;
                };
                any = true;
                for (part, along) in along.iter_mut().enumerate() {
                    let second = before[part] - 2.0 * here[part] + after[part];
                    along[way] = along[way].max(second.abs() / 8.0);
                }
            }
            let sides = [field, field.step(wide - dec, wide - hour)];
            for side in sides.into_iter().filter(|_| !any) {
                let [Some(here), Some(after)] = [side, side.step(dec, hour)].map(at) else {
                    continue;
                };
                for (part, along) in along.iter_mut().enumerate() {
                    along[way] = along[way].max((after[part] - here[part]).abs() / 4.0);
                }
            }
        }
        let bends = along.iter().map(|[dec, hour]| dec + hour);
        bends.fold(0.0, f32::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sky::sun::Sun;

    /// Suns every quarter of a degree over a patch of sky.
    fn suns(wide_deg: usize) -> Vec<Instant> {
        let all = 0..16 * wide_deg * wide_deg;
        let sun = |k: usize| Instant {
            at: Default::default(),
            date: Default::default(),
            sun: Sun {
                azimuth_deg: 0.0,
                elevation_deg: 0.0,
                true_elevation_deg: 0.0,
                declination_deg: (k % (4 * wide_deg)) as f64 / 4.0 + 0.1,
                hour_angle_deg: (k / (4 * wide_deg)) as f64 / 4.0 + 0.1,
            },
        };
        all.map(sun).collect()
    }

    /// Refines until nothing is left to cut, and interpolates `light` at every sun.
    fn settled(suns: &[Instant], light: impl Fn(f64, f64) -> f32) -> (Grid, Vec<f32>) {
        let mut grid = Grid::coarse(suns);
        let values = |grid: &Grid| -> Vec<Vec<f32>> {
            let of_place = |place: &Place| match place {
                Place::Key(key) => vec![light(key.degrees()[0], key.degrees()[1])],
                Place::Own(k) => {
                    vec![light(
                        suns[*k].sun.declination_deg,
                        suns[*k].sun.hour_angle_deg,
                    )]
                }
            };
            grid.places.iter().map(of_place).collect()
        };
        while grid.is_open() {
            let known = values(&grid);
            grid.refine(suns, &known.iter().map(|one| &one[..]).collect::<Vec<_>>());
        }
        let known = values(&grid);
        let mixed = |corners: &Corners| {
            corners
                .iter()
                .map(|(node, weight)| weight * known[*node as usize][0])
                .sum()
        };
        let found = grid.corners.iter().map(mixed).collect();
        (grid, found)
    }

    #[test]
    fn what_is_straight_is_never_cut_and_told_exactly() {
        let suns = suns(12);
        let light = |dec: f64, hour: f64| (0.01 * dec - 0.02 * hour + 0.4) as f32;
        let (grid, found) = settled(&suns, light);
        assert_eq!(grid.places.len(), 7 * 7);
        for (sun, found) in suns.iter().zip(found) {
            let exact = light(sun.sun.declination_deg, sun.sun.hour_angle_deg);
            assert!((found - exact).abs() < 1e-5, "{found} {exact}");
        }
    }

    /// An edge of light half a degree wide, level on either side: the grid is fine along it, and wide elsewhere.
    #[test]
    fn an_edge_of_light_is_followed_and_nothing_else() {
        let suns = suns(24);
        let light = |dec: f64, hour: f64| ((hour - 0.3 * dec - 9.0) * 2.0).clamp(0.0, 1.0) as f32;
        let (grid, found) = settled(&suns, light);
        let (wide, finest) = (13 * 13, 49 * 49);
        assert!(
            grid.places.len() > wide && grid.places.len() < finest * 2 / 5,
            "{}",
            grid.places.len()
        );
        let apart = suns.iter().zip(&found).map(|(sun, found)| {
            (found - light(sun.sun.declination_deg, sun.sun.hour_angle_deg)).abs()
        });
        let mut apart: Vec<f32> = apart.collect();
        apart.sort_by(f32::total_cmp);
        assert!(
            apart[apart.len() * 9 / 10] < 0.03,
            "{}",
            apart[apart.len() * 9 / 10]
        );
        assert!(apart[apart.len() - 1] < 0.5, "{}", apart[apart.len() - 1]);
    }

    #[test]
    fn a_lone_sun_is_drawn_itself() {
        let suns = [suns(1)[5]];
        let grid = Grid::coarse(&suns);
        assert_eq!(grid.places, [Place::Own(0)]);
        assert!(!grid.is_open());
    }
}
