// What an eye or the sun sees: the id of the nearest surface at every pixel centre, and as depth how near
// it is. Drawn into one layer of an array per view. May not enter: light, colour, counting.

// Brings a point of the machine frame to the clip space of one view. `w` is the depth along the axis in
// perspective and 1 along parallel rays; depth grows toward the eye, so that nothing is lost far off.
struct SightingView {
    eye: vec3<f32>,
    x_shift: f32,
    x_row: vec3<f32>,
    y_shift: f32,
    y_row: vec3<f32>,
    z_constant: f32,
    forward: vec3<f32>,
    z_per_depth: f32,
    w_constant: f32,
    w_per_depth: f32,
    // Texels to a pixel, across and down.
    scale: u32,
    spare: u32,
}

@group(0) @binding(0) var<uniform> view: SightingView;

struct Corner {
    @location(0) position: vec3<f32>,
    @location(1) id: u32,
    @location(2) stops_below: u32,
}

struct Placed {
    @builtin(position) position: vec4<f32>,
    @location(0) @interpolate(flat, first) id: u32,
    @location(1) @interpolate(flat, first) stops_below: u32,
}

@vertex
fn place(corner: Corner) -> Placed {
    let offset = corner.position - view.eye;
    let depth = dot(offset, view.forward);
    let w = view.w_constant + view.w_per_depth * depth;
    let x = dot(offset, view.x_row) + view.x_shift * w;
    let y = dot(offset, view.y_row) + view.y_shift * w;
    let z = view.z_constant + view.z_per_depth * depth;
    return Placed(vec4<f32>(x, y, z, w), corner.id, corner.stops_below);
}

@fragment
fn solid(placed: Placed) -> @location(0) u32 {
    return placed.id;
}

// A partly transparent thing stops the ray of this pixel by the hash of sighting/scatter.rs.
@fragment
fn sifted(placed: Placed) -> @location(0) u32 {
    let pixel = vec2<u32>(placed.position.xy) / view.scale;
    if hash(placed.id, pixel.x, pixel.y) >= placed.stops_below {
        discard;
    }
    return placed.id;
}

fn hash(a: u32, b: u32, c: u32) -> u32 {
    var hash = (a * 0x9E3779B9u) ^ (b * 0x85EBCA6Bu) ^ (c * 0xC2B2AE35u);
    hash ^= hash >> 16u;
    hash *= 0x7FEB352Du;
    hash ^= hash >> 15u;
    hash *= 0x846CA68Bu;
    return hash ^ (hash >> 16u);
}
