// What a fragment hands on where it is developed at once, one sample to a pixel. May not enter: what is drawn.

fn handed(sent: vec3f, share: f32, at: vec4f) -> vec4f {
    return vec4f(developed(sent, at.xy + frame.tile.zw), share);
}
