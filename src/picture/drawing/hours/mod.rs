//! The year as hours won, like a page of a timetable: weeks across; for each facing a lane for the morning and one for
//! the afternoon, in which bars tell the hours of a day and hatching how good they are, and under each the fault that
//! binds in the rest. Says nothing of civil time: halves of the day end at solar noon. May not enter: how hours are
//! found, pages.

mod layout; // where weeks and lanes lie
pub(super) mod marks; // months, stretches, what binds, legends
pub mod weeks; // a year across a page

pub use super::plate::Rect;
pub use layout::{Form, Lane, Layout};
pub use weeks::Binding;

use super::plate::{Anchor, BOLD, PLAIN, Plate, TITLE, faint, inked};
use crate::grade::Verdict;
use crate::grade::rulebook::Fault;
use crate::plan::hours::{Week, WeekOfYear, won_h};
use marks::{ENTRY, TAKEN, beside, bound, filled, legend, swatch};

/// A year to draw, whole or as far as it is known.
pub struct Page<'a> {
    /// For each facing its words ("the head end leads, nose 150°").
    pub facings: [String; 2],
    /// The year's weeks, known or not: they lay out the page.
    pub year: &'a [WeekOfYear],
    /// Those that are known, in order.
    pub weeks: Vec<&'a Week>,
    /// The rulebook's faults, which [`crate::plan::hours::Half::binds`] counts through.
    pub faults: &'a [Fault],
}

/// The halves of a day.
pub const HALVES: [&str; 2] = ["morning", "afternoon"];

impl Page<'_> {
    /// Hours of the known weeks in which a facing is so good or better, of fair, good and fine.
    pub fn won_h(&self, facing: usize, least: Verdict) -> f64 {
        won_h(self.weeks.iter().copied(), facing, least)
    }
}

/// Where a lane's name and a legend stand, left of the year.
const LEFT: f64 = 104.0;
const WIDTH: f64 = 760.0;
const RIGHT: f64 = WIDTH - 12.0;
/// The sheet's room.
pub const SHEET: Form = Form {
    left: LEFT,
    right: RIGHT,
    top: 56.0,
    heading: 20.0,
    lane: [52.0, 16.0],
    headroom: 0.0,
};

/// The page as a drawing that stands alone.
pub fn svg(page: &Page, title: &str) -> String {
    let layout = Layout::of(page, SHEET);
    let (top, foot) = (SHEET.top, layout.foot());
    let mut plate = Plate::new(WIDTH, foot + 66.0, title);
    plate.words([12.0, 18.0], Anchor::Start, TITLE, title);
    let words = "hours of a day, week by week; mornings and afternoons meet at solar noon";
    plate.words([12.0, 34.0], Anchor::Start, PLAIN, words);
    marks::months(&mut plate, &layout.across(page.year), top, foot);
    for y in [top, foot] {
        plate.line([12.0, y, RIGHT, y], inked(1.0));
    }
    for facing in 0..2 {
        facing_lanes(&mut plate, page, &layout, facing);
    }
    let verdicts = [Verdict::Fine, Verdict::Good, Verdict::Fair];
    let verdicts = verdicts.map(|verdict| (verdict, verdict.word()));
    legend(&mut plate, [LEFT, foot + 10.0], "a stand is", &verdicts);
    legend(
        &mut plate,
        [LEFT, foot + 28.0],
        "it takes of the sun",
        &TAKEN,
    );
    let sun = swatch([LEFT + ENTRY * 3.0, foot + 10.0]);
    let middle = sun.y + 6.0;
    plate.line([sun.x, middle, sun.right(), middle], inked(1.0));
    beside(&mut plate, sun, "the sun is up");
    plate.svg()
}

/// One facing: its words, its sums, its two lanes.
fn facing_lanes(plate: &mut Plate, page: &Page, layout: &Layout, facing: usize) {
    let top = layout.facing_top(facing);
    if facing > 0 {
        plate.line([12.0, top, RIGHT, top], inked(1.0));
    }
    let base = top + 13.0;
    plate.words([12.0, base], Anchor::Start, BOLD, &page.facings[facing]);
    let sums = [Verdict::Fine, Verdict::Good, Verdict::Fair]
        .map(|least| format!("{:.0}", page.won_h(facing, least)));
    let whole = if page.weeks.len() == page.year.len() {
        "a year"
    } else {
        "so far"
    };
    let words = format!(
        "{} h fine, {} h good or better, {} h fair or better {whole}",
        sums[0], sums[1], sums[2]
    );
    plate.words([RIGHT, base], Anchor::End, PLAIN, &words);
    for (half, name) in HALVES.into_iter().enumerate() {
        if let Some(lane) = layout.lane(page, facing, half) {
            draw(plate, layout, &lane, name);
        }
    }
}

fn draw(plate: &mut Plate, layout: &Layout, lane: &Lane, name: &str) {
    let (field, foot) = (lane.field, lane.field.foot());
    let bottom = foot + SHEET.lane[1];
    let middle = field.y + field.height / 2.0 + 3.0;
    plate.words([12.0, middle], Anchor::Start, PLAIN, name);
    plate.words([12.0, bottom - 5.0], Anchor::Start, PLAIN, "what binds");
    for hours in layout.ruled_h() {
        let y = foot - hours / layout.full_h * field.height;
        let words = format!("{hours:.0} h");
        plate.words([LEFT - 4.0, y + 3.0], Anchor::End, PLAIN, &words);
        plate.line([LEFT, y, RIGHT, y], faint(0.4));
    }
    plate.line([12.0, bottom, RIGHT, bottom], faint(0.4));
    for (bar, verdict) in &lane.bars {
        filled(plate, *bar, *verdict);
    }
    let sun = lane.sun.iter().map(|[x, y, width]| [*x, *y, x + width, *y]);
    plate.lines(sun.collect(), inked(1.0));
    for binding in &lane.binds {
        bound(plate, binding);
    }
}
