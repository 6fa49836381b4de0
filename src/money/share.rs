//! An amount shared out by weights, without a minor unit lost or made.

use super::Minor;

/// Shares `amount` in proportion to `weights` by the method of the largest remainder (A. Hamilton, 1792;
/// M. Balinski and H. Young, Fair Representation, 1982): each gets the whole part of its
/// quota, and what is left goes, one minor unit each, to the largest remainders; equal remainders
/// in the order of the list. Equal shares where no weight is above zero.
///
/// The shares sum to `amount`, and each differs from its quota by less than one. `None` when the
/// list is empty and there is something to share, or a product does not fit 128 bits.
pub fn share_out(amount: Minor, weights: &[u128]) -> Option<Vec<Minor>> {
    let whole = u128::try_from(amount).ok()?;
    if weights.is_empty() {
        return (amount == 0).then(Vec::new);
    }
    let even = vec![1; weights.len()];
    let weights = if weights.iter().all(|w| *w == 0) { &even } else { weights };
    let sum = weights.iter().try_fold(0u128, |sum, w| sum.checked_add(*w))?;
    let quotas = weights.iter().map(|w| w.checked_mul(whole)).collect::<Option<Vec<u128>>>()?;
    let mut shares: Vec<u128> = quotas.iter().map(|q| q / sum).collect();
    let left = whole - shares.iter().sum::<u128>();
    let mut order: Vec<usize> = (0..weights.len()).collect();
    // A stable sort: ties stay in the order of the list.
    order.sort_by_key(|i| std::cmp::Reverse(quotas[*i] % sum));
    order.into_iter().take(usize::try_from(left).ok()?).for_each(|i| shares[i] += 1);
    shares.into_iter().map(|s| Minor::try_from(s).ok()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_cent_left_over_goes_to_the_largest_remainder() {
        assert_eq!(share_out(100, &[1, 1, 1]), Some(vec![34, 33, 33]));
        assert_eq!(share_out(100, &[1, 2, 3]), Some(vec![17, 33, 50]));
        // Seats of 10 for votes 47, 16, 15.8, 12, 6.1, 3.1 thousand: a worked example of the method
        // in the literature on apportionment (from memory).
        assert_eq!(share_out(10, &[470, 160, 158, 120, 61, 31]), Some(vec![5, 2, 1, 1, 1, 0]));
    }

    #[test]
    fn nothing_to_weigh_is_shared_evenly() {
        assert_eq!(share_out(5, &[0, 0]), Some(vec![3, 2]));
        assert_eq!(share_out(0, &[]), Some(vec![]));
        assert_eq!(share_out(5, &[]), None);
        assert_eq!(share_out(-1, &[1]), None);
        assert_eq!(share_out(2, &[u128::MAX, 1]), None);
    }

    proptest! {
        #[test]
        fn shares_sum_to_the_amount_and_stay_near_their_quota(
            amount in 0i64..1_000_000_000,
            weights in prop::collection::vec(0u128..1_000_000_000_000_000, 1..40),
        ) {
            let shares = share_out(amount, &weights).unwrap();
            prop_assert_eq!(shares.iter().sum::<i64>(), amount);
            let sum: u128 = weights.iter().sum();
            for (share, weight) in shares.iter().zip(&weights).filter(|_| sum > 0) {
                let quota = weight * amount as u128;
                let share = *share as u128 * sum;
                prop_assert!(share < quota + sum && quota < share + sum);
            }
        }

        #[test]
        fn more_weight_never_gets_less(amount in 0i64..10_000, weights in prop::collection::vec(0u128..50, 2..9)) {
            let shares = share_out(amount, &weights).unwrap();
            for i in 0..weights.len() {
                for j in 0..weights.len() {
                    if weights[i] > weights[j] && weights.iter().any(|w| *w > 0) {
                        prop_assert!(shares[i] >= shares[j]);
                    }
                }
            }
        }
    }
}
