//! Angle of view, projection and aim against outside tables and against their own inverses. May not
//! enter: light.

use crate::table::rows;
use glam::DVec3;
use proptest::prelude::*;
use serde::Deserialize;
use sunside::camera::{
    film::Film,
    framing::{balanced_heading, margins},
    lens::Lens,
    pose::Pose,
    projection::Camera,
};

#[derive(Deserialize)]
struct Angle {
    frame_width_mm: f64,
    frame_height_mm: f64,
    focal_length_mm: f64,
    horizontal_deg: f64,
    vertical_deg: f64,
    diagonal_deg: f64,
    published_horizontal_deg: Option<f64>,
    published_vertical_deg: Option<f64>,
    published_diagonal_deg: Option<f64>,
}

/// Source: 2·atan(d / 2f), confirmed there with OpenCV `calibrationMatrixValues`; the published
/// columns come from a table posted to an optics users list in 1999, printed to 3 decimals.
#[test]
fn angles_of_view_are_those_of_the_table() {
    let rows: Vec<Angle> = rows("angle_of_view");
    assert_eq!(rows.len(), 85);
    let mut published_seen = 0;
    for row in rows {
        let film = Film {
            width_mm: row.frame_width_mm,
            height_mm: row.frame_height_mm,
        };
        let (across, down, diagonal) = Lens::new(row.focal_length_mm).angle_of_view_deg(&film);
        for (found, exact, published) in [
            (across, row.horizontal_deg, row.published_horizontal_deg),
            (down, row.vertical_deg, row.published_vertical_deg),
            (diagonal, row.diagonal_deg, row.published_diagonal_deg),
        ] {
            assert!((found - exact).abs() < 1e-9, "{found} {exact}");
            if let Some(published) = published {
                published_seen += 1;
                assert!((found - published).abs() < 0.001, "{found} {published}");
            }
        }
    }
    assert_eq!(published_seen, 3 * 18);
}

/// Theory: lenses that show the same diagonal angle are equivalent.
#[test]
fn the_equivalent_lens_shows_the_same_diagonal_angle() {
    let film = Film {
        width_mm: 70.0,
        height_mm: 56.0,
    };
    let lens = Lens::new(105.0);
    let equivalent = Lens::new(lens.equivalent_mm(&film));
    let (_, _, found) = equivalent.angle_of_view_deg(&Film::FULL);
    let (_, _, expected) = lens.angle_of_view_deg(&film);
    assert!((found - expected).abs() < 1e-12);
}

#[derive(Deserialize)]
struct Projection {
    frame_width_mm: f64,
    frame_height_mm: f64,
    focal_length_mm: f64,
    camera_x_east_m: f64,
    camera_y_north_m: f64,
    camera_z_up_m: f64,
    heading_deg: f64,
    pitch_deg: f64,
    roll_deg: f64,
    point_x_east_m: f64,
    point_y_north_m: f64,
    point_z_up_m: f64,
    depth_along_axis_m: f64,
    in_front: u8,
    image_x_right_mm: Option<f64>,
    image_y_up_mm: Option<f64>,
    u_from_left_0to1: Option<f64>,
    v_from_top_0to1: Option<f64>,
    in_frame: u8,
}

/// Source: OpenCV 5.0.0 `projectPoints`, zero distortion; tolerance 1e-6 mm.
#[test]
fn points_fall_where_the_table_says_and_those_behind_have_no_image() {
    let rows: Vec<Projection> = rows("projection");
    assert_eq!(rows.len(), 300);
    let mut behind = 0;
    for row in rows {
        let camera = Camera {
            pose: Pose {
                eye: DVec3::new(row.camera_x_east_m, row.camera_y_north_m, row.camera_z_up_m),
                heading_deg: row.heading_deg,
                pitch_deg: row.pitch_deg,
                roll_deg: row.roll_deg,
            },
            lens: Lens::new(row.focal_length_mm),
            film: Film {
                width_mm: row.frame_width_mm,
                height_mm: row.frame_height_mm,
            },
        };
        let point = DVec3::new(row.point_x_east_m, row.point_y_north_m, row.point_z_up_m);
        let image = camera.project(point);
        assert_eq!(image.is_some(), row.in_front == 1);
        let Some(image) = image else {
            behind += 1;
            continue;
        };
        let (u, v) = camera.u_v(&image);
        for (found, expected) in [
            (image.x_mm, row.image_x_right_mm.unwrap()),
            (image.y_mm, row.image_y_up_mm.unwrap()),
            (image.depth_m, row.depth_along_axis_m),
            (u, row.u_from_left_0to1.unwrap()),
            (v, row.v_from_top_0to1.unwrap()),
        ] {
            assert!((found - expected).abs() < 1e-6, "{found} {expected}");
        }
        assert_eq!(camera.in_frame(&image), row.in_frame == 1);
    }
    assert_eq!(behind, 30);
}

