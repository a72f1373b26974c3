//! One sheet of a scene's frame for every measure, what is to blame lit up in it:
//! `cargo run --release --example blamed -- SCENE OUT.png [at=TIME] [spot=E,N] [height=M] [lens=MM] [turn=DEG]
//! [pitch=DEG] [roll=DEG] [only=MEASURE,...]`. Prints what each answer says and takes. May not enter: verdicts.

use std::path::Path;
use std::process::ExitCode;
use std::time::Instant;
use sunside::document::write_whole;
use sunside::grade::{Culprits, Form, MarkRole, MeasureId, Rulebook, Studio, WIDEST_GRADED_DEG};
use sunside::picture::canvas::{Canvas, Hand, INK, Ink, PAPER};
use sunside::picture::png::{Picture, encode};
use sunside::picture::{Light, plain};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;

/// Width of each frame, pixels.
const FRAME_PX: usize = 640;
const COLUMNS: usize = 3;
/// Room under each frame.
const WORDS_PX: usize = 26;
const GAP_PX: usize = 8;

const BLAME: Ink = [0xff, 0x5a, 0x1f];

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.as_slice() {
        [scene, out, settings @ ..] => match sheet(scene, out, settings) {
            Ok(()) => ExitCode::SUCCESS,
            Err(told) => {
                eprintln!("{told}");
                ExitCode::from(2)
            }
        },
        _ => {
            eprintln!("wanted: SCENE OUT.png [SETTING=VALUE ...]");
            ExitCode::from(2)
        }
    }
}

fn sheet(scene: &str, out: &str, settings: &[String]) -> Result<(), String> {
    let scene = Scene::load(Path::new(scene)).map_err(|problems| problems.to_string())?;
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let mut at = scene.frame.at.ok_or("the scene names no time")?;
    let zone = scene.place.zone.clone();
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let mut stand = studio.default_stand();
    let mut asked: Vec<MeasureId> = MeasureId::ALL.to_vec();
    let (mut turn_deg, mut moved) = (0.0, false);
    for setting in settings {
        let (key, value) = setting.split_once('=').ok_or("a setting is KEY=VALUE")?;
        let number = || {
            value
                .parse::<f64>()
                .map_err(|error| format!("{key}: {error}"))
        };
        match key {
            "at" => {
                at = zone
                    .parse_instant(value)
                    .map_err(|error| error.to_string())?
            }
            "spot" => {
                let (e, n) = value.split_once(',').ok_or("spot=EAST,NORTH")?;
                let read = |text: &str| text.parse::<f64>().map_err(|error| error.to_string());
                stand.spot_m = [read(e)?, read(n)?].into();
                moved = true;
            }
            "height" => stand.height_m = number()?,
            "lens" => stand.lens_mm = number()?,
            "pitch" => stand.pitch_deg = number()?,
            "roll" => stand.roll_deg = number()?,
            "turn" => turn_deg = number()?,
            "only" => {
                let ids = value
                    .split(',')
                    .map(|key| MeasureId::from_key(key).ok_or(key));
                asked = ids
                    .collect::<Result<_, _>>()
                    .map_err(|key| format!("no measure {key}"))?;
            }
            other => return Err(format!("no setting {other}")),
        }
    }
    if moved {
        stand.heading_deg = studio.balanced_heading_deg(&stand);
    }
    stand.heading_deg += turn_deg;
    let minute = studio.minute(at);
    let composed = studio.compose(
        &stand,
        &studio.default_capture(),
        &rulebook.proof,
        WIDEST_GRADED_DEG,
    );
    let graded = studio.grade_at(&composed, &minute);
    let start = Instant::now();
    let again = studio.grade_at(&composed, &minute);
    let ms = start.elapsed().as_secs_f64() * 1e3;
    println!("graded again in {ms:.1} ms");
    for finding in &again.sheet.findings {
        println!("  {}", finding.sentence);
    }
    let view = plain::view_of(&composed.camera, FRAME_PX);
    let light = Light::at(&studio.scene, at);
    let options = plain::Options::default();
    let picture = plain::render(&cpu, &studio.stage, &view, &light, &options);
    let mut frames = vec![];
    for id in asked {
        let start = Instant::now();
        let answer = studio.culprits(&composed, &minute, id, FRAME_PX);
        let ms = start.elapsed().as_secs_f64() * 1e3;
        let value = graded.sheet.row(id).and_then(|row| row.value);
        println!(
            "{:28} {value:9.3?} {ms:6.1} ms  {}",
            id.key(),
            told(&answer)
        );
        if answer.nothing.is_none() {
            frames.push(answer);
        }
    }
    let guides = Culprits {
        marks: studio.guides(&composed),
        label: Some("guides".into()),
        nothing: None,
        ..studio.culprits(&composed, &minute, MeasureId::ExposureError, FRAME_PX)
    };
    frames.push(guides);
    let rows = frames.len().div_ceil(COLUMNS);
    let (wide, high) = (FRAME_PX + GAP_PX, picture.height + WORDS_PX + GAP_PX);
    let mut canvas = Canvas::new(COLUMNS * wide + GAP_PX, rows * high + GAP_PX, PAPER);
    for (i, answer) in frames.iter().enumerate() {
        let (x, y) = (i % COLUMNS * wide + GAP_PX, i / COLUMNS * high + GAP_PX);
        canvas.picture(x, y, &blamed(&picture, answer));
        draw(&mut canvas, [x, y], [picture.width, picture.height], answer);
    }
    let png = encode(&canvas.finished(), "what is to blame", "");
    write_whole(Path::new(out), &png).map_err(|error| error.to_string())
}

