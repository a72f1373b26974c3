//! W: what each allowed eye sees of the machine, and what its lenses make of it. May not enter: suns.

use super::request::{Cancelled, Watch};
use super::spots::Spot;
use crate::grade::measure::eye::{Eye, WIDEST_DEG};
use crate::grade::measure::light::{LETTERING, row};
use crate::grade::{Stand, Studio, Tally, Verdict};
use crate::mesh::part::Role;
use crate::sighting::shown::Shown;
use glam::DVec3;
use rayon::prelude::*;
use std::sync::{Arc, Mutex};

/// One stand without its minute.
pub struct Framing {
    /// Where and how.
    pub stand: Stand,
    /// Its tally so far: composition, subject and focus.
    pub tally: Tally,
}

/// A point to look from with the lenses that suit it, nothing drawn yet.
pub struct Post {
    /// Index of its piece of ground.
    pub area: usize,
    /// The eye in the machine frame.
    pub eye: DVec3,
    /// What it is shown.
    pub shown: Shown,
    /// Stands that differ by lens; their tallies hold what geometry says.
    pub framings: Vec<Framing>,
}

/// A post as it was drawn.
pub struct SearchEye {
    /// The post; its tallies hold all that needs no sun.
    pub post: Post,
    /// W: patches of nose, side, running gear and lettering with their row and pixel count.
    pub weights: Vec<(u32, u8, f32)>,
    /// Pixels of each row.
    pub totals: [f64; 4],
}

/// Every post on the spots at the kit's heights, with the lenses whose composition geometry does not lose
/// (`keep_lost` keeps those too).
pub fn posts(studio: &Studio, spots: &[Spot], lenses_mm: &[f64], keep_lost: bool) -> Vec<Post> {
    let heights = &studio.scene.kit.heights_m;
    (spots.par_iter())
        .flat_map_iter(|spot| heights.iter().map(move |height_m| (spot, *height_m)))
        .filter_map(|(spot, height_m)| post(studio, spot, height_m, lenses_mm, keep_lost))
        .collect()
}

fn post(
    studio: &Studio,
    spot: &Spot,
    height_m: f64,
    lenses_mm: &[f64],
    keep_lost: bool,
) -> Option<Post> {
    let capture = studio.default_capture();
    let framing = |lens_mm: &f64| {
        let mut stand = Stand {
            spot_m: spot.at_m,
            height_m,
            lens_mm: *lens_mm,
            heading_deg: 0.0,
            pitch_deg: 0.0,
            roll_deg: 0.0,
        };
        stand.heading_deg = studio.balanced_heading_deg(&stand);
        let tally = studio.geometry_tally(&stand, &capture);
        (keep_lost || tally.verdict() > Verdict::Lost).then_some(Framing { stand, tally })
    };
    let framings: Vec<Framing> = lenses_mm.iter().filter_map(framing).collect();
    let eye = studio.eye(&framings.first()?.stand);
    Some(Post {
        area: spot.area,
        eye,
        shown: Shown::to(eye),
        framings,
    })
}

/// Draws the posts, `batch` in one go; those for which the machine spans too much are left out.
pub fn draw(
    studio: &Studio,
    posts: Vec<Post>,
    batch: usize,
    watch: &Watch,
) -> Result<Vec<SearchEye>, Cancelled> {
    let mut seen = Vec::with_capacity(posts.len());
    let mut posts = posts.into_iter().peekable();
    while posts.peek().is_some() {
        watch.alive()?;
        seen.extend(draw_batch(studio, posts.by_ref().take(batch)));
    }
    watch.alive()?;
    Ok(seen)
}

fn draw_batch(studio: &Studio, posts: impl Iterator<Item = Post>) -> Vec<SearchEye> {
    let width = studio.rulebook.search.width_px;
    let (mut views, mut slots) = (Vec::new(), Vec::new());
    for post in posts {
        if let Some(view) = Eye::view(&studio.stage, post.eye, width, WIDEST_DEG) {
            views.push(view);
            slots.push(Mutex::new((Some(post), None)));
        }
    }
    let (rasterizer, stage) = (studio.rasterizer, &studio.stage);
    rasterizer.sight_each(stage, &views, Eye::AROUND, &|i, sighting| {
        let mut slot = slots[i].lock().unwrap_or_else(|held| held.into_inner());
        if let Some(post) = slot.0.take() {
            let eye = Eye::of(stage, views[i].clone(), std::mem::take(sighting));
            slot.1 = Some(search_eye(studio, post, eye));
        }
    });
    let drawn = slots.into_iter().map(|slot| {
        let (_, drawn) = slot.into_inner().unwrap_or_else(|held| held.into_inner());
        drawn
    });
    drawn.flatten().collect()
}

fn search_eye(studio: &Studio, mut post: Post, eye: Eye) -> SearchEye {
    let eye = Arc::new(eye);
    for framing in &mut post.framings {
        let capture = studio.default_capture();
        let composed = studio.compose_seen(Some(eye.clone()), &framing.stand, &capture);
        framing.tally.clear();
        let measured = &composed.measured;
        framing.tally.add_measured(studio.rulebook, measured);
    }
    let mut counts = vec![0u32; studio.stage.patches.len()];
    eye.sighting.alone.count_patches(&mut counts);
    let mut weights = Vec::new();
    let mut totals = [0.0; 4];
    for (n, count) in counts.iter().enumerate().filter(|(_, count)| **count > 0) {
        let role = studio.stage.patches.role[n];
        let class = eye.shown.class(role, studio.stage.patches.normal[n]);
        let Some(row) = row(class) else {
            continue;
        };
        let mut put = |row: usize| {
            weights.push((n as u32, row as u8, *count as f32));
            totals[row] += *count as f64;
        };
        put(row);
        if role == Role::Lettering {
            put(LETTERING);
        }
    }
    SearchEye {
        post,
        weights,
        totals,
    }
}
