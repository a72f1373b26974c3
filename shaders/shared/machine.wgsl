// The machine's paint with its dirt, after the model of src/picture/grime.rs. May not enter: light.

fn covered(albedo: vec3f, with_color: vec3f, share: f32) -> vec3f {
    return mix(albedo, with_color, clamp(share, 0.0, 0.95));
}

// Sheet metal is never quite even.
fn wavy(p: vec3f, n: vec3f, much: f32) -> vec3f {
    let at = on_wall(p, n);
    let bend = vec2f(smooth_noise(at * vec2f(1.3, 1.7), 301u), smooth_noise(at * vec2f(1.3, 1.7) + 9.0, 302u))
        + 0.5 * vec2f(smooth_noise(at * 4.1, 303u), smooth_noise(at * 4.1 + 5.0, 304u));
    let level = normalize(n.xy + vec2f(1e-5, 0.0));
    return normalize(n + much * (vec3f(-level.y, level.x, 0.0) * bend.x + vec3f(0.0, 0.0, 1.0) * bend.y));
}

fn machine_of(s: Surface, p: vec3f, flat_n: vec3f, n: vec3f, f: f32) -> Matter {
    var m: Matter;
    m.albedo = s.color.rgb;
    m.polish = s.polish * dirt.high.z;
    m.rough = s.rough;
    m.normal = n;
    m.hollow = 1.0;
    let streaks_at = vec2f(p.x + p.y, p.z * 0.3);
    let worn = layered(streaks_at, 0.9, 5, 0.6, f, 95u);
    if s.finish == PANE {
        m.polish = s.polish;
        m.normal = wavy(p, n, 0.004);
        m.albedo = covered(m.albedo, dirt.dust.rgb, dirt.low.z * 0.5);
        return m;
    }
    if s.finish == GEAR {
        let lumps = layered(vec2f(p.x + p.y, p.z), 0.16, 4, 0.8, f, 97u);
        let share = dirt.low.x - 0.12 * p.z + 0.12 * worn + 0.06 * lumps;
        m.albedo = covered(m.albedo * (1.0 + 0.12 * lumps), dirt.dust.rgb, clamp(share, 0.0, dirt.low.x + 0.18));
        return m;
    }
    if s.finish == DECK {
        m.albedo = covered(m.albedo, dirt.dust.rgb, max(dirt.low.y + 0.05 * worn, 0.0));
        return m;
    }
    m.albedo *= 1.0 + 0.04 * worn;
    if s.finish == BODY {
        m.normal = wavy(p, n, 0.006);
    }
    let side = max(1.0 - abs(flat_n.z), 0.0);
    let top = max(flat_n.z, 0.0);
    let low = saturate((3.4 - p.z) / 1.8);
    let dust = dirt.low.z * (1.0 + 0.4 * worn) + dirt.low.w * low * low * (1.0 + 0.7 * worn);
    m.albedo = covered(m.albedo, dirt.dust.rgb, dust);
    let streak = layered(vec2f(p.x + p.y, 0.09 * p.z), 0.24, 4, 0.75, f, 101u);
    m.albedo = covered(m.albedo, dirt.soot.rgb, dirt.high.x * side * (0.25 + 0.8 * streak));
    let high = saturate((p.z - 3.3) / 0.9);
    m.albedo = covered(m.albedo, dirt.soot.rgb, dirt.high.y * top * high * (0.85 + 0.3 * worn));
    if s.finish == LAMP {
        m.polish = 0.08;
    }
    return m;
}
