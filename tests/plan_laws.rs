//! Laws of the plan: what is drawn grows with spots and suns, not with their product; one thread or two, the
//! answer is the same; nothing to stand on, nobody waiting, either end leading. May not enter: scores.

use super::plan_site::{Site, planned, rectangle, request};
use std::sync::atomic::{AtomicBool, Ordering};
use sunside::grade::{Rulebook, Studio};
use sunside::plan::request::{Cancelled, Request, Watch};
use sunside::plan::survey::{Look, survey};
use sunside::plan::{Plan, plan};
use sunside::scene::machine::HeadEnd;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::rasterizer::Rasterizer;

fn site(side_m: f64) -> Site {
    Site {
        ground_m: rectangle(20.0, -26.0, 20.0 + side_m, -26.0 + side_m),
        ..Site::default()
    }
}

/// Views drawn for a survey: everything before proofs.
fn views(site: &Site, request: &Request) -> (usize, sunside::plan::survey::Effort) {
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(site.scene(), &book, &cpu, None);
    let before = cpu.views_drawn();
    let watch = Watch {
        cancel: &AtomicBool::new(false),
        told: &|_, _| {},
    };
    let survey = survey(&studio, request, Look::ANSWERS, &watch).unwrap();
    (cpu.views_drawn() - before, survey.effort)
}

#[test]
fn views_grow_with_spots_and_suns_not_with_their_product() {
    let day = request("2027-04-05", "2027-04-05", 4);
    let fine = request("2027-04-05", "2027-04-05", 2);
    let (small, wide) = (site(2.0), site(4.0));
    // For each side that is shown two elevations of the body are drawn beside eyes and suns, and the machine from
    // seven places where one may look at it.
    const OF_A_SIDE: usize = 9;
    let counted = |site: &Site, request: &Request| {
        let (views, effort) = views(site, request);
        assert!(
            (effort.eyes + effort.suns..=effort.eyes + effort.suns + OF_A_SIDE).contains(&views),
            "{views} views for {effort:?}"
        );
        effort
    };
    let (a, b, c) = (
        counted(&small, &day),
        counted(&wide, &day),
        counted(&small, &fine),
    );
    assert!(b.spots > 3 * a.spots && b.eyes > 3 * a.eyes, "{a:?} {b:?}");
    // The sun moves 1° in 4 minutes, half a step of the grid: twice the instants lie between the same suns, but for
    // those few where light bends, which are drawn themselves until the grid's finest step has fewer.
    assert!(c.instants >= 2 * a.instants - 2, "{a:?} {c:?}");
    assert!(c.suns <= a.suns + a.suns / 4, "{a:?} {c:?}");
    assert!(c.pairs > a.pairs * 9 / 5, "{a:?} {c:?}");
}

fn told(plan: &Plan) -> String {
    let answers: Vec<_> = (plan.answers.iter())
        .map(|answer| format!("{answer:?}"))
        .collect();
    format!("{:?} {:?} {answers:#?}", plan.facings, plan.effort)
}

#[test]
fn one_thread_or_two_the_answer_is_the_same() {
    let (book, cpu, site) = (Rulebook::roster(), Cpu::default(), site(2.0));
    let request = Request {
        top: 3,
        ..request("2027-04-05", "2027-04-06", 20)
    };
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
        let run = || told(&planned(&site.scene(), &book, &cpu, &request));
        pool.build().unwrap().install(run)
    };
    let one = with(1);
    assert!(one.contains("stand"), "{one}");
    assert_eq!(one, with(2));
    assert_eq!(one, with(3));
}

#[test]
fn an_unknown_facing_is_answered_for_both() {
    // Ground on the south side of an east-west track, at both ends of the machine.
    let site = Site {
        track_m: [[-100.0, 0.0], [100.0, 0.0]],
        head_end: "unknown",
        ground_m: rectangle(-26.0, -24.0, 26.0, -21.5),
        ..Site::default()
    };
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let request = Request {
        top: 2,
        ..request("2027-03-21", "2027-03-21", 30)
    };
    let plan = planned(&site.scene(), &book, &cpu, &request);
    assert_eq!(plan.facings.len(), 2);
    assert!(
        plan.facings
            .iter()
            .all(|facing| facing.asked && facing.good_h > 0.0)
    );
    for head_end in [HeadEnd::First, HeadEnd::Second] {
        assert!(
            plan.answers
                .iter()
                .any(|answer| answer.head_end == head_end)
        );
    }
    assert!(
        plan.answers
            .iter()
            .all(|answer| answer.sheet.verdict >= sunside::grade::Verdict::Good)
    );
}

#[test]
fn with_no_ground_to_stand_on_nothing_is_answered_and_nothing_breaks() {
    // All of it so far off that no lens of the kit fills its frame.
    let site = Site {
        ground_m: rectangle(190.0, -26.0, 196.0, -20.0),
        ..Site::default()
    };
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let plan = planned(
        &site.scene(),
        &book,
        &cpu,
        &request("2027-04-05", "2027-04-05", 30),
    );
    assert_eq!(plan.effort.spots, 0);
    assert!(plan.answers.is_empty() && plan.least_bad.is_none());
    // "More ground" is what frees it.
    assert!(
        plan.freeing.iter().any(|one| one.change == "more ground"),
        "{:?}",
        plan.freeing
    );
}

#[test]
fn a_plan_stops_when_asked_at_any_step() {
    let (book, cpu, site) = (Rulebook::roster(), Cpu::default(), site(2.0));
    let scene = site.scene();
    let request = request("2027-04-05", "2027-04-05", 30);
    let steps = AtomicCount::new(0);
    let run = |stop_at: usize| {
        steps.store(0, Ordering::Relaxed);
        let cancel = AtomicBool::new(false);
        let told = |_: &str, _: f64| {
            if steps.fetch_add(1, Ordering::Relaxed) + 1 == stop_at {
                cancel.store(true, Ordering::Relaxed);
            }
        };
        let watch = Watch {
            cancel: &cancel,
            told: &told,
        };
        plan(&scene, &book, &cpu, &request, &watch).map(|_| ())
    };
    assert_eq!(run(usize::MAX), Ok(()));
    let all = steps.load(Ordering::Relaxed);
    assert!(all > 5);
    for stop_at in 1..all {
        assert_eq!(run(stop_at), Err(Cancelled), "step {stop_at} of {all}");
    }
}

type AtomicCount = std::sync::atomic::AtomicUsize;
