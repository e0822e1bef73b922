//! Correlation of ranks: how alike two orders of the same trials are.
//!
//! Source: C. Spearman, American Journal of Psychology 15 (1904) 72; ties share their mean rank (from memory). It needs an order
//! only, so values may be +∞.

/// Spearman's correlation of the ranks of `first` and `second`, trial by trial; `None` with fewer than two trials, or where one
/// side has all alike.
pub fn rank_correlation_spearman_1904(first: &[f64], second: &[f64]) -> Option<f64> {
    let count = first.len().min(second.len());
    let ranks = [ranks(&first[..count]), ranks(&second[..count])];
    let mean = (count as f64 + 1.0) / 2.0;
    let (mut squares, mut product) = ([0.0; 2], 0.0);
    for (one, other) in ranks[0].iter().zip(&ranks[1]) {
        let off = [one - mean, other - mean];
        squares[0] += off[0] * off[0];
        squares[1] += off[1] * off[1];
        product += off[0] * off[1];
    }
    let spread = squares[0] * squares[1];
    (spread > 0.0).then(|| (product / spread.sqrt()).clamp(-1.0, 1.0))
}

/// Rank of each value from 1 on; ties share their mean.
fn ranks(values: &[f64]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    let mut ranks = vec![0.0; values.len()];
    for tied in order.chunk_by(|a, b| values[*a] == values[*b]) {
        let before = order.partition_point(|at| values[*at].total_cmp(&values[tied[0]]).is_lt());
        let mean = before as f64 + (tied.len() as f64 + 1.0) / 2.0;
        tied.iter().for_each(|at| ranks[*at] = mean);
    }
    ranks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_order_agrees_with_itself_and_not_with_its_reverse() {
        let rising = [1.0, 2.0, 5.0, f64::INFINITY];
        let falling = [9.0, 4.0, 3.0, -1.0];
        assert_eq!(rank_correlation_spearman_1904(&rising, &rising), Some(1.0));
        assert_eq!(
            rank_correlation_spearman_1904(&rising, &falling),
            Some(-1.0)
        );
        assert_eq!(rank_correlation_spearman_1904(&rising, &[2.0; 4]), None);
        assert_eq!(rank_correlation_spearman_1904(&[1.0], &[2.0]), None);
        assert_eq!(ranks(&[3.0, 1.0, 3.0, 2.0]), [3.5, 1.0, 3.5, 2.0]);
    }
}
