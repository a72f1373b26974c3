//! A machine: groups of meshes with names, roles and paints, and the figures that rules need; written
//! as an OBJ file and its sidecar. May not enter: shapes of particular machines.

use super::points;
use super::shape::Mesh;
use glam::DVec3;
use std::collections::BTreeMap;
use std::fmt::Write;

/// A group of the OBJ file: one part of the machine.
#[derive(Clone, Debug)]
pub struct Group {
    /// Its name in the OBJ file.
    pub group: String,
    /// What a person calls it.
    pub name: String,
    /// Its role's word in the sidecar.
    pub role: &'static str,
    /// Its paint.
    pub material: &'static str,
    /// Its shape, in the machine frame.
    pub mesh: Mesh,
}

/// A paint or bare surface.
#[derive(Clone, Copy, Debug)]
pub struct Paint {
    /// Its name.
    pub name: &'static str,
    /// Colour as `#rrggbb`, sRGB.
    pub color_srgb: &'static str,
}

/// A livery: the colours in which it differs from the paints' own.
#[derive(Clone, Debug)]
pub struct Livery {
    /// Its name.
    pub name: &'static str,
    /// Paint and colour as `#rrggbb`, sRGB.
    pub colors: Vec<(&'static str, &'static str)>,
}

/// A door on hinges: the box that holds what swings, the hinge's line and how far it opens.
#[derive(Clone, Debug)]
pub struct HingedDoor {
    /// What a person calls it.
    pub name: String,
    /// Least corner of its box, shut.
    pub low: DVec3,
    /// Greatest corner.
    pub high: DVec3,
    /// Two points of the hinge's line.
    pub hinge: [DVec3; 2],
    /// Right-handed about the line from its first to its second point.
    pub open_deg: f64,
}

/// One end: coupler face, foremost body face, half the body's width there.
#[derive(Clone, Copy, Debug)]
pub struct End {
    /// x of the coupler's face.
    pub coupler_x_m: f64,
    /// x of the foremost body face.
    pub corner_x_m: f64,
    /// Half the body's width at that face.
    pub corner_half_width_m: f64,
}

/// The figures of the sidecar.
#[derive(Clone, Copy, Debug)]
pub struct Figures {
    /// Track gauge.
    pub gauge_m: f64,
    /// Length over coupler faces.
    pub length_over_couplers_m: f64,
    /// Greatest width.
    pub width_m: f64,
    /// Greatest height over the top of rail.
    pub height_m: f64,
    /// The head end.
    pub head: End,
    /// The rear end.
    pub rear: End,
    /// The top handrail, if it has one: height, offset, from x, to x.
    pub handrail_m: Option<[f64; 4]>,
    /// The hood doors, if it has such: bottom, top, offset, from x, to x.
    pub doors_m: Option<[f64; 5]>,
}

/// A machine.
#[derive(Clone, Debug)]
pub struct Machine {
    /// File stem of the OBJ and the sidecar.
    pub stem: &'static str,
    /// What it is.
    pub name: &'static str,
    /// A line about it for the sidecar.
    pub note: &'static str,
    /// Either end may lead: then what its ends are called, the one that is its head in the model first.
    pub ends: Option<[&'static str; 2]>,
    /// It has an engine.
    pub powered: bool,
    /// Its figures.
    pub figures: Figures,
    /// Its paints; their own colours are the first livery.
    pub paints: Vec<Paint>,
    /// Its liveries, the first one first.
    pub liveries: Vec<Livery>,
    /// Its doors that can stand open.
    pub hinged_doors: Vec<HingedDoor>,
    /// Its groups.
    pub groups: Vec<Group>,
}

impl Machine {
    /// An engine of these figures with a head end, bare of everything else.
    pub fn new(figures: Figures) -> Machine {
        Machine {
            stem: "",
            name: "",
            note: "",
            ends: None,
            powered: true,
            figures,
            paints: Vec::new(),
            liveries: Vec::new(),
            hinged_doors: Vec::new(),
            groups: Vec::new(),
        }
    }

    /// Adds a group.
    pub fn add(
        &mut self,
        group: impl Into<String>,
        name: impl Into<String>,
        role: &'static str,
        material: &'static str,
        mesh: Mesh,
    ) {
        self.groups.push(Group {
            group: group.into(),
            name: name.into(),
            role,
            material,
            mesh,
        });
    }

    /// Adds a part of the right side and its mirror image, each a group of its own.
    pub fn add_sides(
        &mut self,
        group: &str,
        name: &str,
        role: &'static str,
        material: &'static str,
        right: Mesh,
    ) {
        let left = right.clone().mirrored();
        for (side, word, mesh) in [("right", "engineer", right), ("left", "conductor", left)] {
            let (group, name) = (format!("{group}_{side}"), format!("{word}-side {name}"));
            self.add(group, name, role, material, mesh);
        }
    }

    /// Adds a part of the front end and the same turned round, each a group of its own.
    pub fn add_ends(
        &mut self,
        group: &str,
        name: &str,
        role: &'static str,
        material: &'static str,
        front: Mesh,
    ) {
        let rear = front.clone().turned_round();
        for (end, mesh) in [("front", front), ("rear", rear)] {
            let (group, name) = (format!("{group}_{end}"), format!("{end} {name}"));
            self.add(group, name, role, material, mesh);
        }
    }

