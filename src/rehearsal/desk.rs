//! The take on the table: what commands and drags do to it, what is refused and why, and the news that come back.
//! May not enter: panels, how anything is worked out.

use super::bench::{Bench, GradedTake, News, Room, Wanted, Waker};
use super::command::Command;
use super::history::History;
use super::moves;
use super::opening::Opened;
use super::setting::Setting;
use super::site::Site;
use super::take::Take;
use crate::grade::culprits::Culprits;
use crate::grade::{MeasureId, Stand};
use crate::picture::lit::Shaped;
use crate::scene::equipment::EquipmentKind;
use crate::scene::machine::HeadEnd;
use crate::sky::daylight::SkyCondition;
use chrono::{DateTime, Duration, Months, Utc};
use glam::DVec2;
use std::sync::Arc;
use std::time::Instant;

/// The desk.
pub struct Desk {
    /// What is worked on.
    pub site: Arc<Site>,
    /// The take, as it is now.
    pub take: Take,
    /// The site as it was prepared last, and for which setting: while another is prepared it is an older one.
    pub room: (Setting, Arc<Room>),
    /// The frame as it was graded last.
    pub graded: Option<Arc<GradedTake>>,
    /// The finding whose causes are shown.
    pub finding: Option<MeasureId>,
    /// What causes it, and in which take.
    pub culprits: Option<(Take, MeasureId, Arc<Culprits>)>,
    /// Why the last act was refused.
    pub refused: Option<String>,
    history: History,
    bench: Bench,
}

/// A stage that has come and is to be drawn.
pub type NewStage = (Setting, Arc<Room>, Box<Shaped>);

/// Width of the mask of a finding's causes, pixels.
const MASK_PX: usize = 640;

/// Steps of the keys.
const WALK_M: f64 = 0.5;
const WALK_FINE_M: f64 = 0.1;
const RAISE_M: f64 = 0.1;
const AIM_DEG: f64 = 0.5;
const TILT_DEG: f64 = 0.2;
const ZOOM: f64 = 1.02;
const SHUNT_M: f64 = 10.0;

impl Desk {
    /// Lays an opened scene on the table. `draws` says whether its stages are to be drawn.
    pub fn new(opened: Opened, waker: Waker, draws: bool) -> Desk {
        let Opened { site, room, take } = opened;
        let setting = take.setting.clone();
        let prepared = Arc::clone(&room);
        let bench = Bench::new(Arc::clone(&site), prepared, setting, waker, draws);
        let desk = Desk {
            room: (take.setting.clone(), room),
            site,
            take,
            graded: None,
            finding: None,
            culprits: None,
            refused: None,
            history: History::default(),
            bench,
        };
        desk.want();
        desk
    }

    /// Tells the bench what is wanted now.
    fn want(&self) {
        self.bench.want(Wanted {
            take: self.take.clone(),
            finding: self.finding.map(|measure| (measure, MASK_PX)),
            date: self.date(),
            year: self.year_wanted,
        });
    }

    /// Takes in what the bench has told; stages to be drawn are handed on.
    pub fn take_news(&mut self) -> Vec<NewStage> {
        let mut stages = vec![];
        let news: Vec<News> = self.bench.news().collect();
        for news in news {
            match news {
                News::Studio(setting, room) => self.room = (setting, room),
                News::Shaped(setting, room, shaped) => stages.push((setting, room, shaped)),
                News::Refused(setting, why) => {
                    if setting == self.take.setting {
                        self.refused = Some(why);
                        // What cannot be is not kept on the table.
                        if let Some(before) = self.history.undo(&self.take) {
                            self.take = before;
                            self.want();
                        }
                    }
                }
                News::Graded(graded) => self.graded = Some(graded),
                News::Culprits(take, measure, culprits) => {
                    self.culprits = Some((take, measure, Arc::from(culprits)));
                }
            }
        }
        stages
    }

    /// Has the stage shaped once more, for a device that is new.
    pub fn shape_again(&self) {
        self.bench.shape(&self.room.0, &self.room.1);
    }

    /// Whether the verdict is that of the take as it is.
    pub fn is_graded(&self) -> bool {
        self.graded
            .as_ref()
            .is_some_and(|graded| graded.take == self.take)
    }

    /// Whether the site is prepared as it is tried.
    pub fn is_ready(&self) -> bool {
        self.room.0 == self.take.setting
    }

    /// What "undo" would take back, and "redo" do again.
    pub fn steps(&self) -> [Option<&'static str>; 2] {
        [self.history.next_undo(), self.history.next_redo()]
    }

    /// A drag has ended: what follows is another step.
    pub fn part(&mut self) {
        self.history.part();
    }

    /// Where the machine's centre is.
    fn subject_m(&self) -> DVec2 {
        self.room.1.frame.origin_m
    }

    /// Puts another take on the table.
    pub fn lay(&mut self, take: Take, what: &'static str) {
        if take == self.take {
            return;
        }
        self.history.note(&self.take, what, Instant::now());
        self.take = take;
        self.refused = None;
        self.want();
    }

