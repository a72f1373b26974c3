//! One test binary: a file per subject.

mod scene_model;
