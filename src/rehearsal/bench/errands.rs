//! What is asked for by hand and takes a while: small pictures, the strip of lenses, files, the search. May not enter: what
//! is worked out unasked.

use super::{News, Room, held};
use crate::card::extras::{CardExtras, FRAME_PX};
use crate::document::write_whole;
use crate::gpu::choice::Choice;
use crate::picture::painter::Painter;
use crate::picture::png::Picture;
use crate::picture::sheet::Sheet;
use crate::plan::answering::standing;
use crate::plan::ladder::{ladder, lenses_mm};
use crate::plan::request::{Request, Watch};
use crate::plan::{Plan, plan};
use crate::rehearsal::setting::Setting;
use crate::rehearsal::site::Site;
use crate::rehearsal::take::Take;
use crate::report::frame::Frame;
use crate::report::lenses::Lenses;
use crate::report::{self};
use crate::scene::edit::{Keep, Original, Unsaved};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, OnceLock};

/// Something to be done by the way.
#[derive(Clone, Debug)]
pub enum Errand {
    /// A small picture of a take, so many pixels across, told with its number.
    Small(u64, Box<Take>, u32),
    /// The lenses compared from a take.
    Strip(Box<Take>),
    /// The picture as a file, so many pixels across.
    Picture(Box<Take>, PathBuf, u32),
    /// The card for the field, into a folder.
    Card(Box<Take>, PathBuf),
    /// The graded frame as JSON.
    Data(Box<Take>, PathBuf),
    /// The scene with the take as its own frame, into its own file or another one.
    /// The last says whether another scene there may be replaced.
    Scene(Box<Take>, Box<Original>, Keep, Option<PathBuf>, bool),
}

impl Errand {
    /// How it is told that it failed, before the reason.
    fn failure(&self) -> &'static str {
        match self {
            Errand::Small(..) => "A small picture was not drawn",
            Errand::Strip(_) => "The lenses were not compared",
            Errand::Picture(..) => "The picture was not written",
            Errand::Card(..) => "The card was not written",
            Errand::Data(..) => "The data were not written",
            Errand::Scene(..) => "The scene was not saved",
        }
    }
}

/// What a search is asked.
#[derive(Clone, Debug)]
pub struct Search {
    /// What is tried of the site.
    pub setting: Setting,
    /// Dates, steps, lenses, answers.
    pub request: Request,
}

/// What a search found.
pub struct Found {
    /// The question.
    pub search: Search,
    /// The answer; none if it was cancelled.
    pub plan: Option<Plan>,
}

/// What errands are run with.
pub(super) struct Runner {
    site: Arc<Site>,
    painter: OnceLock<Painter>,
    /// The site as it was prepared last: another one of the same model is made sooner from it.
    kin: Mutex<Option<(Setting, Arc<Room>)>>,
    /// The desk is cleared: nobody waits for what is drawn any more.
    closed: AtomicBool,
}

impl Runner {
    pub(super) fn new(site: Arc<Site>, setting: Setting, room: Arc<Room>) -> Runner {
        Runner {
            site,
            painter: OnceLock::new(),
            kin: Mutex::new(Some((setting, room))),
            closed: AtomicBool::new(false),
        }
    }

    /// Nobody waits any more.
    pub(super) fn close(&self) {
        self.closed.store(true, Ordering::SeqCst);
    }

    /// Whether an errand is still of use: a scene is saved even when its desk has been cleared, since it cannot be
    /// asked for again.
    pub(super) fn takes(&self, errand: &Errand) -> bool {
        matches!(errand, Errand::Scene(..)) || !self.closed.load(Ordering::SeqCst)
    }

