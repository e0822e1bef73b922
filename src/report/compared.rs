//! What is held beside each other in a comparison: names of the sides, and what differs between two scenarios, in a workshop's
//! words.

use super::about::About;
use super::sight::frame_name;
use super::words::{figures, law_words};
use crate::decision::{Comparison, ComparisonVerdict, FromMeanPlace, ItemPair};
use crate::figure::{Design, Judging, Line, Plan, Plate, Rod, Source, Threading};
use crate::mechanics::{PulledAt, Tightening};
use crate::statistics::Difference;
use crate::units::arcmin;

/// A comparison with all that words and drawings of it need.
#[derive(Debug, Clone)]
pub struct Compared<'a> {
    /// What was found.
    pub found: &'a Comparison,
    /// What the eye at its mean place sees; of given builds only.
    pub from_mean_place: Option<[FromMeanPlace; 2]>,
    /// The designs of both sides.
    pub plans: [&'a Plan; 2],
    /// Particulars of both scenarios: twice the same for one build before and after.
    pub abouts: [&'a About; 2],
    /// What the sides are called.
    pub names: [String; 2],
    /// The sheets that each side was read from; none where scenarios are compared.
    pub sheets: [Vec<String>; 2],
    /// Readings of either side of things that the other side's sheets do not read; 0 where scenarios are compared.
    pub only_read: [usize; 2],
    /// What differs between the scenarios.
    pub changed: Vec<Changed>,
}

/// Difference of clear looks from which it is told beside the verdict (chosen).
pub(super) const MUCH_CLEARER: f64 = 0.05;

impl Compared<'_> {
    /// Rods and junctions, those that changed most first (root mean square over the limit), then those of one side only.
    pub fn most_changed(&self) -> Vec<&ItemPair> {
        let level = self.found.run.level;
        let by = |item: &ItemPair| {
            let found = item.squares.root_difference(level);
            found.map_or(-1.0, |found| found.difference.abs())
        };
        let mut items: Vec<&ItemPair> = self.found.items.iter().collect();
        items.sort_by(|a, b| by(b).total_cmp(&by(a)));
        items
    }

    /// Whether the side that the verdict calls better shows the whole figure to clearly fewer looks, so that the yield alone would
    /// mislead.
    pub fn is_clearer_the_worse(&self) -> bool {
        let level = self.found.run.level;
        let clear = self.found.looks.clear.share_difference(level);
        let Some(clear) = clear.filter(Difference::is_more_than_chance) else {
            return false;
        };
        match self.found.verdict() {
            ComparisonVerdict::Better => clear.difference <= -MUCH_CLEARER,
            ComparisonVerdict::Worse => clear.difference >= MUCH_CLEARER,
            ComparisonVerdict::NoDifferenceShown => false,
        }
    }

    /// Whether the two sides are held against different limits or must do different things to pass.
    pub fn is_judged_differently(&self) -> bool {
        self.changed.iter().any(|one| one.is_judging)
    }
}

/// Names of two sides: their titles; else, where these are the same, the names of their files; else "first" and "second".
pub fn side_names(titles: [&str; 2], files: [&str; 2]) -> [String; 2] {
    [titles, files]
        .into_iter()
        .find(|[first, second]| {
            first != second && ![first, second].iter().any(|name| name.is_empty())
        })
        .unwrap_or(["first", "second"])
        .map(str::to_owned)
}

/// One thing in which two scenarios differ.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Changed {
    /// What it is.
    pub what: String,
    /// What each says; "none" on the side that has no such thing.
    pub sides: [String; 2],
    /// Whether it changes what counts as holding, as passing, or as meeting the target, not the exhibit.
    pub is_judging: bool,
}

/// The changed things in the making.
#[derive(Default)]
struct List(Vec<Changed>);

impl List {
    /// Takes down a pair of words that differ.
    fn words(&mut self, what: &str, sides: [String; 2]) {
        if sides[0] != sides[1] {
            self.0.push(Changed {
                what: what.to_owned(),
                sides,
                is_judging: false,
            });
        }
    }

    /// Takes down two numbers that differ, with all digits that tell them apart.
    fn numbers(&mut self, what: &str, numbers: [f64; 2], unit: &str) {
        if numbers[0] != numbers[1] {
            self.words(what, in_unit(numbers, unit));
        }
    }

    fn judging(&mut self, what: &str, sides: [String; 2]) {
        self.words(what, sides);
        if let Some(last) = self.0.last_mut().filter(|last| last.what == what) {
            last.is_judging = true;
        }
    }
}

/// Two numbers with a unit; with all their digits where three figures would make them the same.
fn in_unit(numbers: [f64; 2], unit: &str) -> [String; 2] {
    let space = if unit.is_empty() { "" } else { " " };
    let short = numbers.map(figures);
    let told = if short[0] == short[1] {
        numbers.map(|number| number.to_string())
    } else {
        short
    };
    told.map(|number| format!("{number}{space}{unit}"))
}

