//! Words beside points, each where it covers no other and stays on its page. May not enter: type, markup, widgets.

use glam::DVec2;

/// From a point to words beside it.
const BESIDE: f64 = 6.0;
/// Between words above one another.
const GAP: f64 = 1.0;
/// Rows that are tried, the point's own first.
const ROWS: [f64; 9] = [0.0, 1.0, -1.0, 2.0, -2.0, 3.0, -3.0, 4.0, -4.0];

/// Labels set so far; y points down.
#[derive(Clone, Debug)]
pub struct Labels {
    low: DVec2,
    high: DVec2,
    taken: Vec<(DVec2, DVec2)>,
}

impl Labels {
    /// On an empty page from its upper left to its lower right corner.
    pub fn on(low: DVec2, high: DVec2) -> Labels {
        Labels {
            low,
            high,
            taken: vec![],
        }
    }

    /// Keeps a place free of words.
    pub fn keep(&mut self, low: DVec2, high: DVec2) {
        self.taken.push((low, high));
    }

    /// The upper left corner of words so wide and high beside a point: to its right, else to its left, else over it, else
    /// a little farther off, in its row or one near it. Where all is taken they lie beside it over others, but on the page.
    pub fn place(&mut self, at: DVec2, size: DVec2) -> DVec2 {
        let at = at.clamp(self.low, self.high);
        let held = |low: DVec2| low.min(self.high - size).max(self.low);
        let is_free = |low: &DVec2| {
            let high = *low + size;
            let apart = |(l, h): &(DVec2, DVec2)| {
                high.x < l.x || low.x > h.x || high.y < l.y || low.y > h.y
            };
            self.taken.iter().all(apart)
        };
        let left = -BESIDE - size.x;
        let near = [BESIDE, left, -size.x / 2.0];
        let farther = [24.0, 48.0].map(|off| [left - off, BESIDE + off]);
        let beside = (near.into_iter()).chain(farther.into_iter().flatten());
        let tries = ROWS.into_iter().flat_map(|row| {
            let down = row * (size.y + GAP) - size.y / 2.0;
            (beside.clone()).map(move |right| at + DVec2::new(right, down))
        });
        let tries: Vec<DVec2> = tries.collect();
        let inside = tries.iter().copied().filter(|low| held(*low) == *low);
        let others = tries.iter().map(|low| held(*low));
        let found = inside.chain(others).find(is_free);
        let low = found.unwrap_or_else(|| held(tries[0]));
        self.taken.push((low, low + size));
        low
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZE: DVec2 = DVec2::new(30.0, 10.0);

    fn apart(a: DVec2, b: DVec2) -> bool {
        let off = (a - b).abs();
        off.x > SIZE.x || off.y > SIZE.y
    }

    #[test]
    fn words_of_one_point_lie_apart_and_on_the_page() {
        let (low, high) = (DVec2::ZERO, DVec2::new(100.0, 60.0));
        // In the middle, in a corner, and off the page.
        for at in [(50.0, 30.0), (99.0, 1.0), (-40.0, 90.0)] {
            let mut labels = Labels::on(low, high);
            let places = [(); 4].map(|()| labels.place(at.into(), SIZE));
            for (n, one) in places.iter().enumerate() {
                assert!(one.cmpge(low).all() && (*one + SIZE).cmple(high).all());
                assert!(
                    places[..n].iter().all(|other| apart(*one, *other)),
                    "{at:?}"
                );
            }
        }
    }

    #[test]
    fn a_place_that_is_kept_free_stays_free_and_a_full_page_still_holds_words() {
        let mut labels = Labels::on(DVec2::ZERO, DVec2::new(100.0, 60.0));
        labels.keep(DVec2::new(50.0, 0.0), DVec2::new(100.0, 60.0));
        let low = labels.place(DVec2::new(50.0, 30.0), SIZE);
        assert!(low.x + SIZE.x < 50.0, "{low}");
        labels.keep(DVec2::ZERO, DVec2::new(100.0, 60.0));
        assert_eq!(
            labels.place(DVec2::new(10.0, 20.0), SIZE),
            DVec2::new(16.0, 15.0)
        );
    }
}
