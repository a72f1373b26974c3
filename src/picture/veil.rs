//! What one sees through, on the plain picture: woven wire and leaves, drawn as the share of each sample that they
//! cover. A hash of pixels, which counts right, looks like noise. May not enter: counting.

use super::finish::Place;
use super::noise::in_space;
use super::pieces::Pieces;
use super::surface::Seen;
use crate::scene::coat::Finish;
use crate::sighting::frame::Id;
use crate::sighting::stage::Stage;
use glam::DVec3;

/// Denser weaves are hashed: what they shade matters.
const SHEER: f64 = 0.35;

/// What kind of veil an object is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Veil {
    /// Woven wire; its opacity.
    Mesh(f64),
    /// Leaves; their opacity.
    Leaves(f64),
}

impl Veil {
    /// The veil that an object is, if it is one.
    pub fn of(stage: &Stage, id: Id) -> Option<Veil> {
        let object = &stage.objects[id.as_object()?];
        let first = object.coats.first()?.finish;
        match object.opacity {
            opacity if opacity >= 1.0 => None,
            opacity if first == Finish::Mesh && opacity <= SHEER => Some(Veil::Mesh(opacity)),
            opacity if first.is_soft() => Some(Veil::Leaves(opacity)),
            _ => None,
        }
    }
}

/// Stages to draw one over the other: without any veil, with leaves, with everything; the later ones only
/// where there is something for them.
pub fn layers(stage: &Stage) -> Vec<Stage> {
    let veils: Vec<Option<Veil>> = (0..stage.objects.len())
        .map(|k| Veil::of(stage, Id::object(k)))
        .collect();
    let with = |shown: &dyn Fn(Veil) -> bool| {
        let mut stage = stage.clone();
        for (object, veil) in stage.objects.iter_mut().zip(&veils) {
            if let Some(veil) = veil {
                object.opacity = if shown(*veil) { 1.0 } else { 0.0 };
            }
        }
        stage
    };
    let has = |is: fn(&Veil) -> bool| veils.iter().flatten().any(is);
    let is_leaves = |veil: &Veil| matches!(veil, Veil::Leaves(_));
    let is_mesh = |veil: &Veil| matches!(veil, Veil::Mesh(_));
    let mut layers = vec![with(&|_| false)];
    if has(is_leaves) {
        layers.push(with(&|veil| is_leaves(&veil)));
    }
    if has(is_mesh) {
        layers.push(with(&|_| true));
    }
    layers
}

/// What casts shadows: everything but sheer meshes, whose tenth of shade would be noise; leaves by their hash,
/// which dapples.
pub fn casters(stage: &Stage) -> Stage {
    let mut casters = stage.clone();
    for k in 0..stage.objects.len() {
        if let Some(Veil::Mesh(_)) = Veil::of(stage, Id::object(k)) {
            casters.objects[k].opacity = 0.0;
        }
    }
    casters
}

/// The share of a sample that is covered there.
pub fn share(
    stage: &Stage,
    pieces: &Pieces,
    seen: &Seen,
    direction: DVec3,
    footprint_m: f64,
) -> f64 {
    match Veil::of(stage, seen.id) {
        None => 1.0,
        Some(Veil::Mesh(opacity)) => {
            Place::on(seen.point, seen.normal, direction, footprint_m).weave(opacity)
        }
        Some(Veil::Leaves(opacity)) => {
            let facing = facing(stage, pieces, seen, direction);
            let clump_m = clump_m(stage, seen.id);
            leaves(opacity, clump_m, seen.point, facing, footprint_m)
        }
    }
}

/// How squarely a mass of leaves faces the eye: 0 at its rim. A mass before others of its own crown has no rim.
fn facing(stage: &Stage, pieces: &Pieces, seen: &Seen, direction: DVec3) -> f64 {
    let Some(k) = seen.id.as_object() else {
        return 1.0;
    };
    // A mass seen from below is as dense as one seen square on.
    let own = pieces.at(k, seen.point).map_or(1.0, |found| {
        let below = (-found.normal.z - 0.6).max(0.0) * 2.5;
        below.max(-found.normal.dot(direction))
    });
    let is_round = stage.objects[k].coats[0].finish == Finish::Leaves;
    let whole = stage.bounds.get(k).filter(|_| is_round);
    let whole = whole.map_or(0.0, |[low, high]| {
        let radii = ((*high - *low) / 2.0).max(DVec3::splat(0.05));
        let round = (seen.point - (*low + *high) / 2.0) / (radii * radii);
        -round.normalize_or_zero().dot(direction)
    });
    own.max(whole)
}

