//! (seed, source, item, build, look) to numbers; distributions by quantile.

mod distribution;
mod normal;
mod stream;

pub use distribution::{Distribution, DistributionError};
pub use normal::{
    fill_normal_quantile, normal_cumulative, normal_density, normal_quantile_wichura_1988,
};
pub use stream::{BLOCK_BUILDS, Stream, StreamKey};

/// Version of everything between a seed and a drawn number. Raised when the same seed gives other numbers.
pub const SAMPLING_VERSION: u32 = 1;
