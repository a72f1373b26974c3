//! Equipment and people of a scene file, what all objects are read against, and the names that wires may hang
//! on. May not enter: what stands or grows in one place (see `uprights`, `growth`, `structures`).

use super::{growth, machine::track_named, point, structures, uprights};
use crate::document::{COLOR, Table, color_srgb};
use crate::scene::clearing::Cleared;
use crate::scene::coat::{Coat, Finish};
use crate::scene::equipment::{EquipmentKind, on_track};
use crate::scene::machine::Machine;
use crate::scene::shapes::figure;
use crate::scene::surroundings::{Kind, Object};
use crate::scene::track::Track;
use glam::{DVec2, DVec3};
use std::cell::RefCell;

const JACKET: Coat = Coat::new(Finish::Cloth, [0x5c, 0x6a, 0x78]);

/// What objects are read against: the ground they stand on and the names given so far.
pub struct Site {
    /// Height of the ground.
    pub base_z_m: f64,
    /// Bearing of the machine's track, which pole arms stand across and signals look along.
    pub track_bearing_deg: f64,
    /// The machine's centre, which lamps and walls with windows face.
    pub machine_m: DVec2,
    names: RefCell<Vec<String>>,
    /// Names of things that would hold a wire, refused ones among them.
    holding: RefCell<Vec<String>>,
    /// What wires may hang on.
    pub holds: RefCell<Vec<Hold>>,
}

/// Something that a wire may hang on.
pub struct Hold {
    pub name: String,
    /// Where it can be fastened: one point, or a building's corners.
    pub at: Vec<DVec2>,
    pub foot_z_m: f64,
    pub height_m: f64,
}

impl Site {
    pub fn new(base_z_m: f64, machine: &Option<Machine>) -> Site {
        Site {
            base_z_m,
            track_bearing_deg: machine.as_ref().map_or(0.0, |one| one.track_bearing_deg),
            machine_m: machine.as_ref().map_or(DVec2::ZERO, |one| one.centre_m),
            names: RefCell::default(),
            holding: RefCell::default(),
            holds: RefCell::default(),
        }
    }

    /// The object's own name or one made from its kind and number.
    pub fn name(&self, table: &Table<'_>, word: &str, number: usize) -> String {
        let name = table.text("name").default(format!("{word} {}", number + 1));
        super::keep_name(table, &mut self.names.borrow_mut(), &name);
        name
    }

    /// The same, of something that can hold a wire.
    pub fn holding_name(&self, table: &Table<'_>, word: &str, number: usize) -> String {
        let name = self.name(table, word, number);
        self.holding.borrow_mut().push(name.clone());
        name
    }

    /// Whether something of this name would hold a wire, had it not been refused.
    pub fn is_refused(&self, name: &str) -> bool {
        self.holding.borrow().iter().any(|one| one == name)
            && !self.holds.borrow().iter().any(|hold| hold.name == name)
    }

    /// The height of the ground that an object stands on.
    pub fn base(&self, table: &Table<'_>) -> f64 {
        table
            .number("base_m")
            .range(-50.0..=100.0)
            .default(self.base_z_m)
    }

    /// A bearing that a thing of some shape faces.
    pub fn bearing(&self, table: &Table<'_>, key: &str, usual_deg: f64) -> f64 {
        let stated = table.number(key).range(0.0..=360.0);
        stated.default(usual_deg.rem_euclid(360.0))
    }

    /// Where it stands.
    pub fn foot(&self, table: &Table<'_>) -> Option<DVec3> {
        let base = self.base(table);
        Some(point(table, "position_m")?.extend(base))
    }
}

/// Every object of every section, in a fixed order.
pub fn objects(
    root: &Table<'_>,
    site: &Site,
    tracks: &[Option<Track>],
    machine: Option<&Machine>,
) -> Vec<Object> {
    let mut all = Vec::new();
    all.extend(uprights::uprights(root, site));
    all.extend(growth::growth(root, site));
    all.extend(structures::structures(root, site));
    for (i, table) in root.tables("equipment").iter().enumerate() {
        all.extend(equipment(table, site, tracks, machine, i));
    }
    for (i, table) in root.tables("person").iter().enumerate() {
        all.extend(person(table, site, i));
    }
    all
}

/// What of them is cut or sent away.
pub fn cleared(root: &Table<'_>) -> Cleared {
    let Some(table) = root.table("cleared").optional() else {
        return Cleared::default();
    };
    Cleared {
        weeds: table.flag("weeds").default(false),
        people: table.flag("people").default(false),
    }
}

fn equipment(
    table: &Table<'_>,
    site: &Site,
    tracks: &[Option<Track>],
    machine: Option<&Machine>,
    number: usize,
) -> Option<Object> {
    let kind = table.choice("kind", &EquipmentKind::WORDS).required();
    let word = kind.map_or("equipment", EquipmentKind::word);
    let name = site.name(table, word, number);
    let color = table.text("color_srgb").map(COLOR, color_srgb).optional();
    let index = track_named(table, tracks);
    let chainage = table.number("chainage_m").required();
    let (kind, index, chainage_m) = (kind?, index?, chainage?);
    let track = tracks[index].as_ref()?;
    let half_m = kind.length_m() / 2.0;
    let length_m = track.length_m();
    if !(half_m..=length_m - half_m).contains(&chainage_m) {
        let message = format!("it stands off its track, which is {length_m:.2} m long");
        let allowed = format!("from {half_m:.2} to {:.2}", length_m - half_m);
        table.fault("chainage_m", message, allowed);
        return None;
    }
    if let Some(machine) = machine.filter(|machine| machine.track == index) {
        let least_m = half_m + machine.model.length_over_couplers_m() / 2.0;
        if (machine.chainage_m - chainage_m).abs() < least_m - 1e-6 {
            let allowed = format!(
                "at least {least_m:.2} m from the machine's chainage; what is coupled is stated in [machine]"
            );
            table.fault("chainage_m", "it stands within the machine", allowed);
            return None;
        }
    }
    let paint = color.map(|color_srgb| Coat::new(Finish::Paint, color_srgb));
    Some(on_track(name, kind, track, chainage_m, paint))
}

/// Somebody who looks at the machine unless told otherwise.
fn person(table: &Table<'_>, site: &Site, number: usize) -> Option<Object> {
    let name = site.name(table, "person", number);
    let foot = site.foot(table);
    let height_m = table.number("height_m").range(0.5..=2.5).default(1.75);
    let jacket = coat(table, JACKET);
    let toward = bearing_deg(
        foot.map_or(DVec2::ZERO, |foot| foot.truncate()),
        site.machine_m,
    );
    let bearing = site.bearing(table, "bearing_deg", toward);
    let build = figure::person(foot?, height_m, bearing, jacket);
    Some(Object::of(name, Kind::Person, build))
}

/// A usual coat, in the colour that the table states.
pub fn coat(table: &Table<'_>, usual: Coat) -> Coat {
    let color = table.text("color_srgb").map(COLOR, color_srgb);
    Coat::new(usual.finish, color.default(usual.color_srgb))
}

/// The bearing from one point to another.
pub fn bearing_deg(from_m: DVec2, to_m: DVec2) -> f64 {
    let way = to_m - from_m;
    way.x.atan2(way.y).to_degrees()
}
