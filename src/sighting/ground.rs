//! The ground of a stage: the plain that reaches to the skyline, and on it what is paved, trodden or made up.
//! May not enter: tracks.

use crate::mesh::solid::Solid;
use crate::scene::Scene;
use crate::scene::coat::{Coat, Finish};
use crate::scene::shapes::prisms;
use glam::DVec2;

/// How far the plain ground reaches from the machine, metres.
const REACH_M: f64 = 1500.0;
/// What lies on the plain is drawn so far over it, each thing a little over the one before, so that neither
/// hides the other by chance.
const OVER_M: f64 = 0.006;
const STEP_M: f64 = 0.002;

const PLAIN: Coat = Coat::new(Finish::Grass, [128, 126, 96]);

/// One piece of ground.
pub struct Piece {
    /// Its name.
    pub name: String,
    /// What it is covered with.
    pub coat: Coat,
    /// Its solids, site frame.
    pub solids: Vec<Solid>,
}

/// All ground of a scene, the plain first.
pub fn pieces(scene: &Scene) -> Vec<Piece> {
    let below_m = scene.tracks[scene.machine.track].ground_below_rail_m;
    let centre = scene.machine.centre_m;
    let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)];
    let mut all = vec![Piece {
        name: "ground".into(),
        coat: PLAIN,
        solids: vec![Solid::Prism {
            footprint: corners
                .map(|(x, y)| DVec2::new(x, y) * REACH_M + centre)
                .to_vec(),
            bottom_m: -below_m - 1.0,
            top_m: -below_m,
        }],
    }];
    let areas = scene.ground.areas.iter().map(|area| {
        let rise_m = below_m - area.below_rail_m;
        (&area.name, &area.polygon_m, area.coat, rise_m)
    });
    let surfaces =
        (scene.ground.surfaces.iter()).map(|one| (&one.name, &one.polygon_m, one.coat, one.rise_m));
    for (number, (name, polygon_m, coat, rise_m)) in areas.chain(surfaces).enumerate() {
        // Ground that lies lower than the plain shows on it: the plain is not dug out.
        let least_m = OVER_M + STEP_M * number as f64;
        let top_m = -below_m + rise_m.max(least_m);
        all.push(Piece {
            name: name.clone(),
            coat,
            solids: prisms(polygon_m, -below_m - 0.5, top_m),
        });
    }
    all
}
