//! What is shown after an answer: the worst finding in the rulebook's own words, the pixels that cause it, and the
//! remedy. May not enter: points, widgets.

use crate::grade::culprits::Culprits;
use crate::grade::{Finding, Graded};
use crate::practise::posed::{Posed, Seen};
use std::sync::Arc;

/// The truth of a frame.
pub struct Truth {
    /// The frame as `grade` tells it, with what would mend it.
    pub graded: Graded,
    /// What causes the worst finding; none in a clean frame.
    pub culprits: Option<Arc<Culprits>>,
}

/// Works the truth out; the causes are marked over so many pixels.
pub fn truth(posed: &Posed, seen: &Seen, width_px: usize) -> Truth {
    let graded = posed.room.grade_at(&seen.composed, &seen.minute);
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
