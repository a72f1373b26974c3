//! The faults that are practised: by which measures the rulebook knows each, what it is called, what mends it. May not
//! enter: how a fault is planted, limits.

use super::scale::Scale;
use crate::grade::rule::Way;
use crate::grade::{Finding, MeasureId, Rulebook, Sheet};

/// The least share of a limit that is asked of what is seen within it.
const WITHIN: f64 = 0.3;
/// Off the nose by so much one sees the side alone.
const SQUARE_DEG: f64 = 90.0;

/// What one can do about a frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Remedy {
    /// Roll and pitch set to nothing.
    Level,
    /// The heading turned.
    Turn,
    /// The camera raised or lowered.
    Height,
    /// Steps to one side, round the machine.
    Aside,
    /// More distance, or less lens.
    Back,
    /// Less distance, or more lens.
    Closer,
    /// Another hour or date.
    Hour,
    /// From the other end.
    OtherEnd,
    /// Another exposure.
    Expose,
    /// What stands about is put right by those whose it is.
    Ask,
}

impl Remedy {
    /// All, in the order of their keys.
    pub const ALL: [Remedy; 10] = [
        Remedy::Level,
        Remedy::Turn,
        Remedy::Height,
        Remedy::Aside,
        Remedy::Back,
        Remedy::Closer,
        Remedy::Hour,
        Remedy::OtherEnd,
        Remedy::Expose,
        Remedy::Ask,
    ];

    /// What is done, in words.
    pub fn words(self) -> &'static str {
        match self {
            Remedy::Level => "Level the camera",
            Remedy::Turn => "Turn the camera",
            Remedy::Height => "Raise or lower the camera",
            Remedy::Aside => "Step to one side",
            Remedy::Back => "Step back",
            Remedy::Closer => "Step closer",
            Remedy::Hour => "Come at another hour or date",
            Remedy::OtherEnd => "Shoot from the other end",
            Remedy::Expose => "Expose otherwise",
            Remedy::Ask => "Ask: doors shut, washed, set apart, people away",
        }
    }
}

/// Declares the faults once: kind, key, name, remedies, the measures by which its degree is told, the others; each with
/// the way in which it is worse.
macro_rules! kinds {
    ($($(#[$doc:meta])* $kind:ident $key:literal $name:literal [$($remedy:ident),*]
        [$($graded:ident $way:ident),*] [$($other:ident $other_way:ident),*];)*) => {
        /// A kind of fault.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum FaultKind {
            $($(#[$doc])* $kind,)*
        }

        impl FaultKind {
            /// Every kind, in the order in which they are told.
            pub const ALL: &'static [FaultKind] = &[$(FaultKind::$kind,)*];

            /// Its key in files.
            pub fn key(self) -> &'static str {
                match self { $(FaultKind::$kind => $key,)* }
            }

            /// Its name.
            pub fn name(self) -> &'static str {
                match self { $(FaultKind::$kind => $name,)* }
            }

            /// What mends it; the first is what is taught.
            pub fn remedies(self) -> &'static [Remedy] {
                match self { $(FaultKind::$kind => &[$(Remedy::$remedy),*],)* }
            }

            /// The measures that tell its degree, and which way is worse: the first that means something of a machine.
            pub fn graded_by(self) -> &'static [(MeasureId, Way)] {
                match self { $(FaultKind::$kind => &[$((MeasureId::$graded, Way::$way)),*],)* }
            }

            /// The other measures that tell of it.
            fn told_by(self) -> &'static [(MeasureId, Way)] {
                match self { $(FaultKind::$kind => &[$((MeasureId::$other, Way::$other_way)),*],)* }
            }
        }
    };
}

