//! How tight each step must be: closed forms of headroom, of each tolerance alone and of the least-cost allocation.
//! Fixed seeds; every bound is 5 standard errors worked out from the number of builds.

mod support;

use sightdrift::decision::{
    Allocation, Alone, Headroom, NoAllocation, RoomEnd, RunPlan, StepShare, allocation, brief_run,
    each_alone, headroom, step_shares,
};
use sightdrift::figure::{Design, Frame, Plan, Plate, Source, Step};
use sightdrift::sampling::{Sampling, normal_cumulative, normal_quantile_wichura_1988};
use sightdrift::scenario::{EXAMPLES, Scenario, read_scenario};
use sightdrift::statistics::{IntervalMethod, Proportion};
use sightdrift::trial::{RunHooks, thread_pool};
use std::sync::atomic::AtomicBool;
use support::{PLATES_MM, normal, plain_design, set_law, with_hooks};

const BUILDS: u64 = 10_000;
/// Factors are found to within this share.
const WITHIN: f64 = 0.004;

fn run_plan() -> RunPlan {
    RunPlan {
        seed: 20_260_211,
        builds: BUILDS,
        looks: 1,
        half_width: None,
        level: 0.95,
        method: IntervalMethod::Wilson,
        sampling: Sampling::Plain,
    }
}

/// One rod by itself, judged by its drift alone, which may reach `limit_rad`; no eye error, no weight.
fn one_rod(limit_rad: f64, target_yield: f64) -> Design {
    let mut design = plain_design(Frame::Fixed);
    design.rods.truncate(1);
    design.judging.rule.drift_rad = Some(limit_rad);
    design.judging.rule.gap_rad = Some(1.0);
    design.judging.target_yield = target_yield;
    design
}

/// Weight of the rear plate's error at each end of the rod, as seen, 1/mm.
fn rear_levers_per_mm(design: &Design) -> [f64; 2] {
    let [front, rear] = PLATES_MM;
    design.rods[0]
        .ends
        .map(|end| (end.depth_mm - front) / (rear - front) / end.depth_mm)
}

/// Probability that a normal error stays within ± `limit`.
fn within(limit: f64, sd: f64) -> f64 {
    2.0 * normal_cumulative(limit / sd) - 1.0
}

fn standard_errors(share: f64, times: f64) -> f64 {
    times * (share * (1.0 - share) / BUILDS as f64).sqrt()
}

/// Fails unless `true_yield` at the factor that was found is the target, to 5 standard errors and the precision of the search.
fn just_met(factor: f64, target: f64, true_yield: impl Fn(f64) -> f64) {
    let allowed = standard_errors(target, 5.0);
    let (here, beyond) = (true_yield(factor), true_yield(factor * (1.0 + WITHIN)));
    assert!(
        here >= target - allowed && beyond <= target + allowed,
        "yield {here} at the factor {factor} and {beyond} just beyond, target {target}, allowed {allowed}"
    );
}

fn at(end: RoomEnd) -> f64 {
    let RoomEnd::At(factor) = end else {
        panic!("{end:?} is no factor")
    };
    factor
}

#[test]
fn the_headroom_of_one_normal_error_is_the_ratio_of_two_normal_quantiles() {
    let source = Source::PatternShift(Plate::Rear);
    for (limit_rad, target) in [(1e-3, 0.9), (4e-3, 0.9), (2e-3, 0.99)] {
        let mut design = one_rod(limit_rad, target);
        let sd_mm = 1.0;
        set_law(&mut design, source, normal(source, sd_mm));
        // the pattern moves both ends alike; the end with the longer lever decides
        let lever = rear_levers_per_mm(&design).into_iter().fold(0.0, f64::max);
        let plan = Plan::new(design);
        let run = run_plan();
        let found = with_hooks(|hooks| headroom(&plan, &run, hooks)).expect("whole");
        assert_eq!(found.scaled, [source]);
        let factor = at(found.room.end);
        let exact = limit_rad / (lever * sd_mm * normal_quantile_wichura_1988(0.5 + target / 2.0));
        just_met(factor, target, |factor| {
            within(limit_rad, lever * sd_mm * factor)
        });
        assert!(
            found.room.surely < exact && found.room.possibly.expect("crosses") > exact,
            "{:?} does not hold {exact}",
            found.room
        );
        // other builds find the target again: two chances, so 5 standard errors of a difference
        let proof = found
            .proof
            .and_then(|proof| proof.share())
            .expect("a proof");
        let allowed = standard_errors(target, 5.0 * 2.0_f64.sqrt()) + 0.002;
        assert!((proof - target).abs() <= allowed, "{proof} {target}");
        let rows = with_hooks(|hooks| each_alone(&plan, &run, hooks)).expect("whole");
        assert_eq!(rows.len(), 1);
        assert_eq!(rows[0].sources, [source]);
        assert!((at(rows[0].room.end) / factor - 1.0).abs() < 2.0 * WITHIN);
    }
}

