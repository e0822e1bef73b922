//! What is not known of a build: every source's values, the eye or camera that looked, how the pictures lie; each measured in
//! units of its own tolerance, so that the prior of all of them is the standard normal law.
//!
//! A law that is not normal stands with its mean and covariance (a random direction as two components); what multiplies (a
//! tension) stands in its logarithm. What the scenario takes as having no error has a variance of 0 until it is suspected,
//! in units of what a hand usually does.

use super::suspect::Suspect;
use crate::figure::{Family, Grade, Plan, Source, Spread};
use crate::trial::{Frames, PictureFrame};

/// Standard uncertainty of a scanner's size, a share (chosen; common practice, no source).
const SCANNER_SCALE_SD: f64 = 0.002;

/// What an unknown is part of.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Place {
    /// A build's values from here on.
    Build(usize),
    /// A look's values from here on.
    Look(usize),
    /// The same for all items of a source that adds, or multiplies.
    Alike { from: usize, items: usize },
    /// A number of a picture's frame: of the front plate's, the rear plate's, or the view's.
    Frame { picture: usize, number: usize },
}

/// One item that is not known.
#[derive(Debug, Clone)]
pub(super) struct Item {
    place: Place,
    pub components: usize,
    /// What the values are by plan, in the logarithm where `multiplies`.
    pub mean: [f64; 2],
    /// From standard units to values: the lower triangle of the covariance's root.
    root: [f64; 3],
    /// Whether the prior is open; one that is taken as having no error is closed until suspected.
    pub is_open: bool,
    pub multiplies: bool,
    /// First of its standard coordinates.
    pub at: usize,
    /// What it is suspected as; `None` for a picture's frame.
    pub suspect: Option<Suspect>,
}

impl Item {
    /// Standard deviation of each component by its tolerance (or by what a hand usually does), in the logarithm where it
    /// multiplies.
    pub fn sd(&self) -> [f64; 2] {
        [self.root[0], libm::hypot(self.root[1], self.root[2])]
    }

    /// The value of these standard coordinates, in the logarithm where it multiplies.
    pub fn value(&self, standard: &[f64]) -> [f64; 2] {
        let [first, across, second] = self.root;
        let other = standard.get(1).copied().unwrap_or(0.0);
        [
            self.mean[0] + first * standard[0],
            self.mean[1] + across * standard[0] + second * other,
        ]
    }

    /// Covariance of the values whose standard coordinates have this one.
    pub fn covariance(&self, [xx, xy, yy]: [f64; 3]) -> [f64; 3] {
        let [a, b, c] = self.root;
        [
            a * a * xx,
            a * (b * xx + c * xy),
            b * b * xx + 2.0 * b * c * xy + c * c * yy,
        ]
    }
}

/// A build with the eye that looks at it and the pictures that were taken.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct State {
    pub build: Vec<f64>,
    pub look: Vec<f64>,
    pub frames: Frames,
}

/// Everything that is not known.
#[derive(Debug, Clone)]
pub(super) struct Unknowns {
    pub items: Vec<Item>,
    /// Standard coordinates in all.
    pub len: usize,
    planned: State,
}

/// Which pictures a bench has, and how far they reach.
#[derive(Debug, Clone, Copy)]
pub(super) struct Picture {
    /// How it lies to begin with.
    pub frame: PictureFrame,
    /// How far its points reach, in its own unit.
    pub reach: f64,
    /// Whether its size is that of what it shows, to a scanner's error.
    pub at_true_size: bool,
    /// Standard deviation of the tangents by which the camera may have looked aside; 0: not at all.
    pub perspective_sd: f64,
}

