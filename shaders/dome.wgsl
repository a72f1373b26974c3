// The sky of a moving picture: as `sky.wgsl` has it, but that a clear dome is worked out at the corners of a grid. May
// not enter: what stands on the stage.

// Cells across and down, each of two triangles.
const ACROSS: u32 = 24u;
const DOWN: u32 = 24u;
// The sine of the highest elevation at which hills are looked for.
const HIGHEST: f32 = 0.4;

struct Seen {
    @builtin(position) position: vec4f,
    @location(0) direction: vec3f,
    @location(1) clear: vec3f,
    // The same as the film shows it.
    @location(2) shown: vec3f,
}

@vertex
fn vs(@builtin(vertex_index) i: u32) -> Seen {
    let cell = i / 6u;
    let aside = array(0u, 1u, 0u, 0u, 1u, 1u)[i % 6u];
    let down = array(0u, 0u, 1u, 1u, 0u, 1u)[i % 6u];
    let corner = vec2f(vec2u(cell % ACROSS + aside, cell / ACROSS + down)) / vec2f(vec2u(ACROSS, DOWN));
    var out: Seen;
    out.position = vec4f(corner * 2.0 - 1.0, 0.0, 1.0);
    let at = mix(frame.window.xy, frame.window.zw, corner);
    let across = frame.right.xyz * at.x + frame.up.xyz * at.y;
    out.direction = normalize(select(frame.forward.xyz, across + frame.forward.xyz, frame.eye.w > 0.5));
    out.clear = dome(above(out.direction));
    out.shown = quickly(out.clear * frame.film.w);
    return out;
}

fn above(direction: vec3f) -> vec3f {
    return normalize(vec3f(direction.xy, max(direction.z, 0.0)) + vec3f(0.0, 0.0, 1e-4));
}

@fragment
fn fs(in: Seen) -> @location(0) vec4f {
    if frame.forward.w > 0.5 {
        return vec4f(0.0);
    }
    var shown = in.shown + spread_of(in.position.xy);
    // Loops that run no turns skip what an `if` would run for nothing.
    let more = select(0, 1, light.sky.w > 0.5 || in.direction.z < HIGHEST);
    for (var turn = 0; turn < more; turn++) {
        let direction = normalize(in.direction);
        var seen = in.clear;
        let clouds = select(0, 1, light.sky.w > 0.5);
        for (var cloud = 0; cloud < clouds; cloud++) {
            seen = clouded(above(direction));
        }
        shown = handed(hills(direction, seen) * frame.film.w, 1.0, in.position).rgb;
    }
    return vec4f(shown, 1.0);
}
