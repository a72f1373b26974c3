//! How a photograph was shot, as lines: each value with its origin, the lens, the receiver, the levels. May not enter:
//! grades.

use crate::grade::{Stand, Studio};
use crate::judge::exif::Told;
use crate::judge::outline::Tones;
use crate::judge::photo::Photo;
use crate::judge::pose::{Fit, Plate};
use crate::judge::shot::{Shot, alike, shutter};
use crate::judge::take::Take;
use crate::judge::whence::Whence;
use crate::units::compass_word;
use std::collections::BTreeSet;
use std::fmt::Write;

/// One value of a photograph with its origin, as a line.
pub(super) fn told<T>(out: &mut String, what: &str, told: &Told<T>, show: impl Fn(&T) -> String) {
    let doubt = told
        .doubt
        .as_ref()
        .map_or(String::new(), |why| format!("; but {why}"));
    let _ = match &told.value {
        Some(value) => writeln!(out, "  {what}: {} ({}{doubt})", show(value), told.origin),
        None => writeln!(out, "  {what}: unknown ({}{doubt})", told.origin),
    };
}

/// How it was shot, each value with its origin.
pub(super) fn shot_text(out: &mut String, studio: &Studio, photo: &Photo, shot: &Shot) {
    let place = &studio.scene.place;
    let _ = writeln!(out, "{} · {}", photo.name, studio.scene.name);
    if let Some(flaw) = &photo.flaw {
        let _ = writeln!(out, "  {flaw}");
    }
    told(out, "taken", &shot.at, |at| {
        place.zone.local(*at).to_string()
    });
    if let Some(at) = shot.at.value {
        let sun = studio.moment(at).sun;
        let sky = studio.scene.sky.word();
        let _ = match sun.elevation_deg > 0.0 {
            true => writeln!(
                out,
                "  sun: {} ({:.0}°), {:.1}° high; whether it shone no file tells: the scene's sky is {sky}",
                compass_word(sun.azimuth_deg),
                sun.azimuth_deg,
                sun.elevation_deg
            ),
            false => writeln!(out, "  sun: below the horizon"),
        };
    }
    told(out, "zone offset", &photo.said.offset_min, |minutes| {
        let sign = if *minutes < 0 { '−' } else { '+' };
        format!("{sign}{:02}:{:02}", minutes.abs() / 60, minutes.abs() % 60)
    });
    told(out, "orientation", &photo.said.orientation, |way| {
        turned(*way).to_string()
    });
    told(out, "sensor", &shot.film, |film| {
        format!("{:.1} × {:.1} mm", film.width_mm, film.height_mm)
    });
    told(out, "focal length", &shot.focal_mm, |mm| {
        format!("{mm:.1} mm")
    });
    let mut equivalent = photo.said.equivalent_mm.clone();
    if let (None, Some(mm), Some(film)) = (equivalent.value, shot.focal_mm.value, shot.film.value) {
        equivalent.value = Some(mm * film.crop_factor());
        equivalent.origin = "by focal length and sensor".to_string();
    }
    told(out, "as on 24 × 36 mm", &equivalent, |mm| {
        format!("{mm:.0} mm")
    });
    told(out, "f-number", &shot.f_number, |n| format!("f/{n}"));
    told(out, "shutter", &shot.exposure_s, |s| shutter(*s));
    told(out, "speed", &shot.film_speed_iso, |iso| {
        format!("ISO {iso:.0}")
    });
}

/// How a picture was turned for looking at it (CIPA DC-008, Orientation).
pub(super) fn turned(way: u8) -> &'static str {
    match way {
        1 => "as it lies in the file",
        2 => "mirrored",
        3 => "turned upside down",
        4 => "mirrored and turned upside down",
        5 => "mirrored and turned a quarter to the left",
        6 => "turned a quarter to the right",
        7 => "mirrored and turned a quarter to the right",
        _ => "turned a quarter to the left",
    }
}

/// How far a receiver's position lies from a place, and what that means.
pub fn position_off(whence: &Whence, from: &str) -> String {
    off(
        whence,
        from,
        "the position, the scene's or the marks are wrong",
    )
}

pub(super) fn off(whence: &Whence, from: &str, wrong: &str) -> String {
    let stated = match whence.stated_m {
        Some(stated_m) => format!("the receiver states {stated_m:.0} m"),
        None => "the receiver states no accuracy".to_string(),
    };
    let judged = match whence.is_contradictory {
        true => format!("beyond doubt another place: {wrong}"),
        false => "no contradiction".to_string(),
    };
    format!(
        "{} {} of {from} ({stated}): {judged}",
        metres(whence.distance_m),
        compass_word(whence.bearing_deg)
    )
}

/// What the receiver says of place and time.
pub(super) fn receiver_text(
    out: &mut String,
    photo: &Photo,
    whence: Option<&Whence>,
    marked: bool,
) {
    let said = &photo.said;
    told(out, "position", &said.position_deg, position_words);
    if let Some(whence) = whence {
        let off = match marked {
            true => position_off(whence, "the stand"),
            false => off(
                whence,
                "the machine",
                "the position or the scene's is wrong",
            ),
        };
        let _ = writeln!(out, "    {off}");
    }
    if said.universal.value.is_some() {
        told(out, "receiver's clock", &said.universal, |at| {
            format!("{at} UTC")
        });
    }
    for told in unread_tags(&said.broken) {
        let _ = writeln!(out, "  {told}");
    }
}

