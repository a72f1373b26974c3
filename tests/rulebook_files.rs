//! Broken rulebooks: each tells where, what stands there, and what is allowed. May not enter: frames.

use sunside::grade::Rulebook;

const ROSTER: &str = include_str!("../src/grade/rulebooks/roster.toml");

/// The default rulebook with one piece of text replaced: every problem, a line each.
fn told(from: &str, to: &str) -> String {
    assert!(ROSTER.contains(from), "{from} stands in the rulebook");
    let text = ROSTER.replacen(from, to, 1);
    Rulebook::read("my.toml", &text).unwrap_err().to_string()
}

/// The line of the default rulebook that holds some text.
fn line_of(text: &str) -> usize {
    ROSTER[..ROSTER.find(text).unwrap()].matches('\n').count() + 1
}

/// That one problem is told, at a line, with some words.
#[track_caller]
fn assert_one(told: &str, line: usize, words: &[&str]) {
    assert_eq!(told.lines().count(), 1, "{told}");
    for words in words {
        assert!(told.contains(words), "{words} in: {told}");
    }
    assert!(
        told.starts_with(&format!("my.toml:{line}:")),
        "line {line}: {told}"
    );
}

#[test]
fn an_unknown_measure_is_told_with_the_nearest_key() {
    let told = told("[measure.roll_deg]", "[measure.rol_deg]");
    let words = ["measure.rol_deg: unknown key", "did you mean roll_deg?"];
    assert_one(&told, line_of("[measure.roll_deg]"), &words);
}

#[test]
fn a_fault_that_is_not_listed_and_one_without_measures_are_both_told() {
    let told = told("fault = \"clarity\"", "fault = \"clearness\"");
    assert_eq!(told.lines().count(), 2, "{told}");
    assert!(
        told.contains("fault.clarity: no measure belongs to this fault"),
        "{told}"
    );
    assert!(
        told.contains("measure.beam_strength_ratio.fault: not one of the words"),
        "{told}"
    );
}

#[test]
fn limits_out_of_order_are_told_on_either_side() {
    let at_most = told(
        "slight = 1.5\nmarked = 3.0\nfar = 8.0",
        "slight = 0.4\nmarked = 3.0\nfar = 8.0",
    );
    let line = line_of("slight = 1.5\nmarked = 3.0\nfar = 8.0");
    assert_one(
        &at_most,
        line,
        &["measure.roll_deg.slight: limits out of order", "0.4"],
    );
    let at_least = told("slight = 75\nmarked = 50", "slight = 75\nmarked = 80");
    let words = [
        "measure.nose_lit_percent.marked: limits out of order",
        "at or below",
    ];
    assert_one(&at_least, line_of("slight = 75\nmarked = 50") + 1, &words);
    let range = told("slight = [18, 62]", "slight = [18, 50]");
    let words = [
        "measure.off_nose_deg.slight: limits out of order",
        "[18, 50]",
        "at or above",
    ];
    assert_one(&range, line_of("slight = [18, 62]"), &words);
    let crossed = told("clean = [28, 55]", "clean = [55, 28]");
    assert_one(
        &crossed,
        line_of("clean = [28, 55]"),
        &["the lower limit is above the upper one"],
    );
}

#[test]
fn a_limit_that_the_worst_grade_needs_may_not_be_missing() {
    let told = told(
        "marked = 50\nfar = 0\nbest = 100\n",
        "far = 0\nbest = 100\n",
    );
    assert_eq!(told.lines().count(), 1, "{told}");
    assert!(
        told.contains("measure.nose_lit_percent.marked: missing key"),
        "{told}"
    );
    assert!(told.contains("since the worst grade is ruinous"), "{told}");
}

