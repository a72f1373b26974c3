//! Slack against sites that are laid out anew as they would come out, and against the normal distribution.
//! May not enter: how a slip is graded.

use super::plan_site::{Site, planned, request};
use std::sync::atomic::AtomicBool;
use sunside::grade::{Rulebook, Stand, Studio, Verdict};
use sunside::plan::answer::{Answer, Beyond};
use sunside::plan::answering::standing_window;
use sunside::plan::request::{Request, Watch};
use sunside::plan::slack::spread::Spread;
use sunside::plan::slack::{End, Reach, Slack, Way};
use sunside::sighting::cpu::Cpu;

static NEVER: AtomicBool = AtomicBool::new(false);
const UNWATCHED: Watch = Watch {
    cancel: &NEVER,
    told: &|_, _| {},
};

/// How finely the ends are known: a tenth of a metre or of a degree, and a hair for rounding.
const FINE: f64 = 0.101;

fn slack_of(site: &Site, spread: Spread) -> (Answer, Slack) {
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let asked = Request {
        slack: Some(spread),
        ..request("2027-04-05", "2027-04-05", 20)
    };
    let plan = planned(&site.scene(), &book, &cpu, &asked);
    let answer = plan.answers.into_iter().next().expect("an answer");
    let slack = answer.slack.clone().expect("its slack");
    (answer, slack)
}

fn reach(slack: &Slack, way: Way) -> &Reach {
    slack.reaches.iter().find(|one| one.way == way).unwrap()
}

/// The verdict of a stand on a site at the answer's minute, aimed for equal side margins.
fn verdict_on(site: &Site, answer: &Answer, spot_m: glam::DVec2) -> Verdict {
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(site.scene(), &book, &cpu, None);
    let mut stand = Stand {
        spot_m,
        ..answer.stand
    };
    stand.heading_deg = studio.balanced_heading_deg(&stand);
    let minute = studio.minute(answer.window.best);
    let graded = studio.grade(&stand, &studio.default_capture(), &minute);
    graded.sheet.verdict
}

/// Clockwise about the site's origin, where the machine stands.
fn turned(p: [f64; 2], deg: f64) -> [f64; 2] {
    let (sin, cos) = deg.to_radians().sin_cos();
    [p[0] * cos + p[1] * sin, p[1] * cos - p[0] * sin]
}

const FEW: Spread = Spread {
    stop_m: 2.0,
    bearing_deg: 1.0,
    time_min: 10.0,
    draws: 10,
    seed: 1,
};

#[test]
fn a_site_laid_out_turned_says_where_the_bearing_ends() {
    let site = Site::default();
    let (answer, slack) = slack_of(&site, FEW);
    let verdict_turned = |deg: f64| {
        let turned_site = Site {
            track_m: site.track_m.map(|p| turned(p, deg)),
            ground_m: site.ground_m.iter().map(|p| turned(*p, deg)).collect(),
            ..site.clone()
        };
        let spot = turned(answer.stand.spot_m.to_array(), deg);
        verdict_on(&turned_site, &answer, spot.into())
    };
    let mut ended = 0;
    for (way, sign) in [(Way::TurnedRight, 1.0), (Way::TurnedLeft, -1.0)] {
        let found = reach(&slack, way);
        assert!(
            verdict_turned(sign * found.holds) >= answer.verdict(),
            "{found:?}"
        );
        if let End::Verdict(_) = found.end {
            let beyond = verdict_turned(sign * (found.holds + FINE));
            assert!(beyond < answer.verdict(), "{found:?}: {beyond:?}");
            ended += 1;
        }
    }
    assert!(ended > 0, "{slack:?}");
}

#[test]
fn a_site_with_its_track_shifted_says_where_the_stop_ends() {
    let site = Site::default();
    let (answer, slack) = slack_of(&site, FEW);
    // The nose points south and the machine stands in the middle of its track.
    let verdict_shifted = |ahead_m: f64| {
        let shifted = Site {
            track_m: site.track_m.map(|[x, y]| [x, y - ahead_m]),
            ..site.clone()
        };
        verdict_on(&shifted, &answer, answer.stand.spot_m)
    };
    for (way, sign) in [(Way::MachineAhead, 1.0), (Way::MachineBack, -1.0)] {
        let found = reach(&slack, way);
        assert!(
            verdict_shifted(sign * found.holds) >= answer.verdict(),
            "{found:?}"
        );
        assert!(matches!(found.end, End::Verdict(_)), "{found:?}");
        assert!(
            verdict_shifted(sign * (found.holds + FINE)) < answer.verdict(),
            "{found:?}"
        );
    }
}

#[test]
fn the_photographer_is_held_by_the_ground_or_by_the_frame() {
    let site = Site::default();
    let (answer, slack) = slack_of(&site, FEW);
    let ahead = -answer.stand.spot_m.normalize();
    let right = glam::DVec2::new(ahead.y, -ahead.x);
    for (way, step) in [
        (Way::Left, -right),
        (Way::Right, right),
        (Way::Nearer, ahead),
        (Way::Farther, -ahead),
    ] {
        let found = reach(&slack, way);
        let spot = answer.stand.spot_m + step * found.holds;
        assert!(
            verdict_on(&site, &answer, spot) >= answer.verdict(),
            "{found:?}"
        );
        let beyond = answer.stand.spot_m + step * (found.holds + FINE);
        let inside = (20.0..=26.0).contains(&beyond.x) && (-26.0..=-20.0).contains(&beyond.y);
        match found.end {
            End::Ground => assert!(!inside, "{found:?} {beyond}"),
            _ => assert!(
                verdict_on(&site, &answer, beyond) < answer.verdict(),
                "{found:?}"
            ),
        }
    }
}