/// Where the lens looked in a picture that was cut, and what that doubt does; none where that is the middle.
pub fn beside(fit: &Fit, shot: &Shot) -> Option<String> {
    let why = shot.why_beside(fit)?;
    let sigma_px = fit.sigmas().middle_px;
    let off = |px: f64, sigma_px: f64, minus: &str, plus: &str| {
        let way = if px < 0.0 { minus } else { plus };
        format!("{:.0} px ± {sigma_px:.0} px {way}", px.abs())
    };
    Some(format!(
        "{why}. Nobody knows how much on which side, so its middle is left open: by the marks the lens looked {} and {} its \
         middle. Stand, heading, pitch and lean are in doubt by that, as told",
        off(fit.middle_px.x, sigma_px.x, "left", "right"),
        off(fit.middle_px.y, sigma_px.y, "above", "below"),
    ))
}

/// Degrees north and east in words.
pub fn position_words([lat, lon]: &[f64; 2]) -> String {
    let [north, east] = [(lat, "N", "S"), (lon, "E", "W")].map(|(degrees, plus, minus)| {
        let letter = if *degrees < 0.0 { minus } else { plus };
        format!("{:.5}° {letter}", degrees.abs())
    });
    format!("{north}, {east}")
}

/// Which parts of the tags cannot be read, each once.
pub fn unread_tags(broken: &[String]) -> Vec<String> {
    let parts: BTreeSet<&String> = broken.iter().collect();
    let told = |part| format!("tags: a part cannot be read ({part}); what else they say was read");
    parts.into_iter().map(told).collect()
}

/// How much the lens bends lines, where it does.
pub fn bend(fit: &Fit, plate: &Plate) -> Option<String> {
    let [percent, sigma] = fit.corner_percent(plate)?;
    let (form, way) = match percent < 0.0 {
        true => ("barrel", "in"),
        false => ("pincushion", "out"),
    };
    let percent = percent.abs();
    let off_px = percent / 100.0 * plate.width_px.hypot(plate.height_px) / 2.0;
    Some(format!(
        "the lens bends lines ({form}): the corners lie {percent:.1} % ± {sigma:.1} % farther {way} ({off_px:.0} px)"
    ))
}

/// Shutter, f-number and speed, as far as they are known.
pub fn settings(shot: &Shot) -> String {
    let set = [
        shot.exposure_s.value.map(shutter),
        shot.f_number.value.map(|n| format!("f/{n}")),
        shot.film_speed_iso.value.map(|iso| format!("ISO {iso:.0}")),
    ];
    let set: Vec<String> = set.into_iter().flatten().collect();
    set.join(", ")
}

/// What was made of the lens: on what film its length is told, how tags and marks agree, how much it bends lines.
pub(super) fn lens_text(out: &mut String, studio: &Studio, take: &Take) {
    let (fit, shot) = (&take.fit, &take.shot);
    let film = shot.plate.film;
    if shot.film.value.is_none() {
        let kit = studio.scene.kit.film;
        let [own, whole] = [film, kit].map(|film| film.width_mm.max(film.height_mm));
        let whose = match shot.is_by_equivalent {
            true => {
                "a film of this shape with the diagonal of 24 × 36 mm, as the tags tell the lens"
            }
            false if alike(own, whole) && alike(film.diagonal_mm(), kit.diagonal_mm()) => {
                "which the scene's kit has"
            }
            false => "what the picture's shape leaves of the scene's kit's",
        };
        let _ = writeln!(
            out,
            "  the sensor's size is not known: millimetres of the lens are told as on {:.1} × {:.1} mm, {whose}",
            film.width_mm, film.height_mm
        );
    }
    if let Some(told_mm) = shot
        .focal_mm
        .value
        .filter(|_| shot.focal_share > 0.0 && !shot.leaves_focal_out(fit))
    {
        let _ = writeln!(
            out,
            "  the lens is told as {told_mm:.1} mm, which lenses keep to {:.1} %; with the marks it comes to {:.1} mm ± {:.1} mm",
            100.0 * shot.focal_share,
            fit.focal_mm,
            fit.sigmas().focal_mm
        );
    }
    if let Some(told) = beside(fit, shot) {
        let _ = writeln!(out, "  {told}");
    }
    if let Some(bend) = bend(fit, &shot.plate) {
        let _ = writeln!(
            out,
            "  {bend}; margins and lean are of the bent picture; --no-bend leaves it out"
        );
    }
}

/// A stand's spot in words: no minus sign is misread that is not there.
pub(super) fn spot(at: &Stand, decimals: usize) -> String {
    let [x, y] = at.spot_m.to_array();
    let across = if x < 0.0 { "west" } else { "east" };
    let along = if y < 0.0 { "south" } else { "north" };
    format!(
        "{:.decimals$} m {across}, {:.decimals$} m {along}",
        x.abs(),
        y.abs()
    )
}

pub(super) fn metres(distance_m: f64) -> String {
    match distance_m {
        far if far >= 10_000.0 => format!("{:.0} km", far / 1000.0),
        near => format!("{near:.0} m"),
    }
}

pub(super) fn tones_text(out: &mut String, tones: &Tones, place: &str) {
    let _ = writeln!(
        out,
        "  {place} {:.1} % clipped to white, {:.1} % blocked to black, mean level {:.0} %",
        100.0 * tones.clipped,
        100.0 * tones.blocked,
        100.0 * tones.mean
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_told_by_letters_and_each_broken_part_of_the_tags_once() {
        assert_eq!(
            position_words(&[-33.5, 151.25]),
            "33.50000° S, 151.25000° E"
        );
        let told = unread_tags(&["next", "other", "next"].map(str::to_string));
        assert_eq!(told.len(), 2, "{told:?}");
        assert!(told[0].starts_with("tags: a part cannot be read (next)"));
    }
}
