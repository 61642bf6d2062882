//! Whether what was accepted of the reuse of elements still holds.

use jiff::Timestamp;
use quantity::{Concentration, LitrePerMin, Minutes};
use rulebook::AirSource;
use rulebook::is_blank;

use crate::entry::{ReuseCalculation, Role};
use crate::ids::{ElementTypeId, TaskId};
use crate::state::{At, Measured, ReuseAcceptance, State, Task};

/// Reuse that a named person accepted on a calibrated calculation, as far as it lifts anything.
#[derive(Debug, Clone, PartialEq)]
pub struct TakenReuse {
    /// Who.
    pub who: String,
    /// When, as a day at the site.
    pub when: jiff::civil::Date,
    /// Where the calculation stands.
    pub report: String,
    /// How many shifts one set may serve: no more than accepted, no more than computed.
    pub shifts: u8,
    /// The lower bound of the wear of all these shifts.
    pub bound: Minutes,
}

/// Reuse that was accepted and lifts nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LapsedReuse {
    /// Who accepted it.
    pub who: String,
    /// Why it lifts nothing.
    pub reason: &'static str,
}

/// A set as it is worn: what moves the air through its elements, and how much.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Drawn {
    pub(crate) air_source: AirSource,
    pub(crate) flow: LitrePerMin,
}

/// What was accepted of the reuse of elements of `kind` in `task` on a set through which so much is
/// `drawn`; none where nothing was.
pub(crate) fn accepted(
    state: &State,
    (task, kind): (&TaskId, &ElementTypeId),
    drawn: Drawn,
    now: Timestamp,
) -> Option<Result<TakenReuse, LapsedReuse>> {
    let known = state.task(task)?;
    let accepted = known.reuse.get(kind)?;
    let person = state.person(&accepted.by);
    let who = person.map_or_else(|| accepted.by.to_string(), |person| person.name.clone());
    let lapsed = |reason| Err(LapsedReuse { who: who.clone(), reason });
    let elements = state.element_type(kind).map(|kind| kind.count);
    Some(match sound(accepted) {
        Err(reason) => lapsed(reason),
        Ok(_) if now < accepted.at.when => lapsed("it is dated ahead"),
        Ok(_) if !ran_the_program(state, known, accepted) => {
            lapsed("that person did not run the program then")
        }
        Ok(calculation) => match changed_since(state, (task, known), kind, &accepted.at)
            .or_else(|| made_for_another(calculation, drawn, elements))
        {
            Some(reason) => lapsed(reason),
            None => Ok(TakenReuse {
                who,
                when: state.day_at(&known.site, accepted.at.when),
                report: calculation.report.clone(),
                shifts: accepted.shifts.min(calculation.shifts),
                bound: calculation.bound,
            }),
        },
    })
}

/// Whether who accepted was given the administration of the program and still had it: no other part
/// stands for a judgment on the bed. Common practice, no source.
fn ran_the_program(state: &State, task: &Task, accepted: &ReuseAcceptance) -> bool {
    let when = accepted.at.when;
    let person = state.person(&accepted.by);
    let held = person.and_then(|person| person.held_at(Role::Administrator, when));
    let day = state.day_at(&task.site, when);
    held.is_some_and(|held| held.until.is_none_or(|until| day <= until))
}

/// Why a calculation does not speak of a set through which so much is drawn.
fn made_for_another(
    calculation: &ReuseCalculation,
    drawn: Drawn,
    elements: Option<u8>,
) -> Option<&'static str> {
    let (source, flow) = (calculation.air_source, calculation.flow);
    let (Some(source), Some(flow), Some(_)) = (source, flow, calculation.elements) else {
        return Some("it is not recorded for which kind of set and which flow it was calculated");
    };
    if source != drawn.air_source {
        return Some("it was calculated for another kind of set: breath and blower differ");
    }
    if calculation.elements != elements {
        return Some("it was calculated for another number of elements on the set");
    }
    let more = flow.as_l_per_min() < drawn.flow.as_l_per_min();
    more.then_some("more air is drawn through the set than was calculated with")
}

/// The calculation, or why what was accepted is none that may be relied upon.
fn sound(accepted: &ReuseAcceptance) -> Result<&ReuseCalculation, &'static str> {
    let Some(calculation) = &accepted.calculation else {
        return Err("what the calculation gave is not recorded");
    };
    if !calculation.calibrated {
        return Err("the calculation is not calibrated");
    }
    if is_blank(&calculation.report) {
        return Err("no report is named");
    }
    if accepted.shifts.min(calculation.shifts) == 0 || calculation.bound.as_min() <= 0.0 {
        return Err("the calculation leaves no shift");
    }
    Ok(calculation)
}

/// What is no longer as it was when the calculation was accepted.
fn changed_since(
    state: &State,
    (id, task): (&TaskId, &Task),
    kind: &ElementTypeId,
    at: &At,
) -> Option<&'static str> {
    // What happened before and was entered after could not be known to the calculation.
    let entered = |at: &At| state.entry(&at.entry).map(|entry| entry.entered);
    let before = |one: &At| one.when <= at.when && entered(one) <= entered(at);
    if !before(&task.described) {
        return Some("the task was described anew since");
    }
    if state.element_type(kind).is_none_or(|kind| !before(&kind.at)) {
        return Some("the elements were listed anew since");
    }
    let readings = task.readings.iter().map(|r| (r.cas, r.concentration, before(&r.at)));
    let groups = state.groups_of(id).into_iter();
    let measured = groups.flat_map(|group| {
        let joined = before(&group.at);
        let one = move |one: &Measured| (one.cas, Some(one.level), joined && before(&one.at));
        group.measured.iter().map(one).collect::<Vec<_>>()
    });
    let all: Vec<_> = readings.chain(measured).collect();
    let higher = all.iter().filter(|(_, _, before)| !before).any(|(cas, level, _)| {
        let known = all.iter().filter(|(other, _, before)| *before && other == cas);
        !known.clone().any(|(_, known, _)| at_most(*level, *known))
    });
    higher.then_some("more was measured since, or something that was not there")
}

/// Whether a level lies at or below another in the same unit.
fn at_most(level: Option<Concentration>, known: Option<Concentration>) -> bool {
    match (level, known) {
        (Some(Concentration::Ppm(level)), Some(Concentration::Ppm(known))) => level <= known,
        (Some(Concentration::Mass(level)), Some(Concentration::Mass(known))) => level <= known,
        _ => false,
    }
}