/// How large clumps are: on a bush smaller than on a tree.
fn clump_m(stage: &Stage, id: Id) -> f64 {
    let bounds = id.as_object().and_then(|k| stage.bounds.get(k));
    let size_m = bounds.map_or(10.0, |[low, high]| (*high - *low).max_element());
    (0.02 * size_m).clamp(0.05, 0.2)
}

/// Leaves in clumps, dense in the middle of a mass and ragged at its rim, where one looks through few of them.
fn leaves(opacity: f64, clump_m: f64, point: DVec3, facing: f64, footprint_m: f64) -> f64 {
    /// Standard deviation of the noise below, as it is found.
    const SPREAD: f64 = 0.62;
    let noise = in_space(point, clump_m, 5, 0.9, footprint_m, 191);
    // Density falls evenly over the rim, where a mass faces the eye by less than a half. Of a ball's disc that
    // takes ∫(1 − 2f)·2f df = 1/12 (f from 0 to 1/2), which the middle makes up for.
    let rim = 1.0 - (facing / 0.5).clamp(0.0, 1.0);
    let middle = (opacity * 12.0 / 11.0).min(0.99);
    // The normal distribution's quantile, by the logistic one (within a hundredth between 0.05 and 0.95).
    let quantile = 0.588 * (middle / (1.0 - middle)).ln();
    let holes_below = SPREAD * quantile * (2.0 * rim - 1.0);
    let shown = ((0.3 * clump_m / footprint_m - 1.0) / 2.0).clamp(0.0, 1.0);
    let covered = ((noise - holes_below) / 0.25 + 0.5).clamp(0.0, 1.0);
    let mean = middle * (1.0 - rim);
    mean + (covered - mean) * shown
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Over a ball's disc, near and far, leaves cover about what the file says. Seen from afar a point of the
    /// disc at a distance r from its middle faces the eye by √(1 − r²).
    #[test]
    fn a_mass_of_leaves_covers_its_opacity_on_the_mean() {
        for opacity in [0.7, 0.85, 0.95] {
            for footprint_m in [0.004, 2.0] {
                let (mut sum, mut count) = (0.0, 0.0);
                for (i, j) in (-100..=100).flat_map(|i| (-100..=100).map(move |j| (i, j))) {
                    let r2 = f64::from(i * i + j * j) / 1e4;
                    if r2 < 1.0 {
                        let facing = (1.0 - r2).sqrt();
                        let at =
                            DVec3::new(f64::from(i) * 0.03, -3.0 * facing, f64::from(j) * 0.03);
                        sum += leaves(opacity, 0.3, at, facing, footprint_m);
                        count += 1.0;
                    }
                }
                let mean: f64 = sum / count;
                assert!(
                    (mean - opacity).abs() < 0.06,
                    "{opacity}, {footprint_m}: {mean}"
                );
            }
        }
    }

    /// Two sets of wires that each cover c leave (1 − c)² free.
    #[test]
    fn a_weave_covers_its_opacity_on_the_mean() {
        for opacity in [0.05, 0.1, 0.3] {
            for footprint_m in [0.001, 0.02, 0.5] {
                let samples = (0..300).flat_map(|i| (0..300).map(move |j| (i, j)));
                let sum: f64 = samples
                    .map(|(i, j)| {
                        let at = DVec3::new(f64::from(i) * 0.00717, 0.0, f64::from(j) * 0.00731);
                        Place::on(at, DVec3::Y, -DVec3::Y, footprint_m).weave(opacity)
                    })
                    .sum();
                let mean = sum / 90_000.0;
                assert!(
                    (mean - opacity).abs() < 0.01,
                    "{opacity}, {footprint_m}: {mean}"
                );
            }
        }
    }
}
