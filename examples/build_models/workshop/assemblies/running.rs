//! Trucks and tanks, with their names. May not enter: anything above the underframe.

use super::super::machine::Machine;
use super::super::parts::tank;
use super::super::parts::wheel::{self, TruckMeshes};
use super::super::shape::{Mesh, eased};
use glam::DVec3;

/// Adds a truck at both ends, ± `x` from the middle.
pub fn add_trucks(machine: &mut Machine, truck: &TruckMeshes, x: f64, wheel_radius_m: f64) {
    let wheels = truck.axles_x_m.iter().map(|axle| {
        Mesh::of([
            wheel::wheel(*axle, wheel_radius_m).both_sides(),
            wheel::axle(*axle, wheel_radius_m, truck.axle_half_m),
        ])
    });
    let wheels = Mesh::of(wheels);
    for (end, x) in [("front", x), ("rear", -x)] {
        let mut put = |group: &str, name: String, role, paint, mesh: &Mesh| {
            let mesh = mesh.clone().moved(DVec3::X * x);
            machine.add(format!("{group}_{end}"), name, role, paint, mesh);
        };
        put(
            "truck_frame",
            format!("{end} truck"),
            "truck",
            "truck",
            &truck.frame,
        );
        let gear = format!("{end} truck's springs, brakes and motors");
        put("truck_gear", gear, "truck", "underframe", &truck.gear);
        put(
            "wheels",
            format!("{end} truck's wheels"),
            "wheel",
            "wheel steel",
            &wheels,
        );
    }
}

/// What hangs below the deck between the trucks.
#[derive(Clone, Copy, Debug)]
pub struct Tanks {
    /// The fuel tank's x range, half width and z range.
    pub fuel_x_m: (f64, f64),
    /// Half its width.
    pub fuel_half_m: f64,
    /// Its underside and top.
    pub fuel_z_m: (f64, f64),
    /// Height of the air tanks' middle lines.
    pub air_z_m: f64,
}

impl Tanks {
    /// Adds fuel tank, fittings, air tanks (two on the right, one on the left) and an equipment box.
    pub fn add(&self, machine: &mut Machine) {
        let (x, half, z) = (self.fuel_x_m, self.fuel_half_m, self.fuel_z_m);
        let body = tank::fuel_tank(x, half, z.0, z.1);
        machine.add("fuel_tank", "fuel tank", "tank", "underframe", body);
        let flat = (z.0 + 0.40, z.1 - 0.07);
        let fittings = tank::tank_fittings(x, half, flat).both_sides();
        machine.add("tank_fittings", "tank fittings", "tank", "truck", fittings);
        let reservoir = |x: (f64, f64)| tank::reservoir(x, half - 0.16, self.air_z_m, 0.13);
        let (rear, front) = (x.0 + 0.10, x.1 - 0.10);
        let middle = 0.5 * (rear + front);
        let aft = reservoir((rear, middle - 0.25));
        let pair = Mesh::of([aft.clone(), reservoir((middle + 0.25, front))]);
        machine.add(
            "air_tanks_right",
            "engineer-side air tanks",
            "tank",
            "truck",
            pair,
        );
        let single = aft.mirrored();
        machine.add(
            "air_tank_left",
            "conductor-side air tank",
            "tank",
            "truck",
            single,
        );
        let (low, high) = (self.air_z_m - 0.125, self.air_z_m + 0.175);
        let cabinet = eased(
            [middle + 0.35, half - 0.35, low],
            [front - 0.10, half - 0.04, high],
            0.02,
        );
        machine.add(
            "equipment_box",
            "equipment box",
            "detail",
            "underframe",
            cabinet,
        );
    }
}
