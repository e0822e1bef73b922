//! One build and one look from an explicit file: any source set to a value, the rest at no error.
//!
//! Nothing is random. Pupil and acuity, which have no "no error", stand at their means unless set. Weight is a source
//! like the others: lines sag only when the file says `sag = true` or sets a tension.

use super::problem::{Problems, listed, nearest, quoted};
use super::read::with_document;
use super::table::Table;
use crate::figure::{Family, Plan, Plate, Source};
use crate::geometry::Pair;
use crate::units::Kind;

/// One trial with every value known.
#[derive(Debug, Clone)]
pub struct ExplicitTrial {
    /// The design, with what the file changes in it (peephole, gravity).
    pub plan: Plan,
    /// The build's values.
    pub build: Vec<f64>,
    /// The look's values.
    pub look: Vec<f64>,
    /// Whether lines sag.
    pub sag: bool,
    /// Whether somebody said so: the file by its key `sag` or by a tension, or the run that the trial is of.
    pub sag_is_said: bool,
    /// The items of which the file sets a value; `None` of a trial of a run, of which nothing is left open.
    pub set_items: Option<Vec<(Source, usize)>>,
}

impl ExplicitTrial {
    /// No error at all: nothing set.
    pub fn without_errors(plan: &Plan) -> Self {
        let mut plan = plan.clone();
        plan.design.gravity.strength_m_per_s2 = 0.0;
        let mut plan = Plan::new(plan.design);
        plan.with_middles = false;
        Self {
            build: plan.neutral_values(Family::Build),
            look: plan.neutral_values(Family::Look),
            plan,
            sag: false,
            sag_is_said: false,
            set_items: Some(Vec::new()),
        }
    }

    /// The same trial with weights that hang, rods tied, lines pulled in their holes and slackened as in the design `nominal`, each unless
    /// something was said of it: so is what is measured at a bench.
    pub fn hung_as(mut self, nominal: &Plan) -> Self {
        if let Some(set) = &self.set_items {
            let meant = nominal.meant_values(Family::Build);
            let places = Plate::BOTH.map(Source::HoleSlack);
            let others = [Source::RodTie, Source::Slackening];
            for source in places.into_iter().chain(others) {
                let items = 0..source.items(&nominal.design);
                // a tension that the file sets is that of the line as it hangs
                let is_set = |item: &usize| {
                    set.contains(&(source, *item))
                        || source == Source::Slackening
                            && set.contains(&(Source::HandTension, *item))
                };
                for item in items.filter(|item| !is_set(item)) {
                    let at = nominal.layout.start(source) + item * source.components();
                    let values = at..at + source.components();
                    self.build[values.clone()].copy_from_slice(&meant[values]);
                }
            }
        }
        if self.sag_is_said {
            return self;
        }
        let with_middles = self.plan.with_middles;
        let mut design = self.plan.design;
        design.gravity = nominal.design.gravity;
        self.sag = design.gravity.strength_m_per_s2 > 0.0;
        self.plan = Plan::new(design);
        self.plan.with_middles = with_middles;
        self
    }
}

/// Reads the explicit file `text` for the design `plan`; `file` names it in messages.
///
/// # Errors
/// [`Problems`]: everything that is wrong with it.
pub fn read_explicit(file: &str, text: &str, plan: &Plan) -> Result<ExplicitTrial, Problems> {
    with_document(file, text, |top| {
        let mut reader = Reader {
            nominal: plan,
            trial: ExplicitTrial::without_errors(plan),
            tension_was_set: false,
            bow_was_set: false,
        };
        for plate in Plate::BOTH {
            reader.plate(top, plate);
        }
        reader.holes(top);
        reader.lines(top);
        reader.rods(top);
        let diameter_mm = reader.peephole(top);
        reader.eye(top);
        let sag = top.flag("sag");
        Some(reader.finish(sag, diameter_mm))
    })
}

