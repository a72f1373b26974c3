//! \[kit] and \[frame] of a scene file. May not enter: what the frame shows.

use super::point;
use crate::camera::film::Film;
use crate::document::Table;
use crate::scene::ground::Ground;
use crate::scene::limits::{
    F_NUMBERS, FILM_SIDES_MM, FILM_SPEEDS_ISO, HEADINGS_DEG, HEIGHTS_M, LENSES_MM, MOST_SLENDER,
    PITCHES_DEG, ROLLS_DEG,
};
use crate::scene::track::Track;
use crate::scene::{DefaultFrame, Kit};
use crate::sky::clock::Zone;

/// The kit; without a section, a normal lens on 24 x 36 at kneeling and standing height.
pub fn kit(root: &Table<'_>) -> Option<Kit> {
    let Some(table) = root.table("kit").optional() else {
        return Some(Kit {
            film: Film::FULL,
            lenses_mm: vec![50.0],
            heights_m: vec![1.2, 1.6],
            film_speed_iso: 100.0,
            f_number: 8.0,
        });
    };
    let film = table.tuple::<2>("film_mm").range(FILM_SIDES_MM);
    let [width_mm, height_mm] = film.default([Film::FULL.width_mm, Film::FULL.height_mm]);
    if width_mm.max(height_mm) > MOST_SLENDER * width_mm.min(height_mm) {
        let allowed = format!("one side at most {MOST_SLENDER} times as long as the other");
        table.fault("film_mm", "a strip of film, not a frame", allowed);
    }
    let lenses = table
        .numbers("lenses_mm")
        .items(1)
        .range(LENSES_MM)
        .required();
    let heights = table
        .numbers("heights_m")
        .items(1)
        .range(HEIGHTS_M)
        .required();
    let speed = table
        .number("film_speed_iso")
        .range(FILM_SPEEDS_ISO)
        .default(100.0);
    let f_number = table.number("f_number").range(F_NUMBERS).default(8.0);
    Some(Kit {
        film: Film {
            width_mm,
            height_mm,
        },
        lenses_mm: ascending(lenses?),
        heights_m: ascending(heights?),
        film_speed_iso: speed,
        f_number,
    })
}

/// The default frame. It must stand on allowed ground outside the stand-off: the program sends nobody
/// elsewhere, and without a piece of ground the camera's height means nothing.
pub fn frame(
    root: &Table<'_>,
    zone: Option<&Zone>,
    ground: Option<&Ground>,
    tracks: &[Option<Track>],
) -> Option<DefaultFrame> {
    let table = root.table("frame").required()?;
    let spot = point(&table, "spot_m");
    let lens = table.number("lens_mm").range(LENSES_MM).required();
    let height = table.number("height_m").range(HEIGHTS_M).required();
    let heading = table.number("heading_deg").range(HEADINGS_DEG).optional();
    let pitch = table.number("pitch_deg").range(PITCHES_DEG).default(0.0);
    let roll = table.number("roll_deg").range(ROLLS_DEG).default(0.0);
    let at = table.text("at").optional();
    let mut instant = None;
    if let (Some(text), Some(zone)) = (at, zone) {
        match zone.parse_instant(&text) {
            Ok(read) => instant = Some(read),
            Err(error) => {
                let allowed = "a local date and time such as \"2027-05-14 10:20\"";
                table.fault("at", error.to_string(), allowed);
            }
        }
    }
    let known: Option<Vec<Track>> = tracks.iter().cloned().collect();
    if let (Some(spot), Some(ground), Some(tracks)) = (spot, ground, known)
        && let Err(refusal) = ground.may_stand(&tracks, spot)
    {
        let allowed = "a spot within a [[ground.area]] and outside the stand-off of every track";
        table.fault("spot_m", refusal.to_string(), allowed);
    }
    Some(DefaultFrame {
        spot_m: spot?,
        lens_mm: lens?,
        height_m: height?,
        heading_deg: heading,
        pitch_deg: pitch,
        roll_deg: roll,
        at: instant,
    })
}

fn ascending(mut numbers: Vec<f64>) -> Vec<f64> {
    numbers.sort_by(f64::total_cmp);
    numbers.dedup();
    numbers
}
