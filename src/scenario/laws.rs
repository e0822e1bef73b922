//! Sources of error in a scenario file; what is left out follows from the grade of work.

use super::spread::{ReadFile, Spread};
use super::table::Table;
use crate::figure::{Design, Grade, Law, Plate, Source};
use crate::geometry::Pair;
use crate::sampling::Distribution;
use crate::units::Kind;
use crate::vision::FieldOfLight;
use std::f64::consts::PI;
use toml::Spanned;
use toml::de::DeValue;

/// Where a source's law comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Origin {
    /// The scenario says it.
    Scenario,
    /// A default of the grade of work, with its reason.
    Grade(String),
}

/// Reads every source's law. `design` holds all but the laws.
#[derive(Clone, Copy)]
pub(super) struct LawReader<'r, 'a> {
    pub top: &'r Table<'a>,
    pub design: &'r Design,
    pub grade: Grade,
    pub slackening: Option<[f64; 2]>,
    pub read_file: ReadFile<'r>,
}

/// Laws in the order of [`Source::ALL`], with their origins.
pub(super) type Laws = (Vec<Law>, Vec<Origin>);

impl<'a> LawReader<'_, 'a> {
    /// Reads `[errors]` and `[eye]`'s laws, and tells what is unknown in either.
    pub fn read_all(&self, eye: Table<'a>) -> Option<Laws> {
        let laws = self.read(&eye);
        eye.finish();
        laws
    }

    /// Reads `[errors]` and `[eye]`'s laws; `eye` is read further by the caller, who finishes it.
    fn read(&self, eye: &Table<'a>) -> Option<Laws> {
        let errors = self.top.table("errors");
        let tables: Vec<(&str, Table<'a>)> = ["front", "rear", "plates", "line", "rod", "peephole"]
            .into_iter()
            .map(|name| (name, errors.table(name)))
            .collect();
        let find = |name: &str| {
            tables
                .iter()
                .find(|(one, _)| *one == name)
                .map(|(_, table)| table)
        };
        let mut laws = Vec::new();
        let mut origins = Vec::new();
        let mut whole = true;
        for source in Source::ALL {
            let (table_name, key) = source.key();
            let own = if table_name == "eye" {
                Some(eye)
            } else {
                find(table_name)
            };
            let value = own.and_then(|table| table.get(key).map(|value| (table, value)));
            // both plates at once
            let shared = || match table_name {
                "front" | "rear" => {
                    find("plates").and_then(|table| table.get(key).map(|value| (table, value)))
                }
                _ => None,
            };
            let shared = shared();
            match value.or(shared) {
                Some((table, value)) => {
                    let law = self.law(source, table, key, value);
                    whole &= law.is_some();
                    laws.push(
                        law.unwrap_or_else(|| Law::fixed(source.neutral(), source.components())),
                    );
                    origins.push(Origin::Scenario);
                }
                None => {
                    let (law, reason) = self.default_law(source);
                    laws.push(law);
                    origins.push(Origin::Grade(reason));
                }
            }
        }
        for (_, table) in tables {
            table.finish();
        }
        errors.finish();
        whole.then_some((laws, origins))
    }

    /// One source's law from the value of its key.
    pub fn law(
        &self,
        source: Source,
        table: &Table<'a>,
        key: &'static str,
        value: &'a Spanned<DeValue<'a>>,
    ) -> Option<Law> {
        if value.get_ref().as_str() == Some("off") {
            return match source {
                Source::Pupil | Source::Acuity => {
                    table.problems.tell(
                        &value.span(),
                        format!("{key} is \"off\", but an eye has one: a value or a distribution is needed"),
                        None,
                    );
                    None
                }
                _ => Some(Law::fixed(source.neutral(), source.components())),
            };
        }
        match source {
            Source::HoleSlack(plate) => self.hole_slack(plate, table, key, value),
            Source::RodTie => self.rod_tie(table, key, value),
            Source::RodBow => {
                let Spread::Each(mut each) = self.spread(source, 1, table, key, value)? else {
                    return None;
                };
                let law = each.pop().map(Law::Spun)?;
                self.is_sensible(source, &law, table, key, value)
                    .then_some(law)
            }
            Source::Pupil
                if value
                    .get_ref()
                    .as_table()
                    .is_some_and(|fields| fields.contains_key("luminance")) =>
            {
                self.pupil_from_light(table, key, value)
            }
            _ => {
                let law = match self.spread(source, source.components(), table, key, value)? {
                    Spread::Each(each) => Law::Each(each),
                    Spread::Disc { centre, radius } => Law::Disc { centre, radius },
                    Spread::Rows(rows) => Law::Rows(rows.into()),
                };
                self.is_sensible(source, &law, table, key, value)
                    .then_some(law)
            }
        }
    }

    /// Between what bounds (exclusive) a source's values make sense in this cabinet, in the source's kept unit, and what to
    /// say of it; `None` for sources whose size follows from the scenario.
    fn sensible(&self, source: Source) -> Option<([f64; 2], &'static str)> {
        const FACTOR: &str = "this is a factor on the tension, 1 is no error: 0.9 ± 0.1 is { form = \"uniform\", mean = 0.9, half_width = 0.1 }";
        let [front_mm, rear_mm] = self.design.plates.map(|plate| plate.z_mm);
        let relief_mm = self.design.peephole.eye_relief_mm;
        let gap_mm = rear_mm - front_mm;
        let within = |most: f64| [-most, most];
        Some(match source {
            Source::PatternShift(_) | Source::HoleScatter(_) => {
                (within(gap_mm / 2.0), "it is a length on the plate")
            }
            Source::PatternTurn(_) => (within(PI), "a whole turn is 360 deg"),
            Source::PrintScale(_) => (
                within(0.5),
                "0 is no error: a pattern printed 2 % too small is -0.02 or \"-2 %\"",
            ),
            Source::SeatDepth(Plate::Front) => (
                [relief_mm - front_mm, gap_mm / 2.0],
                "the plate must stay behind the peephole and before the rear plate",
            ),
            Source::SeatDepth(Plate::Rear) => (
                [-gap_mm / 2.0, rear_mm],
                "the plate must stay behind the front plate",
            ),
            Source::TiltX(_) | Source::TiltY(_) => (
                within(PI / 4.0),
                "a plate stands square to the axis but for a small tilt",
            ),
            Source::HandTension | Source::Slackening => ([0.0, 10.0], FACTOR),
            Source::RodSlip => (within(gap_mm), "it is a length along the line"),
            Source::RodBow => (within(0.5), "it is a share of the rod's length"),
            Source::PeepholeShift | Source::EyeOffset => {
                (within(front_mm), "it is a length across the axis")
            }
            Source::PeepholeDepth => (
                [-relief_mm, front_mm - relief_mm],
                "the peephole must stay between the eye and the front plate",
            ),
            Source::EyeRelief => (
                [-front_mm, relief_mm],
                "the eye must stay before the peephole's plate; positive is towards the cabinet",
            ),
            Source::Pupil => ([0.1, 20.0], "a human pupil is 2 to 8 mm wide"),
            Source::Acuity => (
                [-1.0, 3.0],
                "acuity is in logMAR: 0 tells 1 arcmin, 1 tells 10 arcmin",
            ),
            Source::HoleSlack(_) | Source::RodTie => return None,
        })
    }

    /// Refuses a law whose values leave what makes sense, by its bounds or in one case of a thousand.
    fn is_sensible(
        &self,
        source: Source,
        law: &Law,
        table: &Table<'_>,
        key: &str,
        value: &Spanned<DeValue<'_>>,
    ) -> bool {
        const RARE: f64 = 0.001;
        let Some(([lowest, highest], hint)) = self.sensible(source) else {
            return true;
        };
        let range = |one: &Distribution| {
            one.bounds()
                .unwrap_or([one.quantile(RARE), one.quantile(1.0 - RARE)])
        };
        let ranges: Vec<[f64; 2]> = match law {
            Law::Each(each) => each.iter().map(range).collect(),
            Law::Spun(length) => vec![range(length)],
            Law::Disc { centre, radius } => {
                centre.iter().map(|c| [c - radius, c + radius]).collect()
            }
            Law::Rows(rows) => rows
                .iter()
                .flat_map(|row| row.map(|value| [value; 2]))
                .collect(),
            Law::Ring(_) | Law::Aimed(_) | Law::Light { .. } => Vec::new(),
        };
        let low = ranges
            .iter()
            .map(|[low, _]| *low)
            .fold(f64::INFINITY, f64::min);
        let high = ranges
            .iter()
            .map(|[_, high]| *high)
            .fold(f64::NEG_INFINITY, f64::max);
        if ranges.is_empty() || (low > lowest && high < highest) {
            return true;
        }
        let kind = source.kind();
        let unit = kind.shown_unit();
        let shown = |kept: f64| {
            format!("{:.4}", kind.shown(kept))
                .trim_end_matches('0')
                .trim_end_matches('.')
                .to_owned()
        };
        table.problems.tell(
            &value.span(),
            format!(
                "{key} is {} and can be {} {unit}, must stay between {} and {} {unit}",
                table.problems.quote(&value.span()),
                if low > lowest {
                    shown(high)
                } else {
                    shown(low)
                },
                shown(lowest),
                shown(highest)
            )
            .replace("  ", " ")
            .replace(" ,", ",")
            .trim_end()
            .to_owned(),
            Some(hint.to_owned()),
        );
        false
    }

    /// A quantity, a pair of them, or a table with a form.
    fn spread(
        &self,
        source: Source,
        components: usize,
        table: &Table<'a>,
        key: &'static str,
        value: &'a Spanned<DeValue<'a>>,
    ) -> Option<Spread> {
        if let Some(fields) = table.as_table(key, value) {
            return fields.spread(source.kind(), components, self.read_file);
        }
        if components == 2 && value.get_ref().is_array() {
            let pair = table.pair_of(key, value, source.kind())?.value;
            return Some(Spread::Each(vec![
                Distribution::Fixed(pair.x),
                Distribution::Fixed(pair.y),
            ]));
        }
        let one = table.quantity_of(key, value, source.kind())?.value;
        Some(Spread::Each(vec![Distribution::Fixed(one); components]))
    }

    fn hole_slack(
        &self,
        plate: Plate,
        table: &Table<'a>,
        key: &'static str,
        value: &'a Spanned<DeValue<'a>>,
    ) -> Option<Law> {
        let lines = self.design.vertices.len();
        let slack_mm = self.design.hole_slack_mm(plate);
        if let Some(angle_rad) = self.direction(table, key, value)? {
            let aim = Pair::new(libm::cos(angle_rad), libm::sin(angle_rad)) * slack_mm;
            return Some(Law::Aimed(vec![aim; lines]));
        }
        match value.get_ref().as_str() {
            Some("random") => Some(Law::Ring(vec![slack_mm; lines])),
            Some("pulled") => {
                if self.design.line.threading.is_none() {
                    table.problems.tell(
                        &value.span(),
                        format!("{key} is \"pulled\", but [line] has no `threading`: no hole pulls at the next"),
                        Some("give line.threading with an order, or write \"random\"".to_owned()),
                    );
                    return None;
                }
                // at the two anchors nothing is known of the pull: the line is taken in the hole's middle
                let aims = self.design.pulls(plate).into_iter();
                Some(Law::Aimed(
                    aims.map(|pull| pull.unwrap_or_else(Pair::zeros) * slack_mm)
                        .collect(),
                ))
            }
            _ => {
                table.wrong_type(
                    key,
                    value,
                    "\"random\", \"pulled\", \"off\" or { direction = \"90 deg\" }",
                );
                None
            }
        }
    }

    fn rod_tie(
        &self,
        table: &Table<'a>,
        key: &'static str,
        value: &'a Spanned<DeValue<'a>>,
    ) -> Option<Law> {
        let offsets = self.design.tie_offsets_mm();
        if let Some(angle_rad) = self.direction(table, key, value)? {
            let aim = Pair::new(libm::cos(angle_rad), libm::sin(angle_rad));
            return Some(Law::Aimed(
                offsets.iter().map(|offset| aim * *offset).collect(),
            ));
        }
        match value.get_ref().as_str() {
            Some("random") => Some(Law::Ring(offsets)),
            _ => {
                table.wrong_type(
                    key,
                    value,
                    "\"random\", \"off\" or { direction = \"90 deg\" }",
                );
                None
            }
        }
    }

    /// `{ direction = "90 deg" }`: `Some(None)` when the value is no table, `None` when it is a bad one.
    #[allow(clippy::option_option)]
    fn direction(
        &self,
        table: &Table<'a>,
        key: &'static str,
        value: &'a Spanned<DeValue<'a>>,
    ) -> Option<Option<f64>> {
        let Some(fields) = table.as_table(key, value) else {
            return Some(None);
        };
        let angle = fields.quantity("direction", Kind::Angle);
        if angle.is_none() && fields.get_named("direction").is_none() {
            fields.missing("direction", "an angle from +x towards +y");
        }
        fields.finish();
        angle.map(|angle| Some(angle.value))
    }

    fn pupil_from_light(
        &self,
        table: &Table<'a>,
        key: &'static str,
        value: &'a Spanned<DeValue<'a>>,
    ) -> Option<Law> {
        let fields = table.as_table(key, value)?;
        let luminance = fields.needed_positive("luminance", Kind::Luminance);
        let area = fields.needed_positive("field_area", Kind::SolidField);
        let both_eyes = fields.flag("both_eyes").unwrap_or(false);
        let age_value = fields.get("age");
        let age = match age_value {
            None => {
                fields.missing("age", "the visitors' age, for example \"30 years\",");
                None
            }
            Some(value) => match fields.as_table("age", value) {
                Some(form) => match form.spread(Kind::Age, 1, self.read_file) {
                    Some(Spread::Each(mut each)) => each.pop(),
                    _ => None,
                },
                None => fields
                    .quantity_of("age", value, Kind::Age)
                    .map(|age| Distribution::Fixed(age.value)),
            },
        };
        fields.finish();
        if let (Some(age), Some(value)) = (&age, age_value) {
            let [low, high] = age
                .bounds()
                .unwrap_or([age.quantile(0.001), age.quantile(0.999)]);
            if !(low >= 0.0 && high <= 120.0) {
                tell_age(table, value, low, high);
                return None;
            }
        }
        Some(Law::Light {
            light: FieldOfLight {
                luminance_cd_per_m2: luminance?.value,
                area_deg2: area?.value,
                both_eyes,
            },
            age: age?,
        })
    }

    fn default_law(&self, source: Source) -> (Law, String) {
        let grade = self.grade.name();
        match source {
            Source::HoleSlack(plate) => (
                Law::Ring(vec![
                    self.design.hole_slack_mm(plate);
                    self.design.vertices.len()
                ]),
                "half of hole minus line, in a random direction".to_owned(),
            ),
            Source::RodTie => (
                Law::Ring(self.design.tie_offsets_mm()),
                "rod and line touch, on a random side".to_owned(),
            ),
            Source::Slackening => {
                let [low, high] = self.slackening.unwrap_or([0.8, 1.0]);
                (
                    Law::Each(vec![Distribution::Uniform {
                        mean: f64::midpoint(low, high),
                        half_width: (high - low) / 2.0,
                    }]),
                    format!(
                        "{}: chosen wide, no source",
                        self.design
                            .line
                            .material
                            .unwrap_or("line of unnamed material")
                    ),
                )
            }
            _ => {
                let (distribution, reason) = self
                    .grade
                    .default_spread(source)
                    .expect("only slack, tie and slackening follow from the scenario");
                let law = if source == Source::RodBow {
                    Law::Spun(distribution)
                } else {
                    Law::Each(vec![distribution; source.components()])
                };
                (law, format!("grade {grade}: {reason}"))
            }
        }
    }
}

fn tell_age(table: &Table<'_>, value: &Spanned<DeValue<'_>>, low: f64, high: f64) {
    table.problems.tell(
        &value.span(),
        format!(
            "age is {} and can be {low:.1} to {high:.1} years, must stay from 0 to 120",
            table.problems.quote(&value.span())
        ),
        None,
    );
}
