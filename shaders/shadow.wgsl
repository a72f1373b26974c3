// What the sun sees: depths of solid things, and of as many texels of a crown or mesh as it stops light. May not enter:
// the disc's size, which the reader of these maps knows.

struct Sun {
    clip_from_machine: mat4x4f,
    right: vec4f,
    up: vec4f,
}

@group(0) @binding(0) var<uniform> sun: Sun;

@vertex
fn vs_solid(@location(0) position: vec3f) -> @builtin(position) vec4f {
    return sun.clip_from_machine * vec4f(position, 1.0);
}

struct Veiled {
    @builtin(position) position: vec4f,
    @location(0) aside: vec2f,
    @location(1) @interpolate(flat) opacity: f32,
    @location(2) @interpolate(flat) grain_m: f32,
    @location(3) @interpolate(flat) seed: u32,
}

@vertex
fn vs_veiled(@location(0) position: vec3f, @location(1) opacity: f32, @location(2) grain_m: f32,
    @location(3) seed: u32) -> Veiled {
    var out: Veiled;
    out.position = sun.clip_from_machine * vec4f(position, 1.0);
    out.aside = vec2f(dot(position, sun.right.xyz), dot(position, sun.up.xyz));
    out.opacity = opacity;
    out.grain_m = grain_m;
    out.seed = seed;
    return out;
}

@fragment
fn fs_veiled(in: Veiled) {
    // Cells across the sunlight: the same cell is open or shut for all pieces of one thing.
    let c = vec2i(floor(in.aside / in.grain_m));
    if cell(c.x, c.y, in.seed) >= in.opacity {
        discard;
    }
}
