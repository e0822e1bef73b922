//! A block of builds worked out row by row is, bit for bit, each of its trials worked out alone.

mod support;

use sightdrift::figure::{Frame, Plan};
use sightdrift::sampling::BLOCK_BUILDS;
use sightdrift::scenario::{EXAMPLES, read_scenario};
use sightdrift::trial::{
    BuildRows, Draws, JunctionRows, LookOutcome, LookRows, Marks, RodRows, Sampler, VerdictRows,
    Witness,
};
use support::{Trial, Values, lively_design, set_law};

/// What the rows say of one build.
#[derive(Debug, Default, Clone)]
struct Said {
    rods: Vec<[f64; 5]>,
    gaps: Vec<f64>,
    worst: Option<(f64, sightdrift::figure::Item)>,
    clipped: bool,
}

struct TakeDown(Vec<Said>);

impl Witness for TakeDown {
    fn rod(&mut self, _: usize, rows: &RodRows, counted: &Marks) {
        for (build, said) in self.0.iter_mut().enumerate() {
            if counted[build] != 0 {
                said.rods.push([
                    rows.off_rad()[0][build],
                    rows.off_rad()[1][build],
                    rows.across_fixed_rad[build],
                    rows.across_fitted_rad[build],
                    rows.share[build],
                ]);
            }
        }
    }

    fn junction(&mut self, _: usize, rows: &JunctionRows, counted: &Marks) {
        for (build, said) in self.0.iter_mut().enumerate() {
            if counted[build] != 0 {
                said.gaps.push(rows.gap_rad[build]);
            }
        }
    }

    fn look(&mut self, rows: &VerdictRows, counted: &Marks) {
        for (build, said) in self.0.iter_mut().enumerate() {
            said.clipped = rows.clipped[build] != 0;
            if counted[build] != 0 {
                said.worst = Some((rows.worst[build], rows.worst_item(build)));
            }
        }
    }
}

/// Bits, but that the two zeros are one.
fn alike(found: f64, expected: f64, what: &str) {
    assert!(
        found == expected,
        "{what}: {found:e}, alone {expected:e}, difference {:e}",
        found - expected
    );
}

fn agree(plan: &Plan, said: &Said, alone: &Trial) {
    let LookOutcome::Judged(verdict) = alone.outcome else {
        assert!(said.clipped && said.worst.is_none());
        return;
    };
    assert!(!said.clipped);
    let (worst, item) = said.worst.expect("a judged look has a worst");
    assert_eq!(item, verdict.worst);
    alike(worst, verdict.worst_share, "worst");
    let measured = &alone.measured;
    let off = match plan.design.judging.frame {
        Frame::Fixed => &measured.off_fixed_rad,
        Frame::Fitted => &measured.off_fitted_rad,
    };
    assert_eq!(said.rods.len(), plan.edges.len());
    for (rod, found) in said.rods.iter().enumerate() {
        alike(found[0], off[2 * rod], "first end");
        alike(found[1], off[2 * rod + 1], "second end");
        alike(found[2], measured.across_fixed_rad(rod), "fixed drift");
        alike(found[3], measured.across_fitted_rad(rod), "fitted drift");
    }
    assert_eq!(said.gaps.len(), plan.junctions.len());
    for (found, expected) in said.gaps.iter().zip(&measured.gaps_rad) {
        alike(*found, *expected, "gap");
    }
}