const SCATTER_MM: f64 = 0.2;
const TIE_MM: f64 = 0.3;
const LIMIT_RAD: f64 = 2.0e-3;

/// One rod under scatter of the rear holes and of its ties, each normal.
fn two_errors(target: f64) -> Plan {
    let mut design = one_rod(LIMIT_RAD, target);
    let holes = Source::HoleScatter(Plate::Rear);
    set_law(&mut design, holes, normal(holes, SCATTER_MM));
    set_law(&mut design, Source::RodTie, normal(Source::RodTie, TIE_MM));
    Plan::new(design)
}

/// Its yield with the holes' scatter and the ties' at these factors: the two ends are independent.
fn yield_of_two(plan: &Plan, holes: f64, ties: f64) -> f64 {
    let levers = rear_levers_per_mm(&plan.design);
    (0..2)
        .map(|end| {
            let per_mm = 1.0 / plan.end_mm(end).z;
            let sd = (holes * SCATTER_MM * levers[end]).hypot(ties * TIE_MM * per_mm);
            within(LIMIT_RAD, sd)
        })
        .product()
}

#[test]
fn together_and_each_alone_two_errors_reach_the_target_where_the_closed_form_says() {
    // the ties alone leave 0.81
    const TARGET: f64 = 0.75;
    let plan = two_errors(TARGET);
    let run = run_plan();
    let together = with_hooks(|hooks| headroom(&plan, &run, hooks)).expect("whole");
    just_met(at(together.room.end), TARGET, |factor| {
        yield_of_two(&plan, factor, factor)
    });
    let rows = with_hooks(|hooks| each_alone(&plan, &run, hooks)).expect("whole");
    assert_eq!(rows.len(), 2);
    for row in &rows {
        just_met(at(row.room.end), TARGET, |factor| match row.source() {
            Source::RodTie => yield_of_two(&plan, 1.0, factor),
            _ => yield_of_two(&plan, factor, 1.0),
        });
        assert!(row.is_work);
        let counted = row.room.yield_at_end;
        assert_eq!(counted.of, BUILDS);
        assert!(counted.share().expect("builds") >= TARGET);
    }
}

#[test]
fn both_plates_with_one_law_have_a_row_of_their_own() {
    let mut design = one_rod(LIMIT_RAD, 0.9);
    for plate in Plate::BOTH {
        let source = Source::HoleScatter(plate);
        set_law(&mut design, source, normal(source, SCATTER_MM));
    }
    let run = run_plan();
    let alike = Plan::new(design.clone());
    let rows = with_hooks(|hooks| each_alone(&alike, &run, hooks)).expect("whole");
    assert_eq!(rows.len(), 3);
    let both = rows
        .iter()
        .find(|row| row.sources.len() == 2)
        .expect("both");
    let together = with_hooks(|hooks| headroom(&alike, &run, hooks)).expect("whole");
    // nothing else varies, so both plates together are all of the work
    assert!((at(both.room.end) / at(together.room.end) - 1.0).abs() < WITHIN);
    let rear = Source::HoleScatter(Plate::Rear);
    set_law(&mut design, rear, normal(rear, 0.9 * SCATTER_MM));
    let unlike = Plan::new(design);
    let rows = with_hooks(|hooks| each_alone(&unlike, &run, hooks)).expect("whole");
    assert!(rows.iter().all(|row| row.sources.len() == 1));
}