kinds! {
    /// The camera is rolled.
    Roll "roll" "Roll: the horizon is not level" [Level] [Roll High] [];
    /// The camera looks up or down.
    Lean "lean" "Lean: verticals lean" [Level] [Lean High] [];
    /// The sun stands too high.
    HighSun "high_sun" "High sun" [Hour] [HandrailShadow Low, ProfileAngle High] [];
    /// The sun stands too low.
    LowSun "low_sun" "Low sun" [Hour] [SunElevation Low] [];
    /// The nose lies in the machine's own shade.
    NoseDark "nose_dark" "Dark nose: only the side is lit" [Hour] [NoseLit Low, NoseSide Low] [];
    /// Only the nose is lit.
    NoseLit "nose_lit" "Nose-lit: the side is dark" [Hour] [SideLit Low, NoseSide High] [];
    /// The sun is not behind the photographer.
    SunAside "sun_aside" "Sun from the wrong side" [Hour, Aside] [ShadowLine High] [];
    /// The sun is veiled or hidden by clouds.
    Veil "veil" "Veiled sun: no crisp shadows" [Hour] [BeamStrength Low] [];
    /// Something else's shadow lies on the machine.
    ForeignShadow "foreign_shadow" "Another thing's shadow" [Hour] [ForeignBody High, ForeignGear High] [ForeignCore High];
    /// Something grows out of the roof.
    MergingMast "merging_mast" "Mast or pole out of the roof" [Aside] [Growths High] [];
    /// Things behind it blur its outline.
    Backdrop "backdrop" "Busy backdrop: things behind or beside" [Aside]
        [BandBehind High, RooflineChanges High, WiresUprights High] [TreeRowChanges High, BarsBehind High];
    /// Something stands in front.
    Foreground "foreground" "Something stands in front" [Aside] [Hidden High, WorstHiddenPart High] [];
    /// The machine touches the frame.
    TightMargin "tight_margin" "Tight: no room round the machine" [Back] [SideMargin Low, TopBottomMargin Low] [];
    /// More room on one side.
    Unbalanced "unbalanced" "Off balance: more room on one side" [Turn] [Balance High] [];
    /// The machine is small in the frame.
    TooSmall "too_small" "Too small in the frame" [Closer] [Size Low] [];
    /// The rear end comes toward the eye.
    WrongEnd "wrong_end" "Wrong end leading" [OtherEnd] [EndShown High] [];
    /// The near end looms.
    TooNear "too_near" "Too near, lens too wide" [Back] [NearFar High, FocalEquivalent Low] [];
    /// The machine is pressed flat.
    TooFar "too_far" "Too far, lens too long" [Closer] [NearFar Low, FocalEquivalent High] [];
    /// The eye looks down on the roof.
    EyeHigh "eye_high" "Camera too high" [Height] [EyeOverRail High] [];
    /// The eye looks up at the underframe.
    EyeLow "eye_low" "Camera too low" [Height] [EyeOverRail Low] [];
    /// The machine is seen nearly square to its side.
    Broadside "broadside" "Too broadside" [Aside] [OffNose High] [];
    /// The machine is seen nearly head-on.
    HeadOn "head_on" "Too head-on" [Aside] [OffNose Low] [];
    /// Something is coupled to it.
    Coupled "coupled" "Something is coupled to it" [Ask] [CoupledFront High, CoupledRear High] [];
    /// Doors stand open.
    Doors "doors" "Doors stand open" [Ask] [DoorsOpen High] [];
    /// Somebody is in the frame.
    People "people" "People in the frame" [Ask] [People High] [];
    /// It is dirty.
    Dirt "dirt" "Dirty" [Ask] [Dirt High] [];
    /// Too much light, or too little.
    Exposure "exposure" "Too light or too dark" [Expose] [ExposureError High] [];
}

impl FaultKind {
    /// The kind of a key.
    pub fn from_key(key: &str) -> Option<FaultKind> {
        Self::ALL.iter().copied().find(|kind| kind.key() == key)
    }

