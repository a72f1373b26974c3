//! Deck, steps, rails, pilots and couplers of a machine with walkways. May not enter: bodies, running gear.

use super::super::machine::Machine;
use super::super::parts::frame::Deck;
use super::super::parts::{coupler, frame, rails};
use super::super::shape::{Mesh, slab};

/// Radius of the bend where a side rail comes down.
pub const RAIL_BEND_M: f64 = 0.16;

/// Sizes of the walkways and ends.
#[derive(Clone, Debug)]
pub struct Ends {
    /// The deck with its step wells.
    pub deck: Deck,
    /// x of the coupler faces.
    pub coupler_x_m: f64,
    /// Height of the couplers' centres.
    pub coupler_z_m: f64,
    /// x of the pilot plates.
    pub pilot_x_m: f64,
    /// Heights of the step treads.
    pub steps_m: Vec<f64>,
    /// Lower edge of the step wells' cheeks.
    pub well_bottom_m: f64,
    /// Offset and height of the rails.
    pub rail_y_m: f64,
    /// Height of the rails.
    pub rail_z_m: f64,
    /// Height at which rails and stanchions begin, in the deck.
    pub rail_foot_z_m: f64,
    /// A plow below the pilots.
    pub plow: bool,
    /// x of the trucks' centres, where bolsters cross the underframe.
    pub bolsters_x_m: [f64; 2],
    /// x of the beams that carry tanks between the trucks.
    pub beams_x_m: [f64; 3],
}

/// A side rail on the right and its mirror image, with stanchions.
#[derive(Clone, Debug)]
pub struct SideRail {
    /// Where it begins: at a wall, straight.
    pub from_x_m: f64,
    /// Where it comes down to the deck.
    pub foot_x_m: f64,
    /// The stanchions between.
    pub posts_x_m: Vec<f64>,
}

impl Ends {
    /// Adds deck, sills and both ends.
    pub fn add(&self, machine: &mut Machine) {
        self.add_deck(machine);
        self.add_steps(machine);
        self.add_pilots(machine);
        self.add_end_rails(machine);
    }

    fn add_deck(&self, machine: &mut Machine) {
        let deck = &self.deck;
        machine.add("deck", "walkways", "walkway", "underframe", deck.plate());
        let sill = deck.sill(0.22, 0.05).both_sides();
        machine.add("sills", "side sills", "walkway", "underframe", sill);
        let stripe = deck.sill_stripe(deck.z_m.1 - 0.18, 0.075).both_sides();
        machine.add(
            "sill_stripes",
            "sill stripes",
            "walkway",
            "sill stripe",
            stripe,
        );
        let reach = deck.half_length_m - 0.05;
        let top = deck.z_m.0 + 0.02;
        let mut spine = slab([-reach, -0.56, top - 0.44], [reach, 0.56, top]);
        for x in self.beams_x_m {
            let (low, high) = ([x - 0.15, -1.25, top - 0.56], [x + 0.15, 1.25, top + 0.005]);
            spine.add(&slab(low, high));
        }
        for x in self.bolsters_x_m {
            spine.add(&slab(
                [x - 0.35, -1.10, top - 0.24],
                [x + 0.35, 1.10, top + 0.005],
            ));
        }
        machine.add("underframe", "underframe", "walkway", "underframe", spine);
    }

    fn add_steps(&self, machine: &mut Machine) {
        let treads = self.deck.steps(&self.steps_m).both_sides();
        machine.add_ends("steps", "steps", "walkway", "handrail", treads);
        let wells = self.deck.step_well(self.well_bottom_m).both_sides();
        machine.add_ends("step_wells", "step wells", "walkway", "underframe", wells);
    }

    fn add_pilots(&self, machine: &mut Machine) {
        let (x, half) = (self.pilot_x_m, self.deck.half_width_m - 0.015);
        let top = self.deck.z_m.1 + 0.005;
        let mut plate = frame::pilot(x, half, (0.42, top), self.coupler_z_m);
        if self.plow {
            plate.add(&frame::plow(x + 0.04, half - 0.135, (0.10, 0.60), 0.28));
        }
        machine.add_ends("pilot", "pilot", "pilot", "underframe", plate);
        let knuckle = coupler::coupler(self.coupler_x_m, self.coupler_z_m, 0.45);
        machine.add_ends("coupler", "coupler", "coupler", "wheel steel", knuckle);
        let face = x + 0.03;
        let hoses = Mesh::of([
            coupler::hose(face, -0.40, self.coupler_z_m + 0.10, 0.30, 0.026),
            coupler::hose(face, 0.62, self.coupler_z_m + 0.26, 0.24, 0.02),
            coupler::hose(face, -0.62, self.coupler_z_m + 0.26, 0.24, 0.02),
        ]);
        machine.add_ends("hoses", "air hoses", "coupler", "black", hoses);
        let levers = frame::uncoupling_lever(face, self.coupler_z_m + 0.38, half).both_sides();
        machine.add_ends(
            "uncoupling",
            "uncoupling levers",
            "coupler",
            "handrail",
            levers,
        );
    }

    fn add_end_rails(&self, machine: &mut Machine) {
        let x = self.pilot_x_m - 0.03;
        let z = (self.rail_foot_z_m, self.rail_z_m);
        let outer = self.deck.half_width_m - 0.09;
        let hoops = rails::end_rail(x, (0.42, outer), z).both_sides();
        machine.add_ends("end_rails", "end railing", "handrail", "handrail", hoops);
        let chains = Mesh::of([
            rails::chain(x, 0.42, z.1 - 0.11, 0.10),
            rails::chain(x, 0.42, z.1 - 0.55, 0.10),
        ]);
        machine.add_ends("chains", "chains", "handrail", "black", chains);
        let grab_z = (0.78, self.deck.z_m.1 - 0.20);
        let grabs = rails::upright_grab(self.pilot_x_m + 0.09, outer - 0.02, grab_z, -0.07);
        let grabs = grabs.both_sides();
        machine.add_ends(
            "step_grabs",
            "step grab irons",
            "handrail",
            "handrail",
            grabs,
        );
    }

    /// Adds a side rail on both sides.
    pub fn add_side_rail(&self, machine: &mut Machine, group: &str, name: &str, rail: &SideRail) {
        let (y, z, foot) = (self.rail_y_m, self.rail_z_m, self.rail_foot_z_m);
        let bar = rails::side_rail(rail.from_x_m, rail.foot_x_m, y, z, foot, RAIL_BEND_M);
        let post = |x: &f64| rails::stanchion(*x, y, (foot + 0.02, z));
        let posts = Mesh::of(rail.posts_x_m.iter().map(post));
        machine.add_sides(group, name, "handrail", "handrail", Mesh::of([bar, posts]));
    }
}
