//! Cost of a full trial and of one more look, beside their floors, on one thread or more.

use super::clock::{median, processor_seconds, seconds, times_to_last};
use super::floor::{Numbers, draw};
use super::scenarios::Case;
use rayon::ThreadPool;
use sightdrift::decision::{RunPlan, run};
use sightdrift::figure::Family;
use sightdrift::trial::{RunHooks, thread_pool};
use std::hint::black_box;
use std::sync::atomic::AtomicBool;

/// Looks at each build of the longer of the two runs that tell what one more look costs.
const MANY_LOOKS: u64 = 9;
/// Rounds of measurements, of which the median counts.
const ROUNDS: usize = 9;
/// How long one measurement lasts at least, s.
const LASTS_S: f64 = 0.08;

/// Costs on one thread, ns.
#[derive(Debug, Clone, Copy)]
pub struct Cost {
    /// A new build and one look at it.
    pub full_ns: f64,
    /// One more look at the same build.
    pub extra_ns: f64,
    /// The random numbers of a build.
    pub build_numbers: Numbers,
    /// The random numbers of a look.
    pub look_numbers: Numbers,
    /// Drawing only the numbers of a full trial.
    pub full_floor_ns: f64,
    /// Drawing only the numbers of a look.
    pub extra_floor_ns: f64,
    /// As `full_floor_ns`, with every number uniform.
    pub full_uniform_ns: f64,
}

/// Runs `builds` builds of `case` with `looks` looks each in the current pool.
pub fn run_builds(case: &Case, builds: u64, looks: u64) {
    let run_plan = RunPlan {
        builds,
        looks,
        half_width: None,
        ..case.scenario.run
    };
    let interrupted = AtomicBool::new(false);
    let hooks = RunHooks {
        interrupted: &interrupted,
        progress: &|_, _| {},
    };
    black_box(run(&case.scenario.plan, &run_plan, &hooks));
}

impl Cost {
    /// Measures `case`: model and floors in turn, so that what else the machine does hits all of them alike.
    ///
    /// # Errors
    /// The system's refusal to start a thread.
    pub fn of(case: &Case) -> Result<Self, String> {
        let plan = &case.scenario.plan;
        let build = Numbers::of(plan, Family::Build);
        let look = Numbers::of(plan, Family::Look);
        let full = Numbers {
            normal: build.normal + look.normal,
            uniform: build.uniform + look.uniform,
        };
        let one_thread = thread_pool(1)?;
        let of_run = |looks| {
            let one_thread = &one_thread;
            move |builds| processor_seconds(one_thread, || run_builds(case, builds, looks))
        };
        let of_floor = |numbers| {
            let one_thread = &one_thread;
            move |times| processor_seconds(one_thread, || draw(numbers, times))
        };
        let (one, many) = (of_run(1), of_run(MANY_LOOKS));
        let (full_floor, extra_floor) = (of_floor(full), of_floor(look));
        let uniform = of_floor(full.all_uniform());
        let works: [&dyn Fn(u64) -> f64; 5] = [&one, &many, &full_floor, &extra_floor, &uniform];
        let times = works.map(|work| times_to_last(LASTS_S, 256, work));
        let mut rounds_ns: [Vec<f64>; 5] = Default::default();
        for _ in 0..ROUNDS {
            for ((work, times), rounds) in works.iter().zip(times).zip(&mut rounds_ns) {
                rounds.push(work(times) * 1e9 / times as f64);
            }
        }
        let [
            full_ns,
            many_ns,
            full_floor_ns,
            extra_floor_ns,
            full_uniform_ns,
        ] = rounds_ns.map(median);
        Ok(Self {
            full_ns,
            extra_ns: (many_ns - full_ns) / (MANY_LOOKS - 1) as f64,
            build_numbers: build,
            look_numbers: look,
            full_floor_ns,
            extra_floor_ns,
            full_uniform_ns,
        })
    }
}

/// What a second thread brings.
pub struct SecondThread {
    /// Time on the clock of one thread over that of two.
    pub speed: f64,
    /// Time on the processor of two threads over that of one: what is above 1 is spent on working together.
    pub work: f64,
}

impl SecondThread {
    /// Runs of at least half a second on one thread, in turn with the same on two; the fastest of each count.
    ///
    /// # Errors
    /// The system's refusal to start threads.
    pub fn of(case: &Case) -> Result<Self, String> {
        let pools = [thread_pool(1)?, thread_pool(2)?];
        let run = |pool: &ThreadPool, builds| {
            let mut clock_s = 0.0;
            let processor_s = processor_seconds(pool, || {
                clock_s = seconds(|| run_builds(case, builds, 16));
            });
            [clock_s, processor_s]
        };
        let builds = times_to_last(0.5, 256, |builds| run(&pools[0], builds)[0]);
        let mut fewest_s = [[f64::INFINITY; 2]; 2];
        for _ in 0..7 {
            for (pool, fewest) in pools.iter().zip(&mut fewest_s) {
                let taken_s = run(pool, builds);
                *fewest = [0, 1].map(|clock| fewest[clock].min(taken_s[clock]));
            }
        }
        let [one, two] = fewest_s;
        Ok(Self {
            speed: one[0] / two[0],
            work: two[1] / one[1],
        })
    }
}
