//! A camera's clock against the picture: daylight by night. May not enter: tags, fits.

use super::outline::Tones;
use super::shot::{Shot, shutter};
use crate::grade::Studio;

/// No daylight is left when the sun stands so far below the horizon: the end of civil twilight.
const NIGHT_DEG: f64 = -6.0;

/// Nothing by night is so bright, steps of exposure at ISO 100 (log2 of N² / t): floodlit yards need 3 to 6, a machine in daylight
/// 11 to 15. Common practice, from memory.
const DAYLIGHT_STEPS: f64 = 9.0;

/// A picture whose machine is darker than this on the average was not exposed for what there was, share of white.
const DARK: f64 = 0.1;

impl Shot {
    /// Takes a time by night from a picture that daylight made: no clock that says so is right, and what the sun did is not known.
    /// A person's word stays, and is doubted.
    pub(super) fn hold_clock(&mut self, studio: &Studio, tones: Option<&Tones>, is_typed: bool) {
        let (Some(at), Some(tones)) = (self.at.value, tones) else {
            return;
        };
        let (Some(f_number), Some(exposure_s), Some(speed_iso)) = (
            self.f_number.value,
            self.exposure_s.value,
            self.film_speed_iso.value,
        ) else {
            return;
        };
        let sun_deg = studio.moment(at).sun.elevation_deg;
        let steps = (f_number * f_number / exposure_s * 100.0 / speed_iso).log2();
        if sun_deg > NIGHT_DEG || steps < DAYLIGHT_STEPS || tones.mean < DARK {
            return;
        }
        let why = format!(
            "the sun was {:.0}° below the horizon then, but f/{f_number}, {} and ISO {speed_iso:.0} made the machine as light as \
             {:.0} % of white, which is daylight: the clock, its date or its zone is wrong",
            -sun_deg,
            shutter(exposure_s),
            100.0 * tones.mean
        );
        if is_typed {
            self.at.doubt = Some(why);
            return;
        }
        let told = studio.scene.place.zone.local(at);
        self.at.origin = format!("{told} by {}, but {why}", self.at.origin);
        self.at.value = None;
    }
}
