//! A glTF document in the making: nodes, meshes and accessors over one buffer, and the two containers that it is
//! written in. May not enter: scenes.

use super::triangles::Flat;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Map, Value, json};

/// What a file holds the document in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Container {
    /// JSON with the buffer inside, base64 (`.gltf`).
    Embedded,
    /// One binary file (`.glb`).
    Binary,
}

/// The buffer's parts, each with its own view; every element is made of words of four bytes.
#[derive(Debug, Default)]
struct Blocks {
    positions: Vec<u8>,
    normals: Vec<u8>,
    indices: Vec<u8>,
}

/// A document.
#[derive(Debug, Default)]
pub struct Document {
    blocks: Blocks,
    accessors: Vec<Value>,
    meshes: Vec<Value>,
    /// Materials, in the order of their indices.
    pub materials: Vec<Value>,
    /// Cameras.
    pub cameras: Vec<Value>,
    /// Directional and other lights of `KHR_lights_punctual`.
    pub lights: Vec<Value>,
    nodes: Vec<Value>,
    roots: Vec<usize>,
    /// What the standard has no place for.
    pub extras: Value,
}

/// Numbers of the standard's section 5.1 and 5.11.
const FLOAT: u32 = 5126;
const UNSIGNED_INT: u32 = 5125;
const ARRAY_BUFFER: u32 = 34962;
const ELEMENT_ARRAY_BUFFER: u32 = 34963;

impl Document {
    /// Adds a node; its index.
    pub fn node(&mut self, node: Value) -> usize {
        self.nodes.push(node);
        self.nodes.len() - 1
    }

    /// Adds a node that stands in the scene itself.
    pub fn root(&mut self, node: Value) {
        let index = self.node(node);
        self.roots.push(index);
    }

    /// Adds a node with a mesh of a primitive for each material; none where nothing has an area.
    pub fn mesh_node(
        &mut self,
        name: &str,
        primitives: &[(usize, Flat)],
        extras: Value,
    ) -> Option<usize> {
        let drawn = primitives
            .iter()
            .filter(|(_, flat)| !flat.indices.is_empty());
        let primitives: Vec<Value> = drawn
            .map(|(material, flat)| self.primitive(*material, flat))
            .collect();
        if primitives.is_empty() {
            return None;
        }
        self.meshes
            .push(json!({"name": name, "primitives": primitives}));
        let mesh = self.meshes.len() - 1;
        Some(self.node(json!({"name": name, "mesh": mesh, "extras": extras})))
    }

    fn primitive(&mut self, material: usize, flat: &Flat) -> Value {
        let bytes = |values: &[[f32; 3]]| -> Vec<u8> {
            values
                .iter()
                .flatten()
                .flat_map(|value| value.to_le_bytes())
                .collect()
        };
        let bound = |pick: fn(f32, f32) -> f32| {
            let folded = flat
                .positions
                .iter()
                .copied()
                .reduce(|a, b| [0, 1, 2].map(|k| pick(a[k], b[k])));
            folded.unwrap_or_default().map(f64::from)
        };
        let position = json!({
            "bufferView": 0, "byteOffset": self.blocks.positions.len(), "componentType": FLOAT,
            "count": flat.positions.len(), "type": "VEC3", "min": bound(f32::min), "max": bound(f32::max),
        });
        let normal = json!({
            "bufferView": 1, "byteOffset": self.blocks.normals.len(), "componentType": FLOAT,
            "count": flat.normals.len(), "type": "VEC3",
        });
        let indices = json!({
            "bufferView": 2, "byteOffset": self.blocks.indices.len(), "componentType": UNSIGNED_INT,
            "count": flat.indices.len(), "type": "SCALAR",
        });
        self.blocks.positions.extend(bytes(&flat.positions));
        self.blocks.normals.extend(bytes(&flat.normals));
        let words = flat.indices.iter().flat_map(|index| index.to_le_bytes());
        self.blocks.indices.extend(words);
        let first = self.accessors.len();
        self.accessors.extend([position, normal, indices]);
        json!({
            "attributes": {"POSITION": first, "NORMAL": first + 1},
            "indices": first + 2,
            "material": material,
        })
    }

    /// The document as the bytes of a file.
    pub fn bytes(mut self, container: Container) -> Vec<u8> {
        let Blocks {
            positions,
            normals,
            indices,
        } = std::mem::take(&mut self.blocks);
        let mut buffer = json!({"byteLength": positions.len() + normals.len() + indices.len()});
        let views = json!([
            {"buffer": 0, "byteOffset": 0, "byteLength": positions.len(), "byteStride": 12, "target": ARRAY_BUFFER},
            {"buffer": 0, "byteOffset": positions.len(), "byteLength": normals.len(), "byteStride": 12,
             "target": ARRAY_BUFFER},
            {"buffer": 0, "byteOffset": positions.len() + normals.len(), "byteLength": indices.len(),
             "target": ELEMENT_ARRAY_BUFFER},
        ]);
        let data = [positions, normals, indices].concat();
        if container == Container::Embedded {
            let text = STANDARD.encode(&data);
            buffer["uri"] = json!(format!("data:application/octet-stream;base64,{text}"));
        }
        let root = self.root_object(buffer, views);
        match container {
            Container::Embedded => Value::Object(root).to_string().into_bytes(),
            Container::Binary => binary(&Value::Object(root).to_string(), data),
        }
    }

    fn root_object(self, buffer: Value, views: Value) -> Map<String, Value> {
        let mut root = Map::new();
        let generator = concat!("sunside ", env!("CARGO_PKG_VERSION"));
        root.insert(
            "asset".into(),
            json!({"version": "2.0", "generator": generator}),
        );
        // The standard allows no empty lists.
        if !self.lights.is_empty() {
            root.insert("extensionsUsed".into(), json!(["KHR_lights_punctual"]));
            let lights = json!({"KHR_lights_punctual": {"lights": self.lights}});
            root.insert("extensions".into(), lights);
        }
        root.insert("scene".into(), json!(0));
        root.insert(
            "scenes".into(),
            json!([{"nodes": self.roots, "extras": self.extras}]),
        );
        if !self.accessors.is_empty() {
            root.insert("buffers".into(), json!([buffer]));
            root.insert("bufferViews".into(), views);
        }
        for (key, list) in [
            ("nodes", self.nodes),
            ("meshes", self.meshes),
            ("materials", self.materials),
            ("cameras", self.cameras),
            ("accessors", self.accessors),
        ] {
            if !list.is_empty() {
                root.insert(key.into(), Value::Array(list));
            }
        }
        root
    }
}

/// The binary container (section 4.4): a head of twelve bytes, then JSON and buffer, each padded to whole words.
fn binary(json: &str, mut data: Vec<u8>) -> Vec<u8> {
    let mut text = json.as_bytes().to_vec();
    text.resize(text.len().next_multiple_of(4), b' ');
    data.resize(data.len().next_multiple_of(4), 0);
    let mut bytes = b"glTF".to_vec();
    let total = 12 + 8 + text.len() + 8 + data.len();
    bytes.extend(2_u32.to_le_bytes());
    bytes.extend((total as u32).to_le_bytes());
    for (kind, chunk) in [(b"JSON", text), (b"BIN\0", data)] {
        bytes.extend((chunk.len() as u32).to_le_bytes());
        bytes.extend(kind);
        bytes.extend(chunk);
    }
    bytes
}
