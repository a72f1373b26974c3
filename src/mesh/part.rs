//! Parts of a machine and the roles they play in the trade's rules. May not enter: file formats.

/// What a part of the machine is, for the rules. Every OBJ group of a model is mapped to one role by
/// the model's sidecar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Role {
    /// The short hood or nose ahead of the cab, or a carbody's nose.
    Nose,
    /// The cab's walls and roof.
    Cab,
    /// The long hood or a carbody's flank, its doors, seams and handles.
    Hood,
    /// Painted lettering panels: they count with the hood.
    Lettering,
    /// Windows.
    Glass,
    /// Radiator and intake grilles, meshes, louvres.
    Grille,
    /// Fans, exhausts and what else stands on a roof.
    Roof,
    /// Handrails, stanchions, grab irons.
    Handrail,
    /// Walkways, steps, sills and the underframe.
    Walkway,
    /// The plates under the couplers.
    Pilot,
    /// Couplers and hoses.
    Coupler,
    /// Truck frames, springs, brake gear.
    Truck,
    /// Wheels and axles.
    Wheel,
    /// Fuel tank and air tanks.
    Tank,
    /// Headlights, number boards, class lights.
    Light,
    /// Horn, bell, antennas and other small things.
    Detail,
}

impl Role {
    /// Every role, in the order of the enum.
    pub const ALL: [Role; 16] = [
        Role::Nose,
        Role::Cab,
        Role::Hood,
        Role::Lettering,
        Role::Glass,
        Role::Grille,
        Role::Roof,
        Role::Handrail,
        Role::Walkway,
        Role::Pilot,
        Role::Coupler,
        Role::Truck,
        Role::Wheel,
        Role::Tank,
        Role::Light,
        Role::Detail,
    ];

    /// The word used for it in sidecar files and reports.
    pub fn word(self) -> &'static str {
        match self {
            Role::Nose => "nose",
            Role::Cab => "cab",
            Role::Hood => "hood",
            Role::Lettering => "lettering",
            Role::Glass => "glass",
            Role::Grille => "grille",
            Role::Roof => "roof",
            Role::Handrail => "handrail",
            Role::Walkway => "walkway",
            Role::Pilot => "pilot",
            Role::Coupler => "coupler",
            Role::Truck => "truck",
            Role::Wheel => "wheel",
            Role::Tank => "tank",
            Role::Light => "light",
            Role::Detail => "detail",
        }
    }

    /// The role for a word, if there is one.
    pub fn from_word(word: &str) -> Option<Role> {
        Role::ALL.into_iter().find(|role| role.word() == word)
    }

    /// Nose, cab, hood and lettering: what a rule means by "the body".
    pub fn is_body(self) -> bool {
        matches!(self, Role::Nose | Role::Cab | Role::Hood | Role::Lettering)
    }

    /// Trucks, wheels and tanks: what a rule means by "the running gear".
    pub fn is_running_gear(self) -> bool {
        matches!(self, Role::Truck | Role::Wheel | Role::Tank)
    }
}
