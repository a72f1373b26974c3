// What a fragment hands on where it is developed at once, one sample to a pixel. May not enter: what is drawn.

// `developed` within two steps of a byte, without its powers and its spread.
fn quickly(light_seen: vec3f) -> vec3f {
    let white = frame.film.z;
    let linear = clamp(light_seen, vec3f(0.0), vec3f(white));
    let grey = luminance(linear);
    let root = sqrt(sqrt(mix(linear, vec3f(grey), 0.25 * grey / white) / white));
    let a = frame.quick_low;
    let b = frame.quick_high;
    return a.x + root * (a.y + root * (a.z + root * (a.w + root * (b.x + root * b.y))));
}

fn handed(sent: vec3f, share: f32, at: vec4f) -> vec4f {
    return vec4f(quickly(sent) + spread_of(at.xy + frame.tile.zw), share);
}
