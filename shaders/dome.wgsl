// The sky of a moving picture, cell by cell of a grid: as `sky.wgsl` has it where hills or clouds may show, and else a
// clear dome that is worked out at corners. May not enter: what stands on the stage.

// Cells across and down, each of two triangles (`picture::lit::dome`).
const ACROSS: u32 = 24u;
const DOWN: u32 = 24u;

// Whether hills and clouds may show.
override IS_FULL: bool = false;

struct Seen {
    @builtin(position) position: vec4f,
    @location(0) direction: vec3f,
    // The clear dome, as the film shows it.
    @location(1) shown: vec3f,
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
    out.shown = quickly(dome(above(out.direction)) * frame.film.w);
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
    if !IS_FULL {
        return vec4f(in.shown + spread_of(in.position.xy), 1.0);
    }
    let direction = normalize(in.direction);
    return handed(hills(direction, clouded(above(direction))) * frame.film.w, 1.0, in.position);
}
