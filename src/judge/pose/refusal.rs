//! Why marks give no pose, in sentences. May not enter: arithmetic.

use super::LEAST_MARKS;
use super::sights::WORDS;
use glam::DVec3;
use std::fmt::{Display, Formatter};
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
    #[error("{0} is marked twice; mark each point once")]
    Twice(Point),
    /// Something is not a number, or no picture.
    #[error("{0}")]
    NoNumber(String),
    /// A mark that lies off the picture.
    #[error(
        "{name} is marked outside the picture, which is {width_px:.0} × {height_px:.0} px; were the marks made on another copy?"
    )]
    Outside {
        /// Which.
        name: Point,
        /// Pixels across.
        width_px: f64,
        /// Pixels down.
        height_px: f64,
    },
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
    #[error("{0} would lie behind the camera; check its name")]
    Behind(Point),
    /// The fit is far off for several marks at once.
    #[error(
        "the marks do not fit together: typically {rms_px:.0} px off, worst {worst}; check names, and \
         whether the picture was cut"
    )]
    Apart {
        /// Root mean square distance.
        rms_px: f64,
        /// The mark that is most off.
        worst: Point,
    },
    /// Two poses fit alike.
    #[error(
        "two camera positions fit these marks alike, one {} and one {}; mark points of another face",
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

    /// The same with its point as a person calls it behind its name.
    pub fn worded(mut self, words: impl Fn(&str) -> Option<String>) -> Refused {
        let (Refused::Twice(point)
        | Refused::Behind(point)
        | Refused::Outside { name: point, .. }
        | Refused::Apart { worst: point, .. }) = &mut self
        else {
            return self;
        };
        point.words = words(&point.name);
        self
    }
}

/// A point as it is told: its name, and behind it what a person calls it, where that is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    name: String,
    words: Option<String>,
}

impl Point {
    /// By its name in the file.
    pub fn named(name: &str) -> Point {
        Point {
            name: name.to_string(),
            words: None,
        }
    }
}

impl Display for Point {
    fn fmt(&self, out: &mut Formatter<'_>) -> std::fmt::Result {
        write!(out, "\"{}\"", self.name)?;
        match &self.words {
            Some(words) => write!(out, " ({words})"),
            None => Ok(()),
        }
    }
}

/// A place beside the machine, whose front lies along x and whose left along y.
fn place(at: &DVec3) -> String {
    let along = if at.x < 0.0 { "behind" } else { "ahead of" };
    let side = if at.y < 0.0 { "right" } else { "left" };
    format!(
        "{:.1} m {along} the machine's middle, {:.1} m to its {side} and {:.1} m over the rail",
        at.x.abs(),
        at.y.abs(),
        at.z
    )
}
