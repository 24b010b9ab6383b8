//! The nearest known word to one that is not known.
//!
//! Distance: restricted Damerau-Levenshtein (optimal string alignment): one insertion, deletion, substitution or
//! swap of neighbours costs 1. Source: F. J. Damerau, Comm. ACM 7 (1964) 171; V. I. Levenshtein, Soviet Physics
//! Doklady 10 (1966) 707.

/// Longest word that is compared, in characters: longer than any key, and a bound on the work for hostile input.
const LONGEST_COMPARED: usize = 64;

/// How many single edits turn `a` into `b`.
pub fn edits(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut rows: Vec<Vec<usize>> = vec![(0..=b.len()).collect()];
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let same = usize::from(a[i - 1] != b[j - 1]);
            let mut best = (rows[i - 1][j] + 1).min(row[j - 1] + 1).min(rows[i - 1][j - 1] + same);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(rows[i - 2][j - 2] + 1);
            }
            row.push(best);
        }
        rows.push(row);
    }
    rows[a.len()][b.len()]
}

/// The known word nearest to `word`, when it is near enough that a slip of the finger explains it: at most one
/// edit in three characters, two at least for words of four and more. Ties go to the first.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let length = word.chars().count();
    if length == 0 || length > LONGEST_COMPARED {
        return None;
    }
    let folded = word.to_lowercase().replace(['_', ' '], "-");
    let reach = (length / 3).max(if length >= 4 { 2 } else { 1 });
    known
        .into_iter()
        .map(|candidate| (edits(&folded, &candidate.replace('_', "-")), candidate))
        .filter(|(distance, candidate)| *distance <= reach && *distance < candidate.chars().count())
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
}

/// ``Did you mean `x`?``, or a list of what is known when nothing is near.
pub fn hint_for<'a>(word: &str, known: impl IntoIterator<Item = &'a str> + Clone) -> String {
    match nearest(word, known.clone()) {
        Some(candidate) => format!("Did you mean `{candidate}`?"),
        None => match known.into_iter().collect::<Vec<_>>()[..] {
            [] => "None is known here".into(),
            ref all => format!("Known here: {}", all.join(", ")),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn counts_single_edits() {
        // Counted by hand; the last two are the textbook pair and the textbook limit of the restricted distance.
        for (a, b, expected) in [
            ("", "abc", 3),
            ("ring_teeth", "ring_teeth", 0),
            ("ring_teth", "ring_teeth", 1),
            ("rign_teeth", "ring_teeth", 1),
            ("kitten", "sitting", 3),
            ("ca", "abc", 3),
        ] {
            assert_eq!(edits(a, b), expected, "{a} -> {b}");
        }
    }

    #[test]
    fn names_the_nearest_or_none() {
        let known = ["ring_teeth", "axle_ratio", "sensor_at", "min", "max"];
        for (word, expected) in [
            ("ring_tooth", Some("ring_teeth")),
            ("Ring-Teeth", Some("ring_teeth")),
            ("axel_ratio", Some("axle_ratio")),
            ("mni", Some("min")),
            ("colour", None),
            ("", None),
        ] {
            assert_eq!(nearest(word, known), expected, "{word}");
        }
    }

    proptest! {
        #[test]
        fn distance_is_symmetric_and_bounded(a in "[a-c]{0,7}", b in "[a-c]{0,7}") {
            prop_assert_eq!(edits(&a, &b), edits(&b, &a));
            prop_assert!(edits(&a, &b) <= a.len().max(b.len()));
            prop_assert_eq!(edits(&a, &b) == 0, a == b);
        }
    }
}
