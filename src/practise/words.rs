//! What is told of a learner's eye, in plain sentences. May not enter: how it is worked out.

use super::fault::FaultKind;
use super::progress::{Drill, LEAST_TRIALS, Progress, Told};
use super::scale::Scale;
use super::threshold::Estimate;
use crate::grade::wording::told;
use crate::grade::{MeasureId, Rulebook};
use crate::units::Units;

/// A degree as it is seen: "a roll of 0.8°".
pub fn seen(scale: &Scale, degree: f64, units: Units) -> String {
    let value = told(scale.id, scale.value(degree), units);
    match scale.id {
        MeasureId::Roll => format!("a roll of {value}"),
        MeasureId::Lean => format!("verticals that lean by {value}"),
        MeasureId::HandrailShadow => {
            format!("a handrail's shadow {value} above the doors' lower edge")
        }
        MeasureId::ProfileAngle => format!("a sun {value} high as the side sees it"),
        MeasureId::SunElevation => format!("a sun only {value} high"),
        MeasureId::NoseLit => format!("a nose of which {value} is lit"),
        MeasureId::SideLit => format!("a side of which {value} is lit"),
        MeasureId::ShadowLine => format!("a sun {value} aside of where it belongs"),
        MeasureId::ForeignBody => format!("another thing's shadow of {value}"),
        MeasureId::Hidden => format!("{value} of the machine hidden"),
        MeasureId::SideMargin => format!("a side margin of {value}"),
        MeasureId::TopBottomMargin => format!("a margin of {value} above or below"),
        MeasureId::NoseSide => format!("a nose with {value} of the side's light"),
        MeasureId::FocalEquivalent => format!("a lens of {value}"),
        MeasureId::WorstHiddenPart => format!("{value} of one part hidden"),
        MeasureId::ForeignGear => format!("a shadow over {value} of trucks and tanks"),
        MeasureId::Balance => format!("margins that differ by {value}"),
        MeasureId::Size => format!("a machine that fills {value} of the width"),
        MeasureId::NearFar => format!("a near end drawn {value} times as large as the far end"),
        MeasureId::EyeOverRail => format!("a camera {value} over the rail"),
        MeasureId::OffNose => format!("a view {value} off the nose"),
        MeasureId::ExposureError => format!("an exposure {value} off"),
        other => format!("{} {value}", other.title()),
    }
}

/// "You see a roll of 0.8° three times in four; the rule says 0.5°."
pub fn threshold(scale: &Scale, estimate: &Estimate, units: Units) -> String {
    let limit = told(scale.id, scale.limit, units);
    // Before some frames have been seen the prior speaks, not the eye.
    if estimate.trials < LEAST_TRIALS {
        let most = seen(scale, estimate.degree, units);
        return format!("Too few frames to tell yet, perhaps {most}; the rule says {limit}.");
    }
    if estimate.at_floor {
        let least = seen(scale, estimate.least, units);
        return format!("You see even {least} three times in four; the rule says {limit}.");
    }
    if estimate.at_ceiling {
        let most = seen(scale, estimate.degree, units);
        return format!("Not yet sure, at about {most}; the rule says {limit}.");
    }
    let at = seen(scale, estimate.degree, units);
    format!("You see {at} three times in four; the rule says {limit}.")
}

/// Between which values the threshold lies two times in three.
pub fn doubt(scale: &Scale, estimate: &Estimate, units: Units) -> String {
    let mut ends =
        [-estimate.error, estimate.error].map(|by| scale.value(estimate.degree * by.exp()));
    ends.sort_by(f64::total_cmp);
    let ends = ends.map(|value| told(scale.id, value, units));
    let frames = match estimate.trials {
        1 => "one frame".to_string(),
        many => format!("{many} frames"),
    };
    format!("{} to {}, by {frames}", ends[0], ends[1])
}

/// What is told of one fault; none where it was never shown.
pub fn of_fault(rulebook: &Rulebook, told: &Told, units: Units) -> Option<String> {
    let (seen, shown) = told.named();
    if shown == 0 {
        return None;
    }
    // A machine with a handrail and one without are measured otherwise: each scale has its own threshold.
    let scales = told.kind.graded_by().iter();
    let scales = scales.filter_map(|by| told.kind.scale(rulebook, *by));
    let mut text = String::new();
    for scale in scales {
        if let Some(estimate) = told.threshold(&scale) {
            let sentence = threshold(&scale, &estimate, units);
            text += &format!("{sentence} ({}.) ", doubt(&scale, &estimate, units));
        }
    }
    let frames = if shown == 1 { "frame" } else { "frames" };
    text += &format!("Named in {seen} of {shown} {frames}.");
    Some(text)
}

/// "1 round", "4 rounds".
pub fn rounds_told(rounds: usize) -> String {
    match rounds {
        1 => "1 round".into(),
        many => format!("{many} rounds"),
    }
}

/// All of it, a line each.
pub fn progress(rulebook: &Rulebook, progress: &Progress, units: Units) -> String {
    let mut text = String::new();
    for drill in Drill::ALL {
        let (rounds, share) = progress.of_drill(drill);
        let share = share.map_or(String::new(), |share| {
            format!(", {:.0} % of the points", 100.0 * share)
        });
        let late = progress.hour_error_min().filter(|_| drill == Drill::Hour);
        let late = late.map_or(String::new(), |late| {
            format!(", off by {late:.0} min on average")
        });
        text += &format!(
            "{:<16} {}{share}{late}\n",
            drill.name(),
            rounds_told(rounds)
        );
    }
    let (clean, alarms) = progress.clean();
    if clean > 0 {
        text += &format!("Clean frames     {clean}; faults named in them: {alarms}\n");
    }
    for kind in FaultKind::ALL {
        let told = progress.of(*kind);
        if let Some(words) = of_fault(rulebook, &told, units) {
            text += &format!("\n{}\n    {words}\n", kind.name());
        }
    }
    text
}
