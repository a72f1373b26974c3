//! How sure each measure of a photograph is: what the pose's and the clock's errors may change of it, and which verdicts
//! that leaves open. May not enter: fitting, words.

use super::framed::{Framed, Measures};
use super::pose::{Fit, UNKNOWNS};
use crate::grade::{Grade, MeasureId, Minute, Reading, Sheet, Verdict};

/// Limits that lie within so many standard deviations leave the grade open.
const TOLD_SIGMAS: f64 = 2.0;

/// One row of the pose's covariance.
type Row = [f64; UNKNOWNS];

/// What is open about one measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Doubt {
    /// Which measure.
    pub measure: MeasureId,
    /// Its value.
    pub value: f64,
    /// Its standard deviation, from the pose's and the clock's.
    pub sigma: f64,
    /// The better and the worse grade that lie within two of those; alike where no limit does.
    pub grades: [Grade; 2],
    /// The values that have them.
    at: [f64; 2],
}

impl Doubt {
    /// Whether a limit lies within it.
    pub fn is_open(&self) -> bool {
        self.grades[0] != self.grades[1]
    }
}

/// Every judged measure's doubt: each independent direction of the pose's error, and the clock's, is tried one standard
/// deviation either way, and the halves of what it changes are added as squares (the law of propagation of uncertainty,
/// JCGM 100:2008, 5.1.2, its slopes by differences). `beside` is the light at either end of the clock's doubt.
pub(super) fn doubts(
    frame: &Framed,
    fit: &Fit,
    sheet: &Sheet,
    beside: Option<&[Minute; 2]>,
) -> Vec<Doubt> {
    // Differences are smooth enough where the search looks; the values are the proof's.
    let size = &frame.studio.rulebook.search;
    let seen = |frame: &Framed, fit: &Fit| frame.judged(&frame.measured(fit, size));
    let here = seen(frame, fit);
    let mut tried: Vec<[Sheet; 2]> = directions(&fit.covariance)
        .iter()
        .map(|way| [1.0, -1.0].map(|sign| seen(frame, &fit.moved(&way.map(|value| value * sign)))))
        .collect();
    tried.extend(beside.map(|both| {
        both.each_ref().map(|minute| {
            let then = Framed {
                minute: Some(minute),
                ..*frame
            };
            seen(&then, fit)
        })
    }));
    // With its sign: the absolute of a small number turns back at nothing, and would hide its own doubt.
    let of = |sheet: &Sheet, id| {
        let value = sheet.row(id).and_then(|row| row.signed.or(row.value));
        value.filter(|value| value.is_finite())
    };
    let doubt = |id: MeasureId| {
        let row = sheet.row(id)?;
        let (value, signed) = (row.value?, row.signed.or(row.value)?);
        let is_absolute = row.signed.is_some();
        let rule = frame.studio.rulebook.rule(id)?;
        // Where it is not known on one side, the other side's slope is all there is.
        let half = |pair: &[Sheet; 2]| match (of(&pair[0], id), of(&here, id), of(&pair[1], id)) {
            (Some(a), _, Some(b)) => (a - b) / 2.0,
            (Some(a), Some(here), None) => a - here,
            (None, Some(here), Some(b)) => here - b,
            _ => 0.0,
        };
        let squares = tried.iter().map(|pair| half(pair).powi(2)).sum::<f64>();
        let sigma = squares.sqrt();
        let [low, high] = [-1.0, 1.0].map(|way| signed + way * TOLD_SIGMAS * sigma);
        // Between the ends an absolute measure is least at nothing, and some are best in the middle.
        let mut all = vec![low, signed, high];
        if is_absolute {
            all.push(0.0_f64.clamp(low, high));
            all.iter_mut().for_each(|value| *value = value.abs());
        }
        let reach = |from: f64, pick: fn(f64, f64) -> f64| all.iter().copied().fold(from, pick);
        let (least, most) = (
            reach(f64::INFINITY, f64::min),
            reach(f64::NEG_INFINITY, f64::max),
        );
        all.push(rule.nearest_clean(value).clamp(least, most));
        let graded = all.iter().map(|value| (rule.penalty(*value), *value));
        let worse = |a: &((Grade, f64), f64), b: &((Grade, f64), f64)| {
            a.0.0.cmp(&b.0.0).then(a.0.1.total_cmp(&b.0.1))
        };
        let (best, worst) = (graded.clone().min_by(worse)?, graded.max_by(worse)?);
        Some(Doubt {
            measure: id,
            value,
            sigma,
            grades: [best.0.0, worst.0.0],
            at: [best.1, worst.1],
        })
    };
    MeasureId::ALL.iter().filter_map(|id| doubt(*id)).collect()
}

/// The better and the worse verdict that doubts leave open: what the rules say where every open measure is at its better
/// end, and where every one is at its worse.
pub(super) fn verdicts(frame: &Framed, mut measures: Measures, doubts: &[Doubt]) -> [Verdict; 2] {
    [0, 1].map(|end| {
        for doubt in doubts.iter().filter(|doubt| doubt.is_open()) {
            let one = measures.all.iter_mut().find(|one| one.id == doubt.measure);
            if let Some(one) = one {
                one.reading = Reading::Value(doubt.at[end]);
            }
        }
        frame.judged(&measures).verdict
    })
}

/// The columns of a covariance's lower factor; what is known has none.
fn directions(covariance: &[Row; UNKNOWNS]) -> Vec<Row> {
    let mut rest = *covariance;
    let mut all = Vec::new();
    for i in 0..UNKNOWNS {
        let pivot = rest[i][i];
        // What is left after the earlier ones may be a rounding error of nothing.
        if !(pivot > 1e-12 * covariance[i][i] && pivot > 0.0) {
            continue;
        }
        let column: Row = std::array::from_fn(|j| rest[j][i] / pivot.sqrt());
        for j in 0..UNKNOWNS {
            for k in 0..UNKNOWNS {
                rest[j][k] -= column[j] * column[k];
            }
        }
        all.push(column);
    }
    all
}