struct Reader<'p> {
    nominal: &'p Plan,
    trial: ExplicitTrial,
    tension_was_set: bool,
    bow_was_set: bool,
}

impl Reader<'_> {
    fn set(&mut self, source: Source, item: usize, values: &[f64]) {
        let at = self.trial.plan.layout.start(source) + item * source.components();
        let vector = match source.family() {
            Family::Build => &mut self.trial.build,
            Family::Look => &mut self.trial.look,
        };
        vector[at..at + values.len()].copy_from_slice(values);
        if let Some(set) = &mut self.trial.set_items {
            set.push((source, item));
        }
    }

    fn one(&mut self, table: &Table<'_>, key: &'static str, source: Source, item: usize) {
        if let Some(found) = table.quantity(key, source.kind()) {
            self.set(source, item, &[found.value]);
        }
    }

    fn pair(&mut self, table: &Table<'_>, key: &'static str, source: Source, item: usize) {
        if let Some(found) = table.pair(key, source.kind()) {
            self.set(source, item, &[found.value.x, found.value.y]);
        }
    }

    fn plate(&mut self, top: &Table<'_>, plate: Plate) {
        let table = top.table(if plate == Plate::Front {
            "front"
        } else {
            "rear"
        });
        self.pair(&table, "pattern_shift", Source::PatternShift(plate), 0);
        self.one(&table, "pattern_turn", Source::PatternTurn(plate), 0);
        self.one(&table, "print_scale", Source::PrintScale(plate), 0);
        self.one(&table, "seat_depth", Source::SeatDepth(plate), 0);
        self.one(&table, "tilt_x", Source::TiltX(plate), 0);
        self.one(&table, "tilt_y", Source::TiltY(plate), 0);
        table.finish();
    }

    /// `[holes.front] tip = { scatter = ["0.1 mm", "0 mm"], slack = [...] }`, by vertex.
    fn holes(&mut self, top: &Table<'_>) {
        let holes = top.table("holes");
        for plate in Plate::BOTH {
            let table = holes.table(if plate == Plate::Front {
                "front"
            } else {
                "rear"
            });
            for (line, hole) in self.named(&table, &vertex_names(self.nominal), "vertex") {
                self.pair(&hole, "scatter", Source::HoleScatter(plate), line);
                self.pair(&hole, "slack", Source::HoleSlack(plate), line);
                if let Some(towards) = hole.quantity("slack_towards", Kind::Angle) {
                    let spec = self.nominal.design.plates[plate.index()];
                    let slack_mm = (spec.hole_mm - self.nominal.design.line.diameter_mm) / 2.0;
                    let aim =
                        Pair::new(libm::cos(towards.value), libm::sin(towards.value)) * slack_mm;
                    self.set(Source::HoleSlack(plate), line, &[aim.x, aim.y]);
                    if hole.get_named("slack").is_some() {
                        hole.problems.tell(
                            &towards.span,
                            "a hole has both `slack` and `slack_towards`; one of them is enough"
                                .to_owned(),
                            None,
                        );
                    }
                }
                hole.finish();
            }
        }
        holes.finish();
    }

    /// `[lines] tip = { tension = "3 N" }`: the tension that the line really has, after all losses.
    fn lines(&mut self, top: &Table<'_>) {
        let table = top.table("lines");
        for (line, fields) in self.named(&table, &vertex_names(self.nominal), "line") {
            if let Some(tension) = fields.positive("tension", Kind::Force) {
                // as a factor on what the threading leaves; the slackening has one entry for each line
                let factor = tension.value / self.nominal.tensions_n[line];
                self.set(Source::Slackening, line, &[factor]);
                self.tension_was_set = true;
            }
            fields.finish();
        }
    }

    /// `[rods] mast = { tie = [["0 mm", "1 mm"], ["0 mm", "1 mm"]], slip = ["1 mm", "0 mm"], bow = [0.01, 0] }`, ends in
    /// the order of the rod's lines.
    fn rods(&mut self, top: &Table<'_>) {
        let table = top.table("rods");
        let names: Vec<String> = self
            .nominal
            .design
            .rods
            .iter()
            .map(|rod| rod.name.clone())
            .collect();
        for (rod, fields) in self.named(&table, &names, "rod") {
            if let Some(ties) = fields.array("tie") {
                match ties.value {
                    [first, second] => {
                        for (which, value) in [first, second].into_iter().enumerate() {
                            if let Some(tie) = fields.pair_of("tie", value, Kind::Length) {
                                self.set(
                                    Source::RodTie,
                                    2 * rod + which,
                                    &[tie.value.x, tie.value.y],
                                );
                            }
                        }
                    }
                    _ => fields.problems.tell(
                        &ties.span,
                        format!(
                            "tie is {}, must be two pairs [[x, y], [x, y]], one for each end",
                            fields.problems.quote(&ties.span)
                        ),
                        None,
                    ),
                }
            }
            if let Some(slip) = fields.pair("slip", Kind::Length) {
                self.set(Source::RodSlip, 2 * rod, &[slip.value.x]);
                self.set(Source::RodSlip, 2 * rod + 1, &[slip.value.y]);
            }
            if fields.get_named("bow").is_some() {
                self.bow_was_set = true;
            }
            self.pair(&fields, "bow", Source::RodBow, rod);
            fields.finish();
        }
    }

    fn peephole(&mut self, top: &Table<'_>) -> Option<f64> {
        let table = top.table("peephole");
        self.pair(&table, "shift", Source::PeepholeShift, 0);
        self.one(&table, "depth", Source::PeepholeDepth, 0);
        let diameter_mm = table
            .positive("diameter", Kind::Length)
            .map(|found| found.value);
        table.finish();
        diameter_mm
    }

    fn eye(&mut self, top: &Table<'_>) {
        let table = top.table("eye");
        self.pair(&table, "offset", Source::EyeOffset, 0);
        self.one(&table, "relief", Source::EyeRelief, 0);
        if let Some(pupil) = table.positive("pupil", Kind::Length) {
            self.set(Source::Pupil, 0, &[pupil.value]);
        }
        self.one(&table, "acuity", Source::Acuity, 0);
        table.finish();
    }

    /// Sub-tables whose keys are names of this scenario; unknown names are told.
    fn named<'a>(
        &self,
        table: &Table<'a>,
        names: &[String],
        what: &str,
    ) -> Vec<(usize, Table<'a>)> {
        let known = || names.iter().map(String::as_str);
        table
            .keys()
            .filter_map(|key| {
                let Some(index) = known().position(|name| name == key.value) else {
                    table.problems.tell(
                        &key.span,
                        format!(
                            "no {what} has the name {}, there are: {}",
                            quoted(key.value),
                            listed(known())
                        ),
                        nearest(key.value, known()).map(|near| format!("did you mean `{near}`?")),
                    );
                    return None;
                };
                let value = table.get_named(key.value)?;
                let fields = table.as_table(key.value, value);
                if fields.is_none() {
                    table.wrong_type(key.value, value, "a table in { }");
                }
                Some((index, fields?))
            })
            .collect()
    }

    fn finish(self, sag: Option<bool>, diameter_mm: Option<f64>) -> ExplicitTrial {
        let mut trial = self.trial;
        trial.sag = sag.unwrap_or(self.tension_was_set);
        trial.sag_is_said = sag.is_some() || self.tension_was_set;
        let mut design = trial.plan.design;
        if trial.sag {
            design.gravity = self.nominal.design.gravity;
        }
        if let Some(diameter_mm) = diameter_mm {
            design.peephole.diameter_mm = diameter_mm;
        }
        trial.plan = Plan::new(design);
        trial.plan.with_middles = self.bow_was_set;
        trial
    }
}

fn vertex_names(plan: &Plan) -> Vec<String> {
    plan.design
        .vertices
        .iter()
        .map(|vertex| vertex.name.clone())
        .collect()
}
