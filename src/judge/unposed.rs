//! A photograph that nobody marked: what can be said of it without knowing where its camera was, and no more. May not
//! enter: grades.

use super::marks::Given;
use super::outline::{Tones, all_tones};
use super::photo::Photo;
use super::shot::Shot;
use super::whence::Whence;
use crate::grade::Studio;

/// Whoever photographs a machine stands within so many metres of it: beyond three times that a receiver's position
/// contradicts the scene.
const REACH_M: f64 = 200.0;

/// What is known without marks.
#[derive(Clone, Debug)]
pub struct Unposed {
    /// How it was shot.
    pub shot: Shot,
    /// Tones of the whole photograph.
    pub tones: Option<Tones>,
    /// The receiver's position against the machine.
    pub whence: Option<Whence>,
}

impl Unposed {
    /// Of a photograph in a scene.
    pub fn of(base: &Studio, photo: &Photo, given: &Given) -> Unposed {
        let machine_m = base.frame.to_site(glam::DVec3::ZERO).truncate();
        let observer = &base.scene.place.observer;
        Unposed {
            shot: Shot::of(photo, given, base),
            tones: all_tones(&photo.pixels),
            whence: Whence::of(&photo.said, observer, machine_m, REACH_M),
        }
    }
}
