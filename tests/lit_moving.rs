//! Moving pictures against stills, stills in steps against stills at once, and pictures that stay on the device. May not
//! enter: stored pictures, times.

use crate::graphics;
use glam::DVec3;
use std::path::Path;
use std::sync::Arc;
use sunside::gpu::device::Gpu;
use sunside::grade::{Rulebook, Studio};
use sunside::picture::lit::{Lit, Options, Prepared, Quality, StillInSteps};
use sunside::picture::png::Picture;
use sunside::picture::{Light, plain};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::frame::{Frame, Sighting};
use sunside::sighting::rasterizer::{Around, Rasterizer};
use sunside::sighting::stage::StageKind;
use sunside::sighting::view::View;

/// A shipped scene's default frame.
struct Set {
    view: View,
    light: Light,
    prepared: Arc<Prepared>,
    frame: Frame,
    parts: Vec<(String, Vec<usize>)>,
}

fn options(quality: Quality, light: &Light) -> Options {
    Options {
        quality,
        exposed_for_lx: plain::exposed_for_lx(light),
        largest_tile: 2048,
    }
}

impl Set {
    fn new(lit: &Lit, path: &str, width: usize) -> Set {
        let scene = Scene::load(Path::new(path)).unwrap();
        let (rulebook, cpu) = (Rulebook::roster(), Cpu::default());
        let studio = Studio::new(scene, &rulebook, &cpu, None);
        let view = plain::view_of(&studio.camera(&studio.default_stand()), width);
        let light = Light::at(&studio.scene, studio.scene.frame.at.unwrap());
        let prepared = lit.prepare(&cpu, &studio.stage).unwrap();
        let stage = &studio.stage;
        let mut sighting = Sighting::default();
        cpu.sight(stage, &view, Around::Everything, &mut sighting);
        let frame = sighting.all;
        // The machine's parts, each kind of thing, and the sky.
        let mut parts: Vec<(String, Vec<usize>)> = vec![("sky".into(), vec![])];
        for (i, id) in frame.ids.iter().enumerate() {
            let name = match (id.as_patch(), id.as_object()) {
                (Some(patch), _) => stage.model.parts[stage.patches.part[patch] as usize]
                    .name
                    .clone(),
                (_, Some(k)) if stage.objects[k].kind == StageKind::Ground => "ground".into(),
                (_, Some(k)) => format!("{:?}", stage.objects[k].kind),
                _ => "sky".into(),
            };
            match parts.iter_mut().find(|(other, _)| *other == name) {
                Some((_, pixels)) => pixels.push(i),
                None => parts.push((name, vec![i])),
            }
        }
        Set {
            view,
            light,
            prepared,
            frame,
            parts,
        }
    }

    fn draw(&self, lit: &mut Lit, quality: Quality) -> Picture {
        lit.set_stage(&self.prepared);
        lit.set_light(&self.light, quality).unwrap();
        lit.draw(&self.view, &options(quality, &self.light))
            .unwrap()
    }

    fn begin(&self, lit: &mut Lit) -> StillInSteps {
        lit.set_stage(&self.prepared);
        let options = options(Quality::Still, &self.light);
        lit.begin_still(&self.view, &self.light, &options).unwrap()
    }
}

fn mean(picture: &Picture, pixels: &[usize]) -> DVec3 {
    let color = |i: &usize| DVec3::from_array(picture.pixels_srgb[*i].map(f64::from));
    pixels.iter().map(color).sum::<DVec3>() / pixels.len() as f64
}

