// Development: pixels drawn for one of the picture are put together, then encoded. May not enter: scenes, the curve.

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
    return vec4f(developed(sum / f32(times * times), at + 0.5 + frame.tile.zw / frame.times.x), 1.0);
}
