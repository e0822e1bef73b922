//! From trials to decisions: the run and when it stops, the first-order estimate beside it, worst case, what spoils the
//! build, the holding zone, the verdict; and failures too rare to be met by a run.

mod assessment;
mod block;
mod brief;
mod cloud;
mod counted;
mod crossing;
mod first_order;
mod holding_zone;
mod performance;
mod rare;
mod removal;
mod run;
mod run_plan;
mod standard_space;
mod subset;
mod tasks;
mod way_front;
mod way_search;
mod way_sets;
mod worst_case;

pub use assessment::{Assessment, Met, assess, assess_result};
pub use brief::{Brief, brief, brief_run, briefs, fresh_run};
pub use cloud::{CloudLook, cloud, seen_rods};
pub use counted::{Counted, CountedCounts, Merger, NotMerged, PassedSoFar};
pub use crossing::{Band, Crossing, Slope, crossing};
pub use first_order::{
    Disagreement, EndEstimate, FirstOrder, GapEstimate, NoEstimate, first_order, signed_outputs,
};
pub use holding_zone::{HoldingZone, ZoneCell, holding_zone};
pub use performance::{Fault, Performance, TrialValues, performances};
pub use rare::{
    CountedFaults, Drive, FaultShare, NoRareFailure, RareFailure, RareSettings, rare_failure,
};
pub use removal::{Culprit, Outcome, Removal, Removals, removals};
pub use run::{Checkpoint, RunResult, Stopped, run, run_on, run_part};
pub use run_plan::{Interrupted, RunPlan};
pub use standard_space::{Coordinates, StandardSpace};
pub use subset::{
    Evaluate, PilotEnd, Repetition, STEP_SHARE, SubsetResult, SubsetSettings, Threshold,
    subset_simulation,
};
pub use tasks::{Part, TASK_BUILDS, checkpoints, is_border};
pub use way_front::{FrontStep, Gain, NextPoint};
pub use way_search::{FULL_BUILDS, PROOF_BUILDS, Promise, Proof, ScreenedSet, TriedSet};
pub use way_sets::{RUNNER_UPS, Stays, WaySets, way_sets};
pub use worst_case::{WorstCase, WorstOfItem, worst_case};
