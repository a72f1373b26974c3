// What a corner's finish comes to on the mean, once for each stage, so that a moving picture need not paint patterns;
// and how grass grows about the machine. May not enter: light, eyes.

override CLASS: u32 = 0u;

// Corners as `picture::lit::uniforms::Corner` lays them out, nine words each.
@group(2) @binding(0) var<storage, read> corners: array<u32>;
// The triangles of one class, three corners each.
@group(2) @binding(1) var<storage, read> triangles: array<u32>;
// Corners as `picture::lit::uniforms::CoarseCorner`, eight words each.
@group(2) @binding(2) var<storage, read_write> coarse: array<u32>;
@group(2) @binding(3) var growth_map: texture_storage_2d<rgba8unorm, write>;

// Finer than this nothing is told apart, metres.
const FOOTPRINT_M: f32 = 0.4;

@compute @workgroup_size(64)
fn cs(@builtin(global_invocation_id) id: vec3u) {
    let which = id.x + id.y * 65535u * 64u;
    if which >= arrayLength(&triangles) {
        return;
    }
    let corner = triangles[which];
    let first = corner * 9u;
    let p = vec3f(bitcast<f32>(corners[first]), bitcast<f32>(corners[first + 1u]), bitcast<f32>(corners[first + 2u]));
    let s = surfaces[corners[first + 3u]];
    let flat_n = vec3f(unpack2x16snorm(corners[first + 4u]), unpack2x16snorm(corners[first + 5u]).x);
    let n = vec3f(unpack2x16snorm(corners[first + 6u]), unpack2x16snorm(corners[first + 7u]).x);
    var open = unpack2x16unorm(corners[first + 8u]);
    var m = even(s, n);
    if CLASS == 0u {
        m = machine_of(s, p, flat_n, n, FOOTPRINT_M);
    } else {
        if CLASS == 2u {
            m = stone_of(s, p, n, FOOTPRINT_M);
            // How large stones are, for lawn.wgsl.
            m.rough = select(0.3, 1.0, s.finish == BALLAST);
        } else if CLASS == 3u {
            m = track_of(s, p, n, FOOTPRINT_M);
        } else if CLASS == 4u {
            m = masonry_of(s, p, n, FOOTPRINT_M);
        } else if CLASS == 5u {
            m = metal_of(s, p, n, FOOTPRINT_M);
        } else if CLASS == 6u {
            m = other_of(s, p, n, FOOTPRINT_M);
        }
        let tilt = (1.0 + n.z) * 0.5;
        open = vec2f(tilt, 1.0 - tilt);
    }
    let to = corner * 8u;
    coarse[to] = corners[first];
    coarse[to + 1u] = corners[first + 1u];
    coarse[to + 2u] = corners[first + 2u];
    coarse[to + 3u] = pack2x16float(m.albedo.rg);
    coarse[to + 4u] = pack2x16float(vec2f(m.albedo.b, m.polish));
    coarse[to + 5u] = pack4x8snorm(vec4f(n, m.rough));
    coarse[to + 6u] = pack2x16unorm(open);
    coarse[to + 7u] = pack4x8snorm(vec4f(flat_n, 0.0));
}

// The ground about the machine from above, `MAP_M` to either side.
const MAP_M: f32 = 110.0;

// How grass grows, and the share of the sky that the machine leaves free.
@compute @workgroup_size(8, 8)
fn cs_growth(@builtin(global_invocation_id) id: vec3u) {
    let size = textureDimensions(growth_map);
    if any(id.xy >= size) {
        return;
    }
    let step_m = 2.0 * MAP_M / f32(size.x);
    let p = (vec2f(id.xy) + 0.5) * step_m - MAP_M;
    textureStore(growth_map, id.xy, vec4f(growth(p, 0.7 * step_m), sky_over_ground(vec3f(p, 0.0))));
}
