use super::*;
use std::f64::consts::{PI, TAU};

/// `count` numbers evenly spaced from `from` to `to`, both included.
fn spaced(from: f64, to: f64, count: u32) -> impl Iterator<Item = f64> {
    (0..count).map(move |i| from + (to - from) * (f64::from(i) / f64::from(count - 1)))
}

/// Powers of two times mantissas all over: `count` positive normal numbers of every size.
fn of_every_size(count: u64) -> impl Iterator<Item = f64> {
    let step = (f64::MAX.to_bits() - f64::MIN_POSITIVE.to_bits()) / count;
    (0..count).map(move |i| f64::from_bits(f64::MIN_POSITIVE.to_bits() + i * step))
}

#[test]
fn sine_and_cosine_have_the_stated_error() {
    for turns in spaced(-1.25, 1.25, 200_001) {
        // rounding of the radians themselves is taken off by the derivative
        let radians = TAU * turns;
        let lost = libm::fma(TAU, turns, -radians) + 2.449_293_598_294_706_4e-16 * turns;
        let (s, c) = libm::sincos(radians);
        let (sine, cosine) = sin_cos_turns(turns);
        assert!((sine - s - lost * c).abs() <= 4e-16, "{turns}");
        assert!((cosine - c + lost * s).abs() <= 4e-16, "{turns}");
        assert!((sine * sine + cosine * cosine - 1.0).abs() <= 6e-16);
    }
}

#[test]
fn quarter_turns_are_exact_and_whole_turns_change_nothing() {
    for whole in [0.0, 1.0, -3.0, 1e6, -2.0_f64.powi(39)] {
        assert_eq!(sin_cos_turns(whole), (0.0, 1.0));
        assert_eq!(sin_cos_turns(whole + 0.25), (1.0, 0.0));
        assert_eq!(sin_cos_turns(whole + 0.5), (0.0, -1.0));
        assert_eq!(sin_cos_turns(whole + 0.75), (-1.0, 0.0));
        // an eighth of a turn is fine enough a grid for the largest whole
        for eighths in 0..80 {
            let part = f64::from(eighths) / 8.0;
            let (s, c) = sin_cos_turns(part % 1.0);
            assert_eq!(sin_cos_turns(whole + part), (s, c));
        }
    }
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let (s, c) = sin_cos_turns(bad);
        assert!(s.is_nan() && c.is_nan());
    }
}

#[test]
fn sine_keeps_its_relative_error_at_small_angles() {
    for turns in spaced(-300.0, -4.0, 2000).map(libm::exp2) {
        let (s, _) = sin_cos_turns(turns);
        let expected = libm::sin(TAU * turns);
        assert!((s / expected - 1.0).abs() <= 6e-16, "{turns:e}");
    }
}

#[test]
fn exponential_has_the_stated_error_and_ends() {
    for x in spaced(-708.0, 709.0, 300_001).chain(spaced(-1.0, 1.0, 100_001)) {
        assert!((exp(x) / libm::exp(x) - 1.0).abs() <= 5e-16, "{x}");
    }
    assert_eq!(exp(0.0), 1.0);
    assert_eq!(exp(-0.0), 1.0);
    for above in [709.000_001, 1e9, f64::INFINITY] {
        assert_eq!(exp(above), f64::INFINITY);
    }
    for below in [-708.000_001, -1e9, f64::NEG_INFINITY] {
        assert_eq!(exp(below), 0.0);
    }
    assert!(exp(f64::NAN).is_nan());
}

