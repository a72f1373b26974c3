//! The frame beside a spoilt one: what its remedy makes of it, and in words what was changed. May not enter: pictures.

use super::known::{self, Run};
use crate::practise::deal::Dealt;
use crate::practise::fault::FaultKind;
use crate::practise::posed::Posed;
use crate::rehearsal::command::Command;
use crate::units::wrap_180;

/// A mended frame.
pub struct Mended {
    /// The frame.
    pub posed: Posed,
    /// What was changed, in a phrase.
    pub words: String,
}

/// What mends a dealt frame; none of a clean one.
pub fn mended(dealt: &Dealt) -> Option<Mended> {
    let kind = dealt.planted?.kind;
    // What stands about is not charmed away where a step or an hour frees the frame of it.
    if matches!(
        kind,
        FaultKind::ForeignShadow | FaultKind::MergingMast | FaultKind::Foreground
    ) && let Some((runs, posed)) = known::freed(kind, &dealt.posed)
    {
        let words = changed(&dealt.posed, &posed, &runs);
        return Some(Mended { posed, words });
    }
    let words = match kind {
        FaultKind::WrongEnd => "Were it turned end for end".into(),
        FaultKind::Coupled => "Standing alone".into(),
        FaultKind::Doors => "With its doors shut".into(),
        FaultKind::People => "When they have gone".into(),
        FaultKind::Dirt => "Washed".into(),
        FaultKind::Veil => "Under a clear sky".into(),
        kind if kind.is_of_the_site() => {
            "Were it not there: a few steps aside do not free the frame of it".into()
        }
        _ => changed(&dealt.posed, &dealt.clean, &[]),
    };
    Some(Mended {
        posed: dealt.clean.clone(),
        words,
    })
}

/// "Walk left 4 times, then Balance the side margins".
pub fn runs_told(runs: &[Run]) -> String {
    let one = |(command, times): &Run| match times {
        1 => command.entry().name.to_string(),
        times => format!("{} {times} times", command.entry().name),
    };
    runs.iter().map(one).collect::<Vec<_>>().join(", then ")
}

/// A day and an hour as one says them.
fn time_told(posed: &Posed) -> String {
    let local = posed.room.scene.place.zone.local(posed.at);
    local.naive.format("%-d %B, %H:%M").to_string()
}

/// What was changed between two frames of a site, in a phrase.
fn changed(from: &Posed, to: &Posed, runs: &[Run]) -> String {
    let (a, b) = (&from.stand, &to.stand);
    let mut words: Vec<String> = vec![];
    let is_clock = |run: &Run| matches!(run.0, Command::Earlier | Command::Later);
    let walked = a.spot_m.distance(b.spot_m);
    let runs: Vec<Run> = runs.iter().copied().filter(|run| !is_clock(run)).collect();
    if !runs.is_empty() {
        words.push(runs_told(&runs));
    } else if walked > 0.05 {
        words.push(format!("From a spot {walked:.1} m away"));
    }
    if from.at != to.at {
        words.push(format!("At {}", time_told(to)));
    }
    if (a.lens_mm - b.lens_mm).abs() > 0.4 {
        words.push(format!("With {:.0} mm", b.lens_mm));
    }
    if (a.height_m - b.height_m).abs() > 0.01 {
        words.push(format!("From {:.2} m above the ground", b.height_m));
    }
    let turned = wrap_180(b.heading_deg - a.heading_deg);
    if walked <= 0.05 && turned.abs() > 0.05 {
        let way = if turned > 0.0 { "right" } else { "left" };
        words.push(format!("Turned {:.1}\u{b0} to the {way}", turned.abs()));
    }
    if (a.roll_deg, a.pitch_deg) != (b.roll_deg, b.pitch_deg) {
        words.push("Levelled".into());
    }
    if from.exposure_s != to.exposure_s {
        words.push("Exposed as advised".into());
    }
    words.join(" \u{b7} ")
}