    /// Whether a finding by this measure, with this value, is of this kind.
    pub fn is_told_by(self, rulebook: &Rulebook, id: MeasureId, value: f64) -> bool {
        // Beyond square to the side it is the other end that is shown.
        if id == MeasureId::OffNose && value > SQUARE_DEG {
            return self == FaultKind::WrongEnd;
        }
        // Nose against side is of whichever lies darker.
        if id == MeasureId::NoseSide {
            let rule = rulebook.rule(id);
            let beyond = rule.and_then(|rule| super::scale::beyond(rule, value));
            return beyond.is_some_and(|scale| match self {
                FaultKind::NoseDark => scale.way == Way::Low,
                FaultKind::NoseLit => scale.way == Way::High,
                _ => false,
            });
        }
        let mut all = self.graded_by().iter().chain(self.told_by());
        all.any(|(own, way)| {
            let limit = |rule| Scale::of(rule, *way).map(|scale| scale.limit);
            let limit = rulebook.rule(*own).and_then(limit);
            *own == id && limit.is_some_and(|limit| way.outward(value) > way.outward(limit))
        })
    }

    /// Whether it is had in steps alone, whatever its measure's unit: its degree is a count, and no threshold is told.
    pub fn is_stepped(self) -> bool {
        matches!(self, FaultKind::Veil | FaultKind::Backdrop)
    }

    /// Whether less of it than its limit is to be seen by a keen eye: an error that ought to be nothing at all.
    pub fn is_seen_within(self) -> bool {
        matches!(
            self,
            FaultKind::Roll | FaultKind::Lean | FaultKind::Unbalanced
        )
    }

    /// Whether it lies in what stands about, not in camera, spot or clock.
    pub fn is_of_the_site(self) -> bool {
        use FaultKind::*;
        let put = matches!(self, ForeignShadow | MergingMast | Backdrop | Foreground);
        put || matches!(self, WrongEnd | Coupled | Doors | People | Dirt | Veil)
    }

    /// Its scale by one of its measures.
    pub fn scale(self, rulebook: &Rulebook, (id, way): (MeasureId, Way)) -> Option<Scale> {
        let scale = Scale::of(rulebook.rule(id)?, way)?;
        Some(match self.is_stepped() {
            true => scale.stepped(),
            false => scale,
        })
    }

    /// The degrees that are worth asking.
    pub fn asked(self, scale: &Scale) -> [f64; 2] {
        let [least, most] = scale.asked();
        match self.is_seen_within() {
            true => [WITHIN, most],
            false => [least, most],
        }
    }

    /// Its scale and value in a frame; none where its measures mean nothing there.
    pub fn measured(self, rulebook: &Rulebook, sheet: &Sheet) -> Option<(Scale, f64)> {
        self.graded_by().iter().find_map(|by| {
            let value = sheet.row(by.0)?.value?;
            Some((self.scale(rulebook, *by)?, value))
        })
    }

    /// The same by one measure, if it is one of its own.
    pub fn measured_by(
        self,
        rulebook: &Rulebook,
        sheet: &Sheet,
        id: MeasureId,
    ) -> Option<(Scale, f64)> {
        let by = self.graded_by().iter().find(|by| by.0 == id)?;
        let value = sheet.row(id)?.value?;
        Some((self.scale(rulebook, *by)?, value))
    }

    /// The kinds that a sheet tells of, worst first.
    pub fn told_in(rulebook: &Rulebook, sheet: &Sheet) -> Vec<FaultKind> {
        Self::told_by_all(rulebook, &sheet.findings)
    }

    /// The kinds that findings tell of, in their order.
    pub fn told_by_all(rulebook: &Rulebook, findings: &[Finding]) -> Vec<FaultKind> {
        let mut told = vec![];
        for finding in findings {
            let of = |kind: &&FaultKind| kind.is_told_by(rulebook, finding.measure, finding.value);
            if let Some(kind) = FaultKind::ALL
                .iter()
                .find(of)
                .filter(|kind| !told.contains(*kind))
            {
                told.push(*kind);
            }
        }
        told
    }
}
