//! The answer to "what causes this finding": a mask, and lines and shapes over the frame. May not enter: how it is
//! found.

use super::mask::Mask;
use crate::grade::MeasureId;
use crate::sighting::view::View;
use crate::units::Units;

/// What a line or shape says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MarkRole {
    /// Where the rulebook's limit lies.
    Limit,
    /// What was measured.
    Value,
    /// What it is measured against, or a help for the eye.
    Guide,
}

/// How a mark's points belong together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// A row of points.
    Line,
    /// The edge of an area.
    Area,
}

/// A line or shape over the frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// What it says.
    pub role: MarkRole,
    /// Line or area.
    pub form: Form,
    /// Places in the frame: u from the left (0) to the right (1), v from the top (0) to the bottom (1).
    pub points: Vec<[f64; 2]>,
    /// A few words beside it.
    pub label: Option<String>,
}

/// What causes a finding.
#[derive(Clone, Debug, PartialEq)]
pub struct Culprits {
    /// The measure that was asked about.
    pub measure: MeasureId,
    /// The pixels to blame, over the camera's frame.
    pub mask: Mask,
    /// Lines and shapes over it.
    pub marks: Vec<Mark>,
    /// A few words ("2.1 % left, limit 4 %", "the yard pole").
    pub label: Option<String>,
    /// The same in feet and inches, where it tells a length.
    pub label_in_feet: Option<String>,
    /// Where the label should point.
    pub anchor: Option<[f64; 2]>,
    /// Why nothing in the frame can be pointed at; given exactly where mask and marks are empty.
    pub nothing: Option<String>,
}

impl Culprits {
    /// The few words, their lengths in these units.
    pub fn label_in(&self, units: Units) -> Option<&str> {
        match &self.label_in_feet {
            Some(label) if units == Units::Feet => Some(label),
            _ => self.label.as_deref(),
        }
    }

    /// Says a few words that tell a length.
    pub(super) fn say_length(&mut self, words: impl Fn(Units) -> String) {
        self.label = Some(words(Units::Metric));
        self.label_in_feet = Some(words(Units::Feet));
    }

    pub(super) fn none(measure: MeasureId, view: &View) -> Culprits {
        Culprits {
            measure,
            mask: Mask::empty(view.width, view.height),
            marks: Vec::new(),
            label: None,
            label_in_feet: None,
            anchor: None,
            nothing: None,
        }
    }

    pub(super) fn line(
        &mut self,
        role: MarkRole,
        line: Option<[[f64; 2]; 2]>,
        label: Option<String>,
    ) {
        self.marks.extend(line.map(|ends| Mark {
            role,
            form: Form::Line,
            points: ends.to_vec(),
            label,
        }));
    }

    pub(super) fn area(&mut self, role: MarkRole, points: Vec<[f64; 2]>, label: Option<String>) {
        if points.len() >= 3 {
            self.marks.push(Mark {
                role,
                form: Form::Area,
                points,
                label,
            });
        }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.marks.is_empty() && self.mask.is_empty()
    }
}
