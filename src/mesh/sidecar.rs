//! A machine's file: the TOML beside an OBJ that gives dimensions, ends, the handrail's line, the doors'
//! band, paints, and what every OBJ group is. May not enter: places.

use super::hinge::{self, Hung};
use super::livery::{self, Paint};
use super::model::{End, Material, Model, Part, Triangle};
use super::obj::{self, Mesh};
use super::part::Role;
use super::points;
use super::side_lines::{self, REACHES_M};
use super::winding::is_closed_and_outward;
use crate::document::{
    COLOR, Document, FileKind, Problem, Problems, Source, Table, beside, color_srgb, nearest,
    read_file,
};
use glam::DVec3;
use std::collections::HashMap;
use std::path::Path;
use std::sync::Arc;

/// Stated dimensions may differ from the mesh by this share.
const DIMENSION_TOLERANCE: f64 = 0.02;

/// Loads a model from its sidecar file and the OBJ beside it.
pub fn load(path: &Path) -> Result<Model, Problems> {
    read(Document::open(path)?, path)
}

/// Reads a model from its parsed sidecar; `path` says where the OBJ is looked for.
pub fn read(document: Document, path: &Path) -> Result<Model, Problems> {
    let document = document.wanted_as(FileKind::Model)?;
    let root = document.root();
    let stated = Stated::read(&root);
    let mut mesh_problems = Problems::new();
    let mesh = read_mesh(&root, path, &mut mesh_problems);
    let mut model = None;
    if let Some((mesh, source)) = mesh {
        check_groups(&root, &mesh, &source, &mut mesh_problems);
        if let Some(stated) = stated {
            check_dimensions(&root, &mesh, &stated);
            model = Some(stated.with_mesh(&root, mesh));
        }
    }
    match document.finish() {
        Ok(()) => mesh_problems.or(model),
        Err(mut problems) => {
            problems.extend(mesh_problems);
            Err(problems)
        }
    }
}

fn read_mesh(
    root: &Table<'_>,
    path: &Path,
    problems: &mut Problems,
) -> Option<(Mesh, Arc<Source>)> {
    let model = root.table("model").required()?;
    let file = model.text("mesh").required()?;
    let mesh_path = beside(path, &file);
    let name = mesh_path.display().to_string();
    let bytes = match read_file(&mesh_path) {
        Ok(bytes) => bytes,
        Err(reason) => {
            model.fault(
                "mesh",
                format!("cannot read {name} ({reason})"),
                "an OBJ file",
            );
            return None;
        }
    };
    let source = match Source::decode(&name, &bytes) {
        Ok(source) => Arc::new(source),
        Err(problem) => {
            problems.push(*problem);
            return None;
        }
    };
    match obj::read(&source) {
        Ok(mesh) => Some((mesh, source)),
        Err(found) => {
            problems.extend(found);
            None
        }
    }
}

/// What the sidecar says: a model without its mesh, and the dimensions to hold it to.
struct Stated {
    model: Model,
    hung: Vec<Hung>,
    length_m: f64,
    width_m: f64,
    height_m: f64,
}

