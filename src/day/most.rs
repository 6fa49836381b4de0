//! As many of a list as fit, the first ones first.

use crate::Error;

/// What came of asking whether some of the list fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Answer<K> {
    /// They do.
    Fit,
    /// They do not.
    Lacking {
        /// What there is too little of.
        what: K,
        /// Whether a search was needed to know.
        searched: bool,
    },
}

/// The longest run from the start of `list` that fits, then the longest run behind the one that did not, and so
/// on. Of what there is too little `late` more are looked for in vain by a search; after that, those that
/// `need` it are no longer tried: the like of many that did not fit seldom fits.
///
/// # Errors
///
/// What `ask` fails with.
pub fn most<K: Clone + Ord>(
    list: &[usize],
    late: usize,
    need: impl Fn(usize, &K) -> bool,
    mut ask: impl FnMut(&[usize]) -> Result<Answer<K>, Error>,
) -> Result<Vec<usize>, Error> {
    let mut in_vain: std::collections::BTreeMap<K, usize> = std::collections::BTreeMap::new();
    let (mut kept, mut next) = (Vec::new(), list.to_vec());
    let mut run = next.len();
    // So many of the next are known to be too many.
    let mut too_many = None;
    while !next.is_empty() {
        let count = run.clamp(1, next.len());
        let tried: Vec<usize> = kept.iter().chain(&next[..count]).copied().collect();
        match ask(&tried)? {
            Answer::Fit => {
                kept = tried;
                next.drain(..count);
                too_many = too_many.map(|n: usize| n - count);
                run = too_many.map_or(2 * count, |n| n / 2);
            }
            Answer::Lacking { .. } if count > 1 => {
                too_many = Some(count);
                run = count / 2;
            }
            Answer::Lacking { what, searched } => {
                next.remove(0);
                let times = in_vain.entry(what.clone()).or_default();
                *times += usize::from(searched);
                if *times > late {
                    next.retain(|i| !need(*i, &what));
                }
                (too_many, run) = (None, 1);
            }
        }
    }
    Ok(kept)
}
