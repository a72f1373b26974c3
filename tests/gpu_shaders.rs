//! Sighting's shaders are valid, every struct that is filled for one lies as the house lays it out, and no shader
//! escapes such tests. May not enter: an adapter.

use naga::proc::Layouter;
use naga::valid::{Capabilities, ValidationFlags, Validator};
use naga::{AddressSpace, Module, TypeInner};
use std::collections::BTreeSet;
use std::fs;
use std::mem::{offset_of, size_of};
use std::path::{Path, PathBuf};
use sunside::gpu::uniforms::{Corner, SightingView, Taking};
use sunside::picture::lit::shader::ALL;

/// A struct of the house: its name in WGSL, its size, its fields' names and offsets.
type Laid = (&'static str, usize, Vec<(&'static str, usize)>);

macro_rules! laid {
    ($name:ident { $($field:ident),* $(,)? }) => {
        (
            stringify!($name),
            size_of::<$name>(),
            vec![$((stringify!($field), offset_of!($name, $field))),*],
        )
    };
}

/// Every struct that is uploaded for shaders to read as a uniform.
fn uniforms() -> Vec<Laid> {
    vec![
        laid!(SightingView {
            eye,
            x_shift,
            x_row,
            y_shift,
            y_row,
            z_constant,
            forward,
            z_per_depth,
            w_constant,
            w_per_depth,
            scale,
            spare,
        }),
        laid!(Taking {
            width,
            height,
            scale,
            patches
        }),
    ]
}

/// Every file under `shaders/` with its text.
fn files() -> Vec<(PathBuf, String)> {
    fn walk(folder: &Path, out: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            match path.is_dir() {
                true => walk(&path, out),
                false => out.push(path),
            }
        }
    }
    let mut paths = Vec::new();
    walk(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join("shaders"),
        &mut paths,
    );
    paths.sort();
    let read = |path: PathBuf| {
        let text = fs::read_to_string(&path).unwrap();
        (path, text)
    };
    paths.into_iter().map(read).collect()
}

/// Sighting's shaders; each file is a module of its own.
fn shaders() -> Vec<(PathBuf, Module)> {
    let own = ["sighting.wgsl", "count.wgsl", "pack.wgsl", "page.wgsl"];
    let mut files = files();
    files.retain(|(path, _)| own.iter().any(|name| path.ends_with(name)));
    assert_eq!(files.len(), own.len());
    let parsed = files.into_iter().map(|(path, text)| {
        let module = naga::front::wgsl::parse_str(&text);
        let module =
            module.unwrap_or_else(|e| panic!("{}: {}", path.display(), e.emit_to_string(&text)));
        (path, module)
    });
    parsed.collect()
}

/// The picture's modules are put together from several files (`lit_shaders` holds them).
#[test]
fn no_file_is_left_out_of_what_is_held() {
    let own: Vec<PathBuf> = shaders().into_iter().map(|(path, _)| path).collect();
    let of_picture: Vec<String> = ALL.iter().map(|source| source.text()).collect();
    let files = files();
    assert!(files.len() > own.len());
    for (path, text) in files {
        let held = own.contains(&path) || of_picture.iter().any(|module| module.contains(&text));
        assert!(held, "{}", path.display());
    }
}

#[test]
fn every_shader_is_valid() {
    for (path, module) in shaders() {
        // What WGSL itself allows; an adapter may lack the rest.
        let mut validator = Validator::new(ValidationFlags::all(), Capabilities::empty());
        let found = validator.validate(&module);
        assert!(found.is_ok(), "{}: {found:?}", path.display());
    }
    let broken =
        naga::front::wgsl::parse_str("@fragment fn f() -> @location(0) u32 { return 1.0; }");
    let valid = |module: &Module| {
        Validator::new(ValidationFlags::all(), Capabilities::empty())
            .validate(module)
            .is_ok()
    };
    assert!(!broken.is_ok_and(|module| valid(&module)));
}

#[test]
fn every_shader_says_first_what_may_not_enter() {
    for (path, text) in files() {
        let head: Vec<&str> = text
            .lines()
            .map_while(|line| line.strip_prefix("//"))
            .collect();
        let head = head
            .join(" ")
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ");
        assert!(head.contains("May not enter: "), "{}", path.display());
        let longest = text.lines().map(|line| line.chars().count()).max();
        let lines = text.lines().count();
        assert!(
            lines <= 400 && longest <= Some(120),
            "{}: {lines} {longest:?}",
            path.display()
        );
    }
}

#[test]
fn every_uniform_lies_as_the_house_lays_it_out() {
    let wanted = uniforms();
    let mut found = BTreeSet::new();
    for (path, module) in shaders() {
        let mut layouter = Layouter::default();
        layouter.update(module.to_ctx()).unwrap();
        for (_, variable) in module.global_variables.iter() {
            let ty = &module.types[variable.ty];
            let (AddressSpace::Uniform, TypeInner::Struct { members, .. }) =
                (variable.space, &ty.inner)
            else {
                assert_ne!(
                    variable.space,
                    AddressSpace::Uniform,
                    "{}: a uniform is a struct",
                    path.display()
                );
                continue;
            };
            let name = ty.name.clone().unwrap();
            let told = format!("{} {name}", path.display());
            let laid = wanted.iter().find(|(wanted, ..)| *wanted == name);
            let (_, size, fields) =
                laid.unwrap_or_else(|| panic!("{told}: no struct of the house"));
            let drawn = members
                .iter()
                .map(|member| (member.name.clone().unwrap(), member.offset as usize));
            let drawn: Vec<(String, usize)> = drawn.collect();
            let fields: Vec<(String, usize)> =
                fields.iter().map(|(n, at)| (n.to_string(), *at)).collect();
            assert_eq!(drawn, fields, "{told}");
            assert_eq!(layouter[variable.ty].size as usize, *size, "{told}");
            found.insert(name);
        }
    }
    let wanted: BTreeSet<String> = wanted.iter().map(|(name, ..)| name.to_string()).collect();
    assert_eq!(found, wanted);
}

/// Vertex buffers are packed: a corner's fields follow one another at their locations, without gaps.
#[test]
fn a_corner_is_read_as_it_is_packed() {
    let (_, module) = (shaders().into_iter())
        .find(|(path, _)| path.ends_with("sighting.wgsl"))
        .unwrap();
    let corner = module
        .types
        .iter()
        .find(|(_, ty)| ty.name.as_deref() == Some("Corner"));
    let TypeInner::Struct { members, .. } = &corner.unwrap().1.inner else {
        panic!("a corner is a struct");
    };
    let (_, size, fields) = laid!(Corner {
        position,
        id,
        stops_below
    });
    let mut offset = 0;
    for ((location, member), (name, at)) in members.iter().enumerate().zip(&fields) {
        assert_eq!(member.name.as_deref(), Some(*name));
        let Some(naga::Binding::Location { location: read, .. }) = &member.binding else {
            panic!("{name} has no location");
        };
        assert_eq!((*read as usize, offset), (location, *at));
        offset += module.types[member.ty].inner.size(module.to_ctx()) as usize;
    }
    assert_eq!((members.len(), offset), (fields.len(), size));
}