/// Convention: a positive shift shows more to the right and above, so what was there moves in.
#[test]
fn a_shifted_lens_shows_more_of_that_side_and_keeps_the_image() {
    let straight = Camera {
        pose: Pose::level(DVec3::ZERO, 0.0),
        lens: Lens::new(50.0),
        film: Film::FULL,
    };
    let shifted = Camera {
        lens: Lens {
            shift_x_mm: 9.0,
            shift_y_mm: 6.0,
            ..straight.lens
        },
        ..straight
    };
    let far_right_and_high = DVec3::new(4.5, 10.0, 3.0);
    let image = straight.project(far_right_and_high).unwrap();
    assert_eq!(shifted.project(far_right_and_high), Some(image));
    assert!(!straight.in_frame(&image) && shifted.in_frame(&image));
    let (straight_u, straight_v) = straight.u_v(&image);
    let (shifted_u, shifted_v) = shifted.u_v(&image);
    assert!((straight_u - shifted_u - 0.25).abs() < 1e-12);
    assert!((shifted_v - straight_v - 0.25).abs() < 1e-12);
}

prop_compose! {
    fn any_camera()(
        east in -80.0..80.0, north in -80.0..80.0, up in 0.3..12.0,
        heading_deg in 0.0..360.0, pitch_deg in -60.0..60.0, roll_deg in -180.0..180.0,
        focal_mm in 14.0..400.0, shift_x_mm in -12.0..12.0, shift_y_mm in -12.0..12.0,
        width_mm in 15.0..120.0, height_mm in 15.0..120.0,
    ) -> Camera {
        Camera {
            pose: Pose { eye: DVec3::new(east, north, up), heading_deg, pitch_deg, roll_deg },
            lens: Lens { focal_mm, shift_x_mm, shift_y_mm },
            film: Film { width_mm, height_mm },
        }
    }
}

/// A box about as large as a machine, turned by `bearing_deg`, `away_m` north of the origin.
fn box_corners(bearing_deg: f64, length_m: f64, away_m: f64) -> Vec<DVec3> {
    let (sin, cos) = bearing_deg.to_radians().sin_cos();
    let mut corners = Vec::new();
    for along in [-length_m / 2.0, length_m / 2.0] {
        for across in [-1.5, 1.5] {
            for up in [0.3, 4.7] {
                corners.push(DVec3::new(
                    along * sin + across * cos,
                    away_m + along * cos - across * sin,
                    up,
                ));
            }
        }
    }
    corners
}

proptest! {
    #[test]
    fn a_point_on_a_ray_projects_to_where_the_ray_began(
        camera in any_camera(), u in -0.5..1.5, v in -0.5..1.5, distance_m in 0.5..500.0,
    ) {
        let ray = camera.ray(u, v);
        prop_assert!((ray.length() - 1.0).abs() < 1e-12);
        let image = camera.project(camera.pose.eye + ray * distance_m).unwrap();
        let (found_u, found_v) = camera.u_v(&image);
        prop_assert!((found_u - u).abs() < 1e-9 && (found_v - v).abs() < 1e-9);
        let inside = (0.0..=1.0).contains(&u) && (0.0..=1.0).contains(&v);
        prop_assert_eq!(camera.in_frame(&image), inside);
    }

    #[test]
    fn a_balanced_heading_leaves_equal_side_margins(
        bearing_deg in 0.0..360.0, length_m in 13.5..22.5, away_m in 16.0..60.0, height_m in 0.5..6.0,
        pitch_deg in prop_oneof![Just(0.0), -25.0..25.0],
        roll_deg in prop_oneof![Just(0.0), -20.0..20.0],
        shift_x_mm in prop_oneof![Just(0.0), -10.0..10.0],
    ) {
        let eye = DVec3::new(3.0, 0.0, height_m);
        let points = box_corners(bearing_deg, length_m, away_m);
        let lens = Lens { shift_x_mm, ..Lens::new(50.0) };
        let heading_deg =
            balanced_heading(eye, &Film::FULL, &lens, pitch_deg, roll_deg, &points).unwrap();
        prop_assert!((0.0..360.0).contains(&heading_deg));
        let pose = Pose { eye, heading_deg, pitch_deg, roll_deg };
        let around = margins(&Camera { pose, lens, film: Film::FULL }, &points).unwrap();
        prop_assert!(!around.beyond_eye);
        prop_assert!((around.left - around.right).abs() < 1e-9, "{:?}", around);
        prop_assert!((around.left + around.width_share + around.right - 1.0).abs() < 1e-12);
    }

    #[test]
    fn aim_at_anything_gives_equal_margins_or_says_that_there_is_none(
        points in prop::collection::vec(
            (-9.0..9.0, -9.0..9.0, -9.0..9.0).prop_map(|(x, y, z)| DVec3::new(x, y, z)), 1..6),
        pitch_deg in -100.0..100.0, roll_deg in -180.0..180.0,
    ) {
        let lens = Lens::new(35.0);
        let eye = DVec3::ZERO;
        let aim = balanced_heading(eye, &Film::FULL, &lens, pitch_deg, roll_deg, &points);
        if let Some(heading_deg) = aim {
            let pose = Pose { eye, heading_deg, pitch_deg, roll_deg };
            let around = margins(&Camera { pose, lens, film: Film::FULL }, &points).unwrap();
            let size = around.left.abs().max(1.0);
            prop_assert!(!around.beyond_eye);
            prop_assert!((around.left - around.right).abs() < 1e-6 * size, "{:?}", around);
        }
    }
}
