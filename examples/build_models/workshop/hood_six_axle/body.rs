//! Hoods, cab, roof and what is fixed to them. May not enter: deck, rails, running gear.

use super::super::machine::Machine;
use super::super::parts::{cab, details, doors, glyphs, hood, lights, rails, roof};
use super::super::shape::{Frame, Mesh, Solid, panel};
use super::*;
use glam::DVec3;

/// Half the greatest width: over the cab's armrests.
pub const WIDEST_M: f64 = 1.55;

/// Greatest height: over the horn.
pub const HIGHEST_M: f64 = 4.75;

/// Roof of the long hood and of the blister.
const ROOF_Z_M: f64 = 4.42;
const BLISTER_ROOF_Z_M: f64 = 4.436;

/// Top of the fans.
const FAN_TOP_Z_M: f64 = 4.66;

/// Radiator grilles and air intake on the upper hood: x ranges, and their common z range.
const RADIATORS_X_M: [(f64, f64); 3] = [(-8.52, -7.30), (-7.20, -5.98), (-5.88, -4.66)];
const INTAKE_X_M: (f64, f64) = (3.16, 4.14);
const GRILLE_Z_M: (f64, f64) = (3.27, 3.97);

/// The blister over the dynamic brake: half width, x and z range, slope; its grilles.
const BLISTER_HALF_M: f64 = 1.05;
const BLISTER_X_M: (f64, f64) = (-1.30, 1.90);
const BLISTER_Z_M: (f64, f64) = (3.24, 4.07);
const BLISTER_SLOPE_M: f64 = 0.13;
const BLISTER_GRILLES_X_M: [(f64, f64); 2] = [(-1.02, 0.22), (0.38, 1.62)];
const BLISTER_GRILLE_Z_M: (f64, f64) = (3.48, 3.98);

/// The cab: eaves, top of its roof's line.
const CAB_EAVES_Z_M: f64 = 3.96;
const CAB_TOP_Z_M: f64 = 4.52;

/// Windows, as (low corner, high corner) in wall coordinates.
type Opening = ((f64, f64), (f64, f64));
const SIDE_WINDOWS: [Opening; 2] = [((4.60, 3.22), (5.36, 3.82)), ((5.48, 3.22), (6.26, 3.82))];
const WINDSHIELDS: [Opening; 2] = [((-0.82, 3.22), (-0.08, 3.84)), ((0.08, 3.22), (0.82, 3.84))];
const DOOR_WINDOW: Opening = ((1.07, 3.22), (1.37, 3.80));
const CORNER_WINDOW: Opening = ((-1.39, 3.22), (-1.05, 3.80));
const CAB_DOOR: Opening = ((0.985, 1.72), (1.455, 3.90));

/// Adds everything above the deck but the rails.
pub fn add(machine: &mut Machine) {
    long_hood(machine);
    hood_doors(machine);
    hood_top(machine);
    cab_body(machine);
    cab_fittings(machine);
    nose(machine);
    lamps(machine);
    lettering(machine);
    small_things(machine);
}

fn long_hood(machine: &mut Machine) {
    let lower = hood::body(
        &hood::upright(HOOD_HALF_M, FOOT_Z_M, BAND_Z_M, 0.0),
        HOOD_REAR_X_M,
        CAB_X_M.0 + 0.05,
        0.04,
        0.0,
    );
    machine.add("hood_lower", "long hood", "hood", "madder", lower.mesh());
    let half = HOOD_HALF_M - LIP_M;
    let mut upper = hood::body(
        &hood::upright(half, BAND_Z_M - 0.02, HOOD_EAVES_Z_M, 0.0),
        HOOD_REAR_X_M + LIP_M,
        CAB_X_M.0 + 0.04,
        0.04,
        0.0,
    );
    let mut radiators = Mesh::default();
    for x in RADIATORS_X_M {
        upper = both_flanks(upper, half, x, GRILLE_Z_M);
        radiators.add(&hood::grille(half, x, GRILLE_Z_M, 0.08));
    }
    upper = both_flanks(upper, half, INTAKE_X_M, GRILLE_Z_M);
    let intake = hood::grille(half, INTAKE_X_M, GRILLE_Z_M, 0.08);
    let mut bulge = hood::blister(BLISTER_HALF_M, half, BLISTER_X_M, BLISTER_Z_M, BLISTER_SLOPE_M);
    let mut brake_grilles = Mesh::default();
    for x in BLISTER_GRILLES_X_M {
        bulge = both_flanks(bulge, BLISTER_HALF_M, x, BLISTER_GRILLE_Z_M);
        brake_grilles.add(&hood::grille(BLISTER_HALF_M, x, BLISTER_GRILLE_Z_M, 0.08));
    }
    machine.add("blister", "dynamic-brake blister", "hood", "cream", bulge.mesh());
    let upper_panel = panel((1.98, 3.24), (3.02, 3.98), 0.02, 0.010, 0.006);
    let panels = upper_panel.on(&Frame::right(half)).both_sides();
    machine.add("hood_upper", "upper long hood", "hood", "cream", Mesh::of([upper.mesh(), panels]));
    machine.add("radiator_grilles_right", "engineer-side radiator grilles", "grille", "grille", radiators.clone());
    machine.add("radiator_grilles_left", "conductor-side radiator grilles", "grille", "grille", radiators.mirrored());
    machine.add("intakes", "air intakes", "grille", "grille", intake.both_sides());
    machine.add("brake_grilles", "dynamic-brake grilles", "grille", "grille", brake_grilles.both_sides());
}

