//! Fewer points for long series, without losing a peak.

/// A place along the axis and a value.
pub(crate) type Pair = (f64, f64);

/// Columns that a figure can tell apart.
const COLUMNS: f64 = 600.0;

/// Points in rising `x`, at most four for each column: the first, lowest, highest and last there.
pub(crate) fn thinned(points: &[Pair], left: f64, width: f64) -> Vec<Pair> {
    let column = |p: &Pair| ((p.0 - left) / width * COLUMNS).floor();
    let same_column = |a: &Pair, b: &Pair| (column(a) - column(b)).abs() < 0.5;
    points.chunk_by(same_column).flat_map(thinned_column).collect()
}

fn thinned_column(points: &[Pair]) -> Vec<Pair> {
    if points.len() <= 4 {
        return points.to_vec();
    }
    let by_y = |a: &usize, b: &usize| points[*a].1.total_cmp(&points[*b].1);
    let indices = 0..points.len();
    let mut kept: Vec<usize> =
        [Some(0), indices.clone().min_by(by_y), indices.max_by(by_y), Some(points.len() - 1)]
            .into_iter()
            .flatten()
            .collect();
    kept.sort_unstable();
    kept.dedup();
    kept.into_iter().map(|i| points[i]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_single_peak_in_a_long_series_is_kept() {
        let points: Vec<Pair> = (0..200_000)
            .map(|i| (f64::from(i) * 0.002, if i == 123_456 { 99.0 } else { 1.0 }))
            .collect();
        let thin = thinned(&points, 0.0, 400.0);
        assert!(thin.len() <= 2400 && thin.len() >= 600, "{}", thin.len());
        assert!(thin.iter().any(|p| p.1 > 98.0));
        assert!(thin.windows(2).all(|w| w[0].0 < w[1].0));
    }
}
