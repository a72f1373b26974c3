// Puts the window's page, painted beside it, onto the screen as it is. May not enter: what is on the page.

@group(0) @binding(0) var page: texture_2d<f32>;

@vertex
fn vs(@builtin(vertex_index) index: u32) -> @builtin(position) vec4f {
    // One triangle that covers the screen.
    let corner = vec2f(f32(index & 1u), f32(index >> 1u));
    return vec4f(4.0 * corner - 1.0, 0.0, 1.0);
}

@fragment
fn fs(@builtin(position) at: vec4f) -> @location(0) vec4f {
    return textureLoad(page, vec2i(at.xy), 0);
}
