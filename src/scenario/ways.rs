//! Ways of working of a workshop's own in a scenario file: `[[ways]]`, and `[cost]`.

use super::laws::LawReader;
use super::problem::{is_unseen, listed, nearest, quoted};
use super::table::{At, Table};
use crate::figure::{
    CostUnit, Design, MOST_SETS, NoSets, Plate, Source, Step, Way, WayLaw, WayOrigin, Ways,
    can_be_pulled_at_the_end,
};
use crate::mechanics::Tightening;
use crate::units::Kind;
use std::ops::Range;
use toml::Spanned;
use toml::de::DeValue;

/// Most ways of a scenario's own.
const MOST_WAYS: usize = 100;
/// Name of what the scenario has now, which no other way may have.
const AS_IT_IS: &str = "as in the scenario";

/// Reads `[[ways]]` and `[cost]`. `reader` holds the design, with its laws where it `is_whole`; else only mistakes are told.
pub(super) fn read_ways<'a>(reader: &LawReader<'_, 'a>, is_whole: bool) -> Option<Ways> {
    let top = reader.top;
    let unit = read_cost(top);
    let list = top.array("ways");
    let elements = list.as_ref().map_or(&[][..], |list| list.value);
    let mut own: Vec<(Way, Range<usize>)> = Vec::new();
    let mut whole = elements.len() <= MOST_WAYS;
    if !whole {
        top.problems.tell(
            &elements[MOST_WAYS].span(),
            format!(
                "there are {} tables [[ways]], at most {MOST_WAYS} are read",
                elements.len()
            ),
            None,
        );
    }
    for element in elements.iter().take(MOST_WAYS) {
        match read_way(reader, element, is_whole) {
            Some(way) => {
                let twin = own
                    .iter()
                    .find(|(other, _)| other.step == way.step && other.name == way.name);
                if twin.is_some() {
                    top.problems.tell(
                        &element.span(),
                        format!(
                            "two ways of the step {} have the name {}",
                            way.step.name(),
                            quoted(&way.name)
                        ),
                        Some("give each way of a step a name of its own".to_owned()),
                    );
                    whole = false;
                }
                own.push((way, element.span()));
            }
            None => whole = false,
        }
    }
    let list_is_wrong = list.is_none() && top.get_named("ways").is_some();
    let unit = unit?;
    if list_is_wrong || !whole || !is_whole {
        return None;
    }
    let unit = checked_unit(top, unit, &own)?;
    let spans: Vec<Range<usize>> = own.iter().map(|(_, span)| span.clone()).collect();
    let own: Vec<Way> = own.into_iter().map(|(way, _)| way).collect();
    match Ways::new(reader.design, own.clone(), unit) {
        Ok(ways) => Some(ways),
        Err(reason) => {
            tell_no_sets(top, &reason, &own, &spans);
            None
        }
    }
}

/// `[cost]` as read: the unit with its place, and what a minute costs.
struct CostRead {
    unit: Option<At<String>>,
    minute: Option<f64>,
}

fn read_cost(top: &Table<'_>) -> Option<CostRead> {
    let table = top.table("cost");
    let unit = name_of(&table, "unit", 12);
    let minute = table.positive("minute", Kind::Number);
    let mut whole = unit.is_some() || table.get_named("unit").is_none();
    whole &= minute.is_some() || table.get_named("minute").is_none();
    if let Some(minute) = &minute
        && table.get_named("unit").is_none()
    {
        table.problems.tell(
            &minute.span,
            "[cost] says what a minute costs, but has no `unit` for it".to_owned(),
            Some(
                "write for example unit = \"EUR\"; without it costs are minutes of work".to_owned(),
            ),
        );
        whole = false;
    }
    table.finish();
    whole.then_some(CostRead {
        unit,
        minute: minute.map(|minute| minute.value),
    })
}

/// The unit of costs; where it is the scenario's own, shipped ways need a price for their minutes.
fn checked_unit(top: &Table<'_>, read: CostRead, own: &[(Way, Range<usize>)]) -> Option<CostUnit> {
    let Some(unit) = read.unit else {
        return Some(CostUnit::minutes());
    };
    let shipped: Vec<&str> = work_steps()
        .into_iter()
        .filter(|(_, step)| !own.iter().any(|(way, _)| way.step == *step))
        .map(|(name, _)| name)
        .collect();
    if read.minute.is_none() && !shipped.is_empty() {
        top.problems.tell(
            &unit.span,
            format!(
                "unit is {}, but the ways shipped for {} cost minutes of work",
                quoted(&unit.value),
                listed(shipped)
            ),
            Some(format!(
                "say what a minute of work costs, for example minute = 0.75 for 0.75 {}, or give ways of your own for these steps",
                unit.value
            )),
        );
        return None;
    }
    Some(CostUnit {
        name: unit.value,
        per_minute: read.minute,
    })
}