    /// Gives work up once nobody waits for it.
    fn watch(&self) -> Watch<'_> {
        Watch {
            cancel: &self.closed,
            told: &|_, _| {},
        }
    }

    /// Its own painter: pictures are made beside the window's device.
    fn painter(&self) -> Option<&Painter> {
        if let Some(painter) = self.painter.get() {
            return Some(painter);
        }
        // Without an adapter the processor paints.
        let painter = Painter::open(Choice::Auto).ok()?;
        Some(self.painter.get_or_init(|| painter))
    }

    /// The site as a setting has it.
    pub(super) fn room(&self, setting: &Setting) -> Result<Arc<Room>, String> {
        let kin = held(&self.kin).clone();
        if let Some((known, room)) = &kin
            && known == setting
        {
            return Ok(Arc::clone(room));
        }
        let site = &self.site;
        let scene = setting.scene(&site.base, &site.models);
        let scene = scene.map_err(|refusal| refusal.to_string())?;
        let kin = kin.as_ref().map(|(_, room)| &**room);
        let room = Arc::new(Room::new(scene, site.rulebook, site.rasterizer, kin));
        *held(&self.kin) = Some((setting.clone(), Arc::clone(&room)));
        Ok(room)
    }

    /// Runs one errand to its end; what came of it is told.
    pub(super) fn run(&self, errand: &Errand, tell: &dyn Fn(News)) {
        let told = match errand {
            Errand::Small(number, take, width_px) => self
                .picture(take, *width_px)
                .map(|picture| News::Small(*number, Arc::new(picture))),
            Errand::Strip(take) => self
                .strip(take)
                .map(|sheet| News::Strip(take.clone(), Arc::new(sheet))),
            Errand::Picture(take, path, width_px) => {
                self.export_picture(take, path, *width_px).map(News::Done)
            }
            Errand::Card(take, folder) => self.export_card(take, folder).map(News::Done),
            Errand::Data(take, path) => self.export_data(take, path).map(News::Done),
            Errand::Scene(take, original, keep, path, replaces) => {
                let to = path.as_deref().map(|path| (path, *replaces));
                self.save_scene(take, original, *keep, to)
            }
        };
        let failed = |why| News::Failed(format!("{}: {why}", errand.failure()));
        tell(told.unwrap_or_else(failed));
    }

    fn frame<'a>(&self, room: &'a Room, take: &Take) -> Frame<'a> {
        Frame::of(room, take.stand, take.capture(), take.at)
    }

    fn picture(&self, take: &Take, width_px: u32) -> Result<Picture, String> {
        let room = self.room(&take.setting)?;
        let painter = self.painter().ok_or("nothing can paint here")?;
        let frame = self.frame(&room, take);
        Ok(frame.picture(painter, width_px).picture)
    }

    fn export_picture(&self, take: &Take, path: &Path, width_px: u32) -> Result<String, String> {
        let room = self.room(&take.setting)?;
        let painter = self.painter().ok_or("nothing can paint here")?;
        let frame = self.frame(&room, take);
        let painted = frame.picture(painter, width_px);
        written(&free(path), &frame.png(&painted))
    }

    fn export_data(&self, take: &Take, path: &Path) -> Result<String, String> {
        let room = self.room(&take.setting)?;
        let data = self.frame(&room, take).data();
        written(&free(path), report::json_text(&data).as_bytes())
    }

    fn save_scene(
        &self,
        take: &Take,
        original: &Original,
        keep: Keep,
        to: Option<(&Path, bool)>,
    ) -> Result<News, String> {
        let room = self.room(&take.setting)?;
        let mut wanted = room.scene.clone();
        wanted.frame = room.frame_of(&take.stand, take.at);
        let saved = match to {
            None => original.save(&wanted, keep),
            Some((path, replaces)) => original.save_as(path, &wanted, keep, replaces),
        };
        match saved {
            Ok((original, _)) => Ok(News::Saved(Box::new(original))),
            Err(Unsaved::Exists(path)) => Ok(News::Exists(path)),
            Err(unsaved) => Err(unsaved.to_string()),
        }
    }

    /// A card for the take as it stands: its window round its minute, its trade-offs, its marks.
    fn export_card(&self, take: &Take, folder: &Path) -> Result<String, String> {
        let room = self.room(&take.setting)?;
        let painter = self.painter().ok_or("nothing can paint here")?;
        // A card sends somebody there.
        if room.scene.ground.area_at(take.stand.spot_m).is_none() {
            return Err("the spot lies on no ground of the scene where one may stand".into());
        }
        let watch = self.watch();
        let answer = standing(&room, take.stand, take.at, &watch);
        let answer = answer.map_err(|stopped| stopped.to_string())?;
        let extras = CardExtras::of(&room, painter, &answer, FRAME_PX);
        let folder = &free(folder);
        std::fs::create_dir_all(folder)
            .map_err(|error| format!("{}: {error}", folder.display()))?;
        let paths = crate::card::write(folder, 1, &room.scene, &answer, &extras);
        let [page, _] = paths.map_err(|error| {
            // The folder is this card's own: empty it is of no use, and one that is not empty stays.
            let _ = std::fs::remove_dir(folder);
            error.to_string()
        })?;
        Ok(format!("Wrote {}", page.display()))
    }

    fn strip(&self, take: &Take) -> Result<Sheet, String> {
        let known = self.room(&take.setting)?;
        let painter = self.painter().ok_or("nothing can paint here")?;
        // The ladder is that of the scene's own frame: here the take is it.
        let mut scene = known.scene.clone();
        scene.frame = known.frame_of(&take.stand, take.at);
        let room = Room::new(
            scene,
            self.site.rulebook,
            self.site.rasterizer,
            Some(&known),
        );
        let watch = self.watch();
        let minute = room.minute(take.at);
        let lenses = lenses_mm(&room, &[]);
        let ladder = ladder(&room, &minute, &lenses, &watch).map_err(|e| e.to_string())?;
        let ladder =
            ladder.ok_or("from here the machine fills no frame: there is nothing to compare")?;
        let way = Lenses {
            studio: &room,
            minute,
            ladder,
        };
        report::lenses::sheet(painter, &way, true, &|_| {}, &watch).map_err(|e| e.to_string())
    }

    /// Searches; small pictures of the answers follow.
    pub(super) fn search(&self, search: Search, cancel: &AtomicBool, tell: &(dyn Fn(News) + Sync)) {
        let room = match self.room(&search.setting) {
            Ok(room) => room,
            Err(why) => return tell(News::NotSearched(format!("Nothing was searched: {why}"))),
        };
        let told = |what: &str, share: f64| tell(News::Searching(what.to_string(), share));
        let watch = Watch {
            cancel,
            told: &told,
        };
        let site = &self.site;
        let found = plan(
            &room.scene,
            site.rulebook,
            site.rasterizer,
            &search.request,
            &watch,
        );
        tell(News::Found(Arc::new(Found {
            search,
            plan: found.ok(),
        })));
    }
}

