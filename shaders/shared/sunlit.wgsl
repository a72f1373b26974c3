// Share of the sun's disc that shines on a place. May not enter: colours.
//
// The map holds depths at texel centres. A place is compared with its own plane seen through each texel, as
// src/sighting/lit.rs does, so that neither acne nor a gap at the foot of a shadow arises. Edges soften as a disc of
// the sun's size makes them: what stands h metres nearer to the sun blurs over 2 * tan(radius) * h.

const SAME_SURFACE_M: f32 = 0.005;
const STEEPEST: f32 = 100.0;
const DISC_TAPS: i32 = 20;

struct Receiver {
    layer: i32,
    texel: vec2f,    // where, in texels
    depth_m: f32,    // how deep, metres
    slope: vec2f,    // depth per texel, right and down
    tolerance_m: f32,
}

fn receiver(layer: i32, p: vec3f, n: vec3f) -> Receiver {
    let map = light.maps[layer];
    let at = map.map_from_machine * vec4f(p, 1.0);
    let cosine = max(dot(n, light.toward.xyz), 1e-4);
    var slope_m = vec2f(dot(n, map.right.xyz), dot(n, map.up.xyz)) / cosine;
    let steep = length(slope_m);
    slope_m *= min(1.0, STEEPEST / max(steep, 1e-6));
    var r: Receiver;
    r.layer = layer;
    r.texel = at.xy * map.scale.w;
    r.depth_m = at.z * map.scale.z;
    // Rows count downward.
    r.slope = slope_m * map.scale.xy * vec2f(1.0, -1.0);
    r.tolerance_m = SAME_SURFACE_M + 0.5 * (abs(r.slope.x) + abs(r.slope.y)) ;
    return r;
}

fn inside(r: Receiver) -> bool {
    let edge = light.maps[r.layer].scale.w - 1.5;
    return all(r.texel > vec2f(1.5)) && all(r.texel < vec2f(edge));
}

// How far before the receiver's plane a texel's content stands, metres; 0 if it does not.
fn before(r: Receiver, texel: vec2i) -> f32 {
    let stored_m = textureLoad(sun_maps, texel, r.layer, 0) * light.maps[r.layer].scale.z;
    let offset = vec2f(texel) + 0.5 - r.texel;
    let ahead_m = r.depth_m + dot(r.slope, offset) - stored_m;
    return select(0.0, ahead_m, ahead_m > r.tolerance_m);
}

// The four texels about a place: x is their mean height before it where they stand before it, y the share free.
fn four(r: Receiver, offset: vec2f) -> vec2f {
    let at = r.texel + offset - 0.5;
    let base = vec2i(floor(at));
    let t = at - floor(at);
    let w = vec4f((1.0 - t.x) * (1.0 - t.y), t.x * (1.0 - t.y), (1.0 - t.x) * t.y, t.x * t.y);
    let b = vec4f(before(r, base), before(r, base + vec2i(1, 0)), before(r, base + vec2i(0, 1)),
        before(r, base + vec2i(1, 1)));
    let hit = vec4f(b > vec4f(0.0));
    let hits = dot(hit, vec4f(1.0));
    return vec2f(select(0.0, dot(b, vec4f(1.0)) / hits, hits > 0.0), 1.0 - dot(w, hit));
}

fn disc_point(i: i32, n: i32, turn: f32) -> vec2f {
    let radius = sqrt((f32(i) + 0.5) / f32(n));
    let angle = f32(i) * 2.39996323 + turn;
    return radius * vec2f(cos(angle), sin(angle));
}

// `turn` differs from pixel to pixel, so that few points of the disc serve.
fn lit_in(r: Receiver, turn: f32) -> f32 {
    let near = four(r, vec2f(0.0));
    let radius = light.beam.w;
    if radius <= 0.0 {
        return near.y;
    }
    let per_metre = radius / light.maps[r.layer].scale.xy;
    // What stands before the place: close about it, then farther as far things blur.
    var sum = near.x;
    var count = select(0.0, 1.0, near.y < 1.0);
    for (var i = 0; i < 20; i++) {
        let ring = select(select(2, 1, i < 12), 0, i < 4);
        let far_m = array(1.5, 14.0, 60.0)[ring];
        let taps = array(4, 8, 8)[ring];
        let offset = disc_point(i - array(0, 4, 12)[ring], taps, turn) * max(per_metre * far_m, vec2f(1.0));
        let b = before(r, vec2i(floor(r.texel + offset)));
        let aside_m = length(offset * light.maps[r.layer].scale.xy);
        // Only what reaches over the disc from there.
        if b > 0.0 && b * radius + light.maps[r.layer].scale.x >= aside_m {
            sum += b;
            count += 1.0;
        }
    }
    if count == 0.0 {
        return 1.0;
    }
    let reach = per_metre * (sum / count);
    if max(reach.x, reach.y) < 0.6 {
        return near.y;
    }
    var free = 0.0;
    for (var i = 0; i < DISC_TAPS; i++) {
        free += four(r, disc_point(i, DISC_TAPS, turn) * reach).y;
    }
    return free / f32(DISC_TAPS);
}

// From the closest map that holds the place; the machine's own is drawn for the machine alone.
fn lit_share(p: vec3f, n: vec3f, of_machine: bool, turn: f32) -> f32 {
    if light.beam.y <= 0.0 {
        return 0.0;
    }
    for (var layer = select(1, 0, of_machine); layer < 3; layer++) {
        let r = receiver(layer, p, n);
        if inside(r) {
            return lit_in(r, turn);
        }
    }
    return 1.0;
}

// One look, for tufts and stones.
fn lit_quickly(p: vec3f, first: i32) -> f32 {
    if light.beam.y <= 0.0 {
        return 0.0;
    }
    for (var layer = first; layer < 3; layer++) {
        let r = receiver(layer, p, light.toward.xyz);
        if inside(r) {
            return four(r, vec2f(0.0)).y;
        }
    }
    return 1.0;
}

// A number for a pixel that runs evenly through all turns (interleaved gradient noise, J. Jimenez 2014).
fn turn_of(pixel: vec2f) -> f32 {
    return 6.2831853 * fract(52.9829189 * fract(dot(pixel + frame.tile.zw, vec2f(0.06711056, 0.00583715))));
}