/// Pockets for grilles on both flanks.
fn both_flanks(solid: Solid, half: f64, x: (f64, f64), z: (f64, f64)) -> Solid {
    solid
        .pocket(&hood::on_flank(half, x, z), hood::GRILLE_POCKET_M)
        .pocket(&hood::on_flank(-half, x, z), hood::GRILLE_POCKET_M)
}

fn hood_doors(machine: &mut Machine) {
    let wall = Frame::right(HOOD_HALF_M);
    let leaves = DOOR_ROW.leaves().on(&wall);
    machine.add("hood_doors_right", "engineer-side hood doors", "hood", "madder", leaves.clone());
    machine.add("hood_doors_left", "conductor-side hood doors", "hood", "madder", leaves.mirrored());
    // The electrical cabinet behind the cab and a rear compartment close with one door each.
    let z = (DOOR_ROW.bottom_m, DOOR_ROW.top_m);
    let singles = [((3.24, z.0), (4.06, z.1)), ((-8.76, z.0), (-8.26, z.1))];
    let cabinets = Mesh::of(singles.map(|(from, to)| doors::single(from, to)));
    machine.add("cabinet_doors", "cabinet doors", "hood", "madder", cabinets.on(&wall).both_sides());
    let joints = Mesh::of(singles.map(|(from, to)| doors::joint(from, to, DOOR_ROW.seam_m)));
    let joints = Mesh::of([DOOR_ROW.joints(), joints]).on(&wall).both_sides();
    machine.add("door_joints", "joints of the hood doors", "hood", "black", joints);
    let latches = singles.map(|(_, to)| doors::latch(to.0 - 0.07, 0.5 * (z.0 + z.1)));
    let latches = Mesh::of([DOOR_ROW.latches(), Mesh::of(latches)]).on(&wall).both_sides();
    machine.add("door_latches", "hood door latches", "detail", "black", latches);
}

fn hood_top(machine: &mut Machine) {
    let x = (HOOD_REAR_X_M + 0.05, CAB_X_M.0 + 0.03);
    let main = roof::hood_roof(HOOD_HALF_M - 0.03, HOOD_EAVES_Z_M, ROOF_Z_M, 0.1, x, 0.04);
    let over_blister = roof::hood_roof(
        BLISTER_HALF_M - 0.02,
        HOOD_EAVES_Z_M + 0.012,
        BLISTER_ROOF_Z_M,
        0.1,
        (BLISTER_X_M.0 + 0.12, BLISTER_X_M.1 - 0.12),
        0.06,
    );
    let fans = |places: &[f64], roof_z: f64| {
        Mesh::of(places.iter().map(|x| roof::fan(*x, roof_z, FAN_TOP_Z_M, 0.58, 5)))
    };
    machine.add("radiator_fans", "radiator fans", "roof", "grille", fans(&[-7.91, -6.59, -5.27], ROOF_Z_M));
    machine.add("brake_fans", "dynamic-brake fans", "roof", "grille", fans(&[-0.62, 1.22], BLISTER_ROOF_Z_M));
    let stack = roof::exhaust(0.30, BLISTER_ROOF_Z_M, 4.61, 0.24, 0.30);
    machine.add("exhaust", "exhaust stack", "roof", "black", stack);
    let hatches = [
        roof::hatch((-4.30, -1.55), 0.40, ROOF_Z_M, 0.045),
        roof::hatch((2.05, 3.30), 0.40, ROOF_Z_M, 0.035),
    ];
    let top = Mesh::of([main, over_blister].into_iter().chain(hatches));
    machine.add("hood_roof", "hood roof", "roof", "roof grey", top);
}