impl Unknowns {
    /// All that is not known of a build of `plan` with these pictures (front plate, rear plate, view).
    pub fn new(plan: &Plan, pictures: [Option<Picture>; 3]) -> Self {
        let mut planned = State {
            build: plan.mean_values(Family::Build),
            look: plan.mean_values(Family::Look),
            frames: Frames::IDENTITY,
        };
        let mut items = Vec::new();
        for source in Source::ALL {
            add_source(plan, source, &mut items, &mut planned);
        }
        add_alike(plan, &mut items);
        for (picture, found) in pictures.iter().enumerate() {
            if let Some(found) = found {
                *frame_mut(&mut planned.frames, picture) = found.frame;
                add_picture(picture, found, &mut items);
            }
        }
        let mut len = 0;
        for item in &mut items {
            item.at = len;
            len += item.components;
        }
        Self {
            items,
            len,
            planned,
        }
    }

    /// What all items of the source of `own` have in common, where that is an unknown too.
    pub fn common(&self, own: &Item) -> Option<&Item> {
        let Place::Build(at) = own.place else {
            return None;
        };
        self.items.iter().find(|other| match other.place {
            Place::Alike { from, items } => (from..from + items).contains(&at),
            _ => false,
        })
    }

    /// The build, eye and pictures at these standard coordinates.
    pub fn state(&self, standard: &[f64]) -> State {
        let mut state = self.planned.clone();
        for item in &self.items {
            let value = item.value(&standard[item.at..item.at + item.components]);
            match item.place {
                Place::Build(at) => put(&mut state.build[at..], item, value),
                Place::Look(at) => put(&mut state.look[at..], item, value),
                Place::Alike { .. } => {}
                Place::Frame { picture, number } => {
                    let frame = frame_mut(&mut state.frames, picture);
                    let mut numbers = frame.numbers();
                    numbers[number] = value[0];
                    *frame = PictureFrame::of_numbers(numbers);
                }
            }
        }
        // what is alike for all comes on top of what is each one's own
        for item in &self.items {
            if let Place::Alike { from, items } = item.place {
                let [value, _] = item.value(&standard[item.at..=item.at]);
                for own in &mut state.build[from..from + items] {
                    if item.multiplies {
                        *own *= libm::exp(value);
                    } else {
                        *own += value;
                    }
                }
            }
        }
        state
    }
}

fn frame_mut(frames: &mut Frames, picture: usize) -> &mut PictureFrame {
    match picture {
        0 | 1 => &mut frames.plates[picture],
        _ => &mut frames.view,
    }
}

fn put(values: &mut [f64], item: &Item, value: [f64; 2]) {
    for (to, value) in values.iter_mut().zip(value).take(item.components) {
        *to = if item.multiplies {
            libm::exp(value)
        } else {
            value
        };
    }
}

/// Mean and standard deviation of the logarithm of something with this mean and standard deviation, as if it were lognormal.
fn in_the_logarithm(mean: f64, sd: f64) -> [f64; 2] {
    let variance = libm::log1p((sd / mean) * (sd / mean));
    [libm::log(mean) - variance / 2.0, variance.sqrt()]
}

fn add_source(plan: &Plan, source: Source, items: &mut Vec<Item>, planned: &mut State) {
    let design = &plan.design;
    let shared = design.tension_is_shared();
    let own_tension = source == Source::HandTension && !shared;
    if matches!(source, Source::Pupil | Source::Acuity) || (source == Source::Slackening && !shared)
    {
        return;
    }
    let start = plan.layout.start(source);
    let components = source.components();
    for item in 0..source.items(design) {
        let spread = design.law(source).spread(item);
        let at = start + item * components;
        let mut one = Item {
            place: match source.family() {
                Family::Build => Place::Build(at),
                Family::Look => Place::Look(at),
            },
            components,
            mean: spread.mean,
            root: root(&spread, components),
            is_open: true,
            multiplies: false,
            at: 0,
            suspect: Some(Suspect::item(source, item)),
        };
        if matches!(source, Source::HandTension | Source::Slackening) {
            let [mut mean, mut sd] = in_the_logarithm(spread.mean[0], spread.sd[0]);
            if own_tension {
                let slack_at = plan.layout.start(Source::Slackening) + item;
                let slack = design.law(Source::Slackening).spread(item);
                let [slack_mean, slack_sd] = in_the_logarithm(slack.mean[0], slack.sd[0]);
                // the slackening's values stay at 1, and the line's whole factor stands as the hand's
                planned.build[slack_at] = 1.0;
                mean += slack_mean;
                sd = libm::hypot(sd, slack_sd);
            }
            one.mean = [mean, 0.0];
            one.root = [sd, 0.0, 0.0];
            one.multiplies = true;
        }
        if !(one.root[0] > 0.0) {
            one.is_open = false;
            one.root = usual_root(plan, source, item);
        }
        items.push(one);
    }
}

