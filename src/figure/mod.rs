//! The target figure, lines, rods, cabinet and sources of error: the checked scenario as the engine sees it.

mod design;
mod grade;
mod law;
mod limits;
mod plan;
mod size;
mod source;
mod step;

pub use design::{
    Design, Gravity, Line, Peephole, Plate, PlateSpec, Rod, RodEnd, Stock, Threading, Vertex,
    Viewer,
};
pub use grade::Grade;
pub use law::{Law, Reach, Spread};
pub use limits::{CLEAR_SHARE, Finish, Frame, Judging, Limit, LimitRule};
pub use plan::{Item, Junction, Plan};
pub use size::{REACH_SD, Sensible, Size};
pub use source::{Family, Layout, Source};
pub use step::Step;
