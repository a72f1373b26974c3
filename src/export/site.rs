//! A scene node by node: the machine's parts, what stands around it, wires, the camera, the sun. May not enter:
//! bytes of files.
//!
//! One node turns the site's frame (east, north, up) into the standard's (y up): everything below it is in metres
//! of the site; the machine has a node of its own, in which it faces along x.

use super::Document;
use super::material::Materials;
use super::triangles::{Corners, Flat, tube};
use crate::camera::pose::Pose;
use crate::camera::projection::Camera;
use crate::grade::{Stand, Studio};
use crate::picture::Light;
use crate::scene::coat::{Coat, Finish};
use crate::sighting::stage::{StageKind, StageObject};
use crate::sighting::view::NEAREST_M;
use crate::sky::sun::sun_at;
use crate::units::rad;
use chrono::{DateTime, Utc};
use glam::{DMat3, DQuat, DVec3};
use serde_json::{Value, json};
use std::collections::BTreeMap;

/// How the frame would be exposed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exposure {
    /// f-number.
    pub f_number: f64,
    /// Seconds.
    pub exposure_s: f64,
}

/// Weathered copper and steel (from memory).
const WIRE: Coat = Coat::new(Finish::Steel, [0x2e, 0x2c, 0x2a]);

/// The scene of a studio as seen from a stand at an instant.
pub fn of_scene(
    studio: &Studio,
    stand: &Stand,
    at: DateTime<Utc>,
    exposure: Option<Exposure>,
) -> Document {
    let mut document = Document::default();
    let mut materials = Materials::default();
    let machine = machine(studio, &mut document, &mut materials);
    let around = surroundings(studio, &mut document, &mut materials);
    let wires = wires(studio, &mut document, &mut materials);
    let light = Light::at(&studio.scene, at);
    let camera = camera(studio, stand, exposure, &mut document);
    let sun = sun(studio, &light, at, &mut document);
    let mut children = vec![machine];
    for (name, group) in [("surroundings", around), ("wires", wires)] {
        // A node's list of children may not be empty.
        if !group.is_empty() {
            children.push(document.node(json!({"name": name, "children": group})));
        }
    }
    children.extend([camera, sun]);
    let up = DQuat::from_rotation_x(rad(-90.0));
    document.root(json!({
        "name": studio.scene.name,
        "rotation": up.to_array(),
        "children": children,
        "extras": {"frame": "x east, y north, z up, metres; z = 0 at the top of rail under the machine"},
    }));
    document.extras = extras(studio, &light, at);
    document
}

/// What the standard has no place for: the place, the instant, the sky's light.
fn extras(studio: &Studio, light: &Light, at: DateTime<Utc>) -> Value {
    let scene = &studio.scene;
    let observer = &scene.place.observer;
    json!({
        "scene": scene.name,
        "at": at.to_rfc3339(),
        "local": scene.place.zone.local(at).to_string(),
        "lat_deg": observer.lat_deg,
        "lon_deg": observer.lon_deg,
        "elevation_m": observer.elevation_m,
        "sky_condition": scene.sky.word(),
        "sky_horizontal_lx": light.sky_lx,
        "sky_color_linear": light.sky_color.to_array(),
        "skyline_deg": scene.place.horizon.profile_deg,
    })
}

/// The machine, part by part, in its own frame.
fn machine(studio: &Studio, document: &mut Document, materials: &mut Materials) -> usize {
    let model = &studio.scene.machine.model;
    let mut triangles: Vec<Vec<Corners>> = vec![Vec::new(); model.parts.len()];
    for triangle in &model.triangles {
        let corners = triangle.corners.map(|i| model.vertices[i as usize]);
        triangles[triangle.part as usize].push(corners);
    }
    let mut parts = Vec::new();
    for (part, triangles) in model.parts.iter().zip(triangles) {
        let paint = &model.materials[part.material];
        let material = materials.paint(document, paint, part.role, model.closed);
        let extras = json!({"group": part.group, "role": part.role.word()});
        parts.extend(document.mesh_node(&part.name, &[(material, Flat::of(triangles))], extras));
    }
    let (frame, machine) = (studio.frame, &studio.scene.machine);
    let turn = DQuat::from_rotation_z(frame.forward.y.atan2(frame.forward.x));
    document.node(json!({
        "name": model.name,
        "translation": frame.origin_m.extend(0.0).to_array(),
        "rotation": turn.to_array(),
        "children": parts,
        "extras": {
            "frame": "x forward to the head end, y left, z up from the top of rail, metres",
            "head_end": machine.head_end.word(),
            "condition": machine.condition.word(),
        },
    }))
}

/// A node's name: tracks come in several kinds of one name.
fn name_of(object: &StageObject) -> String {
    match object.kind {
        StageKind::Ballast => format!("{} ballast", object.name),
        StageKind::Tie => format!("{} ties", object.name),
        StageKind::Rail => format!("{} rails", object.name),
        _ => object.name.clone(),
    }
}

