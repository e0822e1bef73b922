//! One build, one look, its outcome; fixed tasks run in parallel and folded in order.

mod bench_taken;
mod bench_view;
mod build;
mod build_rows;
mod draws;
mod judge;
mod judge_rows;
mod look;
mod look_rows;
mod measure;
mod rows;
mod sampler;
mod sight;
mod sight_rows;
mod station;
mod workers;

pub use bench_taken::{PICTURE_FILLED, PICTURE_PX, taken};
pub use bench_view::{Frames, PictureFrame, shown};
pub use build::{Built, NotComputable};
pub use build_rows::BuildRows;
pub use draws::{Draws, fill_build, fill_look};
pub use judge::{LookOutcome, Verdict, judge};
pub use judge_rows::{JunctionRows, RodRows, VerdictRows, Witness};
pub use look::{Glance, Viewed};
pub use look_rows::LookRows;
pub use measure::Measured;
pub use rows::Marks;
pub use sampler::{REPLICATES, Sampler, replicate_builds, replicate_of, sobol_dimensions};
pub use sight::{InFrames, Sight, SightJunction, SightPoint, SightRod};
pub use station::least_clear_at_the_eye;
pub use workers::{RunHooks, fold_tasks, thread_pool};