/// The cheapest 1/holes + ties_cost/ties with this yield, by trying factors of the holes' scatter.
fn cheapest(plan: &Plan, ties_cost: f64, target: f64) -> f64 {
    let mut least = f64::INFINITY;
    for step in 1..4000 {
        let holes = 0.001 * f64::from(step);
        let (mut low, mut high) = (1e-6, 100.0);
        if yield_of_two(plan, holes, low) < target {
            break;
        }
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if yield_of_two(plan, holes, middle) >= target {
                low = middle;
            } else {
                high = middle;
            }
        }
        least = least.min(1.0 / holes + ties_cost / low);
    }
    least
}

fn allocated(plan: &Plan, costs: &[(Step, f64)], shares: Option<&[StepShare]>) -> Allocation {
    let run = run_plan();
    with_hooks(|hooks| {
        let together = headroom(plan, &run, hooks).expect("whole");
        allocation(plan, &run, &together, costs, shares, hooks)
    })
    .expect("an allocation")
}

fn factor_of(found: &Allocation, step: Step) -> f64 {
    let of = found.steps.iter().find(|one| one.step == step);
    of.expect("varies").factor
}

#[test]
fn an_allocation_is_within_one_percent_of_the_cheapest_that_any_search_finds() {
    for ties_cost in [0.2, 1.0, 8.0] {
        let plan = two_errors(0.9);
        let found = allocated(&plan, &[(Step::RodTie, ties_cost)], None);
        let (holes, ties) = (
            factor_of(&found, Step::HoleScatter),
            factor_of(&found, Step::RodTie),
        );
        let cost = 1.0 / holes + ties_cost / ties;
        assert!((cost / found.cost - 1.0).abs() < 1e-12);
        assert_eq!(found.present_cost, 1.0 + ties_cost);
        // what is cheapest at the yield that these factors really have: no chance is left in the comparison
        let least = cheapest(&plan, ties_cost, yield_of_two(&plan, holes, ties));
        assert!(
            cost >= least * (1.0 - 1e-3) && cost <= 1.01 * least,
            "costs {cost}, cheapest {least}, factors {holes} and {ties}"
        );
        just_met_by(&found.yield_found, yield_of_two(&plan, holes, ties));
        just_met_by(&found.proof, yield_of_two(&plan, holes, ties));
        let (alike, alike_cost) = found.alike;
        just_met_by(&found.proof_alike, yield_of_two(&plan, alike, alike));
        assert!((alike_cost - (1.0 + ties_cost) / alike).abs() < 1e-12);
    }
}

/// Fails unless what was counted is what the closed form says, to 5 standard errors.
fn just_met_by(counted: &Proportion, expected: f64) {
    let share = counted.share().expect("builds");
    let allowed = standard_errors(expected, 5.0);
    assert!(
        (share - expected).abs() <= allowed,
        "{share}, expected {expected}, allowed {allowed}"
    );
}

#[test]
fn a_steps_share_is_what_the_closed_form_loses_without_it() {
    const TARGET: f64 = 0.75;
    let plan = two_errors(TARGET);
    let run = run_plan();
    let shares = with_hooks(|hooks| step_shares(&plan, &run, hooks)).expect("whole");
    // the limit that the target yield would just meet, over the limit: the margin at the target, squared
    let squared = |holes: f64, ties: f64| {
        let (mut low, mut high) = (1e-3, 1e3);
        for _ in 0..100 {
            let middle = f64::midpoint(low, high);
            // a limit as many times as wide is errors as many times as small
            if yield_of_two(&plan, holes / middle, ties / middle) < TARGET {
                low = middle;
            } else {
                high = middle;
            }
        }
        low * low
    };
    for share in shares {
        let without = match share.step {
            Step::RodTie => squared(1.0, 0.0),
            _ => squared(0.0, 1.0),
        };
        let exact = 1.0 - without / squared(1.0, 1.0);
        // half of the interval is 2.13 standard errors (Student, 15 degrees of freedom)
        let allowed = 5.0 / 2.13 * (share.interval[1] - share.interval[0]) / 2.0;
        assert!(
            (share.share - exact).abs() <= allowed && allowed < 0.2 && share.stands_out(),
            "{share:?}, expected {exact}, allowed {allowed}"
        );
    }
}

