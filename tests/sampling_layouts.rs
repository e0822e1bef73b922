//! Latin hypercubes and Sobol' points through the engine: what is drawn is laid out as promised, whoever draws it, and stays
//! uniform.

mod support;

use sightdrift::decision::{
    Counted, CountedCounts, Merger, Part, RunPlan, RunResult, Stopped, run, run_on, run_part,
};
use sightdrift::figure::{Design, Family, Frame, Law, Plan, Plate, Rod, RodEnd, Source, Vertex};
use sightdrift::geometry::Pair;
use sightdrift::sampling::{BLOCK_BUILDS, Distribution, Sampling, SobolPoints, normal_cumulative};
use sightdrift::statistics::{IntervalMethod, Tally};
use sightdrift::trial::{
    Draws, LookOutcome, REPLICATES, RunHooks, Sampler, fill_build, fill_look, sobol_dimensions,
    thread_pool,
};
use std::sync::atomic::{AtomicBool, Ordering};
use support::{Values, lively_design, normal, plain_design, set_law, silent_laws, with_hooks};

const EVEN: [Sampling; 2] = [Sampling::LatinHypercube, Sampling::Sobol];
const SEED: u64 = 31;
/// Standard deviation of every number of [`all_normal`].
const SD: f64 = 0.25;

/// The exhibit with every source normal: from each value its uniform number can be had again.
fn all_normal() -> Plan {
    let mut design = lively_design(Frame::Fitted);
    for source in Source::ALL {
        set_law(&mut design, source, normal(source, SD));
    }
    Plan::new(design)
}

/// Which value of a trial: source, item, component, look.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Address {
    source: Source,
    item: usize,
    component: usize,
    look: u64,
}

fn addresses(plan: &Plan, looks: u64) -> Vec<Address> {
    let mut all = Vec::new();
    for source in Source::ALL {
        let looks = match source.family() {
            Family::Build => 1,
            Family::Look => looks,
        };
        for look in 0..looks {
            for item in 0..source.items(&plan.design) {
                for component in 0..source.components() {
                    all.push(Address {
                        source,
                        item,
                        component,
                        look,
                    });
                }
            }
        }
    }
    all
}

/// Uniform numbers behind the values at `address` for the first `builds` builds of the repetition `replicate`.
fn numbers(
    plan: &Plan,
    sampler: &Sampler,
    address: Address,
    replicate: usize,
    builds: usize,
) -> Vec<f64> {
    let mut draws = match address.source.family() {
        Family::Build => Draws::of_builds(plan),
        Family::Look => Draws::of_looks(plan),
    };
    let start = plan.layout.start(address.source);
    let row = start + address.item * address.source.components() + address.component;
    let blocks = builds.div_ceil(BLOCK_BUILDS);
    let mut all: Vec<f64> = (0..blocks)
        .flat_map(|nth| {
            let block = (nth * REPLICATES + replicate) as u64;
            draws.draw(plan, sampler, address.look, block);
            draws.rows[row].0
        })
        .map(|value| normal_cumulative((value - address.source.neutral()) / SD))
        .collect();
    all.truncate(builds);
    all
}

/// Whether each of as many equal cells as there are numbers holds one of them.
fn one_in_each_cell(row: &[f64]) -> bool {
    let mut seen = vec![false; row.len()];
    row.iter().all(|u| {
        let cell = (u * row.len() as f64) as usize;
        cell < seen.len() && !std::mem::replace(&mut seen[cell], true)
    })
}

fn some_addresses() -> [Address; 5] {
    let at = |source, item, component, look| Address {
        source,
        item,
        component,
        look,
    };
    [
        at(Source::PatternShift(Plate::Rear), 0, 1, 0),
        at(Source::HoleScatter(Plate::Front), 7, 1, 0),
        at(Source::RodSlip, 5, 0, 0),
        at(Source::EyeOffset, 0, 1, 0),
        at(Source::Acuity, 0, 0, 3),
    ]
}

#[test]
fn every_latin_hypercube_of_a_run_has_one_number_in_each_stratum() {
    let plan = all_normal();
    for sampling in [Sampling::LatinHypercube, Sampling::Plain] {
        let sampler = Sampler::new(&plan, sampling, SEED, 4);
        for address in some_addresses() {
            for replicate in [0, 1, REPLICATES - 1] {
                let row = numbers(&plan, &sampler, address, replicate, 512);
                let cubes = [0..64, 64..128, 128..256, 256..512];
                for cube in cubes {
                    let even = one_in_each_cell(&row[cube.clone()]);
                    let wanted = sampling == Sampling::LatinHypercube;
                    assert_eq!(even, wanted, "{sampling:?} {address:?} {cube:?}");
                }
            }
        }
    }
}

