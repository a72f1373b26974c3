// What each tuft or stone shares over its whole: growth, tone, sunlight at its foot. Worked out once for each, before
// its corners are drawn. May not enter: shapes.

@group(2) @binding(1) var<storage, read_write> tones: array<vec4f>;

@compute @workgroup_size(64)
fn cs(@builtin(global_invocation_id) id: vec3u) {
    let i = id.x + id.y * 65535u * 64u;
    if i >= arrayLength(&things) {
        return;
    }
    let t = things[i];
    let foot = vec3f(t.foot_x, t.foot_y, t.foot_z);
    let s = surfaces[t.surface];
    let turn = 6.2831853 * cell(i32(t.seed & 0xFFFFu), i32(t.seed >> 16u), 9u);
    let lit = lit_share(foot + vec3f(0.0, 0.0, 0.5 * t.size_m), light.toward.xyz, false, turn);
    if s.finish == BALLAST || s.finish == GRAVEL {
        let wide = 1.0 + 0.14 * layered(foot.xy, 2.6, 4, 0.6, 0.02, 45u);
        tones[i] = vec4f(vec3f(wide), lit);
        return;
    }
    let g = growth(foot.xy, 0.05);
    tones[i] = vec4f(g, lit);
}
