//! What a photographer may carry and do, in numbers: the same for a scene file and for the command line.
//! May not enter: what is good.

use crate::units::parse_number;
use std::ops::RangeInclusive;

/// From a fisheye to the longest that anybody carries to a track.
pub const LENSES_MM: RangeInclusive<f64> = 5.0..=2000.0;
/// From a camera on the ground to one on a tall stepladder, over the ground stood on.
pub const HEIGHTS_M: RangeInclusive<f64> = 0.1..=6.0;
/// Metres between the spots of a search: closer than a shoe is no other spot, farther apart than a machine is long no
/// search.
pub const SPACINGS_M: RangeInclusive<f64> = 0.2..=20.0;
/// f-numbers of lenses that were made.
pub const F_NUMBERS: RangeInclusive<f64> = 0.7..=64.0;
/// Exposure times, seconds.
pub const EXPOSURES_S: RangeInclusive<f64> = 1.0 / 64_000.0..=3600.0;
/// Sides of a frame on film, from a fingernail's to the largest sheet's, millimetres.
pub const FILM_SIDES_MM: RangeInclusive<f64> = 4.0..=300.0;
/// The widest panoramic frames are about four times as long as high (common practice, from memory).
pub const MOST_SLENDER: f64 = 5.0;
/// ISO film speeds.
pub const FILM_SPEEDS_ISO: RangeInclusive<f64> = 1.0..=409_600.0;
/// True bearings, degrees.
pub const HEADINGS_DEG: RangeInclusive<f64> = 0.0..=360.0;
/// Pitch; straight up or down there is no level.
pub const PITCHES_DEG: RangeInclusive<f64> = -89.0..=89.0;
/// Roll: from one upright format to the other.
pub const ROLLS_DEG: RangeInclusive<f64> = -90.0..=90.0;
/// How far from its place a site reaches, metres.
pub const REACH_M: f64 = 5000.0;

/// Seconds as somebody types them, or a share of one as shutters are engraved; none where that is no exposure time.
pub fn parse_exposure_s(text: &str) -> Option<f64> {
    let seconds = match text.split_once('/') {
        Some((over, under)) => parse_number(over, "")? / parse_number(under, "s")?,
        None => parse_number(text, "s")?,
    };
    EXPOSURES_S.contains(&seconds).then_some(seconds)
}
