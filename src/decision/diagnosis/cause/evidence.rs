//! How well the readings bear out that this or that went wrong: evidence of a set of suspects, about one linearisation.
//!
//! With readings z = J·ξ + ε (ε standard normal, ξ normal with the variances v), the evidence is normal with the covariance
//! C = J·diag(v)·Jᵀ + 1. A suspect opens the variances of its own unknowns; what that gains is, with A = Jₖᵀ·C⁻¹·Jₖ and
//! b = Jₖᵀ·C⁻¹·z, ½·bᵀ(W⁻¹ + A)⁻¹b − ½·ln det(1 + W·A) for an opening by W (matrix determinant lemma).

use nalgebra::{Cholesky, DMatrix, DVector, Dyn, Matrix2, Vector2};

/// What a suspect opens.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Opens {
    /// So many unknowns from this one on.
    Unknowns(usize, usize),
    /// So many readings' components from this one on.
    Rows(usize, usize),
}

/// Variances of all unknowns, and what is added to the readings' own variance of 1.
#[derive(Debug, Clone)]
pub(super) struct Variances {
    pub unknowns: Vec<f64>,
    pub rows: Vec<f64>,
}

impl Variances {
    /// Opens something to this variance.
    pub fn open(&mut self, opens: Opens, variance: f64) {
        match opens {
            Opens::Unknowns(at, count) => self.unknowns[at..at + count].fill(variance),
            Opens::Rows(at, count) => self.rows[at..at + count].fill(variance),
        }
    }

    fn of(&self, opens: Opens) -> f64 {
        match opens {
            Opens::Unknowns(at, _) => self.unknowns[at],
            Opens::Rows(at, _) => self.rows[at],
        }
    }
}

/// One linearisation under one set of variances.
#[derive(Debug, Clone)]
pub(super) struct Linear {
    /// Slopes J.
    pub slopes: DMatrix<f64>,
    /// Readings less what is shown, with the slopes' part put back: J·ξ is to explain it.
    pub data: DVector<f64>,
    pub variances: Variances,
    root: Cholesky<f64, Dyn>,
    /// L⁻¹·J and L⁻¹·z.
    whitened: DMatrix<f64>,
    whitened_data: DVector<f64>,
    /// L⁻¹.
    inverse: DMatrix<f64>,
}

impl Linear {
    /// `None` where the covariance is no covariance to rounding.
    pub fn new(slopes: DMatrix<f64>, data: DVector<f64>, variances: Variances) -> Option<Self> {
        let root = Cholesky::new(covariance(&slopes, &variances))?;
        let lower = root.l();
        let whitened = lower.solve_lower_triangular(&slopes)?;
        let whitened_data = lower.solve_lower_triangular(&data)?;
        let rows = data.len();
        let inverse = lower.solve_lower_triangular(&DMatrix::identity(rows, rows))?;
        Some(Self {
            slopes,
            data,
            variances,
            root,
            whitened,
            whitened_data,
            inverse,
        })
    }

    /// Half of ln det C.
    pub fn half_log_det(&self) -> f64 {
        let diagonal = self.root.l_dirty().diagonal();
        diagonal.iter().map(|value| libm::log(*value)).sum()
    }

    /// Most probable ξ: diag(v)·Jᵀ·C⁻¹·z.
    pub fn most_probable(&self) -> DVector<f64> {
        let count = self.slopes.ncols();
        DVector::from_fn(count, |unknown, _| {
            let variance = self.variances.unknowns[unknown];
            if variance > 0.0 {
                variance * self.whitened.column(unknown).dot(&self.whitened_data)
            } else {
                0.0
            }
        })
    }

    /// Covariance of two unknowns given the readings.
    pub fn covariance(&self, first: usize, second: usize) -> f64 {
        let [v, w] = [first, second].map(|unknown| self.variances.unknowns[unknown]);
        let own = if first == second { v } else { 0.0 };
        let known = self
            .whitened
            .column(first)
            .dot(&self.whitened.column(second));
        own - v * known * w
    }

    /// Covariance of what two rows of other slopes show, given the readings.
    pub fn covariance_shown(&self, first: &[f64], second: &[f64]) -> f64 {
        let own: f64 = first
            .iter()
            .zip(second)
            .zip(&self.variances.unknowns)
            .map(|((a, b), v)| a * b * v)
            .sum();
        own - self.seen_through(first).dot(&self.seen_through(second))
    }

