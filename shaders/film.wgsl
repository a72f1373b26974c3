// From light to sRGB bytes: pixels drawn for one of the picture are put together, then developed with the curve and
// the constants of src/picture/tone.rs. May not enter: scenes.

@group(1) @binding(0) var drawn: texture_2d<f32>;

struct Developed {
    @builtin(position) position: vec4f,
    // In pixels of the picture from the tile's first.
    @location(0) at: vec2f,
}

@vertex
fn vs(@builtin(vertex_index) i: u32) -> Developed {
    let corner = vec2f(f32((i << 1u) & 2u), f32(i & 2u));
    var out: Developed;
    out.position = vec4f(corner * 2.0 - 1.0, 0.0, 1.0);
    out.at = vec2f(corner.x, 1.0 - corner.y) * frame.tile.xy / frame.times.x;
    return out;
}

fn bend(x: f32) -> f32 {
    let grey = frame.film.x;
    let contrast = frame.film.y;
    let knee = pow(grey, contrast) * (1.0 - grey) / grey;
    let raised = pow(max(x, 0.0), contrast);
    return raised / (raised + knee);
}

fn channel(x: f32) -> f32 {
    let linear = min(bend(x) / bend(frame.film.z), 1.0);
    return select(1.055 * pow(linear, 1.0 / 2.4) - 0.055, 12.92 * linear, linear <= 0.0031308);
}

@fragment
fn fs(in: Developed) -> @location(0) vec4f {
    let times = i32(frame.times.x);
    let at = floor(in.at);
    let base = vec2i(at) * times;
    var sum = vec3f(0.0);
    for (var y = 0; y < times; y++) {
        for (var x = 0; x < times; x++) {
            sum += textureLoad(drawn, base + vec2i(x, y), 0).rgb;
        }
    }
    let linear = max(sum / f32(times * times), vec3f(0.0));
    // Strong light loses colour before it clips.
    let white = frame.film.z;
    let light_seen = luminance(linear);
    let mixed = mix(linear, vec3f(light_seen), 0.25 * saturate(light_seen / white));
    // Less than one step of a byte, spread unevenly, keeps even skies free of bands.
    let pixel = at + 0.5 + frame.tile.zw / frame.times.x;
    let spread = fract(52.9829189 * fract(dot(pixel, vec2f(0.06711056, 0.00583715)))) - 0.5;
    return vec4f(channel(mixed.r), channel(mixed.g), channel(mixed.b), 1.0) + spread / 255.0;
}
