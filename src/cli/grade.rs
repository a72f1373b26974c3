//! `sunside grade`: one frame, its sheet, its data, its picture. May not enter: formulas.

use super::args::{GradeArgs, LeadingEnd};
use super::{files, sheet_text};
use crate::document::write_whole;
use crate::grade::measure::capture::Capture;
use crate::grade::wording::sentence_case;
use crate::grade::{Graded, Minute, Stand, Studio, Verdict};
use crate::picture::png;
use crate::picture::predicted::predicted;
use crate::scene::Scene;
use crate::scene::machine::HeadEnd;
use crate::units::compass_word;
use chrono::{DateTime, Utc};
use glam::DVec2;
use miette::miette;
use serde_json::json;
use std::path::Path;

/// Grades the frame that the arguments describe; returns the exit status. Where nobody knows which end
/// leads, both are graded, and the better one is the frame's.
pub fn run(args: &GradeArgs, say: &mut dyn FnMut(&str)) -> Result<u8, miette::Report> {
    let outputs = [("--json", &args.json), ("--picture", &args.picture)];
    let outputs: Vec<(&str, &Path)> = (outputs.into_iter())
        .filter_map(|(option, path)| Some((option, path.as_deref()?)))
        .collect();
    files::hold_apart(&args.scene, args.rules.as_deref(), &outputs)?;
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
    let asked = args
        .head_end
        .map_or(scene.machine.head_end, |end| match end {
            LeadingEnd::First => HeadEnd::First,
            LeadingEnd::Second => HeadEnd::Second,
        });
    let ends = match asked {
        HeadEnd::Unknown => vec![HeadEnd::First, HeadEnd::Second],
        known => vec![known],
    };
    let drawing = super::chosen(args.rasterizer)?;
    let mut frames: Vec<Frame> = Vec::new();
    for end in &ends {
        let kin = frames.first().map(|frame| &frame.studio);
        let studio = Studio::new(scene.with_head_end(*end), &rulebook, &drawing, kin);
        frames.push(Frame::of(args, studio, at));
    }
    let mut told = String::new();
    for frame in &frames {
        if frames.len() > 1 {
            let nose_deg = frame.studio.scene.machine.forward_bearing_deg();
            let word = compass_word(nose_deg);
            told += &format!("If it faces {word} ({nose_deg:.0}°), which nobody knows:\n");
        }
        told += &text(frame);
    }
    frames.sort_by(|a, b| b.graded.sheet.rank(&a.graded.sheet));
    let best = &frames[0];
    if args.json.as_deref() == Some(Path::new("-")) {
        // Data on standard output stands there alone.
        super::write_json(Path::new("-"), &all_data(&frames), say)?;
        eprint!("{told}");
    } else {
        say(&told);
        if let Some(path) = &args.json {
            super::write_json(path, &all_data(&frames), say)?;
        }
    }
    if let Some(path) = &args.picture {
        let advised = best.graded.advice.as_ref();
        let seconds = (best.capture.exposure_s).or(advised.map(|advice| advice.shutter.value));
        let f_number = match best.capture.exposure_s {
            Some(_) => Some(best.capture.f_number),
            None => advised.map(|advice| advice.aperture.value),
        };
        let width = args.picture_width as usize;
        let image = predicted(&best.studio, &best.stand, at, f_number.zip(seconds), width);
        let png = png::encode(&image, &best.studio.scene.name, &at.to_rfc3339());
        write_whole(path, &png).map_err(|e| miette!("{e}"))?;
    }
    super::say_who_drew(&drawing);
    Ok(u8::from(best.graded.sheet.verdict < Verdict::Fair))
}

/// One graded frame with all that it was graded from.
struct Frame<'a> {
    studio: Studio<'a>,
    stand: Stand,
    capture: Capture,
    minute: Minute,
    graded: Graded,
}

