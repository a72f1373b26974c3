//! What is exported, read back: parts, places, paints, containers as the scene has them. May not enter: how the file
//! is written.

use crate::exported::{AT, Placed, Read, SCENE, bounds, exported, world_of};
use glam::DVec3;
use std::collections::BTreeSet;
use std::path::Path;
use sunside::export::{Container, of_scene};
use sunside::grade::{Rulebook, Studio};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;

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
            let corners = || {
                read.triangles(&read.named("road pole"))
                    .into_iter()
                    .flatten()
            };
            let [low, high] = bounds(corners());
            assert!((high.y - low.y - 9.0).abs() < 0.3, "{low} {high}");
            // Crossarms and braces stick out; the foot is the pole's own.
            let [low, high] = bounds(corners().filter(|corner| corner.y < low.y + 0.05));
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

/// The yard with one of everything; the words are those of README's table of scene files. The reader passes extras
/// by, so the JSON itself is looked into.
#[test]
fn things_carry_the_words_of_the_scene_file() {
    let scene = Scene::load(Path::new("tests/scenes/sampler_yard.toml")).unwrap();
    let at = scene.frame.at.unwrap();
    let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene, &rulebook, &cpu, None);
    let document = of_scene(&studio, &studio.default_stand(), at, None);
    let json: serde_json::Value =
        serde_json::from_slice(&document.bytes(Container::Embedded)).unwrap();
    let nodes = json["nodes"].as_array().unwrap();
    let kinds: BTreeSet<&str> = (nodes.iter())
        .filter_map(|node| node["extras"]["kind"].as_str())
        .collect();
    let wanted = [
        "pole",
        "mast",
        "signal",
        "switch_stand",
        "crown",
        "trunk",
        "bush",
        "building",
        "bridge",
        "canopy",
        "fence",
        "equipment",
        "person",
        "ground",
        "ballast",
        "tie",
        "rail",
        "wire",
    ];
    for word in wanted {
        assert!(kinds.contains(word), "{word} of {kinds:?}");
    }
    let name = &studio.scene.machine.model.name;
    let machine = nodes.iter().find(|node| node["name"] == *name).unwrap();
    assert_eq!(machine["extras"]["condition"], "clean");
}