#[test]
fn every_aligned_power_of_two_of_a_run_s_sobol_points_has_one_number_in_each_cell() {
    let plan = all_normal();
    let sampler = Sampler::new(&plan, Sampling::Sobol, SEED, 4);
    for address in some_addresses() {
        for replicate in [0, 9] {
            let row = numbers(&plan, &sampler, address, replicate, 512);
            for bits in 1..=9 {
                for part in row.chunks(1 << bits) {
                    assert!(one_in_each_cell(part), "{address:?}, 2^{bits}");
                }
            }
        }
    }
}

/// How many binary digits `a` and `b` share before the first that differs.
fn shared_digits(a: f64, b: f64) -> u32 {
    let digits = |u: f64| (u * 4_294_967_296.0) as u32;
    (digits(a) ^ digits(b)).leading_zeros()
}

/// A nested scramble keeps how many first digits two points share, and that tells dimensions apart.
#[test]
fn every_number_has_a_sobol_dimension_of_its_own_and_what_all_share_comes_first() {
    const POINTS: usize = 256;
    const LOOKS: u64 = 3;
    let plan = all_normal();
    let sampler = Sampler::new(&plan, Sampling::Sobol, SEED, LOOKS);
    let [dimensions, plain] = sobol_dimensions(&plan, LOOKS);
    assert_eq!(plain, 0);
    let points = SobolPoints::new(dimensions);
    let marks: Vec<Vec<u32>> = (0..dimensions)
        .map(|dimension| {
            let point = |index: usize| points.unscrambled(dimension, index as u64);
            (1..POINTS)
                .map(|index| shared_digits(point(0), point(index)))
                .collect()
        })
        .collect();
    for (dimension, mark) in marks.iter().enumerate() {
        assert!(
            !marks[..dimension].contains(mark),
            "{dimension} is unmarked"
        );
    }
    let addresses = addresses(&plan, LOOKS);
    assert_eq!(addresses.len(), dimensions);
    let mut taken = vec![false; dimensions];
    for address in addresses {
        let row = numbers(&plan, &sampler, address, 2, POINTS);
        let mark: Vec<u32> = row[1..].iter().map(|u| shared_digits(row[0], *u)).collect();
        let dimension = marks
            .iter()
            .position(|other| *other == mark)
            .unwrap_or_else(|| panic!("{address:?} is in no dimension"));
        assert!(
            !std::mem::replace(&mut taken[dimension], true),
            "{address:?} shares dimension {dimension}"
        );
        // two plates' shift (2), turn, scale, depth, two tilts; the peephole's shift (2) and depth
        let is_first = dimension < 2 * 7 + 3;
        let is_build = address.source.family() == Family::Build;
        let is_shared = is_build && address.source.items(&plan.design) == 1;
        assert_eq!(is_first, is_shared, "{address:?} in {dimension}");
        let looks_before = (dimension as u64).saturating_sub(plan.layout.build_len as u64)
            / plan.layout.look_len as u64;
        assert_eq!(is_build, dimension < plan.layout.build_len);
        assert_eq!(looks_before, address.look);
    }
}

#[test]
fn no_two_numbers_are_laid_out_alike() {
    let plan = all_normal();
    for sampling in EVEN {
        let sampler = Sampler::new(&plan, sampling, SEED, 2);
        let mut orders: Vec<(Vec<usize>, String)> = Vec::new();
        for address in addresses(&plan, 2) {
            for replicate in [0, 5] {
                let row = numbers(&plan, &sampler, address, replicate, 64);
                let order = row.iter().map(|u| (u * 64.0) as usize).collect();
                orders.push((order, format!("{address:?}, repetition {replicate}")));
            }
        }
        orders.sort();
        for pair in orders.windows(2) {
            assert!(pair[0].0 != pair[1].0, "{} and {}", pair[0].1, pair[1].1);
        }
    }
}

#[test]
fn a_source_that_is_taken_away_leaves_all_other_numbers_alone() {
    let before = all_normal();
    for sampling in Sampling::ALL {
        for taken in Source::ALL {
            let after = Plan::new(before.design.clone().with_perfect(taken));
            let of = |plan: &Plan| {
                let sampler = Sampler::new(plan, sampling, SEED, 2);
                let build = 64 * 17 + 5;
                (
                    fill_build(plan, &sampler, build),
                    fill_look(plan, &sampler, build, 1),
                )
            };
            let ((build, look), (build_after, look_after)) = (of(&before), of(&after));
            for source in Source::ALL.into_iter().filter(|source| *source != taken) {
                let start = before.layout.start(source);
                let end = start + source.items(&before.design) * source.components();
                let same = match source.family() {
                    Family::Build => build[start..end] == build_after[start..end],
                    Family::Look => look[start..end] == look_after[start..end],
                };
                assert!(same, "{sampling:?}: without {taken:?}, {source:?} changes");
            }
        }
    }
}

