//! Prints the lit share of every role of a model for thirty suns, the machine alone: `cargo run --release
//! --example lit_shares [SIDECAR]`. Shows what a real mesh's own reveals, grilles and rails take from the
//! light that the rulebook's limits ask for. May not enter: surroundings, verdicts.

use glam::DVec3;
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::Arc;
use sunside::grade::Rulebook;
use sunside::grade::measure::eye::Eye;
use sunside::grade::measure::light::handrail_shadow_m;
use sunside::mesh::part::Role;
use sunside::mesh::sidecar;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::frame::Id;
use sunside::sighting::lit::SunBuffer;
use sunside::sighting::rasterizer::Around;
use sunside::sighting::shown::{Class, Shown};
use sunside::sighting::stage::Stage;

/// Azimuths from the nose toward the side that the eye sees, and elevations, degrees.
const AZIMUTHS_DEG: [f64; 6] = [0.0, 15.0, 30.0, 45.0, 60.0, 80.0];
const ELEVATIONS_DEG: [f64; 5] = [10.0, 20.0, 30.0, 45.0, 60.0];

/// The eye: 40° off the nose, 29 m away, 1.0 m over the rail, on the right.
const EYE_OFF_NOSE_DEG: f64 = 40.0;
const EYE_DISTANCE_M: f64 = 29.0;

fn main() -> ExitCode {
    let path = std::env::args().nth(1);
    let path = PathBuf::from(path.unwrap_or_else(|| "models/hood_six_axle.toml".into()));
    match sidecar::load(&path) {
        Ok(model) => {
            print(&Stage::of_model(Arc::new(model)));
            ExitCode::SUCCESS
        }
        Err(problems) => {
            eprintln!("{problems}");
            ExitCode::from(2)
        }
    }
}

/// From the right of the nose, this far round and up.
fn direction(azimuth_deg: f64, elevation_deg: f64) -> DVec3 {
    let ((sin, cos), up) = (
        azimuth_deg.to_radians().sin_cos(),
        elevation_deg.to_radians(),
    );
    DVec3::new(cos * up.cos(), -sin * up.cos(), up.sin())
}

fn print(stage: &Stage) {
    let proof = Rulebook::roster().proof;
    let cpu = Cpu::default();
    let at = direction(EYE_OFF_NOSE_DEG, 0.0) * EYE_DISTANCE_M + DVec3::Z;
    let Some(eye) = Eye::draw(&cpu, stage, at, proof.width_px, 175.0) else {
        println!("the machine spans too much of the view");
        return;
    };
    let shown = Shown::to(at);
    let (frame, view) = (&eye.sighting.alone, &eye.view);
    let seen = frame.ids.iter().enumerate();
    let points: Vec<(usize, DVec3)> = seen
        .filter_map(|(pixel, id)| {
            let (column, row) = (pixel % frame.width, pixel / frame.width);
            Some((id.as_patch()?, view.point(column, row, frame.near[pixel])))
        })
        .collect();
    let roles: Vec<Role> = Role::ALL
        .into_iter()
        .filter(|role| stage.patches.role.contains(role))
        .collect();
    println!(
        "Lit share in % of the visible area, {} alone, eye {EYE_OFF_NOSE_DEG}° off the nose. Suns: azimuth from \
         the nose toward the eye's side, elevation. The first three columns are the rules' own classes; rail: the \
         handrail's shadow over the doors' lower edge, m.\n",
        stage.model.name
    );
    print!(
        "{:>4} {:>4} {:>6} {:>5} {:>5} {:>5} |",
        "az", "el", "rail", "Nose", "Side", "Gear"
    );
    for role in &roles {
        print!(" {:>9}", role.word());
    }
    println!();
    for azimuth_deg in AZIMUTHS_DEG {
        for elevation_deg in ELEVATIONS_DEG {
            let toward = direction(azimuth_deg, elevation_deg);
            let sun = SunBuffer::draw(&cpu, stage, toward, Around::Nothing, proof.sun_px);
            let lit: Vec<(Role, Class, bool)> = points
                .iter()
                .map(|&(patch, point)| {
                    let normal = stage.patches.normal[patch];
                    let role = stage.patches.role[patch];
                    let id = Id::patch(patch);
                    let lit = sun.lit(&sun.sighting.alone, id, point, normal);
                    (role, shown.class(role, normal), lit)
                })
                .collect();
            let share = |of: &dyn Fn(Role, Class) -> bool| {
                let chosen = lit.iter().filter(|(role, class, _)| of(*role, *class));
                let (all, sunny) = chosen.fold((0, 0), |(all, sunny), (_, _, lit)| {
                    (all + 1, sunny + usize::from(*lit))
                });
                match all {
                    0 => "–".to_string(),
                    _ => format!("{:.0}", 100.0 * sunny as f64 / all as f64),
                }
            };
            let rail = handrail_shadow_m(&stage.model, shown, toward)
                .map_or("–".to_string(), |m| format!("{m:+.2}"));
            print!("{azimuth_deg:>4} {elevation_deg:>4} {rail:>6}");
            for class in [Class::Nose, Class::Side, Class::RunningGear] {
                print!(" {:>5}", share(&|_, one| one == class));
            }
            print!(" |");
            for role in &roles {
                print!(" {:>9}", share(&|one, _| one == *role));
            }
            println!();
        }
    }
}
