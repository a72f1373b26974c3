//! What tags mean together: which of several counts, and which contradict one another. May not enter: bytes.

use super::tags::{Read, Tags};
use super::{Said, Told};
use crate::camera::film::Film;
use crate::judge::marks::SENSORS_MM;
use crate::judge::shot::SAME_SHARE;
use chrono::{Datelike, NaiveDateTime};
use exif::Tag;
use std::ops::RangeInclusive;

/// Clocks that differ by more than this contradict one another, minutes.
const CLOCKS_MIN: i64 = 10;

/// Sizes of a sensor that differ by more than this share contradict one another: the equivalent is told in
/// whole millimetres, and some makers count the cropped width.
const SIZES: f64 = 0.12;

/// The first EXIF is of 1995 (JEIDA), cameras with clocks are a little older; from memory.
const FIRST_TAGS: i32 = 1990;

/// Focal lengths from a telephone's to a telescope's.
const FOCALS_MM: RangeInclusive<f64> = 0.5..=10000.0;

pub(super) fn said(tags: &Tags, size_px: Option<[u32; 2]>, broken: Vec<String>) -> Said {
    let local = local(tags);
    let focal_mm = told(tags.number(Tag::FocalLength, FOCALS_MM), "FocalLength");
    let equivalent_mm = told(
        tags.number(Tag::FocalLengthIn35mmFilm, FOCALS_MM),
        "FocalLengthIn35mmFilm",
    );
    Said {
        offset_min: offset(tags, local.value),
        sensor: sensor(tags, size_px, &focal_mm, &equivalent_mm),
        cut: cut(tags, size_px),
        local,
        focal_mm,
        equivalent_mm,
        position_deg: position(tags),
        position_error_m: told(
            tags.number(Tag::GPSHPositioningError, 0.01..=1e6),
            "GPSHPositioningError",
        ),
        universal: told(tags.universal(), "GPSDateStamp, GPSTimeStamp"),
        orientation: orientation(tags),
        f_number: told(tags.number(Tag::FNumber, 0.5..=128.0), "FNumber"),
        exposure_s: told(
            tags.number(Tag::ExposureTime, 1e-6..=86400.0),
            "ExposureTime",
        ),
        iso: told(
            tags.number(Tag::PhotographicSensitivity, 1.0..=1e7),
            "PhotographicSensitivity",
        ),
        broken,
    }
}

/// A tag's value as it is told; EXIF's zeros and nonsense are missing values with their reason.
fn told<T>(read: Read<T>, tag: &str) -> Told<T> {
    match read {
        Some(Ok(value)) => Told::from(value, tag),
        Some(Err(why)) => Told::missing(why),
        None => Told::missing(format!("no {tag}")),
    }
}

/// When the picture was taken; of three times the nearest to that.
fn local(tags: &Tags) -> Told<NaiveDateTime> {
    let all = [
        (Tag::DateTimeOriginal, "DateTimeOriginal"),
        (Tag::DateTimeDigitized, "DateTimeDigitized"),
        (Tag::DateTime, "DateTime"),
    ];
    let mut wrong = None;
    for (index, (tag, name)) in all.iter().enumerate() {
        match tags.time(*tag) {
            Some(Ok(time)) => {
                // The last one is when the file was changed: later than the picture is nothing odd.
                let other = (index == 0)
                    .then(|| tags.time(Tag::DateTimeDigitized))
                    .flatten();
                let other = other
                    .and_then(Result::ok)
                    .filter(|other| (*other - time).num_minutes().abs() > CLOCKS_MIN);
                let doubt = other.map(|other| format!("DateTimeDigitized says {other}"));
                let changed =
                    (index == 2).then(|| "it may be when the file was changed".to_string());
                let early = (time.year() < FIRST_TAGS).then(|| {
                    "no camera wrote tags yet: somebody typed it, or the clock was wrong"
                        .to_string()
                });
                let doubt = early.or(doubt);
                return Told::from(time, *name).doubted(doubt.or(changed).or(wrong));
            }
            Some(Err(why)) => wrong = wrong.or(Some(why)),
            None => {}
        }
    }
    Told::missing(wrong.unwrap_or("no DateTimeOriginal".to_string()))
}

/// How far the camera's clock is ahead: as it says, else against the position's clock.
fn offset(tags: &Tags, local: Option<NaiveDateTime>) -> Told<i32> {
    let seen_min = local
        .zip(tags.universal().and_then(Result::ok))
        .map(|(local, universal)| (local - universal).num_seconds() as f64 / 60.0)
        .filter(|minutes| minutes.abs() <= 14.0 * 60.0 + CLOCKS_MIN as f64);
    let all = [
        (Tag::OffsetTimeOriginal, "OffsetTimeOriginal"),
        (Tag::OffsetTimeDigitized, "OffsetTimeDigitized"),
        (Tag::OffsetTime, "OffsetTime"),
    ];
    let mut wrong = None;
    for (tag, name) in all {
        match tags.offset_min(tag) {
            Some(Ok(minutes)) => {
                let apart =
                    seen_min.filter(|seen| (seen - f64::from(minutes)).abs() > CLOCKS_MIN as f64);
                let doubt = apart
                    .map(|seen| format!("the position's clock makes it {:+.1} h", seen / 60.0));
                return Told::from(minutes, name).doubted(doubt.or(wrong));
            }
            Some(Err(why)) => wrong = wrong.or(Some(why)),
            None => {}
        }
    }
    // Zones lie on quarters of an hour.
    match seen_min.map(|seen| (15.0 * (seen / 15.0).round(), seen)) {
        Some((quarter, seen)) => {
            let doubt = (quarter - seen).abs() > 2.0;
            let told = format!(
                "the clocks are {:.0} min apart from any zone",
                (quarter - seen).abs()
            );
            Told::from(quarter as i32, "GPSTimeStamp").doubted(doubt.then_some(told).or(wrong))
        }
        None => {
            let doubt = wrong.clone();
            Told::missing(wrong.unwrap_or("no OffsetTimeOriginal".to_string())).doubted(doubt)
        }
    }
}