    /// Another stand, unless nobody may stand there; from where nobody may stand, one may walk on.
    pub fn stand(&mut self, stand: Stand, what: &'static str) {
        let room = &self.room.1;
        let refusal = |spot_m| room.scene.may_stand(&room.obstacles, spot_m).err();
        let moved = stand.spot_m != self.take.stand.spot_m;
        if moved
            && let Some(why) = refusal(stand.spot_m)
            && refusal(self.take.stand.spot_m).is_none()
        {
            self.refused = Some(format!("Do not stand there: {why}"));
            return;
        }
        let take = Take {
            stand,
            ..self.take.clone()
        };
        self.lay(take, what);
    }

    /// Another spot, the machine kept where it is in the frame.
    pub fn walk_to(&mut self, spot_m: DVec2, what: &'static str) {
        let stand = moves::stand_at(&self.take.stand, spot_m, self.subject_m());
        self.stand(stand, what);
    }

    /// Another instant.
    pub fn at(&mut self, at: DateTime<Utc>, what: &'static str) {
        let take = Take {
            at,
            ..self.take.clone()
        };
        self.lay(take, what);
    }

    /// Something else tried of the site.
    pub fn set(&mut self, setting: Setting, what: &'static str) {
        let take = Take {
            setting,
            ..self.take.clone()
        };
        self.lay(take, what);
    }

    /// Shows what causes a finding, or none.
    pub fn point_at(&mut self, finding: Option<MeasureId>) {
        self.finding = finding;
        self.want();
    }

    /// What causes the finding that is shown, if it has been worked out for the take as it is.
    pub fn pointed(&self) -> Option<&Culprits> {
        let (take, measure, culprits) = self.culprits.as_ref()?;
        (Some(*measure) == self.finding && *take == self.take).then_some(&**culprits)
    }

    /// Carries a command out; false for those that are the window's own.
    pub fn act(&mut self, command: Command) -> bool {
        let what = command.entry().name;
        let stand = self.take.stand;
        let walk = |desk: &mut Desk, right_m, forward_m| {
            let moved = moves::walk(&stand, right_m, forward_m, desk.subject_m());
            desk.stand(moved, what);
        };
        let aim = |desk: &mut Desk, right_deg, up_deg, clockwise_deg| {
            let aimed = moves::aim(&stand, right_deg, up_deg, clockwise_deg);
            desk.stand(aimed, what);
        };
        match command {
            Command::WalkLeft => walk(self, -WALK_M, 0.0),
            Command::WalkRight => walk(self, WALK_M, 0.0),
            Command::WalkNearer => walk(self, 0.0, WALK_M),
            Command::WalkFarther => walk(self, 0.0, -WALK_M),
            Command::WalkLeftFine => walk(self, -WALK_FINE_M, 0.0),
            Command::WalkRightFine => walk(self, WALK_FINE_M, 0.0),
            Command::WalkNearerFine => walk(self, 0.0, WALK_FINE_M),
            Command::WalkFartherFine => walk(self, 0.0, -WALK_FINE_M),
            Command::Raise => self.stand(moves::raise(&stand, RAISE_M), what),
            Command::Lower => self.stand(moves::raise(&stand, -RAISE_M), what),
            Command::AimLeft => aim(self, -AIM_DEG, 0.0, 0.0),
            Command::AimRight => aim(self, AIM_DEG, 0.0, 0.0),
            Command::AimUp => aim(self, 0.0, TILT_DEG, 0.0),
            Command::AimDown => aim(self, 0.0, -TILT_DEG, 0.0),
            Command::RollLeft => aim(self, 0.0, 0.0, -TILT_DEG),
            Command::RollRight => aim(self, 0.0, 0.0, TILT_DEG),
            Command::Level => {
                let level = Stand {
                    pitch_deg: 0.0,
                    roll_deg: 0.0,
                    ..stand
                };
                self.stand(level, what);
            }
            Command::Balance => {
                let heading_deg = self.room.1.balanced_heading_deg(&stand);
                self.stand(Stand { heading_deg, ..stand }, what);
            }
            Command::LongerLens | Command::ShorterLens => {
                let longer = command == Command::LongerLens;
                match moves::next_lens(&stand, &self.take.setting.kit.lenses_mm, longer) {
                    Some(next) => self.stand(next, what),
                    None => {
                        let which = if longer { "longer" } else { "shorter" };
                        self.refused = Some(format!("The kit holds no {which} lens"));
                    }
                }
            }
            Command::LongerFine => self.stand(moves::zoom(&stand, ZOOM), what),
            Command::ShorterFine => self.stand(moves::zoom(&stand, 1.0 / ZOOM), what),
            Command::Earlier => self.shift(Duration::minutes(-5), what),
            Command::Later => self.shift(Duration::minutes(5), what),
            Command::EarlierFine => self.shift(Duration::minutes(-1), what),
            Command::LaterFine => self.shift(Duration::minutes(1), what),
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

    fn shift(&mut self, by: Duration, what: &'static str) {
        self.at(self.take.at + by, what);
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
        if let Some(at) = moved.and_then(|local| zone.nearest_instant(local)) {
            self.at(at, what);
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