/// Everything in which the scenario `b` differs from `a`, in a workshop's words: peephole and eye, plates, line, lines and rods by
/// their names, errors by source, and what is judged. Empty where they say the same.
pub fn differences(a: &Plan, b: &Plan) -> Vec<Changed> {
    let both = [&a.design, &b.design];
    let mut list = List::default();
    peephole(&mut list, both);
    plates(&mut list, both);
    line(&mut list, both);
    vertices(&mut list, both);
    rods(&mut list, both);
    for source in Source::ALL {
        let laws = both.map(|design| design.law(source));
        if laws[0] != laws[1] {
            let mut words = laws.map(|law| law_words(law, source));
            if words[0] == words[1] {
                words[1].push_str(" (the same in words, with other numbers)");
            }
            list.words(&source.words(), words);
        }
    }
    judging(&mut list, both.map(|design| &design.judging));
    let clip = in_unit(both.map(|d| 100.0 * d.peephole.clip_below), "%");
    list.judging("clear share of the pupil below which a point is dark", clip);
    list.0
}

fn peephole(list: &mut List, both: [&Design; 2]) {
    let of = |pick: fn(&Design) -> f64| both.map(pick);
    list.numbers(
        "diameter of the peephole",
        of(|d| d.peephole.diameter_mm),
        "mm",
    );
    list.numbers("eye relief", of(|d| d.peephole.eye_relief_mm), "mm");
    list.numbers(
        "thickness of the peephole's plate",
        of(|d| d.peephole.plate_mm),
        "mm",
    );
    list.numbers("focus of the eye", of(|d| d.viewer.focus_mm), "mm");
    list.numbers("wavelength", of(|d| 1e6 * d.viewer.wavelength_mm), "nm");
    let luminance = |design: &Design| {
        design.viewer.luminance_cd_per_m2.map_or_else(
            || "not given".to_owned(),
            |light| format!("{} cd/m2", figures(light)),
        )
    };
    list.words("luminance of the surroundings", both.map(luminance));
    list.numbers("gravity", of(|d| d.gravity.strength_m_per_s2), "m/s2");
}

fn plates(list: &mut List, both: [&Design; 2]) {
    for plate in Plate::BOTH {
        let of = plate.word();
        let specs = both.map(|design| design.plates[plate.index()]);
        list.numbers(
            &format!("distance of the {of} plate from the eye"),
            specs.map(|one| one.z_mm),
            "mm",
        );
        list.numbers(
            &format!("holes of the {of} plate"),
            specs.map(|one| one.hole_mm),
            "mm",
        );
        if specs[0].centre_mm != specs[1].centre_mm {
            let words = specs.map(|one| {
                format!(
                    "({}, {}) mm",
                    figures(one.centre_mm.x),
                    figures(one.centre_mm.y)
                )
            });
            list.words(&format!("centre of the {of} plate"), words);
        }
    }
}

fn line(list: &mut List, both: [&Design; 2]) {
    let lines = both.map(|design| &design.line);
    let material = |line: &Line| line.material.unwrap_or("of its own figures").to_owned();
    list.words("material of the line", lines.map(material));
    list.numbers(
        "diameter of the line",
        lines.map(|line| line.diameter_mm),
        "mm",
    );
    list.numbers(
        "mass of the line",
        lines.map(|line| 1e3 * line.mass_kg_per_m),
        "g/m",
    );
    if lines[0].tension_n != lines[1].tension_n {
        let words = lines.map(|line| tension_words(&line.tension_n));
        let words = if words[0] == words[1] {
            lines.map(|line| {
                let each: Vec<String> = line.tension_n.iter().map(f64::to_string).collect();
                format!("{} N", each.join(", "))
            })
        } else {
            words
        };
        list.words("tension", words);
    }
    let threading = |(line, design): (&Line, &Design)| {
        line.threading.as_ref().map_or_else(
            || "each line by itself".to_owned(),
            |one| threading_words(one, design),
        )
    };
    list.words(
        "threading",
        [(lines[0], both[0]), (lines[1], both[1])].map(threading),
    );
}

fn tension_words(tension_n: &[f64]) -> String {
    let low = tension_n.iter().copied().fold(f64::INFINITY, f64::min);
    let high = tension_n.iter().copied().fold(0.0, f64::max);
    if low == high {
        format!("{} N", figures(low))
    } else {
        format!("{} to {} N", figures(low), figures(high))
    }
}