/// The picture's size in pixels, as the tags tell it.
fn dimensions(tags: &Tags) -> Option<(f64, f64)> {
    let tagged = |tag| tags.number(tag, 1.0..=1e6).and_then(Result::ok);
    tagged(Tag::PixelXDimension).zip(tagged(Tag::PixelYDimension))
}

/// That a picture has another shape than the one its tags tell, either way round: making it smaller would have kept that.
fn cut(tags: &Tags, size_px: Option<[u32; 2]>) -> Option<String> {
    let ((width, height), [across, down]) = (dimensions(tags)?, size_px?);
    let shape = f64::from(across) / f64::from(down);
    let is_same = [width / height, height / width]
        .iter()
        .any(|told| (told / shape - 1.0).abs() <= SAME_SHARE);
    (!is_same).then(|| {
        format!(
            "the tags tell {width:.0} × {height:.0} px, the picture has {across} × {down}: it was cut"
        )
    })
}

/// The sensor's size: from its pixels' density, else from the equivalent focal length and the picture's shape.
fn sensor(
    tags: &Tags,
    size_px: Option<[u32; 2]>,
    focal_mm: &Told<f64>,
    equivalent_mm: &Told<f64>,
) -> Told<Film> {
    let tagged = |tag| tags.number(tag, 1.0..=1e6).and_then(Result::ok);
    let dimensions = dimensions(tags);
    let [width_px, height_px] = match (dimensions, size_px) {
        (Some((width, height)), _) => [width, height],
        (None, Some(size)) => size.map(f64::from),
        _ => return Told::missing("no size in pixels"),
    };
    // Either way round: the decoder turns what the camera held upright.
    let changed = dimensions.zip(size_px).and_then(|((width, height), size)| {
        let found = size.map(f64::from);
        let same = [[width, height], [height, width]].contains(&found);
        (!same).then(|| {
            format!(
                "the tags tell {width:.0} × {height:.0} px, the picture has {} × {}: it was made smaller, or cut",
                size[0], size[1]
            )
        })
    });
    // The unit of density: 2 inch, 3 centimetre; 4 and 5 (mm, µm) are in use though not in the standard.
    let unit_mm = match tags.number(Tag::FocalPlaneResolutionUnit, 1.0..=5.0) {
        Some(Ok(3.0)) => 10.0,
        Some(Ok(4.0)) => 1.0,
        Some(Ok(5.0)) => 0.001,
        _ => 25.4,
    };
    let dense = tagged(Tag::FocalPlaneXResolution).zip(tagged(Tag::FocalPlaneYResolution));
    let dense = dense.map(|(across, down)| Film {
        width_mm: width_px / across * unit_mm,
        height_mm: height_px / down * unit_mm,
    });
    let usable =
        |film: &Film| SENSORS_MM.contains(&film.width_mm) && SENSORS_MM.contains(&film.height_mm);
    let crop = focal_mm
        .value
        .zip(equivalent_mm.value)
        .map(|(focal, equal)| focal / equal);
    let scaled = crop.map(|share| {
        let diagonal_mm = Film::FULL.diagonal_mm() * share;
        let diagonal_px = width_px.hypot(height_px);
        Film {
            width_mm: width_px * diagonal_mm / diagonal_px,
            height_mm: height_px * diagonal_mm / diagonal_px,
        }
    });
    let scaled = scaled.filter(usable);
    match (dense.filter(usable), scaled) {
        (Some(film), other) => {
            let ratio = other.map(|other| other.diagonal_mm() / film.diagonal_mm());
            let apart = ratio.filter(|ratio| (ratio - 1.0).abs() > SIZES);
            let doubt = apart.map(|ratio| {
                format!("the equivalent focal length makes it {ratio:.2} times as large")
            });
            Told::from(film, "FocalPlaneXResolution").doubted(doubt.or(changed))
        }
        (None, Some(film)) => Told::from(film, "FocalLengthIn35mmFilm").doubted(changed),
        (None, None) => Told::missing("no FocalPlaneXResolution, no FocalLengthIn35mmFilm"),
    }
}

fn position(tags: &Tags) -> Told<[f64; 2]> {
    let latitude = tags.degrees(Tag::GPSLatitude, Tag::GPSLatitudeRef, 'S', 90.0);
    let longitude = tags.degrees(Tag::GPSLongitude, Tag::GPSLongitudeRef, 'W', 180.0);
    match (latitude, longitude) {
        (Some(Ok(latitude)), Some(Ok(longitude))) => {
            // Receivers without a fix write zeros.
            let nowhere = latitude == 0.0 && longitude == 0.0;
            let doubt =
                nowhere.then(|| "0°, 0° is what a receiver without a fix writes".to_string());
            Told::from([latitude, longitude], "GPSLatitude, GPSLongitude").doubted(doubt)
        }
        (Some(Err(why)), _) | (_, Some(Err(why))) => Told::missing(why),
        _ => Told::missing("no GPSLatitude and GPSLongitude"),
    }
}

fn orientation(tags: &Tags) -> Told<u8> {
    let read = tags.number(Tag::Orientation, 1.0..=8.0);
    told(read.map(|read| read.map(|way| way as u8)), "Orientation")
}
