//! Files in: scenarios, explicit looks and measured columns, with messages that point at the line.

mod allowed;
mod bench;
mod bench_cell;
mod bench_row;
mod bench_table;
mod cabinet;
mod check;
mod drawn;
mod explicit;
mod figure;
mod judging;
mod laws;
mod problem;
mod put;
mod put_files;
mod put_laid;
mod put_threading;
mod quantity;
mod read;
mod schema;
mod spread;
mod starter;
mod table;
mod ways;

pub use bench::{AllProblems, BenchRead, read_bench};
pub use check::{Warning, warnings};
pub use drawn::{
    DrawingError, DrawingFormat, DrawingSettings, Drawn, FigureSize, LARGEST_DRAWING_BYTES,
    SolidView, read_drawing,
};
pub use explicit::{ExplicitTrial, read_explicit};
pub use judging::{MOST_BUILDS, MOST_LOOKS};
pub use laws::Origin;
pub use problem::{Place, Problem, Problems, is_unseen, plain};
pub use put::{NotPut, put_lines};
pub use put_files::put_files;
pub use put_laid::{NotLaid, put_laid};
pub use put_threading::{NotThreaded, ThreadingPut, put_threading};
pub use read::{Scenario, read_scenario};
pub use schema::{explicit_schema, scenario_schema};
pub use starter::{
    EXAMPLES, Example, PICTURE_PLANE_MM, StarterCabinet, StarterError, StarterRod, StarterVertex,
    starter_from_drawing, starter_from_points,
};