fn threading_words(threading: &Threading, design: &Design) -> String {
    let order: Vec<&str> = threading
        .order
        .iter()
        .map(|line| design.vertices[*line].name.as_str())
        .collect();
    format!(
        "one line through all holes ({}; first into the {} plate), friction {}, {}, pulled at {}",
        order.join(", "),
        if threading.first_enters_front {
            "front"
        } else {
            "rear"
        },
        figures(threading.friction),
        match threading.tightening {
            Tightening::EndsOnly => "tightened at its ends only",
            Tightening::EachRun => "each run tightened in turn",
        },
        match threading.pulled_at {
            PulledAt::First => "its first end",
            PulledAt::Last => "its last end",
        }
    )
}

/// Whether each side has something of this name.
fn has([first, second]: [bool; 2]) -> [String; 2] {
    [first, second].map(|has| if has { "there" } else { "none" }.to_owned())
}

fn vertices(list: &mut List, both: [&Design; 2]) {
    let find = |design: &Design, name: &str| {
        design
            .vertices
            .iter()
            .find(|vertex| vertex.name == name)
            .map(|vertex| vertex.direction)
    };
    for vertex in &both[0].vertices {
        match find(both[1], &vertex.name) {
            None => list.words(&format!("line {}", vertex.name), has([true, false])),
            Some(other) if other != vertex.direction => {
                let [x, y] = [0, 1].map(|axis| in_unit([vertex.direction[axis], other[axis]], ""));
                let words = [0, 1].map(|side| format!("({}, {}), tangents", x[side], y[side]));
                list.words(&format!("direction of line {}", vertex.name), words);
            }
            Some(_) => {}
        }
    }
    for vertex in &both[1].vertices {
        if find(both[0], &vertex.name).is_none() {
            list.words(&format!("line {}", vertex.name), has([false, true]));
        }
    }
}

fn rods(list: &mut List, both: [&Design; 2]) {
    let find =
        |design: &'_ Design, name: &str| design.rods.iter().find(|rod| rod.name == name).cloned();
    for rod in &both[0].rods {
        match find(both[1], &rod.name) {
            None => list.words(&format!("rod {}", rod.name), has([true, false])),
            Some(other) => one_rod(list, both, [rod, &other]),
        }
    }
    for rod in &both[1].rods {
        if find(both[0], &rod.name).is_none() {
            list.words(&format!("rod {}", rod.name), has([false, true]));
        }
    }
}

fn one_rod(list: &mut List, both: [&Design; 2], rods: [&Rod; 2]) {
    let name = &rods[0].name;
    list.numbers(
        &format!("thickness of rod {name}"),
        rods.map(|rod| rod.diameter_mm),
        "mm",
    );
    list.numbers(
        &format!("mass of rod {name}"),
        rods.map(|rod| 1e3 * rod.mass_kg_per_m),
        "g/m",
    );
    let line = |side: usize, end: usize| {
        let line = rods[side].ends[end].line;
        both[side].vertices[line].name.as_str()
    };
    for end in [0, 1] {
        let lines = [line(0, end), line(1, end)];
        if lines[0] == lines[1] {
            let depths = rods.map(|rod| rod.ends[end].depth_mm);
            list.numbers(
                &format!("depth of rod {name} at {}", lines[0]),
                depths,
                "mm",
            );
        } else {
            let words = [0, 1].map(|side| {
                format!(
                    "on line {} at {} mm",
                    lines[side],
                    figures(rods[side].ends[end].depth_mm)
                )
            });
            list.words(&format!("end {} of rod {name}", end + 1), words);
        }
    }
}

fn judging(list: &mut List, both: [&Judging; 2]) {
    let finish = |judging: &Judging| {
        judging
            .finish
            .map_or("limits set by hand", |finish| finish.name())
            .to_owned()
    };
    list.judging("finish", both.map(finish));
    let set = |limit_rad: Option<f64>| {
        limit_rad.map_or_else(
            || "from acuity and cover".to_owned(),
            |rad| format!("{} arcmin", figures(arcmin(rad))),
        )
    };
    list.judging("drift limit", both.map(|one| set(one.rule.drift_rad)));
    list.judging("gap limit", both.map(|one| set(one.rule.gap_rad)));
    let number = |pick: fn(&Judging) -> f64, unit: &str| in_unit(both.map(pick), unit);
    list.judging(
        "limit in finest details of the eye",
        number(|j| j.rule.acuity_factor, ""),
    );
    list.judging(
        "share of a rod's thickness that hides a fault",
        number(|j| 100.0 * j.rule.cover, "%"),
    );
    list.judging(
        "limit as a share of the figure's width",
        number(|j| 100.0 * j.rule.share_of_figure, "%"),
    );
    list.judging(
        "frame of drifts",
        both.map(|one| frame_name(one.frame).to_owned()),
    );
    list.judging(
        "looks of a build that must hold",
        number(|j| 100.0 * j.hold_share, "%"),
    );
    list.judging(
        "looks that should show the whole figure",
        number(|j| 100.0 * j.clear_share, "%"),
    );
    list.judging(
        "target of the yield",
        number(|j| 100.0 * j.target_yield, "%"),
    );
}
