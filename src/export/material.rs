//! Paints and coats as materials: base colour in linear light, and roughness. May not enter: shapes.

use super::Document;
use crate::mesh::model::Material;
use crate::mesh::part::Role;
use crate::picture::surface::polish_and_rough;
use crate::picture::tone::decode;
use crate::scene::coat::{Coat, Finish};
use glam::DVec3;
use serde_json::json;
use std::collections::HashMap;

/// A material told apart from others: colour, roughness and opacity, in fine steps.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
struct Key([i64; 5]);

/// The materials of a document, each once.
#[derive(Debug, Default)]
pub struct Materials {
    index: HashMap<(String, Key), usize>,
    names: HashMap<String, usize>,
}

impl Materials {
    /// A machine's paint as a part wears it. A mesh that is not closed is seen from both sides.
    pub fn paint(
        &mut self,
        document: &mut Document,
        paint: &Material,
        role: Role,
        closed: bool,
    ) -> usize {
        let (_, rough) = polish_and_rough(role);
        self.of(
            document,
            &paint.name,
            decode(paint.color_srgb),
            rough,
            1.0,
            !closed,
        )
    }

    /// A coat of something around the machine that stops so much of light and sight.
    pub fn coat(&mut self, document: &mut Document, coat: Coat, opacity: f64) -> usize {
        let (name, rough) = finish(coat.finish);
        self.of(
            document,
            name,
            decode(coat.color_srgb),
            rough,
            opacity,
            false,
        )
    }

    fn of(
        &mut self,
        document: &mut Document,
        name: &str,
        color: DVec3,
        rough: f64,
        opacity: f64,
        both_sides: bool,
    ) -> usize {
        let fine = |value: f64| (value * 1e6).round() as i64;
        let key = Key([color.x, color.y, color.z, rough, opacity].map(fine));
        if let Some(index) = self.index.get(&(name.to_string(), key)) {
            return *index;
        }
        let count = self.names.entry(name.to_string()).or_default();
        *count += 1;
        let own_name = match count {
            1 => name.to_string(),
            n => format!("{name} {n}"),
        };
        let mut material = json!({
            "name": own_name,
            "pbrMetallicRoughness": {
                "baseColorFactor": [color.x, color.y, color.z, opacity],
                "metallicFactor": 0.0,
                "roughnessFactor": rough,
            },
        });
        if opacity < 1.0 {
            material["alphaMode"] = json!("BLEND");
        }
        if both_sides {
            material["doubleSided"] = json!(true);
        }
        document.materials.push(material);
        let index = document.materials.len() - 1;
        self.index.insert((name.to_string(), key), index);
        index
    }
}

/// The name and the roughness of a finish (from memory: what dull, painted, glazed things look like).
fn finish(finish: Finish) -> (&'static str, f64) {
    match finish {
        Finish::Plain => ("plain", 0.9),
        Finish::Paint => ("paint", 0.4),
        Finish::Timber => ("timber", 0.9),
        Finish::Boards => ("boards", 0.9),
        Finish::Brick => ("brick", 0.95),
        Finish::Corrugated => ("corrugated", 0.5),
        Finish::Concrete => ("concrete", 0.9),
        Finish::Glass => ("glass", 0.05),
        Finish::Roofing => ("roofing", 0.95),
        Finish::Steel => ("steel", 0.6),
        Finish::Mesh => ("mesh", 0.6),
        Finish::Leaves => ("leaves", 0.8),
        Finish::Needles => ("needles", 0.85),
        Finish::Twigs => ("twigs", 0.95),
        Finish::Bark => ("bark", 0.95),
        Finish::Weeds => ("weeds", 0.9),
        Finish::Cloth => ("cloth", 0.95),
        Finish::Skin => ("skin", 0.7),
        Finish::Grass => ("grass", 0.95),
        Finish::Gravel => ("gravel", 0.95),
        Finish::Asphalt => ("asphalt", 0.9),
    }
}
