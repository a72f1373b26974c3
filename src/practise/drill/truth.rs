//! What is shown after an answer: the worst finding in the rulebook's own words, the pixels that cause it, and the
//! remedy. May not enter: points, widgets.

use crate::grade::culprits::Culprits;
use crate::grade::{Finding, Graded};
use crate::practise::fault::FaultKind;
use crate::practise::posed::{Posed, Seen};
use std::sync::Arc;

/// The truth of a frame.
pub struct Truth {
    /// The frame as `grade` tells it, with what would mend it.
    pub graded: Graded,
    /// What causes the worst finding; none in a clean frame.
    pub culprits: Option<Arc<Culprits>>,
}

/// Works the truth out; the causes are marked over so many pixels. Of findings that are equally bad the one by which a
/// planted kind is known comes first: that is the one that was asked about.
pub fn truth(posed: &Posed, seen: &Seen, kind: Option<FaultKind>, width_px: usize) -> Truth {
    let mut graded = posed.room.grade_at(&seen.composed, &seen.minute);
    let findings = &mut graded.sheet.findings;
    let worst = findings.first().map(|finding| finding.grade);
    let is_its = |finding: &Finding| {
        let by = kind.map_or(&[][..], |kind| kind.graded_by());
        by.iter().any(|(id, _)| *id == finding.measure) && Some(finding.grade) == worst
    };
    if let Some(at) = findings.iter().position(is_its) {
        findings[..=at].rotate_right(1);
    }
    let worst = graded.sheet.findings.first().map(|finding| finding.measure);
    let culprits = worst.map(|measure| {
        let room = &posed.room;
        Arc::new(room.culprits(&seen.composed, &seen.minute, measure, width_px))
    });
    Truth { graded, culprits }
}

impl Truth {
    /// The worst finding.
    pub fn worst(&self) -> Option<&Finding> {
        self.graded.sheet.findings.first()
    }
}
