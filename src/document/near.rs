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

/// Letters put in, left out, replaced, or swapped with their neighbour (optimal string alignment:
/// V. Levenshtein, Soviet Physics Doklady 10, 1966; swaps after F. Damerau, CACM 7, 1964).
pub fn edit_distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut edits = vec![vec![0; b.len() + 1]; a.len() + 1];
    for i in 0..=a.len() {
        for j in 0..=b.len() {
            edits[i][j] = if i == 0 || j == 0 {
                i + j
            } else {
                let replaced = edits[i - 1][j - 1] + usize::from(a[i - 1] != b[j - 1]);
                let swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
                let least = replaced.min(edits[i - 1][j] + 1).min(edits[i][j - 1] + 1);
                if swapped {
                    least.min(edits[i - 2][j - 2] + 1)
                } else {
                    least
                }
            };
        }
    }
    edits[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_example_has_three_edits() {
        assert_eq!(edit_distance("kitten", "sitting"), 3);
        assert_eq!(edit_distance("", "abc"), 3);
        assert_eq!(edit_distance("tnak", "tank"), 1);
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
