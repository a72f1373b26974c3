//! L: what the suns of a grid in declination and hour angle light. May not enter: eyes.

use super::instants::Instant;
use super::request::{Cancelled, Watch};
use super::sun_grid::{Grid, Place};
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
use std::sync::Mutex;

/// A direction of the grid.
#[derive(Clone)]
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

/// What should lie straight between neighbouring nodes, told of a node as soon as it is drawn: its light, and the lit
/// shares of the patches alone and with everything.
pub type Probe<'a> = dyn Fn(&Node, &[u8], &[u8]) -> Vec<f32> + Sync + 'a;

/// Which directions are drawn.
#[derive(Clone, Copy)]
pub enum Nodes<'a> {
    /// Those of a grid, finer where what is probed bends: for instants close to one another, which share them.
    Grid(&'a Probe<'a>),
    /// Every instant's own sun: for instants so far apart that no two would share a corner.
    Own,
}

/// A node with its patches' lit shares, alone and with everything, and what was probed of it.
#[derive(Default)]
struct Drawn {
    node: Option<Node>,
    alone: Vec<u8>,
    all: Vec<u8>,
    probed: Vec<f32>,
}

/// Who draws nodes, for whom.
struct Drawing<'a> {
    studio: &'a Studio<'a>,
    faces: Vec<&'a BodyFaces>,
    probe: &'a Probe<'a>,
    batch: usize,
    watch: &'a Watch<'a>,
}

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
        let drawing = Drawing {
            studio,
            faces: shown.iter().map(|s| studio.search_faces(*s)).collect(),
            probe: match nodes {
                Nodes::Grid(probe) => probe,
                Nodes::Own => &|_, _, _| vec![],
            },
            batch,
            watch,
        };
        let mut grid = match nodes {
            Nodes::Grid(_) => Grid::coarse(instants),
            Nodes::Own => Grid::own(instants),
        };
        let mut drawn = drawing.nodes(&grid.places, instants)?;
        while grid.is_open() {
            let known = drawn.len();
            let probed: Vec<&[f32]> = drawn.iter().map(|one| &one.probed[..]).collect();
            grid.refine(instants, &probed);
            drawn.extend(drawing.nodes(&grid.places[known..], instants)?);
        }
        let patches = studio.stage.patches.len();
        let by_patch = |bytes: fn(&Drawn) -> &[u8]| {
            let nodes: Vec<&[u8]> = drawn.iter().map(bytes).collect();
            by_patch(&nodes, patches)
        };
        Ok(Suns {
            shown: shown.to_vec(),
            alone: by_patch(|one| &one.alone),
            all: by_patch(|one| &one.all),
            nodes: drawn.into_iter().filter_map(|one| one.node).collect(),
            corners: grid.corners,
        })
    }
}

/// Turns the patches of each node into the nodes of each patch.
fn by_patch(nodes: &[&[u8]], patches: usize) -> Vec<u8> {
    /// Patches turned at once: a cache line of each node.
    const TILE: usize = 64;
    let mut turned = vec![0; nodes.len() * patches];
    if nodes.is_empty() {
        return turned;
    }
    let tiles = turned.par_chunks_mut(TILE * nodes.len()).enumerate();
    tiles.for_each(|(tile, rows)| {
        for (k, node) in nodes.iter().enumerate() {
            let bytes = &node[tile * TILE..];
            for (row, byte) in rows.chunks_mut(nodes.len()).zip(bytes) {
                row[k] = *byte;
            }
        }
    });
    turned
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

impl Drawing<'_> {
    fn nodes(&self, places: &[Place], instants: &[Instant]) -> Result<Vec<Drawn>, Cancelled> {
        let mut drawn = Vec::with_capacity(places.len());
        for batch in places.chunks(self.batch) {
            self.watch.alive()?;
            drawn.extend(self.of_batch(batch, instants));
        }
        self.watch.alive()?;
        Ok(drawn)
    }

    /// A place's direction and light, and its sun's apparent elevation.
    fn node(&self, place: &Place, instants: &[Instant]) -> (Node, f64) {
        let observer = &self.studio.scene.place.observer;
        match place {
            Place::Own(instant) => {
                let sun = &instants[*instant].sun;
                node(self.studio, sun.azimuth_deg, sun.elevation_deg)
            }
            Place::Key(key) => {
                let [dec_deg, hour_deg] = key.degrees();
                let (azimuth, elevation) =
                    horizontal_from_equatorial(observer.lat_deg, dec_deg, hour_deg);
                let (pressure, temperature) = (observer.pressure_hpa, observer.temperature_c);
                let apparent = elevation + refraction_deg(elevation, pressure, temperature);
                node(self.studio, azimuth, apparent)
            }
        }
    }

    /// Draws nodes; of those below the horizon there is nothing to draw.
    fn of_batch(&self, places: &[Place], instants: &[Instant]) -> Vec<Drawn> {
        let Drawing { studio, faces, .. } = self;
        let stage = &studio.stage;
        let nodes = places.par_iter().map(|place| self.node(place, instants));
        let nodes: Vec<(Node, f64)> = nodes.collect();
        let up: Vec<usize> = (0..nodes.len()).filter(|i| nodes[*i].1 > 0.0).collect();
        let width = studio.rulebook.search.sun_px;
        let views = up.par_iter();
        let views = views.map(|i| View::of_sun(nodes[*i].0.toward, &stage.hull, width));
        let views: Vec<View> = views.collect();
        let slots: Vec<Mutex<Option<Drawn>>> = nodes.iter().map(|_| Mutex::new(None)).collect();
        let finished = |node: Node, alone: Vec<u8>, all: Vec<u8>| Drawn {
            probed: (self.probe)(&node, &alone, &all),
            node: Some(node),
            alone,
            all,
        };
        let casters = Around::Casters;
        (studio.rasterizer).sight_each(stage, &views, casters, &|i, sighting| {
            let node = &nodes[up[i]].0;
            let sun = SunBuffer {
                view: views[i].clone(),
                toward: node.toward,
                sighting: std::mem::take(sighting),
            };
            let foreign = |faces: &&BodyFaces| foreign(stage, &sun, faces);
            let node = Node {
                foreign: faces.iter().map(foreign).collect(),
                ..node.clone()
            };
            let alone = lit_bytes(studio, &sun, &sun.sighting.alone);
            let all = lit_bytes(studio, &sun, &sun.sighting.all);
            let mut slot = slots[up[i]].lock().unwrap_or_else(|held| held.into_inner());
            *slot = Some(finished(node, alone, all));
            *sighting = sun.sighting;
        });
        let drawn = slots.into_iter().zip(nodes).map(|(slot, (node, _))| {
            let slot = slot.into_inner().unwrap_or_else(|held| held.into_inner());
            slot.unwrap_or_else(|| {
                let dark = vec![0; stage.patches.len()];
                let foreign = vec![(0.0, false); faces.len()];
                finished(Node { foreign, ..node }, dark.clone(), dark)
            })
        });
        drawn.collect()
    }
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
