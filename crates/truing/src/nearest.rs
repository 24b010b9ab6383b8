//! The known word nearest to a mistyped one, for hints.

/// The word of `known` that takes the fewest single-letter changes to reach from `typed`, if it is near
/// enough to be meant: at most a third of the letters, and always at least one.
pub(crate) fn nearest<'a>(typed: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let reach = (typed.chars().count() / 3).max(1);
    known
        .into_iter()
        .map(|word| (distance(typed, word), word))
        .filter(|(changes, _)| *changes <= reach)
        .min_by_key(|(changes, _)| *changes)
        .map(|(_, word)| word)
}

/// Letters to insert, delete or replace to turn `a` into `b` (Levenshtein 1966), row by row.
fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, letter) in a.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, other) in b.iter().enumerate() {
            let replaced = diagonal + usize::from(letter != *other);
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
    fn counts_letter_changes() {
        // The first is the textbook pair: three changes.
        for (a, b, changes) in [("kitten", "sitting", 3), ("", "abc", 3), ("abc", "abc", 0), ("ab", "ba", 2)]
        {
            assert_eq!(distance(a, b), changes, "{a} {b}");
            assert_eq!(distance(b, a), changes, "{b} {a}");
        }
    }

    #[test]
    fn finds_what_was_meant_and_nothing_far_fetched() {
        let known = ["present", "target", "presses"];
        assert_eq!(nearest("presnt", known), Some("present"));
        assert_eq!(nearest("tagret", known), Some("target"));
        assert_eq!(nearest("weather", known), None);
    }
}
