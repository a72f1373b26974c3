//! What is known of how a photograph was shot: what a person says of it first, then what it says of itself, then what
//! follows from the scene; each with its origin and with what speaks against it. May not enter: grades.

use super::exif::Told;
use super::marks::Given;
use super::photo::Photo;
use super::pose::{Fit, Known, Plate, Refused, fit};
use crate::camera::film::Film;
use crate::grade::Studio;
use crate::scene::place::Place;
use chrono::{DateTime, Utc};
use glam::DVec2;

/// Values that differ by more than this share are not the same one rounded.
const SAME_SHARE: f64 = 0.02;

/// Times that differ by more than this contradict each other, seconds.
const SAME_S: i64 = 60;

/// What was shot, as far as it is known.
#[derive(Clone, Debug)]
pub struct Shot {
    /// The picture and its size on the sensor.
    pub plate: Plate,
    /// Where that size comes from.
    pub film: Told<Film>,
    /// The focal length, if known, on that sensor.
    pub focal_mm: Told<f64>,
    /// When.
    pub at: Told<DateTime<Utc>>,
    /// f-number.
    pub f_number: Told<f64>,
    /// Exposure time, seconds.
    pub exposure_s: Told<f64>,
    /// Film's or sensor's speed.
    pub film_speed_iso: Told<f64>,
}

/// Marks that fit so many times better with another focal length speak against the one that is known. Ours: with ten
/// marks that is F = 39 on 1 and 13 degrees of freedom, which chance alone does not reach once in a thousand times.
const FAR_BETTER: f64 = 2.0;

/// A mark may lie so far beside the picture, as a share of it: a point that is just cut off may be placed by eye.
const BESIDE: f64 = 0.05;

impl Shot {
    /// Where its camera stood, by the marks that are given.
    pub fn fit(&self, given: &Given) -> Result<Fit, Refused> {
        let known = Known {
            focal_mm: self.focal_mm.value,
            bend: given.radial,
            placed_to_px: given.placed_to_px.unwrap_or(Known::default().placed_to_px),
        };
        let (width_px, height_px) = (self.plate.width_px, self.plate.height_px);
        let size = DVec2::new(width_px, height_px);
        let outside = given.marks.iter().find(|mark| {
            let share = mark.at_px / size;
            (share.cmplt(DVec2::splat(-BESIDE)) | share.cmpgt(DVec2::splat(1.0 + BESIDE))).any()
        });
        if let Some(mark) = outside {
            return Err(Refused::Outside {
                name: mark.name.clone(),
                width_px,
                height_px,
            });
        }
        fit(&given.marks, &self.plate, &known)
    }

    /// What speaks against the focal length that is known: the marks, where they fit far better with another one. `known`
    /// is the fit with it, if there is one.
    pub fn against_focal(&self, given: &Given, known: Option<&Fit>) -> Option<String> {
        let focal_mm = self.focal_mm.value?;
        let open = Shot {
            focal_mm: Told::missing("left open"),
            ..self.clone()
        };
        let free = open.fit(given).ok()?;
        let far_better = known.is_none_or(|known| free.rms_px < known.rms_px / FAR_BETTER);
        (far_better && !alike(free.focal_mm, focal_mm)).then(|| {
            let (rms_px, mm) = (free.rms_px, free.focal_mm);
            format!(
                "with {mm:.1} mm the marks fit to {rms_px:.1} px: lens or sensor may be another"
            )
        })
    }

