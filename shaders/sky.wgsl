// The sky behind everything, and the hills before it. May not enter: what stands on the stage.

struct Seen {
    @builtin(position) position: vec4f,
    @location(0) flat_at: vec2f,
}

@vertex
fn vs(@builtin(vertex_index) i: u32) -> Seen {
    let corner = vec2f(f32((i << 1u) & 2u), f32(i & 2u)) * 2.0 - 1.0;
    var out: Seen;
    out.position = vec4f(corner, 0.0, 1.0);
    out.flat_at = mix(frame.window.xy, frame.window.zw, corner * 0.5 + 0.5);
    return out;
}

@fragment
fn fs(in: Seen) -> @location(0) vec4f {
    if frame.forward.w > 0.5 {
        return vec4f(0.0);
    }
    let across = frame.right.xyz * in.flat_at.x + frame.up.xyz * in.flat_at.y;
    let direction = normalize(select(frame.forward.xyz, across + frame.forward.xyz, frame.eye.w > 0.5));
    let above = vec3f(direction.xy, max(direction.z, 0.0));
    let sky = clouded(normalize(above + vec3f(0.0, 0.0, 1e-4)));
    return vec4f(hills(direction, sky) * frame.film.w, 1.0);
}
