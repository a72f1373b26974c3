//! The cautions that every output carries which sends a person to a spot. May not enter: anything that is
//! true of one site alone.

/// In the project's own words, one sentence each.
pub const CAUTIONS: [&str; 7] = [
    "Expect a train on any track, at any time, from either direction.",
    "Never stand on, between or close to tracks; stay behind the stand-off strip.",
    "Stay off railroad property unless you have leave to be there.",
    "Leave roads, drives and crossings free.",
    "Never look at the sun through a finder.",
    "The railroad's rules, local law and the people in charge on site overrule this card.",
    "This card knows only what its scene file says: look before you trust it.",
];