fn told(answer: &Culprits) -> String {
    match &answer.nothing {
        Some(why) => format!("- {why}"),
        None => {
            let pixels = answer.mask.values.iter().filter(|v| **v > 0).count();
            let label = answer.label.as_deref().unwrap_or_default();
            format!(
                "{pixels} px, {} marks, {label:?} at {:.2?}",
                answer.marks.len(),
                answer.anchor
            )
        }
    }
}

/// The picture greyed, with what is to blame in colour.
fn blamed(picture: &Picture, answer: &Culprits) -> Picture {
    let mix = |(pixel, blame): (&[u8; 3], &u8)| {
        let grey = pixel.iter().map(|c| f32::from(*c)).sum::<f32>() / 3.0;
        let share = f32::from(*blame) / 255.0 * 0.75;
        std::array::from_fn(|k| {
            let under = 0.55 * grey + 0.45 * f32::from(pixel[k]);
            (under + (f32::from(BLAME[k]) - under) * share).round() as u8
        })
    };
    Picture {
        pixels_srgb: picture
            .pixels_srgb
            .iter()
            .zip(&answer.mask.values)
            .map(mix)
            .collect(),
        ..picture.clone()
    }
}

fn draw(canvas: &mut Canvas, [x, y]: [usize; 2], [wide, high]: [usize; 2], answer: &Culprits) {
    let place = |[u, v]: [f64; 2]| {
        [
            x as f32 + u as f32 * wide as f32,
            y as f32 + v as f32 * high as f32,
        ]
    };
    let hand = |ink: Ink| Hand {
        px: 15.0,
        ink,
        heavy: true,
    };
    for mark in &answer.marks {
        let ink = match mark.role {
            MarkRole::Limit => [0x10, 0xb0, 0xd0],
            MarkRole::Value => [0xff, 0xd0, 0x20],
            MarkRole::Guide => [0xff, 0xff, 0xff],
        };
        let mut points = mark.points.clone();
        if mark.form == Form::Area {
            points.extend(mark.points.first());
        }
        for ends in points.windows(2) {
            canvas.stroke(place(ends[0]), place(ends[1]), 1.5, ink);
        }
        if let (Some(label), Some(first)) = (&mark.label, mark.points.first()) {
            let [at_x, at_y] = place(*first);
            canvas.write(
                at_x.min((x + wide) as f32 - 120.0) + 3.0,
                at_y.max(y as f32 + 16.0),
                label,
                &hand(ink),
            );
        }
    }
    if let Some(anchor) = answer.anchor {
        let at = place(anchor);
        canvas.stroke(
            [at[0] - 7.0, at[1]],
            [at[0] + 7.0, at[1]],
            2.0,
            [255, 0, 255],
        );
        canvas.stroke(
            [at[0], at[1] - 7.0],
            [at[0], at[1] + 7.0],
            2.0,
            [255, 0, 255],
        );
    }
    let words = format!(
        "{}: {}",
        answer.measure.key(),
        answer.label.as_deref().unwrap_or("-")
    );
    canvas.write(x as f32 + 4.0, (y + high) as f32 + 18.0, &words, &hand(INK));
}