/// Lower triangle of the covariance's root.
fn root(spread: &Spread, components: usize) -> [f64; 3] {
    let [first, second] = spread.sd;
    if components == 1 {
        return [first, 0.0, 0.0];
    }
    if !(first > 0.0) {
        return [0.0, 0.0, 0.0];
    }
    let across = spread.covariance / first;
    [
        first,
        across,
        (second * second - across * across).max(0.0).sqrt(),
    ]
}

/// What a hand usually does where the scenario takes it as having no error: the grade of hand work, or the size of the
/// thing itself.
fn usual_root(plan: &Plan, source: Source, item: usize) -> [f64; 3] {
    let design = &plan.design;
    let usual = Grade::HandPierced.default_spread(source);
    let sd = match (source, usual) {
        (Source::RodTie, _) => design.tie_offsets_mm()[item],
        (Source::HoleSlack(plate), _) => design.hole_slack_mm(plate).max(0.05),
        (Source::Slackening, _) => 0.2,
        (_, Some((distribution, _))) => distribution.sd(),
        (_, None) => 1.0,
    };
    [sd, 0.0, if source.components() == 2 { sd } else { 0.0 }]
}

fn add_alike(plan: &Plan, items: &mut Vec<Item>) {
    let design = &plan.design;
    let alike = |source: Source, suspect: Source, sd: f64, multiplies: bool| Item {
        place: Place::Alike {
            from: plan.layout.start(source),
            items: source.items(design),
        },
        components: 1,
        mean: [0.0, 0.0],
        root: [sd, 0.0, 0.0],
        is_open: false,
        multiplies,
        at: 0,
        suspect: Some(Suspect::alike(suspect)),
    };
    let spread_of = |source: Source| {
        let found = design.law(source).spread(0);
        let sd = if source == Source::RodSlip {
            found.sd[0]
        } else {
            in_the_logarithm(found.mean[0], found.sd[0])[1]
        };
        if sd > 0.0 {
            sd
        } else {
            usual_root(plan, source, 0)[0]
        }
    };
    if design.vertices.len() > 1 {
        let through = if design.tension_is_shared() {
            Source::Slackening
        } else {
            Source::HandTension
        };
        let sd = spread_of(Source::Slackening).max(spread_of(through));
        items.push(alike(through, Source::Slackening, sd, true));
    }
    let sd = spread_of(Source::RodSlip);
    items.push(alike(Source::RodSlip, Source::RodSlip, sd, false));
}

fn add_picture(picture: usize, found: &Picture, items: &mut Vec<Item>) {
    let numbers = found.frame.numbers();
    for (number, mean) in numbers.into_iter().enumerate() {
        let sd = match number {
            0 | 1 => found.reach,
            2 => 1.0,
            3 if found.at_true_size => SCANNER_SCALE_SD,
            3 => 1.0,
            _ if found.perspective_sd > 0.0 => found.perspective_sd,
            _ => continue,
        };
        items.push(Item {
            place: Place::Frame { picture, number },
            components: 1,
            mean: [mean, 0.0],
            root: [sd, 0.0, 0.0],
            is_open: true,
            multiplies: false,
            at: 0,
            suspect: None,
        });
    }
}
