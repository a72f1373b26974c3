//! Why nothing is fair: which fault stands in the way, hour by hour, on either side of the machine. May not
//! enter: what would mend it (see `what_if`).

use super::answer::Side;
use super::search::Best;
use super::survey::Survey;
use crate::grade::Studio;
use crate::units::wrap_360;

/// What stands in the way on one side.
#[derive(Clone, Debug, PartialEq)]
pub struct Why {
    /// The side shown.
    pub side: Side,
    /// Bearing of that side's normal, degrees.
    pub side_bearing_deg: f64,
    /// Hours of sun that were looked at; estimates of the grid, as all hours are.
    pub sun_h: f64,
    /// Titles of the faults that are worst at each hour's least bad stand, with their hours, most first: an hour
    /// that two faults spoil alike counts for both. Empty where no stand shows this side.
    pub binds: Vec<(String, f64)>,
}

/// Counts, from a survey that kept what is lost, the hours that each fault spoils.
pub fn why(studio: &Studio, survey: &Survey, every_min: u32) -> Vec<Why> {
    let titles: Vec<&str> = (studio.rulebook.faults.iter())
        .map(|fault| fault.title.as_str())
        .collect();
    let nose_deg = studio.scene.machine.forward_bearing_deg();
    let hours = |instants: usize| (instants as u32 * every_min) as f64 / 60.0;
    let of_side = |side: Side| {
        let spoilt = spoilt(&survey.best, usize::from(side == Side::Right), titles.len());
        let mut binds: Vec<(String, f64)> = (titles.iter().zip(spoilt))
            .filter(|(_, instants)| *instants > 0)
            .map(|(title, instants)| (title.to_string(), hours(instants)))
            .collect();
        // Stable: faults of equal hours keep the rulebook's order.
        binds.sort_by(|a, b| b.1.total_cmp(&a.1));
        Why {
            side,
            side_bearing_deg: wrap_360(nose_deg - 90.0 * side.sign()),
            sun_h: hours(survey.best.len()),
            binds,
        }
    };
    [Side::Left, Side::Right].map(of_side).to_vec()
}

/// Instants that each fault spoils on a side.
fn spoilt(best: &[[Best; 2]], side: usize, faults: usize) -> Vec<usize> {
    let mut count = vec![0; faults];
    for best in best {
        for (fault, count) in count.iter_mut().enumerate() {
            *count += usize::from(best[side].is_bound_by(fault));
        }
    }
    count
}
