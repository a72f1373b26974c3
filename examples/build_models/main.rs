//! Builds the machines that ship with the program: `cargo run --example build_models` writes
//! `models/*.obj` and the sidecars beside them. May not enter: shapes (see `workshop`).

mod workshop;

use std::path::Path;
use std::{fs, io};

fn main() -> io::Result<()> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("models");
    fs::create_dir_all(&folder)?;
    for machine in [
        workshop::hood_six_axle::build(),
        workshop::road_switcher::build(),
        workshop::end_cab_switcher::build(),
        workshop::carbody_unit::build(),
    ] {
        fs::write(
            folder.join(machine.stem).with_extension("obj"),
            machine.obj(),
        )?;
        fs::write(
            folder.join(machine.stem).with_extension("toml"),
            machine.sidecar(),
        )?;
        println!("{}: {} parts", machine.name, machine.groups.len());
        for group in &machine.groups {
            println!(
                "  {:6} triangles  {}",
                group.mesh.triangles.len(),
                group.name
            );
        }
        let all: usize = machine
            .groups
            .iter()
            .map(|group| group.mesh.triangles.len())
            .sum();
        println!("  {all:6} triangles in all");
    }
    Ok(())
}
