// Light from directions of the sky, clouds, far hills, and what air does on the way. May not enter: what stands near.
//
// Luminance after the general sky of ISO 15469:2004 (a, b, c, d, e per condition), scaled on the processor so that a
// level plane receives the daylight model's illuminance.

const HAZE_GLOW: f32 = 0.45;

fn gradation(rise: f32) -> f32 {
    return 1.0 + light.spread.x * exp(light.spread.y / max(rise, 0.012));
}

fn indicatrix(cosine: f32) -> f32 {
    let angle = acos(clamp(cosine, -1.0, 1.0));
    return 1.0 + light.spread.z * (exp(light.spread.w * angle) - exp(light.spread.w * 1.5707963))
        + light.spread_more.x * cosine * cosine;
}

// Light times pi from a direction of the open sky, clouds left out, lx.
fn dome(direction: vec3f) -> vec3f {
    let rise = max(direction.z, 0.0);
    // Far air, seen along the ground, shines of itself.
    let shape = (1.0 + HAZE_GLOW * exp(-rise / 0.09)) * gradation(rise) * indicatrix(dot(direction, light.toward.xyz));
    let color = mix(light.pale.rgb, light.deep.rgb, saturate(1.25 * pow(rise, 0.42)));
    // Straight about the sun light keeps its own colour.
    let aureole = exp(7.0 * (dot(direction, light.toward.xyz) - 1.0));
    let beam = light.beam.rgb / max(luminance(light.beam.rgb), 1.0);
    return light.ground.w * shape * mix(color, beam, 0.45 * aureole * step(1.0, light.beam.y));
}

fn cloud_plane(direction: vec3f, lift: f32) -> vec2f {
    return direction.xy / (max(direction.z, 0.0) + lift);
}

fn billows(p: vec2f, seed: u32) -> f32 {
    return 0.5 * smooth_noise(p, seed) + 0.26 * smooth_noise(p * 2.1 + 3.7, seed + 1u)
        + 0.14 * smooth_noise(p * 4.3 - 1.9, seed + 2u) + 0.08 * smooth_noise(p * 8.9, seed + 3u)
        + 0.04 * smooth_noise(p * 18.1, seed + 4u);
}

// The sky as it is seen, clouds included.
fn clouded(direction: vec3f) -> vec3f {
    let clear = dome(direction);
    let kind = light.sky.w;
    if kind < 0.5 {
        return clear;
    }
    let sun_way = normalize(light.toward.xy + vec2f(1e-4));
    if kind < 1.5 {
        // Ice, combed by the wind.
        let p = cloud_plane(direction, 0.10);
        let bent = p + 0.35 * vec2f(smooth_noise(p * 0.7, 131u), smooth_noise(p * 0.7, 132u));
        let combed = vec2f(0.45 * bent.x + 0.2 * bent.y, 2.4 * bent.y - 0.8 * bent.x);
        let streaks = saturate(0.42 + 0.75 * billows(combed, 141u) + 0.35 * billows(bent * 0.5, 151u));
        let white = luminance(clear) * 0.35 + 0.42 * light.sky.y;
        return mix(clear, vec3f(1.0, 1.0, 1.02) * (luminance(clear) * 0.6 + white), 0.75 * streaks * streaks);
    }
    if kind < 2.5 {
        let p = cloud_plane(direction, 0.16) * 0.9;
        let body = billows(p, 161u) + 0.10 * billows(p * 6.0, 171u);
        let cover = smoothstep(0.02, 0.20, body);
        // Towards the sun the heap is thinner or thicker: its side is lit or shaded.
        let toward = billows(p + 0.11 * sun_way, 161u);
        let side = saturate(0.55 + 2.2 * (body - toward));
        let base = smoothstep(0.10, 0.55, body);
        let lit = light.beam.rgb * 0.62 + light.sky.rgb * 0.7;
        let dark = light.sky.rgb * 0.9 + 0.10 * light.beam.rgb;
        let cloud = mix(mix(dark, lit, side), dark, 0.55 * base);
        let far = exp(-6.0 * max(direction.z, 0.0));
        return mix(clear, mix(cloud, light.pale.rgb * light.ground.w * 1.1, 0.5 * far), cover);
    }
    let p = cloud_plane(direction, 0.22) * 0.8;
    return clear * (1.0 + 0.22 * billows(p, 181u) + 0.12 * billows(p * vec2f(0.4, 1.7), 191u));
}

// A thing's light after some air: it fades, blue first, and air's own light comes in.
fn through_air(sent: vec3f, direction: vec3f, distance_m: f32) -> vec3f {
    let pass_by = exp(-distance_m * vec3f(0.85, 1.0, 1.25) / light.pale.w);
    let level = normalize(vec3f(direction.xy, 0.03));
    return sent * pass_by + dome(level) * 0.55 * (1.0 - pass_by);
}

fn crest_at(bearing: f32) -> f32 {
    let count = f32(textureDimensions(skyline).x);
    let at = fract(bearing / 6.2831853) * count;
    let i = i32(floor(at));
    let a = textureLoad(skyline, vec2i(i % i32(count), 0), 0).x;
    let b = textureLoad(skyline, vec2i((i + 1) % i32(count), 0), 0).x;
    return mix(a, b, fract(at));
}

// Wooded ridges under the skyline: the nearer ones lower and stronger.
fn hills(direction: vec3f, sky_there: vec3f) -> vec3f {
    let bearing = light.toward.w + atan2(-direction.y, direction.x);
    let rise = asin(clamp(direction.z, -1.0, 1.0));
    var seen = sky_there;
    let per_pixel = frame.right.w;
    let lit = light.beam.rgb * (0.25 + 0.5 * max(light.toward.z, 0.0)) + light.sky.rgb * 0.8;
    let top = crest_at(bearing);
    let layers = select(0, 3, top >= 0.0009 && rise < 1.2 * top + 0.004);
    for (var k = 0; k < layers; k++) {
        let share = array(1.0, 0.62, 0.30)[k];
        let far_m = array(8000.0, 4200.0, 2000.0)[k];
        let seed = 51u + 10u * u32(k);
        let u = bearing * 57.29578;
        let swell = 0.10 * smooth_noise(vec2f(u * 0.31, f32(k)), seed)
            + 0.05 * smooth_noise(vec2f(u * 0.83, 0.5), seed + 1u);
        let trees = layered(vec2f(u, f32(k) * 7.3), 0.20, 5, 0.62, per_pixel * 57.29578 * 0.5, seed + 2u);
        let crest = top * (share + select(swell, 0.0, k == 0)) + 0.0006 * trees * 4000.0 / far_m;
        let cover = saturate((crest - rise) / max(per_pixel, 1e-6) + 0.5);
        if cover <= 0.0 {
            continue;
        }
        // Woods on slopes that lean this way and that.
        let p = vec2f(u, rise * 90.0) * (far_m / 4000.0);
        let slope = smooth_noise(vec2f(u * 0.55 + 3.0 * f32(k), rise * 25.0), seed + 4u);
        let wood = 0.5 + 0.5 * layered(p, 0.45, 5, 0.8, per_pixel * 57.0, seed + 5u);
        let albedo = vec3f(0.040, 0.058, 0.026) * (0.45 + 0.9 * wood) * (1.0 + 0.35 * slope);
        seen = mix(seen, through_air(albedo * lit, direction, far_m), cover);
    }
    return seen;
}
