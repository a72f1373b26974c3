//! What shaders are told, byte for byte as their WGSL lays it out (`tests/lit_shaders.rs` compares both). The only
//! bridge from `f64` to `f32`. May not enter: devices, decisions.
#![allow(unsafe_code)] // bytemuck's derives, which check what they claim

use bytemuck::{Pod, Zeroable};
use glam::{Mat4, Vec4};

/// `struct Frame` of shaders/shared/frame.wgsl: one view, or one tile of it.
#[repr(C)]
#[derive(Clone, Copy, Debug, Pod, Zeroable)]
pub struct FrameUniform {
    /// Clip space from the machine frame; depth is reversed.
    pub clip_from_machine: Mat4,
    /// The eye; w is 1 in perspective, 0 where rays are parallel.
    pub eye: Vec4,
    /// Unit vector to the right; w: radians (or metres) per pixel.
    pub right: Vec4,
    /// Unit vector to the picture's top; w: fineness, 1 for stills, less for live frames.
    pub up: Vec4,
    /// Unit vector into the picture; w: 1 to show lit shares instead of light.
    pub forward: Vec4,
    /// The window on the plane at unit distance: low x, low y, high x, high y.
    pub window: Vec4,
    /// Pixels of this tile across and down, and the tile's first column and row in the whole picture.
    pub tile: Vec4,
    /// The film: grey, contrast, white, and 1 / (illuminance exposed for).
    pub film: Vec4,
    /// Pixels drawn for one of the picture, across; the film curve's knee, and 1 / its value at white; unused.
    pub times: Vec4,
    /// The film curve and its encoding as a polynomial of the fourth root of light over white: powers 0 to 3.
    pub quick_low: Vec4,
    /// Powers 4 and 5; then unused.
    pub quick_high: Vec4,
}

/// `struct SunMap`: one view from the sun.
#[repr(C)]
#[derive(Clone, Copy, Debug, Pod, Zeroable)]
pub struct SunMapUniform {
    /// Columns, rows and depths in 0–1 from the machine frame.
    pub map_from_machine: Mat4,
    /// Metres across one texel to the right and upward, metres of depth, texels across.
    pub scale: Vec4,
    /// The map's axis to the right; w: metres across a texel of the sighting's own map of the same.
    pub right: Vec4,
    /// The map's axis upward.
    pub up: Vec4,
}

/// `struct Light`: sun, sky and what the sun's maps need.
#[repr(C)]
#[derive(Clone, Copy, Debug, Pod, Zeroable)]
pub struct LightUniform {
    /// Closest first: the machine, what lies about it, the site.
    pub maps: [SunMapUniform; 3],
    /// Toward the sun; w: true bearing of the machine's forward axis, radians.
    pub toward: Vec4,
    /// Direct sun on a plane that faces it, lx; w: tangent of the sun's radius, 0 for hard shadows.
    pub beam: Vec4,
    /// The sky's light on a level plane, lx; w: 0 clear, 1 thin cirrus, 2 broken, 3 overcast.
    pub sky: Vec4,
    /// Colour of the sky near the horizon, luminance 1; w: distance that haze takes all but 1/e of, metres.
    pub pale: Vec4,
    /// Colour of the sky overhead, luminance 1; w: height of the open ground over the rail, metres.
    pub deep: Vec4,
    /// What the ground sends back; w: the sky's luminance times π where the distribution is 1.
    pub ground: Vec4,
    /// Distribution of the sky's luminance: a, b, c, d.
    pub spread: Vec4,
    /// Its e, its value at the zenith; then unused.
    pub spread_more: Vec4,
}

/// `struct Sun` of shaders/shadow.wgsl.
#[repr(C)]
#[derive(Clone, Copy, Debug, Pod, Zeroable)]
pub struct SunUniform {
    /// Clip space of one view from the sun.
    pub clip_from_machine: Mat4,
    /// Its axis to the right.
    pub right: Vec4,
    /// Its axis upward.
    pub up: Vec4,
}

