//! The nearest of some words to a mistyped one. May not enter: which words there are.

/// The candidate nearest to `word` by edit distance, if any is near enough to be what was meant:
/// at most a third of the longer word's letters differ, or one word begins with the other.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let lower = word.to_lowercase();
    candidates
        .into_iter()
        .filter_map(|candidate| {
            let target = candidate.to_lowercase();
            let longer = lower.chars().count().max(target.chars().count());
            let edits = edit_distance(&lower, &target);
            let begins = lower.len() >= 3
                && target.len() >= 3
                && (target.starts_with(&lower) || lower.starts_with(&target));
            (begins || edits * 3 <= longer).then_some((edits, candidate))
        })
        .min_by_key(|(edits, _)| *edits)
        .map(|(_, candidate)| candidate)
}

/// Levenshtein's distance in characters (V. Levenshtein, Soviet Physics Doklady 10, 1966).
fn edit_distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, from) in a.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, to) in b.iter().enumerate() {
            let replaced = diagonal + usize::from(from != *to);
            diagonal = row[j + 1];
            row[j + 1] = replaced.min(diagonal + 1).min(row[j] + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_example_has_three_edits() {
        assert_eq!(edit_distance("kitten", "sitting"), 3);
        assert_eq!(edit_distance("", "abc"), 3);
    }

    #[test]
    fn a_slip_finds_its_word_and_nonsense_finds_none() {
        assert_eq!(
            nearest("lattitude", ["longitude", "latitude"]),
            Some("latitude")
        );
        assert_eq!(nearest("height", ["height_m", "width_m"]), Some("height_m"));
        assert_eq!(nearest("xyzzy", ["height_m", "width_m"]), None);
    }
}