    /// The OBJ file: one group per part, corners merged within a part, four decimals.
    pub fn obj(&self) -> String {
        let mut text = format!(
            "# {}: written by `cargo run --example build_models`; do not edit.\n\
             # Metres; x forward to the head end, y left, z up from the top of rail.\n",
            self.name
        );
        let mut written = 0;
        for group in &self.groups {
            let mut lines: Vec<String> = Vec::new();
            let mut known: BTreeMap<String, usize> = BTreeMap::new();
            let numbers: Vec<usize> = group
                .mesh
                .points
                .iter()
                .map(|p| {
                    let line = format!("v {} {} {}", decimals(p.x), decimals(p.y), decimals(p.z));
                    *known.entry(line.clone()).or_insert_with(|| {
                        lines.push(line);
                        written + lines.len()
                    })
                })
                .collect();
            let _ = writeln!(text, "g {}", group.group);
            for line in &lines {
                let _ = writeln!(text, "{line}");
            }
            for corners in &group.mesh.triangles {
                let [a, b, c] = corners.map(|corner| numbers[corner]);
                let _ = writeln!(text, "f {a} {b} {c}");
            }
            written += lines.len();
        }
        text
    }

    /// The sidecar.
    pub fn sidecar(&self) -> String {
        let f = &self.figures;
        let mut text = format!(
            "# {}: written by `cargo run --example build_models`; do not edit.\n\n\
             [model]\nname = \"{}\"\nmesh = \"{}.obj\"\ndouble_ended = {}\npowered = {}\nnote = \"{}\"\n\n\
             [dimensions]\ngauge_m = {}\nlength_over_couplers_m = {}\nwidth_m = {}\nheight_m = {}\n",
            self.name,
            self.name,
            self.stem,
            self.ends.is_some(),
            self.powered,
            self.note,
            decimals(f.gauge_m),
            decimals(f.length_over_couplers_m),
            decimals(f.width_m),
            decimals(f.height_m),
        );
        for (n, (word, end)) in [("head", f.head), ("rear", f.rear)].into_iter().enumerate() {
            let _ = writeln!(text, "\n[{word}]");
            if let Some(names) = self.ends {
                let _ = writeln!(text, "name = \"{}\"", names[n]);
            }
            let _ = write!(
                text,
                "coupler_x_m = {}\ncorner_x_m = {}\ncorner_half_width_m = {}\n",
                decimals(end.coupler_x_m),
                decimals(end.corner_x_m),
                decimals(end.corner_half_width_m)
            );
        }
        if let Some(rail) = f.handrail_m {
            let keys = ["height_m", "offset_m", "from_x_m", "to_x_m"];
            table(&mut text, "handrail", &keys, &rail);
        }
        if let Some(doors) = f.doors_m {
            let keys = ["bottom_m", "top_m", "offset_m", "from_x_m", "to_x_m"];
            table(&mut text, "doors", &keys, &doors);
        }
        for paint in &self.paints {
            let _ = write!(
                text,
                "\n[[material]]\nname = \"{}\"\ncolor_srgb = \"{}\"\n",
                paint.name, paint.color_srgb
            );
        }
        for livery in &self.liveries {
            let _ = write!(text, "\n[[livery]]\nname = \"{}\"\n", livery.name);
            for (material, color) in &livery.colors {
                let _ = write!(
                    text,
                    "\n[[livery.paint]]\nmaterial = \"{material}\"\ncolor_srgb = \"{color}\"\n"
                );
            }
        }
        for group in &self.groups {
            let _ = write!(
                text,
                "\n[[part]]\ngroup = \"{}\"\nname = \"{}\"\nrole = \"{}\"\nmaterial = \"{}\"\n",
                group.group, group.name, group.role, group.material
            );
        }
        for door in &self.hinged_doors {
            let _ = write!(
                text,
                "\n[[hinged_door]]\nname = \"{}\"\nlow_m = {}\nhigh_m = {}\n\
                 hinge_from_m = {}\nhinge_to_m = {}\nopen_deg = {:.1}\n",
                door.name,
                place(door.low),
                place(door.high),
                place(door.hinge[0]),
                place(door.hinge[1]),
                door.open_deg
            );
        }
        for point in points::named(self) {
            let _ = write!(
                text,
                "\n[[point]]\nname = \"{}\"\nwords = \"{}\"\nposition_m = {}\n",
                point.name,
                point.words,
                place(point.at)
            );
        }
        text
    }
}

/// A table of figures.
fn table(text: &mut String, name: &str, keys: &[&str], values: &[f64]) {
    let _ = writeln!(text, "\n[{name}]");
    for (key, value) in keys.iter().zip(values) {
        let _ = writeln!(text, "{key} = {}", decimals(*value));
    }
}

/// A point as an array.
fn place(point: DVec3) -> String {
    let [x, y, z] = point.to_array().map(decimals);
    format!("[{x}, {y}, {z}]")
}

/// A number with four decimals, and no negative zero.
fn decimals(value: f64) -> String {
    let text = format!("{value:.4}");
    if text == "-0.0000" {
        "0.0000".to_owned()
    } else {
        text
    }
}