fn tell_no_sets(top: &Table<'_>, reason: &NoSets, own: &[Way], spans: &[Range<usize>]) {
    let first = spans.first().cloned().unwrap_or(0..0);
    match reason {
        NoSets::TooMany(count) => top.problems.tell(
            &first,
            format!("the ways make {count} sets, at most {MOST_SETS} are tried"),
            Some("leave out the ways that the workshop would not use".to_owned()),
        ),
        NoSets::NoneGoesTogether => top.problems.tell(
            &first,
            "no set of ways goes together: every one has a way that needs another".to_owned(),
            Some("look through `needs`".to_owned()),
        ),
        NoSets::UnknownNeed {
            way,
            step,
            needs,
            known,
        } => {
            let at = own.iter().position(|own| own.name == *way);
            let span = at.and_then(|at| spans.get(at)).unwrap_or(&first);
            let known = || known.iter().map(String::as_str);
            top.problems.tell(
                span,
                format!(
                    "the way {} needs {} at the step {}, which has the ways: {}",
                    quoted(way),
                    quoted(needs),
                    step.name(),
                    listed(known())
                ),
                nearest(needs, known()).map(|near| format!("did you mean `{near}`?")),
            );
        }
    }
}

fn work_steps() -> Vec<(&'static str, Step)> {
    let steps = Step::ALL.into_iter().filter(|step| step.is_work());
    steps.map(|step| (step.name(), step)).collect()
}

/// A text for people: not empty, not too long, without characters that are not seen.
fn name_of(table: &Table<'_>, key: &'static str, longest: usize) -> Option<At<String>> {
    let text = table.text(key)?;
    let sound = !text.value.trim().is_empty()
        && text.value.chars().count() <= longest
        && !text.value.chars().any(is_unseen);
    if !sound {
        table.problems.tell(
            &text.span,
            format!(
                "{key} is {}, must have 1 to {longest} characters, and no control characters, also none that turn the direction of text",
                quoted(text.value)
            ),
            None,
        );
    }
    sound.then(|| At {
        value: text.value.to_owned(),
        span: text.span,
    })
}

fn read_way<'a>(
    reader: &LawReader<'_, 'a>,
    element: &'a Spanned<DeValue<'a>>,
    is_whole: bool,
) -> Option<Way> {
    let top = reader.top;
    let Some(fields) = element.get_ref().as_table() else {
        top.wrong_type("ways", element, "a table with `step`, `name` and `cost`");
        return None;
    };
    let table = Table::new(top.problems, "ways", element.span(), Some(fields));
    let step = table.choice("step", &work_steps());
    if step.is_none() && table.get_named("step").is_none() {
        let steps = work_steps();
        table.missing(
            "step",
            &format!("one of {}", listed(steps.iter().map(|(name, _)| *name))),
        );
    }
    let name = read_name(&table);
    let cost = read_costs(&table);
    let reason = name_of(&table, "reason", 300);
    let reason = table.or_default(
        "reason",
        reason.map(|text| text.value),
        "from the scenario".to_owned(),
    );
    let needs = read_needs(&table, step.as_ref().map(|step| step.value));
    let Some(step) = step else {
        // what a way of an unknown step takes is not known: its keys are no mistakes of their own
        return None;
    };
    let step = step.value;
    let tightening = read_tightening(reader, &table, step, is_whole);
    let hole_mm = read_holes(reader, &table, step, is_whole);
    let laws = hole_mm.and_then(|hole_mm| read_laws(reader, &table, step, hole_mm));
    table.finish();
    let [cost, cost_per_item] = cost?;
    Some(Way {
        step,
        name: name?,
        cost,
        cost_per_item,
        laws: laws?,
        hole_mm: hole_mm?,
        tightening: tightening?,
        needs: needs?,
        reason: reason?,
        origin: WayOrigin::Scenario,
        is_offered: true,
    })
}

