//! L: what the suns of a grid in declination and hour angle light. May not enter: eyes.

use super::instants::Instant;
use super::request::{Cancelled, Watch};
use crate::grade::Studio;
use crate::sighting::elevation::BodyFaces;
use crate::sighting::lit::SunBuffer;
use crate::sighting::rasterizer::Around;
use crate::sighting::shown::Shown;
use crate::sky::daylight::{Daylight, daylight};
use crate::sky::sun::{horizontal_from_equatorial, refraction_deg, toward};
use glam::DVec3;
use rayon::prelude::*;
use std::collections::BTreeMap;

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

/// A node with its patches' lit shares, alone and with everything.
type DrawnNode = (Node, Vec<u8>, Vec<u8>);

impl Suns {
    /// Draws the nodes round the suns of `instants`.
    pub fn draw(
        studio: &Studio,
        instants: &[Instant],
        shown: &[Shown],
        watch: &Watch,
    ) -> Result<Suns, Cancelled> {
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
        let faces: Vec<&BodyFaces> = shown.iter().map(|s| studio.search_faces(*s)).collect();
        let drawn: Vec<Option<DrawnNode>> = keys
            .par_iter()
            .map(|key| watch.alive().ok().map(|()| draw_node(studio, *key, &faces)))
            .collect();
        watch.alive()?;
        let patches = studio.stage.patches.len();
        let count = keys.len();
        let mut suns = Suns {
            nodes: Vec::with_capacity(count),
            shown: shown.to_vec(),
            alone: vec![0; patches * count],
            all: vec![0; patches * count],
            corners,
        };
        for (k, (node, alone, all)) in drawn.into_iter().flatten().enumerate() {
            for n in 0..patches {
                suns.alone[n * count + k] = alone[n];
                suns.all[n * count + k] = all[n];
            }
            suns.nodes.push(node);
        }
        Ok(suns)
    }
}

fn draw_node(studio: &Studio, key: (i32, i32), faces: &[&BodyFaces]) -> DrawnNode {
    let observer = &studio.scene.place.observer;
    let (dec, hour) = (key.0 as f64 * STEP_DEG, key.1 as f64 * STEP_DEG);
    let (azimuth, elevation) = horizontal_from_equatorial(observer.lat_deg, dec, hour);
    let apparent =
        elevation + refraction_deg(elevation, observer.pressure_hpa, observer.temperature_c);
    let toward = studio.frame.direction_to_machine(toward(azimuth, apparent));
    let daylight = daylight(apparent, observer.pressure_hpa, studio.scene.sky);
    let patches = &studio.stage.patches;
    if apparent <= 0.0 {
        let dark = vec![0; patches.len()];
        let foreign = vec![(0.0, false); faces.len()];
        return (
            Node {
                toward,
                daylight,
                foreign,
            },
            dark.clone(),
            dark,
        );
    }
    let width = studio.rulebook.search.sun_px;
    let sun = SunBuffer::draw(
        studio.rasterizer,
        &studio.stage,
        toward,
        Around::Casters,
        width,
    );
    let bytes = |frame| -> Vec<u8> {
        let shares = sun.shares(patches, frame);
        (shares.into_iter().zip(&studio.openness.bare))
            .map(|(share, bare)| ((share / bare).min(1.0) * 255.0).round() as u8)
            .collect()
    };
    let (alone, all) = (bytes(&sun.sighting.alone), bytes(&sun.sighting.all));
    let foreign = (faces.iter())
        .map(|faces| {
            let shadows = faces.shadows(&studio.stage, &sun);
            let area = shadows.first().map_or(0.0, |shadow| shadow.area_m2);
            (area, shadows.iter().any(|shadow| shadow.core))
        })
        .collect();
    (
        Node {
            toward,
            daylight,
            foreign,
        },
        alone,
        all,
    )
}
