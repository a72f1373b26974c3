//! L: what the suns of a grid in declination and hour angle light. May not enter: eyes.

use super::instants::Instant;
use super::request::{Cancelled, Watch};
use crate::grade::Studio;
use crate::sighting::elevation::BodyFaces;
use crate::sighting::frame::Frame;
use crate::sighting::lit::SunBuffer;
use crate::sighting::rasterizer::Around;
use crate::sighting::shown::Shown;
use crate::sighting::stage::Stage;
use crate::sighting::view::View;
use crate::sky::daylight::{Daylight, daylight};
use crate::sky::sun::{horizontal_from_equatorial, refraction_deg, toward};
use glam::DVec3;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::Mutex;

/// Step of the grid in declination and hour angle, degrees.
const STEP_DEG: f64 = 1.0;

/// A direction of the grid.
pub struct Node {
    /// Unit vector toward the sun, machine frame.
    pub toward: DVec3,
    /// Clear or veiled, as the scene's sky.
    pub daylight: Daylight,
    /// Foreign shadow on the body for each side shown (see [`Suns::shown`]): weighted area, core.
    pub foreign: Vec<(f64, bool)>,
}

/// Four nodes round an instant's sun with their weights.
pub type Corners = [(u32, f32); 4];

/// The grid's nodes that are needed, and their lit shares.
pub struct Suns {
    /// Directions in use.
    pub nodes: Vec<Node>,
    /// What [`Node::foreign`] counts over.
    pub shown: Vec<Shown>,
    /// `[patch][node]`: share of the patch in direct sun with the machine alone, 0–255.
    pub alone: Vec<u8>,
    /// The same with everything.
    pub all: Vec<u8>,
    /// For each instant its corners.
    pub corners: Vec<Corners>,
}

/// Which directions are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Nodes {
    /// The corners of the grid's fields in which suns lie: for instants close to one another, which share them.
    Grid,
    /// Every instant's own sun: for instants so far apart that no two would share a corner.
    Own,
}

/// A node with its patches' lit shares, alone and with everything.
type DrawnNode = (Node, Vec<u8>, Vec<u8>);

impl Suns {
    /// Draws the nodes for the suns of `instants`, `batch` in one go.
    pub fn draw(
        studio: &Studio,
        instants: &[Instant],
        shown: &[Shown],
        nodes: Nodes,
        batch: usize,
        watch: &Watch,
    ) -> Result<Suns, Cancelled> {
        let (nodes, corners) = match nodes {
            Nodes::Grid => grid(studio, instants),
            Nodes::Own => own(studio, instants),
        };
        let faces: Vec<&BodyFaces> = shown.iter().map(|s| studio.search_faces(*s)).collect();
        let mut drawn: Vec<DrawnNode> = Vec::with_capacity(nodes.len());
        let count = nodes.len();
        let mut nodes = nodes.into_iter().peekable();
        while nodes.peek().is_some() {
            watch.alive()?;
            let batch = nodes.by_ref().take(batch).collect();
            drawn.extend(draw_batch(studio, batch, &faces));
        }
        watch.alive()?;
        let patches = studio.stage.patches.len();
        let mut suns = Suns {
            nodes: Vec::with_capacity(count),
            shown: shown.to_vec(),
            alone: vec![0; patches * count],
            all: vec![0; patches * count],
            corners,
        };
        for (k, (node, alone, all)) in drawn.into_iter().enumerate() {
            for n in 0..patches {
                suns.alone[n * count + k] = alone[n];
                suns.all[n * count + k] = all[n];
            }
            suns.nodes.push(node);
        }
        Ok(suns)
    }
}

/// The nodes of the grid round the suns of instants, and between which of them each sun lies.
fn grid(studio: &Studio, instants: &[Instant]) -> (Vec<(Node, f64)>, Vec<Corners>) {
    let mut index: BTreeMap<(i32, i32), u32> = BTreeMap::new();
    let mut corners = Vec::with_capacity(instants.len());
    for instant in instants {
        let dec = instant.sun.declination_deg / STEP_DEG;
        let hour = instant.sun.hour_angle_deg / STEP_DEG;
        let (i, j) = (dec.floor(), hour.floor());
        let (u, v) = ((dec - i) as f32, (hour - j) as f32);
        let mut node = |di: i32, dj: i32| {
            let next = index.len() as u32;
            *index.entry((i as i32 + di, j as i32 + dj)).or_insert(next)
        };
        corners.push([
            (node(0, 0), (1.0 - u) * (1.0 - v)),
            (node(0, 1), (1.0 - u) * v),
            (node(1, 0), u * (1.0 - v)),
            (node(1, 1), u * v),
        ]);
    }
    let mut keys = vec![(0, 0); index.len()];
    for (key, n) in &index {
        keys[*n as usize] = *key;
    }
    let observer = &studio.scene.place.observer;
    let of_key = |key: &(i32, i32)| {
        let (dec, hour) = (key.0 as f64 * STEP_DEG, key.1 as f64 * STEP_DEG);
        let (azimuth, elevation) = horizontal_from_equatorial(observer.lat_deg, dec, hour);
        let apparent =
            elevation + refraction_deg(elevation, observer.pressure_hpa, observer.temperature_c);
        node(studio, azimuth, apparent)
    };
    (keys.par_iter().map(of_key).collect(), corners)
}

