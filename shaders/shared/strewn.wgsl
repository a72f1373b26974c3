// Tufts and stones: where each lies, how large it is. May not enter: shapes, tones.

struct Thing {
    foot_x: f32,
    foot_y: f32,
    foot_z: f32,
    size_m: f32,
    surface: u32,
    seed: u32,
}

@group(2) @binding(0) var<storage, read> things: array<Thing>;
