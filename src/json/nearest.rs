//! The known word most like a mistyped one.

/// The word of `known` that is most like `word`, if one is like it: at most a third of its
/// letters differ. The first of equals.
pub(crate) fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // Longer words are never typing mistakes, and the distance takes the square of the length.
    const LONGEST: usize = 64;
    // A long list is not looked through to its end: there may be fifty wrong words.
    const MOST: usize = 5_000;
    if word.len() > LONGEST {
        return None;
    }
    let allowed = 1.max(word.chars().count() / 3);
    let lower = word.to_lowercase();
    let near = known
        .into_iter()
        .take(MOST)
        .filter(|k| k.len() <= LONGEST)
        .map(|k| (distance(&lower, &k.to_lowercase()), k))
        .min_by_key(|(d, _)| *d)?;
    (near.0 <= allowed).then_some(near.1)
}

/// How many letters must be put in, left out or changed to make `b` out of `a`
/// (V. I. Levenshtein, 1966, by the row-wise recurrence of Wagner and Fischer, 1974).
fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, ca) in a.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, cb) in b.iter().enumerate() {
            let change = diagonal + usize::from(ca != *cb);
            diagonal = row[j + 1];
            row[j + 1] = change.min(diagonal + 1).min(row[j] + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_is_recognised_and_a_new_word_is_not() {
        let known = ["outline", "copies", "grain", "gap"];
        assert_eq!(nearest("outlin", known), Some("outline"));
        assert_eq!(nearest("Copies", known), Some("copies"));
        assert_eq!(nearest("copys", known), None);
        assert_eq!(nearest("gab", known), Some("gap"));
        assert_eq!(nearest("colour", known), None);
        assert_eq!(nearest("", known), None);
    }

    #[test]
    fn distance_counts_edits() {
        assert_eq!(distance("kitten", "sitting"), 3); // the usual textbook pair
        assert_eq!(distance("", "abc"), 3);
        assert_eq!(distance("abc", "abc"), 0);
    }
}