/// Each instant's own sun as a node.
fn own(studio: &Studio, instants: &[Instant]) -> (Vec<(Node, f64)>, Vec<Corners>) {
    let of_sun =
        |instant: &Instant| node(studio, instant.sun.azimuth_deg, instant.sun.elevation_deg);
    let alone = |n: usize| {
        [
            (n as u32, 1.0),
            (n as u32, 0.0),
            (n as u32, 0.0),
            (n as u32, 0.0),
        ]
    };
    (
        instants.iter().map(of_sun).collect(),
        (0..instants.len()).map(alone).collect(),
    )
}

/// A node's direction and light, nothing drawn yet; the sun's apparent elevation beside it.
fn node(studio: &Studio, azimuth_deg: f64, apparent_deg: f64) -> (Node, f64) {
    let observer = &studio.scene.place.observer;
    let node = Node {
        toward: studio
            .frame
            .direction_to_machine(toward(azimuth_deg, apparent_deg)),
        daylight: daylight(apparent_deg, observer.pressure_hpa, studio.scene.sky),
        foreign: vec![],
    };
    (node, apparent_deg)
}

/// Draws nodes; of those below the horizon there is nothing to draw.
fn draw_batch(studio: &Studio, nodes: Vec<(Node, f64)>, faces: &[&BodyFaces]) -> Vec<DrawnNode> {
    let stage = &studio.stage;
    let width = studio.rulebook.search.sun_px;
    let up: Vec<usize> = (0..nodes.len()).filter(|i| nodes[*i].1 > 0.0).collect();
    let views = up
        .par_iter()
        .map(|i| View::of_sun(nodes[*i].0.toward, &stage.hull, width));
    let views: Vec<View> = views.collect();
    let dark = |(node, _): (Node, f64)| {
        let foreign = vec![(0.0, false); faces.len()];
        let patches = vec![0; stage.patches.len()];
        Mutex::new((Node { foreign, ..node }, patches.clone(), patches))
    };
    let drawn: Vec<Mutex<DrawnNode>> = nodes.into_iter().map(dark).collect();
    let rasterizer = studio.rasterizer;
    rasterizer.sight_each(stage, &views, Around::Casters, &|i, sighting| {
        let mut drawn = drawn[up[i]].lock().unwrap_or_else(|held| held.into_inner());
        let (node, alone, all) = &mut *drawn;
        let sun = SunBuffer {
            view: views[i].clone(),
            toward: node.toward,
            sighting: std::mem::take(sighting),
        };
        (*alone, *all) = (
            lit_bytes(studio, &sun, &sun.sighting.alone),
            lit_bytes(studio, &sun, &sun.sighting.all),
        );
        node.foreign = faces
            .iter()
            .map(|faces| foreign(stage, &sun, faces))
            .collect();
        *sighting = sun.sighting;
    });
    let drawn = drawn.into_iter().map(|node| node.into_inner());
    drawn
        .map(|node| node.unwrap_or_else(|held| held.into_inner()))
        .collect()
}

/// Lit shares of the patches, of what lies bare of them, 0–255.
fn lit_bytes(studio: &Studio, sun: &SunBuffer, frame: &Frame) -> Vec<u8> {
    let shares = sun.shares(&studio.stage.patches, frame);
    (shares.into_iter().zip(&studio.openness.bare))
        .map(|(share, bare)| ((share / bare).min(1.0) * 255.0).round() as u8)
        .collect()
}

/// What other things' shadows cover of the body: area of the largest, and whether any has a core.
fn foreign(stage: &Stage, sun: &SunBuffer, faces: &BodyFaces) -> (f64, bool) {
    let shadows = faces.shadows(stage, sun);
    let area = shadows.first().map_or(0.0, |shadow| shadow.area_m2);
    (area, shadows.iter().any(|shadow| shadow.core))
}
