// The ground of a moving picture, pixel by pixel: grass as it looks with its tufts, stones. May not enter: what stands
// on it.

// Whether it draws grass, else stones.
override IS_GRASS: bool = false;

@group(2) @binding(0) var growth_map: texture_2d<f32>;
@group(2) @binding(1) var smoothly: sampler;

// How far the map of growth reaches to either side, metres.
const MAP_M: f32 = 110.0;
// Nearer than this air takes less than a byte shows, metres.
const AIR_M: f32 = 60.0;

struct Coarse {
    @location(0) position: vec3f,
    @location(1) albedo: vec4f,
    @location(2) normal: vec4f,
    @location(3) open: vec2f,
}

struct Shown {
    @builtin(position) position: vec4f,
    @location(0) at: vec3f,
    @location(1) albedo: vec3f,
    @location(2) normal: vec4f, // w: how large stones are, 1 for ballast
    @location(3) open: vec2f,
    // Texel and depth in the map about the machine.
    @location(4) mapped: vec3f,
}

@vertex
fn vs(in: Coarse) -> Shown {
    var out: Shown;
    out.position = frame.clip_from_machine * vec4f(in.position, 1.0);
    out.at = in.position;
    out.albedo = in.albedo.rgb;
    out.normal = in.normal;
    out.open = in.open;
    let r = receiver(1, in.position, in.normal.xyz);
    out.mapped = vec3f(r.texel, r.depth_m);
    return out;
}

// Tufts or stones `size_m` across, or what a pixel holds of them: lighter and darker, 1 on the mean.
fn grain(p: vec3f, size_m: f32, much: f32, seed: u32) -> f32 {
    let coarse_m = 1.6 * metres_per_pixel(p);
    let c = vec2i(floor(p.xy / max(size_m, coarse_m)));
    return 1.0 + much * min(size_m / coarse_m, 1.0) * (cell(c.x, c.y, seed) - 0.5);
}

fn sward(p: vec3f, distance_m: f32) -> vec3f {
    let at = p.xy / (2.0 * MAP_M) + 0.5;
    let mapped = textureSampleLevel(growth_map, smoothly, at, 0.0).xyz;
    let held = smoothstep(1.0, 0.85, 2.0 * max(abs(at.x - 0.5), abs(at.y - 0.5)));
    let g = mix(vec3f(0.34, 0.02, 0.5), mapped, held);
    let far = smoothstep(25.0, 110.0, distance_m);
    // Near by, tufts stand over what is bare.
    let grass = grass_color(g, vec3f(1.0), 0.6) * mix(0.80, 0.95, far);
    let earth = vec3f(0.135, 0.105, 0.072);
    return mix(grass, earth * mix(0.8, 1.0, far), g.y * mix(0.25, 0.85, far)) * grain(p, 0.07, 0.75, 35u);
}

@fragment
fn fs(in: Shown) -> @location(0) vec4f {
    let n = normalize(in.normal.xyz);
    let lit = lit_about(in.at, in.mapped, n);
    if frame.forward.w > 0.5 {
        return vec4f(lit, 0.0, 0.0, 1.0);
    }
    let distance_m = distance(in.at, frame.eye.xyz);
    let far = select(0, 1, distance_m * frame.eye.w > AIR_M);
    var m = Matter(in.albedo, 0.0, 1.0, n, 1.0);
    if IS_GRASS {
        m.albedo = sward(in.at, distance_m);
        for (var turn = 0; turn < far; turn++) {
            m.albedo = far_fields(in.at.xy, m.albedo, distance_m);
        }
    } else {
        // Broken stone lies in its own shade.
        m.hollow = mix(1.0, 0.55, in.normal.w);
        m.albedo *= mix(1.0, 0.93, in.normal.w);
        m.albedo *= grain(in.at, 0.04, 0.9 * in.normal.w, 41u);
    }
    var open = in.open;
    let size = vec2f(textureDimensions(ground_open)) * dirt.grid.z;
    let about = all(in.at.xy > dirt.grid.xy) && all(in.at.xy < dirt.grid.xy + size);
    let near = select(0, 1, about);
    for (var turn = 0; turn < near; turn++) {
        open *= sky_over_ground(in.at);
    }
    var sent = leaving(in.at, m, lit, open, 1.0);
    for (var turn = 0; turn < far; turn++) {
        sent = through_air(sent, -to_eye(in.at), distance_m);
    }
    return handed(sent * frame.film.w, 1.0, in.position);
}