fn cab_body(machine: &mut Machine) {
    let lower = hood::body(
        &hood::upright(CAB_HALF_M, FOOT_Z_M + LIP_M, BAND_Z_M + LIP_M, 0.0),
        CAB_X_M.0,
        CAB_X_M.1,
        0.0,
        0.0,
    );
    let hatches = [(4.52, 5.36), (5.48, 6.32)].map(|(from, to)| panel((from, 1.74), (to, 2.18), 0.02, 0.009, 0.006));
    let hatches = Mesh::of(hatches).on(&Frame::right(CAB_HALF_M)).both_sides();
    machine.add("cab_lower", "lower cab", "cab", "madder", Mesh::of([lower.mesh(), hatches]));
    let (rear, front) = (CAB_X_M.0 + LIP_M, CAB_X_M.1 - LIP_M);
    let half = CAB_HALF_M - LIP_M;
    let profile = cab::profile(half, BAND_Z_M - 0.03, CAB_EAVES_Z_M, CAB_TOP_Z_M);
    let mut upper = hood::body(&profile, rear, front, 0.0, 0.0);
    let ranges = |w: Opening| ((w.0.0, w.1.0), (w.0.1, w.1.1));
    for window in SIDE_WINDOWS {
        let (x, z) = ranges(window);
        for y in [half, -half] {
            upper = upper.pocket(&hood::on_flank(y, x, z), cab::WINDOW_POCKET_M);
        }
    }
    for window in WINDSHIELDS.into_iter().chain([DOOR_WINDOW, CORNER_WINDOW]) {
        let (y, z) = ranges(window);
        upper = upper.pocket(&hood::on_end(front, y, z), cab::WINDOW_POCKET_M);
    }
    // Rear wall: along runs to the right (−y).
    for window in [DOOR_WINDOW, CORNER_WINDOW] {
        let (y, z) = ranges(window);
        upper = upper.pocket(&hood::on_end(rear, (-y.1, -y.0), z), cab::WINDOW_POCKET_M);
    }
    machine.add("cab_upper", "cab", "cab", "cream", upper.mesh());
    let arch = cab::arch(half, CAB_EAVES_Z_M, CAB_TOP_Z_M);
    let skin = cab::roof(&arch, (CAB_X_M.0 - 0.03, CAB_X_M.1 + 0.03), 0.05);
    machine.add("cab_roof", "cab roof", "cab", "roof grey", skin);
}

fn cab_fittings(machine: &mut Machine) {
    let half = CAB_HALF_M - LIP_M;
    let (rear_wall, front_wall) = (Frame::rear(CAB_X_M.0 + LIP_M), Frame::front(CAB_X_M.1 - LIP_M));
    let side_wall = Frame::right(half);
    let (mut panes, mut gaskets) = (Mesh::default(), Mesh::default());
    for (low, high) in SIDE_WINDOWS {
        panes.add(&cab::pane(low, high).on(&side_wall));
        gaskets.add(&cab::gasket(low, high).on(&side_wall));
    }
    machine.add("glass_right", "engineer-side cab windows", "glass", "glass", panes.clone());
    machine.add("glass_left", "conductor-side cab windows", "glass", "glass", panes.mirrored());
    let mut gaskets = gaskets.both_sides();
    let mut shields = Mesh::default();
    for (low, high) in WINDSHIELDS.into_iter().chain([CORNER_WINDOW]) {
        shields.add(&cab::pane(low, high).on(&front_wall));
        gaskets.add(&cab::gasket(low, high).on(&front_wall));
    }
    shields.add(&cab::pane(DOOR_WINDOW.0, DOOR_WINDOW.1).on(&front_wall));
    machine.add("windshields", "windshields", "glass", "glass", shields);
    let rear_panes = [DOOR_WINDOW, CORNER_WINDOW].map(|(low, high)| cab::pane(low, high).on(&rear_wall));
    machine.add("glass_rear", "rear cab windows", "glass", "glass", Mesh::of(rear_panes));
    gaskets.add(&cab::gasket(CORNER_WINDOW.0, CORNER_WINDOW.1).on(&rear_wall));
    let (front, rear) = (Frame::front(CAB_X_M.1), Frame::rear(CAB_X_M.0));
    let (low, high) = CAB_DOOR;
    let bottom = cab::door_bottom(low, (high.0, BAND_Z_M - LIP_M));
    let top = cab::door_top((low.0, BAND_Z_M), high, DOOR_WINDOW);
    let bottoms = Mesh::of([bottom.clone().on(&front), bottom.on(&rear)]);
    machine.add("cab_doors_lower", "cab doors", "cab", "madder", bottoms);
    let tops = Mesh::of([top.clone().on(&front), top.on(&rear)]);
    machine.add("cab_doors_upper", "upper cab doors", "cab", "cream", tops);
    let rests = cab::armrest(half, WIDEST_M, (4.56, 6.30), (3.135, 3.185)).both_sides();
    let wipers = Mesh::of([
        cab::wiper((-0.45, 3.92), (-0.36, 3.50)).on(&front_wall),
        cab::wiper((0.45, 3.92), (0.54, 3.50)).on(&front_wall),
    ]);
    let trim = Mesh::of([gaskets, rests, wipers]);
    machine.add("window_trim", "window trim and wipers", "detail", "black", trim);
}

