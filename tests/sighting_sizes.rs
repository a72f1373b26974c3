//! Lit shares at the two sizes of the sun's picture: what thin parts lose at 512 texels against 2048,
//! on the machine that ships. May not enter: surroundings.

use glam::DVec3;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;
use sunside::mesh::part::Role;
use sunside::mesh::sidecar;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::lit::SunBuffer;
use sunside::sighting::rasterizer::Around;
use sunside::sighting::stage::Stage;
use sunside::sky::sun::toward;

/// Texels across the sun's picture when searching and when proving (rulebook).
const SEARCH_WIDTH: usize = 512;
const PROOF_WIDTH: usize = 2048;

const ELEVATIONS_DEG: [f64; 5] = [10.0, 20.0, 30.0, 45.0, 60.0];

/// Lit area and the area that faces the sun, of each role.
fn shares(stage: &Stage, toward: DVec3, width: usize) -> BTreeMap<Role, (f64, f64)> {
    let sun = SunBuffer::draw(&Cpu::default(), stage, toward, Around::Nothing, width);
    let patches = &stage.patches;
    let lit = sun.shares(patches, &sun.sighting.alone);
    let mut sums: BTreeMap<Role, (f64, f64)> = BTreeMap::new();
    for (n, share) in lit.iter().enumerate() {
        let facing_m2 = patches.area_m2[n] * patches.normal[n].dot(toward).max(0.0);
        let sum = sums.entry(patches.role[n]).or_default();
        sum.0 += f64::from(*share) * facing_m2;
        sum.1 += facing_m2;
    }
    sums
}

/// How much a role's lit share may differ between the sizes under any sun, and its mean over the suns. As
/// measured on this machine, with some room: walls and roofs 0.009, nose and tank 0.022, lights and couplers
/// 0.047, handrails and lettering panels 0.116. Thin parts lose light at search size, for a texel of some
/// 45 mm is wider than they are; that is why no limit is decided there.
fn tolerance(role: Role) -> (f64, f64) {
    match role {
        Role::Handrail | Role::Lettering => (0.13, 0.07),
        Role::Coupler | Role::Light | Role::Detail => (0.06, 0.04),
        Role::Nose | Role::Tank => (0.03, 0.01),
        _ => (0.015, 0.006),
    }
}

/// Difference of each role's lit share from that at proof size, sun by sun.
fn differences(stage: &Stage, width: usize) -> BTreeMap<Role, Vec<f64>> {
    let suns: Vec<DVec3> = (0..20)
        .map(|i| toward(7.0 + 18.0 * i as f64, ELEVATIONS_DEG[i % 5]))
        .collect();
    let of_sun = |toward: &DVec3| {
        let coarse = shares(stage, *toward, width);
        let fine = shares(stage, *toward, PROOF_WIDTH);
        let difference = move |(role, (lit, facing)): (Role, (f64, f64))| {
            (role, (coarse[&role].0 - lit) / facing)
        };
        fine.into_iter().map(difference).collect::<Vec<_>>()
    };
    let each: Vec<Vec<(Role, f64)>> = suns.par_iter().map(of_sun).collect();
    let mut all: BTreeMap<Role, Vec<f64>> = BTreeMap::new();
    for (role, difference) in each.into_iter().flatten() {
        all.entry(role).or_default().push(difference);
    }
    all
}

/// Roles whose lit shares differ by more than they may, with their greatest difference and their mean.
fn beyond(stage: &Stage, width: usize) -> Vec<(Role, f64, f64)> {
    let found = differences(stage, width).into_iter().map(|(role, all)| {
        let most = all.iter().fold(0.0, |most: f64, one| most.max(one.abs()));
        (role, most, all.iter().sum::<f64>() / all.len() as f64)
    });
    found
        .filter(|(role, most, mean)| {
            let (farthest, bias) = tolerance(*role);
            most.is_nan() || *most > farthest || mean.abs() > bias
        })
        .collect()
}

/// Twenty suns all round, low and high, and what the real machine's roles get of them.
#[test]
fn roles_are_about_as_lit_at_search_size_as_at_proof_size() {
    let model = sidecar::load(Path::new("models/hood_six_axle.toml")).unwrap();
    let stage = Stage::of_model(Arc::new(model));
    let found = beyond(&stage, SEARCH_WIDTH);
    assert!(found.is_empty(), "{found:?}");
    // Twin: a quarter of the texels across are too few for the same tolerances.
    assert!(beyond(&stage, SEARCH_WIDTH / 4).len() > 5);
}