#[test]
fn one_trial_drawn_alone_is_the_same_trial_in_its_block() {
    let plan = Plan::new(lively_design(Frame::Fitted));
    for sampling in EVEN {
        let run_sampler = run_plan(sampling, SEED, 4000, 6).sampler(&plan);
        for block in [0_u64, 3, 16, 35] {
            let mut builds = Draws::of_builds(&plan);
            builds.draw(&plan, &run_sampler, 0, block);
            let mut looks = Draws::of_looks(&plan);
            looks.draw(&plan, &run_sampler, 4, block);
            for build in [0, 1, 40, BLOCK_BUILDS - 1] {
                let number = block * BLOCK_BUILDS as u64 + build as u64;
                // made for one look, as `see` makes it
                let alone = Sampler::new(&plan, sampling, SEED, 5);
                assert_eq!(builds.of_build(build), fill_build(&plan, &alone, number));
                assert_eq!(looks.of_build(build), fill_look(&plan, &alone, number, 4));
            }
        }
    }
}

fn run_plan(sampling: Sampling, seed: u64, builds: u64, looks: u64) -> RunPlan {
    RunPlan {
        seed,
        builds,
        looks,
        half_width: None,
        level: 0.95,
        method: IntervalMethod::Wilson,
        sampling,
    }
}

fn in_pool<T: Send>(threads: usize, work: impl FnOnce() -> T + Send) -> T {
    thread_pool(threads).expect("threads").install(work)
}

fn tally_at(threads: usize, plan: &Plan, run_plan: &RunPlan) -> Tally {
    in_pool(threads, || with_hooks(|hooks| run(plan, run_plan, hooks)))
        .expect("never interrupted")
        .tally
}

#[test]
fn a_run_is_what_its_trials_drawn_one_by_one_come_to() {
    let plan = Plan::new(lively_design(Frame::Fitted));
    for sampling in EVEN {
        let run_plan = run_plan(sampling, SEED, 1100, 2);
        let tally = tally_at(2, &plan, &run_plan);
        let sampler = run_plan.sampler(&plan);
        let (mut held, mut broken, mut clipped) = (0, 0, 0);
        for build in 0..run_plan.builds {
            for look in 0..run_plan.looks {
                let trial = Values {
                    plan: plan.clone(),
                    build: fill_build(&plan, &sampler, build),
                    look: fill_look(&plan, &sampler, build, look),
                }
                .trial()
                .expect("computable");
                match trial.outcome {
                    LookOutcome::Clipped => clipped += 1,
                    LookOutcome::Judged(verdict) if verdict.holds() => held += 1,
                    LookOutcome::Judged(_) => broken += 1,
                }
            }
        }
        assert!(held > 0 && broken > 0, "a dull run tests nothing");
        let found = [tally.held, tally.broken, tally.clipped];
        assert_eq!([held, broken, clipped], found, "{sampling:?}");
    }
}

/// Through the text of a file and back.
fn through_a_file(plan: &Plan, run_plan: &RunPlan, counted: &Counted) -> Counted {
    let text = serde_json::to_string(&CountedCounts::from(counted)).expect("JSON");
    let counts: CountedCounts = serde_json::from_str(&text).expect("what was written can be read");
    counts.counted(plan, run_plan).expect("counts that add up")
}

#[test]
fn runs_are_the_same_bits_at_any_threads_in_parts_and_interrupted() {
    let plan = Plan::new(lively_design(Frame::Fitted));
    for sampling in EVEN {
        let run_plan = run_plan(sampling, SEED, 5000, 2);
        let one = in_pool(1, || with_hooks(|hooks| run(&plan, &run_plan, hooks)));
        let one = format!("{:?}", one.expect("never interrupted"));
        for threads in [2, 5] {
            let other = in_pool(threads, || with_hooks(|hooks| run(&plan, &run_plan, hooks)));
            let other = format!("{:?}", other.expect("never interrupted"));
            assert!(one == other, "{sampling:?}: {threads} threads differ");
        }
        let mut merger = Merger::new(&plan, 3, run_plan.builds);
        for number in [2, 3, 1] {
            let part = Part::new(number, 3).expect("a part");
            let mut counted = Counted::new(&plan, part.builds(run_plan.builds).start);
            with_hooks(|hooks| run_part(&plan, &run_plan, part, &mut counted, hooks, &mut |_| {}));
            let counted = through_a_file(&plan, &run_plan, &counted);
            merger.add(part, &counted).expect("a part that fits");
        }
        let merged = merger.finish().expect("complete");
        let merged = RunResult::new(merged, &run_plan, Stopped::AtCap);
        assert!(one == format!("{merged:?}"), "{sampling:?}: parts differ");
        let pieces = in_pieces(&plan, &run_plan);
        assert!(one == format!("{pieces:?}"), "{sampling:?}: pieces differ");
    }
}