fn written(path: &Path, bytes: &[u8]) -> Result<String, String> {
    if let Some(folder) = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
    {
        std::fs::create_dir_all(folder)
            .map_err(|error| format!("{}: {error}", folder.display()))?;
    }
    write_whole(path, bytes).map_err(|error| error.to_string())?;
    Ok(format!("Wrote {}", path.display()))
}

/// The path, or with a number behind its name where something lies there: two frames of one minute are two files.
fn free(path: &Path) -> PathBuf {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let ending = path.extension().map_or(String::new(), |ending| {
        format!(".{}", ending.to_string_lossy())
    });
    let numbered = |number: u32| path.with_file_name(format!("{stem}-{number}{ending}"));
    let is_free = |path: &PathBuf| path.symlink_metadata().is_err();
    std::iter::once(path.to_path_buf())
        .chain((2..=u32::MAX).map(numbered))
        .find(is_free)
        .unwrap_or_else(|| path.to_path_buf())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_that_is_taken_gets_a_number() {
        let folder = tempfile::TempDir::new().unwrap();
        let path = folder.path().join("box_siding-2027-05-14-1000.json");
        for name in ["", "-2", "-3"] {
            let next = free(&path);
            let wanted = format!("box_siding-2027-05-14-1000{name}.json");
            assert_eq!(next.file_name().unwrap().to_str(), Some(&*wanted));
            std::fs::write(&next, name).unwrap();
        }
        let card = folder.path().join("box_siding-2027-05-14-1000-card");
        std::fs::create_dir(&card).unwrap();
        let next = free(&card);
        let name = next.file_name().unwrap();
        assert_eq!(name, "box_siding-2027-05-14-1000-card-2");
    }
}
