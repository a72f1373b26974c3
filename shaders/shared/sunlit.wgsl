// Share of the sun's disc that shines on a place. May not enter: colours.
//
// The map holds depths at texel centres. A place is compared with its own plane seen through each texel, as
// src/sighting/lit.rs does, so that neither acne nor a gap at the foot of a shadow arises. Edges soften as a disc of
// the sun's size makes them: what stands h metres nearer to the sun blurs over 2 * tan(radius) * h.

const SAME_SURFACE_M: f32 = 0.005;
const STEEPEST: f32 = 100.0;
const DISC_TAPS: i32 = 20;
// From one point of the disc to the next: the golden angle's turn.
const GOLDEN_COS: f32 = -0.7373688;
const GOLDEN_SIN: f32 = 0.6754903;

struct Receiver {
    layer: i32,
    texel: vec2f,    // where, in texels
    depth_m: f32,    // how deep, metres
    slope: vec2f,    // depth per texel, right and down
    tolerance_m: f32,
    texel_m: vec2f,
    reach_m: f32,    // metres of the map's depth
    edge: f32,
}

fn receiver(layer: i32, p: vec3f, n: vec3f) -> Receiver {
    let at = light.maps[layer].map_from_machine * vec4f(p, 1.0);
    let scale = light.maps[layer].scale;
    let cosine = max(dot(n, light.toward.xyz), 1e-4);
    var slope_m = vec2f(dot(n, light.maps[layer].right.xyz), dot(n, light.maps[layer].up.xyz)) / cosine;
    slope_m *= min(1.0, STEEPEST / max(length(slope_m), 1e-6));
    var r: Receiver;
    r.layer = layer;
    r.texel = at.xy * scale.w;
    r.depth_m = at.z * scale.z;
    // Rows count downward.
    r.slope = slope_m * scale.xy * vec2f(1.0, -1.0);
    // As much as the sighting allows in its own texels, and no less than these texels need.
    let needed_m = max(abs(r.slope.x) + abs(r.slope.y), light.maps[layer].right.w * length(slope_m));
    r.tolerance_m = SAME_SURFACE_M + 0.5 * needed_m;
    r.texel_m = scale.xy;
    r.reach_m = scale.z;
    r.edge = scale.w - 1.5;
    return r;
}

fn inside(r: Receiver) -> bool {
    return all(r.texel > vec2f(1.5)) && all(r.texel < vec2f(r.edge));
}

// How far before the receiver's plane a texel's content stands, metres.
fn ahead(r: Receiver, texel: vec2i) -> f32 {
    let stored_m = textureLoad(sun_maps, texel, r.layer, 0) * r.reach_m;
    return r.depth_m + dot(r.slope, vec2f(texel) + 0.5 - r.texel) - stored_m;
}

// The four texels about a place: x is their mean height before it where they stand before it, y the share free.
fn four(r: Receiver, offset: vec2f) -> vec2f {
    let at = r.texel + offset - 0.5;
    let base = vec2i(floor(at));
    let t = at - floor(at);
    let w = vec4f((1.0 - t.x) * (1.0 - t.y), t.x * (1.0 - t.y), (1.0 - t.x) * t.y, t.x * t.y);
    let b = vec4f(ahead(r, base), ahead(r, base + vec2i(1, 0)), ahead(r, base + vec2i(0, 1)),
        ahead(r, base + vec2i(1, 1)));
    // What stands out about as far as is allowed shades by degrees: a ledge's shadow begins without teeth.
    let hit = saturate((b / r.tolerance_m - 0.93) / 0.14);
    return vec2f(dot(b, hit) / max(dot(hit, vec4f(1.0)), 1e-3), 1.0 - dot(w, hit));
}

// Sum of heights and number of texels that stand before a place and can touch the disc, on a ring of six `far_m`
// metres of height wide.
fn ring(r: Receiver, way: vec2f, far_m: f32) -> vec2f {
    let per_metre = light.beam.w / r.texel_m;
    var found = vec2f(0.0);
    var v = way;
    for (var i = 0; i < 6; i++) {
        let offset = v * sqrt((f32(i) + 0.5) / 6.0) * max(per_metre * far_m, vec2f(1.0));
        let b = ahead(r, vec2i(floor(r.texel + offset)));
        let aside_m = length(offset * r.texel_m);
        let touches = b > r.tolerance_m && b * light.beam.w + r.texel_m.x >= aside_m;
        found += select(vec2f(0.0), vec2f(b, 1.0), touches);
        v = vec2f(GOLDEN_COS * v.x - GOLDEN_SIN * v.y, GOLDEN_SIN * v.x + GOLDEN_COS * v.y);
    }
    return found;
}

// `turn` differs from pixel to pixel, so that few points of the disc serve.
fn lit_in(r: Receiver, turn: f32) -> f32 {
    let near = four(r, vec2f(0.0));
    if light.beam.w <= 0.0 {
        return near.y;
    }
    let way = vec2f(cos(turn), sin(turn));
    // What stands before the place: close about it, then farther as far things blur.
    var found = vec2f(near.x, select(0.0, 1.0, near.y < 1.0));
    found += ring(r, way, 2.5) + ring(r, way, 25.0);
    let reach = light.beam.w / r.texel_m * (found.x / max(found.y, 1.0));
    // The close texels have the truth where nothing blurs, and where nothing stands before the place.
    let blurred = found.y > 0.0 && max(reach.x, reach.y) >= 0.6;
    let taps = select(0, DISC_TAPS, blurred);
    var free = 0.0;
    var v = way;
    for (var i = 0; i < taps; i++) {
        free += four(r, v * sqrt((f32(i) + 0.5) / f32(DISC_TAPS)) * reach).y;
        v = vec2f(GOLDEN_COS * v.x - GOLDEN_SIN * v.y, GOLDEN_SIN * v.x + GOLDEN_COS * v.y);
    }
    return select(near.y, free / f32(DISC_TAPS), blurred);
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