/// Runs with an interrupt after every two tasks, each time from what a file kept.
fn in_pieces(plan: &Plan, run_plan: &RunPlan) -> RunResult {
    let mut counted = Counted::new(plan, 0);
    for interrupts in 0.. {
        let flag = AtomicBool::new(false);
        let hooks = RunHooks {
            interrupted: &flag,
            progress: &|_, _| {},
        };
        let mut done = 0;
        let stopped = run_on(plan, run_plan, &mut counted, &hooks, &mut |_| {
            done += 1;
            flag.store(done >= 2, Ordering::Relaxed);
        });
        if let Some(stopped) = stopped {
            assert!(interrupts > 0, "never interrupted");
            return RunResult::new(counted, run_plan, stopped);
        }
        counted = through_a_file(plan, run_plan, &counted);
    }
    unreachable!("a run ends")
}

#[test]
fn every_number_is_uniform_whatever_the_layout() {
    const RUNS: u64 = 3000;
    let plan = all_normal();
    // first and last of a repetition's first cube, first of its second and third, and one further on
    let builds = [0, 63, 64 * 16, 128 * 16 + 5, 300 * 16];
    for sampling in Sampling::ALL {
        let mut sums = [[[0.0; 2]; 5]; 5];
        for seed in 0..RUNS {
            let sampler = Sampler::new(&plan, sampling, seed, 4);
            for (build, sums) in builds.into_iter().zip(&mut sums) {
                let drawn = fill_build(&plan, &sampler, build);
                for (address, sums) in some_addresses().into_iter().zip(sums) {
                    let source = address.source;
                    let at = plan.layout.start(source)
                        + address.item * source.components()
                        + address.component;
                    let value = match source.family() {
                        Family::Build => drawn[at],
                        Family::Look => fill_look(&plan, &sampler, build, address.look)[at],
                    };
                    let u = normal_cumulative((value - source.neutral()) / SD) - 0.5;
                    sums[0] += u;
                    sums[1] += u * u;
                }
            }
        }
        let n = RUNS as f64;
        for (build, sums) in builds.into_iter().zip(sums) {
            for (address, [sum, squares]) in some_addresses().into_iter().zip(sums) {
                // 5 standard errors: sd 1/√12; variance of u² is 1/180
                let mean = sum / n * (12.0 * n).sqrt();
                let square = (squares / n - 1.0 / 12.0) * (180.0 * n).sqrt();
                assert!(
                    mean.abs() < 5.0 && square.abs() < 5.0,
                    "{sampling:?} {address:?} build {build}: {mean:.1} and {square:.1} standard errors"
                );
            }
        }
    }
}

/// The exhibit, but so rough that about half of its builds pass.
fn rough() -> Plan {
    let mut design = lively_design(Frame::Fitted);
    for plate in Plate::BOTH {
        let source = Source::HoleScatter(plate);
        set_law(&mut design, source, normal(source, 0.35));
    }
    Plan::new(design)
}

/// The exhibit with an eye that strays to both sides, and no other error: one number decides.
fn one_number() -> Plan {
    let mut design = plain_design(Frame::Fitted);
    let strays = |sd| Distribution::Normal { mean: 0.0, sd };
    set_law(
        &mut design,
        Source::EyeOffset,
        Law::Each(vec![strays(6.0), strays(0.0)]),
    );
    Plan::new(design)
}

/// How many of the intervals of many seeds hold `true_yield`, and how wide they are on average.
fn covered(plan: &Plan, sampling: Sampling, true_yield: f64) -> (u64, f64) {
    let (mut covered, mut width) = (0, 0.0);
    for seed in 0..SEEDS {
        let run_plan = run_plan(sampling, 1000 + seed, 2048, 1);
        let tally = tally_at(1, plan, &run_plan);
        let found = run_plan.yield_of(tally.builds, &tally.passed_in);
        assert_eq!(found.scatter.is_some(), sampling != Sampling::Plain);
        let [low, high] = found.interval().expect("builds");
        covered += u64::from(low <= true_yield && true_yield <= high);
        width += (high - low) / SEEDS as f64;
    }
    println!("{sampling:?}: {covered} of {SEEDS}, mean width {width}");
    (covered, width)
}

