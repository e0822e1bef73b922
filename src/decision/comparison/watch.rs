//! Builds and looks of two sides, counted build by build, so that what differs is told from what both share.

use super::super::brief::{BRIEF_TASK_BUILDS, Brief, BriefBench};
use super::super::diagnosis::visitors::{put_in_rows, shift_relief};
use super::super::run_plan::{Interrupted, RunPlan};
use super::found::{GivenBuilds, LookShares};
use super::pairs::Place;
use crate::figure::{Item, Plan};
use crate::sampling::{BLOCK_BUILDS, Row};
use crate::statistics::PairedRatios;
use crate::trial::{
    JunctionRows, Marks, RodRows, RunHooks, Sampler, VerdictRows, Witness, fold_tasks,
};

/// What both sides come to.
#[derive(Debug, Clone)]
pub(super) struct Sums {
    pub sides: [Brief; 2],
    pub looks: LookShares,
    /// For each place: looks over the limit, and squares of the fault over its limit.
    pub items: Vec<[PairedRatios; 2]>,
}

impl Sums {
    pub fn new(places: usize) -> Self {
        Self {
            sides: [Brief::default(), Brief::default()],
            looks: LookShares::default(),
            items: vec![[PairedRatios::default(); 2]; places],
        }
    }

    pub fn fold(&mut self, next: &Self) {
        for (side, more) in self.sides.iter_mut().zip(&next.sides) {
            side.fold(more);
        }
        self.looks.clear.fold(&next.looks.clear);
        self.looks.held.fold(&next.looks.held);
        self.looks.both.fold(&next.looks.both);
        let items = self.items.iter_mut().flatten();
        for (ratios, more) in items.zip(next.items.iter().flatten()) {
            ratios.fold(more);
        }
    }
}

/// One rod or junction over all looks at a block.
#[derive(Debug, Clone)]
struct ItemRows {
    over: [f64; BLOCK_BUILDS],
    squares: [f64; BLOCK_BUILDS],
}

/// Takes down, build by build, what the looks at a block come to.
#[derive(Debug)]
struct Watch {
    shown: [f64; BLOCK_BUILDS],
    held: [f64; BLOCK_BUILDS],
    looks: [f64; BLOCK_BUILDS],
    /// Rods, then junctions.
    items: Vec<ItemRows>,
    rods: usize,
}

impl Watch {
    fn new(plan: &Plan) -> Self {
        let rods = plan.edges.len();
        let nothing = ItemRows {
            over: [0.0; BLOCK_BUILDS],
            squares: [0.0; BLOCK_BUILDS],
        };
        Self {
            shown: [0.0; BLOCK_BUILDS],
            held: [0.0; BLOCK_BUILDS],
            looks: [0.0; BLOCK_BUILDS],
            items: vec![nothing; rods + plan.junctions.len()],
            rods,
        }
    }

    fn clear(&mut self) {
        self.shown = [0.0; BLOCK_BUILDS];
        self.held = [0.0; BLOCK_BUILDS];
        self.looks = [0.0; BLOCK_BUILDS];
        for item in &mut self.items {
            item.over = [0.0; BLOCK_BUILDS];
            item.squares = [0.0; BLOCK_BUILDS];
        }
    }

    /// Looks over the limit and squares of an item at one build, each with the looks that count; nothing without the item.
    fn item(&self, item: Option<Item>, build: usize) -> [[f64; 2]; 2] {
        let rows = match item {
            None => return [[0.0; 2]; 2],
            Some(Item::Rod(rod)) => &self.items[rod],
            Some(Item::Junction(junction)) => &self.items[self.rods + junction],
        };
        [rows.over[build], rows.squares[build]].map(|sum| [sum, self.shown[build]])
    }

    /// Clear, held, both: looks that count among how many.
    fn shares(&self, build: usize) -> [[f64; 2]; 3] {
        let (shown, held, looks) = (self.shown[build], self.held[build], self.looks[build]);
        [[shown, looks], [held, shown], [held, looks]]
    }
}

#[inline(always)]
fn add(rows: &mut ItemRows, shares: &[f64; BLOCK_BUILDS], counted: &Marks) {
    for build in 0..BLOCK_BUILDS {
        let share = if counted[build] != 0 {
            shares[build]
        } else {
            0.0
        };
        rows.over[build] += if share > 1.0 { 1.0 } else { 0.0 };
        rows.squares[build] += share * share;
    }
}

impl Witness for Watch {
    #[inline(always)]
    fn rod(&mut self, rod: usize, rows: &RodRows, counted: &Marks) {
        add(&mut self.items[rod], &rows.share, counted);
    }

    #[inline(always)]
    fn junction(&mut self, junction: usize, rows: &JunctionRows, counted: &Marks) {
        add(&mut self.items[self.rods + junction], &rows.share, counted);
    }

    #[inline(always)]
    fn look(&mut self, rows: &VerdictRows, counted: &Marks) {
        for build in 0..BLOCK_BUILDS {
            let shown = counted[build] as f64;
            let holds = if rows.worst[build] <= 1.0 { 1.0 } else { 0.0 };
            self.shown[build] += shown;
            self.held[build] += shown * holds;
            self.looks[build] += shown + rows.clipped[build] as f64;
        }
    }
}

/// One side at work.
struct SideBench<'p> {
    plan: &'p Plan,
    bench: BriefBench,
    watch: Watch,
}

impl<'p> SideBench<'p> {
    fn new(plan: &'p Plan, looks: u64) -> Self {
        Self {
            plan,
            bench: BriefBench::new(plan, looks),
            watch: Watch::new(plan),
        }
    }

