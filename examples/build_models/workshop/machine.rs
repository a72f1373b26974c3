//! A machine: groups of meshes with names, roles and paints, and the figures that rules need; written
//! as an OBJ file and its sidecar. May not enter: shapes of particular machines.

use super::shape::Mesh;
use std::collections::BTreeMap;
use std::fmt::Write;

/// A group of the OBJ file: one part of the machine.
#[derive(Clone, Debug)]
pub struct Group {
    /// Its name in the OBJ file.
    pub group: &'static str,
    /// What a person calls it.
    pub name: &'static str,
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
    /// The top handrail: height, offset, from x, to x.
    pub handrail_m: [f64; 4],
    /// The hood doors: bottom, top, offset, from x, to x.
    pub doors_m: [f64; 5],
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
    /// Either end may lead.
    pub double_ended: bool,
    /// It has an engine.
    pub powered: bool,
    /// Its figures.
    pub figures: Figures,
    /// Its paints.
    pub paints: Vec<Paint>,
    /// Its groups.
    pub groups: Vec<Group>,
}

impl Machine {
    /// Adds a group.
    pub fn add(
        &mut self,
        group: &'static str,
        name: &'static str,
        role: &'static str,
        material: &'static str,
        mesh: Mesh,
    ) {
        self.groups.push(Group {
            group,
            name,
            role,
            material,
            mesh,
        });
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
        let [rail_z, rail_y, rail_from, rail_to] = f.handrail_m.map(decimals);
        let [bottom, top, offset, from, to] = f.doors_m.map(decimals);
        let mut text = format!(
            "# {}: written by `cargo run --example build_models`; do not edit.\n\n\
             [model]\nname = \"{}\"\nmesh = \"{}.obj\"\ndouble_ended = {}\npowered = {}\nnote = \"{}\"\n\n\
             [dimensions]\ngauge_m = {}\nlength_over_couplers_m = {}\nwidth_m = {}\nheight_m = {}\n",
            self.name,
            self.name,
            self.stem,
            self.double_ended,
            self.powered,
            self.note,
            decimals(f.gauge_m),
            decimals(f.length_over_couplers_m),
            decimals(f.width_m),
            decimals(f.height_m),
        );
        for (word, end) in [("head", f.head), ("rear", f.rear)] {
            let _ = write!(
                text,
                "\n[{word}]\ncoupler_x_m = {}\ncorner_x_m = {}\ncorner_half_width_m = {}\n",
                decimals(end.coupler_x_m),
                decimals(end.corner_x_m),
                decimals(end.corner_half_width_m)
            );
        }
        let _ = write!(
            text,
            "\n[handrail]\nheight_m = {rail_z}\noffset_m = {rail_y}\nfrom_x_m = {rail_from}\nto_x_m = {rail_to}\n\
             \n[doors]\nbottom_m = {bottom}\ntop_m = {top}\noffset_m = {offset}\nfrom_x_m = {from}\nto_x_m = {to}\n"
        );
        for paint in &self.paints {
            let _ = write!(
                text,
                "\n[[material]]\nname = \"{}\"\ncolor_srgb = \"{}\"\n",
                paint.name, paint.color_srgb
            );
        }
        for group in &self.groups {
            let _ = write!(
                text,
                "\n[[part]]\ngroup = \"{}\"\nname = \"{}\"\nrole = \"{}\"\nmaterial = \"{}\"\n",
                group.group, group.name, group.role, group.material
            );
        }
        text
    }
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