fn surroundings(studio: &Studio, document: &mut Document, materials: &mut Materials) -> Vec<usize> {
    let stage = &studio.stage;
    let mut nodes = Vec::new();
    for (object, soup) in stage.objects.iter().zip(&stage.soups) {
        let mut coats: BTreeMap<usize, Vec<Corners>> = BTreeMap::new();
        for (triangle, piece) in soup.triangles.iter().zip(&soup.piece_of_triangle) {
            let coat = Coat::of_piece(&object.coats, *piece as usize);
            let material = materials.coat(document, coat, object.opacity);
            let corners = triangle.map(|i| studio.frame.to_site(soup.vertices[i as usize]));
            coats.entry(material).or_default().push(corners);
        }
        let primitives: Vec<(usize, Flat)> = coats
            .into_iter()
            .map(|(material, triangles)| (material, Flat::of(triangles)))
            .collect();
        let kind = match object.kind {
            StageKind::Thing(kind) => kind.word(),
            StageKind::Coupled => "coupled",
            StageKind::Ground => "ground",
            StageKind::Ballast => "ballast",
            StageKind::Tie => "tie",
            StageKind::Rail => "rail",
        };
        let extras = json!({"kind": kind, "opacity": object.opacity});
        nodes.extend(document.mesh_node(&name_of(object), &primitives, extras));
    }
    nodes
}

fn wires(studio: &Studio, document: &mut Document, materials: &mut Materials) -> Vec<usize> {
    let mut nodes = Vec::new();
    for wire in &studio.stage.wires {
        let points: Vec<DVec3> = wire
            .points
            .iter()
            .map(|p| studio.frame.to_site(*p))
            .collect();
        let material = materials.coat(document, WIRE, 1.0);
        let flat = Flat::of(tube(&points, wire.diameter_m));
        let extras = json!({"kind": "wire", "diameter_m": wire.diameter_m});
        nodes.extend(document.mesh_node(&wire.name, &[(material, flat)], extras));
    }
    nodes
}

/// The camera looks along its own −z, its y upward.
fn camera(
    studio: &Studio,
    stand: &Stand,
    exposure: Option<Exposure>,
    document: &mut Document,
) -> usize {
    let Camera { pose, lens, film } = studio.camera(stand);
    let eye = studio.frame.to_site(pose.eye);
    let basis = Pose {
        eye,
        heading_deg: stand.heading_deg,
        ..pose
    }
    .basis();
    let turn = DQuat::from_mat3(&DMat3::from_cols(basis.right, basis.up, -basis.forward));
    let (_, yfov_deg, _) = lens.angle_of_view_deg(&film);
    let name = format!("camera {} mm", lens.focal_mm);
    document.cameras.push(json!({
        "name": name,
        "type": "perspective",
        "perspective": {
            "yfov": rad(yfov_deg),
            "aspectRatio": film.width_mm / film.height_mm,
            "znear": NEAREST_M,
        },
        "extras": {
            "focal_mm": lens.focal_mm,
            "film_mm": [film.width_mm, film.height_mm],
            "shift_x_mm": lens.shift_x_mm,
            "shift_y_mm": lens.shift_y_mm,
            "film_speed_iso": studio.scene.kit.film_speed_iso,
            "f_number": exposure.map(|exposure| exposure.f_number),
            "exposure_s": exposure.map(|exposure| exposure.exposure_s),
        },
    }));
    document.node(json!({
        "name": name,
        "translation": eye.to_array(),
        "rotation": turn.normalize().to_array(),
        "camera": document.cameras.len() - 1,
        "extras": {
            "heading_deg": stand.heading_deg,
            "pitch_deg": stand.pitch_deg,
            "roll_deg": stand.roll_deg,
            "height_over_ground_m": stand.height_m,
        },
    }))
}

/// The sun shines along its own −z. The standard's colours reach 1 at most: its lux are such that intensity times
/// colour has the beam's luminance.
fn sun(studio: &Studio, light: &Light, at: DateTime<Utc>, document: &mut Document) -> usize {
    let beam = light.beam();
    let brightest = beam.max_element();
    let color = if brightest > 0.0 {
        beam / brightest
    } else {
        DVec3::ONE
    };
    let sun = sun_at(&studio.scene.place.observer, at);
    document.lights.push(json!({
        "name": "sun",
        "type": "directional",
        "color": color.to_array(),
        "intensity": brightest,
        "extras": {
            "beam_normal_lx": if brightest > 0.0 { light.beam_lx } else { 0.0 },
            "azimuth_deg": sun.azimuth_deg,
            "elevation_deg": sun.elevation_deg,
            "diameter_deg": 0.53,
        },
    }));
    let turn = DQuat::from_rotation_arc(DVec3::Z, sun.toward());
    document.node(json!({
        "name": "sun",
        "rotation": turn.normalize().to_array(),
        "extensions": {"KHR_lights_punctual": {"light": document.lights.len() - 1}},
    }))
}
