//! The whole year: its seasons against what sun positions and the rulebook's limits leave, its sums against the survey's
//! own, its calendar against laws and closed forms, its drawing against the clock. May not enter: how seasons are worded
//! (see `year_command`).

use super::plan_site::{Site, request};
use chrono::{Datelike, NaiveDate};
use std::collections::BTreeMap;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use sunside::grade::{Rulebook, Studio, Verdict};
use sunside::plan::request::{Cancelled, Watch};
use sunside::plan::survey::{Look, survey};
use sunside::plan::year::{Asked, LEAST_A_DAY_MIN, Year, year};
use sunside::report::year::Told;
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::shown::Side;

static NEVER: AtomicBool = AtomicBool::new(false);
const UNWATCHED: Watch = Watch {
    cancel: &NEVER,
    told: &|_, _| {},
};
const EVERY_MIN: u32 = 30;

/// The nose points east, all ground lies to the south-east, 45° off the nose.
fn site() -> Site {
    Site {
        track_m: [[-100.0, 0.0], [100.0, 0.0]],
        ..Site::default()
    }
}

fn asked(every_min: u32) -> Asked {
    Asked {
        year: 2027,
        every_min,
        lenses_mm: vec![],
    }
}

fn of(scene: Scene, every_min: u32) -> Year {
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(scene, &book, &cpu, None);
    year(&studio, &asked(every_min), &UNWATCHED).expect("nobody cancels")
}

/// The site's year, surveyed once for all.
fn found() -> &'static Year {
    static FOUND: OnceLock<Year> = OnceLock::new();
    FOUND.get_or_init(|| of(site().scene(), EVERY_MIN))
}

fn date(month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2027, month, day).unwrap()
}

/// By positions of the sun alone. *Outer*: the sun may serve at all, i.e. it stands higher than the slight limit of 15°,
/// the handrail's shadow, 0.58 m · tan(profile angle) below the rail, ends on the doors (0.95 m below it), and it stands
/// before nose and side. *Inner*: nothing of it can be said against the middle of the ground, i.e. it stands higher than
/// 22°, the shadow ends 0.10 m above the doors' edge, and its bearing is within 12° of the spot's. Limits: the rulebook's.
/// tan p = tan e / cos Δ: closed form.
fn sun_serves(year: &Year) -> [BTreeMap<NaiveDate, u32>; 2] {
    let mut days = [BTreeMap::new(), BTreeMap::new()];
    for instant in &year.instants {
        let (bearing_deg, high_deg) = (instant.sun.azimuth_deg, instant.sun.elevation_deg);
        let off_side = (bearing_deg - 180.0).to_radians().cos();
        let drop_m = 0.58 * high_deg.to_radians().tan() / off_side;
        let is_before = bearing_deg > 90.0 && bearing_deg < 180.0;
        let outer = is_before && high_deg >= 15.0 && drop_m <= 0.95;
        let inner =
            outer && high_deg >= 22.0 && drop_m <= 0.85 && (bearing_deg - 135.0).abs() <= 12.0;
        for (days, serves) in days.iter_mut().zip([outer, inner]) {
            *days.entry(instant.date).or_default() += u32::from(serves) * EVERY_MIN;
        }
    }
    days
}

#[test]
fn the_season_s_edges_lie_between_what_the_sun_allows_and_what_it_grants() {
    let year = found();
    let lane = &year.lanes()[1];
    assert_eq!(lane.side, Side::Right);
    assert!((lane.side_bearing_deg() - 180.0).abs() < 1e-6);
    let [outer, inner] = sun_serves(year);
    let seasons = lane.seasons(Verdict::Good);
    let is_in = |date: &NaiveDate| seasons.iter().any(|season| season.holds(*date));
    let mut between = 0;
    for (date, outer_min) in &outer {
        let granted = inner[date] >= LEAST_A_DAY_MIN;
        let allowed = *outer_min >= LEAST_A_DAY_MIN;
        assert!(!granted || is_in(date), "{date} is granted");
        // A gap within a season may hold what is not allowed; this sun has none.
        assert!(allowed || !is_in(date), "{date} is not allowed");
        between += usize::from(allowed && !granted);
    }
    println!("{seasons:?}, {between} days between");
    // The bounds say something: both are there, and most of the year is decided.
    let days = |of: &BTreeMap<NaiveDate, u32>| of.values().filter(|min| **min >= 30).count();
    assert!(days(&inner) > 100 && days(&outer) < 300 && between < 90);
    // High summer parts it in two, and the nose has the sun in the morning alone.
    assert_eq!(seasons.len(), 2);
    assert!(seasons.iter().all(|season| season.halves_min[1] == 0));
    assert!(!is_in(&date(6, 21)) && is_in(&date(3, 1)) && is_in(&date(10, 10)));
}

