//! A machine's model: its triangles in the machine frame, its parts and the figures that rules need.
//! May not enter: files (see `read`), the place where the machine stands.
//!
//! Machine frame: x forward to the head end, y left, z up from the top of rail, origin on the track
//! centre midway between the coupler faces; metres.

use super::part::Role;
use glam::DVec3;

/// One OBJ group.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// The OBJ group's name.
    pub group: String,
    /// What a person would call it ("cab", "front truck"): named in findings.
    pub name: String,
    /// Its role in the rules.
    pub role: Role,
    /// Index into [`Model::materials`].
    pub material: usize,
}

/// A paint or bare surface.
#[derive(Clone, Debug, PartialEq)]
pub struct Material {
    /// Its name in the sidecar.
    pub name: String,
    /// Colour, sRGB-encoded, 0–255 each.
    pub color_srgb: [u8; 3],
}

/// One triangle: counter-clockwise as seen from outside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Triangle {
    /// Indices into [`Model::vertices`].
    pub corners: [u32; 3],
    /// Index into [`Model::parts`].
    pub part: u32,
}

/// The top handrail beside the hood, straight and level.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Handrail {
    /// Height of the upper rail's centre line over the top of rail.
    pub height_m: f64,
    /// Its distance from the track centre line.
    pub offset_m: f64,
    /// Where along the machine it begins and ends (x, lower and upper).
    pub from_x_m: f64,
    /// Its forward end.
    pub to_x_m: f64,
}

/// The row of doors low on the engine hood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoodDoors {
    /// Height of the doors' lower edge over the top of rail.
    pub bottom_m: f64,
    /// Height of their upper edge.
    pub top_m: f64,
    /// Distance of their outer face from the track centre line.
    pub offset_m: f64,
    /// Where along the machine the row begins (x, lower).
    pub from_x_m: f64,
    /// Where it ends (x, upper).
    pub to_x_m: f64,
}

/// A door on its hinges, shut as the mesh has it.
#[derive(Clone, Debug, PartialEq)]
pub struct HingedDoor {
    /// What a person would call it.
    pub name: String,
    /// Indices into [`Model::triangles`] of what swings.
    pub triangles: Vec<u32>,
    /// Two points of the line that it swings about, machine frame, metres.
    pub hinge_m: [DVec3; 2],
    /// How far it opens, degrees; right-handed about the line from the first to the second point.
    pub open_deg: f64,
}

/// A point of the machine that an eye finds again in a photograph.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedPoint {
    /// What files call it ("cab_roof_front_left").
    pub name: String,
    /// What a person calls it.
    pub words: String,
    /// Where it is, machine frame, doors shut.
    pub position_m: DVec3,
}

/// A set of paints.
#[derive(Clone, Debug, PartialEq)]
pub struct Livery {
    /// Its name in the sidecar.
    pub name: String,
    /// Colour of each of [`Model::materials`], sRGB-encoded, 0–255 each.
    pub colors_srgb: Vec<[u8; 3]>,
}

/// One end of the machine.
#[derive(Clone, Debug, PartialEq)]
pub struct End {
    /// What it is called ("cab end"); "front" and "rear" where the model's file does not say.
    pub name: String,
    /// x of the coupler face.
    pub coupler_x_m: f64,
    /// x of the foremost body face (nose or hood end, not coupler or handrail).
    pub corner_x_m: f64,
    /// Half the body's width at that face.
    pub corner_half_width_m: f64,
}

impl End {
    /// The same as a thing: "rear end", "cab end".
    pub fn words(&self) -> String {
        match self.name.ends_with("end") {
            true => self.name.clone(),
            false => format!("{} end", self.name),
        }
    }
}

/// A machine, ready to be placed on a track.
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    /// What it is ("six-axle hood unit").
    pub name: String,
    /// Positions in the machine frame.
    pub vertices: Vec<DVec3>,
    /// Triangles over them.
    pub triangles: Vec<Triangle>,
    /// OBJ groups in file order.
    pub parts: Vec<Part>,
    /// Paints.
    pub materials: Vec<Material>,
    /// The end at positive x.
    pub head: End,
    /// The end at negative x (its `corner_x_m` and `coupler_x_m` are negative).
    pub rear: End,
    /// Either end may lead: no end is the wrong one.
    pub double_ended: bool,
    /// Whether it is a machine with an engine at all (a freight car shows no wrong end).
    pub powered: bool,
    /// Track gauge in metres.
    pub gauge_m: f64,
    /// Absent on bodies without side handrails.
    pub handrail: Option<Handrail>,
    /// Absent on bodies without hood doors.
    pub doors: Option<HoodDoors>,
    /// Doors that can stand open, shut in this mesh unless [`Model::with_doors_open`] made it.
    pub hinged_doors: Vec<HingedDoor>,
    /// Points by which a photograph of it is measured; none where its file names none.
    pub points: Vec<NamedPoint>,
    /// Sets of paints to choose from; the materials wear the first one.
    pub liveries: Vec<Livery>,
    /// False when windings are not outward and closed: nothing may be culled by its facing.
    pub closed: bool,
}

impl Model {
    /// From coupler face to coupler face, metres.
    pub fn length_over_couplers_m(&self) -> f64 {
        self.head.coupler_x_m - self.rear.coupler_x_m
    }

    /// A named point as a person calls it.
    pub fn words_of(&self, name: &str) -> Option<&str> {
        let point = self.points.iter().find(|point| point.name == name);
        point.map(|point| point.words.as_str())
    }

    /// The same machine with every hinged door open.
    pub fn with_doors_open(&self) -> Model {
        let (vertices, triangles) =
            super::hinge::opened(&self.vertices, &self.triangles, &self.hinged_doors);
        Model {
            vertices,
            triangles,
            ..self.clone()
        }
    }

    /// The same machine in another of its liveries.
    pub fn in_livery(&self, livery: &Livery) -> Model {
        let mut model = self.clone();
        for (material, color) in model.materials.iter_mut().zip(&livery.colors_srgb) {
            material.color_srgb = *color;
        }
        model
    }
}
