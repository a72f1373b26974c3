//! Why marks give no pose, in sentences. May not enter: arithmetic.

use super::LEAST_MARKS;
use super::sights::WORDS;
use glam::DVec3;
use thiserror::Error;

/// Why marks give no pose.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum Refused {
    /// Too few points.
    #[error(
        "{found} named point{} marked; a pose needs {LEAST_MARKS} or more, spread over both ends of the machine",
        if *found == 1 { "" } else { "s" }
    )]
    TooFew {
        /// Different points marked.
        found: usize,
    },
    /// One point marked twice.
    #[error("\"{0}\" is marked twice; mark each point once")]
    Twice(String),
    /// Something is not a number, or no picture.
    #[error("{0}")]
    NoNumber(String),
    /// All marked at one place.
    #[error("all points are marked at one place of the picture; mark each where it is seen")]
    OneSpot,
    /// All on one line.
    #[error("the marked points lie on one line; mark points at other heights and on another face")]
    OneLine,
    /// All on one plane, which leaves focal length and distance open.
    #[error(
        "the marked points lie in one plane, which does not tell a longer lens from a greater distance; mark \
         points of another face, or give the focal length"
    )]
    OnePlane,
    /// No camera has them all in front of it where they were marked.
    #[error(
        "no camera position has these points in front of it; check that each mark has the right name"
    )]
    NoPose,
    /// A point would lie behind the camera.
    #[error("\"{0}\" would lie behind the camera; check its name")]
    Behind(String),
    /// The fit is far off for several marks at once.
    #[error(
        "the marks do not fit together: {rms_px:.0} px off on average, worst \"{worst}\"; check names, and \
         whether the picture was cut"
    )]
    Apart {
        /// Root mean square distance.
        rms_px: f64,
        /// The mark that is most off.
        worst: String,
    },
    /// Two poses fit alike.
    #[error(
        "two camera positions fit these marks alike, {} and {} m; mark points of another face",
        place(.0), place(.1)
    )]
    TwoPoses(DVec3, DVec3),
    /// Something is left open.
    #[error("these marks leave the {0} open; mark points farther apart and on another face")]
    Unresolved(&'static str),
}

impl Refused {
    pub(super) fn unresolved(unknown: usize) -> Refused {
        Refused::Unresolved(WORDS[unknown])
    }
}

fn place(at: &DVec3) -> String {
    format!("({:.1}, {:.1}, {:.1})", at.x, at.y, at.z)
}
