//! Frames judged: verdicts, scores, sentences, data output. Expected sentences follow the examples of the
//! project's rulebook. May not enter: scenes.

use sunside::grade::{
    Grade, MeasureId, Measured, Merit, Reading, Rulebook, Sheet, Tally, Verdict, judge,
};

/// A value in the clean middle of every rule.
fn clean(book: &Rulebook) -> Vec<Measured> {
    let middle = |rule: &sunside::grade::Rule| match (&rule.low, &rule.high) {
        (Some(low), Some(high)) => 0.5 * (low.limits[0] + high.limits[0]),
        _ => rule.best,
    };
    book.rules()
        .map(|rule| Measured::value(rule.id, middle(rule)))
        .collect()
}

/// The clean frame with some measures replaced.
fn with(book: &Rulebook, changes: impl IntoIterator<Item = Measured>) -> Sheet {
    let mut all = clean(book);
    for change in changes {
        let slot = all.iter_mut().find(|one| one.id == change.id).unwrap();
        *slot = change;
    }
    judge(book, &all)
}

fn values(pairs: &[(MeasureId, f64)]) -> Vec<Measured> {
    pairs
        .iter()
        .map(|&(id, value)| Measured::value(id, value))
        .collect()
}

fn sentence(change: Measured) -> String {
    let sheet = with(&Rulebook::roster(), [change]);
    assert_eq!(sheet.findings.len(), 1);
    sheet.findings[0].sentence.clone()
}

#[test]
fn a_frame_without_a_fault_is_fine_and_its_score_is_its_headroom() {
    let book = Rulebook::roster();
    let sheet = judge(&book, &clean(&book));
    assert_eq!(sheet.verdict, Verdict::Fine);
    assert_eq!((sheet.headroom, sheet.score), (1.0, 100.0));
    assert!(sheet.findings.is_empty());
    let sheet = with(&book, values(&[(MeasureId::Roll, 0.5)]));
    assert_eq!((sheet.verdict, sheet.score), (Verdict::Fine, 95.0));
    let sheet = with(&book, values(&[(MeasureId::SunElevation, 31.0)]));
    assert_eq!((sheet.headroom, sheet.score), (0.5, 97.5));
}

#[test]
fn a_fault_counts_once_by_its_worst_measure() {
    let book = Rulebook::roster();
    // Four slight measures of one fault are one slight fault.
    let backdrop = [
        (MeasureId::Growths, 1.0),
        (MeasureId::RooflineChanges, 4.0),
        (MeasureId::BandBehind, 20.0),
        (MeasureId::WiresUprights, 3.0),
    ];
    let sheet = with(&book, values(&backdrop));
    assert_eq!(sheet.verdict, Verdict::Good);
    assert_eq!(sheet.findings.len(), 4);
    assert_eq!(sheet.faults[0].fault, "backdrop");
    assert_eq!(sheet.faults[0].grade, Grade::Slight);
    // Two marked measures of one fault are fair; of two faults, poor.
    let one = with(
        &book,
        values(&[(MeasureId::NoseLit, 60.0), (MeasureId::SideLit, 70.0)]),
    );
    assert_eq!(one.verdict, Verdict::Fair);
    let two = with(
        &book,
        values(&[(MeasureId::NoseLit, 60.0), (MeasureId::Roll, 2.0)]),
    );
    assert_eq!(two.verdict, Verdict::Poor);
    assert!(one.score > two.score);
}

#[test]
fn the_penalty_of_a_fault_is_the_largest_weighted_one_and_the_score_adds_faults() {
    let book = Rulebook::roster();
    let changes = [
        (MeasureId::Roll, 2.25),         // penalty 2, weight 1
        (MeasureId::Lean, 0.8),          // penalty 1, weight 1: the same fault
        (MeasureId::WiresUprights, 9.0), // penalty 0.9·10 capped to 1, weight 0.5
    ];
    let sheet = with(&book, values(&changes));
    assert_eq!(sheet.verdict, Verdict::Fair);
    let expected = 40.0 + 20.0 * (-2.5f64 / 8.0).exp();
    assert!((sheet.score - expected).abs() < 1e-9, "{}", sheet.score);
    assert_eq!(sheet.faults[0].measure, Some(MeasureId::Roll));
    // The search's path gives the very same.
    let mut tally = Tally::new(book.faults.len());
    for one in &sheet.measures {
        if let (Some(rule), Some(value)) = (book.rule(one.measure), one.value) {
            tally.add(rule, value);
        }
    }
    assert_eq!(
        (tally.verdict(), tally.score()),
        (sheet.verdict, sheet.score)
    );
}

