//! Makes a scene file ready to be rehearsed: read, its studio built, its own frame taken. It takes about a second, so
//! it is done beside the window. May not enter: what is done with it.

use super::bench::Room;
use super::models::Models;
use super::setting::Setting;
use super::site::Site;
use super::take::Take;
use crate::document::Problems;
use crate::grade::{Rulebook, StandChange};
use crate::scene::Scene;
use crate::scene::edit::Original;
use crate::scene::machine::HeadEnd;
use crate::sighting::rasterizer::Rasterizer;
use chrono::{DateTime, NaiveTime, Utc};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A scene, ready.
pub struct Opened {
    /// What it works on.
    pub site: Arc<Site>,
    /// The scene as its file has it, prepared.
    pub room: Arc<Room>,
    /// The scene's own frame.
    pub take: Take,
    /// The file as it was read, to be saved in place.
    pub original: Original,
}

/// With what a rehearsal begins, where not with the scene's own frame.
#[derive(Clone, Debug, Default)]
pub struct Begin {
    /// Local time at the scene, as it was typed.
    pub at: Option<String>,
    /// Another stand.
    pub stand: StandChange,
    /// Which end leads.
    pub head_end: Option<HeadEnd>,
    /// Photographs to be marked and judged before anything is rehearsed.
    pub photographs: Vec<PathBuf>,
    /// The marks file of the one photograph, where it is not the one beside it.
    pub marks: Option<PathBuf>,
}

impl Opened {
    /// The same with another frame to begin with.
    ///
    /// # Errors
    /// The time is none, or the clock skips or repeats it.
    pub fn begin(mut self, begin: &Begin) -> Result<Opened, String> {
        let base = &self.site.base;
        if let Some(text) = &begin.at {
            let at = base.place.zone.parse_instant(text);
            self.take.at = at.map_err(|error| format!("The time to begin with: {error}"))?;
        }
        let own = self.take.setting.head_end;
        let head_end = begin.head_end.unwrap_or(own);
        if head_end != own {
            self.take.setting.head_end = head_end;
            let Site {
                rulebook,
                rasterizer,
                ..
            } = *self.site;
            let scene = base.with_head_end(head_end);
            self.room = Arc::new(Room::new(scene, rulebook, rasterizer, Some(&self.room)));
        }
        self.take.stand = self.room.changed_stand(&begin.stand);
        Ok(self)
    }
}

/// Opens a scene file. Where it names no time for its frame, the tenth hour of `today` is taken.
///
/// # Errors
/// Every problem of the file and of its model.
pub fn open(
    path: &Path,
    rulebook: &'static Rulebook,
    rasterizer: &'static dyn Rasterizer,
    today: DateTime<Utc>,
) -> Result<Opened, Problems> {
    let (original, base) = Original::load(path)?;
    let models = Models::beside(&base);
    let mut setting = Setting::of(&base);
    // Which end leads must be one or the other to be drawn: where nobody knows, the second is tried first.
    if setting.head_end == HeadEnd::Unknown {
        setting.head_end = HeadEnd::Second;
    }
    let room = Room::new(
        base.with_head_end(setting.head_end),
        rulebook,
        rasterizer,
        None,
    );
    let take = Take {
        at: base.frame.at.unwrap_or_else(|| morning(&base, today)),
        setting,
        stand: room.default_stand(),
        exposure_s: None,
    };
    let site = Site {
        path: path.to_path_buf(),
        base,
        models,
        rulebook,
        rasterizer,
    };
    Ok(Opened {
        site: Arc::new(site),
        room: Arc::new(room),
        take,
        original,
    })
}

/// Ten in the morning of the day that it is at the place.
fn morning(scene: &Scene, today: DateTime<Utc>) -> DateTime<Utc> {
    let zone = &scene.place.zone;
    let date = zone.local(today).naive.date();
    let ten = date.and_time(NaiveTime::from_hms_opt(10, 0, 0).unwrap_or_default());
    zone.instant(ten).unwrap_or(today)
}
