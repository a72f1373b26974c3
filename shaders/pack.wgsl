// Packs the ids and depths of every layer, pixel by pixel, so that they are brought back in one piece. May not
// enter: what they mean.

// The views that lie in the layers, and what is taken of them.
struct Taking {
    width: u32,
    height: u32,
    // Texels of a layer to a pixel, across and down; a pixel's own is its first.
    scale: u32,
    patches: u32,
}

@group(0) @binding(0) var ids: texture_2d_array<u32>;
@group(0) @binding(1) var depths: texture_depth_2d_array;
@group(0) @binding(2) var<uniform> taking: Taking;
// Id, and the bits of the depth.
@group(0) @binding(3) var<storage, read_write> packed: array<vec2<u32>>;

@compute @workgroup_size(32, 2)
fn pack(@builtin(global_invocation_id) at: vec3<u32>) {
    if at.x >= taking.width || at.y >= taking.height {
        return;
    }
    let texel = at.xy * taking.scale;
    let id = textureLoad(ids, texel, at.z, 0).r;
    let depth = textureLoad(depths, texel, at.z, 0);
    let pixel = (at.z * taking.height + at.y) * taking.width + at.x;
    packed[pixel] = vec2<u32>(id, bitcast<u32>(depth));
}
