// What things about the machine are made of. May not enter: the machine's own paint, light.

// Along a wall, and up it.
fn on_wall(p: vec3f, n: vec3f) -> vec2f {
    let level = normalize(n.xy + vec2f(1e-5, 0.0));
    return select(vec2f(dot(p.xy, vec2f(-level.y, level.x)), p.z), p.xy, abs(n.z) > 0.7);
}

// 1 in the middle of stripes that fill `share` of each unit, softened by what a pixel covers.
fn stripe(x: f32, share: f32, soft: f32) -> f32 {
    let away = abs(fract(x) - 0.5) - 0.5 * share;
    let s = max(soft, 1e-4);
    return mix(saturate(0.5 - away / s), share, saturate(s * 1.2 - 0.35));
}

fn weathered(at: vec2f, footprint_m: f32, seed: u32) -> f32 {
    return layered(at * vec2f(1.0, 0.33), 1.8, 6, 0.62, footprint_m, seed);
}

fn brickwork(at: vec2f, color: vec3f, f: f32, m: ptr<function, Matter>) {
    let course_m = 0.075;
    let length_m = 0.225;
    let row = floor(at.y / course_m);
    let x = at.x / length_m + 0.5 * (row - 2.0 * floor(row * 0.5));
    let bed = stripe(at.y / course_m, 0.87, f / course_m);
    let head = stripe(x, 0.955, f / length_m);
    let brick = bed * head;
    let own = cell(i32(floor(x)), i32(row), 241u);
    let shown = saturate(0.10 / f - 0.5);
    let shade = mix(1.0, 0.72 + 0.56 * own, shown);
    let warm = (fract(own * 9.7) - 0.5) * 0.24 * shown;
    let mortar = vec3f(0.36, 0.34, 0.30);
    let age = 1.0 + 0.16 * weathered(at, f, 243u);
    (*m).albedo = mix(mortar * 0.8, color * shade * vec3f(1.0 + warm, 1.0, 1.0 - 0.6 * warm), brick) * age;
    (*m).hollow = mix(1.0, 0.72 + 0.28 * brick, shown);
}

fn even(s: Surface, n: vec3f) -> Matter {
    var m: Matter;
    m.albedo = s.color.rgb;
    m.polish = s.polish;
    m.rough = s.rough;
    m.normal = n;
    m.hollow = 1.0;
    return m;
}

// Grass, and fields far off.
fn grass_of(s: Surface, p: vec3f, n: vec3f, f: f32, distance_m: f32) -> Matter {
    var m = even(s, n);
    let color = s.color.rgb;
    let tint = color / max(luminance(color), 1e-3) * vec3f(0.93, 0.97, 1.5);
    m.albedo = far_fields(p.xy, meadow(p.xy, mix(vec3f(1.0), tint, 0.25), f, distance_m), distance_m);
    return m;
}

// Spread and broken stone; ballast is darkened by oil between the rails of its track.
fn stone_of(s: Surface, p: vec3f, n: vec3f, f: f32) -> Matter {
    var m = even(s, n);
    let is_ballast = s.finish == BALLAST;
    let size_m = select(0.020, 0.042, is_ballast);
    let st = stones(p.xy, s.color.rgb, size_m, f, 41u);
    // Wheels press lanes into gravel.
    let press = 0.92 + 0.16 * layered(p.xy, 1.9, 4, 0.7, f, 45u);
    m.albedo = st.color * select(press, 1.0, is_ballast);
    m.normal = normalize(mix(n, vec3f(0.0, 0.0, 1.0), select(0.0, 0.35, is_ballast)) + vec3f(st.tilt, 0.0));
    m.hollow = st.hollow;
    return m;
}

// Brick, concrete, asphalt, roofing.
fn masonry_of(s: Surface, p: vec3f, n: vec3f, f: f32) -> Matter {
    var m = even(s, n);
    let at = on_wall(p, n);
    let worn = weathered(at, f, 87u + s.seed);
    let color = s.color.rgb;
    switch s.finish {
        case BRICK: {
            if abs(n.z) < 0.7 {
                brickwork(at, color, f, &m);
            } else {
                m.albedo = color * (0.8 + 0.15 * worn);
            }
        }
        case CONCRETE: {
            if n.z > 0.7 {
                m.albedo = slabs(p.xy, color, 1.5, f);
            } else {
                let joint = stripe(at.y / 1.2, 0.01, f / 1.2) + stripe(at.x / 2.4, 0.006, f / 2.4);
                let run = max(layered(at * vec2f(1.6, 0.16), 0.9, 4, 0.7, f, 267u), 0.0);
                m.albedo = color * (1.0 + 0.10 * worn - 0.20 * run) * (1.0 - 0.35 * saturate(joint));
            }
        }
        case ASPHALT: {
            m.albedo = asphalt(p.xy, color, f);
            m.polish = 0.02;
            m.rough = 0.7;
        }
        default: {
            let seam = stripe(p.x / 1.1, 0.03, f / 1.1);
            m.albedo = color * (1.0 + 0.2 * layered(p.xy, 2.0, 6, 0.7, f, 271u)) * (1.0 - 0.3 * seam);
        }
    }
    return m;
}

