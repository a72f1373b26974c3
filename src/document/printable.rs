//! Text from files made fit for a terminal: a control character in a name must not move the cursor or paint
//! the screen. May not enter: what the text says.

use std::borrow::Cow;

/// Whether a character would steer a terminal instead of being shown.
pub(super) fn steers(c: char) -> bool {
    c.is_control() && c != '\n' && c != '\t'
}

/// The text with every control character but line ends and tabs replaced by a stand-in of the same length in
/// bytes, so that places in it stay where they are.
pub(super) fn printable(text: &str) -> Cow<'_, str> {
    if !text.contains(steers) {
        return Cow::Borrowed(text);
    }
    let ends = text.replace("\r\n", " \n");
    let shown = |c: char| match (steers(c), c.len_utf8()) {
        (false, _) => c,
        (true, 1) => '?',
        (true, _) => '·',
    };
    Cow::Owned(ends.chars().map(shown).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_that_steers_is_left_and_no_place_moves() {
        let raw = "a\x1b[31m\u{9b}2J\u{7f}é\tb\r\nc\n";
        let shown = printable(raw);
        assert_eq!(shown, "a?[31m·2J?é\tb \nc\n");
        assert_eq!(shown.len(), raw.len());
        assert!(matches!(printable("é\t1\n"), Cow::Borrowed(_)));
    }
}
