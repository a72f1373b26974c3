//! What twelve cameras see of the reference scene, against rays traced by Embree 4 (table
//! visibility_reference.csv, tolerances of tests/reference/README.md). May not enter: light.

use crate::graphics::with_both;
use crate::reference_scene::{cameras, mesh, only, stage_of_groups};
use crate::table::rows;
use serde::Deserialize;
use sunside::sighting::frame::{Id, Sighting};
use sunside::sighting::rasterizer::{Around, Rasterizer};
use sunside::sighting::stage::Stage;
use sunside::sighting::view::View;

#[derive(Deserialize)]
struct Row {
    camera_id: usize,
    group: String,
    rays_hitting_group_alone: usize,
    visible_fraction: Option<f64>,
    fraction_of_frame: f64,
    visible_fraction_jittered: Option<f64>,
    fraction_of_frame_jittered: f64,
}

/// Pixels of each object of the stage.
fn counts(rasterizer: &dyn Rasterizer, stage: &Stage, view: &View) -> Vec<usize> {
    let mut sighting = Sighting::default();
    rasterizer.sight(stage, view, Around::Everything, &mut sighting);
    let mut counts = vec![0; stage.objects.len()];
    for object in sighting.all.ids.iter().filter_map(|id: &Id| id.as_object()) {
        counts[object] += 1;
    }
    counts
}

/// Checks every camera and group at one width; returns how many fractions were checked and the worst
/// difference among groups of more than 5000 rays.
fn check(
    rasterizer: &dyn Rasterizer,
    width: usize,
    reference: impl Fn(&Row) -> (Option<f64>, f64),
) -> (usize, f64) {
    let stage = stage_of_groups(&mesh());
    let alone: Vec<Stage> = (0..stage.objects.len()).map(|k| only(&stage, k)).collect();
    let table: Vec<Row> = rows("visibility_reference");
    let (mut checked, mut worst) = (0, 0.0_f64);
    for camera in cameras() {
        let view = camera.view(width);
        let all = counts(rasterizer, &stage, &view);
        for (k, object) in stage.objects.iter().enumerate() {
            let row = table
                .iter()
                .find(|row| row.camera_id == camera.camera_id && row.group == object.name)
                .unwrap_or_else(|| panic!("camera {} {}", camera.camera_id, object.name));
            let told = format!("camera {} {} at {width} px", row.camera_id, row.group);
            let (visible, of_frame) = reference(row);
            let found = all[k] as f64 / (view.width * view.height) as f64;
            assert!(
                (found - of_frame).abs() <= 0.001,
                "{told}: {found} of frame, {of_frame}"
            );
            let by_itself = counts(rasterizer, &alone[k], &view)[0];
            // Below 500 rays the table gives no tolerance.
            let tolerance = match row.rays_hitting_group_alone {
                ..500 => continue,
                500..=5000 => 0.04,
                _ => 0.01,
            };
            let visible = visible.unwrap_or_else(|| panic!("{told}: no fraction"));
            let difference = (all[k] as f64 / by_itself as f64 - visible).abs();
            assert!(
                difference <= tolerance,
                "{told}: off by {difference} from {visible}"
            );
            if row.rays_hitting_group_alone > 5000 {
                worst = worst.max(difference);
            }
            checked += 1;
        }
    }
    (checked, worst)
}

#[test]
fn pixel_centres_see_what_rays_through_pixel_centres_hit() {
    with_both(|rasterizer| {
        let reference = |row: &Row| (row.visible_fraction, row.fraction_of_frame);
        let (checked, worst) = check(rasterizer, 900, reference);
        assert!(checked > 100, "{checked}");
        // The same rays: only those that graze an edge may differ.
        assert!(worst < 0.0005, "{worst}");
    });
}

#[test]
fn twice_the_pixels_see_what_jittered_rays_hit() {
    let reference = |row: &Row| {
        (
            row.visible_fraction_jittered,
            row.fraction_of_frame_jittered,
        )
    };
    with_both(|rasterizer| {
        let (checked, _) = check(rasterizer, 1800, reference);
        assert!(checked > 100, "{checked}");
    });
}