impl Stated {
    fn read(root: &Table<'_>) -> Option<Stated> {
        let about = root.table("model").required();
        let name = about.as_ref().and_then(|t| t.text("name").required());
        let double_ended = about
            .as_ref()
            .map(|t| t.flag("double_ended").default(false));
        let powered = about.as_ref().map(|t| t.flag("powered").default(true));
        if let Some(about) = &about {
            about.prose("note").optional();
        }
        let size = root.table("dimensions").required();
        let length = |key: &str| {
            size.as_ref()
                .and_then(|t| t.number(key).above(0.0).required())
        };
        let gauge_m = length("gauge_m");
        let length_m = length("length_over_couplers_m");
        let (width_m, height_m) = (length("width_m"), length("height_m"));
        let head = read_end(root, "head", 1.0);
        let rear = read_end(root, "rear", -1.0);
        let (handrail, doors) = side_lines::read(root);
        let materials = read_materials(root);
        let parts = read_parts(root, &materials);
        let liveries = livery::read(root, &materials);
        let hung = hinge::read(root);
        let points = points::read(root);
        let model = Model {
            name: name?,
            vertices: Vec::new(),
            triangles: Vec::new(),
            parts: parts?,
            materials: materials
                .into_iter()
                .map(|(name, color)| {
                    Some(Material {
                        name: name?,
                        color_srgb: color?,
                    })
                })
                .collect::<Option<_>>()?,
            head: head?,
            rear: rear?,
            double_ended: double_ended?,
            powered: powered?,
            gauge_m: gauge_m?,
            handrail: handrail?,
            doors: doors?,
            hinged_doors: Vec::new(),
            points: points?,
            liveries: liveries?,
            closed: false,
        };
        Some(Stated {
            model: match model.liveries.first() {
                Some(first) => model.in_livery(first),
                None => model,
            },
            hung: hung?,
            length_m: length_m?,
            width_m: width_m?,
            height_m: height_m?,
        })
    }

    /// The model with its triangles, its parts in the order of the OBJ's groups.
    fn with_mesh(self, root: &Table<'_>, mesh: Mesh) -> Model {
        let mut model = self.model;
        let mut closed = true;
        let mut parts = Vec::with_capacity(mesh.groups.len());
        for group in &mesh.groups {
            // A group without a part has been told as a problem.
            let Some(part) = model.parts.iter().find(|part| part.group == group.name) else {
                continue;
            };
            let index = parts.len() as u32;
            parts.push(part.clone());
            closed &= is_closed_and_outward(&mesh.vertices, &group.triangles);
            model
                .triangles
                .extend(group.triangles.iter().map(|&corners| Triangle {
                    corners,
                    part: index,
                }));
        }
        model.parts = parts;
        model.hinged_doors = hinge::hang(root, self.hung, &mesh.vertices, &model.triangles);
        points::hold_to_mesh(root, &model.points, &mesh.vertices, &model.triangles);
        model.vertices = mesh.vertices;
        model.closed = closed;
        model
    }
}

/// One end; `sign` is +1 for the head end and −1 for the rear.
fn read_end(root: &Table<'_>, key: &str, sign: f64) -> Option<End> {
    let table = root.table(key).required()?;
    let usual = if sign > 0.0 { "front" } else { "rear" };
    let name = table.text("name").default(usual.to_string());
    let range = if sign > 0.0 { 0.1..=60.0 } else { -60.0..=-0.1 };
    let coupler = table.number("coupler_x_m").range(range.clone()).required();
    let corner = table.number("corner_x_m").range(range).required();
    let half_width = table
        .number("corner_half_width_m")
        .range(REACHES_M)
        .required();
    if let (Some(coupler), Some(corner)) = (coupler, corner)
        && corner.abs() > coupler.abs()
    {
        let allowed = format!("no farther out than the coupler face, {coupler}");
        table.fault("corner_x_m", "the body reaches beyond the coupler", allowed);
    }
    Some(End {
        name,
        coupler_x_m: coupler?,
        corner_x_m: corner?,
        corner_half_width_m: half_width?,
    })
}

/// Name and colour of each material in file order; what was refused is None, so that the others keep
/// their numbers and a wrong colour leaves the name known.
fn read_materials(root: &Table<'_>) -> Vec<Paint> {
    let mut names: Vec<String> = Vec::new();
    let read = |table: &Table<'_>| {
        let name = table.text("name").required();
        let color = table.text("color_srgb").map(COLOR, color_srgb).required();
        if let Some(name) = &name {
            if names.contains(name) {
                table.fault("name", "a name used twice", "each material once");
            }
            names.push(name.clone());
        }
        (name, color)
    };
    root.tables("material").iter().map(read).collect()
}