/// `struct Dirt`: the machine's condition.
#[repr(C)]
#[derive(Clone, Copy, Debug, Pod, Zeroable)]
pub struct DirtUniform {
    /// Shares of gear, deck, film, splash.
    pub low: Vec4,
    /// Shares of streaks, soot; what is left of polish; unused.
    pub high: Vec4,
    /// Colour of dust.
    pub dust: Vec4,
    /// Colour of soot.
    pub soot: Vec4,
    /// The grid of ground points that the machine darkens: least x and y, spacing, columns.
    pub grid: Vec4,
}

/// `struct Surface`: one row of the table of surfaces.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Pod, Zeroable)]
pub struct SurfaceRow {
    /// Mean colour, linear; w: share of light that it stops.
    pub color: Vec4,
    /// What it is made of (`finish` constants of WGSL).
    pub finish: u32,
    /// A number of its own, for what differs from one to the next.
    pub seed: u32,
    /// Reflectance of its polish, square on.
    pub polish: f32,
    /// How wide the polish spreads light.
    pub rough: f32,
}

/// A corner of a triangle of machine or surroundings.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Pod, Zeroable)]
pub struct Corner {
    /// Where, machine frame.
    pub position: [f32; 3],
    /// Which row of the table.
    pub surface: u32,
    /// Its triangle's own direction.
    pub flat: [i16; 4],
    /// Its direction, rounded where the model means a curve.
    pub smooth: [i16; 4],
    /// Shares of sky and of ground that it sees.
    pub open: [u16; 2],
}

/// A corner of a moving picture's triangle: what `Corner` comes to on the mean (shaders/bake.wgsl writes them).
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Pod, Zeroable)]
pub struct CoarseCorner {
    /// Where, machine frame.
    pub position: [f32; 3],
    /// Colour and polish (of crowns: share of light that they stop), half precision.
    pub albedo: [u16; 4],
    /// Its direction; the fourth: how wide the polish spreads light.
    pub normal: [i8; 4],
    /// Shares of sky and of ground that it sees (of crowns: 1 / 64 of how far they reach, metres).
    pub open: [u16; 2],
    /// Its triangle's own direction (of crowns: a number of its own).
    pub flat: [i8; 4],
}

/// A corner of a thing that lets some light through, for the sun's maps.
#[repr(C)]
#[derive(Clone, Copy, Debug, Pod, Zeroable)]
pub struct VeilCorner {
    /// Where.
    pub position: [f32; 3],
    /// Share of light that it stops.
    pub opacity: f32,
    /// Size of a leaf or clump, metres.
    pub grain_m: f32,
    /// Its own number.
    pub seed: u32,
}

/// A spray of leaves.
#[repr(C)]
#[derive(Clone, Copy, Debug, Pod, Zeroable)]
pub struct Spray {
    /// Its middle; w: half its size.
    pub middle: [f32; 4],
    /// The crown's direction there; w: how deep inside it lies, 0 at the rim to 1.
    pub outward: [f32; 4],
    /// Which row of the table.
    pub surface: u32,
    /// A number of its own.
    pub seed: u32,
    /// How far toward any side the crown may reach, metres: its own shade is not asked of the maps.
    pub reach_m: f32,
    /// 0 leaves, 1 needles, 2 twigs, 3 weeds.
    pub sort: u32,
}

/// A tuft of grass or a stone.
#[repr(C)]
#[derive(Clone, Copy, Debug, Pod, Zeroable)]
pub struct Scattered {
    /// Where its foot is.
    pub foot: [f32; 3],
    /// Its size, metres.
    pub size_m: f32,
    /// Which row of the table lies under it.
    pub surface: u32,
    /// A number of its own.
    pub seed: u32,
}

/// A corner of a wire: its quad is widened to the eye in the shader.
#[repr(C)]
#[derive(Clone, Copy, Debug, Pod, Zeroable)]
pub struct WireCorner {
    /// One end.
    pub from: [f32; 3],
    /// Its thickness.
    pub diameter_m: f32,
    /// The other end.
    pub to: [f32; 3],
    /// Unused.
    pub spare: f32,
}
