//! Lenses compared, as a table, as data, as one picture. May not enter: formulas, which lenses.

use super::stand;
use super::ways::Way;
use crate::grade::wording::sentence_case;
use crate::grade::{Minute, Sheet as Graded, Studio};
use crate::picture::painter::Painter;
use crate::picture::predicted::predicted;
use crate::picture::sheet::{Mount, Sheet};
use crate::plan::ladder::{Ladder, Rung};
use crate::plan::request::{Cancelled, Watch};
use crate::units::{compass_word, feet};
use rayon::prelude::*;
use serde_json::json;
use std::fmt::Write;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Width of each frame of the picture, pixels: a row of four is as wide as most screens.
pub const FRAME_PX: usize = 480;

/// The ladder of one facing.
pub struct Lenses<'a> {
    /// The site, ready to be graded.
    pub studio: &'a Studio<'a>,
    /// The instant and its light.
    pub minute: Minute,
    /// The lenses.
    pub ladder: Ladder,
}

impl Way for Lenses<'_> {
    fn studio(&self) -> &Studio<'_> {
        self.studio
    }

    fn best(&self) -> Option<&Graded> {
        let sheets = self.ladder.rungs.iter().map(|rung| &rung.graded.sheet);
        sheets.max_by(|a, b| a.rank(b))
    }

    fn text(&self) -> String {
        text(self)
    }

    fn data(&self) -> serde_json::Value {
        data(self)
    }
}

impl Lenses<'_> {
    /// Whether one may stand with some lens and the frame is fair or better.
    pub fn serves(&self) -> bool {
        self.ladder.rungs.iter().any(Rung::serves)
    }

    /// Scene and minute.
    fn title(&self) -> String {
        let scene = &self.studio.scene;
        format!(
            "{} · {}",
            scene.name,
            scene.place.zone.local(self.minute.at)
        )
    }

    /// What is the same in every frame.
    fn setting(&self) -> String {
        format!(
            "The machine fills {:.1} % of the frame's width in each · spots {} ({:.0}°) of its centre",
            100.0 * self.ladder.share,
            compass_word(self.ladder.bearing_deg),
            self.ladder.bearing_deg
        )
    }
}

fn near_far(rung: &Rung) -> String {
    rung.near_far
        .map_or_else(|| "–".to_string(), |ratio| format!("{ratio:.2}"))
}

/// What is worst in a frame.
fn worst(rung: &Rung) -> &str {
    let worst = rung.graded.sheet.findings.first();
    worst.map_or("nothing to say against it", |finding| finding.what())
}

fn text(way: &Lenses) -> String {
    let mut text = format!("{}\n{}\n\n", way.title(), way.setting());
    text += "     lens   from its centre    from the near rail   ground  near:far  verdict      worst\n";
    for rung in &way.ladder.rungs {
        let sheet = &rung.graded.sheet;
        let _ = writeln!(
            text,
            "{:>6} mm {:>7.2} m ({:>3.0} ft) {:>9.2} m ({:>3.0} ft)   {:<6} {:>9}  {:<4} {:>5.1}   {}",
            rung.stand.lens_mm,
            rung.distance_m,
            feet(rung.distance_m),
            rung.rail_m,
            feet(rung.rail_m),
            if rung.ground.is_ok() { "yes" } else { "no" },
            near_far(rung),
            sheet.verdict.word(),
            sheet.score,
            worst(rung),
        );
    }
    text.push('\n');
    for rung in &way.ladder.rungs {
        if let Err(refusal) = &rung.ground {
            let _ = writeln!(
                text,
                "Do not stand there with {} mm: {refusal}",
                rung.stand.lens_mm
            );
        }
    }
    for lens_mm in &way.ladder.without_mm {
        let _ = writeln!(text, "{lens_mm} mm: no distance gives this share");
    }
    text
}

/// The comparison as data: documented in README.
fn data(way: &Lenses) -> serde_json::Value {
    let scene = &way.studio.scene;
    let rung = |rung: &Rung| {
        json!({
            "stand": stand::data(scene, &way.studio.obstacles, &rung.stand),
            "distance_m": rung.distance_m,
            "rail_m": rung.rail_m,
            "area": rung.ground.as_ref().ok(),
            "refusal": rung.ground.as_ref().err().map(ToString::to_string),
            "near_far": rung.near_far,
            "sheet": rung.graded.sheet,
        })
    };
    json!({
        "scene": scene.name,
        "head_end": scene.machine.head_end.word(),
        "at": way.minute.at.to_rfc3339(),
        "local": scene.place.zone.local(way.minute.at).to_string(),
        "share": way.ladder.share,
        "bearing_deg": way.ladder.bearing_deg,
        "lenses": way.ladder.rungs.iter().map(rung).collect::<Vec<_>>(),
        "without_mm": way.ladder.without_mm,
    })
}

/// The frames as mounted slides on one sheet. What did not go as asked with one is told in a sentence.
pub fn sheet(
    painter: &Painter,
    way: &Lenses,
    facing_known: bool,
    tell_flaw: &(dyn Fn(&str) + Sync),
    watch: &Watch,
) -> Result<Sheet, Cancelled> {
    let rungs = &way.ladder.rungs;
    let done = AtomicUsize::new(0);
    let mount = |rung: &Rung| {
        watch.step(
            "frames are drawn",
            done.fetch_add(1, Ordering::Relaxed) as f64 / rungs.len() as f64,
        )?;
        let settings = (rung.graded.advice.as_ref()).map(|a| (a.aperture.value, a.shutter.value));
        let (studio, at) = (way.studio, way.minute.at);
        let painted = predicted(painter, studio, &rung.stand, at, settings, FRAME_PX);
        if let Some(flaw) = &painted.flaw {
            tell_flaw(flaw);
        }
        let sheet = &rung.graded.sheet;
        let film = &way.studio.scene.kit.film;
        let ground = match &rung.ground {
            Ok(area) => Ok(format!("Stand on the {area}")),
            Err(refusal) => Err(format!("Not allowed: {refusal}")),
        };
        Ok(Mount {
            frame: painted.picture.into(),
            left: format!("{} mm", rung.stand.lens_mm),
            right: format!("{} × {} mm", film.width_mm, film.height_mm),
            figures: format!(
                "{:.1} m back · near : far {}",
                rung.distance_m,
                near_far(rung)
            ),
            verdict: Some(sheet.verdict),
            open: None,
            at_best: false,
            worst: sentence_case(worst(rung)),
            ground,
        })
    };
    let mounts = rungs.par_iter().map(mount).collect::<Result<_, _>>()?;
    let mut title = way.title();
    if !facing_known {
        let nose_deg = way.studio.scene.machine.forward_bearing_deg();
        title += &format!(" · if it faces {}", compass_word(nose_deg));
    }
    Ok(Sheet {
        title,
        subtitle: way.setting(),
        mounts,
    })
}
