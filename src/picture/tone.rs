//! From light to sRGB: a curve with a toe and a shoulder, much as slide film has. May not enter: scenes.

use glam::DVec3;

/// Reflectance that the exposure puts at itself: a photographer's grey card.
pub const GREY: f64 = 0.18;
/// Slope of the curve at grey, in log light: slides are steeper than nature.
pub const CONTRAST: f64 = 1.22;
/// What fills the paper's white: this many times a perfectly white card in the light exposed for.
pub const WHITE: f64 = 1.9;

/// Encodes linear light, of which 1 is a white card in the light that the exposure is for.
pub fn develop(linear: DVec3) -> [u8; 3] {
    // Strong light loses colour before it clips: a little of the luminance bleeds into each channel.
    let luminance = linear.dot(DVec3::new(0.2126, 0.7152, 0.0722)).max(0.0);
    let bleed = 0.25 * (luminance / WHITE).clamp(0.0, 1.0);
    let mixed = linear.lerp(DVec3::splat(luminance), bleed);
    mixed
        .to_array()
        .map(|channel| (encode(curve(channel)) * 255.0).round() as u8)
}

/// Lightness of a channel on paper, 0–1.
fn curve(x: f64) -> f64 {
    // Grey stays where it is although white is stretched to the paper's own.
    let (grey, white) = (GREY.powf(CONTRAST), WHITE.powf(CONTRAST));
    let knee = grey * white * (1.0 - GREY) / (GREY * white - grey);
    let bend = |x: f64| x.powf(CONTRAST) / (x.powf(CONTRAST) + knee);
    (bend(x.max(0.0)) / bend(WHITE)).min(1.0)
}

/// sRGB's own transfer function (IEC 61966-2-1).
pub fn encode(linear: f64) -> f64 {
    if linear <= 0.003_130_8 {
        12.92 * linear.max(0.0)
    } else {
        1.055 * linear.min(1.0).powf(1.0 / 2.4) - 0.055
    }
}

/// Back to linear light (IEC 61966-2-1).
pub fn decode(color_srgb: [u8; 3]) -> DVec3 {
    let channel = |value: u8| {
        let value = value as f64 / 255.0;
        if value <= 0.040_45 {
            value / 12.92
        } else {
            ((value + 0.055) / 1.055).powf(2.4)
        }
    };
    DVec3::from_array(color_srgb.map(channel))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_curve_rises_from_black_to_white_and_keeps_grey() {
        assert_eq!(develop(DVec3::ZERO), [0; 3]);
        assert_eq!(develop(DVec3::splat(WHITE)), [255; 3]);
        let steps: Vec<u8> = (0..100)
            .map(|i| develop(DVec3::splat(i as f64 / 40.0))[1])
            .collect();
        assert!(steps.windows(2).all(|pair| pair[0] <= pair[1]));
        let grey = develop(DVec3::splat(GREY))[1];
        // 18 % of linear light is code 118 of sRGB (IEC 61966-2-1).
        assert_eq!(grey, 118);
    }

    #[test]
    fn encoding_and_decoding_are_inverse() {
        for value in 0..=255u8 {
            let linear = decode([value; 3]).x;
            assert_eq!((encode(linear) * 255.0).round() as u8, value);
        }
    }
}
