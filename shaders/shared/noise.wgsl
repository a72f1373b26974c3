// Noise that belongs to the place and not to the picture. May not enter: what it is painted on.

// A well mixed number for three others (the hash of src/sighting/scatter.rs).
fn hash3(a: u32, b: u32, c: u32) -> u32 {
    var h = (a * 0x9E3779B9u) ^ (b * 0x85EBCA6Bu) ^ (c * 0xC2B2AE35u);
    h = h ^ (h >> 16u);
    h = h * 0x7FEB352Du;
    h = h ^ (h >> 15u);
    h = h * 0x846CA68Bu;
    return h ^ (h >> 16u);
}

// 0 to 1, for a cell.
fn cell(x: i32, y: i32, seed: u32) -> f32 {
    return f32(hash3(bitcast<u32>(x), bitcast<u32>(y), seed) >> 8u) / 16777215.0;
}

// Smooth noise, -1 to 1, with features one unit across.
fn smooth_noise(p: vec2f, seed: u32) -> f32 {
    let f = floor(p);
    let t = p - f;
    let w = t * t * (3.0 - 2.0 * t);
    let i = vec2i(f);
    let low = mix(cell(i.x, i.y, seed), cell(i.x + 1, i.y, seed), w.x);
    let high = mix(cell(i.x, i.y + 1, seed), cell(i.x + 1, i.y + 1, seed), w.x);
    return 2.0 * mix(low, high, w.y) - 1.0;
}

// Noise of several sizes, each half as large as the one before and of `fall` its strength; sizes that a pixel of
// `footprint_m` cannot hold fade away instead of glittering. Each size is turned against the others.
fn layered(p: vec2f, largest_m: f32, layers: i32, fall: f32, footprint_m: f32, seed: u32) -> f32 {
    var size_m = largest_m;
    var strength = 1.0;
    var sum = 0.0;
    var q = p;
    for (var layer = 0; layer < layers; layer++) {
        let shown = saturate((size_m / footprint_m - 1.0) / 2.0);
        if shown <= 0.0 {
            break;
        }
        sum += strength * shown * smooth_noise(q / size_m, seed + u32(layer));
        size_m *= 0.5;
        strength *= fall;
        q = vec2f(0.8 * q.x - 0.6 * q.y, 0.6 * q.x + 0.8 * q.y);
    }
    return sum;
}

// The nearest of scattered points, one to a cell: distance to it, distance to the next one, and a number of its own.
fn scattered_points(p: vec2f, seed: u32) -> vec3f {
    let base = vec2i(floor(p));
    var nearest = vec3f(9.0, 9.0, 0.0);
    for (var y = -1; y <= 1; y++) {
        for (var x = -1; x <= 1; x++) {
            let c = base + vec2i(x, y);
            let h = hash3(bitcast<u32>(c.x), bitcast<u32>(c.y), seed);
            let at = vec2f(c) + vec2f(f32(h & 0xFFFFu), f32(h >> 16u)) / 65535.0;
            let d = distance(p, at);
            if d < nearest.x {
                nearest = vec3f(d, nearest.x, f32((h * 0x9E3779B9u) >> 8u) / 16777215.0);
            } else if d < nearest.y {
                nearest.y = d;
            }
        }
    }
    return nearest;
}