fn nose(machine: &mut Machine) {
    let shape = hood::body(
        &hood::upright(HOOD_HALF_M, FOOT_Z_M - LIP_M, 2.98, 0.14),
        CAB_X_M.1 - 0.05,
        NOSE_FRONT_X_M,
        0.0,
        0.05,
    );
    machine.add("nose", "short hood", "nose", "madder", shape.mesh());
    let door = ((-0.29, 1.78), (0.29, 2.62));
    let front = Frame::front(NOSE_FRONT_X_M);
    let leaf = doors::single(door.0, door.1).on(&front);
    machine.add("nose_door", "nose door", "nose", "madder", leaf);
    let hatch = ((7.05, 1.80), (7.75, 2.50));
    let flank = Frame::right(HOOD_HALF_M);
    let hatches = doors::single(hatch.0, hatch.1).on(&flank).both_sides();
    machine.add("nose_hatches", "short hood hatches", "nose", "madder", hatches);
    let joints = Mesh::of([
        doors::joint(door.0, door.1, 0.014).on(&front),
        doors::joint(hatch.0, hatch.1, 0.014).on(&flank).both_sides(),
    ]);
    machine.add("nose_joints", "joints of the short hood's doors", "nose", "black", joints);
    let latches = Mesh::of([
        doors::latch(0.22, 2.2).on(&front),
        doors::latch(7.68, 2.15).on(&flank).both_sides(),
    ]);
    machine.add("nose_latches", "short hood's latches", "detail", "black", latches);
    let stripe = (2.68, 2.79);
    let side = panel((CAB_X_M.1 + 0.02, stripe.0), (NOSE_FRONT_X_M - 0.06, stripe.1), 0.01, 0.007, 0.003);
    let across = panel((-HOOD_HALF_M + 0.06, stripe.0), (HOOD_HALF_M - 0.06, stripe.1), 0.01, 0.007, 0.003);
    let stripes = Mesh::of([side.on(&Frame::right(HOOD_HALF_M)).both_sides(), across.on(&front)]);
    machine.add("nose_stripe", "nose stripe", "nose", "cream", stripes);
}

fn lamps(machine: &mut Machine) {
    let front = Frame::front(CAB_X_M.1 - LIP_M);
    let rear = Frame::rear(HOOD_REAR_X_M + LIP_M);
    let board = |side: f64, from: (f64, f64), to: (f64, f64)| {
        if side > 0.0 { (from, to) } else { ((-to.0, from.1), (-from.0, to.1)) }
    };
    for (end, wall, lamp_z, lamp_out, low, high, digits) in [
        ("front", front, 4.22, 0.085, (0.40, 4.03), (0.98, 4.22), 0.135),
        ("rear", rear, 3.78, 0.06, (0.26, 3.36), (0.80, 3.54), 0.125),
    ] {
        let mut housings = lights::twin_housing(lamp_z, lamp_out);
        let (mut boards, mut numbers) = (Mesh::default(), Mesh::default());
        let out = 0.055;
        for side in [1.0, -1.0] {
            let (from, to) = board(side, low, high);
            housings.add(&lights::board_housing(from, to, out));
            boards.add(&lights::board(from, to, out));
            let text = glyphs::text(NUMBER, 0.5 * (from.0 + to.0), 0.5 * (from.1 + to.1), digits, 0.006);
            numbers.add(&text.moved(DVec3::Z * (out + 0.008)));
        }
        let lamps = lights::twin_lamps(lamp_z, lamp_out);
        let names: [(&str, &str); 3] = if end == "front" {
            [
                ("board_housings_front", "front number-board housings"),
                ("headlight_front", "headlights"),
                ("number_boards_front", "front number boards"),
            ]
        } else {
            [
                ("board_housings_rear", "rear number-board housings"),
                ("headlight_rear", "rear headlights"),
                ("number_boards_rear", "rear number boards"),
            ]
        };
        let meshes = [Mesh::of([housings, numbers]), lamps, boards];
        for (((group, name), mesh), paint) in names.into_iter().zip(meshes).zip(["black", "lamp", "lamp"]) {
            machine.add(group, name, "light", paint, mesh.on(&wall));
        }
    }
    let markers = Mesh::of([
        Mesh::of([lights::marker(1.15, 4.10), lights::marker(-1.15, 4.10)]).on(&front),
        Mesh::of([lights::marker(0.66, 3.84), lights::marker(-0.66, 3.84)]).on(&rear),
    ]);
    machine.add("markers", "marker lights", "light", "lamp", markers);
}

