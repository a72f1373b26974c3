// From light to sRGB with the curve of src/picture/tone.rs. May not enter: scenes, where light comes from.

fn bend(x: f32) -> f32 {
    let raised = pow(max(x, 0.0), frame.film.y);
    return raised / (raised + frame.times.y);
}

fn channel(x: f32) -> f32 {
    let linear = min(bend(x) * frame.times.z, 1.0);
    return select(1.055 * pow(linear, 1.0 / 2.4) - 0.055, 12.92 * linear, linear <= 0.0031308);
}

// Less than one step of a byte, spread unevenly, keeps even skies free of bands.
fn spread_of(pixel: vec2f) -> f32 {
    return (fract(52.9829189 * fract(dot(pixel, vec2f(0.06711056, 0.00583715)))) - 0.5) / 255.0;
}

// `pixel` is the middle of one of the whole picture.
fn developed(light_seen: vec3f, pixel: vec2f) -> vec3f {
    let linear = max(light_seen, vec3f(0.0));
    // Strong light loses colour before it clips.
    let grey = luminance(linear);
    let mixed = mix(linear, vec3f(grey), 0.25 * saturate(grey / frame.film.z));
    return vec3f(channel(mixed.r), channel(mixed.g), channel(mixed.b)) + spread_of(pixel);
}
