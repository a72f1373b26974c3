//! The threshold of a learner's eye on simulated observers of known threshold and slope: bias, spread, standard
//! error, and what theory allows. May not enter: frames.

use sunside::practise::dice::Dice;
use sunside::practise::threshold::{LAPSE, Posterior, Trial, chance, guess_rate, information};

/// Observers of each kind, and answers of each.
const OBSERVERS: u64 = 200;
const TRIALS: usize = 40;
/// Degrees that may be asked: a roll's.
const ASKED: [f64; 2] = [1.04, 16.0];

struct Outcome {
    bias: f64,
    spread: f64,
    /// Root mean square of the standard errors that were told.
    told: f64,
    /// Spread that Fisher's information allows no unbiased estimate to fall below (Cramér & Rao), slope known.
    bound: f64,
    /// Share of true thresholds within two standard errors.
    covered: f64,
}

fn observed(threshold: f64, width: f64, guess: f64) -> Outcome {
    let (mut sum, mut square, mut told, mut bound, mut covered) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for observer in 0..OBSERVERS {
        let mut dice = Dice::new(1999, observer);
        let mut posterior = Posterior::new(ASKED, guess);
        let mut known = 0.0;
        for _ in 0..TRIALS {
            let degree = posterior.next();
            let away = degree.ln() - threshold.ln();
            let seen = dice.share() < chance(away, width, guess);
            known += information(away, width, guess);
            posterior.learn(&Trial { degree, seen });
        }
        let estimate = posterior.estimate();
        let off = estimate.degree.ln() - threshold.ln();
        sum += off;
        square += off * off;
        told += estimate.error * estimate.error;
        bound += 1.0 / known;
        covered += f64::from(u8::from(off.abs() < 2.0 * estimate.error));
    }
    let n = OBSERVERS as f64;
    let bias = sum / n;
    Outcome {
        bias,
        spread: (square / n - bias * bias).sqrt(),
        told: (told / n).sqrt(),
        bound: (bound / n).sqrt(),
        covered: covered / n,
    }
}

#[test]
fn simulated_observers_thresholds_are_found_without_bias_and_near_the_least_spread() {
    println!("threshold  width  guess |   bias  spread   told  bound  covered (ln degree)");
    for guess in [0.03, 0.15] {
        for width in [0.12, 0.3] {
            for threshold in [1.6, 3.0, 6.0] {
                let out = observed(threshold, width, guess);
                println!(
                    "{threshold:9} {width:6} {guess:6} | {:6.3} {:7.3} {:6.3} {:6.3} {:8.2}",
                    out.bias, out.spread, out.told, out.bound, out.covered
                );
                // A tenth of the degree at most, and no more than the width of the eye's own doubt.
                assert!(
                    out.bias.abs() < 0.1 && out.bias.abs() < width,
                    "bias {}",
                    out.bias
                );
                // With the slope unknown it cannot do much better than the bound, and should not do much worse.
                assert!(
                    out.spread < 1.8 * out.bound,
                    "{} against {}",
                    out.spread,
                    out.bound
                );
                assert!(
                    out.spread > 0.6 * out.bound,
                    "{} against {}",
                    out.spread,
                    out.bound
                );
                // The error that is told is the error that is made.
                assert!(
                    (0.6..1.7).contains(&(out.told / out.spread)),
                    "{} of {}",
                    out.told,
                    out.spread
                );
                assert!(out.covered > 0.9, "{}", out.covered);
            }
        }
    }
}

#[test]
fn three_in_four_are_seen_at_the_threshold_once_guesses_and_slips_are_taken_out() {
    // Abbott's correction: (p − γ) / (1 − γ − λ).
    for guess in [0.01, 0.1, 0.4] {
        let p = chance(0.0, 0.2, guess);
        assert!(((p - guess) / (1.0 - guess - LAPSE) - 0.75).abs() < 1e-12);
    }
    // Fisher's information of a Bernoulli trial by finite difference of its log-likelihood.
    let (away, width, guess, h) = (0.1, 0.2, 0.1, 1e-5);
    let p = |shift: f64| chance(away - shift, width, guess);
    let score = |of: fn(f64) -> f64| (of(p(h)).ln() - of(p(-h)).ln()) / (2.0 * h);
    let expected = p(0.0) * score(|p| p).powi(2) + (1.0 - p(0.0)) * score(|p| 1.0 - p).powi(2);
    assert!((information(away, width, guess) / expected - 1.0).abs() < 1e-6);
}

#[test]
fn an_eye_that_sees_all_or_nothing_is_told_at_the_ends_and_guesses_are_believed_within_reason() {
    let always = |seen| {
        let mut posterior = Posterior::new(ASKED, 0.05);
        for _ in 0..20 {
            let degree = posterior.next();
            assert!(
                (ASKED[0] - 1e-9..ASKED[1] + 1e-9).contains(&degree),
                "{degree}"
            );
            posterior.learn(&Trial { degree, seen });
        }
        posterior.estimate()
    };
    assert!(always(true).at_floor);
    assert!(always(false).at_ceiling);
    assert!(guess_rate(0, 0) > 0.0 && guess_rate(0, 0) < 0.1);
    assert!(guess_rate(50, 50) <= 0.5 && guess_rate(0, 10_000) >= 0.01);
    // What is no degree changes nothing.
    let mut posterior = Posterior::new(ASKED, 0.05);
    let before = posterior.estimate();
    posterior.learn(&Trial {
        degree: f64::NAN,
        seen: true,
    });
    assert_eq!(before, posterior.estimate());
}