const SEEDS: u64 = 400;

/// 5 standard deviations of the binomial law below 0.95 of all seeds.
fn least_covered() -> f64 {
    let expected = 0.95 * SEEDS as f64;
    expected - 5.0 * (expected * 0.05).sqrt()
}

#[test]
fn the_yield_s_interval_covers_as_often_as_it_says() {
    let plan = rough();
    let long = tally_at(2, &plan, &run_plan(Sampling::Plain, SEED, 1 << 18, 1));
    // its standard error is 1/11 of that of 2048 builds, which moves the coverage by some 1 in 1000
    let true_yield = long.passed as f64 / long.builds as f64;
    assert!((0.2..0.8).contains(&true_yield), "{true_yield}");
    let widths = Sampling::ALL.map(|sampling| {
        let (covered, width) = covered(&plan, sampling, true_yield);
        assert!(covered as f64 >= least_covered(), "{sampling:?}: {covered}");
        width
    });
    // and they are no wider than for as many independent builds: Student's bound for 16 is 2.131, the normal one 1.960; a
    // standard deviation of 16 has the relative scatter 1/√30, a mean of them over the seeds 1/√(30·400)
    let most = 2.131 / 1.960 * (1.0 + 5.0 / (30.0 * SEEDS as f64).sqrt());
    for width in &widths[1..] {
        assert!(width / widths[0] < most, "{widths:?}");
    }
}

#[test]
fn an_interval_covers_too_where_one_number_decides_and_repetitions_hardly_scatter() {
    let plan = one_number();
    let long = run_plan(Sampling::LatinHypercube, SEED, 1 << 18, 1);
    let long = tally_at(2, &plan, &long);
    let true_yield = long.passed as f64 / long.builds as f64;
    assert!((0.2..0.8).contains(&true_yield), "{true_yield}");
    for sampling in EVEN {
        let (covered, width) = covered(&plan, sampling, true_yield);
        assert!(covered as f64 >= least_covered(), "{sampling:?}: {covered}");
        // on either side one stratum of a cube is in doubt, variance at most 1/4; a repetition's 128 builds are two cubes, or
        // one net. A fifth of the width of independent builds; Student's bound and the scatter of widths as above
        let most = 2.0 * 2.131 / 4.0 / 128.0 * (1.0 + 5.0 / (30.0 * SEEDS as f64).sqrt());
        assert!(width < most, "{sampling:?}: {width}, at most {most}");
    }
}

/// Lines on a spiral and rods between them.
fn huge(lines: usize, rods: usize) -> Design {
    let mut design = lively_design(Frame::Fitted);
    design.laws = silent_laws(4.0);
    design.vertices = (0..lines)
        .map(|i| {
            let (angle, radius) = (0.61 * i as f64, 0.03 + 0.12 * i as f64 / lines as f64);
            Vertex {
                name: format!("v{i}"),
                direction: radius * Pair::new(angle.cos(), angle.sin()),
            }
        })
        .collect();
    design.line.tension_n = vec![4.0; lines];
    design.rods = (0..rods)
        .map(|i| Rod {
            name: format!("r{i}"),
            ends: [i % lines, (i + 1) % lines].map(|line| RodEnd {
                line,
                depth_mm: 250.0,
            }),
            diameter_mm: 2.0,
            mass_kg_per_m: 0.004,
        })
        .collect();
    for source in Source::ALL {
        set_law(&mut design, source, normal(source, SD));
    }
    design
}

#[test]
fn beyond_the_last_dimension_plain_numbers_stand_in_and_the_first_are_still_sobol_points() {
    let plan = Plan::new(huge(1000, 1500));
    // 10 a line, 8 a rod, 17 of the build as a whole; 5 a look
    assert_eq!(
        sobol_dimensions(&plan, 3),
        [22_032, 22_032 - SobolPoints::MOST_DIMENSIONS]
    );
    let sampler = Sampler::new(&plan, Sampling::Sobol, SEED, 3);
    let plain = Sampler::plain(SEED);
    for address in some_addresses() {
        let row = numbers(&plan, &sampler, address, 0, 128);
        let same = row == numbers(&plan, &plain, address, 0, 128);
        let is_look = address.source.family() == Family::Look;
        assert_eq!(one_in_each_cell(&row), !is_look, "{address:?}");
        assert_eq!(same, is_look, "{address:?}");
    }
}