#[test]
fn hours_are_the_survey_s_own_and_add_up() {
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(site().scene(), &book, &cpu, None);
    let asked = request("2027-01-01", "2027-12-31", EVERY_MIN);
    let survey = survey(&studio, &asked, Look::ANSWERS, &UNWATCHED).unwrap();
    let lanes = found().lanes();
    for (side, lane) in lanes[..2].iter().enumerate() {
        let all = lane.in_year();
        assert_eq!((all.good_h * 60.0).round() as u32, survey.good_min[side]);
        assert_eq!((all.fair_h * 60.0).round() as u32, survey.fair_min[side]);
        let close = |sum: f64, of: f64| (sum - of).abs() < 1e-6;
        for of in [
            |half: &sunside::plan::hours::Half| half.good_h,
            |half: &sunside::plan::hours::Half| half.sun_h,
        ] {
            assert!(close(lane.by_month().iter().map(of).sum(), of(&all)));
            assert!(close(
                lane.by_week().iter().map(|week| of(&week.1)).sum(),
                of(&all)
            ));
        }
        // What is not good is bound by something, where any stand shows the side.
        let most_h = (lane.bound_h(|_| true).first()).map_or(0.0, |first| first.1);
        assert_eq!(most_h > 0.0, side == 1);
        assert!(most_h <= all.sun_h - all.good_h);
    }
    assert!(survey.good_min[1] > 100 * 60, "{:?}", survey.good_min);
    assert_eq!(survey.good_min[0], 0, "no ground shows the left side");
    // The other way round the nose shows from nowhere.
    assert!(lanes[2..].iter().all(|lane| lane.in_year().fine_h == 0.0));
}

/// In the United States clocks are set on the second Sunday of March and the first of November (Energy Policy Act of
/// 2005). Noon of the sun itself does not jump, so sunrise and sunset do by an hour of the clock, 11 units of the page.
#[test]
fn the_drawn_day_steps_by_an_hour_where_the_clock_is_set() {
    let (book, scene) = (Rulebook::roster(), site().scene());
    let told = Told {
        scene: &scene,
        rulebook: &book,
        year: found(),
    };
    let jumps = &found().calendar.jumps;
    let local = |at| scene.place.zone.local(at).naive.date();
    let days: Vec<_> = jumps.iter().map(|(at, by)| (local(*at), *by)).collect();
    assert_eq!(days, [(date(3, 14), 60), (date(11, 7), -60)]);
    let dir = tempfile::TempDir::new().unwrap();
    let [svg, png] = ["year.svg", "year.PNG"].map(|name| dir.path().join(name));
    told.write_picture(&svg).unwrap();
    told.write_picture(&png).unwrap();
    let svg = std::fs::read_to_string(svg).unwrap();
    assert!(svg.contains("clock +60 min") && svg.contains("clock −60 min"));
    // The outline of the sun: straight lines, "M104 71L121.5 71".
    let (_, outline) = svg.split_once("</defs>").unwrap();
    let outline = outline.split("stroke-width=\"0.9\"").next().unwrap();
    let outline = outline.rsplit("<path d=\"").next().unwrap();
    let line = |text: &str| -> Option<[f64; 4]> {
        let mut parts = text
            .split([' ', 'L'])
            .map(|part| part.trim_matches('"').parse());
        let mut next = || parts.next()?.ok();
        Some([next()?, next()?, next()?, next()?])
    };
    let outline = outline
        .split('M')
        .filter_map(|text| line(text.split('"').next()?));
    let outline: Vec<[f64; 4]> = outline.collect();
    let steps = |day: NaiveDate| {
        let x = 104.0 + (748.0 - 104.0) * f64::from(day.ordinal0()) / 365.0;
        let at = outline
            .iter()
            .filter(|line| line[0] == line[2] && (line[0] - x).abs() < 0.06);
        at.map(|line| (line[3] - line[1]).abs())
            .collect::<Vec<f64>>()
    };
    for (day, _) in days {
        let steps = steps(day);
        assert_eq!(steps.len(), 2, "{day}: sunrise and sunset, {steps:?}");
        // To the step of half an hour, in which the sun itself may move.
        assert!(
            steps.iter().all(|step| (5.4..=16.6).contains(step)),
            "{steps:?}"
        );
        assert!(steps.iter().sum::<f64>() > 21.0, "{steps:?}");
    }
    let ordinary = (1..=28).flat_map(|day| steps(date(5, day)));
    assert!(ordinary.fold(0.0, f64::max) < 5.6);
    // The same drawing in pixels, two to a unit.
    let decoder = png::Decoder::new(std::io::BufReader::new(std::fs::File::open(png).unwrap()));
    let reader = decoder.read_info().unwrap();
    let size = format!(
        "viewBox=\"0 0 {} {}\"",
        reader.info().width / 2,
        reader.info().height / 2
    );
    assert!(svg.contains(&size), "{size}");
}

