//! Groups of parts that several machines share, with their names, roles and paints: each takes a machine's
//! sizes and adds its groups. May not enter: the sizes of any one machine.

pub mod body; // cabs with their windows and doors
pub mod doorways; // holes, leaves, joints, latches, hinges, and what shows behind
pub mod ends; // deck, steps, rails, pilots and couplers of walkway machines
pub mod lamps; // headlights, number boards, lettering
pub mod running; // trucks, tanks
