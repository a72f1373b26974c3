//! Models from files: the box machine, and what a sidecar refuses. May not enter: places.

use std::path::Path;
use sunside::mesh::part::Role;
use sunside::mesh::sidecar;

const SIDECAR: &str = "tests/models/box_machine.toml";

/// The box machine's sidecar with one piece of text replaced, in a folder with the OBJ beside it.
fn refused(from: &str, to: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string(SIDECAR).unwrap();
    assert!(text.contains(from), "{from} stands in the sidecar");
    let path = folder.path().join("m.toml");
    std::fs::write(&path, text.replacen(from, to, 1)).unwrap();
    let obj = folder.path().join("box_machine.obj");
    std::fs::copy("tests/models/box_machine.obj", obj).unwrap();
    sidecar::load(&path).unwrap_err().to_string()
}

#[test]
fn the_box_machine_is_closed_and_as_large_as_it_says() {
    let model = sidecar::load(Path::new(SIDECAR)).unwrap();
    assert!(model.closed);
    assert_eq!(model.length_over_couplers_m(), 21.0);
    let top = model.vertices.iter().map(|v| v.z).fold(0.0, f64::max);
    let low = model.vertices.iter().map(|v| v.z).fold(9.0, f64::min);
    assert_eq!((low, top), (0.0, 4.6));
    assert!(model.parts.iter().any(|part| part.role == Role::Nose));
    // Every triangle of a part lies in its group: the tank's below the walkway.
    let tank = model
        .parts
        .iter()
        .position(|part| part.role == Role::Tank)
        .unwrap();
    for triangle in model.triangles.iter().filter(|t| t.part as usize == tank) {
        for corner in triangle.corners {
            assert!(model.vertices[corner as usize].z <= 1.2);
        }
    }
}

#[test]
fn a_part_without_its_group_and_a_group_without_its_part_are_both_told() {
    let told = refused("group = \"tank\"", "group = \"tnak\"");
    assert!(told.contains("missing OBJ group: \"tnak\""), "{told}");
    assert!(told.contains("did you mean tank?"), "{told}");
    assert!(told.contains("OBJ group without a part: tank"), "{told}");
    assert_eq!(told.lines().count(), 2, "{told}");
}

#[test]
fn a_size_that_the_mesh_does_not_have_is_told() {
    let told = refused("height_m = 4.6", "height_m = 4.75");
    assert!(
        told.contains("dimensions.height_m: the mesh measures 4.600 m: 4.75"),
        "{told}"
    );
}

#[test]
fn a_wrong_colour_role_and_extent_are_told_once_each() {
    let told = refused("color_srgb = \"#1f4e6b\"", "color_srgb = \"blue\"");
    assert!(
        told.contains("material[1].color_srgb: not a colour: \"blue\""),
        "{told}"
    );
    assert_eq!(told.lines().count(), 1, "{told}");
    let told = refused("role = \"tank\"", "role = \"tanks\"");
    assert!(told.contains("did you mean \"tank\"?"), "{told}");
    let told = refused("to_x_m = 4.9", "to_x_m = -9.9");
    assert!(
        told.contains("handrail.to_x_m: ends before it begins: -9.9"),
        "{told}"
    );
}

#[test]
fn a_handrail_within_the_doors_is_told_and_one_without_doors_is_not() {
    for offset in ["0.92", "0.5"] {
        let told = refused("offset_m = 1.50", &format!("offset_m = {offset}"));
        let wanted = format!(
            "handrail.offset_m: the handrail lies no farther out than the doors behind it: {offset} \
             (allowed: above 0.92, the doors' offset_m)"
        );
        assert!(told.contains(&wanted), "{told}");
        assert_eq!(told.lines().count(), 1, "{told}");
    }
}

#[test]
fn a_mesh_that_is_not_there_is_told_at_its_key() {
    let told = refused("mesh = \"box_machine.obj\"", "mesh = \"boxmachine.obj\"");
    assert!(
        told.contains("m.toml:4:8: model.mesh: cannot read"),
        "{told}"
    );
}

#[test]
fn a_model_with_a_face_left_out_is_not_closed() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("box_machine.toml");
    std::fs::copy(SIDECAR, &path).unwrap();
    let obj = std::fs::read_to_string("tests/models/box_machine.obj").unwrap();
    let cut = obj.replacen("\nf 5 6 7 8\n", "\n", 1);
    assert_ne!(cut, obj);
    std::fs::write(folder.path().join("box_machine.obj"), cut).unwrap();
    assert!(!sidecar::load(&path).unwrap().closed);
}
