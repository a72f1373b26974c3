//! What should lie straight between the suns of the grid: what they light of what eyes see, and other things' shadows.
//! May not enter: which suns are drawn.

use super::eyes::SearchEye;
use super::suns::Node;
use crate::grade::{MeasureId, Studio};

/// So many eyes, spread over all of them, stand for the others.
const EYES: usize = 24;
/// A foreign shadow that turns from none into one that loses the frame, or a core that comes, counts as this much of a
/// lit share: to be cut where the grid's error would show, not wherever a shadow grows.
const FOREIGN: f32 = 0.1;

/// Tells of a node the lit shares of nose, side and running gear alone and of running gear with everything, eye by eye;
/// then for each side that is shown the foreign shadow and its core. (Lettering is so few pixels that their own grain
/// bends more than the light: it is interpolated, not asked.)
pub fn probe<'a>(
    studio: &'a Studio,
    eyes: &'a [SearchEye],
) -> impl Fn(&Node, &[u8], &[u8]) -> Vec<f32> + Sync + 'a {
    let some: Vec<&SearchEye> = eyes
        .iter()
        .step_by(eyes.len().div_ceil(EYES).max(1))
        .collect();
    let rule = studio.rulebook.rule(MeasureId::ForeignBody);
    let limits = rule
        .and_then(|rule| rule.high.as_ref())
        .map(|side| &side.limits);
    let lost_m2 = limits
        .and_then(|limits| limits.last())
        .copied()
        .unwrap_or(f64::INFINITY);
    move |node, alone, all| {
        let of_eye = |eye: &&SearchEye| {
            let (mut lit_alone, mut lit) = ([0.0f32; 4], [0.0f32; 4]);
            for (patch, row, weight) in &eye.weights {
                let (patch, row) = (*patch as usize, *row as usize);
                lit_alone[row] += weight * f32::from(alone[patch]);
                lit[row] += weight * f32::from(all[patch]);
            }
            let share = |lit: [f32; 4], row: usize| match eye.totals[row] {
                0.0 => 0.0,
                total => lit[row] / (255.0 * total as f32),
            };
            let [nose, side, gear] = [0, 1, 2].map(|row| share(lit_alone, row));
            [nose, side, gear, share(lit, 2)]
        };
        let foreign = node.foreign.iter().flat_map(|(area_m2, core)| {
            let area = (area_m2 / lost_m2).min(1.0) as f32;
            [area, f32::from(u8::from(*core))].map(|one| one * FOREIGN)
        });
        some.iter().flat_map(of_eye).chain(foreign).collect()
    }
}