    /// L⁻¹·J·diag(v)·s for a row of slopes s.
    fn seen_through(&self, slopes: &[f64]) -> DVector<f64> {
        let mut through = DVector::zeros(self.data.len());
        for (unknown, slope) in slopes.iter().enumerate() {
            let weight = slope * self.variances.unknowns[unknown];
            if weight != 0.0 {
                through.axpy(weight, &self.whitened.column(unknown), 1.0);
            }
        }
        through
    }

    /// ξ moved by what the readings say of the difference between `drawn` and what `noise` would have been read of it: from a
    /// draw of the prior to a draw of what the readings leave possible.
    pub fn conditioned(&self, drawn: &[f64], noise: &DVector<f64>) -> DVector<f64> {
        let mut misfit = self.data.clone() - noise;
        for (unknown, value) in drawn.iter().enumerate() {
            if *value != 0.0 {
                misfit.axpy(-value, &self.slopes.column(unknown), 1.0);
            }
        }
        let weighed = self.root.solve(&misfit);
        DVector::from_fn(drawn.len(), |unknown, _| {
            let variance = self.variances.unknowns[unknown];
            let pull = if variance > 0.0 {
                variance * self.slopes.column(unknown).dot(&weighed)
            } else {
                0.0
            };
            drawn[unknown] + pull
        })
    }

    /// A = Jₖᵀ·C⁻¹·Jₖ and b = Jₖᵀ·C⁻¹·z of what is opened, with a second component of 0 where there is one only.
    fn information(&self, opens: Opens) -> (Matrix2<f64>, Vector2<f64>) {
        let (table, at, count) = match opens {
            Opens::Unknowns(at, count) => (&self.whitened, at, count),
            Opens::Rows(at, count) => (&self.inverse, at, count),
        };
        let first = table.column(at);
        let (xx, x) = (first.dot(&first), first.dot(&self.whitened_data));
        if count == 1 {
            return (Matrix2::new(xx, 0.0, 0.0, 0.0), Vector2::new(x, 0.0));
        }
        let second = table.column(at + 1);
        let (xy, yy) = (first.dot(&second), second.dot(&second));
        let y = second.dot(&self.whitened_data);
        (Matrix2::new(xx, xy, xy, yy), Vector2::new(x, y))
    }

    /// How much the logarithm of the evidence gains when this is opened to the variance `to`.
    pub fn gain(&self, opens: Opens, to: f64) -> f64 {
        let by = to - self.variances.of(opens);
        let (a, b) = self.information(opens);
        let wide = Matrix2::identity() + a * by;
        let solved = inverse(&wide) * b;
        0.5 * by * b.dot(&solved) - 0.5 * libm::log(wide.determinant())
    }

    /// What the readings say of an unknown that is opened to the variance `to`, all else as it is: mean, and covariance
    /// (xx, xy, yy).
    pub fn opened(&self, opens: Opens, to: f64) -> ([f64; 2], [f64; 3]) {
        let by = to - self.variances.of(opens);
        let (a, b) = self.information(opens);
        let narrowed = inverse(&(Matrix2::identity() + a * by));
        let mean = narrowed * b * to;
        let known = narrowed * a * (to * to);
        let covariance = [to - known[(0, 0)], -known[(0, 1)], to - known[(1, 1)]];
        (mean.into(), covariance)
    }

    /// How much opening this to the variance `to` can change what is read: 0 where no reading sees it.
    pub fn is_seen(&self, opens: Opens, to: f64) -> bool {
        const SEEN: f64 = 0.05;
        match opens {
            Opens::Rows(..) => true,
            Opens::Unknowns(at, count) => (at..at + count)
                .any(|unknown| to * self.slopes.column(unknown).norm_squared() > SEEN),
        }
    }
}

/// Inverse of 1 + a covariance, whose determinant is 1 at least.
fn inverse(matrix: &Matrix2<f64>) -> Matrix2<f64> {
    Matrix2::new(
        matrix[(1, 1)],
        -matrix[(0, 1)],
        -matrix[(1, 0)],
        matrix[(0, 0)],
    ) / matrix.determinant()
}

/// J·diag(v)·Jᵀ + 1 + what is added. Column by column: the same bits on every machine.
fn covariance(slopes: &DMatrix<f64>, variances: &Variances) -> DMatrix<f64> {
    let rows = slopes.nrows();
    let mut covariance =
        DMatrix::from_diagonal(&DVector::from_fn(rows, |row, _| 1.0 + variances.rows[row]));
    for (unknown, variance) in variances.unknowns.iter().enumerate() {
        if *variance > 0.0 {
            let slope = slopes.column(unknown).into_owned();
            covariance.ger(*variance, &slope, &slope, 1.0);
        }
    }
    covariance
}
