//! Reads one rule from its table in a rulebook file. May not enter: limits written in code.

use super::catalogue::MeasureId;
use super::rule::{Rule, Side, Way, Words};
use super::rulebook::WEIGHTS;
use super::verdict::Grade;
use super::wording::{TEMPLATE, Template};
use crate::document::{Field, Table};

/// Reads the table of one measure; notes in `used` the fault that it names.
pub(super) fn read(
    id: MeasureId,
    table: &Table<'_>,
    faults: &[&str],
    used: &mut [bool],
) -> Option<Rule> {
    let fault = read_fault(table, faults);
    if let Some(fault) = fault {
        used[fault] = true;
    }
    let weight = table.number("weight").range(WEIGHTS).default(1.0);
    let sides = read_sides(table);
    let words = read_words(table);
    let slight_words = own_words(table, "slight");
    let beyond_words = own_words(table, "beyond");
    let reason = table.text("reason").required();
    let source = table.text("source").required();
    let Sides { low, high, best } = sides?;
    let [low_words, high_words] = words?;
    Some(Rule {
        id,
        fault: fault?,
        low,
        high,
        best,
        weight,
        low_words,
        high_words,
        slight_words,
        beyond_words,
        reason: reason?,
        source: source?,
    })
}

fn read_fault(table: &Table<'_>, faults: &[&str]) -> Option<usize> {
    if faults.is_empty() {
        // The table of faults is missing: told once, not for every measure.
        table.has("fault");
        return None;
    }
    let places: Vec<(&str, usize)> = faults.iter().copied().zip(0..).collect();
    table.choice("fault", &places).required()
}

struct Sides {
    low: Option<Side>,
    high: Option<Side>,
    best: f64,
}

/// What a rule's numbers bound.
#[derive(Clone, Copy)]
enum Kind {
    Range,
    AtMost,
    AtLeast,
}

const GRADES: [(&str, Grade); 3] = [
    ("slight", Grade::Slight),
    ("marked", Grade::Marked),
    ("ruinous", Grade::Ruinous),
];

const LIMIT_KEYS: [&str; 3] = ["clean", "slight", "marked"];

fn read_sides(table: &Table<'_>) -> Option<Sides> {
    let kinds = [
        ("range", Kind::Range),
        ("at_most", Kind::AtMost),
        ("at_least", Kind::AtLeast),
    ];
    let kind = table.choice("kind", &kinds).required();
    let worst = table.choice("worst", &GRADES).required();
    let Some(kind) = kind else {
        // Without a kind nothing more can be said of the numbers than that their keys are known.
        for key in LIMIT_KEYS.into_iter().chain(["far", "best"]) {
            table.has(key);
        }
        return None;
    };
    match kind {
        Kind::Range => read_range(table, worst),
        Kind::AtMost => one_sided(table, Way::High, worst),
        Kind::AtLeast => one_sided(table, Way::Low, worst),
    }
}

fn one_sided(table: &Table<'_>, way: Way, worst: Option<Grade>) -> Option<Sides> {
    let clean = table.number("clean").required();
    let limits = [
        clean,
        table.number("slight").optional(),
        table.number("marked").optional(),
    ];
    let far = table.number("far").optional();
    // Counts and faults are best at none; a least value says where it is comfortable.
    let best = match way {
        Way::High => Some(table.number("best").default(0.0)),
        Way::Low => table.number("best").required(),
    };
    let (clean, best) = (clean?, best?);
    if way.outward(best) > way.outward(clean) {
        table.fault(
            "best",
            "the best value is not clean",
            "a value inside the clean limit",
        );
    }
    let side = build_side(table, way, limits, far, worst?, None)?;
    let (low, high) = match way {
        Way::Low => (Some(side), None),
        Way::High => (None, Some(side)),
    };
    Some(Sides { low, high, best })
}

fn read_range(table: &Table<'_>, worst: Option<Grade>) -> Option<Sides> {
    let pair = |key: &str| table.tuple::<2>(key);
    let pairs = [
        pair("clean").required(),
        pair("slight").optional(),
        pair("marked").optional(),
    ];
    let far = pair("far").optional();
    let at = |i: usize| pairs.map(|pair| pair.map(|pair| pair[i]));
    let other = |key: &str| table.choice(key, &GRADES).optional();
    let (worst_below, worst_above) = (other("worst_below"), other("worst_above"));
    let ruin = |key: &str| table.number(key).optional();
    let (ruin_below, ruin_above) = (ruin("ruinous_below"), ruin("ruinous_above"));
    let [low, high] = pairs[0]?;
    if low > high {
        table.fault(
            "clean",
            "the lower limit is above the upper one",
            "[lower, upper]",
        );
        return None;
    }
    let worst = worst?;
    let low = build_side(
        table,
        Way::Low,
        at(0),
        far.map(|far| far[0]),
        worst_below.unwrap_or(worst),
        ruin_below,
    );
    let high = build_side(
        table,
        Way::High,
        at(1),
        far.map(|far| far[1]),
        worst_above.unwrap_or(worst),
        ruin_above,
    );
    Some(Sides {
        low: Some(low?),
        high: Some(high?),
        best: 0.0,
    })
}

