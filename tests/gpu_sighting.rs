//! The GPU's sighting: counts, batches, what is kept, what is drawn around, and what happens when the device goes.
//! May not enter: single pixels, verdicts, tables.

use crate::graphics::stages::{boxes, camera, differing, scene, sight, views, wall};
use crate::graphics::{adapter, drawing, with_both};
use crate::reference_scene::toward;
use glam::DVec3;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use sunside::gpu::device::Gpu;
use sunside::gpu::rasterizer::GpuRasterizer;
use sunside::mesh::solid::Solid;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::frame::{Counts, Sighting};
use sunside::sighting::rasterizer::{Around, Rasterizer};
use sunside::sighting::stage::StageObject;
use sunside::sighting::view::View;

#[test]
fn counts_equal_the_frames_pixels() {
    let Some(drawing) = drawing() else { return };
    let stage = scene("crowded_shop");
    let patches = stage.patches.len();
    for around in [Around::Nothing, Around::Casters, Around::Everything] {
        let views = views(&stage, 384, 512);
        let frames = Mutex::new(vec![Counts::default(); views.len()]);
        let counted = Mutex::new(vec![Counts::default(); views.len()]);
        drawing.sight_each(&stage, &views, around, &|i, sighting| {
            frames.lock().unwrap()[i] = Counts::of(sighting, patches);
        });
        drawing.count_each(&stage, &views, around, &|i, counts| {
            counted.lock().unwrap()[i] = counts.clone();
        });
        let (frames, counted) = (frames.into_inner().unwrap(), counted.into_inner().unwrap());
        assert!(
            frames
                .iter()
                .all(|one| one.alone.iter().sum::<u32>() > 5_000)
        );
        assert!(
            frames
                .iter()
                .all(|one| one.all.is_empty() == (around == Around::Nothing))
        );
        assert!(frames == counted, "{around:?}");
    }
}

#[test]
fn a_batch_is_what_its_views_are_one_by_one() {
    let Some(drawing) = drawing() else { return };
    let stage = boxes();
    // More than a batch holds, of many heights.
    let views: Vec<View> = (0..300)
        .map(|i| {
            camera(
                &stage,
                (24.0 - (i % 40) as f64, -15.0 - (i / 40) as f64, 0.5),
                70 + i % 3,
            )
        })
        .collect();
    let seen = AtomicUsize::new(0);
    drawing.sight_each(&stage, &views, Around::Everything, &|i, sighting| {
        seen.fetch_add(i + 1, Ordering::Relaxed);
        let alone = sight(drawing, &stage, &views[i], Around::Everything);
        for (a, b) in [(&alone.alone, &sighting.alone), (&alone.all, &sighting.all)] {
            assert!(
                a.ids == b.ids && a.near == b.near && a.width == b.width,
                "view {i}"
            );
        }
    });
    assert_eq!(seen.into_inner(), 300 * 301 / 2, "each view once");
}

#[test]
fn a_fold_may_keep_its_sighting() {
    let stage = boxes();
    let views = views(&stage, 96, 96);
    with_both(|rasterizer| {
        let kept = Mutex::new(vec![Sighting::default(); views.len()]);
        rasterizer.sight_each(&stage, &views, Around::Casters, &|i, sighting| {
            kept.lock().unwrap()[i] = std::mem::take(sighting);
        });
        for (view, kept) in views.iter().zip(kept.into_inner().unwrap()) {
            let alone = sight(rasterizer, &stage, view, Around::Casters);
            assert!(alone.all.ids == kept.all.ids && alone.alone.near == kept.alone.near);
        }
    });
}

#[test]
fn what_is_kept_is_the_stage_that_is_asked_for() {
    let Some(drawing) = drawing() else { return };
    let mut stage = boxes();
    let view = camera(&stage, (2.0, -24.0, 0.6), 384);
    // The wall changes where it lies in memory, and the same memory holds another wall.
    for y_m in [-6.0, -8.0, -6.0, -10.0, -12.0, -14.0, -16.0, -8.0] {
        stage.objects.clear();
        stage.soups.clear();
        stage.add(wall(y_m));
        let [wanted, drawn] = [&Cpu::default() as &dyn Rasterizer, drawing]
            .map(|rasterizer| sight(rasterizer, &stage, &view, Around::Everything));
        let wall = wanted
            .all
            .ids
            .iter()
            .filter(|id| id.as_object().is_some())
            .count();
        assert!(wall > 500, "{wall}");
        let differing = wanted
            .all
            .ids
            .iter()
            .zip(&drawn.all.ids)
            .filter(|(a, b)| a != b)
            .count();
        assert!(differing * 1000 <= wall, "{y_m}: {differing} of {wall}");
    }
}

