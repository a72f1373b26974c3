// What a fragment hands on where light is gathered first and developed afterwards. May not enter: curves.

fn handed(sent: vec3f, share: f32, at: vec4f) -> vec4f {
    return vec4f(sent, share);
}