// Sheet metal, girders, painted things, panes.
fn metal_of(s: Surface, p: vec3f, n: vec3f, f: f32) -> Matter {
    var m = even(s, n);
    let at = on_wall(p, n);
    let worn = weathered(at, f, 87u + s.seed);
    let color = s.color.rgb;
    switch s.finish {
        case CORRUGATED: {
            let pitch_m = 0.10;
            let shown = saturate(0.6 * pitch_m / f - 0.3);
            let wave = cos(6.2831853 * at.x / pitch_m) * shown * 0.55;
            let level = normalize(n.xy + vec2f(1e-5, 0.0));
            m.normal = normalize(n + vec3f(-level.y, level.x, 0.0) * wave);
            let seam = stripe(at.y / 2.4, 0.012, f / 2.4) + 0.7 * stripe(at.x / 0.9, 0.012, f / 0.9);
            let rust = smoothstep(0.35, 0.9, worn + 0.35 * layered(at, 0.3, 3, 0.8, f, 251u));
            m.albedo = mix(color * (1.0 + 0.10 * worn), vec3f(0.16, 0.085, 0.05), 0.55 * rust);
            m.albedo *= 1.0 - 0.3 * saturate(seam);
            m.polish = 0.05 * (1.0 - rust);
            m.rough = 0.45;
        }
        case STEEL: {
            let rust = smoothstep(0.1, 0.8, worn + 0.5 * layered(at, 0.25, 4, 0.8, f, 277u));
            m.albedo = mix(color * (1.0 + 0.1 * worn), vec3f(0.13, 0.075, 0.045), 0.5 * rust);
            m.polish = 0.03 * (1.0 - rust);
            m.rough = 0.55;
        }
        case GLASS: {
            // Sashes of steel divide what is larger than a cab's window.
            let sash = max(stripe(at.x / 0.62, 0.06, f / 0.62), stripe(at.y / 0.48, 0.07, f / 0.48));
            m.albedo = mix(color * 0.35, vec3f(0.16, 0.17, 0.16), 1.0 - (1.0 - sash) * (1.0 - sash));
            m.polish = 0.07 * (1.0 - sash);
            m.rough = 0.05;
            let pane = vec2i(floor(at));
            let own = vec2f(cell(pane.x, pane.y, 283u), cell(pane.x, pane.y, 284u)) - 0.5;
            m.normal = normalize(n + vec3f(own * 0.02, 0.0));
        }
        default: {
            let run = max(layered(at * vec2f(2.0, 0.10), 0.5, 4, 0.75, f, 281u + s.seed), 0.0);
            let low = smoothstep(1.6, -0.2, p.z);
            let dust = 0.18 * low + 0.12 * run;
            m.albedo = mix(color * (1.0 + 0.08 * worn), vec3f(0.17, 0.13, 0.095), saturate(dust));
        }
    }
    return m;
}

// Boards, timber, bark, clothes and all that is plain.
fn other_of(s: Surface, p: vec3f, n: vec3f, f: f32) -> Matter {
    var m = even(s, n);
    let at = on_wall(p, n);
    let worn = weathered(at, f, 87u + s.seed);
    let color = s.color.rgb;
    switch s.finish {
        case BOARDS: {
            let width_m = 0.15;
            let plank = stripe(at.x / width_m, 0.93, f / width_m);
            let own = cell(i32(floor(at.x / width_m)), i32(s.seed), 257u) - 0.5;
            let grain = layered(at * vec2f(14.0, 0.7), 0.6, 4, 0.8, f * 4.0, 259u);
            let shown = saturate(width_m / f - 1.0);
            m.albedo = color * (1.0 + 0.34 * own * shown + 0.14 * grain + 0.16 * worn) * mix(0.25, 1.0, plank);
        }
        case TIMBER, BARK: {
            let turn = atan2(n.y, n.x) * 0.12;
            let grain = layered(vec2f((turn + 0.03 * worn) * 30.0, p.z * 1.1), 0.5, 5, 0.8, f * 6.0, 263u + s.seed);
            m.albedo = color * max(1.0 + 0.28 * grain + 0.15 * worn, 0.3);
        }
        case CLOTH: {
            let folds = layered(vec2f(at.x * 3.0, at.y), 0.25, 3, 0.7, f, 287u + s.seed);
            m.albedo = color * (1.0 + 0.15 * folds);
            m.normal = normalize(n + vec3f(n.y, -n.x, 0.3) * 0.3 * folds);
        }
        default: {
        }
    }
    return m;
}

// Ties with grain, rails worn bright on top.
fn track_of(s: Surface, p: vec3f, n: vec3f, f: f32) -> Matter {
    var m = even(s, n);
    if s.finish == TIE {
        let own = cell(i32(floor(p.x / 0.275)), i32(floor(p.y / 4.0)), 72u) - 0.5;
        let grain = layered(p.xy * vec2f(9.0, 0.7), 0.5, 4, 0.8, f * 3.0, 71u);
        // Old ties bleach from the top.
        let bleached = mix(s.color.rgb, vec3f(0.135, 0.122, 0.105), 0.65 * saturate(n.z) + 0.2);
        m.albedo = bleached * max(1.0 + 0.30 * grain + 0.5 * own, 0.3);
    } else if p.z > -0.012 && n.z > 0.5 {
        // The head, where wheels roll.
        m.albedo = vec3f(0.20, 0.19, 0.18);
        m.polish = 0.42;
        m.rough = 0.32;
        m.normal = normalize(n + vec3f(0.0, 0.03 * smooth_noise(vec2f(p.x, p.y * 20.0) * 3.0, 75u), 0.0));
    } else {
        // The web rusts brown and catches dust; the head's flank is rubbed to steel where flanges run.
        let rust = layered(vec2f(p.x + p.y, p.z * 4.0), 0.3, 4, 0.7, f, 73u);
        let flank = smoothstep(-0.045, -0.02, p.z);
        let web = s.color.rgb * vec3f(1.0, 0.82, 0.68) * (0.85 + 0.3 * rust);
        m.albedo = mix(web, vec3f(0.17, 0.155, 0.14), 0.75 * flank);
        m.polish = 0.05 * flank;
        m.rough = 0.5;
    }
    return m;
}
