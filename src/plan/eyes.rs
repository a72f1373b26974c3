//! W: what each allowed eye sees of the machine, and what its lenses make of it. May not enter: suns.

use super::request::{Cancelled, Watch};
use super::spots::Spot;
use crate::grade::measure::capture::focus;
use crate::grade::measure::eye::WIDEST_DEG;
use crate::grade::measure::light::{LETTERING, row};
use crate::grade::measure::{composition, subject};
use crate::grade::{Measured, Reading, Stand, Studio, Tally};
use crate::mesh::part::Role;
use crate::sighting::shown::{Class, Shown};
use glam::DVec3;
use rayon::prelude::*;

/// One stand without its minute.
pub struct Framing {
    /// Where and how.
    pub stand: Stand,
    /// Its tally so far: composition, subject and focus.
    pub tally: Tally,
}

/// One eye with the lenses that suit it.
pub struct SearchEye {
    /// Index of its piece of ground.
    pub area: usize,
    /// The eye in the machine frame.
    pub eye: DVec3,
    /// What it is shown.
    pub shown: Shown,
    /// Stands that differ by lens.
    pub framings: Vec<Framing>,
    /// W: patches of nose, side, running gear and lettering with their row and pixel count.
    pub weights: Vec<(u32, u8, f32)>,
    /// Pixels of each row.
    pub totals: [f64; 4],
}

/// Draws every eye on the spots at the kit's heights, with the lenses whose composition is not lost
/// beforehand (`keep_lost` keeps those too).
pub fn eyes(
    studio: &Studio,
    spots: &[Spot],
    lenses_mm: &[f64],
    keep_lost: bool,
    watch: &Watch,
) -> Result<Vec<SearchEye>, Cancelled> {
    let heights = &studio.scene.kit.heights_m;
    let tries: Vec<(Spot, f64)> = spots
        .iter()
        .flat_map(|spot| heights.iter().map(|h| (*spot, *h)))
        .collect();
    let seen: Vec<Option<SearchEye>> = tries
        .par_iter()
        .map(|(spot, height_m)| {
            watch.alive().ok()?;
            search_eye(studio, *spot, *height_m, lenses_mm, keep_lost)
        })
        .collect();
    watch.alive()?;
    Ok(seen.into_iter().flatten().collect())
}

fn search_eye(
    studio: &Studio,
    spot: Spot,
    height_m: f64,
    lenses_mm: &[f64],
    keep_lost: bool,
) -> Option<SearchEye> {
    let model = &studio.scene.machine.model;
    let mut framings: Vec<(Framing, Option<crate::camera::framing::Margins>)> = Vec::new();
    let mut out: Vec<Measured> = Vec::new();
    for lens_mm in lenses_mm {
        let mut stand = Stand {
            spot_m: spot.at_m,
            height_m,
            lens_mm: *lens_mm,
            heading_deg: 0.0,
            pitch_deg: 0.0,
            roll_deg: 0.0,
        };
        stand.heading_deg = studio.balanced_heading_deg(&stand);
        let camera = studio.camera(&stand);
        out.clear();
        composition::viewpoint(
            model,
            studio.scene.machine.head_end,
            camera.pose.eye,
            &mut out,
        );
        let margins = composition::geometry(model, &studio.stage.hull, &camera, &mut out);
        subject::stated(&studio.scene.machine, &mut out);
        focus(model, &camera, &studio.default_capture(), &mut out);
        let mut tally = Tally::new(studio.rulebook.faults.len());
        add(studio, &mut tally, &out);
        if keep_lost || tally.verdict() != crate::grade::Verdict::Lost {
            framings.push((Framing { stand, tally }, margins));
        }
    }
    let first = framings.first()?;
    let eye = studio.eye(&first.0.stand);
    let drawn = studio.look_at_size(eye, &studio.rulebook.search, WIDEST_DEG)?;
    for (framing, margins) in &mut framings {
        out.clear();
        let camera = studio.camera(&framing.stand);
        let is_hill = |direction: DVec3| studio.is_hill(direction);
        let stage = &studio.stage;
        composition::surroundings(stage, &drawn, &camera, *margins, &is_hill, &mut out);
        add(studio, &mut framing.tally, &out);
    }
    let mut counts = vec![0u32; studio.stage.patches.len()];
    drawn.sighting.alone.count_patches(&mut counts);
    let mut weights = Vec::new();
    let mut totals = [0.0; 4];
    for (n, count) in counts.iter().enumerate().filter(|(_, count)| **count > 0) {
        let role = studio.stage.patches.role[n];
        let class = drawn.shown.class(role, studio.stage.patches.normal[n]);
        if class == Class::Other {
            continue;
        }
        let mut put = |row: usize| {
            weights.push((n as u32, row as u8, *count as f32));
            totals[row] += *count as f64;
        };
        put(row(class)?);
        if role == Role::Lettering {
            put(LETTERING);
        }
    }
    Some(SearchEye {
        area: spot.area,
        eye,
        shown: drawn.shown,
        framings: framings.into_iter().map(|(framing, _)| framing).collect(),
        weights,
        totals,
    })
}

/// Adds what was measured to a tally.
pub fn add(studio: &Studio, tally: &mut Tally, measured: &[Measured]) {
    for measured in measured {
        let Some(rule) = studio.rulebook.rule(measured.id) else {
            continue;
        };
        match &measured.reading {
            Reading::Value(value) => tally.add(rule, *value),
            Reading::NotApplicable(_) => {}
            Reading::Unknown(_) => tally.unknown = true,
        }
    }
}
