// A corner of the stage's mesh, as `picture::lit::uniforms` lays it out. May not enter: what is done with it.

struct Corner {
    @location(0) position: vec3f,
    @location(1) surface: u32,
    @location(2) flat_normal: vec4f,
    @location(3) smooth_normal: vec4f,
    @location(4) open: vec2f,
}
