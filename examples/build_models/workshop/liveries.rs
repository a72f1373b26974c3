//! Liveries, all invented: which colour each painted surface has, and the bare surfaces that all share.
//! May not enter: shapes.

use super::machine::{Livery, Machine, Paint};

/// A livery for machines of any kind: paint and colour, sRGB.
#[derive(Clone, Copy, Debug)]
pub struct Scheme {
    /// Its name.
    pub name: &'static str,
    /// Painted surfaces.
    colors: &'static [(&'static str, &'static str)],
}

/// Surfaces that every livery leaves alone unless it says otherwise.
const COMMON: &[(&str, &str)] = &[
    ("roof", "#45484a"),
    ("underframe", "#3f4244"),
    ("truck", "#5a5854"),
    ("wheel steel", "#6f675e"),
    ("handrail", "#ece7d9"),
    ("glass", "#1d272d"),
    ("grille", "#33373a"),
    ("lamp", "#f6f1df"),
    ("brass", "#b48c43"),
    ("black", "#202223"),
    ("engine", "#6b7a6e"),
];

/// Dark red below, cream above.
pub const MADDER_AND_CREAM: Scheme = Scheme {
    name: "madder and cream",
    colors: &[
        ("hood", "#8f3329"),
        ("hood upper", "#e6dab9"),
        ("nose", "#8f3329"),
        ("cab", "#8f3329"),
        ("cab upper", "#e6dab9"),
        ("stripe", "#e6dab9"),
        ("lettering", "#8f3329"),
        ("numbers", "#e6dab9"),
        ("sill stripe", "#e6dab9"),
    ],
};

/// Slate blue all over, the nose and the stripes saffron.
pub const SLATE_AND_SAFFRON: Scheme = Scheme {
    name: "slate and saffron",
    colors: &[
        ("hood", "#44586b"),
        ("hood upper", "#44586b"),
        ("nose", "#dba02f"),
        ("cab", "#44586b"),
        ("cab upper", "#44586b"),
        ("stripe", "#2c3945"),
        ("lettering", "#dba02f"),
        ("numbers", "#dba02f"),
        ("sill stripe", "#dba02f"),
        ("roof", "#35414c"),
    ],
};

/// Forest green with ivory lettering and a broad ivory band.
pub const FOREST_AND_IVORY: Scheme = Scheme {
    name: "forest and ivory",
    colors: &[
        ("hood", "#2f5640"),
        ("hood upper", "#2f5640"),
        ("nose", "#2f5640"),
        ("cab", "#2f5640"),
        ("cab upper", "#e9e2cd"),
        ("stripe", "#e9e2cd"),
        ("lettering", "#e9e2cd"),
        ("numbers", "#e9e2cd"),
        ("sill stripe", "#e9e2cd"),
        ("roof", "#2b332e"),
    ],
};

/// Pale grey bodies with rust-red ends and band.
pub const ASH_AND_RUST: Scheme = Scheme {
    name: "ash and rust",
    colors: &[
        ("hood", "#a9aca8"),
        ("hood upper", "#a9aca8"),
        ("nose", "#9c4a2b"),
        ("cab", "#a9aca8"),
        ("cab upper", "#a9aca8"),
        ("stripe", "#9c4a2b"),
        ("lettering", "#7e3a22"),
        ("numbers", "#7e3a22"),
        ("sill stripe", "#9c4a2b"),
        ("handrail", "#d8d6cc"),
    ],
};

/// Ochre yellow with black ends of the frame.
pub const OCHRE_AND_SOOT: Scheme = Scheme {
    name: "ochre and soot",
    colors: &[
        ("hood", "#cf9a2e"),
        ("hood upper", "#cf9a2e"),
        ("nose", "#cf9a2e"),
        ("cab", "#cf9a2e"),
        ("cab upper", "#cf9a2e"),
        ("stripe", "#26292b"),
        ("lettering", "#26292b"),
        ("numbers", "#26292b"),
        ("sill stripe", "#cf9a2e"),
        ("handrail", "#e2c26a"),
        ("roof", "#3a3d3f"),
    ],
};

/// Teal below, pearl above.
pub const TEAL_AND_PEARL: Scheme = Scheme {
    name: "teal and pearl",
    colors: &[
        ("hood", "#2b6a6c"),
        ("hood upper", "#dcdcd2"),
        ("nose", "#2b6a6c"),
        ("cab", "#2b6a6c"),
        ("cab upper", "#dcdcd2"),
        ("stripe", "#dcdcd2"),
        ("lettering", "#dcdcd2"),
        ("numbers", "#dcdcd2"),
        ("sill stripe", "#dcdcd2"),
        ("truck", "#77787a"),
    ],
};

/// Plum with a buttermilk band that sweeps round the nose.
pub const PLUM_AND_BUTTERMILK: Scheme = Scheme {
    name: "plum and buttermilk",
    colors: &[
        ("hood", "#5c3350"),
        ("nose", "#5c3350"),
        ("cab", "#5c3350"),
        ("stripe", "#ecdcae"),
        ("lettering", "#5c3350"),
        ("numbers", "#ecdcae"),
        ("sill stripe", "#ecdcae"),
        ("roof", "#4a4148"),
        ("handrail", "#d9d4c6"),
        ("truck", "#686560"),
    ],
};

/// Ink blue with a copper band.
pub const INK_AND_COPPER: Scheme = Scheme {
    name: "ink and copper",
    colors: &[
        ("hood", "#2c3f5e"),
        ("nose", "#2c3f5e"),
        ("cab", "#2c3f5e"),
        ("stripe", "#b8703f"),
        ("lettering", "#f0e6d2"),
        ("numbers", "#f0e6d2"),
        ("sill stripe", "#b8703f"),
        ("roof", "#7d8286"),
        ("handrail", "#c9cbc9"),
    ],
};

impl Scheme {
    fn color(&self, paint: &str) -> Option<&'static str> {
        let named = |list: &[(&str, &'static str)]| {
            list.iter()
                .find(|(name, _)| *name == paint)
                .map(|(_, color)| *color)
        };
        named(self.colors).or_else(|| named(COMMON))
    }
}

/// Gives a machine whose groups are all there the paints that they wear, and two liveries to choose from.
pub fn dress(machine: &mut Machine, first: &Scheme, second: &Scheme) {
    let mut used: Vec<&'static str> = Vec::new();
    for group in &machine.groups {
        if !used.contains(&group.material) {
            used.push(group.material);
        }
    }
    let color = |scheme: &Scheme, name: &str| {
        let color = scheme.color(name);
        color.unwrap_or_else(|| panic!("{} has no colour for {name}", scheme.name))
    };
    machine.paints = used
        .iter()
        .map(|name| Paint {
            name,
            color_srgb: color(first, name),
        })
        .collect();
    let changed = used.iter().map(|name| (*name, color(second, name)));
    machine.liveries = vec![
        Livery {
            name: first.name,
            colors: Vec::new(),
        },
        Livery {
            name: second.name,
            colors: changed
                .filter(|(name, with)| *with != color(first, name))
                .collect(),
        },
    ];
}
