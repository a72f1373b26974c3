// The ground of a moving picture, pixel by pixel: grass as it looks with its tufts, stones. May not enter: what stands
// on it.

// Whether it draws grass, else stones.
override IS_GRASS: bool = false;

@group(2) @binding(0) var growth_map: texture_2d<f32>;
@group(2) @binding(1) var smoothly: sampler;

// How far the map of growth reaches to either side, metres.
const MAP_M: f32 = 110.0;
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
    // Where the map about the machine has it, and the far one.
    @location(4) near: vec3f,
    @location(5) far: vec3f,
    // What far air sends, straight ahead.
    @location(6) @interpolate(flat) air: vec3f,
}

@vertex
fn vs(in: Coarse) -> Shown {
    var out: Shown;
    out.position = frame.clip_from_machine * vec4f(in.position, 1.0);
    out.at = in.position;
    out.albedo = in.albedo.rgb;
    out.normal = in.normal;
    out.open = in.open;
    let about = mapped(in.position);
    out.near = about.near;
    out.far = about.far;
    out.air = dome(normalize(vec3f(frame.forward.xy, 0.03))) * 0.55;
    return out;
}

// Tufts or stones `size_m` across, or what a pixel holds of them: lighter and darker, 1 on the mean.
fn grain(p: vec3f, size_m: f32, much: f32, seed: u32) -> f32 {
    let coarse_m = 1.6 * metres_per_pixel(p);
    let c = vec2i(floor(p.xy / max(size_m, coarse_m)));
    return 1.0 + much * min(size_m / coarse_m, 1.0) * (cell(c.x, c.y, seed) - 0.5);
}

// Fields beyond the place, each with its own crop: `far_fields` of ground.wgsl without its rows and hedges.
fn fields(p: vec2f, near_color: vec3f, distance_m: f32) -> vec3f {
    let q = vec2f(0.94 * p.x + 0.34 * p.y, 0.94 * p.y - 0.34 * p.x) / vec2f(310.0, 190.0);
    let crop = cell(i32(floor(q.x)), i32(floor(q.y)), 201u);
    let green = mix(vec3f(0.095, 0.135, 0.036), vec3f(0.270, 0.230, 0.105), saturate((crop - 0.35) / 0.15));
    let color = mix(green, vec3f(0.120, 0.092, 0.062), saturate((crop - 0.80) / 0.06));
    return mix(near_color, color, smoothstep(160.0, 420.0, distance_m));
}

// `growth` is as shaders/bake.wgsl mapped it.
fn sward(p: vec3f, growth: vec3f, held: f32, distance_m: f32) -> vec3f {
    let g = mix(vec3f(0.34, 0.02, 0.5), growth, held);
    let far = smoothstep(25.0, 110.0, distance_m);
    // Near by, tufts stand over what is bare.
    let grass = grass_color(g, vec3f(1.0), 0.6) * mix(0.80, 0.95, far);
    let earth = vec3f(0.135, 0.105, 0.072);
    let near = mix(grass, earth * mix(0.8, 1.0, far), g.y * mix(0.25, 0.85, far));
    return fields(p.xy, near * grain(p, 0.07, 0.75, 35u), distance_m);
}

@fragment
fn fs(in: Shown) -> @location(0) vec4f {
    let n = normalize(in.normal.xyz);
    let lit = lit_about(in.near, in.far, n);
    if frame.forward.w > 0.5 {
        return vec4f(lit, 0.0, 0.0, 1.0);
    }
    let distance_m = distance(in.at, frame.eye.xyz) * frame.eye.w;
    let at = in.at.xy / (2.0 * MAP_M) + 0.5;
    let ground = textureSampleLevel(growth_map, smoothly, at, 0.0);
    let held = smoothstep(1.0, 0.85, 2.0 * max(abs(at.x - 0.5), abs(at.y - 0.5)));
    var m = Matter(in.albedo, 0.0, 1.0, n, 1.0);
    if IS_GRASS {
        m.albedo = sward(in.at, ground.xyz, held, distance_m);
    } else {
        // Broken stone lies in its own shade.
        m.hollow = mix(1.0, 0.55, in.normal.w);
        m.albedo *= mix(1.0, 0.93, in.normal.w);
        m.albedo *= grain(in.at, 0.04, 0.9 * in.normal.w, 41u);
    }
    let sent = leaving(in.at, m, lit, in.open * mix(1.0, ground.w, held), 1.0);
    // One exponent for all colours, and one colour of air.
    let shown = mix(in.air, sent, exp(-distance_m / light.pale.w));
    return handed(shown * frame.film.w, 1.0, in.position);
}
