//! What the photograph says of itself, each value with where it comes from, and fields in which something else is said. May
//! not enter: how tags are read.

use crate::camera::film::Film;
use crate::grade::wording::sentence_case;
use crate::judge::exif::Told;
use crate::judge::marks::{Given, SENSORS_MM};
use crate::judge::pose::LEAST_FOR_BEND;
use crate::judge::shot::{Shot, shutter};
use crate::rehearsal::marking::Marking;
use crate::rehearsal::marking::command::MarkCommand;
use crate::report::judged::{position_words, unread_tags};
use crate::scene::limits::{EXPOSURES_S, F_NUMBERS, FILM_SPEEDS_ISO, LENSES_MM, parse_exposure_s};
use crate::sky::clock::Zone;
use crate::units::parse_number;
use crate::window::header::keys_of;
use crate::window::theme::{self, Page};
use egui::{Id, Label, RichText, TextEdit, Ui};
use std::ops::RangeInclusive;

/// The first field.
const FIRST: &str = "Taken at";

/// Fields in which something else is said.
#[derive(Default)]
pub struct Otherwise {
    /// Whether they are shown; none: where something is said in them already.
    open: Option<bool>,
    /// Where the keys are to come to at the next redraw.
    wanted: Option<Place>,
}

/// Where the keys come to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Place {
    Tick,
    First,
}

impl Otherwise {
    /// The keys come to the tick that shows the fields.
    pub fn want_keys(&mut self) {
        self.wanted = Some(Place::Tick);
    }

    /// The fields are shown, and the first one has the keys.
    pub fn begin(&mut self) {
        *self = Otherwise {
            open: Some(true),
            wanted: Some(Place::First),
        };
    }
}

/// Draws it; `shot` is what is known with what was typed.
pub fn ui(ui: &mut Ui, marking: &mut Marking, shot: &Shot, otherwise: &mut Otherwise) {
    let page = theme::page(ui.ctx());
    let zone = marking.room.scene.place.zone.clone();
    let said = marking.photo.said.clone();
    theme::heading(ui, "What the photograph says");
    if let Some(flaw) = &marking.photo.flaw {
        ui.add(Label::new(RichText::new(flaw).small().color(page.faint)).wrap());
    }
    // What has a field.
    let said_of = Given {
        marks: vec![],
        placed_to_px: None,
        radial: Given::default().radial,
        ..marking.given.clone()
    };
    let wanted = otherwise.wanted.take();
    let mut is_open = otherwise.open.unwrap_or(said_of != Given::default());
    let tick = ui.checkbox(&mut is_open, "Say otherwise");
    let why = format!(
        "Clocks and tags can be wrong, and film has none ({}).",
        keys_of(MarkCommand::SayOtherwise)
    );
    let tick = tick.on_hover_text(why);
    if tick.changed() {
        otherwise.open = Some(is_open);
    }
    match wanted {
        Some(Place::Tick) => {
            tick.request_focus();
            tick.scroll_to_me(None);
        }
        Some(Place::First) => {
            let first = field_id(ui, marking, FIRST);
            ui.memory_mut(|memory| memory.request_focus(first));
        }
        None => {}
    }
    let local = |at: &chrono::DateTime<chrono::Utc>| {
        let local = zone.local(*at);
        format!(
            "{} {}",
            local.naive.format("%Y-%m-%d %H:%M:%S"),
            local.letters()
        )
    };
    value(ui, &page, "Taken", &shot.at, local);
    let typed = marking
        .given
        .at
        .map(|at| zone.local(at).naive.format("%Y-%m-%d %H:%M").to_string());
    field(
        ui,
        marking,
        is_open,
        FIRST,
        (typed, "2027-05-14 10:20"),
        &|given, text| {
            given.at = at(&zone, text)?;
            Ok(())
        },
    );
    value(ui, &page, "Focal length", &shot.focal_mm, |mm| {
        format!("{mm:.1} mm")
    });
    let typed = marking.given.focal_mm.map(|mm| format!("{mm}"));
    field(
        ui,
        marking,
        is_open,
        "Focal length, mm",
        (typed, "50"),
        &|given, text| {
            given.focal_mm = number(text, "mm", &LENSES_MM)?;
            Ok(())
        },
    );
    let size = |film: &Film| format!("{:.1} × {:.1} mm", film.width_mm, film.height_mm);
    value(ui, &page, "Sensor", &shot.film, size);
    let typed = marking.given.film;
    let typed = typed.map(|film| format!("{} x {}", film.width_mm, film.height_mm));
    field(
        ui,
        marking,
        is_open,
        "Sensor, mm",
        (typed, "36 x 24"),
        &|given, text| {
            given.film = film(text)?;
            Ok(())
        },
    );
    let mut radial = marking.given.radial;
    let tick = ui.checkbox(&mut radial, "The lens may bend straight lines");
    let why = format!(
        "A bend is looked for where {LEAST_FOR_BEND} marks or more can show one. Untick it for a lens that is known to \
         draw lines straight; that is kept with the marks."
    );
    if tick.on_hover_text(why).changed() {
        let given = Given {
            radial,
            ..marking.given.clone()
        };
        marking.give(given, "Let the lens bend lines, or not");
    }
    value(ui, &page, "f-number", &shot.f_number, |n| format!("f/{n}"));
    let typed = marking.given.f_number.map(|n| format!("{n}"));
    field(
        ui,
        marking,
        is_open,
        "f-number, typed",
        (typed, "5.6"),
        &|given, text| {
            given.f_number = number(text, "f/", &F_NUMBERS)?;
            Ok(())
        },
    );
    value(ui, &page, "Shutter", &shot.exposure_s, |s| shutter(*s));
    let typed = marking.given.exposure_s.map(shutter);
    field(
        ui,
        marking,
        is_open,
        "Shutter, s",
        (typed, "1/250"),
        &|given, text| {
            given.exposure_s = seconds(text)?;
            Ok(())
        },
    );
    value(ui, &page, "Speed", &shot.film_speed_iso, |iso| {
        format!("ISO {iso:.0}")
    });
    let typed = marking.given.film_speed_iso.map(|iso| format!("{iso}"));
    field(
        ui,
        marking,
        is_open,
        "Speed, ISO",
        (typed, "100"),
        &|given, text| {
            given.film_speed_iso = number(text, "ISO", &FILM_SPEEDS_ISO)?;
            Ok(())
        },
    );
    value(ui, &page, "Position", &said.position_deg, position_words);
    for told in unread_tags(&said.broken) {
        let told = RichText::new(sentence_case(&told)).small();
        ui.add(Label::new(told.color(page.faint)).wrap());
    }
}

