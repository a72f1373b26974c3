//! Every measure there is: its key in files, its unit, and its name in reports.
//! May not enter: limits (they live in rulebook files) and how a measure is taken.

use serde::{Serialize, Serializer};

/// What a measure's number counts in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Degrees of angle.
    Degrees,
    /// Metres.
    Metres,
    /// Square metres.
    SquareMetres,
    /// Millimetres.
    Millimetres,
    /// Hundredths of a whole.
    Percent,
    /// A bare ratio or share.
    Ratio,
    /// Whole things.
    Count,
    /// Photographic stops.
    Stops,
    /// 0 no, 1 yes, or a small code that the measure explains.
    Code,
}

impl Unit {
    /// The unit in data files: ASCII, empty for bare numbers.
    pub fn word(self) -> &'static str {
        match self {
            Unit::Degrees => "deg",
            Unit::Metres => "m",
            Unit::SquareMetres => "m2",
            Unit::Millimetres => "mm",
            Unit::Percent => "%",
            Unit::Stops => "stops",
            Unit::Ratio | Unit::Count | Unit::Code => "",
        }
    }

    /// What follows a number in a sentence.
    pub fn suffix(self) -> &'static str {
        match self {
            Unit::Degrees => "°",
            Unit::Metres => " m",
            Unit::SquareMetres => " m²",
            Unit::Millimetres => " mm",
            Unit::Percent => " %",
            Unit::Stops => " stops",
            Unit::Ratio | Unit::Count | Unit::Code => "",
        }
    }
}

