//! A judged photograph as data. May not enter: words.

use crate::grade::{Grade, Verdict};
use crate::judge::exif::Told;
use crate::judge::outline::Tones;
use crate::judge::photo::Photo;
use crate::judge::shot::Shot;
use crate::judge::take::Take;
use crate::judge::unposed::Unposed;
use crate::judge::whence::Whence;
use serde_json::{Value, json};

fn told_data<T>(told: &Told<T>, show: impl Fn(&T) -> Value) -> Value {
    json!({
        "value": told.value.as_ref().map(show),
        "origin": told.origin,
        "doubt": told.doubt,
    })
}

fn shot_data(photo: &Photo, shot: &Shot, whence: Option<&Whence>) -> Value {
    json!({
        "at": told_data(&shot.at, |at| json!(at.to_rfc3339())),
        "film_mm": told_data(&shot.film, |film| json!([film.width_mm, film.height_mm])),
        "focal_mm": told_data(&shot.focal_mm, |mm| json!(mm)),
        "f_number": told_data(&shot.f_number, |n| json!(n)),
        "exposure_s": told_data(&shot.exposure_s, |s| json!(s)),
        "film_speed_iso": told_data(&shot.film_speed_iso, |iso| json!(iso)),
        "equivalent_mm": told_data(&photo.said.equivalent_mm, |mm| json!(mm)),
        "offset_min": told_data(&photo.said.offset_min, |minutes| json!(minutes)),
        "orientation": told_data(&photo.said.orientation, |way| json!(way)),
        "position_deg": told_data(&photo.said.position_deg, |at| json!(at)),
        "broken": photo.said.broken,
        "flaw": photo.flaw,
        "position_error_m": told_data(&photo.said.position_error_m, |m| json!(m)),
        "receiver_utc": told_data(&photo.said.universal, |at| json!(at.to_string())),
        "position_off": whence.map(|whence| json!({
            "distance_m": whence.distance_m,
            "bearing_deg": whence.bearing_deg,
            "stated_m": whence.stated_m,
            "contradictory": whence.is_contradictory,
        })),
    })
}

fn tones_data(tones: Option<&Tones>) -> Value {
    json!(tones.map(|tones| json!({
        "clipped": tones.clipped,
        "blocked": tones.blocked,
        "mean": tones.mean,
    })))
}

/// What is known of a photograph without marks, as data.
pub fn data_unposed(photo: &Photo, known: &Unposed, why: &str) -> Value {
    json!({
        "photo": photo.name,
        "shot": shot_data(photo, &known.shot, known.whence.as_ref()),
        "whole_tones": tones_data(known.tones.as_ref()),
        "why": why,
    })
}

/// The same as data.
pub fn data(photo: &Photo, take: &Take) -> Value {
    let Take { fit, stand, .. } = take;
    let sigmas = fit.sigmas();
    let bend = fit.corner_percent(&take.shot.plate);
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
        "shot": shot_data(photo, &take.shot, take.whence.as_ref()),
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
            "radial": sigmas.radial,
            "axis_px": sigmas.middle_px.to_array(),
        },
        "axis_px": fit.middle_px.to_array(),
        "cut": take.shot.why_beside(fit),
        "radial": fit.radial,
        "corner_percent": bend.map(|bend| bend[0]),
        "corner_percent_sigma": bend.map(|bend| bend[1]),
        "rms_px": fit.rms_px,
        "marks": marks.collect::<Vec<_>>(),
        "tones": tones_data(take.tones.as_ref()),
        "doubts": doubts.collect::<Vec<_>>(),
        "verdicts": take.verdicts.map(Verdict::word),
        "light_known": take.knows_light(),
        "unknown": take.sheet.unknown().count(),
        "sheet": take.sheet,
    })
}
