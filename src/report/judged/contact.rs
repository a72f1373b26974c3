//! Photographs as pictures: one with the machine's outline over it, many as mounted slides on one sheet. May not
//! enter: fitting, grading.

use super::table::{unknowns, worst};
use super::{is_at_best, spot};
use crate::grade::Studio;
use crate::grade::wording::sentence_case;
use crate::judge::outline::Outline;
use crate::judge::photo::Photo;
use crate::judge::shot::{Shot, shutter};
use crate::judge::take::Take;
use crate::judge::unposed::Unposed;
use crate::picture::canvas::SURROUND;
use crate::picture::png::Picture;
use crate::picture::sheet::{Mount, Sheet};
use image::imageops::{FilterType, overlay as lay, resize};
use image::{Rgb, RgbImage};
use std::path::Path;

/// Widest overlay, pixels.
const OVERLAY_PX: u32 = 2400;

/// Every frame of a contact sheet, pixels: upright and square pictures lie within it.
const FRAME_PX: [u32; 2] = [480, 320];

/// What is beside a picture of another shape.
const BESIDE: Rgb<u8> = Rgb(SURROUND);

/// The photograph at most so many pixels wide, with the machine's outline over it where one is known.
fn drawn(studio: &Studio, photo: &Photo, take: Option<&Take>, widest_px: u32) -> RgbImage {
    let (width, height) = photo.pixels.dimensions();
    let across = width.min(widest_px).max(1);
    let down = (f64::from(height) * f64::from(across) / f64::from(width))
        .round()
        .max(1.0) as u32;
    let mut picture = match across == width {
        true => photo.pixels.clone(),
        false => resize(&photo.pixels, across, down, FilterType::Triangle),
    };
    if let Some(take) = take {
        let model = &studio.scene.machine.model;
        Outline::of(model, &take.fit, &take.shot.plate, across).draw_over(&mut picture);
    }
    picture
}

/// The photograph with the machine's outline over it: that it fits proves the pose.
pub fn overlay(studio: &Studio, photo: &Photo, take: &Take) -> RgbImage {
    drawn(studio, photo, Some(take), OVERLAY_PX)
}

/// A small frame of one size for all.
fn frame(studio: &Studio, photo: &Photo, take: Option<&Take>) -> Picture {
    let (width, height) = photo.pixels.dimensions();
    let [most_across, most_down] = FRAME_PX;
    let by_height = f64::from(most_down) * f64::from(width) / f64::from(height);
    let small = drawn(
        studio,
        photo,
        take,
        most_across.min(by_height as u32).max(1),
    );
    let mut whole = RgbImage::from_pixel(most_across, most_down, BESIDE);
    let aside = |most: u32, own: u32| i64::from(most.saturating_sub(own) / 2);
    let (x, y) = (
        aside(most_across, small.width()),
        aside(most_down, small.height()),
    );
    lay(&mut whole, &small, x, y);
    Picture {
        width: most_across as usize,
        height: most_down as usize,
        pixels_srgb: whole.pixels().map(|pixel| pixel.0).collect(),
    }
}

/// The name of a photograph without its folder.
fn short(photo: &Photo) -> String {
    let name = Path::new(&photo.name).file_name();
    name.map_or_else(
        || photo.name.clone(),
        |name| name.to_string_lossy().into_owned(),
    )
}

/// When, in the scene's time.
fn taken(studio: &Studio, shot: &Shot) -> String {
    let local = |at| studio.scene.place.zone.local(at).naive;
    (shot.at.value).map_or("time unknown".into(), |at| {
        local(at).format("%Y-%m-%d %H:%M").to_string()
    })
}

fn settings(shot: &Shot) -> String {
    let f_number = shot.f_number.value.map(|n| format!("f/{n}"));
    let shutter = shot.exposure_s.value.map(shutter);
    let told: Vec<String> = f_number.into_iter().chain(shutter).collect();
    told.join(" · ")
}

/// A judged photograph in its mount.
pub fn mount(studio: &Studio, photo: &Photo, take: &Take) -> Mount {
    let at = &take.stand;
    Mount {
        frame: frame(studio, photo, Some(take)).into(),
        left: short(photo),
        right: taken(studio, &take.shot),
        figures: [
            format!("{:.0} mm", at.lens_mm),
            settings(&take.shot),
            format!("score {:.1}", take.sheet.score),
            unknowns(&take.sheet),
        ]
        .into_iter()
        .filter(|figure| !figure.is_empty())
        .collect::<Vec<_>>()
        .join(" · "),
        verdict: Some(take.sheet.verdict),
        open: (take.verdicts[0] != take.verdicts[1]).then_some(take.verdicts),
        at_best: is_at_best(take),
        worst: sentence_case(worst(&take.sheet)),
        ground: Ok(format!(
            "Stood {}, eye {:.1} m over the rail",
            spot(at, 1),
            studio.eye(at).z
        )),
    }
}

/// One that was not judged.
pub fn mount_unposed(studio: &Studio, photo: &Photo, known: &Unposed, why: &str) -> Mount {
    let tones = known.tones.map_or(String::new(), |tones| {
        format!(
            "Whole picture: {:.1} % clipped, {:.1} % blocked",
            100.0 * tones.clipped,
            100.0 * tones.blocked
        )
    });
    Mount {
        frame: frame(studio, photo, None).into(),
        left: short(photo),
        right: taken(studio, &known.shot),
        figures: settings(&known.shot),
        verdict: None,
        open: None,
        at_best: false,
        worst: sentence_case(why.split([';', '(']).next().unwrap_or(why).trim()),
        ground: Ok(tones),
    }
}

/// All of them on one sheet, in the order given, `unlit` of those judged without knowing their light.
pub fn contact_sheet(studio: &Studio, mounts: Vec<Mount>, unlit: usize, skipped: usize) -> Sheet {
    let judged = mounts
        .iter()
        .filter(|mount| mount.verdict.is_some())
        .count();
    let mut subtitle = format!("{judged} judged, best first");
    if unlit > 0 {
        subtitle += &format!(", {unlit} of unknown light behind the others");
    }
    let rest = mounts.len() - judged;
    for (count, what) in [(rest, "not judged"), (skipped, "skipped")] {
        if count > 0 {
            subtitle += &format!(" · {count} {what}");
        }
    }
    Sheet {
        title: studio.scene.name.clone(),
        subtitle: subtitle + " · the line is the machine's outline from the fitted camera",
        mounts,
    }
}
