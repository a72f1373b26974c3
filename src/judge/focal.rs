//! The focal length that is told against the one that the marks make: where they agree both count, where they do not the
//! photograph was cut, or lens or sensor are others. A picture that was cut has its middle anywhere: it is left open where the
//! lens looked, and what that leaves in doubt is in every figure. May not enter: tags, grades.

use super::exif::Told;
use super::marks::Given;
use super::pose::{Fit, Known, Point, Refused, fit};
use super::shot::{Shot, alike};
use glam::DVec2;

/// A focal length of the tags is not believed when the marks make it one so many standard deviations away.
const BEYOND_SIGMAS: f64 = 3.0;

/// Marks that fit so many times better with another focal length speak against the one that a person gives. Ours: with ten
/// marks that is F = 39 on 1 and 13 degrees of freedom, which chance alone does not reach once in a thousand times.
const FAR_BETTER: f64 = 2.0;

/// How far beside a cut picture's middle the lens looked, as a share of its width, one standard deviation. Ours: of a picture
/// of which two thirds were kept it is up to a quarter, evenly spread; so 0.25 / √3.
const CUT_SHARE: f64 = 0.15;

/// A picture of which nothing else tells is taken as cut when chance would let its marks say so less often than this.
const CUT_CHANCE: f64 = 0.001;

/// Marks needed before that is asked of them.
const LEAST_FOR_CUT: usize = 8;

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
            middle_share: 0.0,
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
                name: Point::named(&mark.name),
                width_px,
                height_px,
            });
        }
        let beside = Known {
            middle_share: CUT_SHARE,
            ..known
        };
        if self.cut.is_some() {
            return self.by_focal(given, &beside);
        }
        let plain = self.by_focal(given, &known);
        if plain.as_ref().is_ok_and(|plain| self.is_cut_by(plain)) {
            let open = Known {
                focal_mm: None,
                ..beside
            };
            return fit(&given.marks, &self.plate, &open);
        }
        if given.marks.len() < LEAST_FOR_CUT {
            return plain;
        }
        match self.by_focal(given, &beside) {
            Ok(open) if shows_cut(&open, plain.as_ref().ok(), &known) => Ok(open),
            _ => plain,
        }
    }

    /// The fit with a focal length of the tags, or without it where the marks contradict it.
    fn by_focal(&self, given: &Given, known: &Known) -> Result<Fit, Refused> {
        let held = fit(&given.marks, &self.plate, known);
        if known.focal_mm.is_none() || known.focal_share == 0.0 {
            return held;
        }
        let open = Known {
            focal_mm: None,
            ..*known
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
        self.focal_share > 0.0 && self.focal_mm.value.is_some() && !fit.heeds_focal
    }

    /// Whether a fit shows that there is less of the picture than the lens gave.
    fn is_cut_by(&self, fit: &Fit) -> bool {
        let told_mm = self.focal_mm.value;
        self.leaves_focal_out(fit) && told_mm.is_some_and(|told_mm| fit.focal_mm > told_mm)
    }

    /// Why it was left open where the lens looked, in words; none where it was not.
    pub fn why_beside(&self, fit: &Fit) -> Option<String> {
        let why = match &self.cut {
            Some(why) => why.clone(),
            None if self.leaves_focal_out(fit) => {
                "by the focal length that fits the picture may have been cut".to_string()
            }
            None => {
                "the marks fit far better so: the picture was cut beside its middle".to_string()
            }
        };
        fit.is_beside().then_some(why)
    }

    /// What speaks against the focal length that is known: the marks, where they fit far better with another one. `known`
    /// is the fit with it, if there is one.
    pub fn against_focal(&self, given: &Given, known: Option<&Fit>) -> Option<String> {
        if let (None, Some(cut)) = (known, &self.cut) {
            return Some(format!(
                "{cut}, so nobody knows where in it the lens looked, and marks must tell that too"
            ));
        }
        let told_mm = self.focal_mm.value?;
        if let (Some(fit), true) = (known, self.focal_share > 0.0) {
            let (mm, sigma_mm) = (fit.focal_mm, fit.sigmas().focal_mm);
            let likely = self.likely(told_mm, mm);
            return self.leaves_focal_out(fit).then(|| {
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
/// marks, and where it leaves out fewer those it keeps lie no worse; or what it keeps lies far better. Held to a wrong length
/// all marks err so much that one more that is off does not show.
fn explains_more(free: &Fit, held: Option<&Fit>) -> bool {
    held.is_none_or(|held| {
        let (ours, theirs) = (free.mismarked().count(), held.mismarked().count());
        ours == theirs
            || (ours < theirs && free.sigma_px <= held.sigma_px)
            || free.sigma_px < held.sigma_px / FAR_BETTER
    })
}

/// Whether marks alone show that the lens looked beside the picture's middle: by Fisher's test with the two unknowns that this
/// has more, or where a mark is kept that was left out, by far smaller errors.
fn shows_cut(open: &Fit, held: Option<&Fit>, known: &Known) -> bool {
    let Some(held) = held else { return true };
    let (ours, theirs) = (open.mismarked().count(), held.mismarked().count());
    if ours != theirs {
        return ours < theirs && open.sigma_px < held.sigma_px / FAR_BETTER;
    }
    let count = (open.residuals.len() - ours) as f64;
    let squares = |fit: &Fit| count * fit.rms_px.powi(2);
    let own = squares(open) + 2.0 * known.placed_to_px.powi(2);
    let u = (squares(held) - squares(open)).max(0.0) / own;
    // Eye, turn, focal length, axis; the stated precision counts as two observations.
    let degrees = 2.0 * count - 9.0 + 2.0;
    (1.0 + u).powf(-degrees / 2.0) < CUT_CHANCE
}
