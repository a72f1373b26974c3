//! One frame of each fault that is practised, on one sheet, to be looked at; and how often each can be planted:
//! `cargo run --example practice_sheet -- SCENE [OUT.png [SEED]]`. May not enter: anything but calls.

use std::collections::BTreeMap;
use std::error::Error;
use std::path::Path;
use std::time::{Instant, SystemTime};
use sunside::gpu::choice::Choice;
use sunside::grade::Rulebook;
use sunside::picture::painter::Painter;
use sunside::picture::png::{self, Picture};
use sunside::picture::predicted::predicted;
use sunside::picture::sheet::{Mount, Sheet};
use sunside::practise::deal::{Course, Wanted, deal};
use sunside::practise::dice::Dice;
use sunside::practise::fault::FaultKind;
use sunside::practise::progress::Progress;
use sunside::rehearsal::opening::open;
use sunside::sighting::cpu::Cpu;

const WIDTH_PX: usize = 420;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let scene = arguments.next().ok_or("a scene is wanted")?;
    let out = arguments.next();
    let seed = arguments.next().map_or(Ok(1), |seed| seed.parse())?;
    let rulebook = Box::leak(Box::new(Rulebook::roster()));
    let rasterizer = Box::leak(Box::new(Cpu::default()));
    let opened = open(
        Path::new(&scene),
        rulebook,
        rasterizer,
        SystemTime::now().into(),
    );
    let opened = opened.map_err(|problems| problems.to_string())?;
    let start = Instant::now();
    let name = &opened.site.base.name;
    let course = Course::find(name, &opened.room, opened.take.at, seed, &|| false);
    println!(
        "{} frames in {:.1} s {:?}",
        course.frames.len(),
        start.elapsed().as_secs_f64(),
        course.why
    );
    for base in &course.frames {
        let frame = &base.posed;
        let stand = &frame.stand;
        println!("  {:?} {:.0} mm {}", stand.spot_m, stand.lens_mm, frame.at);
        for given in &base.given {
            println!("    given: {}", given.what());
        }
    }
    let painter = Painter::open(Choice::Cpu)?;
    let progress = Progress::default();
    let mut mounts = vec![];
    let mut slow: BTreeMap<String, f64> = BTreeMap::new();
    let clean = std::iter::once(Wanted::Clean);
    let all = clean.chain(FaultKind::ALL.iter().map(|kind| Wanted::Fault(*kind)));
    for (round, wanted) in all.enumerate() {
        let mut dice = Dice::new(seed, round as u64);
        let start = Instant::now();
        let degree = |kind, scale: &_| progress.of(kind).next(scale);
        let courses = std::slice::from_ref(&course);
        let dealt = deal(courses, wanted, &degree, &mut dice);
        let took = start.elapsed().as_secs_f64();
        slow.insert(format!("{wanted:?}"), took);
        let Some(dealt) = dealt else {
            println!("{took:5.2} s  {wanted:?}: not planted");
            continue;
        };
        let sheet = &dealt.seen.graded.sheet;
        let worst = sheet.findings.first();
        let told = worst.map_or("nothing to say".into(), |one| one.sentence.clone());
        let degree = dealt.planted.map_or(0.0, |planted| planted.degree);
        println!(
            "{took:5.2} s  {wanted:?} degree {degree:.2}: {told} [{} in all]",
            sheet.findings.len()
        );
        if out.is_some() {
            let posed = &dealt.posed;
            let capture = posed.capture();
            let advised = dealt.seen.graded.advice.as_ref();
            let settings = match capture.exposure_s {
                Some(seconds) => Some((capture.f_number, seconds)),
                None => advised.map(|advice| (advice.aperture.value, advice.shutter.value)),
            };
            let painted = predicted(
                &painter,
                &posed.room,
                &posed.stand,
                posed.at,
                settings,
                WIDTH_PX,
            );
            mounts.push(mount(
                painted.picture,
                &format!("{wanted:?}"),
                sheet.verdict,
                &told,
            ));
        }
    }
    if let Some(out) = out {
        let sheet = Sheet {
            title: format!("{name}: one frame of each fault"),
            subtitle: "the first degrees that a newcomer is asked".into(),
            mounts,
        };
        std::fs::write(out, png::encode(&sheet.drawn(), name, ""))?;
    }
    Ok(())
}

fn mount(picture: Picture, what: &str, verdict: sunside::grade::Verdict, told: &str) -> Mount {
    Mount {
        frame: picture.into(),
        left: what.to_string(),
        right: String::new(),
        figures: String::new(),
        verdict: Some(verdict),
        open: None,
        at_best: false,
        worst: told.to_string(),
        ground: Ok(String::new()),
    }
}