#[test]
fn casters_cast_and_the_rest_does_not() {
    let Some(drawing) = drawing() else { return };
    let stage = scene("crowded_shop");
    let view = View::of_sun(toward(150.0, 20.0), &stage.hull, 512);
    let kinds = |around| {
        let all = sight(drawing, &stage, &view, around).all;
        let objects = all.ids.iter().filter_map(|id| id.as_object());
        let casters: Vec<bool> = objects.map(|k| stage.objects[k].is_caster()).collect();
        (
            all.ids.len(),
            casters.iter().filter(|c| **c).count(),
            casters.iter().filter(|c| !**c).count(),
        )
    };
    assert_eq!(kinds(Around::Nothing), (0, 0, 0));
    let (_, casters, others) = kinds(Around::Casters);
    assert!(casters > 500 && others == 0, "{casters} {others}");
    let (_, casters, others) = kinds(Around::Everything);
    assert!(casters > 500 && others > 500, "{casters} {others}");
}

#[test]
fn crowns_let_the_same_pixels_through() {
    let Some(drawing) = drawing() else { return };
    let mut stage = boxes();
    for (y_m, opacity) in [(-9.0, 0.5), (-12.0, 0.3)] {
        let solid = Solid::Ellipsoid {
            centre: DVec3::new(0.0, y_m, 2.0),
            radii_m: DVec3::new(4.0, 1.0, 2.0),
        };
        stage.add(StageObject {
            opacity,
            pieces: vec![solid.convex()],
            ..wall(0.0)
        });
    }
    let view = camera(&stage, (2.0, -24.0, 0.6), 800);
    let [wanted, drawn] = [&Cpu::default() as &dyn Rasterizer, drawing]
        .map(|rasterizer| sight(rasterizer, &stage, &view, Around::Casters).all);
    let crowns = wanted
        .ids
        .iter()
        .filter(|id| id.as_object().is_some_and(|k| k > 0))
        .count();
    let differing = differing(&wanted, &drawn);
    assert!(
        crowns > 20_000 && differing * 500 <= crowns,
        "{differing} of {crowns}"
    );
}

#[test]
fn a_lost_device_is_told_once_and_the_processor_draws_on() {
    if adapter().is_none() {
        return;
    }
    // A device of its own, to be lost.
    let gpu = Arc::new(Gpu::open().unwrap());
    let told: Arc<Mutex<Vec<String>>> = Arc::default();
    let tell = Arc::clone(&told);
    let tell = Box::new(move |text: &str| tell.lock().unwrap().push(text.into()));
    let drawing = GpuRasterizer::new(Arc::clone(&gpu), tell).unwrap();
    let stage = boxes();
    let views = views(&stage, 200, 200);
    let _ = sight(&drawing, &stage, &views[0], Around::Everything);
    assert!(!drawing.has_failed() && told.lock().unwrap().is_empty());
    gpu.device.destroy();
    for _ in 0..2 {
        let seen = AtomicUsize::new(0);
        drawing.sight_each(&stage, &views, Around::Everything, &|i, sighting| {
            seen.fetch_add(i + 1, Ordering::Relaxed);
            let wanted = sight(&Cpu::default(), &stage, &views[i], Around::Everything);
            assert!(wanted.all.ids == sighting.all.ids && wanted.all.near == sighting.all.near);
        });
        assert_eq!(seen.into_inner(), views.len() * (views.len() + 1) / 2);
    }
    let told = told.lock().unwrap();
    assert!(drawing.has_failed());
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(
        told[0].ends_with("the processor draws on") && !told[0].contains('\n'),
        "{told:?}"
    );
}

/// Threads that wait for their own views meet the ends of one another's: none may take that for a loss.
#[test]
fn many_threads_draw_at_once() {
    let Some(drawing) = drawing() else { return };
    let stage = boxes();
    let views = views(&stage, 96, 96);
    let wanted: Vec<Sighting> = views
        .iter()
        .map(|view| sight(drawing, &stage, view, Around::Casters))
        .collect();
    std::thread::scope(|scope| {
        for turn in 0..16 {
            let (stage, views, wanted) = (&stage, &views, &wanted);
            scope.spawn(move || {
                for i in (0..40).map(|i| (i + turn) % views.len()) {
                    let drawn = sight(drawing, stage, &views[i], Around::Casters);
                    assert!(
                        drawn.all.ids == wanted[i].all.ids
                            && drawn.alone.near == wanted[i].alone.near
                    );
                }
            });
        }
    });
    assert!(!drawing.has_failed());
}
