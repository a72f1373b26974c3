//! Tracks: polylines with a gauge. May not enter: what stands on them.

use crate::units::bearing_deg;
use glam::DVec2;

/// Width of a rail's head: 75 mm is the widest common one (rail manufacturer's table of North American
/// sections, 74.61 mm for 136 lb/yd).
pub const RAIL_HEAD_M: f64 = 0.075;

/// One track.
#[derive(Clone, Debug, PartialEq)]
pub struct Track {
    /// Its name ("siding").
    pub name: String,
    /// Centre line, east and north, at the level of the rails (z = 0).
    pub points_m: Vec<DVec2>,
    /// Distance between the rails' inner faces.
    pub gauge_m: f64,
    /// How far the ground lies below the top of rail.
    pub ground_below_rail_m: f64,
}

/// A place on a track's centre line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrackPoint {
    /// East and north.
    pub position_m: DVec2,
    /// From the first point towards the last, clockwise from north.
    pub bearing_deg: f64,
}

impl Track {
    /// Length along the centre line.
    pub fn length_m(&self) -> f64 {
        self.pieces().map(|(a, b)| a.distance(b)).sum()
    }

    /// The place at a distance from the first point. Before the first and beyond the last point the end
    /// pieces go on straight (coupled equipment may stand there).
    pub fn point_at(&self, chainage_m: f64) -> TrackPoint {
        let mut before_m = 0.0;
        let mut pieces = self.pieces().peekable();
        while let Some((a, b)) = pieces.next() {
            let length_m = a.distance(b);
            if chainage_m <= before_m + length_m || pieces.peek().is_none() {
                let along = (b - a) / length_m;
                return TrackPoint {
                    position_m: a + along * (chainage_m - before_m),
                    bearing_deg: bearing_deg(along.x, along.y),
                };
            }
            before_m += length_m;
        }
        // No piece: readers refuse such a track, and a point is still a point.
        TrackPoint {
            position_m: self.points_m.first().copied().unwrap_or(DVec2::ZERO),
            bearing_deg: 0.0,
        }
    }

    /// The chainage of the centre line's nearest place to a point, and the distance to it; beyond either end the line
    /// goes on straight.
    pub fn nearest(&self, point: DVec2) -> (f64, f64) {
        let (count, mut before_m) = (self.pieces().count(), 0.0);
        let mut nearest = (0.0, f64::INFINITY);
        for (i, (a, b)) in self.pieces().enumerate() {
            let (length_m, along) = (a.distance(b), (b - a).normalize());
            let least_m = if i == 0 { f64::NEG_INFINITY } else { 0.0 };
            let most_m = if i + 1 == count {
                f64::INFINITY
            } else {
                length_m
            };
            let at_m = (point - a).dot(along).clamp(least_m, most_m);
            let distance_m = point.distance(a + along * at_m);
            if distance_m < nearest.1 {
                nearest = (before_m + at_m, distance_m);
            }
            before_m += length_m;
        }
        nearest
    }

    /// From a point to the field side of this track's nearest rail; 0 between the rails.
    pub fn distance_to_rail_m(&self, point: DVec2) -> f64 {
        let to_centre_m = self
            .pieces()
            .map(|(a, b)| distance_to_piece(point, a, b))
            .fold(f64::INFINITY, f64::min);
        (to_centre_m - self.gauge_m / 2.0 - RAIL_HEAD_M).max(0.0)
    }

    /// The straight pieces, those without length left out.
    fn pieces(&self) -> impl Iterator<Item = (DVec2, DVec2)> + '_ {
        self.points_m
            .windows(2)
            .map(|pair| (pair[0], pair[1]))
            .filter(|(a, b)| a.distance(*b) > 1e-9)
    }
}

/// The nearest track and the distance to its nearest rail.
pub fn nearest_rail(tracks: &[Track], point: DVec2) -> Option<(&Track, f64)> {
    tracks
        .iter()
        .map(|track| (track, track.distance_to_rail_m(point)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
}

/// From a point to a straight piece between two points.
pub(super) fn distance_to_piece(point: DVec2, a: DVec2, b: DVec2) -> f64 {
    let along = b - a;
    let t = ((point - a).dot(along) / along.length_squared()).clamp(0.0, 1.0);
    point.distance(a + along * t)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bent() -> Track {
        Track {
            name: "lead".into(),
            points_m: vec![DVec2::ZERO, DVec2::new(0.0, 100.0), DVec2::new(50.0, 100.0)],
            gauge_m: 1.435,
            ground_below_rail_m: 0.5,
        }
    }

    #[test]
    fn chainage_runs_round_the_bend_and_on_beyond_the_ends() {
        let track = bent();
        assert_eq!(track.length_m(), 150.0);
        let beyond = track.point_at(160.0);
        assert_eq!(beyond.position_m, DVec2::new(60.0, 100.0));
        assert_eq!(beyond.bearing_deg, 90.0);
        assert_eq!(track.point_at(40.0).position_m, DVec2::new(0.0, 40.0));
        assert_eq!(track.point_at(-5.0).position_m, DVec2::new(0.0, -5.0));
        assert_eq!(track.point_at(40.0).bearing_deg, 0.0);
    }

    #[test]
    fn the_nearest_place_of_a_point_on_the_line_is_that_place() {
        let track = bent();
        for chainage_m in [-5.0, 0.0, 40.0, 100.0, 130.0, 160.0] {
            let (found_m, aside_m) = track.nearest(track.point_at(chainage_m).position_m);
            assert!((found_m - chainage_m).abs() < 1e-9 && aside_m < 1e-9);
        }
        assert_eq!(track.nearest(DVec2::new(-3.0, 40.0)), (40.0, 3.0));
    }

    #[test]
    fn the_distance_is_to_the_nearest_rail() {
        let tracks = [bent()];
        let (_, distance_m) = nearest_rail(&tracks, DVec2::new(-10.0, 50.0)).unwrap();
        assert!((distance_m - (10.0 - 0.7175 - 0.075)).abs() < 1e-12);
        let (_, between) = nearest_rail(&tracks, DVec2::new(0.3, 50.0)).unwrap();
        assert_eq!(between, 0.0);
    }
}