fn read_name(table: &Table<'_>) -> Option<String> {
    let name = name_of(table, "name", 80);
    if name.is_none() && table.get_named("name").is_none() {
        table.missing("name", "what the workshop calls this way of working");
    }
    let name = name?;
    if name.value == AS_IT_IS {
        table.problems.tell(
            &name.span,
            format!("name is {}, which is kept for what the scenario has now", quoted(AS_IT_IS)),
            Some("a way without any law is what the scenario has now, under a name and at a price of your own".to_owned()),
        );
        return None;
    }
    Some(name.value)
}

fn read_costs(table: &Table<'_>) -> Option<[f64; 2]> {
    if table.get_named("cost").is_none() && table.get_named("cost_per_item").is_none() {
        let _ = (table.get("cost"), table.get("cost_per_item"));
        table.missing(
            "cost",
            "what the way costs once (`cost`) or for each item (`cost_per_item`), 0 or more,",
        );
        return None;
    }
    let one = |key: &'static str| {
        let found = table.quantity(key, Kind::Number);
        let found =
            found.and_then(|found| table.must(key, found, |cost| cost >= 0.0, "must be 0 or more"));
        table.or_default(key, found.map(|found| found.value), 0.0)
    };
    let (once, each) = (one("cost"), one("cost_per_item"));
    Some([once?, each?])
}

/// `needs = { piercing = "cut by machine" }`.
fn read_needs(table: &Table<'_>, own: Option<Step>) -> Option<Vec<(Step, String)>> {
    let needs = table.table("needs");
    let mut whole = needs.is_there() || table.get_named("needs").is_none();
    let mut read = Vec::new();
    for key in needs.keys() {
        let steps = work_steps();
        let step = needs.choose("needs", key.clone(), &steps);
        if let (Some(step), true) = (&step, step.as_ref().map(|step| step.value) == own) {
            needs.problems.tell(
                &step.span,
                format!("needs names the way's own step {}", quoted(key.value)),
                Some("name a way of another step".to_owned()),
            );
            whole = false;
            continue;
        }
        let value = needs.get_named(key.value);
        let name = value.and_then(|value| value.get_ref().as_str());
        if let (None, Some(value)) = (name, value) {
            needs.wrong_type(key.value, value, "the name of a way in quotes");
        }
        match (step, name) {
            (Some(step), Some(name)) => read.push((step.value, name.to_owned())),
            _ => whole = false,
        }
    }
    whole.then_some(read)
}

/// `tightened`, for ways of the step tension; `Some(None)` where there is none.
#[allow(clippy::option_option)]
fn read_tightening(
    reader: &LawReader<'_, '_>,
    table: &Table<'_>,
    step: Step,
    is_whole: bool,
) -> Option<Option<Tightening>> {
    if step != Step::Tension || table.get_named("tightened").is_none() {
        return Some(None);
    }
    let found = table.choice(
        "tightened",
        &[
            ("each run", Tightening::EachRun),
            ("ends only", Tightening::EndsOnly),
        ],
    )?;
    if reader.design.line.threading.is_none() {
        table.problems.tell(
            &found.span,
            "tightened is for one line led through all holes, but [line] has no `threading`"
                .to_owned(),
            Some("leave it out: every line is tied and tightened by itself".to_owned()),
        );
        return None;
    }
    if is_whole && found.value == Tightening::EndsOnly && !can_be_pulled_at_the_end(reader.design) {
        table.problems.tell(
            &found.span,
            "tightened is \"ends only\", but this line cannot be: its runs have tensions of their own, or would sag by more than 1/20 of the span"
                .to_owned(),
            Some("write \"each run\", or give the line more tension".to_owned()),
        );
        return None;
    }
    Some(Some(found.value))
}

/// `front_hole` and `rear_hole`, for ways of the step hole-width; `Some(None)` where there is neither.
#[allow(clippy::option_option)]
fn read_holes(
    reader: &LawReader<'_, '_>,
    table: &Table<'_>,
    step: Step,
    is_whole: bool,
) -> Option<Option<[f64; 2]>> {
    if step != Step::HoleSlack {
        return Some(None);
    }
    let line_mm = reader.design.line.diameter_mm;
    let mut any = false;
    let mut hole = |key: &'static str, plate: usize| {
        let found = table.positive(key, Kind::Length).and_then(|found| {
            let wide = |mm: f64| mm >= line_mm || !is_whole;
            let words = format!("must be at least as wide as the line ({line_mm} mm)");
            table.must(key, found, wide, &words)
        });
        any |= table.get_named(key).is_some();
        table.or_default(
            key,
            found.map(|found| found.value),
            reader.design.plates[plate].hole_mm,
        )
    };
    let (front, rear) = (hole("front_hole", 0), hole("rear_hole", 1));
    let both = [front?, rear?];
    Some(any.then_some(both))
}

