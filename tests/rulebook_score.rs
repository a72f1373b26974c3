//! Penalties and scores: what must hold for any value, weight and mix of faults.
//! May not enter: scenes.

use proptest::prelude::*;
use sunside::grade::{Grade, MeasureId, Rulebook, Tally, Verdict};

/// A book of only so many faults, each with one rule of a weight: limits 0, 1, 2, far end 3.
fn made_up(weights: &[f64]) -> Rulebook {
    let mut text = String::from(
        "[rulebook]\nname = \"m\"\nnote = \"n\"\n[search]\nwidth_px = 64\nsun_px = 64\n\
         [proof]\nwidth_px = 64\nsun_px = 64\n",
    );
    for (weight, id) in weights.iter().zip(MeasureId::ALL) {
        let key = id.key();
        text += &format!(
            "[fault.{key}]\ntitle = \"t\"\ngroup = \"light\"\n[measure.{key}]\nfault = \"{key}\"\n\
             kind = \"at_most\"\nclean = 0\nslight = 1\nmarked = 2\nfar = 3\nworst = \"ruinous\"\n\
             weight = {weight}\nwording = \"w\"\nreason = \"r\"\nsource = \"s\"\n"
        );
    }
    Rulebook::read("made_up.toml", &text).unwrap()
}

fn tally(book: &Rulebook, values: &[f64]) -> (Verdict, f64) {
    let mut tally = Tally::new(book.faults.len());
    for (rule, &value) in book.rules().zip(values) {
        tally.add(rule, value);
    }
    (tally.verdict(), tally.score())
}

proptest! {
    #[test]
    fn penalties_never_fall_on_the_way_out(a in -400.0f64..400.0, b in -400.0f64..400.0) {
        for book in [Rulebook::roster(), Rulebook::record()] {
            for rule in book.rules() {
                let inside = match (&rule.low, &rule.high) {
                    (Some(low), Some(high)) => 0.5 * (low.limits[0] + high.limits[0]),
                    _ => rule.best,
                };
                // Two values on the same side of the clean middle, one farther out.
                for sign in [-1.0, 1.0] {
                    let (near, far) = (a.abs().min(b.abs()), a.abs().max(b.abs()));
                    let near = rule.penalty(inside + sign * near);
                    let far = rule.penalty(inside + sign * far);
                    prop_assert!(near.1 <= far.1 && near.0 <= far.0, "{}", rule.id.key());
                }
            }
        }
    }

    #[test]
    fn a_penalty_lies_in_its_grades_own_band(value in -200.0f64..200.0) {
        let book = Rulebook::roster();
        for rule in book.rules() {
            let (grade, penalty) = rule.penalty(value);
            let floor = [0.0, 0.0, 1.0, 3.0][grade as usize];
            prop_assert!(penalty >= floor && penalty <= grade.penalty_cap(), "{}", rule.id.key());
            prop_assert!((grade == Grade::Clean) == (penalty == 0.0), "{} {value}", rule.id.key());
        }
    }

    #[test]
    fn a_better_verdict_always_scores_above_a_worse_one(
        weights in proptest::collection::vec(0.1f64..=10.0, 8),
        a in proptest::collection::vec(prop_oneof![Just(0.0), 0.0f64..2.2, 1.9f64..9.0], 8),
        b in proptest::collection::vec(prop_oneof![Just(0.0), 0.0f64..2.2, 0.0f64..1.1], 8),
    ) {
        let book = made_up(&weights);
        let (a, b) = (tally(&book, &a), tally(&book, &b));
        if a.0 != b.0 {
            prop_assert_eq!(a.0 > b.0, a.1 > b.1, "{:?} {:?}", a, b);
        }
        prop_assert!((0.0..=100.0).contains(&a.1));
    }

    #[test]
    fn more_penalty_never_scores_higher(
        value in 0.0f64..4.0, more in 0.0f64..4.0, other in 0.0f64..4.0,
    ) {
        let book = made_up(&[1.0, 2.0]);
        let less = tally(&book, &[value, other]);
        let worse = tally(&book, &[value + more, other]);
        prop_assert!(worse.0 <= less.0 && worse.1 <= less.1);
    }
}

#[test]
fn the_worst_of_a_better_verdict_scores_above_the_best_of_a_worse_one() {
    // Edge cases at the ends of the weights allowed: many heavy faults against one light one.
    let heavy = made_up(&[10.0; 40]);
    let light = made_up(&[0.1; 40]);
    let just = 1e-12;
    let frame = |book: &Rulebook, faults: &[(f64, usize)]| {
        let values: Vec<f64> = faults
            .iter()
            .flat_map(|&(value, count)| std::iter::repeat_n(value, count))
            .collect();
        tally(book, &values)
    };
    let ladder = [
        (frame(&light, &[(2.0 + just, 1)]), Verdict::Lost),
        (frame(&heavy, &[(2.0, 40)]), Verdict::Poor),
        (frame(&light, &[(1.0 + just, 2)]), Verdict::Poor),
        (frame(&heavy, &[(2.0, 1), (1.0, 39)]), Verdict::Fair),
        (frame(&light, &[(just, 4)]), Verdict::Fair),
        (frame(&heavy, &[(1.0, 3)]), Verdict::Good),
        (frame(&light, &[(just, 1)]), Verdict::Good),
        (frame(&heavy, &[(0.0, 40)]), Verdict::Fine),
    ];
    for (frame, verdict) in ladder {
        assert_eq!(frame.0, verdict);
    }
    for pair in ladder.windows(2).filter(|pair| pair[0].1 != pair[1].1) {
        assert!(pair[0].0.1 < pair[1].0.1, "{pair:?}");
    }
}
