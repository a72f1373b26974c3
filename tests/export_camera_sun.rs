//! The exported camera and sun, read back: where points fall, where light comes from and how much. May not enter: how
//! the file is written.

use crate::exported::{AT, SCENE, exported, world_of};
use glam::{DMat4, DVec3, DVec4};
use gltf::khr_lights_punctual::Kind;
use sunside::grade::Stand;
use sunside::sky::daylight::daylight;
use sunside::sky::sun::sun_at;

/// The standard's perspective projection (section 3.10.3), infinite: x over y is its aspect ratio, and the camera
/// looks along −z.
#[test]
fn a_point_falls_on_the_same_place_of_the_frame_as_in_our_own_projection() {
    let turned = |stand: &mut Stand| {
        stand.pitch_deg = 3.0;
        stand.roll_deg = -2.0;
        stand.heading_deg += 1.5;
        stand.lens_mm = 58.0;
    };
    exported(SCENE, AT, turned, |studio, stand, _, read| {
        let placed = read.named("camera 58 mm");
        let camera = placed.node.camera().unwrap();
        let gltf::camera::Projection::Perspective(lens) = camera.projection() else {
            panic!("a perspective camera");
        };
        // 24 mm through 58 mm.
        let expected = 2.0 * (12.0_f64 / 58.0).atan();
        assert!((f64::from(lens.yfov()) - expected).abs() < 1e-6);
        assert_eq!(lens.aspect_ratio(), Some(1.5));
        assert!(lens.zfar().is_none());
        let (near, tan) = (
            f64::from(lens.znear()),
            (f64::from(lens.yfov()) / 2.0).tan(),
        );
        let clip_from_view = DMat4::from_cols(
            DVec4::new(1.0 / (1.5 * tan), 0.0, 0.0, 0.0),
            DVec4::new(0.0, 1.0 / tan, 0.0, 0.0),
            DVec4::new(0.0, 0.0, -1.0, -1.0),
            DVec4::new(0.0, 0.0, -2.0 * near, 0.0),
        );
        let clip_from_world = clip_from_view * placed.world.inverse();
        let own = studio.camera(stand);
        let mut seen = 0;
        for vertex in studio.scene.machine.model.vertices.iter().step_by(97) {
            let (u, v) = own.u_v(&own.project(*vertex).unwrap());
            let clip = clip_from_world * world_of(studio.frame.to_site(*vertex)).extend(1.0);
            let found = [0.5 + clip.x / clip.w / 2.0, 0.5 - clip.y / clip.w / 2.0];
            // A thousandth of a pixel of a frame 100 px wide per 1e-5; single precision's turns give 1e-6.
            assert!(
                (found[0] - u).abs() < 2e-5 && (found[1] - v).abs() < 2e-5,
                "{found:?} {u} {v}"
            );
            seen += 1;
        }
        assert!(seen > 50);
    });
}

fn luminance(color: [f32; 3]) -> f64 {
    let [r, g, b] = color.map(f64::from);
    0.2126 * r + 0.7152 * g + 0.0722 * b // ITU-R BT.709
}

#[test]
fn the_sun_shines_from_where_it_stands_with_the_daylight_s_lux() {
    exported(
        SCENE,
        AT,
        |_| {},
        |studio, _, at, read| {
            let lights: Vec<_> = read.document.lights().unwrap().collect();
            assert_eq!(lights.len(), 1);
            let light = &lights[0];
            assert!(matches!(light.kind(), Kind::Directional));
            assert!(
                light
                    .color()
                    .iter()
                    .all(|channel| (0.0..=1.0).contains(channel))
            );
            let observer = &studio.scene.place.observer;
            let sun = sun_at(observer, at);
            let expected =
                daylight(sun.elevation_deg, observer.pressure_hpa, studio.scene.sky).beam_normal_lx;
            let found = f64::from(light.intensity()) * luminance(light.color());
            // The matrix to sRGB is written with four digits.
            assert!((found / expected - 1.0).abs() < 2e-4, "{found} {expected}");
            let placed = read.named("sun");
            assert_eq!(placed.node.light().unwrap().index(), 0);
            let travels = placed.world.transform_vector3(DVec3::NEG_Z);
            // Bearing clockwise from north, height above the horizon.
            let (azimuth, height) = (sun.azimuth_deg.to_radians(), sun.elevation_deg.to_radians());
            let toward = DVec3::new(
                azimuth.sin() * height.cos(),
                height.sin(),
                -azimuth.cos() * height.cos(),
            );
            assert!(travels.distance(-toward) < 1e-6, "{travels} {toward}");
        },
    );
}

#[test]
fn by_night_the_sun_is_dark() {
    exported(
        SCENE,
        "2027-05-14 23:00",
        |_| {},
        |_, _, _, read| {
            let light = read.document.lights().unwrap().next().unwrap();
            assert_eq!(light.intensity(), 0.0);
        },
    );
}
