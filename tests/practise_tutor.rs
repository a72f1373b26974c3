//! The tutor's thread: the same seed deals the same rounds however fast sites are read and answers given, no frame
//! comes twice before all have come, and a site that gives nothing is passed over. May not enter: windows.

use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};
use std::time::{Duration, Instant};
use sunside::gpu::choice::Choice;
use sunside::grade::Rulebook;
use sunside::practise::posed::Posed;
use sunside::practise::progress::{Drill, Progress};
use sunside::practise::tutor::{Means, News, Play, Tutor};
use sunside::sighting::cpu::Cpu;

fn tutor(scenes: Vec<PathBuf>) -> Tutor {
    static RULES: OnceLock<Rulebook> = OnceLock::new();
    static CPU: OnceLock<Cpu> = OnceLock::new();
    let means = Means {
        scenes,
        rulebook: RULES.get_or_init(Rulebook::roster),
        rasterizer: CPU.get_or_init(Cpu::default),
        painter: Choice::Cpu,
        width_px: 64,
        seed: 9,
        today: "2027-05-14T15:00:00Z".parse().unwrap(),
    };
    Tutor::new(means, Arc::new(|| {}))
}

/// All that is told until something is.
fn until(tutor: &Tutor, mut is_it: impl FnMut(&News) -> bool) -> News {
    let start = Instant::now();
    while start.elapsed() < Duration::from_secs(240) {
        assert!(!tutor.has_ended(), "its thread has ended");
        if let Some(news) = tutor.news().find(&mut is_it) {
            return news;
        }
        std::thread::sleep(Duration::from_millis(20));
    }
    panic!("nothing was told in four minutes");
}

fn dealt(tutor: &Tutor, drill: Drill, round: u64) -> Option<Posed> {
    tutor.deal(drill, round, &Progress::default());
    let told = until(
        tutor,
        |news| matches!(news, News::Round(n, _) if *n == round),
    );
    match told {
        News::Round(_, Some(Play::Hour(hour))) => Some(hour.posed),
        News::Round(_, Some(Play::Spot(spot))) => Some(spot.dealt.posed),
        News::Round(_, Some(Play::Mend(mend))) => Some(mend.dealt.posed),
        _ => None,
    }
}

fn shipped(names: &[&str]) -> Vec<PathBuf> {
    let path = |name: &&str| PathBuf::from(format!("scenes/{name}.toml"));
    names.iter().map(path).collect()
}

#[test]
fn the_same_seed_deals_the_same_rounds_at_once_and_after_a_rest() {
    let scenes = shipped(&["open_siding", "larkspur_lot"]);
    let (hasty, patient) = (tutor(scenes.clone()), tutor(scenes));
    // The one has read both sites before it is asked, the other none.
    let mut read = 0;
    until(&patient, |news| {
        read += usize::from(matches!(news, News::Site(Ok(_))));
        read == 2
    });
    let mut frames = vec![];
    for round in 0..4 {
        let [one, other] =
            [&hasty, &patient].map(|tutor| dealt(tutor, Drill::Spot, round).unwrap());
        assert_eq!(
            (one.stand, one.at, one.exposure_s),
            (other.stand, other.at, other.exposure_s)
        );
        assert_eq!(one.room.scene.name, other.room.scene.name);
        frames.push(one.room.scene.name.clone());
    }
    // Each site has its turn.
    assert!(
        frames[0] != frames[1] && frames[0] == frames[2],
        "{frames:?}"
    );
}

#[test]
fn no_frame_is_called_twice_and_what_gives_nothing_is_passed_over() {
    let mut scenes = shipped(&["open_siding"]);
    scenes.push(Path::new("scenes/there_is_none.toml").into());
    let tutor = tutor(scenes);
    let rounds = (0..8).map(|round| dealt(&tutor, Drill::Hour, round).expect("a round"));
    let mut days: Vec<_> = rounds.map(|posed| posed.at.date_naive()).collect();
    days.sort();
    days.dedup();
    assert!(days.len() >= 6, "{days:?}");
}
