// What is seen through: woven wire as wires where a pixel can hold them, as a thin shade where it cannot. May not
// enter: solid things.

struct Shown {
    @builtin(position) position: vec4f,
    @location(0) at: vec3f,
    @location(1) @interpolate(flat) surface: u32,
    @location(2) @interpolate(flat) normal: vec3f,
}

@vertex
fn vs(in: Corner) -> Shown {
    var out: Shown;
    out.position = frame.clip_from_machine * vec4f(in.position, 1.0);
    out.at = in.position;
    out.surface = in.surface;
    out.normal = in.flat_normal.xyz;
    return out;
}

@fragment
fn fs(in: Shown) -> @location(0) vec4f {
    let s = surfaces[in.surface];
    let v = to_eye(in.at);
    let n = normalize(in.normal) * select(-1.0, 1.0, dot(in.normal, v) >= 0.0);
    var share = s.color.w;
    if s.finish == MESH {
        let pitch_m = 0.055;
        let at = on_wall(in.at, n) / pitch_m;
        // Two sets of wires that together cover the share.
        let one = 1.0 - sqrt(1.0 - share);
        let soft = metres_per_pixel(in.at) / pitch_m / max(abs(dot(n, v)), 0.15);
        let a = stripe(at.x + at.y, one, soft * 1.4);
        let b = stripe(at.x - at.y, one, soft * 1.4);
        share = 1.0 - (1.0 - a) * (1.0 - b);
    }
    let lit = lit_quickly(in.at, 1);
    if frame.forward.w > 0.5 {
        return vec4f(lit, 0.0, 0.0, 0.0);
    }
    let facing = 0.25 + 0.5 * abs(dot(n, light.toward.xyz));
    let sent = s.color.rgb * (light.beam.rgb * lit * facing + light.sky.rgb * 0.6);
    let distance_m = distance(in.at, frame.eye.xyz) * frame.eye.w;
    return handed(through_air(sent, -v, distance_m) * frame.film.w, share, in.position);
}
