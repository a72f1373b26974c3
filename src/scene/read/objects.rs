//! Poles, trees, equipment, people of a scene file, and the names that wires may hang on.
//! May not enter: buildings and other structures (see `structures`).

use super::{machine::track_named, point, structures};
use crate::document::{COLOR, Table, color_srgb};
use crate::scene::coat::{Coat, Finish};
use crate::scene::equipment::{EquipmentKind, on_track};
use crate::scene::machine::Machine;
use crate::scene::shapes;
use crate::scene::surroundings::{Kind, Object};
use crate::scene::track::Track;
use glam::{DVec2, DVec3};
use std::cell::RefCell;

const LEAVES: Coat = Coat::new(Finish::Leaves, [0x4b, 0x62, 0x38]);
const WEEDS: Coat = Coat::new(Finish::Weeds, [0x66, 0x6e, 0x3c]);
const CLOTHES: Coat = Coat::new(Finish::Cloth, [0xc8, 0x6a, 0x28]);

/// What objects are read against: the ground they stand on and the names given so far.
pub struct Site {
    /// Height of the ground.
    pub base_z_m: f64,
    /// Bearing of the machine's track, which pole arms stand across.
    track_bearing_deg: f64,
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

    /// Where it stands.
    fn foot(&self, table: &Table<'_>) -> Option<DVec3> {
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
    for kind in [Kind::Pole, Kind::Mast, Kind::Signal, Kind::SwitchStand] {
        let word = upright_key(kind);
        for (i, table) in root.tables(word).iter().enumerate() {
            all.extend(upright(table, site, kind, &word.replace('_', " "), i));
        }
    }
    for (i, table) in root.tables("tree").iter().enumerate() {
        all.extend(tree(table, site, i).into_iter().flatten());
    }
    for (i, table) in root.tables("bush").iter().enumerate() {
        all.extend(bush(table, site, i));
    }
    all.extend(structures::structures(root, site));
    for (i, table) in root.tables("equipment").iter().enumerate() {
        all.extend(equipment(table, site, tracks, machine, i));
    }
    for (i, table) in root.tables("person").iter().enumerate() {
        all.extend(person(table, site, i));
    }
    all
}

fn upright_key(kind: Kind) -> &'static str {
    match kind {
        Kind::Mast => "mast",
        Kind::Signal => "signal",
        Kind::SwitchStand => "switch_stand",
        _ => "pole",
    }
}

fn upright(
    table: &Table<'_>,
    site: &Site,
    kind: Kind,
    word: &str,
    number: usize,
) -> Option<Object> {
    let name = site.holding_name(table, word, number);
    let foot = site.foot(table);
    let height = table.number("height_m").range(0.2..=80.0).required();
    let color = table.text("color_srgb").map(COLOR, color_srgb).optional();
    // Common practice: a wooden pole's foot, a lamp or signal mast's tube.
    let usual_m = if kind == Kind::Pole { 0.30 } else { 0.15 };
    let diameter_m = match kind {
        Kind::SwitchStand => usual_m,
        _ => table
            .number("diameter_m")
            .range(0.02..=3.0)
            .default(usual_m),
    };
    let mut crossarms = 0.0;
    let mut arms_bearing = site.track_bearing_deg + 90.0;
    if kind == Kind::Pole {
        let count = table.number("crossarms").range(0.0..=6.0).whole();
        crossarms = count.default(0.0);
        let bearing = table.number("crossarm_bearing_deg").range(0.0..=360.0);
        arms_bearing = bearing.default(arms_bearing);
    }
    let (foot, height_m) = (foot?, height?);
    site.holds.borrow_mut().push(Hold {
        name: name.clone(),
        at: vec![foot.truncate()],
        foot_z_m: foot.z,
        height_m,
    });
    let solids = match kind {
        Kind::Pole => shapes::pole(foot, height_m, diameter_m, crossarms as usize, arms_bearing),
        Kind::Signal => shapes::signal(foot, height_m, diameter_m),
        Kind::SwitchStand => shapes::switch_stand(foot, height_m),
        _ => vec![shapes::upright(foot, height_m, diameter_m, 1.0)],
    };
    let (finish, usual_color) = match kind {
        Kind::Pole => (Finish::Timber, [0x6a, 0x58, 0x48]),
        Kind::Mast => (Finish::Paint, [0x8c, 0x90, 0x92]),
        Kind::Signal => (Finish::Paint, [0x3a, 0x3d, 0x40]),
        _ => (Finish::Paint, [0x7a, 0x2c, 0x24]),
    };
    Some(solid_object(
        name,
        kind,
        solids,
        Coat::new(finish, color.unwrap_or(usual_color)),
    ))
}

