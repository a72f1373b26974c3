//! What shaders are told of a minute's light: sun, sky, and the three views from the sun. May not enter: devices.

use super::uniforms::{LightUniform, SunMapUniform};
use crate::picture::Light;
use crate::picture::shade::GROUND_ALBEDO;
use crate::sighting::cover::SUN_RADIUS_TAN;
use crate::sighting::view::View;
use crate::sky::daylight::SkyCondition;
use glam::{DMat4, DVec3, DVec4, Vec4};

/// How deep the sun's maps reach to either side of the machine, metres.
const DEPTH_M: f64 = 500.0;
/// What the second map holds beyond the machine's hull, metres.
const NEAR_M: f64 = 14.0;
/// Distance over which haze takes all but 1/e of a thing's own light, metres.
const HAZE_M: f64 = 9000.0;
/// Texels of the sighting's map at proof size, across the machine (`[proof] sun_px` of the rulebooks).
const PROOF_TEXELS: usize = 2048;
/// Pixels by which a window is bounded: its own shape is kept to a thousandth.
const FINE: usize = 4096;
/// Bearings of the skyline.
pub const SKYLINE: usize = 2048;

/// The three views from the sun, closest first. `casters` bound all that casts shadows: seen along the light a shadow
/// lies where its caster does, however far off it falls.
pub fn views(toward: DVec3, hull: &[DVec3], casters: [DVec3; 2], ground_z_m: f64) -> [View; 3] {
    let (low, high) = (hull.iter())
        .fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(low, high), v| {
            (low.min(*v), high.max(*v))
        });
    let (low, high) = if low.is_finite() {
        (low, high)
    } else {
        (DVec3::NEG_ONE, DVec3::ONE)
    };
    let about = |reach_m: f64, top_m: f64| {
        corners(
            DVec3::new(low.x - reach_m, low.y - reach_m, ground_z_m - 0.3),
            DVec3::new(high.x + reach_m, high.y + reach_m, top_m),
        )
    };
    let margin = DVec3::splat(0.05);
    [
        View::of_sun(toward, &corners(low - margin, high + margin), FINE),
        View::of_sun(toward, &about(NEAR_M, ground_z_m + 0.5), FINE),
        View::of_sun(
            toward,
            &corners(casters[0] - margin, casters[1] + margin),
            FINE,
        ),
    ]
}

fn corners(low: DVec3, high: DVec3) -> Vec<DVec3> {
    let pick = |bit: bool, a: f64, b: f64| if bit { b } else { a };
    (0..8)
        .map(|i| {
            DVec3::new(
                pick(i & 1 > 0, low.x, high.x),
                pick(i & 2 > 0, low.y, high.y),
                pick(i & 4 > 0, low.z, high.z),
            )
        })
        .collect()
}

/// Columns and rows (0–1, rows downward) and depth (0–1) of a sun's view from the machine frame.
fn map_from_machine(view: &View) -> DMat4 {
    let size = view.high - view.low;
    let row = |axis: DVec3, scale: f64, shift: f64| (axis * scale).extend(shift);
    DMat4::from_cols(
        row(view.right, 1.0 / size.x, -view.low.x / size.x),
        row(view.up, -1.0 / size.y, view.high.y / size.y),
        row(view.forward, 0.5 / DEPTH_M, 0.5),
        DVec4::W,
    )
    .transpose()
}

/// Clip space of a sun's view from the machine frame.
pub fn clip_from_machine(view: &View) -> DMat4 {
    let clip_from_map = DMat4::from_cols(
        DVec4::new(2.0, 0.0, 0.0, 0.0),
        DVec4::new(0.0, -2.0, 0.0, 0.0),
        DVec4::new(0.0, 0.0, 1.0, 0.0),
        DVec4::new(-1.0, 1.0, 0.0, 1.0),
    );
    clip_from_map * map_from_machine(view)
}