#[test]
fn with_anything_unknown_a_frame_is_at_most_good() {
    let book = Rulebook::roster();
    let unknown = Measured::unknown(MeasureId::BeamStrength, "the weather is not known");
    let sheet = with(&book, [unknown.clone()]);
    assert_eq!((sheet.verdict, sheet.score), (Verdict::Good, 80.0));
    assert_eq!(sheet.unknown().count(), 1);
    let sheet = with(&book, [unknown, Measured::value(MeasureId::Roll, 4.0)]);
    assert_eq!(sheet.verdict, Verdict::Lost);
    // Not applicable costs nothing.
    let none = Measured::not_applicable(MeasureId::HandrailShadow, "no handrails");
    let sheet = with(&book, [none]);
    assert_eq!(sheet.verdict, Verdict::Fine);
    assert_eq!(sheet.not_applicable().count(), 1);
}

#[test]
fn what_was_not_measured_or_is_not_a_number_is_unknown() {
    let book = Rulebook::roster();
    let mut all = clean(&book);
    all.retain(|one| one.id != MeasureId::Roll);
    let sheet = judge(&book, &all);
    assert_eq!(sheet.verdict, Verdict::Good);
    let row = sheet.row(MeasureId::Roll).unwrap();
    assert_eq!(row.unknown.as_deref(), Some("it was not measured"));
    let mut nan = Measured::value(MeasureId::Roll, 0.0);
    nan.reading = Reading::Value(f64::NAN);
    let sheet = with(&book, [nan]);
    assert_eq!(sheet.verdict, Verdict::Good);
    assert_eq!(sheet.row(MeasureId::Roll).unwrap().value, None);
}

#[test]
fn a_measure_without_a_rule_is_listed_and_not_judged() {
    let book = Rulebook::record();
    let mut all = clean(&book);
    all.push(Measured::value(MeasureId::Roll, 40.0));
    all.push(Measured::unknown(
        MeasureId::BeamStrength,
        "the weather is not known",
    ));
    let sheet = judge(&book, &all);
    assert_eq!(sheet.verdict, Verdict::Fine);
    let row = sheet.row(MeasureId::Roll).unwrap();
    assert_eq!(
        (row.value, row.grade, &row.fault),
        (Some(40.0), None, &None)
    );
    assert_eq!(sheet.unknown().count(), 0);
}

#[test]
fn findings_say_what_how_much_which_limit_and_what_would_mend_it() {
    let roll = |signed| Measured::absolute(MeasureId::Roll, signed);
    assert_eq!(
        sentence(roll(1.8)),
        "Roll 1.8° clockwise, limit 1.5°: raise the right side"
    );
    assert_eq!(
        sentence(roll(-0.8)),
        "Roll 0.8° counter-clockwise, limit 0.5°: raise the left side"
    );
    let shadow = Measured::value(MeasureId::HandrailShadow, -0.21);
    assert_eq!(
        sentence(shadow.with_mend("wait until 14:25, when it climbs back")),
        "The handrail's shadow lies 0.21 m below the lower edge of the hood doors: \
         wait until 14:25, when it climbs back"
    );
    assert_eq!(
        sentence(Measured::value(MeasureId::EyeOverRail, -0.7)),
        "The eye is −0.7 m over the rail, limit −0.5 m, and looks up at the underframe: \
         raise the camera or find higher ground"
    );
    let mast = Measured::value(MeasureId::Hidden, 2.0).with_detail("the signal mast");
    assert_eq!(
        sentence(mast),
        "2.0 % of the machine is hidden behind the signal mast, limit 1.5 %: \
         move until the machine stands clear of it"
    );
    assert_eq!(
        sentence(Measured::value(MeasureId::FocalEquivalent, 20.0)),
        "The lens is wide, 20 mm on 24 x 36, limit 22 mm: step back and take a longer lens"
    );
    assert_eq!(
        sentence(Measured::value(MeasureId::SideMargin, -2.0).with_detail("left")),
        "The machine is cut off at the left by 2.0 % of the frame's width: \
         turn the camera, step back or take a shorter lens"
    );
    assert_eq!(
        sentence(Measured::value(MeasureId::Dirt, 1.0)),
        "The machine is dirty"
    );
    assert_eq!(
        sentence(Measured::value(MeasureId::Dirt, 2.0)),
        "The machine is filthy"
    );
}

