//! The year as hours won: against surveys of the same days, against what the rulebook's limits imply, where the sun
//! does not rise or set, and south of the equator. May not enter: how it is drawn.

use super::plan_site::{Site, both_sides, rectangle, request};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use sunside::grade::{Rulebook, Studio, Verdict};
use sunside::plan::hours::{Hours, hours};
use sunside::plan::request::{Cancelled, Watch};
use sunside::plan::survey::{Look, survey};
use sunside::scene::machine::HeadEnd;
use sunside::sighting::cpu::Cpu;

static NEVER: AtomicBool = AtomicBool::new(false);
const UNWATCHED: Watch = Watch {
    cancel: &NEVER,
    told: &|_, _| {},
};

/// Ground all round, so that neither facing and neither side wants for it; 21 m of machine fit its lens.
fn all_round() -> Site {
    Site {
        ground_m: both_sides(-30.0, -34.0, 30.0, 34.0),
        ..Site::default()
    }
}

fn year(site: &Site, every_min: u32) -> Hours {
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(site.scene(), &book, &cpu, None);
    hours(&studio, 2027, every_min, &UNWATCHED, &mut |_| {}).expect("nobody cancels")
}

#[test]
fn a_week_is_what_a_survey_of_its_day_finds() {
    let (book, cpu, site) = (Rulebook::roster(), Cpu::default(), all_round());
    let studio = Studio::new(site.scene(), &book, &cpu, None);
    let found = hours(&studio, 2027, 30, &UNWATCHED, &mut |_| {}).expect("nobody cancels");
    assert_eq!(found.head_ends, [HeadEnd::Second, HeadEnd::First]);
    let mut compared = 0;
    for week in [2, 13, 24, 37].map(|n| &found.weeks[n]) {
        let day = week.of.day.to_string();
        let survey = survey(&studio, &request(&day, &day, 30), Look::TRY, &UNWATCHED).unwrap();
        for (least, minutes) in [
            (Verdict::Good, survey.good_min[2]),
            (Verdict::Fair, survey.fair_min[2]),
        ] {
            let won_h: f64 = week.halves[0].iter().map(|half| half.at_least(least)).sum();
            let won_min = won_h * 60.0 / f64::from(week.of.days);
            // The survey has the light between the suns of its grid, so an instant may fall either way at each end.
            assert!(
                (won_min - f64::from(minutes)).abs() <= 60.0,
                "{day}: {won_min} {minutes}"
            );
            compared += minutes;
        }
    }
    assert!(compared > 600, "{compared}");
}

/// The rulebook's *what the limits imply*: at 40° N, track north–south, 415 to 470 hours of clean light a year with the
/// head end south and none with it north; east–west 200 to 240, from the south side only.
#[test]
fn the_year_at_40_degrees_north_is_what_the_limits_imply() {
    let hood = "../../models/hood_six_axle.toml";
    // Hours of clean light, whatever the composition: enough lenses, so that this never stands in the way.
    let lenses_mm = vec![42.0, 46.0, 50.0, 56.0, 65.0];
    let site = Site {
        model: hood,
        lenses_mm: lenses_mm.clone(),
        ..all_round()
    };
    let found = year(&site, 30);
    let [south, north] = [0, 1].map(|facing| found.of_facing(facing, Verdict::Fine));
    println!("N–S: {south:.0} and {north:.0}");
    let along = |ground_m| Site {
        track_m: [[-100.0, 0.0], [100.0, 0.0]],
        ground_m,
        model: hood,
        lenses_mm: lenses_mm.clone(),
        ..Site::default()
    };
    let below = year(&along(rectangle(-34.0, -30.0, 34.0, -8.0)), 30).of_facing(0, Verdict::Fine);
    let above = year(&along(rectangle(-34.0, 8.0, 34.0, 30.0)), 30).of_facing(0, Verdict::Fine);
    println!("E–W: {below:.0} and {above:.0}");
    // 250 spots every half hour: a twentieth either way.
    let about = |low: f64, high: f64| 0.95 * low..=1.05 * high;
    assert!(about(415.0, 470.0).contains(&south), "{south}");
    assert_eq!(north, 0.0);
    assert!(about(200.0, 240.0).contains(&below), "{below}");
    assert_eq!(above, 0.0);
}

