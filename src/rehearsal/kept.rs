//! What is kept and made by the way: frames in the tray, the search and its answers, the strip of lenses, files. May not
//! enter: how a frame is worked out.

use super::bench::{Errand, Found, Search};
use super::desk::Desk;
use super::take::Take;
use crate::grade::sheet::Row;
use crate::grade::{Grade, MeasureId, Sheet};
use crate::picture::png::Picture;
use crate::plan::answer::Answer;
use crate::plan::request::{Rank, Request};
use crate::plan::slack::spread::Spread;
use crate::scene::edit::Keep;
use crate::sky::clock::Zone;
use chrono::{Datelike, NaiveDate, Timelike};
use std::path::PathBuf;
use std::sync::Arc;

/// Pixels across of a kept frame's picture: it may be set beside the present one.
const KEPT_PX: u32 = 800;
/// Pixels across of a found frame's picture.
const FOUND_PX: u32 = 360;

/// A frame that was kept.
#[derive(Clone, Debug)]
pub struct Kept {
    /// Its number, by which its small picture is told.
    pub number: u64,
    /// What it is of.
    pub take: Take,
    /// What was said of it.
    pub sheet: Sheet,
}

/// For how long is searched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Range {
    /// The take's date.
    Day,
    /// Its month.
    Month,
    /// Its year.
    Year,
}

impl Range {
    /// All, with their words.
    pub const WORDS: [(Range, &'static str); 3] = [
        (Range::Day, "this day"),
        (Range::Month, "this month"),
        (Range::Year, "this year"),
    ];

    /// First and last date, and minutes between the instants that are looked at.
    fn dates(self, date: NaiveDate) -> (NaiveDate, NaiveDate, u32) {
        let of = |month: u32, day: u32| NaiveDate::from_ymd_opt(date.year(), month, day);
        let last_of = |month: u32| (28..=31).rev().find_map(|day| of(month, day));
        match self {
            Range::Day => (date, date, 5),
            Range::Month => {
                let last = last_of(date.month()).unwrap_or(date);
                (of(date.month(), 1).unwrap_or(date), last, 15)
            }
            Range::Year => {
                let last = last_of(12).unwrap_or(date);
                (of(1, 1).unwrap_or(date), last, 60)
            }
        }
    }
}

impl Desk {
    fn next_number(&mut self) -> u64 {
        self.numbered += 1;
        self.numbered
    }

    /// Keeps the frame as it was graded last.
    pub fn keep(&mut self) {
        let Some(graded) = self.graded.clone() else {
            self.refused = Some("Nothing is graded yet".into());
            return;
        };
        let number = self.next_number();
        let take = graded.take.clone();
        self.kept.push(Kept {
            number,
            take: take.clone(),
            sheet: graded.graded.sheet.clone(),
        });
        self.bench
            .errand(Errand::Small(number, Box::new(take), KEPT_PX));
    }

    /// Drops a kept frame.
    pub fn drop_kept(&mut self, number: u64) {
        self.kept.retain(|kept| kept.number != number);
        self.small.retain(|(known, _)| *known != number);
    }

    /// The small picture of a number, once it has come.
    pub fn small(&self, number: u64) -> Option<&Arc<Picture>> {
        let known = self.small.iter().find(|(known, _)| *known == number);
        known.map(|(_, picture)| picture)
    }

    /// Begins a search from here; `likeliest` tells what each answer bears, those first that are likeliest to stay good.
    pub fn search(&mut self, range: Range, top: usize, likeliest: bool) {
        let (from, to, every_min) = range.dates(self.date());
        self.searching = Some(("beginning".into(), 0.0));
        self.bench.search(Search {
            setting: self.take.setting.clone(),
            request: Request {
                from,
                to,
                every_min,
                lenses_mm: vec![],
                spacing_m: None,
                top,
                slack: likeliest.then(Spread::default),
                rank: match likeliest {
                    true => Rank::Chance,
                    false => Rank::Score,
                },
            },
        });
    }

    /// Looks how much the frame bears, as it is.
    pub fn bear(&mut self) {
        if self.searching.is_some() {
            self.refused = Some("Something is being searched: stop that first".into());
            return;
        }
        self.searching = Some(("beginning".into(), 0.0));
        self.bench.bear(self.take.clone());
    }

    /// Gives the search up.
    pub fn stop_search(&mut self) {
        self.searching = None;
        self.bench.stop_search();
    }

