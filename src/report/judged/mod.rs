//! A judged photograph as text, and many in a table. May not enter: fitting, grading.

mod contact;
mod data;
mod shown;
mod table;

pub use contact::{contact_sheet, mount, mount_unposed, overlay};
pub use data::{data, data_unposed};
pub use shown::{bend, beside, position_off, position_words, settings, unread_tags};
use shown::{lens_text, receiver_text, shot_text, spot, tones_text};
pub use table::{Graded, Listed, table};

use super::{sheet, stand};
use crate::grade::{Studio, Verdict};
use crate::judge::photo::Photo;
use crate::judge::pose::LEAST_MARKS;
use crate::judge::take::{Doubt, Take};
use crate::judge::unposed::Unposed;
use crate::units::feet;
use std::fmt::Write;

/// A point by its name in the file and as a person calls it.
fn point(studio: &Studio, name: &str) -> String {
    match studio.scene.machine.model.words_of(name) {
        Some(words) => format!("{name} ({words})"),
        None => name.to_string(),
    }
}

/// An angle that may be below nothing, with a minus that is one.
fn degrees(angle_deg: f64) -> String {
    format!("{angle_deg:.2}°").replace('-', "−")
}

/// All that is known of a photograph and what the rules say of it.
pub fn text(studio: &Studio, photo: &Photo, take: &Take) -> String {
    let fit = &take.fit;
    let mut out = String::new();
    shot_text(&mut out, studio, photo, &take.shot);
    receiver_text(&mut out, photo, take.whence.as_ref(), true);
    let at = &take.stand;
    let sigmas = fit.sigmas();
    let _ = writeln!(
        out,
        "Camera {}, {:.2} m over the ground, {:.2} m over the rail (± {:.2} m)\n  heading \
         {:.2}° ± {:.2}°, pitch {} ± {:.2}°, roll {} ± {:.2}°, {:.1} mm ± {:.1} mm",
        spot(at, 2),
        at.height_m,
        studio.eye(at).z,
        sigmas.eye_m.max_element(),
        at.heading_deg,
        sigmas.heading_deg,
        degrees(at.pitch_deg),
        sigmas.pitch_deg,
        degrees(at.roll_deg),
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
    lens_text(&mut out, studio, take);
    let kept = fit.residuals.len() - fit.mismarked().count();
    let _ = writeln!(out, "  {kept} marks, typically {:.2} px off", fit.rms_px);
    if let Some(times) = take.poor() {
        let _ = writeln!(
            out,
            "  The fit is poor: marks said to be placed to {} px lie {times:.0} times as far off, so the stand and what \
             follows from it are doubtful. Likely causes: marks placed less exactly, a picture that was cut beside its middle, straightened or \
             stretched, marks on other points than they name, or another machine than the scene's. Look at \
             the outline (--overlay)",
            take.placed_to_px
        );
    }
    for one in fit.mismarked() {
        let _ = writeln!(
            out,
            "  Mismarked: {} lies {:.1} px off, {:.0} times what marks err by; it was left out",
            point(studio, &one.name),
            one.off_px.length(),
            one.times_sigma
        );
    }
    if fit.mismarked().next().is_some() && kept < LEAST_MARKS {
        let _ = writeln!(
            out,
            "  With {kept} marks left one more that is off would not show: mark more points"
        );
    }
    if let Some(tones) = &take.tones {
        tones_text(&mut out, tones, "on the machine");
    }
    let refusal = stand::refusal_line(studio, at);
    if !refusal.is_empty() {
        let _ = write!(out, "  {refusal}");
    }
    out += &sheet::text_under(&verdict(take), &take.sheet);
    for doubt in take.doubts.iter().filter(|doubt| doubt.is_open()) {
        let _ = writeln!(out, "  ±    open     {}", open(doubt));
    }
    out
}

/// What is open about a measure: its value with its doubt, and both grades.
pub fn open(doubt: &Doubt) -> String {
    let unit = doubt.measure.unit().suffix();
    let decimals = doubt.measure.decimals() + 1;
    let [better, worse] = doubt.grades;
    // As of verdicts: those that lie between are possible as well.
    let joint = match worse as usize - better as usize {
        0 | 1 => "or",
        _ => "to",
    };
    format!(
        "{}: {:.decimals$}{unit} ± {:.decimals$}{unit}, {} {joint} {}",
        doubt.measure.title(),
        doubt.value,
        doubt.sigma,
        better.word(),
        worse.word()
    )
}

/// What is known of a photograph without marks, and why no more.
pub fn text_unposed(studio: &Studio, photo: &Photo, known: &Unposed, why: &str) -> String {
    let mut out = String::new();
    shot_text(&mut out, studio, photo, &known.shot);
    receiver_text(&mut out, photo, known.whence.as_ref(), false);
    if let Some(tones) = &known.tones {
        tones_text(&mut out, tones, "in the whole picture");
    }
    let _ = writeln!(out, "Not judged: {why}");
    out
}

/// Whether the verdict is no more than the best that may be: the light is not known.
pub fn is_at_best(take: &Take) -> bool {
    !take.knows_light() && take.verdicts != [Verdict::Lost; 2]
}

/// The verdict in words: both ends where doubt leaves it open, and no more than the best where the light is not known.
pub fn verdict(take: &Take) -> String {
    let verdict = Verdict::between(take.verdicts);
    match is_at_best(take) {
        true => format!("at best {verdict}"),
        false => verdict,
    }
}
