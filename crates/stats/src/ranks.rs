//! Ranks of a sample, and how many of its values are equal.

/// Ranks from 1 in the order of the values; equal values share their mean rank.
pub(crate) fn ranks(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|&a, &b| values[a].total_cmp(&values[b]));
    let mut ranks = vec![0.0; values.len()];
    let mut at = 0;
    for equal in order.chunk_by(|&a, &b| values[a] == values[b]) {
        let mean = at as f64 + f64::midpoint(equal.len() as f64, 1.0);
        for &i in equal {
            ranks[i] = mean;
        }
        at += equal.len();
    }
    ranks
}

/// How many values share each value that occurs more than once, least value first.
pub(crate) fn ties(values: &[f64]) -> Vec<usize> {
    let mut ordered = values.to_vec();
    ordered.sort_by(f64::total_cmp);
    ordered.chunk_by(|a, b| a == b).map(<[f64]>::len).filter(|&equal| equal > 1).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_values_share_their_mean_rank() {
        // By hand: 1 is first, the three 5 are second to fourth, 9 is fifth.
        assert_eq!(ranks(&[5.0, 9.0, 5.0, 1.0, 5.0]), [3.0, 5.0, 3.0, 1.0, 3.0]);
        assert_eq!(ties(&[5.0, 9.0, 5.0, 1.0, 5.0, 1.0]), [2, 3]);
        assert!(ranks(&[]).is_empty() && ties(&[1.0, 2.0]).is_empty());
    }
}
