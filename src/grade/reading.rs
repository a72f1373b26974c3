//! What was measured in a frame. May not enter: limits, grades.

use super::catalogue::MeasureId;

/// One measure's outcome.
#[derive(Clone, Debug, PartialEq)]
pub enum Reading {
    /// A number in the measure's own unit.
    Value(f64),
    /// The measure has no meaning here; why.
    NotApplicable(String),
    /// It cannot be known; why.
    Unknown(String),
}

/// One measure as it was taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// Which measure.
    pub id: MeasureId,
    /// Its outcome.
    pub reading: Reading,
    /// The culprit or the place, as a sentence names it ("the signal mast", "left").
    pub detail: Option<String>,
    /// The number with its sign where the measure itself is absolute (the catalogue says which sign).
    pub signed: Option<f64>,
    /// What would mend it, where that is known better than the rulebook's advice ("wait until 14:25").
    pub mend: Option<String>,
}

impl Measured {
    fn new(id: MeasureId, reading: Reading) -> Measured {
        Measured {
            id,
            reading,
            detail: None,
            signed: None,
            mend: None,
        }
    }

    /// A number. What is not a number (NaN) reads as unknown, never as a grade.
    pub fn value(id: MeasureId, value: f64) -> Measured {
        if value.is_nan() {
            return Measured::unknown(id, "it could not be computed");
        }
        Measured::new(id, Reading::Value(value))
    }

    /// The absolute of a signed number, which keeps its sign for the wording.
    pub fn absolute(id: MeasureId, signed: f64) -> Measured {
        Measured {
            signed: Some(signed),
            ..Measured::value(id, signed.abs())
        }
    }

    /// Yes (1) or no (0).
    pub fn flag(id: MeasureId, yes: bool) -> Measured {
        Measured::value(id, f64::from(u8::from(yes)))
    }

    /// No meaning here.
    pub fn not_applicable(id: MeasureId, why: impl Into<String>) -> Measured {
        Measured::new(id, Reading::NotApplicable(why.into()))
    }

    /// Cannot be known.
    pub fn unknown(id: MeasureId, why: impl Into<String>) -> Measured {
        Measured::new(id, Reading::Unknown(why.into()))
    }

    /// Names the culprit or the place.
    pub fn with_detail(mut self, detail: impl Into<String>) -> Measured {
        self.detail = Some(detail.into());
        self
    }

    /// Says what would mend it.
    pub fn with_mend(mut self, mend: impl Into<String>) -> Measured {
        self.mend = Some(mend.into());
        self
    }
}
