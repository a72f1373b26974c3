//! `sunside grade`: one frame, its sheet, its data, its picture. May not enter: formulas.

use super::args::{GradeArgs, PICTURE_WIDTHS_PX};
use super::facings::{self, Way};
use super::{drawn_by, files, sheet_text, stand};
use crate::camera::film::Film;
use crate::document::write_whole;
use crate::grade::measure::capture::Capture;
use crate::grade::wording::sentence_case;
use crate::grade::{Graded, Minute, Sheet, Stand, Studio, Verdict};
use crate::picture::png;
use crate::picture::predicted::predicted;
use crate::scene::Scene;
use chrono::{DateTime, Utc};
use miette::miette;
use serde_json::json;

/// Grades the frame that the arguments describe; returns the exit status. Where nobody knows which end
/// leads, both are graded, and the better one is the frame's.
pub fn run(args: &GradeArgs, say: &mut dyn FnMut(&str)) -> Result<u8, miette::Report> {
    let outputs = [
        ("--json", args.json.as_deref()),
        ("--picture", args.picture.as_deref()),
    ];
    files::hold_apart(&args.scene, args.judged.rules.as_deref(), &outputs)?;
    let scene = super::load_scene(&args.scene)?;
    let rulebook = super::load_rulebook(args.judged.rules.as_deref())?;
    let at = stand::instant(&scene, args.time.at.as_deref())?;
    if args.picture.is_some() {
        hold_height(args.picture_width, &scene.kit.film)?;
    }
    let drawing = args.judged.rasterized.open()?;
    // Opened first: where only an adapter will do, nothing is graded without one.
    let painter = args.painted.open(args.picture.is_some())?;
    let studios =
        facings::studios(&scene, args.led.head_end, &rulebook, drawing.rasterizer()).into_iter();
    let mut frames: Vec<Frame> = studios.map(|studio| Frame::of(args, studio, at)).collect();
    let text = facings::text(&frames);
    facings::better_first(&mut frames);
    let best = &frames[0];
    super::tell(&text, args.json.as_deref(), || facings::data(&frames), say)?;
    if let Some((path, painter)) = args.picture.as_ref().zip(painter) {
        let advised = best.graded.advice.as_ref();
        let seconds = (best.capture.exposure_s).or(advised.map(|advice| advice.shutter.value));
        let f_number = match best.capture.exposure_s {
            Some(_) => Some(best.capture.f_number),
            None => advised.map(|advice| advice.aperture.value),
        };
        let width = args.picture_width as usize;
        let settings = f_number.zip(seconds);
        let painted = predicted(&painter, &best.studio, &best.stand, at, settings, width);
        drawn_by::tell_flaw(painted.flaw.as_deref());
        let png = png::encode(&painted.picture, &best.studio.scene.name, &at.to_rfc3339());
        write_whole(path, &png).map_err(|e| miette!("{e}"))?;
    }
    drawn_by::say_who_drew(&drawing);
    // A frame from where nobody may stand serves nobody, however good it would be.
    let may_stand = stand::refusal_line(&best.studio, &best.stand).is_empty();
    let serves = may_stand && best.graded.sheet.verdict >= Verdict::Fair;
    Ok(u8::from(!serves))
}

/// Highest picture, pixels: the widest one, of an upright frame of 24 x 36.
const HIGHEST_PX: f64 = 9000.0;

/// Holds a picture's width to one that the film's shape does not make too high to hold in memory.
fn hold_height(width_px: u32, film: &Film) -> Result<(), miette::Report> {
    let per_width = film.height_mm / film.width_mm;
    let height_px = f64::from(width_px) * per_width;
    if height_px <= HIGHEST_PX {
        return Ok(());
    }
    let (least_px, most_px) = (PICTURE_WIDTHS_PX.start(), (HIGHEST_PX / per_width).floor());
    Err(miette!(
        "--picture-width: {width_px} px make a picture {height_px:.0} px high on this film, {least_px} to {most_px} \
         px allowed"
    ))
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
        let stand = args.stand.of(&studio);
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

impl Way for Frame<'_> {
    fn studio(&self) -> &Studio<'_> {
        &self.studio
    }

    fn best(&self) -> Option<&Sheet> {
        Some(&self.graded.sheet)
    }

    fn text(&self) -> String {
        text(self)
    }

    fn data(&self) -> serde_json::Value {
        data(self)
    }
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
    let mut text = format!(
        "{} · {}\n{}Sun {:.1}° high, bearing {:.1}°\n",
        scene.name,
        scene.place.zone.local(minute.at),
        stand::line(studio, stand),
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
    text += &stand::refusal_line(studio, stand);
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
