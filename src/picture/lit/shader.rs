//! The WGSL of every pass: its own file, after the shared ones that it needs. May not enter: pipelines.

/// A pass and the files that make its module, in order.
pub struct Source {
    /// The pass, as its files are called.
    pub name: &'static str,
    parts: &'static [&'static str],
}

macro_rules! wgsl {
    ($name:literal) => {
        include_str!(concat!("../../../shaders/", $name, ".wgsl"))
    };
}

const FRAME: &str = wgsl!("shared/frame");
const NOISE: &str = wgsl!("shared/noise");
const SKY: &str = wgsl!("shared/sky");
const SUNLIT: &str = wgsl!("shared/sunlit");
const TABLE: &str = wgsl!("shared/table");
const SHADE: &str = wgsl!("shared/shade");
const GROUND: &str = wgsl!("shared/ground");
const FINISH: &str = wgsl!("shared/finish");
const MACHINE: &str = wgsl!("shared/machine");
const CORNER: &str = wgsl!("shared/corner");
const STREWN: &str = wgsl!("shared/strewn");
const CURVE: &str = wgsl!("shared/curve");
const AS_LIGHT: &str = wgsl!("shared/as_light");
const AS_FILM: &str = wgsl!("shared/as_film");
const GLANCE: &str = wgsl!("shared/glance");

/// Depths from the sun.
pub const SHADOW: Source = Source {
    name: "shadow",
    parts: &[NOISE, wgsl!("shadow")],
};
/// The sky behind everything.
pub const SKY_PASS: Source = Source {
    name: "sky",
    parts: &[FRAME, NOISE, SKY, wgsl!("sky")],
};
/// What is solid.
pub const SURFACE: Source = Source {
    name: "surface",
    parts: &[
        FRAME,
        NOISE,
        TABLE,
        SKY,
        SUNLIT,
        SHADE,
        GROUND,
        FINISH,
        MACHINE,
        CORNER,
        wgsl!("surface"),
    ],
};
/// Sprays of leaves.
pub const LEAF: Source = Source {
    name: "leaf",
    parts: &[FRAME, NOISE, TABLE, SKY, SUNLIT, SHADE, wgsl!("leaf")],
};
/// Tones of tufts and stones.
pub const TONES: Source = Source {
    name: "tones",
    parts: &[FRAME, NOISE, TABLE, SUNLIT, GROUND, STREWN, wgsl!("tones")],
};
/// Shapes of tufts and stones.
pub const SCATTER: Source = Source {
    name: "scatter",
    parts: &[
        FRAME,
        NOISE,
        TABLE,
        SKY,
        SUNLIT,
        SHADE,
        GROUND,
        STREWN,
        wgsl!("scatter"),
    ],
};
/// What is seen through.
pub const VEIL: Source = Source {
    name: "veil",
    parts: &[
        FRAME,
        NOISE,
        TABLE,
        SKY,
        SUNLIT,
        SHADE,
        GROUND,
        FINISH,
        CORNER,
        AS_LIGHT,
        wgsl!("veil"),
    ],
};
/// Wires.
pub const WIRE: Source = Source {
    name: "wire",
    parts: &[FRAME, NOISE, SKY, AS_LIGHT, wgsl!("wire")],
};
/// Development.
pub const FILM: Source = Source {
    name: "film",
    parts: &[FRAME, CURVE, wgsl!("film")],
};

/// The sky of moving pictures.
pub const DOME: Source = Source {
    name: "dome",
    parts: &[FRAME, NOISE, SKY, CURVE, AS_FILM, wgsl!("dome")],
};
/// What is seen through, developed at once.
pub const VEIL_ON_FILM: Source = Source {
    name: "veil on film",
    parts: &[
        FRAME,
        NOISE,
        TABLE,
        SKY,
        SUNLIT,
        SHADE,
        GROUND,
        FINISH,
        CORNER,
        CURVE,
        AS_FILM,
        wgsl!("veil"),
    ],
};
/// Wires, developed at once.
pub const WIRE_ON_FILM: Source = Source {
    name: "wire on film",
    parts: &[FRAME, NOISE, SKY, CURVE, AS_FILM, wgsl!("wire")],
};
/// Mean colours of corners for moving pictures.
pub const BAKE: Source = Source {
    name: "bake",
    parts: &[
        FRAME,
        NOISE,
        TABLE,
        SKY,
        SUNLIT,
        SHADE,
        GROUND,
        FINISH,
        MACHINE,
        wgsl!("bake"),
    ],
};
/// Solid things of moving pictures.
pub const MOVING: Source = Source {
    name: "moving",
    parts: &[
        FRAME,
        NOISE,
        TABLE,
        SKY,
        SUNLIT,
        SHADE,
        CURVE,
        AS_FILM,
        GLANCE,
        wgsl!("moving"),
    ],
};
/// The ground of moving pictures.
pub const LAWN: Source = Source {
    name: "lawn",
    parts: &[
        FRAME,
        NOISE,
        TABLE,
        SKY,
        SUNLIT,
        SHADE,
        GROUND,
        CURVE,
        AS_FILM,
        GLANCE,
        wgsl!("lawn"),
    ],
};
/// Crowns of moving pictures.
pub const CROWN: Source = Source {
    name: "crown",
    parts: &[
        FRAME,
        NOISE,
        TABLE,
        SKY,
        SUNLIT,
        SHADE,
        CURVE,
        AS_FILM,
        wgsl!("crown"),
    ],
};

/// Every pass.
pub const ALL: [&Source; 16] = [
    &SHADOW,
    &SKY_PASS,
    &SURFACE,
    &LEAF,
    &TONES,
    &SCATTER,
    &VEIL,
    &WIRE,
    &FILM,
    &DOME,
    &VEIL_ON_FILM,
    &WIRE_ON_FILM,
    &BAKE,
    &MOVING,
    &LAWN,
    &CROWN,
];

impl Source {
    /// The module's text.
    pub fn text(&self) -> String {
        self.parts.join("\n")
    }

    /// The module on a device.
    pub fn module(&self, device: &wgpu::Device) -> wgpu::ShaderModule {
        device.create_shader_module(wgpu::ShaderModuleDescriptor {
            label: Some(self.name),
            source: wgpu::ShaderSource::Wgsl(self.text().into()),
        })
    }
}
