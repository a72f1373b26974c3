//! Exposure: from light to settings that are really engraved on a camera. May not enter: suns,
//! paint, film's response.
//!
//! Relations and quantities of ISO 2720:1974; its ranges for K and C are from memory, the two values
//! are in common use.

use super::stops::{self, Mark, Scale};

/// Reflected light constant, cd·s/m²·ISO: L = K·2^EV / S.
pub const K_REFLECTED: f64 = 12.5;

/// Incident light constant of a flat receptor, lx·s·ISO: E = C·2^EV / S.
pub const C_INCIDENT: f64 = 250.0;

/// Settings to use, as they are engraved, and how far they are from exact.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Advice {
    /// The exposure value that the light asks for at the given film speed, exact.
    pub ev: f64,
    /// Aperture, a mark of the scale asked for.
    pub aperture: Mark,
    /// Shutter time in seconds, a full stop.
    pub shutter: Mark,
    /// Stops by which these settings give too much (+) or too little (−) light.
    pub error_stops: f64,
}

/// The exposure value for an illuminance on the subject, lux, at a film speed. At ISO 100: EV100.
pub fn ev_from_illuminance(illuminance_lx: f64, iso: f64) -> f64 {
    (illuminance_lx * iso / C_INCIDENT).log2()
}

/// The exposure value for a luminance of the subject, cd/m², at a film speed.
pub fn ev_from_luminance(luminance_cd_m2: f64, iso: f64) -> f64 {
    (luminance_cd_m2 * iso / K_REFLECTED).log2()
}

/// The illuminance, lux, that an exposure value stands for at a film speed.
pub fn illuminance_lx(ev: f64, iso: f64) -> f64 {
    C_INCIDENT * ev.exp2() / iso
}

/// The luminance, cd/m², that an exposure value stands for at a film speed.
pub fn luminance_cd_m2(ev: f64, iso: f64) -> f64 {
    K_REFLECTED * ev.exp2() / iso
}

/// The exposure value that an f-number and a time give: log2(N² / t).
pub fn ev_of_settings(f_number: f64, seconds: f64) -> f64 {
    (f_number * f_number / seconds).log2()
}

/// The time that an exposure value asks for at an f-number, seconds.
pub fn seconds_for(ev: f64, f_number: f64) -> f64 {
    f_number * f_number / ev.exp2()
}

/// Stops by which settings give too much (+) or too little (−) light for an exposure value. Settings
/// as engraved (f/11, 1/60) are taken for what the mark means (f/11.31, 1/64).
pub fn error_stops(f_number: f64, seconds: f64, ev: f64) -> f64 {
    ev - ev_of_settings(
        stops::meant_f_number(f_number),
        stops::meant_seconds(seconds),
    )
}

/// Settings for the light that falls on the plane of the subject that faces the eye; none without
/// light or with values that are no speed or f-number.
///
/// The shutter takes the full stop nearest to what the working f-number asks for, since that is what
/// a mechanical shutter has; the aperture then moves to the mark nearest to what is left (half stops
/// are what most aperture rings click at), never past the working one while a slower time is left. A tie
/// goes to the slower time and the smaller aperture: depth of field is worth more than speed when nothing
/// moves. At half stops the error is at most
/// 0.25, at full stops 0.5, as long as the scales reach.
pub fn advise(
    illuminance_lx: f64,
    iso: f64,
    working_f_number: f64,
    scale: Scale,
) -> Option<Advice> {
    let ev = ev_from_illuminance(illuminance_lx, iso);
    let usable = iso > 0.0 && working_f_number > 0.0 && working_f_number.is_finite();
    if !(usable && ev.is_finite()) {
        return None;
    }
    let working = stops::meant_f_number(working_f_number);
    let aperture_for =
        |shutter: Mark| stops::nearest_aperture((shutter.value * ev.exp2()).sqrt(), scale);
    let mut shutter = stops::nearest_shutter(seconds_for(ev, working));
    let mut aperture = aperture_for(shutter);
    if aperture.value < working * 0.99 {
        // A stop slower, so that nothing opens past the working aperture.
        shutter = stops::nearest_shutter(shutter.value * 2.0);
        aperture = aperture_for(shutter);
    }
    Some(Advice {
        ev,
        aperture,
        shutter,
        error_stops: ev - ev_of_settings(aperture.value, shutter.value),
    })
}

/// The shutter time that the f/16 rule gives: in full sun 1/ISO s at f/16. Common practice. None for
/// values that are no speed or f-number.
pub fn sunny_16(iso: f64, f_number: f64) -> Option<Mark> {
    let opened = stops::meant_f_number(f_number) / 16.0;
    let seconds = opened * opened / iso;
    (seconds > 0.0 && seconds.is_finite()).then(|| stops::nearest_shutter(seconds))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rule_of_sixteen_reads_as_the_trade_says_it() {
        let at = |iso, f_number| sunny_16(iso, f_number).map(|mark| mark.text);
        assert_eq!(at(64.0, 16.0), Some("1/60"));
        assert_eq!(at(125.0, 16.0), Some("1/125"));
        assert_eq!(at(100.0, 8.0), Some("1/500"));
        assert_eq!(at(25.0, 5.6), Some("1/250"));
        assert_eq!(at(0.0, 8.0), None);
        assert_eq!(at(f64::NAN, 8.0), None);
    }

    #[test]
    fn an_error_is_positive_when_too_much_light_comes_in() {
        assert!((error_stops(8.0, 1.0 / 250.0, 15.0) - 1.0).abs() < 1e-12);
        assert!((error_stops(16.0, 1.0 / 125.0, 13.0) + 2.0).abs() < 1e-12);
    }

    #[test]
    fn no_light_and_no_speed_give_no_advice() {
        for (lux, iso, f_number) in [
            (0.0, 100.0, 8.0),
            (-5.0, 100.0, 8.0),
            (f64::NAN, 100.0, 8.0),
            (8e4, 0.0, 8.0),
            (-8e4, -100.0, 8.0),
            (8e4, f64::INFINITY, 8.0),
            (8e4, 100.0, 0.0),
            (8e4, 100.0, f64::NAN),
        ] {
            assert_eq!(advise(lux, iso, f_number, Scale::Half), None);
        }
    }

    #[test]
    fn light_beyond_the_marks_leaves_an_honest_error() {
        let dark = advise(1e-3, 25.0, 8.0, Scale::Half).unwrap();
        assert_eq!((dark.aperture.text, dark.shutter.text), ("1", "8"));
        assert!(dark.error_stops < -9.0);
    }
}
