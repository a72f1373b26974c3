// The table of surfaces, and the stage's own data: bind group 1. May not enter: light.

struct Surface {
    color: vec4f, // w: share of light that it stops
    finish: u32,
    seed: u32,
    polish: f32,
    rough: f32,
}

struct Dirt {
    low: vec4f,  // gear, deck, film, splash
    high: vec4f, // streaks, soot, polish left
    dust: vec4f,
    soot: vec4f,
    grid: vec4f, // least x and y, spacing, columns
}

@group(1) @binding(0) var<storage, read> surfaces: array<Surface>;
@group(1) @binding(1) var<uniform> dirt: Dirt;
@group(1) @binding(2) var ground_open: texture_2d<f32>;

const PLAIN: u32 = 0u;
const PAINT: u32 = 1u;
const TIMBER: u32 = 2u;
const BOARDS: u32 = 3u;
const BRICK: u32 = 4u;
const CORRUGATED: u32 = 5u;
const CONCRETE: u32 = 6u;
const GLASS: u32 = 7u;
const ROOFING: u32 = 8u;
const STEEL: u32 = 9u;
const MESH: u32 = 10u;
const LEAVES: u32 = 11u;
const NEEDLES: u32 = 12u;
const TWIGS: u32 = 13u;
const BARK: u32 = 14u;
const WEEDS: u32 = 15u;
const CLOTH: u32 = 16u;
const SKIN: u32 = 17u;
const GRASS: u32 = 18u;
const GRAVEL: u32 = 19u;
const ASPHALT: u32 = 20u;
// Of the machine.
const BODY: u32 = 32u;
const GEAR: u32 = 33u;
const DECK: u32 = 34u;
const PANE: u32 = 35u;
const GRILLE: u32 = 36u;
const LAMP: u32 = 37u;
// Of tracks.
const BALLAST: u32 = 40u;
const TIE: u32 = 41u;
const RAIL: u32 = 42u;

// Share of the sky over a ground point that the machine leaves free.
fn sky_over_ground(p: vec3f) -> f32 {
    let size = vec2i(textureDimensions(ground_open));
    let at = (p.xy - dirt.grid.xy) / dirt.grid.z;
    let base = vec2i(floor(at));
    if any(base < vec2i(0)) || any(base + 1 >= size) {
        return 1.0;
    }
    let t = at - floor(at);
    let low = mix(textureLoad(ground_open, base, 0).x, textureLoad(ground_open, base + vec2i(1, 0), 0).x, t.x);
    let high = mix(textureLoad(ground_open, base + vec2i(0, 1), 0).x, textureLoad(ground_open, base + 1, 0).x, t.x);
    // Above a man's height the machine no longer overhangs.
    return mix(min(mix(low, high, t.y), 1.0), 1.0, smoothstep(0.3, 2.5, p.z));
}
