//! From trials to decisions: the run and when it stops, the first-order estimate beside it, worst case, what spoils the
//! build, the holding zone, the verdict.

mod assessment;
mod block;
mod cloud;
mod first_order;
mod holding_zone;
mod removal;
mod run;
mod worst_case;

pub use assessment::{Assessment, Interrupted, Met, assess};
pub use cloud::{CloudLook, cloud, seen_rods};
pub use first_order::{
    Disagreement, EndEstimate, FirstOrder, GapEstimate, NoEstimate, first_order, signed_outputs,
};
pub use holding_zone::{HoldingZone, ZoneCell, holding_zone};
pub use removal::{Culprit, Outcome, Removal, Removals, removals};
pub use run::{Checkpoint, RunPlan, RunResult, Stopped, run};
pub use worst_case::{WorstCase, WorstOfItem, worst_case};