fn field_id(ui: &Ui, marking: &Marking, name: &str) -> Id {
    // What was refused belongs to this photograph alone.
    ui.scope_id().with(("said", name, &marking.path))
}

/// One value, where it comes from, and what speaks against it.
fn value<T>(ui: &mut Ui, page: &Page, what: &str, told: &Told<T>, show: impl Fn(&T) -> String) {
    let text = told.value.as_ref().map_or("unknown".to_string(), show);
    ui.horizontal_wrapped(|ui| {
        ui.label(
            RichText::new(what)
                .font(theme::regular(theme::NOTE))
                .color(page.faint),
        );
        ui.label(RichText::new(text).font(theme::bold(theme::NOTE)));
        ui.label(
            RichText::new(&told.origin)
                .font(theme::regular(theme::NOTE))
                .color(page.faint),
        );
    });
    if let Some(doubt) = &told.doubt {
        let color = page.grade(crate::grade::Grade::Marked);
        let doubt = RichText::new(format!("but {doubt}")).small().color(color);
        ui.add(Label::new(doubt).wrap());
    }
}

/// A field in which something else is said than the photograph does; empty, the photograph counts.
fn field(
    ui: &mut Ui,
    marking: &mut Marking,
    is_open: bool,
    name: &str,
    (given, example): (Option<String>, &str),
    take: &dyn Fn(&mut Given, &str) -> Result<(), String>,
) {
    if !is_open {
        return;
    }
    let page = theme::page(ui.ctx());
    let id = field_id(ui, marking, name);
    let refused = id.with("refused");
    let stands = given.unwrap_or_default();
    let (text, why) = ui.data(|data| {
        let why = data.get_temp::<String>(refused);
        (data.get_temp::<String>(id), why)
    });
    let mut text = text.unwrap_or_else(|| stands.clone());
    let mut why = why;
    let field = TextEdit::singleline(&mut text)
        .id(id)
        .hint_text(format!("such as {example}"))
        .font(theme::regular(theme::NOTE))
        .desired_width(200.0);
    let response = ui.add(field);
    response.widget_info(|| theme::field_info(name, &text));
    let response = response
        .on_hover_text("Counts in place of what the photograph says, and is kept with the marks.");
    if response.gained_focus() {
        response.scroll_to_me(None);
    }
    if response.lost_focus() {
        why = None;
        // What stands there is shortened: passed through, it is left as it is.
        if text.trim() != stands {
            let mut wanted = marking.given.clone();
            match take(&mut wanted, text.trim()) {
                Ok(()) => marking.give(wanted, "Say what the photograph does not"),
                Err(told) => why = Some(told),
            }
        }
    }
    if let Some(why) = &why {
        let color = page.grade(crate::grade::Grade::Ruinous);
        let told = RichText::new(format!("{name}: {why}")).small().color(color);
        ui.add(Label::new(told).wrap());
    }
    // What is refused stays to be mended.
    let stays = response.has_focus() || why.is_some();
    ui.data_mut(|data| {
        match stays {
            true => drop(data.insert_temp(id, text)),
            false => data.remove::<String>(id),
        }
        match why {
            Some(why) => drop(data.insert_temp(refused, why)),
            None => data.remove::<String>(refused),
        }
    });
}

