//! A scene exported and read back by an independent reader (the `gltf` crate, which validates). May not enter: what
//! is expected of it.

use chrono::{DateTime, Utc};
use glam::{DMat4, DVec3, Mat4};
use std::path::Path;
use sunside::export::{Container, Exposure, of_scene};
use sunside::grade::{Rulebook, Stand, Studio};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;

/// An exported scene, read back.
pub struct Read {
    pub document: gltf::Document,
    pub data: Vec<u8>,
}

/// A node with its place in the world.
pub struct Placed<'a> {
    pub node: gltf::Node<'a>,
    pub world: DMat4,
}

impl Read {
    pub fn of(bytes: &[u8]) -> Read {
        let (document, buffers, _) = gltf::import_slice(bytes).unwrap();
        assert_eq!(buffers.len(), 1);
        Read {
            document,
            data: buffers[0].0.clone(),
        }
    }

    /// Every node of the scene.
    pub fn nodes(&self) -> Vec<Placed<'_>> {
        fn walk<'a>(node: gltf::Node<'a>, above: DMat4, out: &mut Vec<Placed<'a>>) {
            let own = Mat4::from_cols_array_2d(&node.transform().matrix()).as_dmat4();
            let world = above * own;
            for child in node.children() {
                walk(child, world, out);
            }
            out.push(Placed { node, world });
        }
        let mut nodes = Vec::new();
        for node in self.document.default_scene().unwrap().nodes() {
            walk(node, DMat4::IDENTITY, &mut nodes);
        }
        nodes
    }

    pub fn named(&self, name: &str) -> Placed<'_> {
        let found = self
            .nodes()
            .into_iter()
            .find(|placed| placed.node.name() == Some(name));
        found.unwrap_or_else(|| panic!("no node {name}"))
    }

    /// Corners of a node's triangles in the world.
    pub fn triangles(&self, placed: &Placed) -> Vec<[DVec3; 3]> {
        let mut triangles = Vec::new();
        for primitive in placed.node.mesh().unwrap().primitives() {
            let reader = primitive.reader(|_| Some(&self.data));
            let points: Vec<DVec3> = (reader.read_positions().unwrap())
                .map(|p| {
                    placed
                        .world
                        .transform_point3(DVec3::from_array(p.map(f64::from)))
                })
                .collect();
            let indices: Vec<u32> = reader.read_indices().unwrap().into_u32().collect();
            triangles.extend(
                indices
                    .chunks(3)
                    .map(|t| [0, 1, 2].map(|k| points[t[k] as usize])),
            );
        }
        triangles
    }
}

/// Exports a scene from its own stand, changed, and hands it along with what it was made from.
pub fn exported(
    path: &str,
    at: &str,
    change: impl Fn(&mut Stand),
    check: impl FnOnce(&Studio, &Stand, DateTime<Utc>, Read),
) {
    let scene = Scene::load(Path::new(path)).unwrap();
    let at = scene.place.zone.parse_instant(at).unwrap();
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let mut stand = studio.default_stand();
    change(&mut stand);
    let exposure = Some(Exposure {
        f_number: 8.0,
        exposure_s: 0.004,
    });
    let bytes = of_scene(&studio, &stand, at, exposure).bytes(Container::Binary);
    check(&studio, &stand, at, Read::of(&bytes));
}

/// East, north, up as the standard has it: x east, y up, z south.
pub fn world_of(site: DVec3) -> DVec3 {
    DVec3::new(site.x, site.z, -site.y)
}

pub fn bounds(points: impl Iterator<Item = DVec3>) -> [DVec3; 2] {
    points.fold([DVec3::INFINITY, DVec3::NEG_INFINITY], |[low, high], p| {
        [low.min(p), high.max(p)]
    })
}

/// The scene that is exported, and its minute.
pub const SCENE: &str = "scenes/open_siding.toml";
pub const AT: &str = "2027-05-14 10:00";
