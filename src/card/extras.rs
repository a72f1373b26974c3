//! What a card needs beside the answer: the picture, the drawings, the numbers of the three minutes. May not
//! enter: the page.

use super::findable::{along, marks};
use crate::camera::exposure::Advice;
use crate::grade::{Studio, Verdict};
use crate::picture::drawing::{handrail, site_plan};
use crate::picture::painter::Painter;
use crate::picture::png;
use crate::picture::predicted::predicted;
use crate::plan::answer::Answer;
use crate::sky::magnetic::{Declination, declination};
use crate::sky::sun::Sun;
use site_plan::{Mark, Standing};

/// Pixels across of the card's picture: 300 to the inch at its size on paper.
pub const FRAME_PX: usize = 1200;

/// Everything beside the answer.
#[derive(Clone, Debug)]
pub struct CardExtras {
    /// The predicted frame at the best minute.
    pub frame_png: Vec<u8>,
    /// The site from above.
    pub site_plan_svg: String,
    /// What did not go as asked with it, in a sentence.
    pub flaw: Option<String>,
    /// The shadow line on the doors; none for a machine without them.
    pub handrail_svg: Option<String>,
    /// Where the spot lies along the track, in words.
    pub along: String,
    /// Distances from findable things.
    pub marks: Vec<Mark>,
    /// The sun at the window's start, best minute and end.
    pub suns: [Sun; 3],
    /// Advised exposure; none without light.
    pub advice: Option<Advice>,
    /// Magnetic declination on the day; none beyond the model's years.
    pub declination: Option<Declination>,
    /// What would free a better frame, in sentences; empty where this one is worth the trip.
    pub freeing: Vec<String>,
    /// Height of the eye over the rail, metres.
    pub eye_over_rail_m: f64,
}

impl CardExtras {
    /// Draws and computes them, the picture `frame_px` across ([`FRAME_PX`] for print). The studio's machine must
    /// face as the answer has it.
    pub fn of(studio: &Studio, painter: &Painter, answer: &Answer, frame_px: usize) -> CardExtras {
        let (scene, stand, window) = (&studio.scene, &answer.stand, &answer.window);
        let zone = &scene.place.zone;
        let best = zone.local(window.best);
        let minute = studio.minute(window.best);
        let graded = studio.grade(stand, &studio.default_capture(), &minute);
        let settings = graded
            .advice
            .as_ref()
            .map(|a| (a.aperture.value, a.shutter.value));
        let painted = predicted(painter, studio, stand, window.best, settings, frame_px);
        let marks = marks(studio, answer.side, stand.spot_m);
        let instants = window.whole_minutes();
        let suns = instants.map(|at| studio.moment(at));
        let names = ["start", "best", "end"];
        let moments: Vec<handrail::Moment> = (0..3)
            .map(|i| handrail::Moment {
                label: format!(
                    "{} {}",
                    names[i],
                    zone.local(instants[i]).naive.format("%H:%M")
                ),
                toward: suns[i].toward,
            })
            .collect();
        let sun_names: Vec<(&str, f64)> = (names.into_iter().zip(&suns))
            .filter(|(name, _)| *name == "best" || answer.verdict() > Verdict::Lost)
            .map(|(name, moment)| (name, moment.sun.azimuth_deg))
            .collect();
        let standing = Standing {
            spot_m: stand.spot_m,
            heading_deg: stand.heading_deg,
            across_deg: site_plan::across_deg(stand.lens_mm, scene.kit.film.width_mm),
            marks: &marks,
            hull_m: &studio.stage.hull,
            sun_toward: (minute.daylight.beam_normal_lx > 0.0 && !minute.behind_terrain)
                .then(|| minute.sun.toward()),
            suns: &sun_names,
        };
        let observer = &scene.place.observer;
        CardExtras {
            frame_png: png::encode(&painted.picture, &scene.name, &best.to_string()),
            flaw: painted.flaw,
            site_plan_svg: site_plan::svg(scene, &standing),
            // A lost frame has no hours to read from its doors.
            handrail_svg: (answer.verdict() > Verdict::Lost)
                .then(|| handrail::svg(studio.rasterizer, &studio.stage, answer.side, &moments))
                .flatten(),
            along: along(studio, stand.spot_m),
            marks,
            suns: suns.map(|moment| moment.sun),
            advice: graded.advice,
            declination: declination(
                observer.lat_deg,
                observer.lon_deg,
                observer.elevation_m,
                best.naive.date(),
            )
            .ok(),
            freeing: vec![],
            eye_over_rail_m: studio.eye(stand).z,
        }
    }
}