#[test]
fn logarithm_has_the_stated_error_and_ends() {
    let near_one = spaced(0.5, 2.0, 200_001);
    let very_near = spaced(-1e-6, 1e-6, 10_001).map(|d| 1.0 + d);
    for x in of_every_size(200_000).chain(near_one).chain(very_near) {
        let reference = libm::log(x);
        assert!(
            (ln(x) - reference).abs() <= 5e-16 * reference.abs(),
            "{x:e}"
        );
    }
    assert_eq!(ln(1.0), 0.0);
    assert_eq!(ln(0.0), f64::NEG_INFINITY);
    assert_eq!(ln(-0.0), f64::NEG_INFINITY);
    assert_eq!(ln(f64::INFINITY), f64::INFINITY);
    for bad in [-1e-300, -1.0, f64::NEG_INFINITY, f64::NAN] {
        assert!(ln(bad).is_nan());
    }
    for subnormal in [5e-324, 1e-310, 2.2e-308] {
        assert!(ln(subnormal) > -710.0 && ln(subnormal) < -708.0);
    }
}

#[test]
fn disc_segment_has_the_stated_error_and_ends() {
    for t in spaced(-1.0, 1.0, 400_001) {
        let expected = libm::acos(t) - t * ((1.0 - t) * (1.0 + t)).sqrt();
        assert!((disc_segment(t) - expected).abs() <= 1.6e-15, "{t}");
    }
    // near the rim the closed form cancels: the series in d is exact enough there
    for d in (4..52).map(|power| 2.0_f64.powi(-power)) {
        let series = 4.0 * 2.0_f64.sqrt() / 3.0
            * (1.0 - d * (3.0 / 20.0 + d * (3.0 / 224.0 + d * (1.0 / 384.0 + d * 0.000_665_838))));
        let allowed = 1e-15 + 1e-3 * d.powi(5);
        let relative = disc_segment(1.0 - d) / (d * d.sqrt() * series) - 1.0;
        assert!(relative.abs() <= allowed, "{d} {relative:e}");
    }
    assert_eq!(disc_segment(0.0), PI / 2.0);
    assert_eq!(disc_segment(-1e-300), PI / 2.0);
    for outside in [1.0, 1.5, f64::INFINITY] {
        assert_eq!(disc_segment(outside), 0.0);
        assert_eq!(disc_segment(-outside), PI);
    }
    assert!(disc_segment(f64::NAN).is_nan());
}

/// Every function of every number, one column each.
#[derive(Clone)]
struct Everything<'a>(&'a [f64]);

impl Kernel for Everything<'_> {
    type Output = [Vec<f64>; 5];

    #[inline(always)]
    fn run(self) -> [Vec<f64>; 5] {
        let mut columns = [const { Vec::new() }; 5];
        for column in &mut columns {
            column.resize(self.0.len(), 0.0);
        }
        let [sines, cosines, exponentials, logarithms, segments] = &mut columns;
        for (x, (s, c)) in self.0.iter().zip(sines.iter_mut().zip(cosines.iter_mut())) {
            (*s, *c) = sin_cos_turns(*x);
        }
        for (x, y) in self.0.iter().zip(exponentials.iter_mut()) {
            *y = exp(*x);
        }
        for (x, y) in self.0.iter().zip(logarithms.iter_mut()) {
            *y = ln(*x);
        }
        for (x, y) in self.0.iter().zip(segments.iter_mut()) {
            *y = disc_segment(*x);
        }
        columns
    }
}

#[test]
fn every_function_is_bit_equal_on_every_instruction_set() {
    let numbers: Vec<f64> = spaced(-1.1, 1.1, 200_000)
        .chain(spaced(-720.0, 720.0, 100_000))
        .chain(of_every_size(100_000))
        .chain([
            0.0,
            -0.0,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::NAN,
            5e-324,
        ])
        .collect();
    let mut all = on_every_instruction_set(Everything(&numbers)).into_iter();
    let (_, plain) = all.next().expect("the plain set is always there");
    for (name, found) in all {
        for (function, (one, other)) in plain.iter().zip(&found).enumerate() {
            for ((x, a), b) in numbers.iter().zip(one).zip(other) {
                let same = a.to_bits() == b.to_bits() || (a.is_nan() && b.is_nan());
                assert!(same, "{name}, function {function} at {x:e}: {a:e} {b:e}");
            }
        }
    }
    for (x, y) in numbers.iter().zip(&plain[2]) {
        assert!(exp(*x).to_bits() == y.to_bits() || y.is_nan());
    }
}
