//! The lines along a machine's side that a sidecar states: the handrail's, and the band of the hood doors
//! that its shadow falls on. May not enter: the mesh, suns.

use super::model::{Handrail, HoodDoors};
use crate::document::Table;
use std::ops::RangeInclusive;

/// How far from the track's centre, or over the rail, any part of a machine reaches, metres.
pub const REACHES_M: RangeInclusive<f64> = 0.01..=10.0;

/// Handrail and doors. Within each answer none is what the file does not state; what is stated but wrong has
/// been told, and gives no answer.
pub fn read(root: &Table<'_>) -> (Option<Option<Handrail>>, Option<Option<HoodDoors>>) {
    let rail_table = root.table("handrail").optional();
    let door_table = root.table("doors").optional();
    let handrail = rail_table.as_ref().map(read_handrail);
    let doors = door_table.as_ref().map(read_doors);
    if let (Some(table), Some(Some(rail)), Some(Some(doors))) = (&rail_table, handrail, doors)
        && rail.offset_m <= doors.offset_m
    {
        // Its shadow would fall away from the doors: every height read off it would be wrong.
        table.fault(
            "offset_m",
            "the handrail lies no farther out than the doors behind it",
            format!("above {}, the doors' offset_m", doors.offset_m),
        );
    }
    (
        handrail.map_or(Some(None), |read| read.map(Some)),
        doors.map_or(Some(None), |read| read.map(Some)),
    )
}

fn read_handrail(table: &Table<'_>) -> Option<Handrail> {
    let height = table.number("height_m").range(REACHES_M).required();
    let offset = table.number("offset_m").range(REACHES_M).required();
    let (from, to) = read_extent(table);
    Some(Handrail {
        height_m: height?,
        offset_m: offset?,
        from_x_m: from?,
        to_x_m: to?,
    })
}

fn read_doors(table: &Table<'_>) -> Option<HoodDoors> {
    let bottom = table.number("bottom_m").range(REACHES_M).required();
    let top = table.number("top_m").range(REACHES_M).required();
    if let (Some(bottom), Some(top)) = (bottom, top)
        && top <= bottom
    {
        table.fault(
            "top_m",
            "the doors end below their beginning",
            format!("above {bottom}"),
        );
    }
    let offset = table.number("offset_m").range(REACHES_M).required();
    let (from, to) = read_extent(table);
    Some(HoodDoors {
        bottom_m: bottom?,
        top_m: top?,
        offset_m: offset?,
        from_x_m: from?,
        to_x_m: to?,
    })
}

fn read_extent(table: &Table<'_>) -> (Option<f64>, Option<f64>) {
    let from = table.number("from_x_m").range(-60.0..=60.0).required();
    let to = table.number("to_x_m").range(-60.0..=60.0).required();
    if let (Some(from), Some(to)) = (from, to)
        && to <= from
    {
        table.fault("to_x_m", "ends before it begins", format!("above {from}"));
    }
    (from, to)
}