    /// What is known of a photograph.
    pub fn of(photo: &Photo, given: &Given, studio: &Studio) -> Shot {
        let [width_px, height_px] = photo.size_px();
        let place = &studio.scene.place;
        let (film, focal_mm) = optics(photo, given, studio);
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
                film: film.value.unwrap_or(Film::FULL),
            },
            film,
            focal_mm: number(&focal_mm, given.focal_mm, |mm| format!("{mm:.1} mm")),
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

fn alike(a: f64, b: f64) -> bool {
    (a / b - 1.0).abs() <= SAME_SHARE
}

/// An exposure time as cameras show it.
pub fn shutter(seconds: f64) -> String {
    match seconds < 0.3 {
        true => format!("1/{:.0} s", 1.0 / seconds),
        false => format!("{seconds:.1} s"),
    }
}

/// The sensor and the focal length on it.
fn optics(photo: &Photo, given: &Given, studio: &Studio) -> (Told<Film>, Told<f64>) {
    let [width_px, height_px] = photo.size_px();
    let shape = height_px / width_px;
    let said = &photo.said;
    let fits = |film: &Film| (film.height_mm / film.width_mm / shape - 1.0).abs() <= SAME_SHARE;
    // A sensor that lies the other way was turned with the picture; of one that was cut, as much as the picture's shape
    // leaves.
    let laid = |film: Film| {
        let turned = Film {
            width_mm: film.height_mm,
            height_mm: film.width_mm,
        };
        let film = if fits(&turned) { turned } else { film };
        let width_mm = film.width_mm.min(film.height_mm / shape);
        Film {
            width_mm,
            height_mm: width_mm * shape,
        }
    };
    let is_cut = |film: &Film| {
        let sides = [
            [film.height_mm, film.width_mm],
            [film.width_mm, film.height_mm],
        ];
        !(sides.map(|[width_mm, height_mm]| {
            fits(&Film {
                width_mm,
                height_mm,
            })
        }))
        .contains(&true)
    };
    let cut =
        |film: Film| is_cut(&film).then(|| "the picture has another shape: it was cut".to_string());
    let own = (said.upright_film()).map(|film| nominal(film, studio.scene.kit.film));
    let width_mm = Film::FULL.diagonal_mm() / 1.0_f64.hypot(shape);
    let equivalent = Film {
        width_mm,
        height_mm: width_mm * shape,
    };
    match (given.film, own, said.equivalent_mm.value) {
        (Some(film), ..) => {
            let other = own.filter(|own| !alike(own.width_mm, film.width_mm));
            let other = other.map(|own| {
                let Film {
                    width_mm,
                    height_mm,
                } = own;
                format!(
                    "{} says {width_mm:.1} x {height_mm:.1} mm",
                    said.sensor.origin
                )
            });
            let told = Told::given(laid(film)).doubted(cut(film).or(other));
            (told, said.focal_mm.clone())
        }
        (None, Some(film), _) => {
            let told = Told::from(laid(film), said.sensor.origin.clone());
            let doubt = cut(film).or(said.sensor.doubt.clone());
            // How much was cut away nobody knows, and with it what the lens showed of the sensor.
            let focal_mm = match is_cut(&film) {
                true => Told::missing("the picture was cut"),
                false => said.focal_mm.clone(),
            };
            (told.doubted(doubt), focal_mm)
        }
        (None, None, Some(_)) => (
            Told::from(equivalent, "FocalLengthIn35mmFilm"),
            said.equivalent_mm.clone(),
        ),
        // Without a sensor a focal length in millimetres says nothing.
        (None, None, None) => (
            Told::from(laid(studio.scene.kit.film), "the scene's kit"),
            Told::missing("the sensor's size is not known"),
        ),
    }
}

/// Sizes that differ by no more than this share are one size, its density rounded by the camera.
const ROUNDED_SHARE: f64 = 0.003;

/// The size that is meant where one is only rounded: the kit's or 24 x 36 mm, either way up. A lens that lies just on a
/// limit would else fall to one side by a camera's arithmetic.
fn nominal(film: Film, kit: Film) -> Film {
    let is_near = |other: &Film| {
        let off = |own: f64, other: f64| (own / other - 1.0).abs();
        let worse = off(film.width_mm, other.width_mm).max(off(film.height_mm, other.height_mm));
        worse <= ROUNDED_SHARE
    };
    let meant = [kit, Film::FULL].into_iter();
    let mut ways = meant.flat_map(
        |Film {
             width_mm,
             height_mm,
         }| {
            [[width_mm, height_mm], [height_mm, width_mm]].map(|[width_mm, height_mm]| Film {
                width_mm,
                height_mm,
            })
        },
    );
    ways.find(is_near).unwrap_or(film)
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
                Told::from(at, origin).doubted(doubt())
            }
            Err(why) => Told::missing(why.to_string()),
        },
        (None, None) => Told::missing(said.local.origin.clone()),
    }
}
