// Machine, surroundings, ground and tracks: what is solid. May not enter: leaves, tufts, wires.

// Which class of finishes a pipeline draws: processors that play an adapter run every branch that is not known to be
// idle beforehand.
override CLASS: u32 = 0u;

struct Shown {
    @builtin(position) position: vec4f,
    @location(0) at: vec3f,
    @location(1) @interpolate(flat) surface: u32,
    @location(2) @interpolate(flat) flat_normal: vec3f,
    @location(3) normal: vec3f,
    @location(4) open: vec2f,
}

@vertex
fn vs(in: Corner) -> Shown {
    var out: Shown;
    out.position = frame.clip_from_machine * vec4f(in.position, 1.0);
    out.at = in.position;
    out.surface = in.surface;
    out.flat_normal = in.flat_normal.xyz;
    out.normal = in.smooth_normal.xyz;
    out.open = in.open;
    return out;
}

@fragment
fn fs(in: Shown, @builtin(front_facing) front: bool) -> @location(0) vec4f {
    let s = surfaces[in.surface];
    let v = to_eye(in.at);
    let flip = select(-1.0, 1.0, dot(in.flat_normal, v) >= 0.0);
    let flat_n = normalize(in.flat_normal) * flip;
    var n = normalize(in.normal) * flip;
    let of_machine = CLASS == 0u;
    let faces = dot(flat_n, light.toward.xyz) > 0.0;
    var lit = 0.0;
    if faces {
        lit = lit_share(in.at, flat_n, of_machine, turn_of(in.position.xy));
    }
    if frame.forward.w > 0.5 {
        return vec4f(lit, 0.0, 0.0, 1.0);
    }
    let pixel_m = metres_per_pixel(in.at);
    let f = pixel_m / sqrt(max(abs(dot(flat_n, v)), 0.02));
    let distance_m = distance(in.at, frame.eye.xyz);
    var m: Matter;
    var open = in.open;
    if CLASS == 0u {
        m = machine_of(s, in.at, flat_n, n, f);
    } else {
        if CLASS == 1u {
            m = grass_of(s, in.at, n, f, distance_m);
        } else if CLASS == 2u {
            m = stone_of(s, in.at, n, f);
        } else if CLASS == 3u {
            m = track_of(s, in.at, n, f);
        } else if CLASS == 4u {
            m = masonry_of(s, in.at, n, f);
        } else if CLASS == 5u {
            m = metal_of(s, in.at, n, f);
        } else {
            m = other_of(s, in.at, n, f);
        }
        let tilt = (1.0 + n.z) * 0.5;
        // The foot of a wall sees less of everything.
        let foot = mix(0.62, 1.0, smoothstep(0.0, 0.7, in.at.z - light.deep.w));
        open = vec2f(tilt * sky_over_ground(in.at), 1.0 - tilt) * mix(foot, 1.0, abs(n.z));
    }
    var ground_lit = 1.0;
    if CLASS != 1u && CLASS != 2u && CLASS != 3u {
        ground_lit = select(1.0, ground_facing(in.at, flat_n), abs(flat_n.z) < 0.9 && frame.up.w > 0.5);
    }
    let sent = leaving(in.at, m, lit, open, ground_lit);
    // Far over the paper's white nothing is told apart, and edges of what glares stay smooth.
    let shown = through_air(sent, -v, distance_m * frame.eye.w) * frame.film.w;
    return vec4f(min(shown, vec3f(1.6 * frame.film.z)), 1.0);
}
