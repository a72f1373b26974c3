//! What one setting of a site changes of another, in words. May not enter: scenes made from settings.

use super::setting::Setting;
use crate::scene::Scene;
use crate::scene::equipment::EquipmentKind;
use crate::scene::machine::HeadEnd;
use crate::units::{compass_word, wrap_360};

/// Nobody sees so little along a track, metres.
const SAME_PLACE_M: f64 = 0.005;

impl Setting {
    /// What this changes of another setting of the same site, one thing each ("doors open", "10.0 m toward the
    /// north-west"); empty where it is the same.
    pub fn differences(&self, other: &Setting, site: &Scene) -> Vec<String> {
        let mut words = Vec::new();
        self.of_machine(other, site, &mut words);
        if self.sky != other.sky {
            words.push(format!("a sky of {}", self.sky.word().replace('-', " ")));
        }
        for (mine, theirs, gone, there) in [
            (self.weeds_cut, other.weeds_cut, "weeds cut", "weeds uncut"),
            (
                self.people_gone,
                other.people_gone,
                "people gone",
                "people there",
            ),
        ] {
            if mine != theirs {
                words.push(if mine { gone } else { there }.into());
            }
        }
        self.of_kit(other, &mut words);
        words
    }

    fn of_machine(&self, other: &Setting, site: &Scene, words: &mut Vec<String>) {
        let track_deg = site.machine.track_bearing_deg;
        if self.model != other.model {
            words.push(format!("the model {}", self.model.replace('_', " ")));
        }
        if self.head_end != other.head_end {
            let facing = |turn_deg: f64| {
                let word = compass_word(wrap_360(track_deg + turn_deg));
                format!("the end toward the {word} leads")
            };
            words.push(match self.head_end {
                HeadEnd::First => facing(180.0),
                HeadEnd::Second => facing(0.0),
                HeadEnd::Unknown => "nobody knows which end leads".into(),
            });
        }
        let along_m = self.chainage_m - other.chainage_m;
        if along_m.abs() > SAME_PLACE_M {
            let turn_deg = if along_m < 0.0 { 180.0 } else { 0.0 };
            let word = compass_word(wrap_360(track_deg + turn_deg));
            words.push(match along_m.abs() {
                little if little < 0.95 => format!("{little:.2} m toward the {word}"),
                much => format!("{much:.1} m toward the {word}"),
            });
        }
        if self.doors_open != other.doors_open {
            words.push(
                if self.doors_open {
                    "doors open"
                } else {
                    "doors shut"
                }
                .into(),
            );
        }
        for (mine, theirs, end) in [
            (self.coupled_front, other.coupled_front, "front"),
            (self.coupled_rear, other.coupled_rear, "rear"),
        ] {
            if mine != theirs {
                let what = mine.map_or("nothing".to_string(), |kind: EquipmentKind| {
                    format!("a {}", kind.word().replace('-', " "))
                });
                words.push(format!("{what} coupled at the {end}"));
            }
        }
        if self.condition != other.condition {
            words.push(self.condition.word().into());
        }
    }

    fn of_kit(&self, other: &Setting, words: &mut Vec<String>) {
        let (mine, theirs) = (&self.kit, &other.kit);
        let list = |values: &[f64]| {
            let texts: Vec<String> = values.iter().map(f64::to_string).collect();
            texts.join(", ")
        };
        if mine.film != theirs.film {
            let (width_mm, height_mm) = (mine.film.width_mm, mine.film.height_mm);
            words.push(format!("film {width_mm} × {height_mm} mm"));
        }
        if mine.film_speed_iso != theirs.film_speed_iso {
            words.push(format!("film of ISO {}", mine.film_speed_iso));
        }
        if mine.lenses_mm != theirs.lenses_mm {
            words.push(format!("lenses of {} mm", list(&mine.lenses_mm)));
        }
        if mine.heights_m != theirs.heights_m {
            words.push(format!("heights of {} m", list(&mine.heights_m)));
        }
        if mine.f_number != theirs.f_number {
            words.push(format!("f/{}", mine.f_number));
        }
    }
}
