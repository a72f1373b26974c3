//! Daylight (contract; being built).

/// The sky between the sun and the site.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SkyCondition {
    /// No cloud before the sun.
    Clear,
    /// A veil of cirrus.
    ThinCirrus,
    /// Clouds with gaps: full sun at times.
    Broken,
    /// No sun.
    Overcast,
}

impl SkyCondition {
    /// By its word in scene files.
    pub fn from_word(word: &str) -> Option<SkyCondition> {
        match word {
            "clear" => Some(SkyCondition::Clear),
            "thin-cirrus" => Some(SkyCondition::ThinCirrus),
            "broken" => Some(SkyCondition::Broken),
            "overcast" => Some(SkyCondition::Overcast),
            _ => None,
        }
    }
}
