// One look at the sun's maps, for moving pictures. May not enter: colours.

// 1 where one texel of a map says that a place is lit, 0 where it is not, 2 where the map does not hold it.
fn looked_up(r: Receiver) -> f32 {
    let lit = select(1.0, 0.0, ahead(r, vec2i(floor(r.texel))) > r.tolerance_m);
    return select(2.0, lit, inside(r));
}

// Of a place about the machine, by the closest map that holds it; `mapped` is where the nearer map has it, which is
// worked out at corners. A loop that runs no turns skips what an `if` would run for nothing.
fn lit_about(p: vec3f, mapped: vec3f, n: vec3f) -> f32 {
    var lit = looked_up(sloped(1, mapped.xy, mapped.z, n));
    let more = select(0, 1, lit > 1.5);
    for (var turn = 0; turn < more; turn++) {
        lit = looked_up(receiver(2, p, n));
    }
    return min(lit, 1.0) * select(0.0, 1.0, light.beam.y > 0.0);
}