#[test]
fn shares_that_are_given_start_the_allocation_and_must_be_whole() {
    let plan = two_errors(0.9);
    let share = |step, share| StepShare {
        step,
        share,
        interval: [0.9 * share, 1.1 * share],
    };
    let both = [share(Step::HoleScatter, 0.4), share(Step::RodTie, 0.6)];
    let found = allocated(&plan, &[], Some(&both));
    assert!(found.shares_given && !found.costs_given);
    assert_eq!(found.steps[0].share, both[0]);
    let run = run_plan();
    let refused = |costs: &[(Step, f64)], shares: &[StepShare]| {
        with_hooks(|hooks| {
            let together = headroom(&plan, &run, hooks).expect("whole");
            allocation(&plan, &run, &together, costs, Some(shares), hooks)
        })
        .err()
    };
    assert_eq!(refused(&[], &both[..1]), Some(NoAllocation::NoShares));
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let why = refused(&[(Step::RodTie, bad)], &both);
        assert!(matches!(why, Some(NoAllocation::BadInput(_))), "{why:?}");
    }
}

#[test]
fn where_perfect_work_misses_the_target_that_is_told_with_its_yield() {
    // the eye alone misses: it drifts by its offset over the depth, whatever the work
    let mut design = one_rod(LIMIT_RAD, 0.9);
    let holes = Source::HoleScatter(Plate::Rear);
    set_law(&mut design, holes, normal(holes, 0.01));
    set_law(
        &mut design,
        Source::EyeOffset,
        normal(Source::EyeOffset, 1.0),
    );
    let nearest = design.rods[0].ends.map(|end| end.depth_mm)[0];
    let plan = Plan::new(design);
    let run = run_plan();
    let found = with_hooks(|hooks| headroom(&plan, &run, hooks)).expect("whole");
    assert_eq!(found.room.end, RoomEnd::EvenNoneIsNotEnough);
    assert_eq!((found.room.surely, found.room.possibly), (0.0, Some(0.0)));
    assert_eq!(found.proof, None);
    just_met_by(&found.perfect_work, within(LIMIT_RAD, 1.0 / nearest));
    let why = with_hooks(|hooks| allocation(&plan, &run, &found, &[], None, hooks));
    assert_eq!(why, Err(NoAllocation::EvenPerfectIsNotEnough));
    // the eye's own row says what it would have to be
    let rows = with_hooks(|hooks| each_alone(&plan, &run, hooks)).expect("whole");
    let [holes, eye] = &rows[..] else {
        panic!("{} rows", rows.len())
    };
    assert!(holes.is_hopeless() && holes.is_work && !eye.is_work);
    assert!(at(eye.room.end) < 1.0);
}

#[test]
fn an_error_that_cannot_reach_the_limit_may_be_any_within_reason() {
    let mut design = one_rod(0.5, 0.9);
    let holes = Source::HoleScatter(Plate::Rear);
    set_law(&mut design, holes, normal(holes, 0.01));
    let plan = Plan::new(design);
    let run = run_plan();
    let found = with_hooks(|hooks| headroom(&plan, &run, hooks)).expect("whole");
    assert_eq!(found.room.end, RoomEnd::BeyondLargest);
    assert_eq!(found.room.possibly, None);
    let why = with_hooks(|hooks| allocation(&plan, &run, &found, &[], None, hooks));
    assert_eq!(why, Err(NoAllocation::AllAsLooseAsMakesSense));
    let nothing = Plan::new(one_rod(0.5, 0.9));
    let found = with_hooks(|hooks| headroom(&nothing, &run, hooks)).expect("whole");
    assert!(found.scaled.is_empty());
    let why = with_hooks(|hooks| allocation(&nothing, &run, &found, &[], None, hooks));
    assert_eq!(why, Err(NoAllocation::NothingVaries));
    assert!(
        with_hooks(|hooks| each_alone(&nothing, &run, hooks))
            .expect("whole")
            .is_empty()
    );
}

fn example(name: &str) -> Scenario {
    let example = EXAMPLES.iter().find(|example| example.name == name);
    let example = example.expect("there is one of that name");
    read_scenario(example.name, example.text, &|_| Err(String::new())).expect("a good example")
}

