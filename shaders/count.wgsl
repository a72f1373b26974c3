// Counts the pixels of every patch in every layer of drawn ids. May not enter: what the ids mean.

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
// One row of patches per layer.
@group(0) @binding(3) var<storage, read_write> counts: array<atomic<u32>>;

// Pixels of a row that one invocation looks at: neighbours mostly show the same patch, and are added at once.
const RUN: u32 = 4u;

@compute @workgroup_size(8, 8)
fn count(@builtin(global_invocation_id) at: vec3<u32>) {
    let start = at.x * RUN;
    if start >= taking.width || at.y >= taking.height {
        return;
    }
    let row = at.z * taking.patches;
    var last = 0u;
    var pixels = 0u;
    for (var x = start; x < min(start + RUN, taking.width); x++) {
        let id = textureLoad(ids, vec2<u32>(x, at.y) * taking.scale, at.z, 0).r;
        if id != last {
            add(row, last, pixels);
            last = id;
            pixels = 0u;
        }
        pixels += 1u;
    }
    add(row, last, pixels);
}

// Patches have the ids 1 to `patches`; 0 is nothing, what lies above are objects.
fn add(row: u32, id: u32, pixels: u32) {
    if id != 0u && id <= taking.patches {
        atomicAdd(&counts[row + id - 1u], pixels);
    }
}
