//! The search against brute force, on a made-up site under a made-up rulebook whose best frame lies on no
//! grid point, no corner and no edge of the ground. May not enter: sites that ship.

use super::plan_site::{Site, planned, rectangle, request};
use chrono::{DateTime, Duration, Utc};
use glam::DVec2;
use rayon::prelude::*;
use sunside::grade::{Rulebook, Stand, Studio};
use sunside::sighting::cpu::Cpu;

/// One sharp measure each for the angle, the distance and the minute, and a fault that nothing mends, so
/// that penalties add up to one peak: a fine frame's score is flat wherever the tightest measure does not
/// change. Proofs are drawn at search size to let brute force end.
fn sharp() -> Rulebook {
    let measure = |key: &str, [low, high]: [f64; 2], unit: f64| {
        let range = |reach: f64| format!("[{}, {}]", low - reach * unit, high + reach * unit);
        format!(
            "[measure.{key}]\nfault = \"{key}\"\nkind = \"range\"\nclean = {}\nslight = {}\n\
             marked = {}\nfar = {}\nworst = \"ruinous\"\nwording_low = \"low\"\nwording_high = \"high\"\n\
             reason = \"made up\"\nsource = \"made up\"\n",
            range(0.0),
            range(1.0),
            range(3.0),
            range(10.0)
        )
    };
    let text = format!(
        "[rulebook]\nname = \"sharp\"\nnote = \"made up\"\n[search]\nwidth_px = 384\nsun_px = 512\n\
         [proof]\nwidth_px = 384\nsun_px = 512\n[fault]\n\
         off_nose_deg = {{ title = \"angle\", group = \"composition\" }}\n\
         near_far_ratio = {{ title = \"distance\", group = \"composition\" }}\n\
         nose_side_ratio = {{ title = \"minute\", group = \"light\" }}\n\
         always = {{ title = \"always\", group = \"light\" }}\n{}{}{}\
         [measure.beam_strength_ratio]\nfault = \"always\"\nkind = \"at_least\"\nclean = 2.0\n\
         slight = 0.5\nmarked = 0.2\nfar = 0.0\nbest = 3.0\nworst = \"ruinous\"\nwording = \"never\"\n\
         reason = \"made up\"\nsource = \"made up\"\n",
        measure("off_nose_deg", [40.9, 41.1], 4.0),
        measure("near_far_ratio", [1.579, 1.581], 0.1),
        measure("nose_side_ratio", [0.899, 0.901], 0.1),
    );
    Rulebook::read("sharp.toml", &text).unwrap_or_else(|problems| panic!("{problems}"))
}

/// Spacing of brute force.
const SPACING_M: f64 = 0.25;

#[test]
fn the_search_finds_what_brute_force_finds() {
    let (book, cpu) = (sharp(), Cpu::default());
    let (west, south) = (19.8, -28.2);
    let (east, north) = (west + 5.0, south + 5.0);
    let site = Site {
        ground_m: rectangle(west, south, east, north),
        ..Site::default()
    };
    let scene = site.scene();
    let plan = planned(
        &scene,
        &book,
        &cpu,
        &request("2027-04-05", "2027-04-05", 10),
    );
    let answer = plan.answers.first().expect("something is good");
    let (found, at) = (answer.stand, answer.window.best);

    // Brute force: every spot at 0.25 m on the whole ground, every minute for 40 around.
    let studio = Studio::new(scene, &book, &cpu, None);
    let steps = ((east - west) / SPACING_M) as usize;
    let spots: Vec<DVec2> = (1..steps)
        .flat_map(|i| (1..steps).map(move |j| DVec2::new(i as f64, j as f64) * SPACING_M))
        .map(|step| DVec2::new(west, south) + step)
        .collect();
    let whole_minute = DateTime::from_timestamp(at.timestamp() / 60 * 60, 0).unwrap();
    let minutes: Vec<_> = (-20i64..=20)
        .into_par_iter()
        .map(|k| studio.minute(whole_minute + Duration::minutes(k)))
        .collect();
    let graded: Vec<(f64, DVec2, DateTime<Utc>)> = (spots.par_iter())
        .flat_map_iter(|spot| {
            let mut stand = Stand {
                spot_m: *spot,
                ..found
            };
            stand.heading_deg = studio.balanced_heading_deg(&stand);
            let capture = studio.default_capture();
            let composed = studio.compose(&stand, &capture, &book.proof, 100.0);
            let grade = |minute: &sunside::grade::Minute| {
                let score = studio.grade_unmended(&composed, minute).sheet.score;
                (score, *spot, minute.at)
            };
            minutes.iter().map(grade).collect::<Vec<_>>()
        })
        .collect();
    let (score, spot, minute) = *graded.iter().max_by(|a, b| a.0.total_cmp(&b.0)).unwrap();
    let what = format!(
        "search: {:.3} at {} {at}; brute force: {score:.3} at {spot} {minute}",
        answer.sheet.score, found.spot_m
    );
    println!("{what}");
    // The peak is inside the ground, and on no point of the search's grid.
    let inset = (spot - DVec2::new(west, south)).min(DVec2::new(east, north) - spot);
    assert!(inset.min_element() > 1.0, "{what}");
    assert!(found.spot_m.distance(spot) <= 0.5, "{what}");
    assert!((at - minute).num_seconds().abs() <= 60, "{what}");
    assert!(
        (answer.sheet.score - score).abs() <= 0.1 || answer.sheet.score > score,
        "{what}"
    );
}
