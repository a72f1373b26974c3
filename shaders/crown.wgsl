// Crowns and bushes of a moving picture: their hulls, broken into clumps of leaves and holes by the hash of their
// place. May not enter: single leaves.

struct Hull {
    @location(0) position: vec3f,
    @location(1) albedo: vec4f,  // w: share of light that it stops
    @location(2) outward: vec4f, // the crown's direction there
    @location(3) open: vec2f,    // x: 1 / 64 of how far the crown reaches, metres
    @location(4) seed: u32,
}

struct Shown {
    @builtin(position) position: vec4f,
    @location(0) at: vec3f,
    @location(1) albedo: vec4f,
    @location(2) outward: vec3f,
    @location(3) @interpolate(flat) seed: u32,
    @location(4) lit: f32,
}

@vertex
fn vs(in: Hull) -> Shown {
    var out: Shown;
    out.position = frame.clip_from_machine * vec4f(in.position, 1.0);
    out.at = in.position;
    out.albedo = in.albedo;
    out.outward = in.outward.xyz;
    out.seed = in.seed;
    // Other things' shadows are asked outside the crown, as shaders/leaf.wgsl asks them.
    out.lit = lit_quickly(in.position + light.toward.xyz * in.open.x * 64.0, 1);
    return out;
}

fn clump(p: vec3f, size_m: f32, seed: u32) -> f32 {
    let c = vec3i(floor(p / size_m));
    return cell(c.x + 7919 * c.z, c.y, seed);
}

@fragment
fn fs(in: Shown) -> @location(0) vec4f {
    let v = to_eye(in.at);
    let outward = normalize(in.outward);
    let leaf_m = max(0.13, 1.4 * metres_per_pixel(in.at));
    let leaf = clump(in.at, leaf_m, in.seed);
    // Toward the rim fewer leaves stand before one another.
    let rim = smoothstep(0.0, 0.55, abs(dot(outward, v)));
    if leaf > in.albedo.w * mix(0.35, 1.05, rim) {
        discard;
    }
    if frame.forward.w > 0.5 {
        return vec4f(in.lit, 0.0, 0.0, 1.0);
    }
    let bough = clump(in.at + 0.4 * outward, 4.0 * leaf_m, in.seed + 1u);
    let turned = clump(in.at, leaf_m, in.seed + 2u);
    let side_lit = smoothstep(-0.35, 0.55, dot(outward, light.toward.xyz));
    let own = mix(0.10, 1.0, side_lit) * mix(0.35, 1.15, turned) * mix(0.55, 1.0, bough);
    let albedo = in.albedo.rgb * (0.75 + 0.5 * leaf);
    let open = 0.75 * mix(0.5, 1.0, bough) * (0.62 + 0.38 * outward.z);
    let below = 0.35 * (0.5 - 0.5 * outward.z);
    var sent = light.beam.rgb * (in.lit * own * 0.42) * albedo;
    sent += albedo * (light.sky.rgb * open + light.ground.rgb * open_ground() * below);
    let distance_m = distance(in.at, frame.eye.xyz) * frame.eye.w;
    return handed(through_air(sent, -v, distance_m) * frame.film.w, 1.0, in.position);
}
