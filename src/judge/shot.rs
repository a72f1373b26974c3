//! What is known of how a photograph was shot: what a person says of it first, then what it says of itself, then what
//! follows from the scene; each with its origin and with what speaks against it. May not enter: grades.

use super::exif::Told;
use super::marks::Given;
use super::optics::Optics;
use super::photo::Photo;
use super::pose::Plate;
use crate::camera::film::Film;
use crate::grade::Studio;
use crate::scene::place::Place;
use chrono::{DateTime, Utc};

/// Values that differ by more than this share are not the same one rounded.
pub(super) const SAME_SHARE: f64 = 0.02;

/// Times that differ by more than this contradict each other, seconds.
const SAME_S: i64 = 60;

/// What was shot, as far as it is known.
#[derive(Clone, Debug)]
pub struct Shot {
    /// The picture and its size on the sensor; where nobody knows that, on the film on which lengths are told.
    pub plate: Plate,
    /// That size, if it is known.
    pub film: Told<Film>,
    /// The focal length, if known, on that sensor.
    pub focal_mm: Told<f64>,
    /// By what share of itself it may be off, one standard deviation; zero where a person says it.
    pub focal_share: f64,
    /// Whether an unknown sensor's film is that of the tags' equivalent focal length, not the kit's.
    pub is_by_equivalent: bool,
    /// Why the picture's middle need not be where the lens looked: what shows that it was cut, if anything does.
    pub cut: Option<String>,
    /// When.
    pub at: Told<DateTime<Utc>>,
    /// f-number.
    pub f_number: Told<f64>,
    /// Exposure time, seconds.
    pub exposure_s: Told<f64>,
    /// Film's or sensor's speed.
    pub film_speed_iso: Told<f64>,
}

impl Shot {
    /// What is known of a photograph.
    pub fn of(photo: &Photo, given: &Given, studio: &Studio) -> Shot {
        let [width_px, height_px] = photo.size_px();
        let place = &studio.scene.place;
        let Optics {
            film,
            laid,
            focal_mm,
            focal_share,
            cut,
            is_by_equivalent,
        } = Optics::of(photo, given, studio);
        let said = &photo.said;
        let number = |told: &Told<f64>, given: Option<f64>, show: fn(f64) -> String| {
            (told.clone()).overridden(given, |said, given| {
                (!alike(*said, *given)).then(|| show(*said))
            })
        };
        Shot {
            plate: Plate {
                width_px,
                height_px,
                film: laid,
            },
            film,
            focal_mm: number(&focal_mm, given.focal_mm, |mm| format!("{mm:.1} mm")),
            focal_share: given.focal_mm.map_or(focal_share, |_| 0.0),
            cut,
            is_by_equivalent,
            at: when(photo, place).overridden(given.at, |said, given| {
                let apart_s = (*said - *given).num_seconds().abs();
                (apart_s > SAME_S).then(|| place.zone.local(*said).to_string())
            }),
            f_number: number(&said.f_number, given.f_number, |n| format!("f/{n}")),
            exposure_s: number(&said.exposure_s, given.exposure_s, shutter),
            film_speed_iso: number(&said.iso, given.film_speed_iso, |n| format!("ISO {n:.0}")),
        }
    }
}

/// Whether two values are one, rounded.
pub fn alike(a: f64, b: f64) -> bool {
    (a / b - 1.0).abs() <= SAME_SHARE
}

/// An exposure time as cameras show it.
pub fn shutter(seconds: f64) -> String {
    match seconds < 0.3 {
        true => format!("1/{:.0} s", 1.0 / seconds),
        false => format!("{seconds:.1} s"),
    }
}

/// When it was taken, as it says itself.
fn when(photo: &Photo, place: &Place) -> Told<DateTime<Utc>> {
    let said = &photo.said;
    let doubt = || said.local.doubt.clone();
    match (said.instant(), said.local.value) {
        (Some(at), _) => {
            let here_min = place.zone.local(at).offset_s / 60;
            let there_min = said.offset_min.value.unwrap_or(here_min);
            let elsewhere = (here_min != there_min).then(|| {
                let hours = |minutes: i32| f64::from(minutes) / 60.0;
                format!(
                    "the camera's clock is set to {:+.1} h, the scene's zone to {:+.1} h",
                    hours(there_min),
                    hours(here_min)
                )
            });
            let origin = format!("{} and {}", said.local.origin, said.offset_min.origin);
            let doubt = doubt().or(said.offset_min.doubt.clone()).or(elsewhere);
            Told::from(at, origin).doubted(doubt)
        }
        (None, Some(local)) => match place.zone.instant(local) {
            Ok(at) => {
                let origin = format!("{} in the scene's zone", said.local.origin);
                // An offset that cannot be one is told, not passed over.
                Told::from(at, origin).doubted(doubt().or(said.offset_min.doubt.clone()))
            }
            Err(why) => Told::missing(why.to_string()),
        },
        (None, None) => Told::missing(said.local.origin.clone()),
    }
}