fn map_uniform(view: &View, texels: u32, sighting_texel_m: f64) -> SunMapUniform {
    let size = view.high - view.low;
    let texels = f64::from(texels);
    let scale = DVec4::new(size.x / texels, size.y / texels, 2.0 * DEPTH_M, texels);
    SunMapUniform {
        map_from_machine: map_from_machine(view).as_mat4(),
        scale: scale.as_vec4(),
        right: view.right.extend(sighting_texel_m).as_vec4(),
        up: view.up.extend(0.0).as_vec4(),
    }
}

/// The distribution of a sky's luminance, as ISO 15469:2004 has it: a, b, c, d, e. Types 12 (clear, little haze), 10
/// (partly cloudy, brighter about the sun), 11 (white-blue with a distinct corona) and 1 (overcast); from memory.
fn spread(condition: SkyCondition) -> [f64; 5] {
    match condition {
        SkyCondition::Clear => [-1.0, -0.32, 10.0, -3.0, 0.45],
        SkyCondition::ThinCirrus => [-1.0, -0.55, 10.0, -3.0, 0.45],
        SkyCondition::Broken => [-1.0, -0.45, 10.0, -3.0, 0.45],
        SkyCondition::Overcast => [4.0, -0.70, 0.0, -1.0, 0.0],
    }
}

/// The same as shaders/shared/sky.wgsl evaluates it.
fn distribution([a, b, c, d, e]: [f64; 5], direction: DVec3, toward: DVec3) -> f64 {
    let cosine = direction.dot(toward).clamp(-1.0, 1.0);
    let angle = cosine.acos();
    let square = std::f64::consts::FRAC_PI_2;
    // Far air, seen along the ground, shines of itself (ours, by eye).
    (1.0 + 0.45 * (-direction.z.max(0.0) / 0.09).exp())
        * (1.0 + a * (b / direction.z.max(0.012)).exp())
        * (1.0 + c * ((d * angle).exp() - (d * square).exp()) + e * cosine * cosine)
}

/// ∫ distribution · cos over the sky, for a sun.
fn level_share(spread: [f64; 5], toward: DVec3) -> f64 {
    const RISES: usize = 24;
    const TURNS: usize = 48;
    let mut sum = 0.0;
    for i in 0..RISES {
        // Equal steps in z² carry equal cosine-weighted solid angle.
        let z = ((i as f64 + 0.5) / RISES as f64).sqrt();
        let flat = (1.0 - z * z).sqrt();
        for k in 0..TURNS {
            let (sin, cos) = (std::f64::consts::TAU * (k as f64 + 0.5) / TURNS as f64).sin_cos();
            sum += distribution(spread, DVec3::new(flat * cos, flat * sin, z), toward);
        }
    }
    std::f64::consts::PI * sum / (RISES * TURNS) as f64
}

/// The light's uniform. `is_soft` lets edges blur as the sun's disc blurs them.
pub fn uniform(
    light: &Light,
    hull: &[DVec3],
    views: &[View; 3],
    texels: [u32; 3],
    is_soft: bool,
    ground_z_m: f64,
) -> LightUniform {
    let spread = spread(light.condition);
    let level = level_share(spread, light.toward);
    let code = match light.condition {
        SkyCondition::Clear => 0.0,
        SkyCondition::ThinCirrus => 1.0,
        SkyCondition::Broken => 2.0,
        SkyCondition::Overcast => 3.0,
    };
    // What the frame is graded by and what it shows must agree on how far a shadow's caster stands out.
    let proof = View::of_sun(light.toward, hull, PROOF_TEXELS);
    let proof_m = 1.0 / proof.pixels_per_unit();
    let [pale, deep] = colors(light);
    let w = |v: DVec3, w: f64| v.extend(w).as_vec4();
    LightUniform {
        maps: [0, 1, 2]
            .map(|i| map_uniform(&views[i], texels[i], if i == 0 { proof_m } else { 0.0 })),
        toward: w(light.toward, light.forward_bearing_deg.to_radians()),
        beam: w(light.beam(), if is_soft { SUN_RADIUS_TAN } else { 0.0 }),
        sky: w(light.sky(), code),
        pale: w(pale, HAZE_M),
        deep: w(deep, ground_z_m),
        ground: w(
            GROUND_ALBEDO,
            std::f64::consts::PI * light.sky_lx / level.max(1e-6),
        ),
        spread: Vec4::from_array([0, 1, 2, 3].map(|i| spread[i] as f32)),
        spread_more: Vec4::new(spread[4] as f32, 0.0, 0.0, 0.0),
    }
}

