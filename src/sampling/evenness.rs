//! What the tests of the layouts share: counting in cells, and bounds for what is counted.

/// Pearson's chi-square of counts that should all be equal, and the most that chance explains: above it with probability
/// e⁻¹⁴, about 1e-6 (B. Laurent & P. Massart, Ann. Statist. 28 (2000) 1302, lemma 1: df + 2√(14 df) + 28).
pub(super) fn chi_square(counts: &[u64]) -> (f64, f64) {
    let expected = counts.iter().sum::<u64>() as f64 / counts.len() as f64;
    assert!(expected >= 5.0, "only {expected} a cell");
    let found = counts
        .iter()
        .map(|&count| (count as f64 - expected).powi(2) / expected)
        .sum();
    let df = (counts.len() - 1) as f64;
    (found, df + 2.0 * (14.0 * df).sqrt() + 28.0)
}

/// Fails, naming `what`, when the counts are not even.
pub(super) fn assert_even(what: &str, counts: &[u64]) {
    let (found, allowed) = chi_square(counts);
    assert!(
        found <= allowed,
        "{what}: chi-square {found:.1}, allowed {allowed:.1} in {} cells",
        counts.len()
    );
}

/// Fails, naming `what`, when `sum` of `n` independent numbers of mean 0 and standard deviation `sd` is beyond 5 standard
/// errors.
pub(super) fn assert_centred(what: &str, sum: f64, sd: f64, n: usize) {
    let errors = sum / (sd * (n as f64).sqrt());
    assert!(
        errors.abs() < 5.0,
        "{what}: {errors:.1} standard errors from what it should be"
    );
}

/// Whether each of as many equal cells as there are numbers holds one of them.
pub(super) fn one_in_each_cell(row: &[f64]) -> bool {
    let mut seen = vec![false; row.len()];
    row.iter().all(|u| {
        let cell = (u * row.len() as f64) as usize;
        cell < seen.len() && !std::mem::replace(&mut seen[cell], true)
    })
}
