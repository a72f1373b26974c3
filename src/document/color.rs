//! Colours as files write them. May not enter: what is painted.

/// What is allowed where a colour is asked for.
pub const COLOR: &str = "a colour such as \"#1f4e6b\" (sRGB, six hexadecimal digits)";

/// An sRGB-encoded colour from `#rrggbb`.
pub fn color_srgb(text: String) -> Result<[u8; 3], String> {
    let digits = text.strip_prefix('#').filter(|digits| {
        digits.len() == 6 && digits.bytes().all(|digit| digit.is_ascii_hexdigit())
    });
    let number = digits.and_then(|digits| u32::from_str_radix(digits, 16).ok());
    match number {
        Some(number) => Ok([(number >> 16) as u8, (number >> 8) as u8, number as u8]),
        None => Err("not a colour".into()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn six_digits_are_a_colour_and_nothing_else_is() {
        assert_eq!(color_srgb("#1F4e6b".into()), Ok([0x1f, 0x4e, 0x6b]));
        for bad in [
            "1f4e6b", "#1f4e6", "#1f4e6bb", "#+f4e6b", "#ééé", "blue", "",
        ] {
            assert!(color_srgb(bad.into()).is_err(), "{bad}");
        }
    }
}
