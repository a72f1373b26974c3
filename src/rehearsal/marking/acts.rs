//! What commands do to marks. May not enter: keys, pages, how anything is worked out.

use super::Marking;
use super::command::MarkCommand;
use super::points::{self, Corner};
use crate::judge::marks::Given;
use glam::DVec2;
use std::time::Instant;

/// The cross is on a mark, pixels: half of what it is moved by at least.
const SAME_PX: f64 = 0.05;

impl Marking {
    /// Carries a command out; false for those that are the page's own.
    pub fn act(&mut self, command: MarkCommand) -> bool {
        if let Some(by_px) = command.nudge_px() {
            self.nudge(DVec2::from_array(by_px));
            return true;
        }
        if let Some(by_px) = command.step_px() {
            self.point_at(self.cross_px + DVec2::from_array(by_px));
            return true;
        }
        match command {
            MarkCommand::TakePlace => self.place(),
            MarkCommand::Helpful => {
                if let Some(next) = self.helpful(Some(self.chosen)) {
                    self.choose(next);
                }
            }
            MarkCommand::NextPoint => self.walk(1),
            MarkCommand::PreviousPoint => self.walk(-1),
            MarkCommand::RemoveMark => self.remove(),
            MarkCommand::ToExpected => {
                let marked = self.mark_of(self.chosen).map(|mark| mark.at_px);
                let is_there = marked.is_some_and(|at_px| at_px.distance(self.cross_px) < SAME_PX);
                let marked = marked.filter(|_| !is_there);
                match marked.or_else(|| self.expected_px(self.chosen)) {
                    Some(at_px) => self.point_at(at_px),
                    None => {
                        let why = self.no_fit("where it is expected");
                        let behind = "The camera looks away from it, as far as the fit knows";
                        self.told = Some(Err(why.unwrap_or_else(|| behind.into())));
                    }
                }
            }
            MarkCommand::OtherSide => {
                let corner = self.corner();
                self.corner = Some(Corner {
                    side: corner.side.other(),
                    ..corner
                });
                if let Some(next) = self.helpful(None) {
                    self.chosen = next;
                }
            }
            MarkCommand::ReadAnew => self.read_anew(),
            MarkCommand::PutAside => self.put_aside(),
            MarkCommand::KeepAgain => self.keep(),
            MarkCommand::ReadPhoto => self.read_photo(),
            MarkCommand::Undo => {
                if let Some(before) = self.history.undo(&self.given) {
                    // What is taken back is most likely to be marked again, and rightly.
                    let taken = self.first_unlike(&before);
                    self.lay(before);
                    self.chosen = taken.unwrap_or(self.chosen);
                }
            }
            MarkCommand::Redo => {
                if let Some(after) = self.history.redo(&self.given, Instant::now()) {
                    self.lay(after);
                }
            }
            _ => return false,
        }
        true
    }

    /// The point of the first mark that other marks lack, or have elsewhere.
    fn first_unlike(&self, other: &Given) -> Option<usize> {
        let mut unlike = (self.given.marks.iter()).filter(|mark| !other.marks.contains(mark));
        let name = &unlike.next()?.name;
        self.model
            .points
            .iter()
            .position(|point| point.name == *name)
    }

    fn nudge(&mut self, by_px: DVec2) {
        match self
            .held
            .and_then(|held| Some((held, self.mark_of(held)?.at_px)))
        {
            Some((held, at_px)) => {
                self.put(held, at_px + by_px, "Nudge a mark");
                self.held = Some(held);
            }
            None => self.point_at(self.cross_px + by_px),
        }
    }

    /// Goes on to another point of the list, so many on, of those that the camera sees.
    fn walk(&mut self, step: isize) {
        let all: Vec<usize> = (points::groups(&self.model).into_iter())
            .flat_map(|group| group.points)
            .filter(|point| self.is_seen(*point))
            .collect();
        let at = all.iter().position(|point| *point == self.chosen);
        let count = all.len() as isize;
        if count > 0 {
            let start = at.map_or(if step > 0 { -1 } else { 0 }, |at| at as isize);
            self.choose(all[(start + step).rem_euclid(count) as usize]);
            self.history.part();
            match self.mark_of(self.chosen).map(|mark| mark.at_px) {
                Some(_) => self.hold(self.chosen),
                None => {
                    if let Some(at_px) = self.expected_px(self.chosen) {
                        self.point_at(at_px);
                    }
                }
            }
        }
    }

    fn remove(&mut self) {
        let point = self.held.unwrap_or(self.chosen);
        let name = self.model.points[point].name.clone();
        let mut given = self.given.clone();
        given.marks.retain(|mark| mark.name != name);
        self.history.part();
        self.give(given, "Take a mark away");
        self.chosen = point;
    }
}
