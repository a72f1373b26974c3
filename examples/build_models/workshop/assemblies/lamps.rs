//! Headlights, number boards, marker lights and lettering, with the names that they have on every machine.
//! May not enter: the walls that they are fixed to.

use super::super::machine::Machine;
use super::super::parts::{glyphs, lights};
use super::super::shape::{Frame, Mesh};
use super::body::Opening;
use glam::DVec3;

/// What one end carries.
#[derive(Clone, Copy, Debug)]
pub struct EndLamps<'a> {
    /// "front" or "rear".
    pub end: &'a str,
    /// The wall.
    pub wall: Frame,
    /// The twin headlight: height of its centre, and how far it stands out.
    pub lamp: (f64, f64),
    /// The number board on the + side of the wall; the other one is its mirror image.
    pub board: Opening,
    /// Height of its digits.
    pub digits_m: f64,
    /// The number.
    pub number: &'a str,
}

impl EndLamps<'_> {
    /// Adds headlight, number boards and their housings.
    pub fn add(&self, machine: &mut Machine) {
        let (lamp_z, lamp_out) = self.lamp;
        let mut housings = lights::twin_housing(lamp_z, lamp_out);
        let mut boards = Mesh::default();
        let (low, high) = self.board;
        for (from, to) in [(low, high), ((-high.0, low.1), (-low.0, high.1))] {
            let [housing, board] = number_board(from, to, self.number, self.digits_m);
            housings.add(&housing);
            boards.add(&board);
        }
        let lamps = lights::twin_lamps(lamp_z, lamp_out);
        let end = self.end;
        let (plain, of) = if end == "front" {
            ("", "front ")
        } else {
            ("rear ", "rear ")
        };
        let mut put = |group: &str, name: String, paint, mesh: Mesh| {
            machine.add(
                format!("{group}_{end}"),
                name,
                "light",
                paint,
                mesh.on(&self.wall),
            );
        };
        put(
            "board_housings",
            format!("{of}number-board housings"),
            "black",
            housings,
        );
        put("headlight", format!("{plain}headlights"), "lamp", lamps);
        put(
            "number_boards",
            format!("{of}number boards"),
            "lamp",
            boards,
        );
    }
}

/// A number board in wall coordinates: its dark housing with the digits, and its lit face.
pub fn number_board(from: (f64, f64), to: (f64, f64), number: &str, digits_m: f64) -> [Mesh; 2] {
    let out = 0.055;
    let middle = (0.5 * (from.0 + to.0), 0.5 * (from.1 + to.1));
    let text = glyphs::text(number, middle.0, middle.1, digits_m, 0.006);
    let text = text.moved(DVec3::Z * (out + 0.008));
    let housing = Mesh::of([lights::board_housing(from, to, out), text]);
    [housing, lights::board(from, to, out)]
}

/// Words on both sides, centred on x, each read from its own side.
#[derive(Clone, Copy, Debug)]
pub struct Lettering<'a> {
    /// The group's name without its side.
    pub group: &'a str,
    /// What a person calls it.
    pub name: &'a str,
    /// The words.
    pub words: &'a str,
    /// Distance of the walls from the centre line.
    pub offset_m: f64,
    /// Middle of the words.
    pub x_m: f64,
    /// Height of their middle.
    pub z_m: f64,
    /// Height of the letters.
    pub height_m: f64,
    /// Their paint.
    pub paint: &'static str,
}

impl Lettering<'_> {
    /// Adds them.
    pub fn add(&self, machine: &mut Machine) {
        let right = (Frame::right(self.offset_m), self.x_m);
        let left = (Frame::left(self.offset_m), -self.x_m);
        for ((wall, along), side, word) in
            [(right, "right", "engineer"), (left, "left", "conductor")]
        {
            let plates = glyphs::text(self.words, along, self.z_m, self.height_m, 0.006);
            let (group, name) = (self.group, self.name);
            machine.add(
                format!("{group}_{side}"),
                format!("{word}-side {name}"),
                "lettering",
                self.paint,
                plates.on(&wall),
            );
        }
    }
}