/// Sine of the elevation over which shaders/shared/sky.wgsl draws nothing but a clear dome.
pub fn over_hills(light: &Light) -> f64 {
    if light.condition != SkyCondition::Clear {
        return f64::INFINITY;
    }
    let highest = skyline(light).into_iter().fold(0.0, f32::max);
    (1.2 * f64::from(highest) + 0.004).sin()
}

/// Colours of the sky near the horizon and overhead, luminance 1: its mean colour is that of its light.
fn colors(light: &Light) -> [DVec3; 2] {
    let unit = |c: DVec3| c / c.dot(DVec3::new(0.2126, 0.7152, 0.0722)).max(1e-6);
    let clear = match light.condition {
        SkyCondition::Clear => 1.0,
        SkyCondition::Broken => 0.9,
        SkyCondition::ThinCirrus => 0.55,
        SkyCondition::Overcast => 0.0,
    };
    let white = DVec3::new(0.96, 1.0, 1.06);
    let sky = light.sky_color;
    let low = unit(sky.powf(1.0 + 0.3 * clear).lerp(white, 0.40));
    // Overhead, air alone scatters: bluer than the mean, and as film draws it (by eye).
    let high = sky.powf(1.0 + 1.35 * clear) * DVec3::new(1.0 - 0.22 * clear, 1.0, 1.0);
    [low, unit(high)]
}

/// Elevation of the skyline at evenly spread bearings, radians.
pub fn skyline(light: &Light) -> Vec<f32> {
    (0..SKYLINE)
        .map(|i| {
            let bearing_deg = 360.0 * i as f64 / SKYLINE as f64;
            light
                .horizon
                .elevation_deg(bearing_deg)
                .max(0.0)
                .to_radians() as f32
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The light of an overcast sky on a level plane is 2π times the integral of its luminance (no sun in it) over
    /// z dz, here by fine steps of z.
    #[test]
    fn the_sky_is_scaled_by_its_own_integral() {
        let [a, b, ..] = spread(SkyCondition::Overcast);
        let steps = 100_000;
        let fine: f64 = (0..steps)
            .map(|i| {
                let z = (i as f64 + 0.5) / steps as f64;
                let glow = 1.0 + 0.45 * (-z / 0.09).exp();
                2.0 * z * glow * (1.0 + a * (b / z).exp()) / steps as f64
            })
            .sum();
        let level = level_share(spread(SkyCondition::Overcast), DVec3::Z);
        assert!((level / (std::f64::consts::PI * fine) - 1.0).abs() < 2e-3);
    }

    #[test]
    fn maps_put_their_window_into_the_unit_square() {
        let toward = DVec3::new(0.4, -0.5, 0.6).normalize();
        let hull = corners(DVec3::new(-10.0, -1.5, 0.0), DVec3::new(10.0, 1.5, 4.5));
        for view in views(toward, &hull, [hull[0], hull[7]], -0.5) {
            let map = map_from_machine(&view);
            for point in &hull {
                let at = map.project_point3(*point);
                assert!(at.min_element() > 0.0 && at.max_element() < 1.0, "{at}");
                let clip = clip_from_machine(&view).project_point3(*point);
                assert!((clip.x - (2.0 * at.x - 1.0)).abs() < 1e-9);
                assert!((clip.y - (1.0 - 2.0 * at.y)).abs() < 1e-9);
            }
        }
    }
}
