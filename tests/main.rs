//! The one test binary: a file per subject. May not enter: tests themselves.

mod camera_exposure;
mod camera_focus;
mod camera_view;
mod card_page;
mod house;
mod model_files;
mod model_hood_six_axle;
mod picture_drawing;
mod picture_plain;
mod reference_scene;
mod rulebook_files;
mod rulebook_score;
mod rulebook_table;
mod rulebook_verdict;
mod scene_broken;
mod scene_model;
mod scene_sites;
mod sighting_cross_check;
mod sighting_shadow;
mod sighting_sunlit;
mod sighting_visibility;
mod sky_clock;
mod sky_light;
mod sky_magnetic;
mod sky_sun;
mod table;
