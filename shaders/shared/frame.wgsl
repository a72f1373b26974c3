// What all passes of a picture know: bind group 0 is the frame's. May not enter: what is drawn.
// Names of matrices read right to left: clip_from_machine brings machine coordinates to clip space.

struct Frame {
    clip_from_machine: mat4x4f,
    eye: vec4f,     // w: 1 in perspective, 0 where rays are parallel
    right: vec4f,   // w: radians (or metres) per pixel
    up: vec4f,      // w: fineness
    forward: vec4f, // w: 1 to show lit shares instead of light
    window: vec4f,  // low x, low y, high x, high y at unit distance
    tile: vec4f,    // pixels across and down, first column and row
    film: vec4f,    // grey, contrast, white, 1 / lx exposed for
    times: vec4f,   // pixels drawn for one of the picture, across; the curve's knee; 1 / its value at white
    quick_low: vec4f, // the curve and its encoding as a polynomial of the fourth root of light over white
    quick_high: vec4f,
}

struct SunMap {
    map_from_machine: mat4x4f,
    scale: vec4f, // metres across a texel: right, up; metres of depth; texels across
    right: vec4f, // w: metres across a texel of the sighting's own map, 0 if it has none
    up: vec4f,
}

struct Light {
    maps: array<SunMap, 3>,
    toward: vec4f, // w: true bearing of the machine's forward axis
    beam: vec4f,   // w: tangent of the sun's radius
    sky: vec4f,    // w: 0 clear, 1 thin cirrus, 2 broken, 3 overcast
    pale: vec4f,   // w: haze, metres
    deep: vec4f,   // w: height of the open ground
    ground: vec4f, // w: the sky's luminance times pi where its distribution is 1
    spread: vec4f, // distribution of the sky's luminance: a, b, c, d
    spread_more: vec4f, // its e
}

@group(0) @binding(0) var<uniform> frame: Frame;
@group(0) @binding(1) var<uniform> light: Light;
@group(0) @binding(2) var sun_maps: texture_depth_2d_array;
@group(0) @binding(3) var skyline: texture_2d<f32>;

fn luminance(c: vec3f) -> f32 {
    return dot(c, vec3f(0.2126, 0.7152, 0.0722));
}

// Toward the eye, from a place.
fn to_eye(p: vec3f) -> vec3f {
    return normalize(select(-frame.forward.xyz, frame.eye.xyz - p, frame.eye.w > 0.5));
}

// Metres that a pixel covers at a place, square to the sight.
fn metres_per_pixel(p: vec3f) -> f32 {
    let distance_m = dot(p - frame.eye.xyz, frame.forward.xyz);
    return frame.right.w * select(1.0, max(distance_m, 0.1), frame.eye.w > 0.5);
}
