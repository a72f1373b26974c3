//! What commands do to the desk. May not enter: keys, panels, how anything is worked out.

use super::command::Command;
use super::desk::Desk;
use super::steps;
use super::take::Take;
use crate::scene::equipment::EquipmentKind;
use crate::scene::machine::HeadEnd;
use crate::sky::daylight::SkyCondition;
use chrono::{Duration, Months};
use std::time::Instant;

/// A step of the keys.
const SHUNT_M: f64 = 10.0;

impl Desk {
    /// Carries a command out; false for those that are the window's own.
    pub fn act(&mut self, command: Command) -> bool {
        let what = command.entry().name;
        let lenses_mm = &self.take.setting.kit.lenses_mm;
        match steps::of_stand(command, &self.take.stand, &self.room.1, lenses_mm) {
            Some(Ok(stand)) => {
                self.stand(stand, what);
                return true;
            }
            Some(Err(why)) => {
                self.refused = Some(why);
                return true;
            }
            None => {}
        }
        if let Some(by) = steps::of_clock(command) {
            self.at(self.take.at + by, what);
            return true;
        }
        match command {
            Command::DayBefore => self.shift_date(-1, 0, what),
            Command::DayAfter => self.shift_date(1, 0, what),
            Command::MonthBefore => self.shift_date(0, -1, what),
            Command::MonthAfter => self.shift_date(0, 1, what),
            Command::Undo => {
                if let Some(before) = self.history.undo(&self.take) {
                    self.put(before);
                }
            }
            Command::Redo => {
                if let Some(after) = self.history.redo(&self.take, Instant::now()) {
                    self.put(after);
                }
            }
            Command::ShowFault => self.next_fault(),
            Command::ShowNothing => self.point_at(None),
            _ => return self.try_out(command),
        }
        true
    }

    /// Commands that try something else of the site.
    fn try_out(&mut self, command: Command) -> bool {
        let mut setting = self.take.setting.clone();
        match command {
            Command::Turn => {
                setting.head_end = match setting.head_end {
                    HeadEnd::First => HeadEnd::Second,
                    _ => HeadEnd::First,
                };
            }
            Command::MachineOn => setting.chainage_m += SHUNT_M,
            Command::MachineBack => setting.chainage_m -= SHUNT_M,
            Command::Doors => setting.doors_open = !setting.doors_open,
            Command::CoupleFront => {
                let own = self.site.base.machine.front_equipment;
                setting.coupled_front = toggled(setting.coupled_front, own);
            }
            Command::CoupleRear => {
                let own = self.site.base.machine.rear_equipment;
                setting.coupled_rear = toggled(setting.coupled_rear, own);
            }
            Command::Weeds => setting.weeds_cut = !setting.weeds_cut,
            Command::NextSky => {
                let skies = [
                    SkyCondition::Clear,
                    SkyCondition::ThinCirrus,
                    SkyCondition::Broken,
                    SkyCondition::Overcast,
                ];
                let at = skies.iter().position(|sky| *sky == setting.sky);
                setting.sky = skies[at.map_or(0, |at| (at + 1) % skies.len())];
            }
            _ => return false,
        }
        self.set(setting, command.entry().name);
        true
    }

    fn put(&mut self, take: Take) {
        self.take = take;
        self.refused = None;
        self.want();
    }

    /// The same civil time on another date; where that hour is missing there, the one after the gap.
    fn shift_date(&mut self, days: i64, months: i32, what: &'static str) {
        let zone = &self.site.base.place.zone;
        let local = zone.local(self.take.at).naive;
        let by_month = Months::new(months.unsigned_abs());
        let moved = if months < 0 {
            local.checked_sub_months(by_month)
        } else {
            local.checked_add_months(by_month)
        };
        let moved = moved.and_then(|local| local.checked_add_signed(Duration::days(days)));
        let Some(moved) = moved else { return };
        match zone.nearest_instant(moved) {
            Some(at) => self.at(at, what),
            None => self.refused = zone.instant(moved).err().map(|error| error.to_string()),
        }
    }

    /// Points at the finding after the one that is shown, worst first; after the last one at none.
    fn next_fault(&mut self) {
        let Some(graded) = &self.graded else { return };
        let findings = &graded.graded.sheet.findings;
        let shown = findings
            .iter()
            .position(|finding| Some(finding.measure) == self.finding);
        let next = findings.get(shown.map_or(0, |at| at + 1));
        self.point_at(next.map(|finding| finding.measure));
    }
}

/// Coupled or not: with what the scene has there, or with a boxcar.
fn toggled(coupled: Option<EquipmentKind>, own: Option<EquipmentKind>) -> Option<EquipmentKind> {
    match coupled {
        Some(_) => None,
        None => own.or(Some(EquipmentKind::Boxcar)),
    }
}
