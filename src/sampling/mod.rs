//! (seed, source, item, build, look) to numbers, plain or laid out evenly; distributions by quantile.

mod distribution;
#[cfg(test)]
mod evenness;
mod latin;
mod method;
mod normal;
mod rows;
mod shape;
mod sobol;
mod standard;
mod stream;

pub use distribution::{Distribution, DistributionError};
pub use latin::fill_latin_hypercube;
pub use method::Sampling;
pub use normal::{normal_cumulative, normal_density, normal_quantile_wichura_1988, shape_normal};
pub use rows::{RowKey, SourceRows};
pub use sobol::SobolPoints;
pub use stream::{BLOCK_BUILDS, Row, Stream, StreamKey, another_seed};

/// Version of everything between a seed and a drawn number. Raised when the same seed gives other numbers.
pub const SAMPLING_VERSION: u32 = 2;
