//! The focal length that is told against the one that the marks make: where they agree both count, where they do not the
//! photograph was cut, or lens or sensor are others. May not enter: tags, grades.

use super::exif::Told;
use super::marks::Given;
use super::pose::{Fit, Known, Refused, fit};
use super::shot::{Shot, alike};
use glam::DVec2;

/// A focal length of the tags is not believed when the marks make it one so many standard deviations away.
const BEYOND_SIGMAS: f64 = 3.0;

/// Marks that fit so many times better with another focal length speak against the one that a person gives. Ours: with ten
/// marks that is F = 39 on 1 and 13 degrees of freedom, which chance alone does not reach once in a thousand times.
const FAR_BETTER: f64 = 2.0;

/// A mark may lie so far beside the picture, as a share of it: a point that is just cut off may be placed by eye.
const BESIDE: f64 = 0.05;

impl Shot {
    /// Where its camera stood, by the marks that are given. A focal length that a person gives is exactly that; one of the
    /// tags is one more observation, left out where the marks contradict it.
    ///
    /// # Errors
    /// What the marks leave open.
    pub fn fit(&self, given: &Given) -> Result<Fit, Refused> {
        let known = Known {
            focal_mm: self.focal_mm.value,
            focal_share: self.focal_share,
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
        let held = fit(&given.marks, &self.plate, &known);
        if self.focal_mm.value.is_none() || self.focal_share == 0.0 {
            return held;
        }
        let open = Known {
            focal_mm: None,
            ..known
        };
        match fit(&given.marks, &self.plate, &open) {
            Ok(free) if self.is_off(&free) && explains_more(&free, held.as_ref().ok()) => Ok(free),
            _ => held,
        }
    }

    /// Whether a fit has another focal length than the tags, beyond the doubt of both.
    fn is_off(&self, fit: &Fit) -> bool {
        let Some(focal_mm) = self.focal_mm.value else {
            return false;
        };
        let share = self.focal_share.hypot(fit.sigmas().focal_mm / fit.focal_mm);
        (fit.focal_mm / focal_mm).ln().abs() > BEYOND_SIGMAS * share
    }

    /// Whether the focal length of the tags was left out of a fit.
    pub fn leaves_focal_out(&self, fit: &Fit) -> bool {
        self.focal_share > 0.0 && self.is_off(fit)
    }

    /// What speaks against the focal length that is known: the marks, where they fit far better with another one. `known`
    /// is the fit with it, if there is one.
    pub fn against_focal(&self, given: &Given, known: Option<&Fit>) -> Option<String> {
        let told_mm = self.focal_mm.value?;
        if let (Some(fit), true) = (known, self.focal_share > 0.0) {
            let (mm, sigma_mm) = (fit.focal_mm, fit.sigmas().focal_mm);
            let likely = self.likely(told_mm, mm);
            return self.is_off(fit).then(|| {
                format!("the marks make it {mm:.1} mm ± {sigma_mm:.1} mm, by which it is judged: {likely}")
            });
        }
        let open = Shot {
            focal_mm: Told::missing("left open"),
            ..self.clone()
        };
        let free = open.fit(given).ok()?;
        let far_better = known.is_none_or(|known| free.rms_px < known.rms_px / FAR_BETTER);
        (far_better && !alike(free.focal_mm, told_mm)).then(|| {
            let (rms_px, mm) = (free.rms_px, free.focal_mm);
            let likely = self.likely(told_mm, mm);
            format!("with {mm:.1} mm the marks fit to {rms_px:.1} px: {likely}")
        })
    }

    /// What makes a focal length another than the one that is told.
    fn likely(&self, told_mm: f64, fits_mm: f64) -> String {
        let share = told_mm / fits_mm;
        if share >= 1.0 {
            return "a shorter lens, or a larger sensor, than is told".to_string();
        }
        let film = self.plate.film;
        let (width_mm, height_mm) = (share * film.width_mm, share * film.height_mm);
        format!(
            "as of a picture that was cut to {:.0} % of its width ({width_mm:.1} × {height_mm:.1} mm of the sensor), or of a \
             longer lens than is told",
            100.0 * share
        )
    }
}

/// Whether a fit with the focal length left open is to be believed beside one that was held to it: it leaves out no more
/// marks, and where it leaves out fewer those it keeps lie no worse.
fn explains_more(free: &Fit, held: Option<&Fit>) -> bool {
    held.is_none_or(|held| {
        let (ours, theirs) = (free.mismarked().count(), held.mismarked().count());
        ours == theirs || (ours < theirs && free.sigma_px <= held.sigma_px)
    })
}
