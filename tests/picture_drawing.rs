//! The drawings: the shadow line where the closed form's table has it. May not enter: frames.

use chrono::NaiveDate;
use std::path::Path;
use std::sync::Arc;
use sunside::grade::{Rulebook, Verdict};
use sunside::picture::drawing::handrail::{self, Moment};
use sunside::picture::drawing::hours::{self, Layout, Page, SHEET};
use sunside::plan::hours::{Half, Week, weeks};
use sunside::scene::Scene;
use sunside::sighting::cpu::Cpu;
use sunside::sighting::shown::Side;
use sunside::sighting::stage::Stage;
use sunside::sky::clock::Zone;
use sunside::sky::sun::toward;

#[test]
fn the_drawn_line_hangs_below_the_rail_by_stand_off_times_tangent() {
    let scene = Scene::load(Path::new("tests/scenes/box_siding.toml")).unwrap();
    let stage = Stage::of_model(Arc::clone(&scene.machine.model));
    // In the machine frame x is forward and y left; the left side's normal is bearing 0 there.
    let moment = |label: &str, azimuth_deg, elevation_deg| Moment {
        label: label.into(),
        toward: toward(azimuth_deg, elevation_deg),
    };
    let moments = [
        moment("start", 30.0, 25.0),
        moment("best", 0.0, 45.0),
        moment("end", 80.0, 50.0),
    ];
    let svg = handrail::svg(&Cpu::default(), &stage, Side::Left, &moments).unwrap();
    // 0.58 m x tan(25°)/cos(30°) = 0.31 m; 0.58 m x 1; 0.58 m x tan(50°)/cos(80°) = 3.98 m.
    assert!(svg.contains("0.31 m below the rail"));
    assert!(svg.contains("0.58 m below the rail"));
    assert!(svg.contains("3.98 m: off the doors"));
    let dark = handrail::svg(&Cpu::default(), &stage, Side::Right, &moments).unwrap();
    assert_eq!(dark.matches("no sun on this side").count(), 3);
}

#[test]
fn a_machine_without_a_handrail_has_no_such_drawing() {
    let scene = Scene::load(Path::new("tests/scenes/box_siding.toml")).unwrap();
    let mut model = (*scene.machine.model).clone();
    model.handrail = None;
    let stage = Stage::of_model(Arc::new(model));
    assert_eq!(
        handrail::svg(&Cpu::default(), &stage, Side::Left, &[]),
        None
    );
}

#[test]
fn a_week_s_bars_are_as_high_as_its_hours_and_lie_at_its_dates() {
    let year = weeks(&Zone::named("America/Chicago").unwrap(), 2027);
    let book = Rulebook::roster();
    // Of five hours of sun in each half of a day one is fine, two good or better, two fair or better.
    let half = Half {
        sun_h: 35.0,
        fine_h: 7.0,
        good_h: 14.0,
        fair_h: 14.0,
        binds: Some(0),
        binds_h: 21.0,
        best: None,
    };
    let known: Vec<Week> = (year[20..22].iter())
        .map(|week| Week {
            of: *week,
            halves: [[half; 2]; 2],
        })
        .collect();
    let page = Page {
        facings: ["one way".into(), "the other".into()],
        year: &year,
        weeks: known.iter().collect(),
        faults: &book.faults,
    };
    let layout = Layout::of(&page, SHEET);
    let field = layout.field(&year, &year[20], 1, 0);
    let (bars, sun_y) = layout.bars(field, &half, 7);
    let hour = field.height / layout.full_h;
    let verdicts: Vec<Verdict> = bars.iter().map(|bar| bar.1).collect();
    assert_eq!(verdicts, [Verdict::Fine, Verdict::Good]);
    for (bar, _) in &bars {
        assert!((bar.height - hour).abs() < 1e-9, "{bar:?}");
    }
    assert!((field.y + field.height - sun_y - 5.0 * hour).abs() < 1e-9);
    // 2 July 2027 is the 183rd of 365 days: its noon is the year's middle.
    let july = NaiveDate::from_ymd_opt(2027, 7, 2).unwrap();
    let share = (layout.x(&year, july) - SHEET.left) / (SHEET.right - SHEET.left);
    assert!((share - 182.0 / 365.0).abs() < 1e-9);
    for (week, facing, half) in [(0, 0, 0), (20, 1, 0), (52, 1, 1)] {
        let field = layout.field(&year, &year[week], facing, half);
        let at = layout.at(&year, field.x + field.width / 2.0, field.y + 1.0);
        assert_eq!(at, Some((week, facing, half)));
    }
    assert_eq!(layout.at(&year, SHEET.left - 1.0, field.y), None);
    let svg = hours::svg(&page, "a <year>");
    // Two weeks of two halves.
    assert!(svg.contains("28 h fine, 56 h good or better, 56 h fair or better so far"));
    assert!(svg.contains("a &lt;year&gt;") && !svg.contains("<year>"));
    for month in ["January", "June", "December"] {
        assert_eq!(svg.matches(month).count(), 1, "{month}");
    }
}
