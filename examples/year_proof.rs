//! What a year's search says against exact recomputation: `year_proof SCENE [PROPOSALS [EVERY_MIN [SPACING_M]]]` grades the
//! survey's proposals anew, each with an eye and a sun of its own, at search size and at proof size, and then everything that
//! the plan reports: answers, both ends of their windows, their first and last days. Fails where a reported verdict differs.
//! May not enter: how either is found.

use chrono::{DateTime, Duration, NaiveDate, Utc};
use rayon::prelude::*;
use std::path::Path;
use std::process::ExitCode;
use std::sync::atomic::AtomicBool;
use sunside::grade::measure::eye::WIDEST_DEG;
use sunside::grade::rulebook::ViewSize;
use sunside::grade::{Rulebook, Stand, Studio, Verdict};
use sunside::plan::answer::{Answer, Window};
use sunside::plan::plan;
use sunside::plan::request::{Rank, Request, Watch};
use sunside::plan::survey::{Look, survey};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;

/// Ends of windows are told to this.
const END_S: i64 = 15;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let number = |k: usize, other: f64| match arguments.get(k) {
        Some(text) => text.parse().unwrap(),
        None => other,
    };
    let date = |month: u32, day: u32| NaiveDate::from_ymd_opt(2027, month, day).unwrap();
    let request = Request {
        from: date(1, 1),
        to: date(12, 31),
        every_min: number(2, 5.0) as u32,
        lenses_mm: vec![],
        spacing_m: Some(number(3, 0.5)),
        top: 10,
        slack: None,
        rank: Rank::Score,
    };
    let watch = Watch {
        cancel: &AtomicBool::new(false),
        told: &|_, _| {},
    };
    let scene = Scene::load(Path::new(&arguments[0])).unwrap();
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene.clone(), &book, &cpu, None);
    proposals(&studio, &request, number(1, 500.0) as usize, &watch);
    let plan = plan(&scene, &book, &cpu, &request, &watch).unwrap();
    let wrong: Vec<String> = (plan.answers.iter())
        .flat_map(|answer| reported(&scene, &book, &cpu, answer))
        .collect();
    println!(
        "{} answers reported, {} of what they tell differs",
        plan.answers.len(),
        wrong.len()
    );
    wrong.iter().for_each(|line| println!("  {line}"));
    match wrong.is_empty() && !plan.answers.is_empty() {
        true => ExitCode::SUCCESS,
        false => ExitCode::FAILURE,
    }
}

/// An exact verdict, nothing shared with any other.
fn verdict(studio: &Studio, stand: &Stand, at: DateTime<Utc>, size: &ViewSize) -> Verdict {
    let composed = studio.compose(stand, &studio.default_capture(), size, WIDEST_DEG);
    let minute = studio.minute_at_size(at, size);
    studio.grade_unmended(&composed, &minute).sheet.verdict
}

/// Prints how often the grid's verdicts are those of the very pair.
fn proposals(studio: &Studio, request: &Request, most: usize, watch: &Watch) {
    let survey = survey(studio, request, Look::ANSWERS, watch).unwrap();
    let serves = survey
        .candidates
        .iter()
        .filter(|one| one.verdict > Verdict::Lost);
    let some: Vec<_> = serves.take(most).collect();
    println!("{}: {} proposals", studio.scene.name, some.len());
    let book = studio.rulebook;
    for (what, size) in [("search", &book.search), ("proof", &book.proof)] {
        let graded: Vec<[Verdict; 2]> = (some.par_iter())
            .map(|one| {
                [
                    one.verdict,
                    verdict(studio, &one.stand, survey.instants[one.instant].at, size),
                ]
            })
            .collect();
        let all = [
            Verdict::Lost,
            Verdict::Poor,
            Verdict::Fair,
            Verdict::Good,
            Verdict::Fine,
        ];
        println!("| the grid says | at {what} size: lost | poor | fair | good | fine |");
        println!("| --- | --- | --- | --- | --- | --- |");
        for told in all.iter().skip(1) {
            let count = |truth: &Verdict| {
                graded
                    .iter()
                    .filter(|pair| **pair == [*told, *truth])
                    .count()
                    .to_string()
            };
            let row: Vec<String> = all.iter().map(count).collect();
            println!("| {} | {} |", told.word(), row.join(" | "));
        }
        let apart = graded.iter().filter(|[told, truth]| told != truth).count();
        println!("{apart} of {} differ at {what} size", graded.len());
    }
}

/// What is told of a minute.
enum Told {
    Exactly(Verdict),
    AtLeast(Verdict),
    Otherwise(Verdict),
}

/// What an answer tells and is not so, recomputed by a studio of its own.
fn reported(scene: &Scene, book: &Rulebook, cpu: &Cpu, answer: &Answer) -> Vec<String> {
    let studio = Studio::new(scene.with_head_end(answer.head_end), book, cpu, None);
    let at = |at: DateTime<Utc>| verdict(&studio, &answer.stand, at, &book.proof);
    let told = answer.verdict();
    let mut claims = vec![("best minute", answer.window.best, Told::Exactly(told))];
    let mut of_window = |window: &Window, told: Verdict| {
        for (end, way) in [(&window.start, -1), (&window.end, 1)] {
            claims.push(("end of a window", end.at, Told::Exactly(told)));
            // Just outside it is another, where something is told to end it.
            if end.ended_by.is_some() {
                let outside = end.at + Duration::seconds(way * END_S);
                claims.push(("beyond a window", outside, Told::Otherwise(told)));
            }
        }
    };
    for day in &answer.days {
        of_window(&day.window, at(day.window.best));
    }
    let days = answer.days.iter();
    claims.extend(days.map(|day| ("day", day.window.best, Told::AtLeast(told))));
    println!("{} claims of an answer", claims.len());
    let wrong = claims.par_iter().filter_map(|(what, instant, told)| {
        let found = at(*instant);
        let (holds, words) = match told {
            Told::Exactly(told) => (found == *told, format!("{} told", told.word())),
            Told::AtLeast(told) => (found >= *told, format!("at least {} told", told.word())),
            Told::Otherwise(told) => (found != *told, format!("no longer {} told", told.word())),
        };
        (!holds).then(|| format!("{what}, {instant}: {words}, {} found", found.word()))
    });
    wrong.collect()
}
