//! One binary of tests against outside references. May not enter: helpers that belong to one subject.

mod model_files;
mod model_hood_six_axle;