#[test]
fn every_rule_can_speak_in_sentence_case_without_gaps_or_shouting() {
    for book in [Rulebook::roster(), Rulebook::record()] {
        for rule in book.rules() {
            for (value, detail) in [
                (-1e3, None),
                (1e3, None),
                (-1e3, Some("it")),
                (1e3, Some("it")),
            ] {
                let mut one = Measured::value(rule.id, value);
                one.detail = detail.map(String::from);
                for finding in judge(&book, &[one]).findings {
                    assert_reads_well(&finding.sentence);
                }
            }
        }
    }
}

fn assert_reads_well(text: &str) {
    assert!(!text.contains(['{', '}', '[', ']', '!']), "{text}");
    assert!(
        !text.contains("  ") && !text.ends_with(['.', ':', ' ']),
        "{text}"
    );
    assert!(!text.starts_with(|c: char| c.is_lowercase()), "{text}");
    let hyphen_before_digit = text
        .split('-')
        .skip(1)
        .any(|rest| rest.starts_with(|c: char| c.is_ascii_digit()));
    assert!(!hyphen_before_digit, "a minus is not a hyphen: {text}");
}

#[test]
fn findings_come_worst_first_and_ties_in_the_tables_order() {
    let changes = [
        (MeasureId::ExposureError, 0.6), // slight, penalty 0.2
        (MeasureId::CoupledRear, 1.0),   // slight, penalty 1
        (MeasureId::Roll, 1.0),          // slight, penalty 0.5
        (MeasureId::People, 1.0),        // marked, penalty 3
        (MeasureId::DoorsOpen, 1.0),     // marked, penalty 3
        (MeasureId::ForeignCore, 1.0),   // ruinous
    ];
    let sheet = with(&Rulebook::roster(), values(&changes));
    let order: Vec<&str> = sheet.findings.iter().map(|f| f.measure.key()).collect();
    let expected = [
        "foreign_core",
        "doors_open",
        "people",
        "coupled_rear",
        "roll_deg",
        "exposure_error_stops",
    ];
    assert_eq!(order, expected);
}

#[test]
fn the_data_of_a_sheet_keeps_its_shape() {
    let book = Rulebook::roster();
    let all = [
        Measured::absolute(MeasureId::Roll, 1.8),
        Measured::value(MeasureId::NearFar, f64::INFINITY),
        Measured::not_applicable(MeasureId::HandrailShadow, "no handrails"),
    ];
    let sheet = with(&book, all).with_merits(vec![Merit::FreshPaint]);
    let json: serde_json::Value = serde_json::to_value(&sheet).unwrap();
    let keys: Vec<&String> = json.as_object().unwrap().keys().collect();
    let mut expected = [
        "rulebook", "verdict", "score", "headroom", "findings", "faults", "measures", "merits",
    ];
    expected.sort_unstable();
    let mut sorted = keys;
    sorted.sort_unstable();
    assert_eq!(sorted, expected);
    assert_eq!(json["verdict"], "lost");
    assert_eq!(json["merits"], serde_json::json!(["fresh_paint"]));
    assert_eq!(
        json["findings"][1],
        serde_json::json!({
            "measure": "roll_deg",
            "fault": "level",
            "group": "composition",
            "grade": "marked",
            "value": 1.8,
            "unit": "deg",
            "limit": 1.5,
            "sentence": "Roll 1.8° clockwise, limit 1.5°: raise the right side",
            "remedy": "raise the right side",
        })
    );
    assert_eq!(json["findings"][0]["value"], serde_json::Value::Null);
    let measures = json["measures"].as_array().unwrap();
    assert_eq!(measures.len(), book.rules().count());
    let rail = measures
        .iter()
        .find(|row| row["measure"] == "handrail_shadow_m");
    assert_eq!(rail.unwrap()["not_applicable"], "no handrails");
}

#[test]
fn merits_break_ties_and_mend_nothing() {
    let book = Rulebook::roster();
    let plain = judge(&book, &clean(&book));
    let fresh = plain
        .clone()
        .with_merits(vec![Merit::FreshPaint, Merit::Rare]);
    assert!(fresh.rank(&plain).is_gt());
    let dirty = with(&book, values(&[(MeasureId::Dirt, 1.0)])).with_merits(vec![Merit::Rare]);
    assert!(dirty.rank(&plain).is_lt());
}