/// Holds one side's limits to their order and to what its worst grade needs.
fn build_side(
    table: &Table<'_>,
    way: Way,
    limits: [Option<f64>; 3],
    far: Option<f64>,
    worst: Grade,
    ruinous_beyond: Option<f64>,
) -> Option<Side> {
    let outward = match way {
        Way::Low => "at or below the limit before it",
        Way::High => "at or above the limit before it",
    };
    let needed = worst as usize;
    if let (None, Some(_)) = (limits[1], limits[2])
        && !table.has("slight")
    {
        table.fault(
            "slight",
            "missing key",
            "a limit, since a marked one is given",
        );
        return None;
    }
    let given: Vec<f64> = limits.into_iter().map_while(|limit| limit).collect();
    if given.len() < needed {
        // A limit present but wrong has been told already.
        let key = LIMIT_KEYS[given.len()];
        if !table.has(key) {
            let allowed = format!("a limit, since the worst grade is {}", worst.word());
            table.fault(key, "missing key", allowed);
        }
        return None;
    }
    let mut ordered = true;
    for (i, pair) in given.windows(2).enumerate() {
        if way.outward(pair[1]) < way.outward(pair[0]) {
            table.fault(LIMIT_KEYS[i + 1], "limits out of order", outward);
            ordered = false;
        }
    }
    let last = way.outward(*given.last()?);
    match far {
        // Where the limits reach the worst grade's cap by themselves the far end says nothing.
        None if given.len() > needed => {}
        None if table.has("far") => ordered = false,
        None => {
            table.fault("far", "missing key", "where the penalty reaches 10");
            ordered = false;
        }
        Some(far) if way.outward(far) <= last => {
            table.fault(
                "far",
                "the far end is not beyond the limits",
                "a value beyond the last limit",
            );
            ordered = false;
        }
        Some(_) => {}
    }
    if ruinous_beyond.is_some_and(|ruin| way.outward(ruin) < last || given.len() < 3) {
        let key = if way == Way::Low {
            "ruinous_below"
        } else {
            "ruinous_above"
        };
        table.fault(
            key,
            "not beyond the marked limit",
            "a value at or beyond the marked limit",
        );
        ordered = false;
    }
    ordered.then_some(Side {
        limits: given,
        far,
        worst,
        ruinous_beyond,
    })
}

fn template<'d>(table: &Table<'d>, key: &str) -> Field<'d, Template> {
    table.text(key).map(TEMPLATE, Template::parse)
}

/// Words for some values only: a wording, and a remedy if it has one.
fn own_words(table: &Table<'_>, which: &str) -> Option<Words> {
    let wording = template(table, &format!("wording_{which}")).optional()?;
    let remedy = template(table, &format!("remedy_{which}")).optional();
    Some(Words { wording, remedy })
}

/// Words downward and upward; `wording` and `remedy` serve the side that has none of its own.
fn read_words(table: &Table<'_>) -> Option<[Words; 2]> {
    let template = |key: &str| template(table, key);
    let sides = ["low", "high"];
    let own_wordings = sides.map(|side| template(&format!("wording_{side}")).optional());
    let own_remedies = sides.map(|side| template(&format!("remedy_{side}")).optional());
    let all_have = |key: &str| sides.iter().all(|side| table.has(&format!("{key}_{side}")));
    let shared_wording = match all_have("wording") {
        true => None,
        false => template("wording").required(),
    };
    let shared_remedy = match all_have("remedy") {
        true => None,
        false => template("remedy").optional(),
    };
    let [low, high] = own_wordings.map(|own| own.or_else(|| shared_wording.clone()));
    let [low_remedy, high_remedy] = own_remedies.map(|own| own.or_else(|| shared_remedy.clone()));
    Some([
        Words {
            wording: low?,
            remedy: low_remedy,
        },
        Words {
            wording: high?,
            remedy: high_remedy,
        },
    ])
}