    pub(super) fn take_found(&mut self, found: Arc<Found>) {
        // One that was given up has nothing to say.
        if found.plan.is_none() || self.searching.is_none() {
            return;
        }
        self.searching = None;
        for (answer, number) in answers(&found).into_iter().zip(FOUND_FROM..) {
            self.small.retain(|(known, _)| *known != number);
            let take = self.take_of(&found, answer);
            self.bench
                .errand(Errand::Small(number, Box::new(take), FOUND_PX));
        }
        self.found = Some(found);
    }

    /// The take that an answer is.
    pub fn take_of(&self, found: &Found, answer: &Answer) -> Take {
        let mut setting = found.search.setting.clone();
        setting.head_end = answer.head_end;
        Take {
            setting,
            stand: answer.stand,
            at: answer.window.best,
            exposure_s: None,
        }
    }

    /// Draws the strip of lenses from here, unless it has been drawn.
    pub fn compare_lenses(&mut self) {
        if matches!(&self.strip, Some((of, Some(_))) if *of == self.take) {
            return;
        }
        self.strip = Some((self.take.clone(), None));
        self.bench
            .errand(Errand::Strip(Box::new(self.take.clone())));
    }

    /// Writes a file by the way.
    pub fn export(&mut self, what: Export, path: PathBuf) {
        let take = Box::new(self.take.clone());
        self.tell(Ok(format!("Writing {} \u{2026}", path.display())));
        self.bench.errand(match what {
            Export::Picture(width_px) => Errand::Picture(take, path, width_px),
            Export::Card => Errand::Card(take, path),
            Export::Data => Errand::Data(take, path),
        });
    }
}

impl Desk {
    /// Saves the scene with this frame as its own, into its own file or another one.
    pub fn save_scene(&mut self, keep: Keep, path: Option<PathBuf>) {
        let take = Box::new(self.take.clone());
        let original = Box::new(self.original.clone());
        let replaces = path.is_some() && self.replaces.take() == path;
        self.bench
            .errand(Errand::Scene(take, original, keep, path, replaces));
    }
}

/// What may be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Export {
    /// The picture, so many pixels across.
    Picture(u32),
    /// The card, into a folder.
    Card,
    /// The graded frame as JSON.
    Data,
}

/// Numbers of found frames' pictures begin here: kept ones never get so far.
pub const FOUND_FROM: u64 = 1 << 32;

/// The answers of a search, or the least bad frame where there is none.
pub fn answers(found: &Found) -> Vec<&Answer> {
    let plan = found.plan.as_ref();
    plan.map_or(vec![], |plan| {
        plan.answers.iter().chain(&plan.least_bad).collect()
    })
}

/// Two spots no farther apart than this are the same place for a photographer, metres.
const SAME_PLACE_M: f64 = 3.0;

/// Which answers a list shows, each with how many after it are like it: the same end leads, the same lens, on the same
/// half of the same day, from about the same place. Places in the list of answers.
pub fn folded(zone: &Zone, answers: &[&Answer]) -> Vec<(usize, usize)> {
    let half = |answer: &Answer| {
        let local = zone.local(answer.window.best).naive;
        (local.date(), local.hour() < 12)
    };
    let alike = |one: &Answer, other: &Answer| {
        one.head_end == other.head_end
            && one.stand.lens_mm == other.stand.lens_mm
            && half(one) == half(other)
            && one.stand.spot_m.distance(other.stand.spot_m) <= SAME_PLACE_M
    };
    let mut shown: Vec<(usize, usize)> = vec![];
    for (n, answer) in answers.iter().enumerate() {
        match shown
            .iter_mut()
            .find(|(first, _)| alike(answers[*first], answer))
        {
            Some((_, more)) => *more += 1,
            None => shown.push((n, 0)),
        }
    }
    shown
}

/// A measure whose grade differs between two frames.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    /// The measure.
    pub measure: MeasureId,
    /// Its grade then.
    pub from: Grade,
    /// Its grade now.
    pub to: Grade,
}

/// What changed from one frame to another, what became worst first; what could not be judged in both is left out.
pub fn changes(then: &Sheet, now: &Sheet) -> Vec<Change> {
    let change = |row: &Row| {
        let (from, to) = (then.row(row.measure)?.grade?, row.grade?);
        (from != to).then_some(Change {
            measure: row.measure,
            from,
            to,
        })
    };
    let mut changes: Vec<Change> = now.measures.iter().filter_map(change).collect();
    changes.sort_by_key(|change| std::cmp::Reverse((change.to, change.from)));
    changes
}