/// The same tone: of each part that fills a hundredth of the frame the mean colours differ by no more than 16 of 255
/// (common practice calls about 6 % just told apart in pictures side by side), of the whole frame by no more than 8.
#[test]
fn a_moving_picture_has_a_stills_tones() {
    let Some(mut lit) = graphics::painting() else {
        return;
    };
    let mut wrong = vec![];
    for path in [
        "open_siding",
        "crowded_shop",
        "poplar_elevator",
        "hemlock_museum",
    ] {
        let set = Set::new(&lit, &format!("scenes/{path}.toml"), 480);
        let still = set.draw(&mut lit, Quality::Still);
        let moving = set.draw(&mut lit, Quality::Moving);
        let all = set.frame.ids.len();
        let mut compared = 0;
        let whole = ("frame".to_string(), (0..all).collect());
        for (name, pixels) in set.parts.iter().chain([&whole]) {
            if pixels.len() * 100 < all {
                continue;
            }
            compared += 1;
            let (a, b) = (mean(&still, pixels), mean(&moving, pixels));
            let most = if name == "frame" { 8.0 } else { 16.0 };
            if (a - b).abs().max_element() > most {
                wrong.push(format!(
                    "{path} {name}, {} px: still {a:.0}, moving {b:.0}",
                    pixels.len()
                ));
            }
        }
        assert!(compared >= 5, "{path}: {compared}");
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_still_in_steps_is_the_still() {
    let Some(mut lit) = graphics::painting() else {
        return;
    };
    for path in ["scenes/crowded_shop.toml", "scenes/poplar_elevator.toml"] {
        let set = Set::new(&lit, path, 480);
        let mut still = set.begin(&mut lit);
        assert!(still.shown().is_none() && still.picture(&lit).is_err());
        let mut steps = 0;
        while !still.step(&mut lit).unwrap() {
            steps += 1;
            assert!(steps < 10_000);
        }
        assert!(steps > 5, "{steps}");
        assert_eq!(still.shown().unwrap().size, [480, set.view.height as u32]);
        let in_steps = still.picture(&lit).unwrap();
        assert!(in_steps == set.draw(&mut lit, Quality::Still), "{path}");
    }
}

/// One still on its way, while another stage is set, shown and moved; another one given up.
#[test]
fn stills_and_moving_pictures_of_two_stages_do_not_mix() {
    let Some(mut lit) = graphics::painting() else {
        return;
    };
    let a = Set::new(&lit, "scenes/crowded_shop.toml", 320);
    let b = Set::new(&lit, "scenes/open_siding.toml", 320);
    let (a_still, b_moving) = (
        a.draw(&mut lit, Quality::Still),
        b.draw(&mut lit, Quality::Moving),
    );
    let mut given_up = b.begin(&mut lit);
    for _ in 0..2 {
        given_up.step(&mut lit).unwrap();
    }
    drop(given_up);
    let mut still = a.begin(&mut lit);
    let mut finished = false;
    while !finished {
        finished = still.step(&mut lit).unwrap();
        lit.set_stage(&b.prepared);
        lit.set_light(&b.light, Quality::Moving).unwrap();
        lit.show(&b.view, &options(Quality::Moving, &b.light))
            .unwrap();
    }
    assert!(still.picture(&lit).unwrap() == a_still);
    assert!(b.draw(&mut lit, Quality::Moving) == b_moving);
    // A light belongs to its stage.
    lit.set_stage(&a.prepared);
    let error = lit
        .draw(&b.view, &options(Quality::Moving, &b.light))
        .unwrap_err();
    assert!(
        error.to_string().contains("no light was set for Moving"),
        "{error}"
    );
}

#[test]
fn what_is_shown_stays_in_one_texture_until_its_size_changes() {
    let Some(mut lit) = graphics::painting() else {
        return;
    };
    let set = Set::new(&lit, "scenes/open_siding.toml", 320);
    lit.set_stage(&set.prepared);
    let mut generations = vec![];
    for (quality, width) in [
        (Quality::Moving, 320),
        (Quality::Live, 320),
        (Quality::Live, 200),
    ] {
        lit.set_light(&set.light, quality).unwrap();
        let height = width * set.view.height / set.view.width;
        let view = View {
            width,
            height,
            ..set.view.clone()
        };
        lit.show(&view, &options(quality, &set.light)).unwrap();
        let shown = lit.shown().unwrap();
        assert_eq!(shown.size, [width as u32, height as u32]);
        generations.push(shown.generation);
    }
    assert_eq!(generations[0], generations[1]);
    assert_ne!(generations[1], generations[2]);
}

/// A device that somebody else opened draws as ours does, and its faults are told.
#[test]
fn a_device_opened_elsewhere_serves() {
    fn goes_between_threads<T: Send>(_: &T) {}
    if graphics::adapter().is_none() {
        return;
    }
    let instance =
        wgpu::Instance::new(wgpu::InstanceDescriptor::new_without_display_handle_from_env());
    let (_, adapter) = Gpu::open_for(&instance, None).unwrap();
    let request = wgpu::DeviceDescriptor {
        required_limits: adapter.limits(),
        ..Default::default()
    };
    let (device, queue) = pollster::block_on(adapter.request_device(&request)).unwrap();
    let gpu = Arc::new(Gpu::of(device, queue, &adapter.get_info()));
    let mut lit = Lit::on(Arc::clone(&gpu)).unwrap();
    goes_between_threads(&lit);
    let set = Set::new(&lit, "scenes/open_siding.toml", 160);
    let picture = set.draw(&mut lit, Quality::Moving);
    assert!(picture.pixels_srgb.iter().any(|pixel| *pixel != [0; 3]));
    let _ = gpu.device.create_buffer(&wgpu::BufferDescriptor {
        label: None,
        size: 3,
        usage: wgpu::BufferUsages::MAP_READ | wgpu::BufferUsages::MAP_WRITE,
        mapped_at_creation: false,
    });
    assert_eq!(gpu.faults(), 1);
    assert!(gpu.check().is_err());
}
