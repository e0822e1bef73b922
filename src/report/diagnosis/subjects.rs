//! Which rods a cause is about: those that a page marks with it.

use super::super::subjects::{subject_as, with_subject_as};
use super::Diagnosed;
use crate::decision::diagnosis::{Cause, Suspect};
use crate::figure::{Item, Plan, Source};
use maud::Markup;

/// The rods that a suspect acts on, where those are not all: of a hole or line, the rods whose ends the line carries.
pub(super) fn rods_of(suspect: Suspect, plan: &Plan) -> Vec<Item> {
    let Suspect::Item { source, item } = suspect else {
        return Vec::new();
    };
    let design = &plan.design;
    let on_line = || {
        let rods = design.rods.iter().enumerate();
        rods.filter(|(_, rod)| rod.ends.iter().any(|end| end.line == item))
            .map(|(rod, _)| Item::Rod(rod))
            .collect()
    };
    match Source::ALL[source] {
        Source::HandTension if design.tension_is_shared() => Vec::new(),
        Source::HoleScatter(_)
        | Source::HoleSlack(_)
        | Source::HandTension
        | Source::Slackening => on_line(),
        Source::RodTie | Source::RodSlip => vec![Item::Rod(item / 2)],
        Source::RodBow => vec![Item::Rod(item)],
        _ => Vec::new(),
    }
}

/// The rods of the likeliest cause, by number; none where no cause stands out, or it acts on all rods.
pub fn rods_of_the_leading_cause(told: &Diagnosed<'_>) -> Vec<usize> {
    let likely = told.likely_causes();
    let items = likely
        .first()
        .map_or_else(Vec::new, |cause| rods_of(cause.suspect, told.plan));
    let rods = items.into_iter().filter_map(|item| match item {
        Item::Rod(rod) => Some(rod),
        Item::Junction(_) => None,
    });
    rods.collect()
}

/// A cause's name, or what it is cut to, as a subject.
pub(super) fn cause_subject(cause: &Cause, text: &str, told: &Diagnosed<'_>) -> Markup {
    subject_as(told.plan, &rods_of(cause.suspect, told.plan), text)
}

/// A sentence that begins with a cause's name: the name as a subject.
pub(super) fn with_cause(sentence: &str, causes: &[&Cause], told: &Diagnosed<'_>) -> Markup {
    let starts = |cause: &&&Cause| sentence.starts_with(&super::sentences::capital(&cause.words));
    let cause = causes.iter().find(starts);
    let (items, words) = cause.map_or_else(Default::default, |cause| {
        (
            rods_of(cause.suspect, told.plan),
            super::sentences::capital(&cause.words),
        )
    });
    with_subject_as(sentence, told.plan, &items, &words)
}
