//! The ladder of lenses: the same machine filling the same share of the frame from near to far, along the line
//! through the scene's own spot. May not enter: pixels of a picture, screens, files.

use super::request::{Cancelled, Watch};
use crate::camera::lens::Lens;
use crate::camera::reach::{distance_m, width_share};
use crate::grade::{Graded, MeasureId, Minute, Stand, Studio, Verdict};
use crate::scene::ground::Refusal;
use crate::units::bearing_deg;
use glam::DVec2;
use rayon::prelude::*;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Focal lengths that are compared unless others are asked for, millimetres.
pub const LENSES_MM: [f64; 8] = [35.0, 40.0, 50.0, 58.0, 85.0, 105.0, 135.0, 200.0];

/// One lens at the distance that it needs.
#[derive(Clone, Debug)]
pub struct Rung {
    /// Where and how the camera stands.
    pub stand: Stand,
    /// From the machine's centre, level.
    pub distance_m: f64,
    /// From the nearest rail of the machine's own track.
    pub rail_m: f64,
    /// The ground stood on, or why nobody may stand there.
    pub ground: Result<String, Refusal>,
    /// Image size of the near end over that of the far end; none where an end is not before the camera.
    pub near_far: Option<f64>,
    /// The frame.
    pub graded: Graded,
}

impl Rung {
    /// Whether one may stand there and the frame is fair or better.
    pub fn serves(&self) -> bool {
        self.ground.is_ok() && self.graded.sheet.verdict >= Verdict::Fair
    }
}

/// All of them, from the shortest lens to the longest.
#[derive(Clone, Debug)]
pub struct Ladder {
    /// Share of the frame's width that the machine fills in each.
    pub share: f64,
    /// True bearing of the line from the machine's centre to the spots, degrees.
    pub bearing_deg: f64,
    /// The lenses.
    pub rungs: Vec<Rung>,
    /// Focal lengths with which no distance gives that share.
    pub without_mm: Vec<f64>,
}

/// The focal lengths to compare: those asked for, else the usual ones, the kit's and the frame's own.
pub fn lenses_mm(studio: &Studio, asked: &[f64]) -> Vec<f64> {
    let scene = &studio.scene;
    let mut lenses = match asked {
        [] => [&LENSES_MM[..], &scene.kit.lenses_mm, &[scene.frame.lens_mm]].concat(),
        asked => asked.to_vec(),
    };
    lenses.sort_by(f64::total_cmp);
    lenses.dedup();
    lenses
}

/// Finds and grades each lens's stand at a minute; none where the scene's own frame does not hold the machine
/// before the camera. All are aimed for equal side margins.
pub fn ladder(
    studio: &Studio,
    minute: &Minute,
    lenses_mm: &[f64],
    watch: &Watch,
) -> Result<Option<Ladder>, Cancelled> {
    watch.step("frames are found and graded", 0.0)?;
    let own = studio.default_stand();
    let centre_m = studio.scene.machine.centre_m;
    let Some(way) = (own.spot_m - centre_m).try_normalize() else {
        return Ok(None);
    };
    let Some(share) = share_of(studio, &own) else {
        return Ok(None);
    };
    let stand_at = |lens_mm: f64, distance_m: f64| {
        let mut stand = Stand {
            spot_m: centre_m + way * distance_m,
            lens_mm,
            ..own
        };
        stand.heading_deg = studio.balanced_heading_deg(&stand);
        stand
    };
    let done = AtomicUsize::new(0);
    let rung = |&lens_mm: &f64| -> Result<(f64, Option<Rung>), Cancelled> {
        watch.alive()?;
        let share_at = |distance_m: f64| share_of(studio, &stand_at(lens_mm, distance_m));
        let found = distance_m(share, share_at);
        let rung =
            found.map(|distance| rung(studio, minute, stand_at(lens_mm, distance), distance));
        let behind = done.fetch_add(1, Ordering::Relaxed) + 1;
        watch.step(
            "frames are found and graded",
            behind as f64 / lenses_mm.len() as f64,
        )?;
        Ok((lens_mm, rung))
    };
    let found: Vec<(f64, Option<Rung>)> =
        (lenses_mm.par_iter()).map(rung).collect::<Result<_, _>>()?;
    let without = |(lens_mm, rung): &(f64, Option<Rung>)| rung.is_none().then_some(*lens_mm);
    Ok(Some(Ladder {
        share,
        bearing_deg: bearing_deg(way.x, way.y),
        without_mm: found.iter().filter_map(without).collect(),
        rungs: found.into_iter().filter_map(|(_, rung)| rung).collect(),
    }))
}

/// Share of the frame's width that the machine fills from a stand aimed for equal side margins.
fn share_of(studio: &Studio, stand: &Stand) -> Option<f64> {
    let (eye, lens) = (studio.eye(stand), Lens::new(stand.lens_mm));
    let (film, hull) = (&studio.scene.kit.film, &studio.stage.hull);
    width_share(eye, film, &lens, stand.pitch_deg, stand.roll_deg, hull)
}

fn rung(studio: &Studio, minute: &Minute, stand: Stand, distance_m: f64) -> Rung {
    let scene = &studio.scene;
    let graded = studio.grade(&stand, &studio.default_capture(), minute);
    let track = &scene.tracks[scene.machine.track];
    let spot_m: DVec2 = stand.spot_m;
    Rung {
        stand,
        distance_m,
        rail_m: track.distance_to_rail_m(spot_m),
        ground: (scene.may_stand(&studio.obstacles, spot_m)).map(|area| area.name.clone()),
        near_far: (graded.sheet.row(MeasureId::NearFar)).and_then(|row| row.value),
        graded,
    }
}