#[test]
fn south_of_the_equator_the_year_is_turned_round() {
    let [there, here] = [-40.0, 40.0].map(|lat_deg| {
        year(
            &Site {
                lat_deg,
                ..all_round()
            },
            30,
        )
    });
    // The head end that points north there is the one that points south here.
    let (there_h, here_h) = (
        there.of_facing(1, Verdict::Good),
        here.of_facing(0, Verdict::Good),
    );
    assert!(
        here_h > 400.0 && (there_h - here_h).abs() < 0.1 * here_h,
        "{there_h} {here_h}"
    );
    // Longest days in December, in the weeks of June here.
    let sun_h = |found: &Hours, week: usize| -> f64 {
        found.weeks[week].halves[0]
            .iter()
            .map(|half| half.sun_h)
            .sum()
    };
    assert!(sun_h(&there, 50) > sun_h(&there, 24) + 28.0);
    assert!((sun_h(&there, 50) - sun_h(&here, 24)).abs() < 4.0);
}

#[test]
fn where_the_sun_stays_down_or_up_the_weeks_say_so() {
    let found = year(
        &Site {
            lat_deg: 70.0,
            ..all_round()
        },
        30,
    );
    // At 70° N the sun stays down from late November to mid-January and up from mid-May to late July (almanacs).
    for half in &found.weeks[50].halves.concat() {
        assert_eq!(
            (half.sun_h, half.fair_h, half.binds, half.best),
            (0.0, 0.0, None, None)
        );
    }
    for half in &found.weeks[24].halves.concat() {
        assert!((half.sun_h - 84.0).abs() <= 3.5, "{half:?}");
        assert!(half.good_h + half.binds_h <= half.sun_h && half.binds.is_some());
    }
    // Over a year every place has the sun for half of the time, and some more by refraction.
    let halves = found.weeks.iter().flat_map(|week| &week.halves[0]);
    let sun_h: f64 = halves.map(|half| half.sun_h).sum();
    assert!((4380.0..4700.0).contains(&sun_h), "{sun_h}");
}

#[test]
fn the_best_stand_of_a_cell_lies_in_it_and_holds_when_it_is_graded() {
    let (book, cpu, site) = (Rulebook::roster(), Cpu::default(), all_round());
    let studio = Studio::new(site.scene(), &book, &cpu, None);
    let found = hours(&studio, 2027, 30, &UNWATCHED, &mut |_| {}).expect("nobody cancels");
    let (mut held, mut all) = (0, 0);
    for week in found.weeks.iter().step_by(5) {
        for (after, half) in week.halves[0].iter().enumerate() {
            let Some(won) = half.best else { continue };
            let minute = studio.minute(won.at);
            assert_eq!(usize::from(minute.sun.hour_angle_deg > 0.0), after);
            assert_eq!(
                studio.scene.place.zone.local(won.at).naive.date(),
                week.of.day
            );
            assert!(
                studio
                    .scene
                    .may_stand(&studio.obstacles, won.stand.spot_m)
                    .is_ok()
            );
            assert_eq!(won.verdict >= Verdict::Good, half.good_h > 0.0);
            assert_eq!(won.verdict >= Verdict::Fair, half.fair_h > 0.0);
            let proof = studio
                .grade(&won.stand, &studio.default_capture(), &minute)
                .sheet;
            held += usize::from(proof.verdict >= won.verdict);
            all += 1;
        }
    }
    assert!(all > 10 && held * 10 >= all * 9, "{held} of {all}");
}

#[test]
fn weeks_come_in_their_order_and_the_work_stops_when_asked() {
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(Site::default().scene(), &book, &cpu, None);
    let mut told = Vec::new();
    let found = hours(&studio, 2027, 60, &UNWATCHED, &mut |week| {
        told.push(week.clone())
    });
    let found = found.expect("nobody cancels");
    assert_eq!(told.len(), 53);
    assert_eq!(told[1], found.weeks[8]);
    assert!(
        found
            .weeks
            .windows(2)
            .all(|pair| pair[0].of.first < pair[1].of.first)
    );
    for stop_at in [1, 3, 9] {
        let (steps, cancel) = (AtomicUsize::new(0), AtomicBool::new(false));
        let told = |_: &str, _: f64| {
            if steps.fetch_add(1, Ordering::Relaxed) + 1 == stop_at {
                cancel.store(true, Ordering::Relaxed);
            }
        };
        let watch = Watch {
            cancel: &cancel,
            told: &told,
        };
        let stopped = hours(&studio, 2027, 60, &watch, &mut |_| {});
        assert_eq!(stopped.err(), Some(Cancelled), "{stop_at}");
    }
}