#[test]
fn weights_far_ends_and_best_values_are_held() {
    let line = line_of("weight = 0.5");
    for weight in ["0", "-1", "nan", "11"] {
        let told = told("weight = 0.5", &format!("weight = {weight}"));
        assert_one(&told, line, &["weight: ", "from 0.1 to 10"]);
    }
    let far = told("far = 8.0\n", "far = 3.0\n");
    assert_one(
        &far,
        line_of("far = 8.0\n"),
        &["the far end is not beyond the limits"],
    );
    let far = told("far = 8.0\n", "");
    assert!(far.contains("measure.roll_deg.far: missing key"), "{far}");
    let best = told("best = 100\n", "best = 80\n");
    assert_one(
        &best,
        line_of("best = 100\n"),
        &["the best value is not clean"],
    );
    let ruin = told("ruinous_below = 22", "ruinous_below = 30");
    assert_one(
        &ruin,
        line_of("ruinous_below = 22"),
        &["not beyond the marked limit", "30"],
    );
}

#[test]
fn a_wording_with_an_unknown_gap_is_told_once() {
    let told = told("\"terrain hides the sun\"", "\"terrain hides {it}\"");
    let words = [
        "wording: no gap is called {it}",
        "{value}, {abs}, {limit}, {detail}",
    ];
    assert_one(&told, line_of("\"terrain hides the sun\""), &words);
}

#[test]
fn a_rule_of_no_known_kind_does_not_blame_its_numbers() {
    let told = told("kind = \"range\"", "kind = \"between\"");
    assert_one(
        &told,
        line_of("kind = \"range\""),
        &["\"range\", \"at_most\", \"at_least\""],
    );
}

#[test]
fn more_faults_than_sets_hold_are_told() {
    let many: String = (0..64)
        .map(|i| format!("f{i} = {{ title = \"f\", group = \"light\" }}\n"))
        .collect();
    let told = told("[fault]\n", &format!("[fault]\n{many}"));
    // The unused faults are told as well.
    let most = told.lines().last().unwrap();
    let line = line_of("[fault]\n") + 65;
    assert_one(most, line, &["82 faults", "64 or fewer"]);
}

#[test]
fn sizes_are_whole_pixels_in_reach() {
    for size in ["384.5", "12", "1e9", "\"wide\""] {
        let told = told("width_px = 384", &format!("width_px = {size}"));
        assert_one(&told, line_of("width_px = 384"), &["search.width_px: "]);
    }
}

#[test]
fn several_problems_are_told_at_once_and_no_text_makes_a_panic() {
    let text = ROSTER
        .replace("weight = 0.5", "weight = 0")
        .replace("[proof]", "[prof]");
    let problems = Rulebook::read("my.toml", &text).unwrap_err();
    assert!(problems.len() >= 4, "{problems}");
    for text in [
        "",
        "\u{0}",
        "[fault]",
        "[measure]\nroll_deg = 3",
        "measure = []\nfault = 1",
    ] {
        assert!(Rulebook::read("my.toml", text).is_err(), "{text}");
    }
    // Cut anywhere, it is refused or read, never a panic.
    for end in (0..ROSTER.len())
        .step_by(997)
        .filter(|&end| ROSTER.is_char_boundary(end))
    {
        let _ = Rulebook::read("my.toml", &ROSTER[..end]);
    }
}

#[test]
fn a_changed_limit_changes_the_grade_and_a_rule_left_out_is_no_rule() {
    use sunside::grade::{Grade, MeasureId};
    let text = ROSTER.replace("slight = 1.5\nmarked = 3.0", "slight = 1.5\nmarked = 5.0");
    let book = Rulebook::read("my.toml", &text).unwrap();
    let roll = book.rule(MeasureId::Roll).unwrap();
    assert_eq!(roll.penalty(4.0).0, Grade::Marked);
    let start = ROSTER.find("[measure.balance_percent]").unwrap();
    let end = ROSTER.find("[measure.size_percent]").unwrap();
    let text = format!("{}{}", &ROSTER[..start], &ROSTER[end..]);
    let book = Rulebook::read("my.toml", &text).unwrap();
    assert!(book.rule(MeasureId::Balance).is_none());
}

#[test]
fn a_file_that_is_missing_is_told_by_its_name() {
    let error = Rulebook::load(std::path::Path::new("no/such/rules.toml")).unwrap_err();
    assert!(error.to_string().contains("no/such/rules.toml"), "{error}");
}