type All = (Headroom, Vec<Alone>, Result<Allocation, NoAllocation>);

fn all(scenario: &Scenario, builds: u64, hooks: &RunHooks<'_>) -> Option<All> {
    let run = brief_run(&scenario.run, builds);
    let together = headroom(&scenario.plan, &run, hooks)?;
    let rows = each_alone(&scenario.plan, &run, hooks)?;
    let shared = allocation(&scenario.plan, &run, &together, &[], None, hooks);
    Some((together, rows, shared))
}

#[test]
fn alone_a_tolerance_has_no_less_room_than_all_together() {
    for scenario in ["carton-kite", "desk-boat", "gallery-bridge"].map(example) {
        let (together, rows, shared) =
            with_hooks(|hooks| all(&scenario, 2000, hooks)).expect("whole");
        let least = at(together.room.end);
        assert!(least > 1.0, "{}", scenario.title);
        let design = &scenario.plan.design;
        for row in rows.iter().filter(|row| row.is_work) {
            let factor = row.room.factor();
            if row
                .sources
                .iter()
                .any(|one| design.is_held_by_strength(*one))
            {
                // held by what the line bears, not by the figure
                assert!(!together.scaled.contains(&row.sources[0]));
                continue;
            }
            assert!(factor >= least, "{:?} {factor} {least}", row.sources);
        }
        let shared = shared.expect("an allocation");
        // where looks that show too little end the room, shares of the deciding fault say nothing of it
        let saves = shared.cost < shared.alike.1 && shared.strides > 0;
        let held_by_clear = together.room.is_held_by_clear;
        assert!(saves || (held_by_clear && shared.cost <= shared.alike.1));
        for step in &shared.steps {
            let (low, high) = step.interval;
            assert!(low <= step.factor);
            assert!(high.is_none_or(|high| high >= step.factor));
        }
    }
}

#[test]
fn a_machined_length_is_enough_where_its_class_is_within_the_tolerance() {
    let scenario = example("desk-boat");
    let (_, rows, _) = with_hooks(|hooks| all(&scenario, 1000, hooks)).expect("whole");
    let seat = |plate| {
        let of = rows
            .iter()
            .find(|row| row.sources == [Source::SeatDepth(plate)]);
        of.expect("varies")
    };
    // peephole's plate to front plate: 180 − 12 mm; to rear plate: 560 − 12 mm
    for (plate, length_mm, medium_mm) in [(Plate::Front, 168.0, 0.5), (Plate::Rear, 548.0, 0.8)] {
        let row = seat(plate);
        let machined = row.machined.as_ref().expect("a length of the cabinet");
        assert_eq!(machined.length_mm, length_mm);
        assert_eq!(machined.classes[1].1, medium_mm);
        let surely_mm = row.law.reach(0.0) * row.room.surely;
        for (class, misses_mm, keeps) in &machined.classes {
            assert_eq!(
                *misses_mm <= surely_mm,
                *keeps == sightdrift::decision::Keeps::Yes,
                "{class:?}"
            );
        }
    }
    assert!(
        rows.iter()
            .filter(|row| row.machined.is_some())
            .all(|row| row.sources.len() == 1)
    );
}

#[test]
fn any_number_of_threads_gives_the_same() {
    let scenario = example("desk-boat");
    let by = |threads| {
        let pool = thread_pool(threads).expect("threads");
        pool.install(|| with_hooks(|hooks| all(&scenario, 1000, hooks)))
            .expect("whole")
    };
    assert!(by(1) == by(2));
}

#[test]
fn an_interrupted_run_gives_nothing() {
    let scenario = example("desk-boat");
    let run = brief_run(&scenario.run, 1000);
    let together = with_hooks(|hooks| headroom(&scenario.plan, &run, hooks)).expect("whole");
    let interrupted = AtomicBool::new(true);
    let hooks = RunHooks {
        interrupted: &interrupted,
        progress: &|_, _| {},
    };
    assert!(headroom(&scenario.plan, &run, &hooks).is_none());
    assert!(each_alone(&scenario.plan, &run, &hooks).is_none());
    let shared = allocation(&scenario.plan, &run, &together, &[], None, &hooks);
    assert_eq!(shared, Err(NoAllocation::Interrupted));
}