/// Declares the measures once: variant, key, unit, decimals in sentences, name.
macro_rules! measures {
    ($($(#[$doc:meta])* $name:ident $key:literal $unit:ident $decimals:literal $title:literal;)*) => {
        /// One measure of a frame.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum MeasureId {
            $($(#[$doc])* $name,)*
        }

        impl MeasureId {
            /// Every measure, in the order of the rulebook's tables.
            pub const ALL: &[MeasureId] = &[$(MeasureId::$name,)*];

            /// Its key in rulebook files and data output.
            pub fn key(self) -> &'static str {
                match self { $(MeasureId::$name => $key,)* }
            }

            /// What it counts in.
            pub fn unit(self) -> Unit {
                match self { $(MeasureId::$name => Unit::$unit,)* }
            }

            /// Decimals that a sentence shows, where that is enough to tell it from its limit.
            pub fn decimals(self) -> usize {
                match self { $(MeasureId::$name => $decimals,)* }
            }

            /// Its name in reports.
            pub fn title(self) -> &'static str {
                match self { $(MeasureId::$name => $title,)* }
            }
        }
    };
}

measures! {
    // Composition.
    /// Angle at the machine's centre between its nose direction and the eye.
    OffNose "off_nose_deg" Degrees 0 "off-nose angle";
    /// Which end is nearer: 0 head end (or any end of a double-ended or unpowered subject), 1 head
    /// end unknown, 2 rear end.
    EndShown "end_shown" Code 0 "end shown";
    /// Eye over the top of rail; negative below it.
    EyeOverRail "eye_over_rail_m" Metres 1 "eye over the rail";
    /// Focal length, 24 x 36 equivalent by diagonal.
    FocalEquivalent "focal_equivalent_mm" Millimetres 0 "focal length";
    /// Image scale of the near end over that of the far end.
    NearFar "near_far_ratio" Ratio 2 "near : far scale";
    /// Roll, absolute; its sign (clockwise +) in `signed`.
    Roll "roll_deg" Degrees 1 "roll";
    /// Lean of verticals that pitch causes, at the worse of the machine's ends, absolute; in
    /// `signed` the pitch's sign.
    Lean "lean_deg" Degrees 1 "lean of verticals";
    /// The smaller of the left and right margins; negative is cut off.
    SideMargin "side_margin_percent" Percent 1 "side margin";
    /// The smaller of the top and bottom margins; negative is cut off.
    TopBottomMargin "top_bottom_margin_percent" Percent 1 "top or bottom margin";
    /// Absolute difference of left and right margins; in `signed` left minus right.
    Balance "balance_percent" Percent 1 "left–right balance";
    /// Share of the frame's width that the machine fills.
    Size "size_percent" Percent 0 "size in the frame";
    /// Share of the machine's own visible area that things in front hide.
    Hidden "hidden_percent" Percent 1 "hidden by the foreground";
    /// The same for the worst named part.
    WorstHiddenPart "worst_hidden_part_percent" Percent 0 "worst hidden part";
    /// What grows from the roofline: uprights, narrow towers and treetops.
    Growths "growths_count" Count 0 "growths on the roofline";
    /// Changes of kind along the roofline; not applicable where it meets only sky and one row of trees.
    RooflineChanges "roofline_changes_count" Count 0 "changes along the roofline";
    /// The same count where the roofline meets only sky and one even row of trees; else not applicable.
    TreeRowChanges "tree_row_changes_count" Count 0 "row of trees along the roofline";
    /// Wide structures that cut horizontally behind the machine.
    BarsBehind "bars_behind_count" Count 0 "bars behind";
    /// Share of a band around the silhouette filled by equipment or buildings.
    BandBehind "band_behind_percent" Percent 0 "equipment or buildings behind";
    /// Wires above the machine and uprights beside it.
    WiresUprights "wires_uprights_count" Count 0 "wires and uprights";
    // Light.
    /// Angle by which the photographer's shadow points past the stretch from near front corner to centre;
    /// in `signed` toward the nose +, toward the rear −.
    ShadowLine "shadow_line_deg" Degrees 0 "shadow line";
    /// Share of the visible nose in direct sun.
    NoseLit "nose_lit_percent" Percent 0 "nose lit";
    /// Share of the visible cab and hood side in direct sun.
    SideLit "side_lit_percent" Percent 0 "side lit";
    /// Mean illuminance of the nose over that of the side.
    NoseSide "nose_side_ratio" Ratio 2 "nose : side light";
    /// Height of the top handrail's shadow line over the lower edge of the hood doors.
    HandrailShadow "handrail_shadow_m" Metres 2 "handrail's shadow";
    /// Profile angle of the sun, for bodies without side handrails; else not applicable.
    ProfileAngle "profile_angle_deg" Degrees 0 "profile angle of the sun";
    /// Apparent elevation of the sun.
    SunElevation "sun_elevation_deg" Degrees 0 "sun's elevation";
    /// 1 where terrain hides the sun.
    SunBehindTerrain "sun_behind_terrain" Code 0 "sun behind terrain";
    /// Share of visible trucks and tanks in direct sun.
    RunningGearLit "running_gear_lit_percent" Percent 0 "running gear lit";
    /// Direct normal illuminance over that of a clear sky.
    BeamStrength "beam_strength_ratio" Ratio 2 "beam strength";
    /// Weighted area of the largest shadow of another object on nose, cab and hood.
    ForeignBody "foreign_body_m2" SquareMetres 2 "foreign shadow on the body";
    /// 1 where such a shadow has a core that crosses half the height of nose, cab or hood.
    ForeignCore "foreign_core" Code 0 "core of a foreign shadow";
    /// Share of visible trucks and tanks in another object's shadow.
    ForeignGear "foreign_gear_percent" Percent 0 "foreign shadow on the running gear";
    /// Share of the visible lettering in any shadow.
    LetteringShaded "lettering_shaded_percent" Percent 0 "shadow on the lettering";
    /// 1 where the photographer's own shadow falls inside the frame.
    OwnShadow "own_shadow" Code 0 "photographer's shadow";
    // Subject.
    /// 1 where something is coupled at the head end.
    CoupledFront "coupled_front" Code 0 "coupled at the front";
    /// 1 where something is coupled at the rear end.
    CoupledRear "coupled_rear" Code 0 "coupled at the rear";
    /// 1 where doors stand open.
    DoorsOpen "doors_open" Code 0 "open doors";
    /// 1 where people are in the frame.
    People "people" Code 0 "people";
    /// 0 clean or fresh, 1 dirty, 2 filthy.
    Dirt "dirt" Code 0 "dirt";
    // Capture.
    /// Distance by which the worse coupler lies outside the depth of field; in `signed` beyond it +,
    /// nearer than it −.
    FocusOutside "focus_outside_m" Metres 1 "outside the depth of field";
    /// Absolute error from the advised exposure; in `signed` over +, under −.
    ExposureError "exposure_error_stops" Stops 1 "exposure error";
    /// Share of the machine in a photograph that is clipped to white. Of photographs alone.
    Clipped "clipped_percent" Percent 1 "clipped highlights";
    /// Share of it that is blocked to black. Of photographs alone.
    Blocked "blocked_percent" Percent 1 "blocked shadows";
}

impl MeasureId {
    /// Whether only the file of a photograph that was taken can tell it: of a rehearsed frame nothing is unknown
    /// for want of it.
    pub fn is_of_photographs(self) -> bool {
        matches!(self, MeasureId::Clipped | MeasureId::Blocked)
    }

    /// The measure of a key.
    pub fn from_key(key: &str) -> Option<MeasureId> {
        Self::ALL.iter().copied().find(|id| id.key() == key)
    }
}

impl Serialize for MeasureId {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.key())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_leads_back_to_its_own_measure() {
        for (place, id) in MeasureId::ALL.iter().enumerate() {
            assert_eq!(MeasureId::from_key(id.key()), Some(*id));
            assert_eq!(*id as usize, place);
        }
        assert_eq!(MeasureId::from_key("roll"), None);
    }

    #[test]
    fn a_key_ends_with_its_unit() {
        for id in MeasureId::ALL {
            let ending = match id.unit() {
                Unit::Degrees => "_deg",
                Unit::Metres => "_m",
                Unit::SquareMetres => "_m2",
                Unit::Millimetres => "_mm",
                Unit::Percent => "_percent",
                Unit::Ratio => "_ratio",
                Unit::Count => "_count",
                Unit::Stops => "_stops",
                Unit::Code => "",
            };
            assert!(id.key().ends_with(ending), "{}", id.key());
        }
    }
}
