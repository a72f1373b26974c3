// Crowns, bushes and weeds: sprays of leaves, each leaf a folded diamond. May not enter: where sprays hang.

struct Spray {
    @location(0) middle: vec4f,  // w: half its size
    @location(1) outward: vec4f, // w: how deep inside, 0 at the rim
    @location(2) surface: u32,
    @location(3) seed: u32,
    @location(4) reach_m: f32,
    @location(5) sort: u32,
}

struct Leaf {
    @builtin(position) position: vec4f,
    @location(0) @interpolate(flat) color: vec3f,
    @location(1) at: vec3f,
}

fn ball(h: u32) -> vec3f {
    let z = f32(h & 0x3FFu) / 511.5 - 1.0;
    let turn = f32((h >> 10u) & 0x3FFu) * 0.006141923;
    let flat_r = sqrt(max(1.0 - z * z, 0.0));
    return vec3f(flat_r * cos(turn), flat_r * sin(turn), z);
}

fn unit_of(h: u32) -> f32 {
    return f32(h >> 8u) / 16777215.0;
}

@vertex
fn vs(spray: Spray, @builtin(vertex_index) vertex: u32) -> Leaf {
    let leaf = vertex / 6u;
    let corner = vertex % 6u;
    let h = hash3(leaf, spray.seed, 7u);
    let k = hash3(leaf, spray.seed, 8u);
    let size_m = spray.middle.w;
    let spread = ball(h) * size_m * pow(unit_of(k), 0.4);
    let center = spray.middle.xyz + spread;
    var along = normalize(ball(k) + 0.8 * spray.outward.xyz + vec3f(0.0, 0.0, -0.35));
    var long_m = size_m * (0.42 + 0.22 * unit_of(h * 31u));
    var wide_m = long_m * 0.34;
    if spray.sort == 1u {
        // Needles: narrow, in whorls that lean outward.
        long_m = size_m * 0.75;
        wide_m = long_m * 0.13;
        along = normalize(0.9 * ball(k) + spray.outward.xyz);
    } else if spray.sort == 2u {
        long_m = size_m * 1.1;
        wide_m = max(long_m * 0.025, 0.006);
        along = normalize(ball(k) + spray.outward.xyz + vec3f(0.0, 0.0, 0.7));
    } else if spray.sort == 3u {
        long_m = size_m * 1.3;
        wide_m = long_m * 0.07;
        along = normalize(ball(k) * vec3f(0.5, 0.5, 0.2) + vec3f(0.0, 0.0, 1.0));
    }
    let other = normalize(cross(along, ball(k * 0x9E3779B9u) + vec3f(0.01, 0.02, 0.03)));
    let fold = cross(along, other);
    // Two halves folded along the middle rib.
    let left = corner < 3u;
    let side = select(-1.0, 1.0, left);
    let normal_raw = normalize(fold + 0.45 * side * other);
    var at = center;
    let place = corner % 3u;
    if place == 0u {
        at -= along * long_m;
    } else if place == 1u {
        at += along * long_m;
    } else {
        at += other * side * wide_m * 2.0 - fold * wide_m * 0.35;
    }
    let v = to_eye(center);
    let n = normal_raw * select(-1.0, 1.0, dot(normal_raw, v) >= 0.0);
    let s = surfaces[spray.surface];

    // Other things' shadows are asked outside the crown; its own depth shades it.
    let lit = lit_quickly(center + light.toward.xyz * spray.reach_m, 1);
    let outward = normalize(spray.outward.xyz + 0.35 * spread / max(size_m, 1e-3));
    let side_lit = smoothstep(-0.35, 0.55, dot(outward, light.toward.xyz));
    let depth = spray.outward.w;
    let own = mix(1.0, 0.22, depth) * mix(0.10, 1.0, side_lit) * mix(0.55, 1.15, unit_of(h * 77u));
    let facing = dot(n, light.toward.xyz);
    // Light that falls on the far side comes through yellowed.
    let front = max(facing, 0.0) * 0.8 + 0.12;
    let through = max(-facing, 0.0) * 0.35;
    let tint = 0.75 + 0.5 * unit_of(h * 13u);
    let warm = 0.24 * (unit_of(h * 29u) - 0.5);
    let albedo = s.color.rgb * tint * vec3f(1.0 + warm, 1.0, 1.0 - warm);
    let yellow = albedo * vec3f(1.25, 1.15, 0.45);
    let open = mix(0.95, 0.28, depth) * (0.62 + 0.38 * outward.z);
    let below = mix(0.5, 0.15, depth) * (0.5 - 0.5 * outward.z);
    var sent = light.beam.rgb * lit * own * (albedo * front + yellow * through);
    sent += albedo * (light.sky.rgb * open + light.ground.rgb * open_ground() * below);
    let distance_m = distance(center, frame.eye.xyz) * frame.eye.w;
    sent = through_air(sent, -v, distance_m);
    var out: Leaf;
    out.position = frame.clip_from_machine * vec4f(at, 1.0);
    out.color = select(sent * frame.film.w, vec3f(lit, 0.0, 0.0), frame.forward.w > 0.5);
    out.at = at;
    return out;
}

@fragment
fn fs(in: Leaf) -> @location(0) vec4f {
    return vec4f(in.color, 1.0);
}
