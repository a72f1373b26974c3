//! What is exported, read back by an independent reader (the `gltf` crate, which validates): parts, places, paints,
//! camera and sun as the scene has them. May not enter: how the file is written.

use chrono::{DateTime, Utc};
use glam::{DMat4, DVec3, DVec4, Mat4};
use gltf::khr_lights_punctual::Kind;
use std::path::Path;
use sunside::export::{Container, Exposure, of_scene};
use sunside::grade::{Rulebook, Stand, Studio};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;
use sunside::sky::daylight::daylight;
use sunside::sky::sun::sun_at;

/// An exported scene, read back.
struct Read {
    document: gltf::Document,
    data: Vec<u8>,
}

/// A node with its place in the world.
struct Placed<'a> {
    node: gltf::Node<'a>,
    world: DMat4,
}

impl Read {
    fn of(bytes: &[u8]) -> Read {
        let (document, buffers, _) = gltf::import_slice(bytes).unwrap();
        assert_eq!(buffers.len(), 1);
        Read {
            document,
            data: buffers[0].0.clone(),
        }
    }

    /// Every node of the scene.
    fn nodes(&self) -> Vec<Placed<'_>> {
        fn walk<'a>(node: gltf::Node<'a>, above: DMat4, out: &mut Vec<Placed<'a>>) {
            let own = Mat4::from_cols_array_2d(&node.transform().matrix()).as_dmat4();
            let world = above * own;
            for child in node.children() {
                walk(child, world, out);
            }
            out.push(Placed { node, world });
        }
        let mut nodes = Vec::new();
        for node in self.document.default_scene().unwrap().nodes() {
            walk(node, DMat4::IDENTITY, &mut nodes);
        }
        nodes
    }

    fn named(&self, name: &str) -> Placed<'_> {
        let found = self
            .nodes()
            .into_iter()
            .find(|placed| placed.node.name() == Some(name));
        found.unwrap_or_else(|| panic!("no node {name}"))
    }

    /// Corners of a node's triangles in the world.
    fn triangles(&self, placed: &Placed) -> Vec<[DVec3; 3]> {
        let mut triangles = Vec::new();
        for primitive in placed.node.mesh().unwrap().primitives() {
            let reader = primitive.reader(|_| Some(&self.data));
            let points: Vec<DVec3> = (reader.read_positions().unwrap())
                .map(|p| {
                    placed
                        .world
                        .transform_point3(DVec3::from_array(p.map(f64::from)))
                })
                .collect();
            let indices: Vec<u32> = reader.read_indices().unwrap().into_u32().collect();
            triangles.extend(
                indices
                    .chunks(3)
                    .map(|t| [0, 1, 2].map(|k| points[t[k] as usize])),
            );
        }
        triangles
    }
}

fn exported(
    path: &str,
    at: &str,
    change: impl Fn(&mut Stand),
    check: impl FnOnce(&Studio, &Stand, DateTime<Utc>, Read),
) {
    let scene = Scene::load(Path::new(path)).unwrap();
    let at = scene.place.zone.parse_instant(at).unwrap();
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let mut stand = studio.default_stand();
    change(&mut stand);
    let exposure = Some(Exposure {
        f_number: 8.0,
        exposure_s: 0.004,
    });
    let bytes = of_scene(&studio, &stand, at, exposure).bytes(Container::Binary);
    check(&studio, &stand, at, Read::of(&bytes));
}

/// East, north, up as the standard has it: x east, y up, z south.
fn world_of(site: DVec3) -> DVec3 {
    DVec3::new(site.x, site.z, -site.y)
}

fn bounds(points: impl Iterator<Item = DVec3>) -> [DVec3; 2] {
    points.fold([DVec3::INFINITY, DVec3::NEG_INFINITY], |[low, high], p| {
        [low.min(p), high.max(p)]
    })
}

const SCENE: &str = "scenes/open_siding.toml";
const AT: &str = "2027-05-14 10:00";

#[test]
fn every_part_is_there_by_its_name_in_its_place_with_all_its_triangles() {
    exported(
        SCENE,
        AT,
        |_| {},
        |studio, _, _, read| {
            let model = &studio.scene.machine.model;
            let machine = read.named(&model.name);
            let parts: Vec<gltf::Node> = machine.node.children().collect();
            assert_eq!(parts.len(), model.parts.len());
            for (i, (part, node)) in model.parts.iter().zip(parts).enumerate() {
                assert_eq!(node.name(), Some(part.name.as_str()));
                let placed = Placed {
                    node,
                    world: machine.world,
                };
                let triangles = read.triangles(&placed);
                let own = model
                    .triangles
                    .iter()
                    .filter(|triangle| triangle.part as usize == i);
                let corners: Vec<[DVec3; 3]> = own
                    .map(|t| t.corners.map(|k| model.vertices[k as usize]))
                    .collect();
                assert_eq!(triangles.len(), corners.len(), "{}", part.name);
                let expected = bounds(
                    corners
                        .iter()
                        .flatten()
                        .map(|p| world_of(studio.frame.to_site(*p))),
                );
                let found = bounds(triangles.iter().flatten().copied());
                for (a, b) in expected.iter().zip(found) {
                    assert!(a.distance(b) < 1e-4, "{}: {a} {b}", part.name);
                }
            }
        },
    );
}