/// Cooper (1969): declination = 23.45° · sin(360° · (284 + n) / 365), within about 1°. The upper limb stays below a sea
/// horizon where 90° − latitude + declination < −0.833°, and above it where latitude + declination − 90° > −0.833°.
#[test]
fn beyond_the_polar_circle_days_without_rise_and_set_are_what_the_declination_says() {
    let scene = Site {
        lat_deg: 70.0,
        ..Site::default()
    };
    let year = of(scene.scene(), 60);
    let declination_deg = |date: NaiveDate| {
        let turn = f64::from(284 + date.ordinal()) / 365.0;
        23.45 * (std::f64::consts::TAU * turn).sin()
    };
    let (mut unlike, mut polar) = (0, [0, 0]);
    for date in date(1, 1).iter_days().take(365) {
        let holds = |spans: &[sunside::plan::year::Span]| {
            spans
                .iter()
                .any(|span| (span.first..=span.last).contains(&date))
        };
        let found = [
            holds(&year.calendar.polar_days),
            holds(&year.calendar.polar_nights),
        ];
        let expected = [
            70.0 + declination_deg(date) - 90.0 > -0.833,
            20.0 + declination_deg(date) < -0.833,
        ];
        unlike += usize::from(found != expected);
        let suns = year
            .instants
            .iter()
            .filter(|instant| instant.date == date)
            .count();
        for (n, count) in polar.iter_mut().enumerate() {
            *count += usize::from(found[n]);
        }
        assert!(!found[0] || suns >= 23, "{date}: {suns}");
        assert!(!found[1] || suns == 0, "{date}: {suns}");
    }
    // A degree is five days at these dates, of which each span has two ends.
    assert!(unlike <= 12, "{unlike}");
    assert!(polar.iter().all(|days| *days > 45), "{polar:?}");
}

/// Samoa's calendar left 30 December 2011 out when it crossed the date line (tz database).
#[test]
fn a_date_that_a_calendar_leaves_out_is_told() {
    let place = &mut site().scene().place;
    place.zone = sunside::sky::clock::Zone::named("Pacific/Apia").unwrap();
    let calendar = sunside::plan::year::Calendar::of(place, 2011);
    let left_out: Vec<String> = calendar.left_out.iter().map(NaiveDate::to_string).collect();
    assert_eq!(left_out, ["2011-12-30"]);
    let next = sunside::plan::year::Calendar::of(place, 2012);
    assert!(next.left_out.is_empty() && next.polar_days.is_empty());
}

#[test]
fn the_work_stops_when_it_is_asked_to() {
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(site().scene(), &book, &cpu, None);
    for stop_at in [1, 4, 6] {
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
        let stopped = year(&studio, &asked(60), &watch);
        assert_eq!(stopped.err(), Some(Cancelled), "{stop_at}");
    }
}
