//! A device that is lost while somebody works: the page goes on, with another device or without one. May not enter:
//! what a driver does.

use crate::graphics::adapter;
use crate::window::{Size, Window, narrow_site};
use egui::{Key, Modifiers};
use image::RgbaImage;
use std::sync::Arc;
use sunside::gpu::device::{Gpu, GpuError};
use tempfile::TempDir;

const NONE: Modifiers = Modifiers::NONE;

/// A rehearsal on a device of its own, which no other test uses.
fn on_its_own(folder: &TempDir) -> Option<Window> {
    adapter()?;
    let scene = narrow_site(folder.path());
    let gpu = Arc::new(Gpu::open().unwrap());
    let mut window = Window::on(gpu, Some(&scene), Size(1024.0, 700.0, 1.0));
    window.until("the scene is open", |window| window.is_open());
    window.proved();
    Some(window)
}

/// Takes the device away for real; what the driver would tell comes with the next poll.
fn lose(window: &mut Window) -> GpuError {
    let gpu = Arc::clone(&window.harness.state().page.lock().gpu);
    gpu.device.destroy();
    // Whether there is anything to wait for does not matter.
    let _ = gpu.device.poll(wgpu::PollType::Poll);
    gpu.check().unwrap_err()
}

/// Pixels of a part of the page that differ, and how many there are.
fn differing(one: &RgbaImage, other: &RgbaImage, rows: std::ops::Range<u32>) -> (usize, usize) {
    assert_eq!(one.dimensions(), other.dimensions());
    let inside = |y: u32| rows.contains(&y);
    let pairs = one.enumerate_pixels().zip(other.pixels());
    let pairs: Vec<bool> = pairs
        .filter(|((_, y, _), _)| inside(*y))
        .map(|((_, _, a), b)| a != b)
        .collect();
    (pairs.iter().filter(|differ| **differ).count(), pairs.len())
}

#[test]
fn on_another_device_the_page_comes_again_to_the_pixel_and_a_sentence_says_why() {
    let folder = TempDir::new().unwrap();
    let Some(mut window) = on_its_own(&folder) else {
        return;
    };
    // Letters, hatchings, a slide and the causes of a finding: all that lies on a device.
    window.press("Keep");
    window.until("the kept frame is painted", |window| {
        window.desk().small(1).is_some()
    });
    window.press_holding("What grows from the roofline");
    window.until("the causes are known", |window| {
        window.desk().pointed().is_some()
    });
    window.surveyed();
    window.harness.remove_cursor();
    window.rests();
    let (verdict, before) = (window.verdict(), window.picture());

    let error = lose(&mut window);
    assert!(matches!(error, GpuError::Lost(_)), "{error:?}");
    // A redraw on what is gone breaks nothing; the painter says so, and the shell opens another device.
    window.harness.step();
    let refused = window.harness.render().unwrap_err();
    assert!(
        refused.contains("the graphics device was lost"),
        "{refused}"
    );
    let another = Arc::new(Gpu::open().unwrap());
    window.harness.state().page.lock().move_to(another);
    window.harness.state_mut().app.device_lost(&error);

    window.harness.step();
    let told = "The graphics device was lost: it was taken away. The picture is drawn anew";
    assert!(window.has(told), "{:?}", window.labels());
    window.rests();
    assert_eq!(window.verdict(), verdict);
    let after = window.picture();
    let foot = window.place(told).top() as u32 - 8;
    let (changed, all) = differing(&before, &after, 0..foot);
    assert_eq!(changed, 0, "of {all} pixels");
    // The frame is a picture, no empty mount.
    let frame = window.place("Frame");
    let colours: std::collections::HashSet<[u8; 4]> = after
        .enumerate_pixels()
        .filter(|(x, y, _)| frame.contains(egui::pos2(*x as f32, *y as f32)))
        .map(|(_, _, pixel)| pixel.0)
        .collect();
    assert!(colours.len() > 1000, "{} colours", colours.len());
}

#[test]
fn without_another_device_the_verdict_goes_on_and_a_sentence_says_what_is_missing() {
    let folder = TempDir::new().unwrap();
    let Some(mut window) = on_its_own(&folder) else {
        return;
    };
    let (_, before) = window.verdict();
    let error = lose(&mut window);
    window.harness.state_mut().app.device_lost(&error);
    for _ in 0..8 {
        window.key(NONE, Key::E);
    }
    let (_, rolled) = window.verdict();
    assert!(rolled < before, "{rolled} after {before}");
    assert!(
        window.has("The graphics device was lost"),
        "{:?}",
        window.labels()
    );
    window.press("Level");
    assert_eq!(window.verdict().1, before);
    // Whatever else is told, the frame's place says what is missing.
    window.until("the frame's place says it", |window| {
        let rehearsing = window.harness.state_mut().app.rehearsing().unwrap();
        rehearsing.viewport.fault() == Some(&error)
    });
    window.harness.run_steps(3);
    let rehearsing = window.harness.state_mut().app.rehearsing().unwrap();
    assert_eq!(rehearsing.viewport.fault(), Some(&error));
}

#[test]
fn a_lost_device_is_told_to_everybody_who_asks_and_every_time() {
    if adapter().is_none() {
        return;
    }
    let gpu = Gpu::open().unwrap();
    gpu.check().unwrap();
    gpu.device.destroy();
    let _ = gpu.device.poll(wgpu::PollType::Poll);
    for _ in 0..2 {
        assert!(gpu.check().is_err_and(|error| error.is_final()));
    }
    assert!(gpu.wait().is_err());
}
