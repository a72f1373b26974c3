//! Each part of a frame by itself, one after another with nothing else at work: what a redraw is made of. May not
//! enter: the window's own order of work.

use crate::window::Window;
use chrono::TimeDelta;
use std::error::Error;
use std::sync::Arc;
use std::time::{Duration, Instant};
use sunside::gpu::rasterizer::GpuRasterizer;
use sunside::grade::studio::{Studio, WIDEST_GRADED_DEG};
use sunside::picture::lit::{Lit, Options, Quality};
use sunside::picture::{Light, plain};
use sunside::sighting::cpu::Cpu;
use sunside::sighting::rasterizer::Rasterizer;
use sunside::window::viewport::MOVING_PX;

/// Takes of each part.
const TIMES: usize = 21;

/// Measures them for the frame that the window shows, and prints a line for each.
pub fn tell(window: &mut Window) -> Result<(), Box<dyn Error>> {
    let page = window.app.rehearsing().ok_or("no rehearsal")?;
    let (room, take) = (Arc::clone(&page.desk.room.1), page.desk.take.clone());
    let gpu = Arc::clone(&window.gpu);
    println!("one frame, part by part (median of {TIMES}, each waited for):");
    // Another minute and another heading each time, so that nothing is kept from the last one.
    let minutes = |n: usize| take.at + TimeDelta::minutes(n as i64);
    let stand = |n: usize| {
        let mut stand = take.stand;
        stand.heading_deg += 0.2 * n as f64;
        stand
    };
    let mut lit = Lit::on(Arc::clone(&gpu))?;
    let stage = lit.upload(&room.stage, Lit::shape(room.rasterizer, &room.stage))?;
    let [width, height] = window.size;
    // The frame's share of the page, as the window lays it out at 1280 x 800.
    let whole_px = (0.46 * f64::from(width)).min(0.9 * f64::from(height)) as usize;
    let sorts: &[(Quality, usize)] = match gpu.is_software {
        true => &[(Quality::Moving, MOVING_PX), (Quality::Still, whole_px)],
        false => &[
            (Quality::Live, whole_px),
            (Quality::Still, whole_px),
            (Quality::Still, 1280),
        ],
    };
    for (quality, across) in sorts {
        let mut took = [vec![], vec![]];
        for n in 0..TIMES {
            lit.set_stage(&stage);
            let light = Light::at(&room.scene, minutes(n));
            took[0].push(timed(|| Ok(lit.set_light(&light, *quality)?), &gpu)?);
            let view = plain::view_of(&room.camera(&stand(n)), *across);
            let options = Options {
                quality: *quality,
                exposed_for_lx: plain::exposed_for_lx(&light),
                largest_tile: 512,
            };
            took[1].push(timed(|| Ok(lit.show(&view, &options)?), &gpu)?);
        }
        let [maps, picture] = took.map(median_ms);
        println!("  {quality:?}, {across} px: shadow maps {maps:.1} ms, picture {picture:.1} ms");
    }
    let on_device = GpuRasterizer::new(Arc::clone(&gpu), Box::new(|told| eprintln!("{told}")))?;
    let who: [(&str, &dyn Rasterizer); 2] =
        [("processor", &Cpu::default()), ("adapter", &on_device)];
    for (name, rasterizer) in who {
        let studio = Studio::new(room.scene.clone(), room.rulebook, rasterizer, None);
        for (what, size) in [
            ("search", &room.rulebook.search),
            ("proof", &room.rulebook.proof),
        ] {
            let mut took = [vec![], vec![], vec![]];
            for n in 0..TIMES {
                let start = Instant::now();
                let minute = studio.minute_at_size(minutes(n), size);
                took[0].push(start.elapsed());
                let start = Instant::now();
                let eye = studio.look_at_size(studio.eye(&stand(n)), size, WIDEST_GRADED_DEG);
                took[1].push(start.elapsed());
                let start = Instant::now();
                let capture = studio.default_capture();
                let composed = studio.compose_seen(eye.map(Arc::new), &stand(n), &capture);
                let graded = studio.grade_at(&composed, &minute);
                took[2].push(start.elapsed());
                drop(graded);
            }
            let [sun, eye, grade] = took.map(median_ms);
            println!(
                "  {name}, {what} size: sighting of the sun {sun:.1} ms, of the eye {eye:.1} ms, grade {grade:.1} ms"
            );
        }
    }
    let mut took = [vec![], vec![]];
    for n in 0..TIMES {
        // Another theme changes every pixel of the page and none of the picture.
        let themes = [egui::Theme::Light, egui::Theme::Dark];
        window.context.set_theme(themes[n % 2]);
        let redraw = window.redraw(vec![])?;
        took[0].push(redraw.layout);
        took[1].push(redraw.device);
    }
    let [layout, device] = took.map(median_ms);
    println!("  interface, the whole page anew: layout {layout:.1} ms, painting {device:.1} ms");
    Ok(())
}

fn timed(
    work: impl FnOnce() -> Result<(), Box<dyn Error>>,
    gpu: &sunside::gpu::device::Gpu,
) -> Result<Duration, Box<dyn Error>> {
    let start = Instant::now();
    work()?;
    gpu.wait()?;
    Ok(start.elapsed())
}

fn median_ms(mut took: Vec<Duration>) -> f64 {
    took.sort();
    took[took.len() / 2].as_secs_f64() * 1e3
}