    /// Looks at the first `count` builds of a block that is drawn.
    fn drawn(&mut self, sampler: &Sampler, [block, count]: [u64; 2], found: &mut Brief) {
        self.watch.clear();
        self.bench.draw(self.plan, sampler, block);
        self.bench
            .look_at_beside(self.plan, count as usize, found, &mut self.watch);
    }

    /// Looks at `given` builds, of the place of block `block`.
    fn given(
        &mut self,
        sampler: &Sampler,
        block: u64,
        (given, relief_shift_mm): (&[Vec<f64>], f64),
        found: &mut Brief,
    ) {
        self.watch.clear();
        self.bench.draw_looks(self.plan, sampler, block);
        shift_relief(self.plan, &mut self.bench, relief_shift_mm);
        let mut rows = vec![Row::of(0.0); self.plan.layout.build_len];
        put_in_rows(given, &mut rows);
        let given = (&rows[..], given.len());
        self.bench
            .look_at_given_beside(self.plan, given, found, &mut self.watch);
    }
}

/// The blocks of a task: number of the block, and its builds.
fn blocks(task: u64, builds: u64) -> impl Iterator<Item = [u64; 2]> {
    let end = builds.min((task + 1) * BRIEF_TASK_BUILDS);
    (task * BRIEF_TASK_BUILDS..end)
        .step_by(BLOCK_BUILDS)
        .map(move |begin| {
            let count = (end - begin).min(BLOCK_BUILDS as u64);
            [begin / BLOCK_BUILDS as u64, count]
        })
}

/// The same builds and looks on both sides, build by build beside each other, in the current pool.
pub(super) fn watch_both(
    plans: [&Plan; 2],
    places: &[Place],
    run: &RunPlan,
    hooks: &RunHooks<'_>,
) -> Result<Sums, Interrupted> {
    let sampler = Sampler::plain(run.seed);
    let task = |task: u64| {
        let mut found = Sums::new(places.len());
        let mut benches = plans.map(|plan| SideBench::new(plan, run.looks));
        for [block, count] in blocks(task, run.builds) {
            if hooks.is_interrupted() {
                break;
            }
            for (bench, side) in benches.iter_mut().zip(&mut found.sides) {
                bench.drawn(&sampler, [block, count], side);
            }
            let [first, second] = &benches;
            add_pairs(&mut found, places, [&first.watch, &second.watch], count);
        }
        found
    };
    fold(run.builds, places.len(), hooks, task)
}

fn add_pairs(found: &mut Sums, places: &[Place], watches: [&Watch; 2], count: u64) {
    let [first, second] = watches;
    for build in 0..count as usize {
        let [clear, held, both] = first.shares(build);
        let [clear_2, held_2, both_2] = second.shares(build);
        found.looks.clear.add([clear, clear_2]);
        found.looks.held.add([held, held_2]);
        found.looks.both.add([both, both_2]);
        for (place, ratios) in places.iter().zip(&mut found.items) {
            let [over, squares] = first.item(place.items[0], build);
            let [over_2, squares_2] = second.item(place.items[1], build);
            ratios[0].add([over, over_2]);
            ratios[1].add([squares, squares_2]);
        }
    }
}

/// Looks at builds that are given as side `side`, in the current pool. The n-th build of either side has the same looks.
pub(super) fn watch_given(
    plan: &Plan,
    given: &GivenBuilds<'_>,
    (side, places): (usize, &[Place]),
    run: &RunPlan,
    hooks: &RunHooks<'_>,
) -> Result<Sums, Interrupted> {
    let sampler = Sampler::plain(run.seed);
    let builds = given.builds.len() as u64;
    let task = |task: u64| {
        let mut found = Sums::new(places.len());
        let mut bench = SideBench::new(plan, run.looks);
        for [block, count] in blocks(task, builds) {
            if hooks.is_interrupted() {
                break;
            }
            let begin = block as usize * BLOCK_BUILDS;
            let builds = &given.builds[begin..begin + count as usize];
            let given = (builds, given.relief_shift_mm);
            bench.given(&sampler, block, given, &mut found.sides[side]);
            add_singles(&mut found, places, &bench.watch, side, count);
        }
        found
    };
    fold(builds, places.len(), hooks, task)
}

fn add_singles(found: &mut Sums, places: &[Place], watch: &Watch, side: usize, count: u64) {
    for build in 0..count as usize {
        let [clear, held, both] = watch.shares(build);
        found.looks.clear.add_to(side, clear);
        found.looks.held.add_to(side, held);
        found.looks.both.add_to(side, both);
        for (place, ratios) in places.iter().zip(&mut found.items) {
            let [over, squares] = watch.item(place.items[side], build);
            ratios[0].add_to(side, over);
            ratios[1].add_to(side, squares);
        }
    }
}

fn fold(
    builds: u64,
    places: usize,
    hooks: &RunHooks<'_>,
    task: impl Fn(u64) -> Sums + Sync,
) -> Result<Sums, Interrupted> {
    let mut all = Sums::new(places);
    let whole = fold_tasks(
        0..builds.div_ceil(BRIEF_TASK_BUILDS),
        hooks,
        task,
        |found: Sums| {
            all.fold(&found);
            (hooks.progress)(
                all.sides.iter().map(Brief::builds).max().unwrap_or(0),
                builds,
            );
        },
    );
    whole.then_some(all).ok_or(Interrupted)
}
