//! A judged photograph as text, as data and as a picture, and many in a table. May not enter: fitting, grading.

use super::sheet;
use crate::grade::{Grade, Studio};
use crate::judge::exif::Told;
use crate::judge::outline::Outline;
use crate::judge::photo::Photo;
use crate::judge::take::{Doubt, Take};
use image::RgbImage;
use image::imageops::{FilterType, resize};
use serde_json::{Value, json};
use std::fmt::{Display, Write};

/// Widest overlay, pixels.
const OVERLAY_PX: u32 = 2400;

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

/// All that is known of a photograph and what the rules say of it.
pub fn text(studio: &Studio, photo: &Photo, take: &Take) -> String {
    let Take {
        shot, fit, stand, ..
    } = take;
    let zone = &studio.scene.place.zone;
    let mut out = format!("{} · {}\n", photo.name, studio.scene.name);
    told(&mut out, "taken", &shot.at, |at| {
        zone.local(*at).to_string()
    });
    told(&mut out, "sensor", &shot.film, |film| {
        format!("{:.1} x {:.1} mm", film.width_mm, film.height_mm)
    });
    told(&mut out, "focal length", &shot.focal_mm, |mm| {
        format!("{mm:.1} mm")
    });
    told(&mut out, "f-number", &photo.said.f_number, |n| {
        format!("f/{n}")
    });
    told(&mut out, "shutter", &photo.said.exposure_s, |s| {
        format!("{s:.5} s")
    });
    told(&mut out, "speed", &photo.said.iso, |iso| {
        format!("ISO {iso:.0}")
    });
    told(
        &mut out,
        "position",
        &photo.said.position_deg,
        |[lat, lon]| format!("{lat:.5}°, {lon:.5}°"),
    );
    for broken in &photo.said.broken {
        let _ = writeln!(out, "  broken tags: {broken}");
    }
    let sigmas = fit.sigmas();
    let _ = writeln!(
        out,
        "Camera {:.2} m east, {:.2} m north, {:.2} m over the ground (± {:.2} m)\n  heading {:.2}° ± {:.2}°, pitch \
         {:.2}° ± {:.2}°, roll {:.2}° ± {:.2}°, {:.1} mm ± {:.1} mm",
        stand.spot_m.x,
        stand.spot_m.y,
        stand.height_m,
        sigmas.eye_m.max_element(),
        stand.heading_deg,
        sigmas.heading_deg,
        stand.pitch_deg,
        sigmas.pitch_deg,
        stand.roll_deg,
        sigmas.roll_deg,
        stand.lens_mm,
        sigmas.focal_mm,
    );
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
        let _ = writeln!(
            out,
            "  on the machine {:.1} % clipped to white, {:.1} % blocked to black, mean level {:.0} %",
            100.0 * tones.clipped,
            100.0 * tones.blocked,
            100.0 * tones.mean
        );
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

fn told_data<T>(told: &Told<T>, show: impl Fn(&T) -> Value) -> Value {
    json!({
        "value": told.value.as_ref().map(show),
        "origin": told.origin,
        "doubt": told.doubt,
    })
}

/// The same as data.
pub fn data(photo: &Photo, take: &Take) -> Value {
    let Take {
        shot, fit, stand, ..
    } = take;
    let sigmas = fit.sigmas();
    let marks = fit.residuals.iter().map(|one| {
        json!({
            "point": one.name,
            "off_px": one.off_px.to_array(),
            "times_sigma": one.times_sigma,
            "mismarked": one.mismarked,
        })
    });
    let doubts = take.doubts.iter().map(|doubt| {
        json!({
            "measure": doubt.measure.key(),
            "value": doubt.value,
            "sigma": doubt.sigma,
            "grades": doubt.grades.map(Grade::word),
        })
    });
    json!({
        "photo": photo.name,
        "at": told_data(&shot.at, |at| json!(at.to_rfc3339())),
        "film_mm": told_data(&shot.film, |film| json!([film.width_mm, film.height_mm])),
        "focal_mm": told_data(&shot.focal_mm, |mm| json!(mm)),
        "f_number": told_data(&photo.said.f_number, |n| json!(n)),
        "exposure_s": told_data(&photo.said.exposure_s, |s| json!(s)),
        "film_speed_iso": told_data(&photo.said.iso, |iso| json!(iso)),
        "position_deg": told_data(&photo.said.position_deg, |at| json!(at)),
        "broken": photo.said.broken,
        "stand": {
            "east_m": stand.spot_m.x,
            "north_m": stand.spot_m.y,
            "height_m": stand.height_m,
            "lens_mm": stand.lens_mm,
            "heading_deg": stand.heading_deg,
            "pitch_deg": stand.pitch_deg,
            "roll_deg": stand.roll_deg,
        },
        "sigma": {
            "eye_machine_m": sigmas.eye_m.to_array(),
            "heading_deg": sigmas.heading_deg,
            "pitch_deg": sigmas.pitch_deg,
            "roll_deg": sigmas.roll_deg,
            "focal_mm": sigmas.focal_mm,
        },
        "radial": fit.radial,
        "rms_px": fit.rms_px,
        "marks": marks.collect::<Vec<_>>(),
        "tones": take.tones.map(|tones| json!({
            "clipped": tones.clipped,
            "blocked": tones.blocked,
            "mean": tones.mean,
        })),
        "doubts": doubts.collect::<Vec<_>>(),
        "sheet": take.sheet,
    })
}

/// Many photographs, best first, and what became of the others.
pub fn table<E: Display>(takes: &[(Photo, Take)], unread: &[E]) -> String {
    let mut out = String::from("Best first:\n");
    for (rank, (photo, take)) in takes.iter().enumerate() {
        let worst = take.sheet.findings.first();
        let _ = writeln!(
            out,
            "{:>3}  {:<6} {:>5.1}  {}  {}",
            rank + 1,
            take.sheet.verdict.word(),
            take.sheet.score,
            photo.name,
            worst.map_or("nothing to say against it", |finding| finding.what())
        );
    }
    for why in unread {
        let _ = writeln!(out, "  –  skipped  {why}");
    }
    out
}

/// The photograph with the machine's outline over it: that it fits proves the pose.
pub fn overlay(studio: &Studio, photo: &Photo, take: &Take) -> RgbImage {
    let (width, height) = photo.pixels.dimensions();
    let across = width.min(OVERLAY_PX);
    let outline = Outline::of(
        &studio.scene.machine.model,
        &take.fit,
        &take.shot.plate,
        across,
    );
    let down = (f64::from(height) * f64::from(across) / f64::from(width))
        .round()
        .max(1.0) as u32;
    let mut picture = match across == width {
        true => photo.pixels.clone(),
        false => resize(&photo.pixels, across, down, FilterType::Triangle),
    };
    outline.draw_over(&mut picture);
    picture
}
