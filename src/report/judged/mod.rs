//! A judged photograph as text, and many in a table. May not enter: fitting, grading.

mod contact;
mod data;

pub use contact::{contact_sheet, mount, mount_unposed, overlay};
pub use data::{data, data_unposed};

use super::{sheet, stand};
use crate::grade::{Sheet, Stand, Studio};
use crate::judge::exif::Told;
use crate::judge::outline::Tones;
use crate::judge::photo::Photo;
use crate::judge::shot::{Shot, shutter};
use crate::judge::take::{Doubt, Take};
use crate::judge::unposed::Unposed;
use crate::judge::whence::Whence;
use crate::units::{compass_word, feet};
use std::fmt::{Display, Write};

/// One value of a photograph with its origin, as a line.
fn told<T>(out: &mut String, what: &str, told: &Told<T>, show: impl Fn(&T) -> String) {
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
fn shot_text(out: &mut String, studio: &Studio, photo: &Photo, shot: &Shot) {
    let place = &studio.scene.place;
    let _ = writeln!(out, "{} · {}", photo.name, studio.scene.name);
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
    told(out, "sensor", &shot.film, |film| {
        format!("{:.1} × {:.1} mm", film.width_mm, film.height_mm)
    });
    told(out, "focal length", &shot.focal_mm, |mm| {
        format!("{mm:.1} mm")
    });
    told(out, "f-number", &shot.f_number, |n| format!("f/{n}"));
    told(out, "shutter", &shot.exposure_s, |s| shutter(*s));
    told(out, "speed", &shot.film_speed_iso, |iso| {
        format!("ISO {iso:.0}")
    });
}

/// What the receiver says of place and time.
/// How far a receiver's position lies from a place, and what that means.
pub fn position_off(whence: &Whence, from: &str) -> String {
    let stated = match whence.stated_m {
        Some(stated_m) => format!("the receiver states {stated_m:.0} m"),
        None => "the receiver states no accuracy".to_string(),
    };
    let judged = match whence.is_contradictory {
        true => "beyond doubt another place: the position, the scene's or the marks are wrong",
        false => "no contradiction",
    };
    format!(
        "{} {} of {from} ({stated}): {judged}",
        metres(whence.distance_m),
        compass_word(whence.bearing_deg)
    )
}

fn receiver_text(out: &mut String, photo: &Photo, whence: Option<&Whence>, from: &str) {
    let said = &photo.said;
    told(out, "position", &said.position_deg, |[lat, lon]| {
        let [north, east] = [(lat, "N", "S"), (lon, "E", "W")].map(|(degrees, plus, minus)| {
            let letter = if *degrees < 0.0 { minus } else { plus };
            format!("{:.5}° {letter}", degrees.abs())
        });
        format!("{north}, {east}")
    });
    if let Some(whence) = whence {
        let _ = writeln!(out, "    {}", position_off(whence, from));
    }
    if said.universal.value.is_some() {
        told(out, "receiver's clock", &said.universal, |at| {
            format!("{at} UTC")
        });
    }
    let mut told_once: Vec<&String> = said.broken.iter().collect();
    told_once.dedup();
    for broken in told_once {
        let _ = writeln!(out, "  tags: {broken} (what else they say was read)");
    }
}

/// A stand's spot in words: no minus sign is misread that is not there.
fn spot(at: &Stand, decimals: usize) -> String {
    let [x, y] = at.spot_m.to_array();
    let across = if x < 0.0 { "west" } else { "east" };
    let along = if y < 0.0 { "south" } else { "north" };
    format!(
        "{:.decimals$} m {across}, {:.decimals$} m {along}",
        x.abs(),
        y.abs()
    )
}

fn metres(distance_m: f64) -> String {
    match distance_m {
        far if far >= 10_000.0 => format!("{:.0} km", far / 1000.0),
        near => format!("{near:.0} m"),
    }
}

fn tones_text(out: &mut String, tones: &Tones, place: &str) {
    let _ = writeln!(
        out,
        "  {place} {:.1} % clipped to white, {:.1} % blocked to black, mean level {:.0} %",
        100.0 * tones.clipped,
        100.0 * tones.blocked,
        100.0 * tones.mean
    );
}

/// All that is known of a photograph and what the rules say of it.
pub fn text(studio: &Studio, photo: &Photo, take: &Take) -> String {
    let fit = &take.fit;
    let mut out = String::new();
    shot_text(&mut out, studio, photo, &take.shot);
    receiver_text(&mut out, photo, take.whence.as_ref(), "the stand");
    let at = &take.stand;
    let sigmas = fit.sigmas();
    let _ = writeln!(
        out,
        "Camera {}, {:.2} m over the ground, {:.2} m over the rail (± {:.2} m)\n  heading \
         {:.2}° ± {:.2}°, pitch {:.2}° ± {:.2}°, roll {:.2}° ± {:.2}°, {:.1} mm ± {:.1} mm",
        spot(at, 2),
        at.height_m,
        studio.eye(at).z,
        sigmas.eye_m.max_element(),
        at.heading_deg,
        sigmas.heading_deg,
        at.pitch_deg,
        sigmas.pitch_deg,
        at.roll_deg,
        sigmas.roll_deg,
        at.lens_mm,
        sigmas.focal_mm,
    );
    let away_m = fit.pose.eye.truncate().length();
    let _ = writeln!(
        out,
        "  {away_m:.1} m ({:.0} ft) from the machine's centre",
        feet(away_m)
    );
    if fit.radial != 0.0 {
        let _ = writeln!(
            out,
            "  the lens bends lines: radial term {:+.4} ± {:.4}; margins and lean are of the bent picture",
            fit.radial, sigmas.radial
        );
    }
    let kept = fit.residuals.len() - fit.mismarked().count();
    let _ = writeln!(
        out,
        "  {kept} marks, {:.2} px off (root mean square)",
        fit.rms_px
    );
    for one in fit.mismarked() {
        let _ = writeln!(
            out,
            "  Mismarked: \"{}\" lies {:.1} px off, {:.0} times what marks err by; it was left out",
            one.name,
            one.off_px.length(),
            one.times_sigma
        );
    }
    if let Some(tones) = &take.tones {
        tones_text(&mut out, tones, "on the machine");
    }
    let refusal = stand::refusal_line(studio, at);
    if !refusal.is_empty() {
        let _ = write!(out, "  {refusal}");
    }
    out += &sheet::text(&take.sheet);
    for doubt in take.doubts.iter().filter(|doubt| doubt.is_open()) {
        let _ = writeln!(out, "  ±    open     {}", open(doubt));
    }
    out
}

/// What is open about a measure: its value with its doubt, and both grades.
pub fn open(doubt: &Doubt) -> String {
    let unit = doubt.measure.unit().suffix();
    let decimals = doubt.measure.decimals() + 1;
    format!(
        "{}: {:.decimals$}{unit} ± {:.decimals$}{unit}, {} or {}",
        doubt.measure.title(),
        doubt.value,
        doubt.sigma,
        doubt.grades[0].word(),
        doubt.grades[1].word()
    )
}

/// What is known of a photograph without marks, and why no more.
pub fn text_unposed(studio: &Studio, photo: &Photo, known: &Unposed, why: &str) -> String {
    let mut out = String::new();
    shot_text(&mut out, studio, photo, &known.shot);
    receiver_text(&mut out, photo, known.whence.as_ref(), "the machine");
    if let Some(tones) = &known.tones {
        tones_text(&mut out, tones, "in the whole picture");
    }
    let _ = writeln!(out, "Not judged: {why}");
    out
}

/// What a table tells of one photograph.
pub struct Listed {
    /// Its file's name.
    pub name: String,
    /// Its grades; none where it was not judged, with the reason.
    pub sheet: Result<Sheet, String>,
}

/// What is worst in a frame.
fn worst(sheet: &Sheet) -> &str {
    let worst = sheet.findings.first();
    worst.map_or("nothing to say against it", |finding| finding.what())
}

/// Many photographs in the order given, and what became of the others.
pub fn table<'a, E: Display>(all: impl Iterator<Item = &'a Listed>, unread: &[E]) -> String {
    let mut out = String::from("Best first:\n");
    for (rank, one) in all.enumerate() {
        let _ = match &one.sheet {
            Ok(sheet) => writeln!(
                out,
                "{:>3}  {:<6} {:>5.1}  {}  {}",
                rank + 1,
                sheet.verdict.word(),
                sheet.score,
                one.name,
                worst(sheet)
            ),
            Err(why) => writeln!(out, "  –  not judged    {}  {why}", one.name),
        };
    }
    for why in unread {
        let _ = writeln!(out, "  –  skipped       {why}");
    }
    out
}