/// Crown and trunk; a crown of no opacity is no crown.
fn tree(table: &Table<'_>, site: &Site, number: usize) -> Option<Vec<Object>> {
    let name = site.name(table, "tree", number);
    let foot = site.foot(table);
    let height = table.number("height_m").range(0.5..=100.0).required();
    let width = table.number("crown_width_m").range(0.2..=60.0).required();
    let crown_base = table.number("crown_base_m").range(0.0..=80.0).required();
    let opacity = table.number("crown_opacity").range(0.0..=1.0).required();
    let trunk = table
        .number("trunk_diameter_m")
        .range(0.02..=5.0)
        .required();
    if let (Some(height), Some(base)) = (height, crown_base)
        && base >= height
    {
        table.fault(
            "crown_base_m",
            "the crown begins above the tree",
            format!("below {height}"),
        );
        return None;
    }
    let (foot, height_m, base_m, opacity) = (foot?, height?, crown_base?, opacity?);
    let (width_m, trunk_m) = (width?, trunk?);
    let bare = opacity == 0.0;
    let trunk_top_m = if bare {
        height_m
    } else {
        (base_m + height_m) / 2.0
    };
    let stem = shapes::upright(foot, trunk_top_m, trunk_m, 0.4);
    let trunk_name = format!("{name} (trunk)");
    let mut objects = vec![solid_object(
        trunk_name,
        Kind::Trunk,
        vec![stem],
        Coat::new(Finish::Bark, [0x58, 0x4a, 0x3e]),
    )];
    if !bare {
        let crown = shapes::crown(foot, width_m, base_m, height_m);
        objects.push(Object {
            opacity,
            ..solid_object(name, Kind::Crown, vec![crown], LEAVES)
        });
    }
    Some(objects)
}

fn bush(table: &Table<'_>, site: &Site, number: usize) -> Option<Object> {
    let name = site.name(table, "bush", number);
    let foot = site.foot(table);
    let width = table.number("width_m").range(0.1..=30.0).required();
    let height = table.number("height_m").range(0.1..=10.0).required();
    let opacity = table.number("opacity").range(0.01..=1.0).default(0.9);
    let shape = shapes::crown(foot?, width?, 0.0, height?);
    Some(Object {
        opacity,
        ..solid_object(name, Kind::Bush, vec![shape], WEEDS)
    })
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
    let mut object = on_track(name, kind, track, chainage_m);
    if let Some(color_srgb) = color {
        object.coats[0].color_srgb = color_srgb;
    }
    Some(object)
}

fn person(table: &Table<'_>, site: &Site, number: usize) -> Option<Object> {
    let name = site.name(table, "person", number);
    let foot = site.foot(table);
    let height_m = table.number("height_m").range(0.5..=2.5).default(1.75);
    let shape = shapes::person(foot?, height_m);
    Some(solid_object(name, Kind::Person, shape, CLOTHES))
}

/// An object that stops all light.
pub fn solid_object(
    name: String,
    kind: Kind,
    solids: Vec<crate::mesh::solid::Solid>,
    coat: Coat,
) -> Object {
    Object {
        name,
        kind,
        opacity: 1.0,
        solids,
        coats: vec![coat],
        coupled_front: None,
    }
}