fn at(zone: &Zone, text: &str) -> Result<Option<chrono::DateTime<chrono::Utc>>, String> {
    if text.is_empty() {
        return Ok(None);
    }
    zone.parse_instant(text)
        .map(Some)
        .map_err(|error| error.to_string())
}

/// A number within limits, its unit before or behind it.
fn number(text: &str, unit: &str, allowed: &RangeInclusive<f64>) -> Result<Option<f64>, String> {
    if text.is_empty() {
        return Ok(None);
    }
    let bare = text.strip_prefix(unit).unwrap_or(text);
    let read = parse_number(bare, unit).filter(|value| allowed.contains(value));
    let told = || {
        let (least, most) = (allowed.start(), allowed.end());
        format!("{text:?} found, a number from {least} to {most} allowed")
    };
    read.map(Some).ok_or_else(told)
}

/// Seconds, or a share of one; what the marks file would not take is not taken here.
fn seconds(text: &str) -> Result<Option<f64>, String> {
    if text.is_empty() {
        return Ok(None);
    }
    let told = || {
        let (least, most) = (shutter(*EXPOSURES_S.start()), EXPOSURES_S.end());
        format!("{text:?} found, seconds from {least} to {most} or a share such as 1/250 allowed")
    };
    parse_exposure_s(text).map(Some).ok_or_else(told)
}

fn film(text: &str) -> Result<Option<Film>, String> {
    if text.is_empty() {
        return Ok(None);
    }
    let sides: Vec<f64> = text
        .split(['x', '×', '*'])
        .filter_map(|side| parse_number(side.trim(), "mm"))
        .collect();
    match sides[..] {
        [width_mm, height_mm] if sides.iter().all(|side| SENSORS_MM.contains(side)) => {
            Ok(Some(Film {
                width_mm,
                height_mm,
            }))
        }
        _ => Err(format!(
            "{text:?} is no size; width x height of 2 to 400 mm, such as 36 x 24"
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_typed_is_read_or_told() {
        assert_eq!(number("52,5 mm", "mm", &LENSES_MM), Ok(Some(52.5)));
        assert_eq!(number("f/5.6", "f/", &F_NUMBERS), Ok(Some(5.6)));
        assert_eq!(number("", "mm", &LENSES_MM), Ok(None));
        assert!(
            number("fifty", "mm", &LENSES_MM)
                .unwrap_err()
                .contains("a number from")
        );
        assert_eq!(
            (seconds("1/250 s"), seconds("2,5")),
            (Ok(Some(0.004)), Ok(Some(2.5)))
        );
        assert!(seconds("1/0").is_err() && seconds("quick").is_err());
        // No shorter than a marks file takes.
        assert_eq!(seconds("1/64000"), Ok(Some(1.0 / 64_000.0)));
        let told = seconds("1/100000").unwrap_err();
        assert!(told.contains("from 1/64000 s to 3600"), "{told}");
        let full = film("36 x 24").unwrap().unwrap();
        assert_eq!((full.width_mm, full.height_mm), (36.0, 24.0));
        assert!(film("36").is_err() && film("0x1").is_err());
    }
}
