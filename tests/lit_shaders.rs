//! The picture's WGSL is valid, and what it reads lies where the processor puts it; no adapter is needed. May not
//! enter: pictures.

use naga::valid::{Capabilities, ValidationFlags, Validator};
use naga::{Module, TypeInner};
use std::mem::{offset_of, size_of};
use sunside::picture::lit::shader::{ALL, Source};
use sunside::picture::lit::uniforms::*;

fn module(source: &Source) -> Module {
    let text = source.text();
    naga::front::wgsl::parse_str(&text)
        .unwrap_or_else(|error| panic!("{}: {}", source.name, error.emit_to_string(&text)))
}

#[test]
fn every_shader_is_valid() {
    for source in ALL {
        let module = module(source);
        let mut validator = Validator::new(ValidationFlags::all(), Capabilities::all());
        if let Err(error) = validator.validate(&module) {
            panic!("{}: {}", source.name, error.emit_to_string(&source.text()));
        }
    }
}

/// Names and offsets of a struct's members and its size, as WGSL lays it out.
fn laid_out(module: &Module, name: &str) -> Option<(Vec<(String, usize)>, usize)> {
    let found = module
        .types
        .iter()
        .find(|(_, ty)| ty.name.as_deref() == Some(name));
    match &found?.1.inner {
        TypeInner::Struct { members, span } => {
            let member = |m: &naga::StructMember| (m.name.clone().unwrap(), m.offset as usize);
            Some((members.iter().map(member).collect(), *span as usize))
        }
        _ => None,
    }
}

macro_rules! layout {
    ($rust:ty: $($field:ident),+) => {
        (vec![$((stringify!($field).to_string(), offset_of!($rust, $field))),+], size_of::<$rust>())
    };
}

#[test]
fn uniforms_lie_where_the_shaders_read_them() {
    let frame = layout!(FrameUniform: clip_from_machine, eye, right, up, forward, window, tile, film, times, quick_low, quick_high);
    let map = layout!(SunMapUniform: map_from_machine, scale, right, up);
    let light =
        layout!(LightUniform: maps, toward, beam, sky, pale, deep, ground, spread, spread_more);
    let sun = layout!(SunUniform: clip_from_machine, right, up);
    let dirt = layout!(DirtUniform: low, high, dust, soot, grid);
    let row = layout!(SurfaceRow: color, finish, seed, polish, rough);
    let mut compared = 0;
    for source in ALL {
        let module = module(source);
        for (name, expected) in [
            ("Frame", &frame),
            ("SunMap", &map),
            ("Light", &light),
            ("Sun", &sun),
            ("Dirt", &dirt),
            ("Surface", &row),
        ] {
            if let Some(found) = laid_out(&module, name) {
                assert_eq!(&found, expected, "{name} of {}", source.name);
                compared += 1;
            }
        }
        // A foot's three numbers stand alone in WGSL, where a vector would be set apart.
        if let Some((members, size)) = laid_out(&module, "Thing") {
            assert_eq!(size, size_of::<Scattered>());
            let offset = |name: &str| members.iter().find(|(member, _)| member == name).unwrap().1;
            assert_eq!(offset("foot_x"), offset_of!(Scattered, foot));
            assert_eq!(offset("size_m"), offset_of!(Scattered, size_m));
            assert_eq!(offset("surface"), offset_of!(Scattered, surface));
            assert_eq!(offset("seed"), offset_of!(Scattered, seed));
            compared += 1;
        }
    }
    // Each struct was found somewhere, some in many modules.
    assert!(compared > 20, "{compared}");
}