/// Compares two blocks of three looks; returns how many looks were judged, clipped, and could not be computed.
fn compare(plan: &Plan, seed: u64) -> [usize; 3] {
    let sampler = Sampler::plain(seed);
    let mut build_draws = Draws::of_builds(plan);
    let mut look_draws = Draws::of_looks(plan);
    let mut builds = BuildRows::new(plan);
    let mut looks = LookRows::new(plan);
    let mut counts = [0; 3];
    for block in [0, 5] {
        build_draws.draw(plan, &sampler, 0, block);
        builds.set(plan, &build_draws.rows);
        let mut alive: Marks = [0; BLOCK_BUILDS];
        for (build, alive) in alive.iter_mut().enumerate() {
            *alive = u64::from(builds.fault(build).is_none());
        }
        for look in 0..3 {
            look_draws.draw(plan, &sampler, look, block);
            let mut witness = TakeDown(vec![Said::default(); BLOCK_BUILDS]);
            looks.take(plan, &builds, &look_draws.rows, &alive, &mut witness);
            for (build, said) in witness.0.iter().enumerate() {
                let alone = Values {
                    plan: plan.clone(),
                    build: build_draws.of_build(build),
                    look: look_draws.of_build(build),
                }
                .trial();
                match alone {
                    Ok(alone) => {
                        agree(plan, said, &alone);
                        counts[usize::from(said.clipped)] += 1;
                    }
                    Err(reason) => {
                        let fault = builds.fault(build).or(looks.fault(build));
                        assert_eq!(fault, Some(reason));
                        counts[2] += 1;
                    }
                }
            }
        }
    }
    counts
}

#[test]
fn rows_are_their_trials_in_every_example() {
    let no_files = |_: &str| Err("no file is named".to_owned());
    let mut counts = [0; 3];
    for example in EXAMPLES {
        let scenario = read_scenario(example.name, example.text, &no_files).expect("an example");
        for (sum, count) in counts.iter_mut().zip(compare(&scenario.plan, 11)) {
            *sum += count;
        }
    }
    println!("judged, clipped, not computable: {counts:?}");
    assert!(counts[0] > 500 && counts[1] > 50, "{counts:?}");
}

#[test]
fn rows_are_their_trials_in_both_frames_with_limits_set_outright_and_a_narrow_peephole() {
    let mut counts = [0; 3];
    for frame in [Frame::Fixed, Frame::Fitted] {
        for narrow in [1.0, 0.05, 20.0] {
            let mut design = lively_design(frame);
            design.peephole.diameter_mm *= narrow;
            design.peephole.clip_below = if narrow < 1.0 { 0.0 } else { 0.25 };
            design.judging.rule.drift_rad = Some(2e-3);
            for (sum, count) in counts.iter_mut().zip(compare(&Plan::new(design), 3)) {
                *sum += count;
            }
        }
    }
    assert!(counts[0] > 500, "{counts:?}");
}

#[test]
fn builds_that_cannot_be_computed_are_told_alike() {
    use sightdrift::figure::{Law, Source};
    use sightdrift::sampling::Distribution;
    let mut counts = [0; 3];
    for (source, sd) in [
        (Source::HandTension, 0.9),
        (Source::RodSlip, 60.0),
        (Source::EyeRelief, 40.0),
        (Source::Pupil, 4.0),
    ] {
        let mut design = lively_design(Frame::Fitted);
        let mean = design.law(source).spread(0).mean[0];
        let law = Law::Each(vec![Distribution::Normal { mean, sd }]);
        set_law(&mut design, source, law);
        for (sum, count) in counts.iter_mut().zip(compare(&Plan::new(design), 7)) {
            *sum += count;
        }
    }
    assert!(counts[0] > 100 && counts[2] > 100, "{counts:?}");
}

#[test]
fn a_build_with_a_slack_line_and_a_loose_line_is_told_alike() {
    use sightdrift::figure::{Law, Source};
    use sightdrift::sampling::Distribution;
    let mut design = lively_design(Frame::Fitted);
    // so little tension that lines sag out of range, and a hand so uneven that some have none at all
    design.line.tension_n.fill(0.012);
    let uneven = Distribution::Normal { mean: 1.0, sd: 0.8 };
    set_law(&mut design, Source::HandTension, Law::Each(vec![uneven]));
    let counts = compare(&Plan::new(design), 11);
    assert!(counts[2] > 300, "{counts:?}");
}
