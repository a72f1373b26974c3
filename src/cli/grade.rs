//! `sunside grade`: one frame, its sheet, its data, its picture. May not enter: formulas.

use super::args::GradeArgs;
use super::sheet_text;
use crate::document::write_whole;
use crate::grade::measure::capture::Capture;
use crate::grade::{Graded, Minute, Stand, Studio, Verdict};
use crate::picture::png;
use crate::picture::predicted::predicted;
use crate::scene::Scene;
use crate::sighting::cpu::Cpu;
use glam::DVec2;
use miette::miette;
use serde_json::json;

/// Grades the frame that the arguments describe; returns the exit status.
pub fn run(args: &GradeArgs, say: &mut dyn FnMut(&str)) -> Result<u8, miette::Report> {
    let scene = super::load_scene(&args.scene)?;
    let rulebook = super::load_rulebook(args.rules.as_deref())?;
    let at = match (&args.at, scene.frame.at) {
        (Some(text), _) => scene
            .place
            .zone
            .parse_instant(text)
            .map_err(|e| miette!("--at: {e}"))?,
        (None, Some(at)) => at,
        (None, None) => {
            return Err(miette!(
                "the scene names no time for its frame: give one with --at \"2027-05-14 10:20\""
            ));
        }
    };
    let cpu = Cpu::default();
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let stand = stand(args, &studio)?;
    let mut capture = studio.default_capture();
    if let Some(f_number) = args.f_number {
        capture.f_number = above_zero("--f-number", f_number)?;
    }
    capture.exposure_s = args.exposure;
    let minute = studio.minute(at);
    let graded = studio.grade(&stand, &capture, &minute);
    say(&text(&studio, &stand, &minute, &graded));
    if let Some(path) = &args.json {
        let data = data(&studio, &stand, &capture, &minute, &graded);
        super::write_json(path, &data, say)?;
    }
    if let Some(path) = &args.picture {
        let advised = graded.advice.as_ref();
        let seconds = capture
            .exposure_s
            .or(advised.map(|advice| advice.shutter.value));
        let f_number = match capture.exposure_s {
            Some(_) => Some(capture.f_number),
            None => advised.map(|advice| advice.aperture.value),
        };
        let width = args.picture_width as usize;
        let image = predicted(&studio, &stand, at, f_number.zip(seconds), width);
        let png = png::encode(&image, &studio.scene.name, &at.to_rfc3339());
        write_whole(path, &png).map_err(|e| miette!("{e}"))?;
    }
    Ok(u8::from(graded.sheet.verdict < Verdict::Fair))
}

/// The scene's stand with what the arguments change.
fn stand(args: &GradeArgs, studio: &Studio) -> Result<Stand, miette::Report> {
    let mut stand = studio.default_stand();
    if let Some([east, north]) = args.spot {
        stand.spot_m = DVec2::new(east, north);
    }
    if let Some(lens_mm) = args.lens {
        stand.lens_mm = above_zero("--lens", lens_mm)?;
    }
    if let Some(height_m) = args.height {
        stand.height_m = above_zero("--height", height_m)?;
    }
    stand.pitch_deg = args.pitch.unwrap_or(stand.pitch_deg);
    if stand.pitch_deg.abs() > 89.0 {
        return Err(miette!(
            "--pitch: {} found, −89 to 89 allowed",
            stand.pitch_deg
        ));
    }
    stand.roll_deg = args.roll.unwrap_or(stand.roll_deg);
    let changed = args.spot.is_some() || args.lens.is_some() || args.height.is_some();
    stand.heading_deg = match (args.heading, studio.scene.frame.heading_deg) {
        (Some(heading), _) => heading,
        (None, Some(heading)) if !changed => heading,
        _ => studio.balanced_heading_deg(&stand),
    };
    Ok(stand)
}

fn above_zero(option: &str, value: f64) -> Result<f64, miette::Report> {
    (value > 0.0)
        .then_some(value)
        .ok_or_else(|| miette!("{option}: {value} found, a number above 0 is allowed"))
}

fn text(studio: &Studio, stand: &Stand, minute: &Minute, graded: &Graded) -> String {
    let scene: &Scene = &studio.scene;
    let eye = studio.eye(stand);
    let mut text = format!(
        "{} · {}\nSpot {:.2} m east, {:.2} m north · {:.0} mm · {:.2} m over the ground, {:.2} m over the rail · \
         heading {:.1}°, pitch {:.1}°, roll {:.1}°\nSun {:.1}° high, bearing {:.1}°\n",
        scene.name,
        scene.place.zone.local(minute.at),
        stand.spot_m.x,
        stand.spot_m.y,
        stand.lens_mm,
        stand.height_m,
        eye.z,
        stand.heading_deg,
        stand.pitch_deg,
        stand.roll_deg,
        minute.sun.elevation_deg,
        minute.sun.azimuth_deg,
    );
    if let Some(advice) = &graded.advice {
        text += &format!(
            "Exposure f/{}, {} s at ISO {:.0}\n",
            advice.aperture.text, advice.shutter.text, scene.kit.film_speed_iso
        );
    }
    if let Err(refusal) = scene.ground.may_stand(&scene.tracks, stand.spot_m) {
        text += &format!("Do not stand there: {refusal}\n");
    }
    text + &sheet_text::sheet(&graded.sheet)
}

/// The frame as data: documented in README.
pub fn data(
    studio: &Studio,
    stand: &Stand,
    capture: &Capture,
    minute: &Minute,
    graded: &Graded,
) -> serde_json::Value {
    let scene = &studio.scene;
    json!({
        "scene": scene.name,
        "at": minute.at.to_rfc3339(),
        "local": scene.place.zone.local(minute.at).to_string(),
        "stand": {
            "east_m": stand.spot_m.x,
            "north_m": stand.spot_m.y,
            "height_m": stand.height_m,
            "eye_over_rail_m": studio.eye(stand).z,
            "lens_mm": stand.lens_mm,
            "heading_deg": stand.heading_deg,
            "pitch_deg": stand.pitch_deg,
            "roll_deg": stand.roll_deg,
            "allowed": scene.ground.may_stand(&scene.tracks, stand.spot_m).is_ok(),
        },
        "sun": {
            "azimuth_deg": minute.sun.azimuth_deg,
            "elevation_deg": minute.sun.elevation_deg,
            "beam_normal_lx": minute.daylight.beam_normal_lx,
            "sky_horizontal_lx": minute.daylight.sky_horizontal_lx,
        },
        "exposure": {
            "f_number": capture.f_number,
            "advised_ev": graded.advice.as_ref().map(|a| a.ev),
            "advised_aperture": graded.advice.as_ref().map(|a| a.aperture.text),
            "advised_shutter_s": graded.advice.as_ref().map(|a| a.shutter.text),
            "film_speed_iso": scene.kit.film_speed_iso,
        },
        "sheet": graded.sheet,
    })
}
