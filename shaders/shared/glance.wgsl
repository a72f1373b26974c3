// One look at the sun's maps, for moving pictures. May not enter: colours.

// Where the map about the machine has a place, and where the far one: texel and share of depth. Worked out at corners:
// along parallel rays all of it is linear.
struct Mapped {
    near: vec3f,
    far: vec3f,
}

fn mapped(p: vec3f) -> Mapped {
    let near = light.maps[1].map_from_machine * vec4f(p, 1.0);
    let far = light.maps[2].map_from_machine * vec4f(p, 1.0);
    return Mapped(vec3f(near.xy * light.maps[1].scale.w, near.z), vec3f(far.xy * light.maps[2].scale.w, far.z));
}

// Whether a place about the machine is lit, by one texel of the nearest map that holds it.
fn lit_about(near: vec3f, far: vec3f, n: vec3f) -> f32 {
    let scale = light.maps[1].scale;
    let is_near = all(near.xy > vec2f(1.5)) && all(near.xy < vec2f(scale.w - 1.5));
    let at = select(far, near, is_near);
    let cosine = max(dot(n, light.toward.xyz), 1e-4);
    var slope_m = vec2f(dot(n, light.maps[1].right.xyz), dot(n, light.maps[1].up.xyz)) / cosine;
    slope_m = clamp(slope_m, vec2f(-STEEPEST), vec2f(STEEPEST));
    // Both maps have the same axes; rows count downward.
    let slope = slope_m * select(light.maps[2].scale.xy, scale.xy, is_near) * vec2f(1.0, -1.0);
    let tolerance_m = SAME_SURFACE_M + 0.5 * (abs(slope.x) + abs(slope.y));
    let texel = vec2i(floor(at.xy));
    let stored = textureLoad(sun_maps, texel, select(2, 1, is_near), 0);
    let ahead_m = (at.z - stored) * scale.z + dot(slope, vec2f(texel) + 0.5 - at.xy);
    let edge = light.maps[2].scale.w - 1.5;
    let is_held = is_near || (all(far.xy > vec2f(1.5)) && all(far.xy < vec2f(edge)));
    let shaded = (is_held && ahead_m > tolerance_m) || light.beam.y <= 0.0;
    return select(1.0, 0.0, shaded);
}
