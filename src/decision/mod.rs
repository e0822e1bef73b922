//! From trials to decisions: the run and when it stops, the first-order estimate beside it, worst case, what spoils the
//! build, the holding zone, the verdict; failures too rare to be met by a run; how big the peephole may be, how tight each step
//! of the work must be and which deserves the care; what spoiled a build on the bench and what mends it; in which order one line
//! is led through all holes.

mod allocation;
mod alone;
mod assessment;
mod block;
mod brief;
mod cloud;
mod comparison;
mod counted;
mod crossing;
mod depths;
pub mod diagnosis;
mod examples;
mod first_order;
mod headroom;
mod holding_zone;
pub mod laying;
mod least_cost;
pub mod peephole;
mod performance;
mod rare;
mod removal;
mod room;
mod run;
mod run_plan;
mod scatter;
mod shares;
mod standard_space;
mod subset;
mod tasks;
pub mod threading;
mod tolerances;
mod trial_rows;
mod way_front;
mod way_search;
mod way_sets;
pub mod workshop;
mod worst_case;

pub use allocation::{
    AllocatedStep, Allocation, MOST_TIMES_ALIKE, NoAllocation, StepShare, allocation, step_shares,
};
pub use alone::{Alone, Keeps, MachinedLength, each_alone};
pub use assessment::{Assessment, Met, assess, assess_result};
pub use brief::{Brief, brief, brief_run, briefs, fresh_run};
pub use cloud::{CloudLook, cloud, seen_rods};
pub use comparison::{
    Belong, BuildComparison, Comparison, ComparisonVerdict, FromMeanPlace, GivenBuilds, ItemPair,
    LookShares, MedianDifference, ONE_POINT, Pairing, build_comparison, comparison,
};
pub use counted::{Counted, CountedCounts, Merger, NotMerged, PassedSoFar};
pub use crossing::{Band, Crossing, Slope, crossing};
pub use depths::{DepthLayout, DepthOffer, Depths, depths};
pub use diagnosis::{Diagnosis, diagnose};
pub use examples::{ExampleBuild, Examples, Rank, examples};
pub use first_order::{
    Disagreement, EndEstimate, FirstOrder, GapEstimate, NoEstimate, first_order, signed_outputs,
};
pub use headroom::{Headroom, LARGEST_FACTOR, headroom, varying_work};
pub use holding_zone::{HoldingZone, ZoneCell, holding_zone};
pub use least_cost::{CostInput, LeastCost, LeastCostError, Stack, least_cost_allocation};
pub use peephole::{PeepholeAnswer, peephole_answer};
pub use performance::{Fault, Performance, TrialValues, performances};
pub use rare::{
    CountedFaults, Drive, FaultShare, NoRareFailure, RareFailure, RareSettings, rare_failure,
};
pub use removal::{Culprit, Outcome, Removal, Removals, removals};
pub use room::{Room, RoomEnd, SMALLEST_FACTOR};
pub use run::{Checkpoint, RunResult, Stopped, run, run_on, run_part};
pub use run_plan::{Interrupted, RunPlan};
pub use scatter::{Buildable, Scatter, drawn_together_mm};
pub use shares::{
    FEWEST_OF_EACH, MOST_MARGIN, NoShares, OutputShares, SHARE_ROWS, ShareOutput, Shares, shares,
    varying_steps,
};
pub use standard_space::{Coordinates, StandardSpace};
pub use subset::{
    Evaluate, PilotEnd, Repetition, STEP_SHARE, SubsetResult, SubsetSettings, Threshold,
    subset_simulation,
};
pub use tasks::{Part, TASK_BUILDS, checkpoints, is_border};
pub use tolerances::{Tolerances, tolerances};
pub use trial_rows::{TrialBlock, TrialEnd, TrialRow, trial_rows};
pub use way_front::{FrontStep, Gain, NextPoint};
pub use way_search::{
    ClearLooks, LEAST_FULL_BUILDS, LEAST_PROOF_BUILDS, Promise, Proof, ROOM, ScreenedSet, TriedSet,
};
pub use way_sets::{RUNNER_UPS, Stays, WaySets, way_sets};
pub use worst_case::{WorstCase, WorstOfItem, worst_case};