#[test]
fn a_machine_led_by_its_first_end_stops_the_other_way_along_its_track() {
    // The same machine on the same track, whose points are written the other way round.
    let site = Site::default();
    let [a, b] = site.track_m;
    let other = Site {
        track_m: [b, a],
        head_end: "first",
        ..site.clone()
    };
    let [one, other] = [site, other].map(|site| slack_of(&site, FEW).1);
    assert_eq!(one.reaches, other.reaches);
    assert_eq!(one.chance, other.chance);
}

#[test]
fn a_verdict_that_rises_ends_no_slack() {
    let (answer, _) = slack_of(&Site::default(), FEW);
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(Site::default().scene(), &book, &cpu, None);
    let before = answer.window.start.at - chrono::Duration::minutes(1);
    let worse = standing_window(&studio, answer.stand, before, &UNWATCHED).unwrap();
    assert!(worse.verdict() < answer.verdict() && worse.verdict() > Verdict::Lost);
    assert_eq!(worse.window.end.beyond, Beyond::Better);
    let slack = Slack::of(&studio, &worse, &FEW, &UNWATCHED).unwrap();
    let later = reach(&slack, Way::Later);
    let risen_min = (answer.window.end.at - before).num_seconds() as f64 / 60.0;
    assert!(later.holds >= risen_min, "{later:?} {risen_min}");
    assert!(!later.sentence.contains("gets better"), "{later:?}");
    let verdict_after = |min: f64| {
        let at = before + chrono::Duration::seconds((min * 60.0).round() as i64);
        let (minute, capture) = (studio.minute(at), studio.default_capture());
        studio.grade(&worse.stand, &capture, &minute).sheet.verdict
    };
    assert!(verdict_after(later.holds) >= worse.verdict());
    assert!(matches!(later.end, End::Verdict(_)));
    assert!(verdict_after(later.holds + 0.26) < worse.verdict());
}

#[test]
fn where_nothing_is_uncertain_the_chance_is_the_proved_verdicts() {
    let none = Spread {
        stop_m: 0.0,
        bearing_deg: 0.0,
        time_min: 0.0,
        ..FEW
    };
    let (answer, slack) = slack_of(&Site::default(), none);
    let good = f64::from(u8::from(answer.verdict() >= Verdict::Good));
    assert_eq!((slack.chance.good, slack.chance.as_planned), (good, 1.0));
}

#[test]
fn a_frame_aimed_aside_stays_aimed_aside() {
    let site = Site::default();
    let (answer, _) = slack_of(&site, FEW);
    let (book, cpu) = (Rulebook::roster(), Cpu::default());
    let studio = Studio::new(site.scene(), &book, &cpu, None);
    let mut stand = answer.stand;
    // So far to the right that the machine leaves the frame on the left.
    while studio
        .grade(
            &stand,
            &studio.default_capture(),
            &studio.minute(answer.window.best),
        )
        .sheet
        .verdict
        > Verdict::Poor
    {
        stand.heading_deg += 0.5;
        assert!(stand.heading_deg < answer.stand.heading_deg + 20.0);
    }
    let aside = standing_window(&studio, stand, answer.window.best, &UNWATCHED).unwrap();
    let still = Spread {
        stop_m: 0.01,
        bearing_deg: 0.0,
        time_min: 0.0,
        ..FEW
    };
    let slack = Slack::of(&studio, &aside, &still, &UNWATCHED).unwrap();
    assert_eq!(
        slack.chance.good, 0.0,
        "a stop a centimetre off aims it anew"
    );
}

/// The normal distribution's share below `z`, by Abramowitz & Stegun 7.1.26 (error under 1.5e-7).
fn below(z: f64) -> f64 {
    let x = z.abs() / std::f64::consts::SQRT_2;
    let t = 1.0 / (1.0 + 0.327_591_1 * x);
    let series = [
        0.254_829_592,
        -0.284_496_736,
        1.421_413_741,
        -1.453_152_027,
        1.061_405_429,
    ];
    let sum = series.iter().rev().fold(0.0, |sum, a| (sum + a) * t);
    let erf = 1.0 - sum * (-x * x).exp();
    0.5 * (1.0 + erf.copysign(z))
}

#[test]
fn the_chance_of_a_late_shot_is_the_normal_distributions_share_of_the_window() {
    // So late or early that the window is missed now and then.
    let spread = Spread {
        stop_m: 0.0,
        bearing_deg: 0.0,
        time_min: 60.0,
        draws: 600,
        seed: 7,
    };
    let (answer, slack) = slack_of(&Site::default(), spread);
    let minutes = |way| reach(&slack, way).holds;
    let share = below(minutes(Way::Later) / 60.0) - below(-minutes(Way::Earlier) / 60.0);
    let found = slack.chance.as_planned;
    // Three standard errors, and the minute or so by which search size and proof differ about an end.
    let error = (share * (1.0 - share) / 600.0).sqrt();
    assert!((0.05..0.95).contains(&share), "{share}");
    assert!(
        (found - share).abs() < 3.0 * error + 0.01,
        "{found} {share} ± {error}; {:?}",
        answer.window
    );
    assert!(slack.chance.good >= found);
}

#[test]
fn the_same_seed_says_the_same_and_another_about_the_same() {
    let with = |seed| {
        let spread = Spread {
            draws: 150,
            seed,
            time_min: 60.0,
            ..FEW
        };
        slack_of(&Site::default(), spread).1.chance
    };
    let (one, again, other) = (with(1), with(1), with(2));
    assert_eq!(one, again);
    let error = one.standard_error.hypot(other.standard_error);
    assert!(
        (one.good - other.good).abs() < 4.0 * error,
        "{one:?} {other:?}"
    );
    assert!(one.as_planned != other.as_planned || one.good != other.good);
}