#[test]
fn surroundings_wires_and_tracks_stand_where_the_site_has_them() {
    exported(
        SCENE,
        AT,
        |_| {},
        |studio, _, _, read| {
            for object in &studio.scene.surroundings {
                let placed = read.named(&object.name);
                let found = bounds(read.triangles(&placed).into_iter().flatten());
                let corners = object
                    .solids
                    .iter()
                    .flat_map(|solid| solid.convex().corners);
                let expected = bounds(corners.map(world_of));
                for (a, b) in expected.iter().zip(found) {
                    assert!(a.distance(b) < 1e-3, "{}: {a} {b}", object.name);
                }
            }
            // The road pole stands at 52.9 east, −67.6 north and is 9 m high over the ground (the scene file).
            let [low, high] = bounds(
                read.triangles(&read.named("road pole"))
                    .into_iter()
                    .flatten(),
            );
            assert!((high.y - low.y - 9.0).abs() < 0.3, "{low} {high}");
            let middle = (low + high) / 2.0;
            assert!(
                (middle.x - 52.9).abs() < 0.01 && (middle.z - 67.6).abs() < 0.01,
                "{middle}"
            );
            for name in [
                "siding rails",
                "siding ties",
                "siding ballast",
                "main rails",
                "ground",
                "farm drop",
            ] {
                assert!(!read.triangles(&read.named(name)).is_empty(), "{name}");
            }
            let wire = &studio.scene.wires[0];
            let [low, high] = bounds(
                read.triangles(&read.named(&wire.name))
                    .into_iter()
                    .flatten(),
            );
            assert!((high.y - wire.a.z.max(wire.b.z)).abs() < 0.011, "{high}");
            let hang = wire.points(2)[1].z;
            assert!((low.y - hang).abs() < 0.011, "{low} {hang}");
        },
    );
}

/// Every face turned outward: normals agree with the corners' order, and are unit vectors.
#[test]
fn normals_are_flat_and_agree_with_the_winding() {
    exported(
        SCENE,
        AT,
        |_| {},
        |_, _, _, read| {
            let mut faces = 0;
            for placed in read.nodes() {
                let Some(mesh) = placed.node.mesh() else {
                    continue;
                };
                for primitive in mesh.primitives() {
                    let reader = primitive.reader(|_| Some(&read.data));
                    let vector = |v: [f32; 3]| DVec3::from_array(v.map(f64::from));
                    let points: Vec<DVec3> = reader.read_positions().unwrap().map(vector).collect();
                    let normals: Vec<DVec3> = reader.read_normals().unwrap().map(vector).collect();
                    let indices: Vec<u32> = reader.read_indices().unwrap().into_u32().collect();
                    for face in indices.chunks(3) {
                        let [a, b, c] = [0, 1, 2].map(|k| points[face[k] as usize]);
                        let normal = normals[face[0] as usize];
                        assert!((normal.length() - 1.0).abs() < 1e-5);
                        assert!((b - a).cross(c - a).normalize().dot(normal) > 0.999);
                        assert!(
                            face.iter()
                                .all(|k| normals[*k as usize].distance(normal) < 1e-6)
                        );
                        faces += 1;
                    }
                    let [low, high] = bounds(points.iter().copied());
                    let stated = primitive.bounding_box();
                    assert_eq!((vector(stated.min), vector(stated.max)), (low, high));
                }
            }
            assert!(faces > 10_000, "{faces}");
        },
    );
}

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

/// sRGB's transfer function (IEC 61966-2-1), written out.
fn linear(channel: u8) -> f64 {
    let v = f64::from(channel) / 255.0;
    if v <= 0.04045 {
        v / 12.92
    } else {
        ((v + 0.055) / 1.055).powf(2.4)
    }
}

#[test]
fn paint_is_given_in_linear_light_and_a_crown_lets_through_what_it_does_not_stop() {
    exported(
        SCENE,
        AT,
        |_| {},
        |studio, _, _, read| {
            let model = &studio.scene.machine.model;
            let machine = read.named(&model.name);
            for (part, node) in model.parts.iter().zip(machine.node.children()) {
                let primitive = node.mesh().unwrap().primitives().next().unwrap();
                let material = primitive.material();
                let surface = material.pbr_metallic_roughness();
                let expected = model.materials[part.material].color_srgb.map(linear);
                for (a, b) in expected.iter().zip(surface.base_color_factor()) {
                    assert!((a - f64::from(b)).abs() < 1e-6, "{}", part.name);
                }
                assert_eq!(surface.metallic_factor(), 0.0);
                assert!(surface.roughness_factor() > 0.0 && !material.double_sided());
            }
            // The scene file gives the crown an opacity of 0.8.
            let tree = read.nodes().into_iter().find(|placed| {
                placed.node.mesh().is_some_and(|mesh| {
                    let mut materials = mesh.primitives().map(|primitive| primitive.material());
                    materials.any(|material| {
                        material.pbr_metallic_roughness().base_color_factor()[3] == 0.8
                    })
                })
            });
            assert!(tree.unwrap().node.name().unwrap().contains("cottonwood"));
        },
    );
}

#[test]
fn both_containers_hold_the_same_scene() {
    let scene = Scene::load(Path::new("tests/scenes/box_siding.toml")).unwrap();
    let at = scene.frame.at.unwrap();
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let stand = studio.default_stand();
    let [embedded, binary] = [Container::Embedded, Container::Binary]
        .map(|container| of_scene(&studio, &stand, at, None).bytes(container));
    let length = u32::from_le_bytes(binary[8..12].try_into().unwrap());
    assert_eq!(
        (&binary[..4], length as usize),
        (&b"glTF"[..], binary.len())
    );
    assert_eq!(binary.len() % 4, 0);
    let (embedded, binary) = (Read::of(&embedded), Read::of(&binary));
    assert_eq!(embedded.nodes().len(), binary.nodes().len());
    // A binary buffer may end in up to three bytes of padding.
    assert!(binary.data.len() - embedded.data.len() < 4);
    assert_eq!(embedded.data, binary.data[..embedded.data.len()]);
}