/// The laws of a way, from tables named as in `[errors]`.
fn read_laws<'a>(
    reader: &LawReader<'_, 'a>,
    table: &Table<'a>,
    step: Step,
    hole_mm: Option<[f64; 2]>,
) -> Option<Vec<WayLaw>> {
    let mut design: Design = reader.design.clone();
    for (plate, hole_mm) in design.plates.iter_mut().zip(hole_mm.into_iter().flatten()) {
        plate.hole_mm = hole_mm;
    }
    let reader = LawReader {
        design: &design,
        ..*reader
    };
    let mut names: Vec<&'static str> = Vec::new();
    for source in step.sources() {
        let (name, _) = source.key();
        for name in [Some(name), is_on_a_plate(name).then_some("plates")] {
            names.extend(name.filter(|name| !names.contains(name)));
        }
    }
    let tables: Vec<(&str, Table<'a>)> = names
        .into_iter()
        .map(|name| (name, table.table(name)))
        .collect();
    let find = |name: &str| tables.iter().find(|(one, _)| *one == name);
    let mut laws = Vec::new();
    let mut whole = true;
    for source in step.sources() {
        let (name, key) = source.key();
        let own = find(name).and_then(|(_, table)| Some((table, table.get(key)?)));
        let shared = is_on_a_plate(name)
            .then(|| find("plates").and_then(|(_, table)| Some((table, table.get(key)?))))
            .flatten();
        match own.or(shared) {
            Some((table, value)) => match reader.law(source, table, key, value) {
                Some(law) => laws.push(WayLaw {
                    source,
                    law,
                    written: inline(value.get_ref()),
                }),
                None => whole = false,
            },
            None => {
                // another width without a word on where the lines lie in it
                if let (Source::HoleSlack(plate), Some(_)) = (source, hole_mm) {
                    laws.push(random_slack(&design, plate));
                }
            }
        }
    }
    for (_, table) in tables {
        table.finish();
    }
    whole.then_some(laws)
}

fn is_on_a_plate(table: &str) -> bool {
    matches!(table, "front" | "rear")
}

fn random_slack(design: &Design, plate: Plate) -> WayLaw {
    WayLaw {
        source: Source::HoleSlack(plate),
        law: crate::figure::Law::Ring(vec![design.hole_slack_mm(plate); design.vertices.len()]),
        written: "\"random\"".to_owned(),
    }
}

/// A value as TOML writes it on one line.
fn inline(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) => basic_string(text),
        DeValue::Integer(number) => match number.radix() {
            16 => format!("0x{}", number.as_str()),
            8 => format!("0o{}", number.as_str()),
            2 => format!("0b{}", number.as_str()),
            _ => number.as_str().to_owned(),
        },
        DeValue::Float(number) => number.as_str().to_owned(),
        DeValue::Boolean(flag) => flag.to_string(),
        DeValue::Datetime(time) => time.to_string(),
        DeValue::Array(array) => {
            let values: Vec<String> = array.iter().map(|one| inline(one.get_ref())).collect();
            format!("[{}]", values.join(", "))
        }
        DeValue::Table(table) => {
            let pairs = table.iter().map(|(key, value)| {
                let key: &str = key.get_ref().as_ref();
                format!("{} = {}", bare_or_quoted(key), inline(value.get_ref()))
            });
            format!("{{ {} }}", pairs.collect::<Vec<_>>().join(", "))
        }
    }
}

fn bare_or_quoted(key: &str) -> String {
    let bare = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '-';
    if !key.is_empty() && key.chars().all(bare) {
        key.to_owned()
    } else {
        basic_string(key)
    }
}

fn basic_string(text: &str) -> String {
    let mut written = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => written.push_str("\\\""),
            '\\' => written.push_str("\\\\"),
            c if c.is_control() => written.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => written.push(c),
        }
    }
    written.push('"');
    written
}
