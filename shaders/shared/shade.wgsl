// Light that leaves a surface towards the eye: sun, sky, ground's return, polish. May not enter: patterns.

struct Matter {
    albedo: vec3f,
    polish: f32, // reflectance square on
    rough: f32,  // 0 a mirror, 1 dull
    normal: vec3f,
    hollow: f32, // share of sky and ground that its own small shape leaves, 1 for what is even
}

fn open_ground() -> vec3f {
    return light.beam.rgb * max(light.toward.z, 0.0) + light.sky.rgb;
}

// How brightly the ground that a surface faces is lit, 1 in the open sun.
fn ground_facing(p: vec3f, n: vec3f) -> f32 {
    if light.beam.y <= 0.0 {
        return 1.0;
    }
    let height_m = max(p.z - light.deep.w, 0.2);
    let aside = normalize(vec3f(n.xy, 0.0) + vec3f(0.0, 1e-4, 0.0));
    var lit = 0.0;
    for (var k = 0; k < 2; k++) {
        let q = p + aside * height_m * select(2.2, 0.7, k == 0);
        lit += select(0.42, 0.58, k == 0) * lit_quickly(vec3f(q.xy, light.deep.w + 0.02), 1);
    }
    let shade = luminance(light.sky.rgb) / max(luminance(open_ground()), 1e-3);
    return mix(0.7 * shade, 1.0, lit);
}

// What a polish mirrors: sky above, ground below, and the sun itself (Schlick 1994; Walter et al. 2007).
fn mirrored(p: vec3f, m: Matter, lit: f32, free: f32, ground_lit: f32) -> vec3f {
    let v = to_eye(p);
    let cosine = saturate(dot(m.normal, v));
    // A rough surface hides its own grazing gleam behind its bumps: dull paint stays dull against the sun.
    let gleam = max(1.0 - 1.6 * m.rough, 0.0);
    let fresnel = m.polish + (1.0 - m.polish) * pow(1.0 - cosine, 5.0) * gleam;
    let way = reflect(-v, m.normal);
    let blur = 0.015 + 0.35 * m.rough;
    let up = saturate(way.z / blur * 0.5 + 0.5);
    let above = dome(normalize(vec3f(way.xy, max(way.z, 0.02 + 0.3 * m.rough))));
    // What stands about the skyline is darker than sky.
    let trees = vec3f(0.06, 0.07, 0.045) * open_ground();
    let low = mix(light.ground.rgb * open_ground() * ground_lit, trees, smoothstep(-0.12, -0.01, way.z) * 0.6);
    let around = mix(low, above, up) * saturate(free);
    let half_way = normalize(v + light.toward.xyz);
    // A clear coat's spot is never sharper than the sun and the panel's waves leave it.
    let alpha = max(m.rough * m.rough, 0.006);
    let nh = saturate(dot(m.normal, half_way));
    let d = alpha * alpha / (3.14159265 * pow(nh * nh * (alpha * alpha - 1.0) + 1.0, 2.0));
    let facing = saturate(dot(m.normal, light.toward.xyz));
    let glint = light.beam.rgb * lit * facing * min(d * 0.7854, 60.0);
    return (around + glint) * fresnel;
}

// Light times pi towards the eye, lx. `flat` is the triangle's own direction, `open` shares of sky and ground.
fn leaving(p: vec3f, m: Matter, lit: f32, open: vec2f, ground_lit: f32) -> vec3f {
    let facing = saturate(dot(m.normal, light.toward.xyz));
    let sky = light.sky.rgb * open.x * m.hollow;
    let ground = light.ground.rgb * open_ground() * (open.y * ground_lit * m.hollow);
    var sent = m.albedo * (light.beam.rgb * (facing * lit) + sky + ground);
    if m.polish > 0.0 {
        let free = open.x / max((1.0 + m.normal.z) * 0.5, 0.08);
        sent += mirrored(p, m, lit, free * m.hollow, ground_lit);
    }
    return sent;
}