fn read_parts(root: &Table<'_>, materials: &[Paint]) -> Option<Vec<Part>> {
    let roles: Vec<(&str, Role)> = Role::ALL.iter().map(|role| (role.word(), *role)).collect();
    let paints: Vec<(&str, usize)> = materials
        .iter()
        .enumerate()
        .filter_map(|(i, (name, _))| name.as_deref().map(|name| (name, i)))
        .collect();
    let mut groups: Vec<String> = Vec::new();
    let mut parts = Vec::new();
    for table in root.tables("part") {
        let group = table.text("group").required();
        let name = table.text("name").required();
        let role = table.choice("role", &roles).required();
        let material = table.choice("material", &paints).required();
        if let Some(group) = &group {
            if groups.contains(group) {
                table.fault("group", "a group mapped twice", "each OBJ group once");
            }
            groups.push(group.clone());
        }
        parts.push(part(group, name, role, material));
    }
    parts.into_iter().collect()
}

fn part(
    group: Option<String>,
    name: Option<String>,
    role: Option<Role>,
    material: Option<usize>,
) -> Option<Part> {
    Some(Part {
        group: group?,
        name: name?,
        role: role?,
        material: material?,
    })
}

/// Every group has its part and every part its group.
fn check_groups(root: &Table<'_>, mesh: &Mesh, source: &Arc<Source>, problems: &mut Problems) {
    let groups: HashMap<&str, usize> = mesh
        .groups
        .iter()
        .map(|group| (group.name.as_str(), group.line))
        .collect();
    let mut mapped = Vec::new();
    for table in root.tables("part") {
        let Some(group) = table.text("group").optional() else {
            continue;
        };
        if !groups.contains_key(group.as_str()) {
            let mut names: Vec<&str> = groups.keys().copied().collect();
            names.sort_unstable();
            let mut allowed = format!("a group of {}: {}", source.name, names.join(", "));
            if let Some(near) = nearest(&group, names) {
                allowed = format!("{allowed}; did you mean {near}?");
            }
            table.fault("group", "missing OBJ group", allowed);
        }
        mapped.push(group);
    }
    for group in &mesh.groups {
        if !mapped.contains(&group.name) {
            let span = source.line_span(group.line);
            let allowed = "a [[part]] of the sidecar with this group";
            problems.push(
                Problem::at(source, span, "", "OBJ group without a part", allowed)
                    .with_found(&group.name),
            );
        }
    }
}

/// The mesh is as large as it is said to be, and its origin lies midway between the couplers.
fn check_dimensions(root: &Table<'_>, mesh: &Mesh, stated: &Stated) {
    let used = || {
        let corners = mesh
            .groups
            .iter()
            .flat_map(|group| group.triangles.iter().flatten());
        corners.map(|&corner| mesh.vertices[corner as usize])
    };
    let low = used().fold(DVec3::INFINITY, DVec3::min);
    let high = used().fold(DVec3::NEG_INFINITY, DVec3::max);
    let Some(table) = root.table("dimensions").optional() else {
        return;
    };
    let hold = |key: &str, said: f64, measured: f64| {
        if (measured - said).abs() > DIMENSION_TOLERANCE * said {
            let message = format!("the mesh measures {measured:.3} m");
            table.fault(key, message, "within 2 % of the mesh's own size");
        }
    };
    hold("length_over_couplers_m", stated.length_m, high.x - low.x);
    hold("width_m", stated.width_m, high.y - low.y);
    hold("height_m", stated.height_m, high.z);
    let (head, rear) = (stated.model.head.coupler_x_m, stated.model.rear.coupler_x_m);
    hold_ends(root, stated.length_m, head, rear);
}

fn hold_ends(root: &Table<'_>, length_m: f64, head: f64, rear: f64) {
    let Some(table) = root.table("head").optional() else {
        return;
    };
    let slack = DIMENSION_TOLERANCE * length_m;
    if (head - rear - length_m).abs() > slack || (head + rear).abs() > slack {
        let message =
            format!("couplers at {head} and {rear} do not span the length about the origin");
        let allowed = format!("half of the length over couplers, {:.3}", length_m / 2.0);
        table.fault("coupler_x_m", message, allowed);
    }
}
