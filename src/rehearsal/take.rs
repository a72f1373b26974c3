//! A take: everything that decides a frame and its verdict, as plain data that can be kept, compared and taken back.
//! May not enter: what is made of it, screens.

use super::setting::Setting;
use crate::grade::Stand;
use crate::grade::measure::capture::Capture;
use chrono::{DateTime, Utc};

/// Everything that decides a frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Take {
    /// What is tried of the site.
    pub setting: Setting,
    /// Where the camera stands and how it looks.
    pub stand: Stand,
    /// The instant.
    pub at: DateTime<Utc>,
    /// The exposure that the photographer sets; none for the advised one.
    pub exposure_s: Option<f64>,
}

impl Take {
    /// How the camera is stopped down and exposed.
    pub fn capture(&self) -> Capture {
        Capture {
            f_number: self.setting.kit.f_number,
            exposure_s: self.exposure_s,
        }
    }
}
