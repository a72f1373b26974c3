//! What a photograph says of itself in its EXIF tags (CIPA DC-008, EXIF 2.32): each value with the tag that it comes
//! from, missing, or contradicted by another one. May not enter: pixels, what the values are used for.

mod derived;
mod tags;

use crate::camera::film::Film;
use crate::sky::clock::YEARS;
use chrono::{DateTime, Datelike, NaiveDateTime, TimeDelta, Utc};
use std::io::Cursor;
use tags::Tags;

/// One value as far as the file tells it.
#[derive(Clone, Debug, PartialEq)]
pub struct Told<T> {
    /// The value, if there is one.
    pub value: Option<T>,
    /// Where it comes from: its tags, or "as given"; why there is none where there is none.
    pub origin: String,
    /// What speaks against it.
    pub doubt: Option<String>,
}

impl<T> Told<T> {
    pub(super) fn from(value: T, origin: impl Into<String>) -> Told<T> {
        Told {
            value: Some(value),
            origin: origin.into(),
            doubt: None,
        }
    }

    pub(super) fn missing(why: impl Into<String>) -> Told<T> {
        Told {
            value: None,
            origin: why.into(),
            doubt: None,
        }
    }

    pub(super) fn doubted(mut self, doubt: Option<String>) -> Told<T> {
        self.doubt = doubt;
        self
    }

    pub(super) fn given(value: T) -> Told<T> {
        Told::from(value, "as given")
    }

    /// The same with a person's own value in its place, if there is one. `against` puts into words what the file said
    /// where that is another value.
    pub fn overridden(
        self,
        given: Option<T>,
        against: impl Fn(&T, &T) -> Option<String>,
    ) -> Told<T> {
        let Some(value) = given else {
            return self;
        };
        let said = self.value.as_ref().and_then(|said| against(said, &value));
        let doubt = said.map(|said| format!("{} says {said}", self.origin));
        Told::given(value).doubted(doubt)
    }
}

/// What a file says of its photograph.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    /// Local time on the camera's clock.
    pub local: Told<NaiveDateTime>,
    /// Minutes by which that clock is ahead of universal time.
    pub offset_min: Told<i32>,
    /// Focal length, millimetres.
    pub focal_mm: Told<f64>,
    /// Focal length of the same angle on 24 x 36 mm.
    pub equivalent_mm: Told<f64>,
    /// The sensor's size as the pixels lie in the file, before it is turned upright.
    pub sensor: Told<Film>,
    /// That the picture has another shape than its tags tell of it, in words.
    pub cut: Option<String>,
    /// Latitude and longitude, degrees, north and east positive.
    pub position_deg: Told<[f64; 2]>,
    /// How far off that position may be, metres, as the receiver states it.
    pub position_error_m: Told<f64>,
    /// Universal time on the receiver's clock.
    pub universal: Told<NaiveDateTime>,
    /// How the pixels are to be turned: 1 to 8.
    pub orientation: Told<u8>,
    /// f-number.
    pub f_number: Told<f64>,
    /// Exposure time, seconds.
    pub exposure_s: Told<f64>,
    /// ISO speed.
    pub iso: Told<f64>,
    /// What could not be read, in words.
    pub broken: Vec<String>,
}

impl Said {
    /// The instant, if time and offset are told.
    pub fn instant(&self) -> Option<DateTime<Utc>> {
        let (local, offset_min) = (self.local.value?, self.offset_min.value?);
        let offset = TimeDelta::minutes(i64::from(offset_min));
        let at = local.checked_sub_signed(offset)?.and_utc();
        // No clock of a camera, and no sun, is known beyond.
        YEARS.contains(&at.year()).then_some(at)
    }

    /// The sensor's size as it lies in the picture turned upright.
    pub fn upright_film(&self) -> Option<Film> {
        let film = self.sensor.value?;
        let turned = self.orientation.value.is_some_and(|way| way >= 5);
        Some(match turned {
            true => Film {
                width_mm: film.height_mm,
                height_mm: film.width_mm,
            },
            false => film,
        })
    }
}

/// Reads the tags of a JPEG, PNG or TIFF file; `size_px` are its pixels as they lie in the file. A file without
/// tags, or with broken ones, says so.
pub fn read(bytes: &[u8], size_px: Option<[u32; 2]>) -> Said {
    let mut reader = exif::Reader::new();
    reader.continue_on_error(true);
    let (found, broken) = match reader.read_from_container(&mut Cursor::new(bytes)) {
        Ok(found) => (Some(found), Vec::new()),
        Err(exif::Error::PartialResult(part)) => {
            let (found, errors) = part.into_inner();
            (
                Some(found),
                errors.iter().map(ToString::to_string).collect(),
            )
        }
        Err(exif::Error::NotFound(_)) => (None, Vec::new()),
        Err(error) => (None, vec![error.to_string()]),
    };
    let tags = Tags {
        found: found.as_ref(),
    };
    derived::said(&tags, size_px, broken)
}
