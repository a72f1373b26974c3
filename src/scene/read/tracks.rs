//! \[\[track]] of a scene file. May not enter: what stands on tracks.

use super::{keep_name, point};
use crate::document::Table;
use crate::scene::limits::REACH_M;
use crate::scene::track::Track;
use crate::units::rad;
use glam::DVec2;

/// Ballast shoulder and rail together: common practice, from memory.
pub const DEFAULT_GROUND_BELOW_RAIL_M: f64 = 0.5;

/// Standard gauge, 4 ft 8 1/2 in.
const STANDARD_GAUGE_M: f64 = 1.435;

/// Every track in file order; one that was refused is None, so that the others keep their numbers.
pub fn tracks(root: &Table<'_>) -> Vec<Option<Track>> {
    let tables = root.tables("track");
    if tables.is_empty() && !root.has("track") {
        root.fault("track", "missing key", "at least one [[track]]");
    }
    let mut names = Vec::new();
    let read = |table: &Table<'_>| {
        let name = table.text("name").required();
        if let Some(name) = &name {
            keep_name(table, &mut names, name);
        }
        let line = line(table);
        let gauge = table
            .number("gauge_m")
            .range(0.38..=2.2)
            .default(STANDARD_GAUGE_M);
        // Below zero the ground would bury the rails.
        let below = table.number("ground_below_rail_m").range(0.0..=6.0);
        let below_m = below.default(DEFAULT_GROUND_BELOW_RAIL_M);
        Some(Track {
            name: name?,
            points_m: line?,
            gauge_m: gauge,
            ground_below_rail_m: below_m,
        })
    };
    tables.iter().map(read).collect()
}

/// Either points, or a start, a bearing and a length.
fn line(table: &Table<'_>) -> Option<Vec<DVec2>> {
    if !table.has("points_m") {
        if !["start_m", "bearing_deg", "length_m"]
            .iter()
            .any(|key| table.has(key))
        {
            let allowed = "points_m, or start_m with bearing_deg and length_m";
            table.fault_here("a track without a line", allowed);
            return None;
        }
        let start = point(table, "start_m");
        let bearing = table.number("bearing_deg").range(0.0..=360.0).required();
        let length = table.number("length_m").range(1.0..=REACH_M).required();
        let bearing = rad(bearing?);
        let start = start?;
        let end = start + DVec2::new(bearing.sin(), bearing.cos()) * length?;
        return Some(vec![start, end]);
    }
    for key in ["start_m", "bearing_deg", "length_m"] {
        if table.has(key) {
            table.fault(key, "a second line for one track", "not beside points_m");
        }
    }
    super::line(table, "points_m")
}
