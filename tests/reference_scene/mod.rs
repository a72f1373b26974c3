//! The reference scene (tests/reference/scene.obj, east-north-up) as a stage without a machine, and its
//! cameras and suns. May not enter: what is expected of them.

use crate::table::rows;
use glam::{DVec2, DVec3};
use serde::Deserialize;
use std::path::Path;
use std::sync::Arc;
use sunside::camera::pose::Pose;
use sunside::document::Source;
use sunside::mesh::model::{End, Model};
use sunside::mesh::obj::{self, Mesh};
use sunside::scene::surroundings::Kind;
use sunside::sighting::stage::{Soup, Stage, StageKind, StageObject};
use sunside::sighting::view::View;

/// A row of visibility_cameras.csv.
#[derive(Deserialize)]
pub struct CameraRow {
    pub camera_id: usize,
    x_east_m: f64,
    y_north_m: f64,
    z_up_m: f64,
    heading_deg: f64,
    pitch_deg: f64,
    roll_deg: f64,
    focal_length_mm: f64,
    frame_width_mm: f64,
    frame_height_mm: f64,
}

impl CameraRow {
    pub fn view(&self, width: usize) -> View {
        let eye = DVec3::new(self.x_east_m, self.y_north_m, self.z_up_m);
        let pose = Pose {
            eye,
            heading_deg: self.heading_deg,
            pitch_deg: self.pitch_deg,
            roll_deg: self.roll_deg,
        };
        let basis = pose.basis();
        let half =
            DVec2::new(self.frame_width_mm, self.frame_height_mm) / (2.0 * self.focal_length_mm);
        View::of_camera(
            eye,
            [basis.right, basis.up, basis.forward],
            -half,
            half,
            width,
        )
    }
}

pub fn cameras() -> Vec<CameraRow> {
    rows("visibility_cameras")
}

/// Unit vectors toward the reference suns, by their ids.
pub fn suns() -> Vec<DVec3> {
    #[derive(Deserialize)]
    struct SunRow {
        azimuth_deg: f64,
        elevation_deg: f64,
    }
    (rows::<SunRow>("visibility_suns").iter())
        .map(|sun| toward(sun.azimuth_deg, sun.elevation_deg))
        .collect()
}

/// Unit vector toward a bearing from north and an elevation, east-north-up.
pub fn toward(azimuth_deg: f64, elevation_deg: f64) -> DVec3 {
    let (sin_a, cos_a) = azimuth_deg.to_radians().sin_cos();
    let (sin_e, cos_e) = elevation_deg.to_radians().sin_cos();
    DVec3::new(sin_a * cos_e, cos_a * cos_e, sin_e)
}

pub fn mesh() -> Mesh {
    let path = Path::new("tests/reference/scene.obj");
    let text = std::fs::read_to_string(path).unwrap();
    obj::read(&Arc::new(Source::new("scene.obj", text))).unwrap()
}

/// A stage with nothing on it.
pub fn empty_stage() -> Stage {
    let end = || End {
        name: "end".into(),
        coupler_x_m: 0.0,
        corner_x_m: 0.0,
        corner_half_width_m: 0.0,
    };
    Stage::of_model(Arc::new(Model {
        name: "nothing".into(),
        vertices: vec![],
        triangles: vec![],
        parts: vec![],
        materials: vec![],
        head: end(),
        rear: end(),
        double_ended: false,
        powered: false,
        gauge_m: 1.435,
        handrail: None,
        doors: None,
        hinged_doors: vec![],
        points: vec![],
        liveries: vec![],
        closed: true,
    }))
}

/// Puts triangles on a stage as one opaque, closed thing.
pub fn put(stage: &mut Stage, name: &str, vertices: &[DVec3], triangles: &[[u32; 3]]) {
    stage.objects.push(StageObject {
        name: name.into(),
        kind: StageKind::Thing(Kind::Building),
        opacity: 1.0,
        pieces: vec![],
        coats: vec![],
    });
    let corners = triangles.iter().flatten().map(|&i| vertices[i as usize]);
    let own = (0..triangles.len() as u32).map(|i| [3 * i, 3 * i + 1, 3 * i + 2]);
    stage.soups.push(Soup {
        vertices: corners.collect(),
        triangles: own.collect(),
        piece_of_triangle: vec![0; triangles.len()],
    });
}

/// The groups as objects, in the file's order.
pub fn stage_of_groups(mesh: &Mesh) -> Stage {
    let mut stage = empty_stage();
    for group in &mesh.groups {
        put(&mut stage, &group.name, &mesh.vertices, &group.triangles);
    }
    stage
}

/// One object of a stage, by itself.
pub fn only(stage: &Stage, k: usize) -> Stage {
    let mut alone = empty_stage();
    alone.objects.push(stage.objects[k].clone());
    alone.soups.push(stage.soups[k].clone());
    alone
}
