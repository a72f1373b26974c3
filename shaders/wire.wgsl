// Wires: strips as wide as the wire and never narrower than a pixel, of which they then fill a share, so that they
// neither vanish nor thicken. May not enter: where they hang.

struct Wire {
    @location(0) start: vec3f,
    @location(1) diameter_m: f32,
    @location(2) end: vec3f,
}

struct Strip {
    @builtin(position) position: vec4f,
    @location(0) aside: f32,  // pixels from the wire's middle
    @location(1) width: f32,  // of the wire, pixels
    @location(2) light: vec3f,
}

@vertex
fn vs(wire: Wire, @builtin(vertex_index) vertex: u32) -> Strip {
    let far_end = vertex == 1u || vertex == 2u || vertex == 4u;
    let side = select(-1.0, 1.0, vertex == 2u || vertex == 4u || vertex == 5u);
    let size = frame.tile.xy * 0.5;
    let p = select(wire.start, wire.end, far_end);
    let a = frame.clip_from_machine * vec4f(wire.start, 1.0);
    let b = frame.clip_from_machine * vec4f(wire.end, 1.0);
    var out: Strip;
    // A piece that reaches behind the eye is left out: wires hang far before a lens.
    if min(a.w, b.w) < 0.05 {
        out.position = vec4f(2.0, 2.0, 0.0, 1.0);
        return out;
    }
    let span = (b.xy / b.w - a.xy / a.w) * size;
    let across = normalize(vec2f(-span.y, span.x) + vec2f(1e-6, 0.0));
    let clip = select(a, b, far_end);
    let width = wire.diameter_m / metres_per_pixel(p);
    let reach = 0.5 * width + 1.0;
    out.position = clip + vec4f(across * side * reach / size * clip.w, 0.0, 0.0);
    out.aside = side * reach;
    out.width = width;
    let v = to_eye(p);
    let along = normalize(wire.end - wire.start);
    // A round dark wire: its sunlit flank, and sky.
    let square = sqrt(max(1.0 - pow(dot(along, light.toward.xyz), 2.0), 0.0));
    let sent = vec3f(0.05) * (light.beam.rgb * square * 0.5 + light.sky.rgb);
    out.light = through_air(sent, -v, distance(p, frame.eye.xyz) * frame.eye.w) * frame.film.w;
    return out;
}

@fragment
fn fs(in: Strip) -> @location(0) vec4f {
    if frame.forward.w > 0.5 {
        discard;
    }
    // Share of a pixel-wide slit across the wire that it fills.
    let away = abs(in.aside);
    let share = clamp(min(away + 0.5, 0.5 * in.width) - max(away - 0.5, -0.5 * in.width), 0.0, 1.0);
    return handed(in.light, share, in.position);
}
