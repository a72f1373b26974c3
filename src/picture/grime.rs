//! What weather and work leave on a machine: road dust from below, a film over all, streaks down the sides,
//! soot on top. May not enter: light, verdicts.
//!
//! Shares are ours, chosen by eye so that each condition can be told from the next in a frame.

use super::noise::layered;
use super::surface::Matter;
use crate::mesh::part::Role;
use crate::scene::machine::Condition;
use glam::{DVec2, DVec3};

/// Dry road dust and brake dust, linear sRGB.
pub const DUST: DVec3 = DVec3::new(0.20, 0.17, 0.13);

/// Soot and old oil, linear sRGB.
pub const SOOT: DVec3 = DVec3::new(0.030, 0.028, 0.026);

/// How dirty a machine is: shares of its paint that are covered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grime {
    /// Dust on running gear at the height of the rail; less above.
    pub gear: f64,
    /// Dust on walkways and pilots.
    pub deck: f64,
    /// A film of dust over bodies, everywhere.
    pub film: f64,
    /// Dust thrown up on bodies, at deck height; none above 3.4 m.
    pub splash: f64,
    /// Streaks down upright sides, at their strongest.
    pub streaks: f64,
    /// Soot on roofs and what stands on them.
    pub soot: f64,
    /// How much of the paint's polish is left.
    pub polish: f64,
}

impl Grime {
    /// The dirt of a condition.
    pub fn of(condition: Condition) -> Grime {
        let [gear, deck, film, splash, streaks, soot, polish] = match condition {
            Condition::Fresh => [0.05, 0.0, 0.0, 0.0, 0.0, 0.0, 1.25],
            Condition::Clean => [0.22, 0.06, 0.0, 0.0, 0.0, 0.0, 1.0],
            Condition::Dirty => [0.50, 0.40, 0.13, 0.34, 0.30, 0.45, 0.4],
            Condition::Filthy => [0.75, 0.70, 0.25, 0.52, 0.65, 0.85, 0.08],
        };
        Grime {
            gear,
            deck,
            film,
            splash,
            streaks,
            soot,
            polish,
        }
    }

    /// A surface of the machine with its dirt on it. `worn` is the noise of its paint, about −1 to 1.
    pub fn on(
        &self,
        bare: Matter,
        role: Role,
        point: DVec3,
        normal: DVec3,
        worn: f64,
        footprint_m: f64,
    ) -> Matter {
        let mut matter = bare;
        matter.polish *= self.polish;
        match role {
            Role::Truck | Role::Wheel | Role::Tank | Role::Coupler => {
                let share = self.gear - 0.12 * point.z + 0.12 * worn;
                cover(&mut matter, DUST, share.clamp(0.0, self.gear + 0.18));
            }
            Role::Walkway | Role::Pilot => {
                cover(&mut matter, DUST, (self.deck + 0.05 * worn).max(0.0));
            }
            _ => {
                let side = (1.0 - normal.z.abs()).max(0.0);
                let top = normal.z.max(0.0);
                let low = ((3.4 - point.z) / 1.8).clamp(0.0, 1.0);
                let dust =
                    self.film * (1.0 + 0.4 * worn) + self.splash * low * low * (1.0 + 0.7 * worn);
                cover(&mut matter, DUST, dust);
                let along = point.x + point.y;
                let run = DVec2::new(along, 0.09 * point.z);
                let streak = layered(run, 0.24, 4, 0.75, footprint_m, 101);
                cover(
                    &mut matter,
                    SOOT,
                    self.streaks * side * (0.25 + 0.8 * streak),
                );
                let high = ((point.z - 3.3) / 0.9).clamp(0.0, 1.0);
                cover(
                    &mut matter,
                    SOOT,
                    self.soot * top * high * (0.85 + 0.3 * worn),
                );
            }
        }
        matter
    }
}

/// Lays a share of something over a surface.
fn cover(matter: &mut Matter, with: DVec3, share: f64) {
    matter.albedo = matter.albedo.lerp(with, share.clamp(0.0, 0.95));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn side_after(condition: Condition) -> Matter {
        let paint = Matter {
            albedo: DVec3::new(0.6, 0.05, 0.03),
            polish: 0.04,
            rough: 0.28,
        };
        let point = DVec3::new(1.0, 0.92, 2.2);
        Grime::of(condition).on(paint, Role::Hood, point, DVec3::Y, 0.0, 0.01)
    }

    #[test]
    fn each_condition_is_farther_from_its_paint_than_the_one_before() {
        let steps = [
            Condition::Fresh,
            Condition::Clean,
            Condition::Dirty,
            Condition::Filthy,
        ]
        .map(side_after);
        assert_eq!(steps[1].albedo, DVec3::new(0.6, 0.05, 0.03));
        for pair in steps.windows(2) {
            assert!(pair[1].polish < pair[0].polish);
        }
        // How far the paint's red still stands out from what dust would show.
        let red = |m: &Matter| m.albedo.x / m.albedo.z - DUST.x / DUST.z;
        for pair in steps[1..].windows(2) {
            assert!(red(&pair[1]) < 0.75 * red(&pair[0]), "{steps:?}");
        }
    }

    #[test]
    fn soot_lies_on_the_roof_and_not_on_the_side() {
        let grey = Matter {
            albedo: DVec3::splat(0.4),
            polish: 0.0,
            rough: 1.0,
        };
        let filthy = Grime::of(Condition::Filthy);
        let at = |normal: DVec3, z: f64| {
            filthy
                .on(grey, Role::Roof, DVec3::new(0.3, 0.2, z), normal, 0.0, 1.0)
                .albedo
                .x
        };
        assert!(at(DVec3::Z, 4.4) < 0.5 * at(DVec3::Y, 4.4));
    }
}
