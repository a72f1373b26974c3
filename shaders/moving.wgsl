// The picture while something moves, for adapters in software: what `surface.wgsl` shows, with each finish's mean
// colour, one look at the sun's maps, and developed at once. May not enter: patterns.

// 0 the machine and what is polished, 1 what is dull, 2 the ground's stones, 3 grass.
override SORT: u32 = 0u;

@group(2) @binding(0) var growth_map: texture_2d<f32>;
@group(2) @binding(1) var smoothly: sampler;

const MAP_M: f32 = 110.0;

struct Coarse {
    @location(0) position: vec3f,
    @location(1) albedo: vec4f, // w: polish
    @location(2) normal: vec4f, // w: rough
    @location(3) open: vec2f,
}

struct Shown {
    @builtin(position) position: vec4f,
    @location(0) at: vec3f,
    @location(1) albedo: vec4f,
    @location(2) normal: vec4f,
    @location(3) open: vec2f,
}

@vertex
fn vs(in: Coarse) -> Shown {
    var out: Shown;
    out.position = frame.clip_from_machine * vec4f(in.position, 1.0);
    out.at = in.position;
    out.albedo = in.albedo;
    out.normal = in.normal;
    out.open = in.open;
    return out;
}

// One texel of the closest map that holds the place.
fn lit_at(p: vec3f, n: vec3f, first: i32) -> f32 {
    if light.beam.y <= 0.0 {
        return 0.0;
    }
    for (var layer = first; layer < 3; layer++) {
        let r = receiver(layer, p, n);
        if inside(r) {
            return select(1.0, 0.0, ahead(r, vec2i(floor(r.texel))) > r.tolerance_m);
        }
    }
    return 1.0;
}

// Grass as it looks with its tufts.
fn sward(p: vec3f, distance_m: f32) -> vec3f {
    let at = p.xy / (2.0 * MAP_M) + 0.5;
    let mapped = textureSampleLevel(growth_map, smoothly, at, 0.0).xyz;
    let held = smoothstep(1.0, 0.85, 2.0 * max(abs(at.x - 0.5), abs(at.y - 0.5)));
    let g = mix(vec3f(0.34, 0.02, 0.5), mapped, held);
    let far = smoothstep(25.0, 110.0, distance_m);
    let grass = grass_color(g, vec3f(1.0), 0.5 + 0.2 * far) * mix(0.80, 0.95, far);
    let earth = vec3f(0.135, 0.105, 0.072);
    return far_fields(p.xy, mix(grass, earth * mix(0.8, 1.0, far), g.y * 0.85), distance_m);
}

@fragment
fn fs(in: Shown) -> @location(0) vec4f {
    let v = to_eye(in.at);
    let n = normalize(in.normal.xyz);
    var lit = 0.0;
    if dot(n, light.toward.xyz) > 0.0 {
        lit = lit_at(in.at, n, select(1, 0, SORT == 0u));
    }
    if frame.forward.w > 0.5 {
        return vec4f(lit, 0.0, 0.0, 1.0);
    }
    let distance_m = distance(in.at, frame.eye.xyz);
    var m: Matter;
    m.albedo = in.albedo.rgb;
    m.polish = select(0.0, in.albedo.w, SORT == 0u);
    m.rough = in.normal.w;
    m.normal = n;
    m.hollow = 1.0;
    var open = in.open;
    if SORT == 3u {
        m.albedo = sward(in.at, distance_m);
    }
    if SORT >= 2u {
        open *= sky_over_ground(in.at);
    }
    let sent = through_air(leaving(in.at, m, lit, open, 1.0), -v, distance_m * frame.eye.w);
    return handed(sent * frame.film.w, 1.0, in.position);
}
