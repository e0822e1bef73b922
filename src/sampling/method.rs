//! The ways to lay out a run's uniform numbers.

/// How the uniform numbers of a run are laid out over its builds. Every one of them gives each single number the uniform
/// distribution, so all estimates of means and shares are unbiased; they differ in how far an estimate scatters.
///
/// ```
/// use sightdrift::sampling::Sampling;
///
/// assert_eq!(Sampling::named("latin-hypercube"), Some(Sampling::LatinHypercube));
/// assert_eq!(Sampling::Sobol.name(), "sobol");
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Sampling {
    /// Independent random numbers. The standard error of a mean over n builds is σ/√n, whatever the number of dimensions.
    #[default]
    Plain,
    /// Latin hypercube: within a cube of n builds every dimension has one number in each of n equal strata (M. D. McKay,
    /// R. J. Beckman & W. J. Conover, Technometrics 21 (1979) 239). The part of the result that is a sum of functions of
    /// one number each cancels to a higher order than 1/√n (M. Stein, Technometrics 29 (1987) 143); what is left scatters as with plain
    /// numbers. The variance is never more than n/(n − 1) times the plain one (A. B. Owen, SIAM J. Numer. Anal. 34
    /// (1997) 1884). An interval worked out as if the builds were independent is too wide for an additive result.
    LatinHypercube,
    /// Sobol' points under Owen's nested uniform scramble. The standard error falls as n^(−3/2), but for powers of log n,
    /// for smooth results (A. B. Owen, Ann. Statist. 25 (1997) 1541); it is o(1/√n) for any square-integrable result, and its
    /// variance is at most a fixed multiple of the plain one (same author, J. Complexity 14 (1998) 466). In many dimensions, or for
    /// the yes or no of a single build, the gain at the numbers of builds in use is far smaller. An interval needs
    /// several independent scrambles.
    Sobol,
}

impl Sampling {
    /// All of them, the plainest first.
    pub const ALL: [Self; 3] = [Self::Plain, Self::LatinHypercube, Self::Sobol];

    /// The name in files and reports.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Plain => "plain",
            Self::LatinHypercube => "latin-hypercube",
            Self::Sobol => "sobol",
        }
    }

    /// The name in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Plain => "plain random numbers",
            Self::LatinHypercube => "Latin hypercubes",
            Self::Sobol => "scrambled Sobol' points",
        }
    }

    /// The method of that name; `None` for any other text.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|one| one.name() == name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_method_is_found_by_its_own_name_and_no_other() {
        for one in Sampling::ALL {
            assert_eq!(Sampling::named(one.name()), Some(one));
            assert_eq!(Sampling::named(&one.name().to_uppercase()), None);
        }
        assert_eq!(Sampling::named(""), None);
    }
}
