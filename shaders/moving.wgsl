// What stands in a moving picture, for adapters in software. May not enter: patterns, the ground.
//
// What `surface.wgsl` shows, with each finish's mean colour, one look at the sun's maps, and developed at once. Light
// and film are worked out at corners: processors shade all the 4 x 4 pixels that a triangle touches, and the machine's
// are small.

// Whether it draws the machine, whose own map holds all of it.
override OF_MACHINE: bool = false;

struct Coarse {
    @location(0) position: vec3f,
    @location(1) albedo: vec4f, // w: polish
    @location(2) normal: vec4f, // w: rough
    @location(3) open: vec2f,
    @location(4) flat_normal: vec4f,
}

struct Shown {
    @builtin(position) position: vec4f,
    // As the film shows it where the sun shines, and where it does not.
    @location(0) sunlit: vec3f,
    @location(1) shaded: vec3f,
    // Texel and depth in the sun's map of the machine, or of what lies about it.
    @location(2) at: vec3f,
    // Of the machine: the plane's slope in the map, and how far it may be off; else the direction.
    @location(3) plane: vec3f,
    // Where the far map has a place about the machine.
    @location(4) far: vec3f,
}

@vertex
fn vs(in: Coarse) -> Shown {
    let p = in.position;
    let n = in.normal.xyz;
    var m = Matter(in.albedo.rgb, in.albedo.w, in.normal.w, n, 1.0);
    let plane = normalize(in.flat_normal.xyz);
    var open = in.open;
    if !OF_MACHINE {
        // Rails and walls are long: what their ends mirror says nothing of their middles.
        m.albedo += 0.4 * m.polish;
        m.polish = 0.0;
        // As in surface.wgsl: the foot of a wall sees less of everything.
        let foot = mix(0.62, 1.0, smoothstep(0.0, 0.7, p.z - light.deep.w));
        open *= mix(foot, 1.0, abs(n.z)) * vec2f(sky_over_ground(p), 1.0);
    }
    let shining = select(0.0, 1.0, dot(plane, light.toward.xyz) > 0.0 && light.beam.y > 0.0);
    var sunlit = leaving(p, m, shining, open, 1.0);
    var shaded = leaving(p, m, 0.0, open, 1.0);
    let distance_m = distance(p, frame.eye.xyz) * frame.eye.w;
    if !OF_MACHINE {
        sunlit = through_air(sunlit, -to_eye(p), distance_m);
        shaded = through_air(shaded, -to_eye(p), distance_m);
    }
    var out: Shown;
    out.position = frame.clip_from_machine * vec4f(p, 1.0);
    out.sunlit = quickly(sunlit * frame.film.w);
    out.shaded = quickly(shaded * frame.film.w);
    if frame.forward.w > 0.5 {
        out.sunlit = vec3f(shining, 0.0, 0.0);
        out.shaded = vec3f(0.0);
    }
    let about = mapped(p);
    out.at = about.near;
    out.far = about.far;
    out.plane = plane;
    if OF_MACHINE {
        let r = receiver(0, p, plane);
        out.at = vec3f(r.texel, r.depth_m / r.reach_m);
        out.plane = vec3f(r.slope, r.tolerance_m) / r.reach_m;
    }
    return out;
}

// As `ahead` of sunlit.wgsl, with what was worked out at corners.
fn lit_on_machine(at: vec3f, plane: vec3f) -> f32 {
    let texel = vec2i(at.xy);
    let ahead = at.z + dot(plane.xy, vec2f(texel) + 0.5 - at.xy) - textureLoad(sun_maps, texel, 0, 0);
    return select(1.0, 0.0, ahead > plane.z);
}

@fragment
fn fs(in: Shown) -> @location(0) vec4f {
    var lit = 0.0;
    if OF_MACHINE {
        lit = lit_on_machine(in.at, in.plane);
    } else {
        lit = lit_about(in.at, in.far, in.plane);
    }
    return vec4f(select(in.shaded, in.sunlit, lit > 0.5), 1.0);
}
