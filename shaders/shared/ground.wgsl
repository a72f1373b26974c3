// What lies on the ground: grass with dry and bare places, stones, street. May not enter: light.

// How dry and how worn grass is at a place: x dry 0-1, y bare 0-1, z lush 0-1.
fn growth(p: vec2f, footprint_m: f32) -> vec3f {
    let wide = layered(p + 40.0, 46.0, 3, 0.7, footprint_m, 11u);
    let patches = layered(p, 5.2, 4, 0.72, footprint_m, 15u);
    let small = layered(p, 0.55, 3, 0.8, footprint_m, 21u);
    let dry = saturate(0.34 + 0.34 * wide + 0.36 * patches + 0.12 * small);
    let bare = smoothstep(0.62, 1.15, 0.55 * patches - 0.5 * wide + 0.55 * small + 0.18);
    return vec3f(dry, bare, saturate(0.5 - 0.5 * wide + 0.5 * layered(p, 2.3, 2, 0.7, footprint_m, 27u)));
}

// Colour of grass of a growth; `tip` from root 0 to tip 1.
fn grass_color(g: vec3f, tint: vec3f, tip: f32) -> vec3f {
    let green = mix(vec3f(0.105, 0.150, 0.036), vec3f(0.068, 0.125, 0.030), g.z);
    let straw = mix(vec3f(0.340, 0.285, 0.140), vec3f(0.240, 0.205, 0.100), g.z);
    let dry = saturate(g.x * 0.80 + (tip - 0.5) * 0.22);
    return mix(green, straw, dry) * tint;
}

fn soil(p: vec2f, footprint_m: f32) -> vec3f {
    return vec3f(0.135, 0.105, 0.072) * (1.0 + 0.30 * layered(p, 0.3, 5, 0.8, footprint_m, 29u));
}

// Grass as the ground between and beyond tufts shows it: its mean, with what a pixel still holds.
fn meadow(p: vec2f, tint: vec3f, footprint_m: f32, distance_m: f32) -> vec3f {
    let g = growth(p, footprint_m);
    let blades = layered(p, 0.24, 5, 0.9, footprint_m, 35u);
    let far = smoothstep(25.0, 110.0, distance_m);
    // Between near tufts lie roots and old leaves in their shade.
    let mat = mix(0.52, 0.95, far);
    let clumps = 1.0 + 0.30 * blades + 0.20 * layered(p, 1.1, 3, 0.7, footprint_m, 39u);
    let sward = grass_color(g, tint, 0.35 + 0.35 * far) * mat * max(clumps, 0.25);
    return mix(sward, soil(p, footprint_m) * mix(0.8, 1.0, far), g.y * 0.85);
}

// Fields beyond the place: each with its own crop, hedges between.
fn far_fields(p: vec2f, near_color: vec3f, distance_m: f32) -> vec3f {
    let share = smoothstep(160.0, 420.0, distance_m);
    if share <= 0.0 {
        return near_color;
    }
    let q = vec2f(0.94 * p.x + 0.34 * p.y, 0.94 * p.y - 0.34 * p.x) / vec2f(310.0, 190.0);
    let c = vec2i(floor(q));
    let crop = cell(c.x, c.y, 201u);
    let kinds = mix(mix(vec3f(0.095, 0.135, 0.036), vec3f(0.270, 0.230, 0.105), smoothstep(0.35, 0.5, crop)),
        vec3f(0.120, 0.092, 0.062), smoothstep(0.80, 0.86, crop));
    let rows = 1.0 + 0.10 * smooth_noise(q * vec2f(9.0, 60.0), 202u);
    let e = abs(fract(q) - 0.5);
    let hedge = smoothstep(0.470, 0.485, max(e.x, e.y)) * step(0.35, cell(c.x + c.y, c.x, 203u));
    return mix(near_color, mix(kinds * rows, vec3f(0.035, 0.050, 0.022), hedge), share);
}

struct Stones {
    color: vec3f,
    tilt: vec2f,  // of the stone's face
    hollow: f32,
}

// Broken stone `size_m` across: each its own grey, tilted its own way, dark between.
fn stones(p: vec2f, color: vec3f, size_m: f32, footprint_m: f32, seed: u32) -> Stones {
    let shown = saturate((size_m / footprint_m - 0.8) / 1.6);
    let wide = 1.0 + 0.14 * layered(p, 2.6, 4, 0.6, footprint_m, seed + 4u);
    let speckle = layered(p, size_m * 4.0, 3, 0.9, footprint_m, seed + 8u);
    var s: Stones;
    s.color = color * wide * (1.0 + 0.16 * speckle * (1.0 - shown));
    s.tilt = vec2f(0.0);
    s.hollow = 1.0;
    if shown > 0.0 {
        let bent = p / size_m * 1.7;
        let q = p / size_m + 0.25 * vec2f(smooth_noise(bent, seed), smooth_noise(bent, seed + 1u));
        let near = scattered_points(q, seed + 2u);
        let own = near.z;
        let gap = smoothstep(0.0, 0.42, near.y - near.x);
        let warm = fract(own * 7.31) - 0.5;
        let grey = 0.78 + 0.44 * fract(own * 3.17);
        let tint = vec3f(1.0 + 0.12 * warm, 1.0, 1.0 - 0.14 * warm);
        s.color *= mix(vec3f(1.0), grey * tint, shown);
        s.hollow = mix(1.0, 0.42 + 0.58 * gap, shown);
        s.color *= mix(1.0, 0.58 + 0.47 * gap, shown);
        s.tilt = shown * 1.3 * vec2f(fract(own * 13.7) - 0.5, fract(own * 29.3) - 0.5);
    }
    return s;
}

fn asphalt(p: vec2f, color: vec3f, footprint_m: f32) -> vec3f {
    let worn = layered(p * vec2f(1.0, 0.6), 3.5, 5, 0.6, footprint_m, 211u);
    let grain = layered(p, 0.06, 4, 1.0, footprint_m, 215u);
    let bent = p + 0.5 * vec2f(smooth_noise(p * 0.8, 217u), smooth_noise(p * 0.8, 218u));
    let veins = scattered_points(bent / 2.6, 219u);
    let crack = (1.0 - smoothstep(0.0, 0.005 + footprint_m * 0.35, veins.y - veins.x)) * saturate(0.008 / footprint_m);
    let patch_of = step(0.86, cell(i32(floor(p.x / 4.1)), i32(floor(p.y / 6.7)), 221u));
    return color * vec3f(1.04, 1.0, 0.93) * (1.0 + 0.16 * worn + 0.14 * grain - 0.22 * patch_of) * (1.0 - 0.6 * crack);
}

fn slabs(p: vec2f, color: vec3f, size_m: f32, footprint_m: f32) -> vec3f {
    let q = p / size_m;
    let c = vec2i(floor(q));
    let own = 1.0 + 0.12 * (cell(c.x, c.y, 231u) - 0.5);
    let e = 0.5 - abs(fract(q) - 0.5);
    let joint = 1.0 - smoothstep(0.0, 0.006 + 0.6 * footprint_m / size_m, min(e.x, e.y));
    let stain = layered(p, 1.6, 5, 0.65, footprint_m, 233u);
    let shown = saturate(0.05 / footprint_m);
    let grain = layered(p, 0.05, 3, 0.9, footprint_m, 237u);
    return color * own * (1.0 + 0.14 * stain + 0.05 * grain) * (1.0 - 0.45 * joint * shown);
}
