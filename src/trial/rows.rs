//! What one look at every build of a block sees, row by row: one number for each build.

use crate::geometry::{Pair, Point, Similarity};
use crate::sampling::BLOCK_BUILDS;
use crate::vision::Pupil;

/// The eye that looks at every build.
#[derive(Debug, Clone)]
#[repr(C, align(64))]
pub(super) struct EyeRows {
    pub(super) place: [[f64; BLOCK_BUILDS]; 3],
    pub(super) radius: [f64; BLOCK_BUILDS],
    pub(super) per_detail: [f64; BLOCK_BUILDS],
}

impl EyeRows {
    #[inline(always)]
    pub(super) fn pupil(&self, build: usize) -> Pupil {
        let [x, y, z] = &self.place;
        Pupil::new(Point::new(x[build], y[build], z[build]), self.radius[build])
    }
}

/// Where one point is seen at every build.
#[derive(Debug, Clone)]
#[repr(C, align(64))]
pub(super) struct SeenRows {
    pub(super) u: [f64; BLOCK_BUILDS],
    pub(super) v: [f64; BLOCK_BUILDS],
    pub(super) clear: [f64; BLOCK_BUILDS],
}

impl SeenRows {
    pub(super) const NOTHING: Self = Self {
        u: [0.0; BLOCK_BUILDS],
        v: [0.0; BLOCK_BUILDS],
        clear: [0.0; BLOCK_BUILDS],
    };

    #[inline(always)]
    pub(super) fn direction(&self, build: usize) -> Pair {
        Pair::new(self.u[build], self.v[build])
    }
}

/// The common shift, rotation and scale at every build.
#[derive(Debug, Clone)]
#[repr(C, align(64))]
pub(super) struct FitRows(pub [[f64; BLOCK_BUILDS]; 5]);

impl FitRows {
    #[inline(always)]
    pub(super) fn of(&self, build: usize) -> Similarity {
        let [a, b, c, d, e] = &self.0;
        Similarity::from_parts([a[build], b[build], c[build], d[build], e[build]])
    }

    #[inline(always)]
    pub(super) fn put(&mut self, build: usize, fit: &Similarity) {
        let parts = fit.parts();
        for part in 0..5 {
            self.0[part][build] = parts[part];
        }
    }
}

/// What of a look is to be counted at every build: 1, or 0 where the look is clipped or cannot be computed.
pub type Marks = [u64; BLOCK_BUILDS];

/// All that one look sees at every build, before it is judged.
#[derive(Debug, Clone)]
pub(super) struct Shown {
    pub eye: Box<EyeRows>,
    pub ends: Vec<SeenRows>,
    pub middles: Vec<SeenRows>,
    pub fit: Box<FitRows>,
    /// 1 where part of the figure is not seen clearly enough.
    pub clipped: Marks,
    /// 1 where the look is judged.
    pub counted: Marks,
}
