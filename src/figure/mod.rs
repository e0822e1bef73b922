//! The target figure, lines, rods, cabinet and sources of error: the checked scenario as the engine sees it.

mod all_ways;
mod allowed;
mod bench;
mod default_ways;
mod design;
mod grade;
mod law;
mod limits;
mod plan;
mod size;
mod source;
mod step;
mod ways;
mod written;

pub use all_ways::NoSets;
pub use allowed::Allowed;
pub use bench::{
    Bench, BenchWords, COVERED_SD, Measurand, MeasurandKey, Perspective, Quantity, Reading,
    Stretch, TakenOn, UsualSd, all_measurands,
};
pub use default_ways::{can_be_pulled_at_the_end, default_ways, item_words, items};
pub use design::{
    Design, Gravity, Line, Peephole, Plate, PlateSpec, Rod, RodEnd, Stock, Threading, Vertex,
    Viewer, focus_between_mm,
};
pub use grade::Grade;
pub use law::{Law, Reach, Spread};
pub use limits::{CLEAR_SHARE, Finish, Frame, Judging, Limit, LimitRule};
pub use plan::{Item, Junction, Plan};
pub use size::{REACH_SD, Sensible, Size};
pub use source::{Family, Layout, Source};
pub use step::Step;
pub use ways::{
    CostUnit, MOST_SETS, ScenarioLine, SetOfWays, StepWays, Way, WayLaw, WayOrigin, Ways,
    lines_text,
};
pub use written::{
    MOST_DIGITS, pulled_aims, rounded_law, rounded_quantity, written_law, written_quantity,
};
