//! Small pictures of what is drawn by hand: marks, hatchings, a day's lanes, a plan of the ground; held against pictures
//! that were looked at. `UPDATE_SNAPSHOTS=1` draws them anew: look at each before it is committed. May not enter: the
//! frame itself, whose pictures are held to theory.
//!
//! One tolerance for all: no pixel's colour may be farther off than a squared distance of 0.6 in YIQ, which eyes do not
//! see. Adapters that a processor plays round alike to that; real ones do not, and are not compared.

use crate::graphics::adapter;
use crate::window::page::{Page, Shared};
use crate::window::{BOX, Size, Window};
use egui::{Align2, Rect, Theme, Vec2, pos2, vec2};
use egui_kittest::{Harness, SnapshotOptions, image_snapshot_options};
use image::RgbaImage;
use image::imageops::crop_imm;
use sunside::grade::{Grade, Verdict};
use sunside::window::hatch::{self, Density};
use sunside::window::theme;
use sunside::window::verdict_sheet::form;

/// Holds a picture against the one that was looked at, on adapters that a processor plays.
fn compare(picture: &RgbaImage, name: &str) {
    if !adapter().is_some_and(|gpu| gpu.is_software) {
        eprintln!("{name} not compared: only adapters in software round alike");
        return;
    }
    let options = SnapshotOptions::new().threshold(0.6).max_failed_pixels(0);
    image_snapshot_options(picture, name, &options);
}

/// The part of a picture that a widget takes.
fn part(picture: &RgbaImage, place: Rect) -> RgbaImage {
    let [x, y] = [place.left(), place.top()].map(|v| v.round() as u32);
    let [width, height] = [place.width(), place.height()].map(|v| v.round() as u32);
    crop_imm(picture, x, y, width, height).to_image()
}

/// What is drawn into a small page.
fn drawn(
    size: Vec2,
    dark: bool,
    draw: impl Fn(&egui::Painter, Rect) + 'static,
) -> Option<RgbaImage> {
    let page = Shared::new(Page::new(adapter()?, None));
    let mut harness = Harness::builder()
        .with_size(size)
        .with_theme(if dark { Theme::Dark } else { Theme::Light })
        .with_context_setup(theme::dress)
        .renderer(page)
        .build_ui(move |ui| {
            let painter = ui.ctx().layer_painter(egui::LayerId::background());
            let rect = ui.ctx().content_rect();
            painter.rect_filled(rect, 0.0, theme::page(ui.ctx()).paper);
            draw(&painter, rect);
        });
    harness.run_steps(2);
    Some(harness.render().unwrap())
}

#[test]
fn marks_of_verdicts_and_grades_tell_apart_without_colour() {
    for dark in [false, true] {
        let picture = drawn(vec2(250.0, 90.0), dark, |painter, rect| {
            let page = theme::page(painter.ctx());
            let verdicts = [
                Verdict::Fine,
                Verdict::Good,
                Verdict::Fair,
                Verdict::Poor,
                Verdict::Lost,
            ];
            for (verdict, n) in verdicts.into_iter().zip(0u8..) {
                let middle = pos2(25.0 + 50.0 * f32::from(n), 26.0);
                let square = Rect::from_center_size(rect.min + middle.to_vec2(), Vec2::splat(28.0));
                theme::mark(painter, square, form(verdict), &page);
                let at = square.center_bottom() + vec2(0.0, 14.0);
                let font = theme::bold(theme::NOTE);
                painter.text(at, Align2::CENTER_CENTER, verdict.word(), font, page.ink);
            }
            let grades = [Grade::Clean, Grade::Slight, Grade::Marked, Grade::Ruinous];
            for (grade, n) in grades.into_iter().zip(0u8..) {
                let middle = pos2(25.0 + 50.0 * f32::from(n), 74.0);
                let square = Rect::from_center_size(rect.min + middle.to_vec2(), Vec2::splat(14.0));
                theme::mark(painter, square, grade, &page);
            }
        });
        let Some(picture) = picture else { return };
        compare(&picture, if dark { "marks_dark" } else { "marks_light" });
    }
}

#[test]
fn hatchings_are_the_denser_the_worse_in_both_themes() {
    for dark in [false, true] {
        let picture = drawn(vec2(270.0, 60.0), dark, |painter, rect| {
            let page = theme::page(painter.ctx());
            let verdicts = [Verdict::Good, Verdict::Fair, Verdict::Poor, Verdict::Lost];
            for (verdict, n) in verdicts.into_iter().zip(0u8..) {
                let corner = rect.min + vec2(10.0 + 65.0 * f32::from(n), 10.0);
                let field = Rect::from_min_size(corner, vec2(55.0, 40.0));
                let density = Density::of_verdict(verdict).unwrap();
                hatch::fill_rect(painter, field, density, page.grade(density.ink()));
            }
        });
        let Some(picture) = picture else { return };
        // Before any picture is held against another: ink grows from each to the next.
        let paper = *picture.get_pixel(2, 2);
        let ink = |n: u32| {
            let field = crop_imm(&picture, 10 + 65 * n, 10, 55, 40).to_image();
            let off = |a: u8, b: u8| u64::from(a.abs_diff(b));
            let of = |pixel: &image::Rgba<u8>| (0..3).map(|c| off(pixel[c], paper[c])).sum::<u64>();
            field.pixels().map(of).sum::<u64>()
        };
        assert!(
            (1..4).all(|n| ink(n) > ink(n - 1)),
            "{:?}",
            [0, 1, 2, 3].map(ink)
        );
        compare(
            &picture,
            if dark {
                "hatchings_dark"
            } else {
                "hatchings_light"
            },
        );
    }
}

#[test]
fn the_lanes_of_a_day_and_the_ground_of_a_minute_are_drawn_as_they_were() {
    let Some(mut window) = Window::sized(BOX, Size(1024.0, 700.0, 1.0)) else {
        return;
    };
    window.surveyed();
    window.harness.remove_cursor();
    window.rests();
    let picture = window.picture();
    for (label, name) in [("Time of day", "day_lanes"), ("Ground pane", "ground")] {
        compare(&part(&picture, window.place(label)), name);
    }
}
