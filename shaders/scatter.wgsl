// Tufts of grass and broken stone, as shapes of their own. May not enter: where they lie.

@group(2) @binding(1) var<storage, read> tones: array<vec4f>;

struct Piece {
    @builtin(position) position: vec4f,
    @location(0) color: vec3f,
}

fn unit_of(h: u32) -> f32 {
    return f32(h >> 8u) / 16777215.0;
}

fn finished(sent: vec3f, at: vec3f) -> Piece {
    var out: Piece;
    out.position = frame.clip_from_machine * vec4f(at, 1.0);
    // So near that air takes nothing.
    out.color = sent * frame.film.w;
    return out;
}

// A tuft: blades of five corners each, bent by their own weight.
fn tuft(thing: u32, vertex: u32, corners: u32) -> Piece {
    let t = things[thing];
    let tone = tones[thing];
    let foot = vec3f(t.foot_x, t.foot_y, t.foot_z);
    let blade = vertex / corners;
    let corner = vertex % corners;
    let h = hash3(blade, t.seed, 3u);
    let k = hash3(blade, t.seed, 4u);
    let turn = unit_of(h) * 6.2831853;
    let out_way = vec2f(cos(turn), sin(turn));
    let stalk = unit_of(k * 17u) > 0.93;
    let tall = t.size_m * (0.55 + 0.75 * unit_of(k)) * select(1.0, 1.5, stalk);
    let bend = tall * (0.25 + 0.75 * unit_of(h * 7u)) * select(1.0, 0.35, stalk);
    // Never narrower than two thirds of a pixel, so that blades neither glitter nor vanish.
    let pixel_m = metres_per_pixel(foot);
    let wide = max(t.size_m * 0.020, 0.66 * pixel_m);
    let root = vec3f(foot.xy + out_way * t.size_m * 0.35 * unit_of(k * 5u), foot.z);
    // 0 1 at the root, 2 3 in the middle, 4 the tip; three corners only when far.
    var rise = 0.0;
    var aside = 0.0;
    if corners == 5u {
        rise = array(0.0, 0.0, 0.55, 0.55, 1.0)[corner];
        aside = array(-1.0, 1.0, -0.8, 0.8, 0.0)[corner];
    } else {
        rise = array(0.0, 0.0, 1.0)[corner];
        aside = array(-1.0, 1.0, 0.0)[corner];
    }
    let v = to_eye(foot);
    let across = normalize(vec2f(-v.y, v.x) + vec2f(1e-5, 0.0));
    let at = root + vec3f(out_way * bend * rise * rise + across * aside * wide, tall * rise * (1.0 - 0.25 * rise));
    let own = 0.70 + 0.6 * unit_of(h * 3u);
    let g = vec3f(saturate(tone.x + 0.5 * (unit_of(k * 3u) - 0.5)), 0.0, tone.z);
    var albedo = grass_color(g, vec3f(1.0), rise) * own;
    if stalk {
        albedo = mix(albedo, vec3f(0.30, 0.25, 0.14), 0.7 * rise);
    }
    // Roots stand in the shade of the rest; a blade shows its lit and its shaded side.
    let hollow = mix(0.42, 1.0, smoothstep(0.0, 0.7, rise));
    let lean = dot(normalize(vec3f(out_way, 0.9)), light.toward.xyz);
    let front = 0.30 + 0.62 * max(lean, 0.0);
    let to_sun = saturate(0.5 - 0.5 * dot(v, light.toward.xyz));
    let through = albedo * vec3f(1.2, 1.15, 0.5) * 0.30 * to_sun;
    let lit = tone.w;
    let sent = hollow * (light.beam.rgb * lit * (albedo * front + through * rise)
        + light.sky.rgb * albedo * 0.85 * sky_over_ground(foot) + light.ground.rgb * open_ground() * albedo * 0.12);
    return finished(sent, at);
}

@vertex
fn vs_near(@builtin(vertex_index) vertex: u32, @builtin(instance_index) thing: u32) -> Piece {
    return tuft(thing, vertex, 5u);
}

@vertex
fn vs_far(@builtin(vertex_index) vertex: u32, @builtin(instance_index) thing: u32) -> Piece {
    return tuft(thing, vertex, 3u);
}

fn stone_corner(i: u32, seed: u32) -> vec3f {
    let base = array(vec3f(1.0, 0.0, 0.0), vec3f(0.0, 1.0, 0.0), vec3f(-1.0, 0.0, 0.0), vec3f(0.0, -1.0, 0.0),
        vec3f(0.0, 0.0, 1.0), vec3f(0.0, 0.0, -1.0))[i];
    let h = hash3(i, seed, 5u);
    let jog = vec3f(unit_of(h), unit_of(h * 3u), unit_of(h * 7u)) - 0.5;
    return base * (0.75 + 0.5 * unit_of(h * 11u)) + 0.75 * jog;
}

@vertex
fn vs_stone(@builtin(vertex_index) vertex: u32, @builtin(instance_index) thing: u32) -> Piece {
    let t = things[thing];
    let tone = tones[thing];
    let foot = vec3f(t.foot_x, t.foot_y, t.foot_z);
    let face = vertex / 3u;
    let around = face % 4u;
    let pole = 4u + face / 4u;
    let a = stone_corner(around, t.seed);
    let b = stone_corner((around + 1u) % 4u, t.seed);
    let c = stone_corner(pole, t.seed);
    let turn = unit_of(hash3(t.seed, 1u, 6u)) * 6.2831853;
    let spin = mat2x2f(cos(turn), sin(turn), -sin(turn), cos(turn));
    var n = normalize(cross(b - a, c - a));
    n *= select(-1.0, 1.0, dot(n, a + b + c) >= 0.0);
    let corner = array(a, b, c)[vertex % 3u];
    let half = 0.5 * t.size_m * vec3f(1.0, 0.8, 0.62);
    let shaped = corner * half;
    let at = foot + vec3f(spin * shaped.xy, shaped.z + 0.15 * t.size_m);
    let normal = vec3f(spin * n.xy, n.z);
    let s = surfaces[t.surface];
    let own = unit_of(hash3(t.seed, 2u, 6u));
    let warm = unit_of(hash3(t.seed, 3u, 6u)) - 0.5;
    let albedo = s.color.rgb * tone.rgb * (0.80 + 0.55 * own) * vec3f(1.0 + 0.12 * warm, 1.0, 1.0 - 0.14 * warm);
    let facing = max(dot(normal, light.toward.xyz), 0.0);
    let up = 0.5 + 0.5 * normal.z;
    // The foot of a stone lies among others.
    let hollow = mix(0.45, 1.0, saturate((shaped.z / t.size_m) + 0.5));
    let sent = albedo * (light.beam.rgb * facing * tone.w * mix(0.5, 1.0, hollow)
        + hollow * (light.sky.rgb * up * sky_over_ground(foot) + light.ground.rgb * open_ground() * (1.0 - up)));
    return finished(sent, at);
}

@fragment
fn fs(in: Piece) -> @location(0) vec4f {
    return vec4f(in.color, 1.0);
}