impl<'a> Frame<'a> {
    fn of(args: &GradeArgs, studio: Studio<'a>, at: DateTime<Utc>) -> Frame<'a> {
        let stand = stand(args, &studio);
        let mut capture = studio.default_capture();
        capture.f_number = args.f_number.unwrap_or(capture.f_number);
        capture.exposure_s = args.exposure;
        let minute = studio.minute(at);
        let graded = studio.grade(&stand, &capture, &minute);
        Frame {
            studio,
            stand,
            capture,
            minute,
            graded,
        }
    }
}

/// The better frame's data, and those of the other end where nobody knows which leads.
fn all_data(frames: &[Frame]) -> serde_json::Value {
    let mut data = data(&frames[0]);
    if let Some(other) = frames.get(1) {
        data["other_end"] = self::data(other);
    }
    data
}

/// The scene's stand with what the arguments change.
fn stand(args: &GradeArgs, studio: &Studio) -> Stand {
    let mut stand = studio.default_stand();
    if let Some([east, north]) = args.spot {
        stand.spot_m = DVec2::new(east, north);
    }
    stand.lens_mm = args.lens.unwrap_or(stand.lens_mm);
    stand.height_m = args.height.unwrap_or(stand.height_m);
    stand.pitch_deg = args.pitch.unwrap_or(stand.pitch_deg);
    stand.roll_deg = args.roll.unwrap_or(stand.roll_deg);
    let changed = args.spot.is_some() || args.lens.is_some() || args.height.is_some();
    stand.heading_deg = match (args.heading, studio.scene.frame.heading_deg) {
        (Some(heading), _) => heading,
        (None, Some(heading)) if !changed => heading,
        _ => studio.balanced_heading_deg(&stand),
    };
    stand
}

fn text(frame: &Frame) -> String {
    let Frame {
        studio,
        stand,
        capture,
        minute,
        graded,
    } = frame;
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
    let iso = scene.kit.film_speed_iso;
    if let Some(seconds) = capture.exposure_s {
        let time = match seconds {
            s if s < 0.4 => format!("1/{:.0}", 1.0 / s),
            s => format!("{s}"),
        };
        text += &format!(
            "Exposed at f/{}, {time} s at ISO {iso:.0}\n",
            capture.f_number
        );
    }
    if let Some(advice) = &graded.advice {
        text += &format!(
            "Advised exposure f/{}, {} s at ISO {iso:.0}\n",
            advice.aperture.text, advice.shutter.text
        );
    }
    if let Err(refusal) = scene.may_stand(&studio.obstacles, stand.spot_m) {
        text += &format!("Do not stand there: {refusal}\n");
    }
    if let Some(risk) = scene.sky.risk() {
        text += &format!("{}\n", sentence_case(risk));
    }
    text + &sheet_text::sheet(&graded.sheet)
}

/// The frame as data: documented in README.
fn data(frame: &Frame) -> serde_json::Value {
    let Frame {
        studio,
        stand,
        capture,
        minute,
        graded,
    } = frame;
    let scene = &studio.scene;
    json!({
        "scene": scene.name,
        "head_end": scene.machine.head_end.word(),
        "at": minute.at.to_rfc3339(),
        "local": scene.place.zone.local(minute.at).to_string(),
        "stand": super::stand_data(scene, &studio.obstacles, stand),
        "sun": {
            "azimuth_deg": minute.sun.azimuth_deg,
            "elevation_deg": minute.sun.elevation_deg,
            "beam_normal_lx": minute.daylight.beam_normal_lx,
            "sky_horizontal_lx": minute.daylight.sky_horizontal_lx,
        },
        "exposure": {
            "f_number": capture.f_number,
            "exposure_s": capture.exposure_s,
            "advised_ev": graded.advice.as_ref().map(|a| a.ev),
            "advised_aperture": graded.advice.as_ref().map(|a| a.aperture.text),
            "advised_shutter_s": graded.advice.as_ref().map(|a| a.shutter.text),
            "film_speed_iso": scene.kit.film_speed_iso,
        },
        "sheet": graded.sheet,
    })
}