fn lettering(machine: &mut Machine) {
    let upper = HOOD_HALF_M - LIP_M;
    let (middle, height) = (-2.98, 0.32);
    for (group, name, wall, along) in [
        ("road_name_right", "engineer-side road name", Frame::right(upper), middle),
        ("road_name_left", "conductor-side road name", Frame::left(upper), -middle),
    ] {
        let words = glyphs::text(ROAD, along, 3.62, height, 0.006).on(&wall);
        machine.add(group, name, "lettering", "madder", words);
    }
    let middle = 0.5 * (CAB_X_M.0 + CAB_X_M.1);
    for (group, name, wall, along) in [
        ("cab_number_right", "engineer-side cab number", Frame::right(CAB_HALF_M), middle),
        ("cab_number_left", "conductor-side cab number", Frame::left(CAB_HALF_M), -middle),
    ] {
        let number = glyphs::text(NUMBER, along, 2.52, 0.42, 0.006).on(&wall);
        machine.add(group, name, "lettering", "cream", number);
    }
}

fn small_things(machine: &mut Machine) {
    let horn = details::horn(DVec3::new(3.72, -0.22, ROOF_Z_M - 0.02), HIGHEST_M - 0.075);
    machine.add("horn", "horn", "detail", "brass", horn);
    machine.add("bell", "bell", "detail", "brass", details::bell(DVec3::new(3.72, 0.36, ROOF_Z_M - 0.04)));
    let antenna = details::antenna(DVec3::new(5.2, 0.0, CAB_TOP_Z_M + 0.02), 0.17);
    machine.add("antenna", "antenna", "detail", "rail white", antenna);
    let vent = details::ventilator([5.55, -0.30, 4.40], [6.05, 0.30, 4.62]);
    machine.add("ventilator", "cab ventilator", "detail", "roof grey", vent);
    let caps = Mesh::of([
        details::filler(DVec3::new(8.25, -0.45, 2.98), DVec3::Z, 0.09),
        details::filler(DVec3::new(-8.62, -0.45, ROOF_Z_M - 0.02), DVec3::Z, 0.09),
    ])
    .both_sides();
    machine.add("sand_fillers", "sand fillers", "detail", "black", caps);
    let rung = |up: f64| rails::wall_grab((0.46, up), (0.80, up), 0.06);
    let ladder = Mesh::of([1.95, 2.25, 2.55].map(rung)).on(&Frame::front(NOSE_FRONT_X_M));
    machine.add("nose_grabs", "grab irons on the short hood", "handrail", "rail white", ladder);
    let rungs = Mesh::of([1.95, 2.30, 2.65, 3.00, 3.25].map(rung)).on(&Frame::rear(HOOD_REAR_X_M));
    machine.add("rear_grabs", "grab irons on the long hood's end", "handrail", "rail white", rungs);
    let door = ((-0.34, 1.80), (0.30, 2.98));
    let rear = Frame::rear(HOOD_REAR_X_M);
    machine.add("rear_door", "rear hood door", "hood", "madder", doors::single(door.0, door.1).on(&rear));
    let trim = Mesh::of([doors::joint(door.0, door.1, 0.014), doors::latch(0.22, 2.3)]);
    machine.add("rear_door_joint", "joint and latch of the rear door", "detail", "black", trim.on(&rear));
}
