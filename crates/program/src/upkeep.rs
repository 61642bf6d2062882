//! How a set was repaired, washed and put away, in the terms of the rules.

use rulebook::bath::is_called;
use rulebook::cleaning::{self, WashFacts};
use rulebook::donning::{DonningFacts, PoweredCheck, powered_ready};
use rulebook::repair::{self, Component, PartFact, RepairFacts, RepairTraining, Standing};
use rulebook::storage::{self, PlaceFacts, StorageFacts};
use rulebook::{Finding, Severity};

use crate::entry::{CareStep, Entry, Fact, RepairScope, TrainingTopic};
use crate::ids::{PersonId, UnitId};
use crate::inspection::{outcome, passed};
use crate::state::{BatteryCheck, Repair, State, StoragePlace, Unit};

/// What the rules find in the repairs of a set that still have to be judged.
#[must_use]
pub fn of_repair(state: &State, id: &UnitId, unit: &Unit) -> Vec<Finding> {
    let open = open_repairs(state, id, unit).into_iter();
    open.flat_map(|done| of_one_repair(state, (id, unit), done)).collect()
}

fn of_one_repair(state: &State, (id, unit): (&UnitId, &Unit), done: &Repair) -> Vec<Finding> {
    let facts = repair_facts(state, id, unit, done);
    repair::checks().iter().filter_map(|check| (check.run)(&facts)).collect()
}

/// The latest repair, and those before it that no complete release has settled.
///
/// A release is complete where a person whose training in repair counts gives it, after a test that
/// passed, and nothing stands against the repair before it: who releases so answers for the whole set.
/// Work that was the maker's, and parts that are not made for the set, stay in it all the same: they
/// are settled where the last repair is by somebody whom the maker trained.
fn open_repairs<'u>(state: &State, id: &UnitId, unit: &'u Unit) -> Vec<&'u Repair> {
    let (mut open, mut tested): (Vec<&Repair>, bool) = (Vec::new(), false);
    if unit.repairs.is_empty() {
        return open;
    }
    let mut repairs = unit.repairs.iter();
    for (entry, _) in state.told_of_unit(id).filter(|(_, counts)| *counts) {
        if matches!(entry.fact, Fact::Repaired { .. }) {
            open.extend(repairs.next());
        }
        let released = is_complete_release(state, unit, entry, &mut tested);
        let Some(last) = open.last().copied().filter(|_| released) else { continue };
        let found = |one: &Repair| of_one_repair(state, (id, unit), one);
        if found(last).iter().any(|finding| finding.severity == Severity::Stop) {
            continue;
        }
        let of_maker = TrainingTopic::RegulatorRepair;
        let by_maker = state.training_in_force(&last.by, of_maker, (&unit.site, last.at.when));
        let stays = |finding: &Finding| {
            let rules = [&repair::maker_only::RULE, &repair::parts::RULE];
            rules.iter().any(|rule| rule.id == finding.rule.id)
        };
        open.retain(|one| {
            std::ptr::eq(*one, last) || (by_maker.is_none() && found(one).iter().any(stays))
        });
    }
    open
}

/// Whether an entry releases the set: by a person whose training in repair counts, after a test that
/// passed. Of the entries before it `tested` is told whether such a test stands behind them.
fn is_complete_release(state: &State, unit: &Unit, entry: &Entry, tested: &mut bool) -> bool {
    let trained = |person: &PersonId| {
        let topic = TrainingTopic::Repair;
        state.training_in_force(person, topic, (&unit.site, entry.happened)).is_some()
    };
    match &entry.fact {
        Fact::Repaired { .. } => *tested = false,
        Fact::RepairTested { passed, .. } => *tested = *passed,
        // The older fact says in one what was repaired, tested and released.
        Fact::Released { .. } => return trained(&entry.by),
        Fact::ReleasedBy { by, .. } => return *tested && trained(by),
        _ => {}
    }
    false
}

fn repair_facts<'s>(
    state: &'s State,
    id: &'s UnitId,
    unit: &'s Unit,
    done: &'s Repair,
) -> RepairFacts<'s> {
    let deep = done.scope == RepairScope::RegulatorOrAlarm;
    let training = |topic| state.latest_training(&done.by, topic, done.at.when);
    let of_maker = TrainingTopic::RegulatorRepair;
    let by_maker = state.training_in_force(&done.by, of_maker, (&unit.site, done.at.when));
    let model = state.model(&unit.model);
    let listed = model.and_then(|model| model.instructions.as_ref());
    let made_for_it = |number: &str| {
        listed.is_some_and(|listed| listed.parts.iter().any(|part| part.number == number))
    };
    RepairFacts {
        unit: id.as_str(),
        by: name(state, &done.by),
        day: state.day_at(&unit.site, done.at.when),
        training: training(TrainingTopic::Repair).or(by_maker).map(|training| RepairTraining {
            day: state.day_at(&unit.site, training.at.when),
            understood: training.understood,
            entry: training.at.entry.as_str(),
        }),
        training_counts: state.every(&unit.site, "repair.trained"),
        standing: if by_maker.is_some() { Standing::TrainedByMaker } else { Standing::OfTheSite },
        worked_on: vec![if deep { Component::Regulator } else { Component::Other }],
        parts: done
            .parts
            .iter()
            .map(|part| PartFact { number: &part.number, made_for_it: made_for_it(&part.number) })
            .collect(),
        instructions: &done.instructions,
        entry: done.at.entry.as_str(),
    }
}

/// The name to show of somebody with a part in the program or who wears; the id of anybody else.
pub(crate) fn name<'s>(state: &'s State, person: &'s PersonId) -> &'s str {
    let of_person = state.person(person).map(|known| known.name.as_str());
    let of_wearer = || state.wearer(person).map(|known| known.name.as_str());
    of_person.or_else(of_wearer).unwrap_or(person.as_str())
}

/// What the rules find in the washing of a set: what its maker forbids until a complete release, and
/// anything else until an inspection passed, which looks at what hot water does.
#[must_use]
pub fn of_washing(state: &State, id: &UnitId, unit: &Unit) -> Vec<Finding> {
    let model = state.model(&unit.model);
    let listed = model.and_then(|model| model.instructions.as_ref());
    let forbidden = listed.map(|listed| listed.forbidden_cleaners.iter().map(String::as_str));
    let forbidden: Vec<&str> = forbidden.into_iter().flatten().collect();
    let (mut findings, mut tested): (Vec<Finding>, bool) = (Vec::new(), false);
    for (entry, _) in state.told_of_unit(id).filter(|(_, counts)| *counts) {
        if is_complete_release(state, unit, entry, &mut tested) {
            findings.clear();
        } else if passed(state, unit, &entry.fact) == Some(true) {
            findings.retain(|finding| finding.rule.id == cleaning::cleaner::RULE.id);
        } else {
            findings.extend(of_one_wash(entry, &forbidden));
        }
    }
    findings.reverse();
    findings
}

fn of_one_wash(entry: &Entry, forbidden: &[&str]) -> Vec<Finding> {
    let (cleaner, water) = match &entry.fact {
        Fact::CareStepDone { step: CareStep::Washed { cleaner, water }, .. } => {
            (cleaner.as_str(), Some(*water))
        }
        Fact::CareStepDone { step: CareStep::Rinsed { water }, .. } => {
            ("clean water", Some(*water))
        }
        // The bath is named with its strength; rules of its own ask about that.
        Fact::Disinfected { agent, .. } => {
            let of_name = forbidden.iter().find(|listed| is_called(agent, listed));
            (of_name.copied().unwrap_or(agent), None)
        }
        _ => return Vec::new(),
    };
    let facts =
        WashFacts { cleaner, forbidden: forbidden.to_vec(), water, entry: entry.id.as_str() };
    cleaning::checks().iter().filter_map(|check| (check.run)(&facts)).collect()
}

/// What stands against a battery that was found too weak.
#[must_use]
pub fn of_battery(unit: &Unit) -> Option<Finding> {
    let latest = unit.battery_checked.as_ref()?;
    battery(unit, Some(latest))
}

/// What stands against a battery whose check before a use is `checked`; none where it was not checked
/// for that. The flow is asked by a rule of its own.
pub(crate) fn battery(unit: &Unit, checked: Option<&BatteryCheck>) -> Option<Finding> {
    // One that was found too weak stays so until it is checked again.
    let weak = unit.battery_checked.as_ref().filter(|latest| !latest.passed);
    let checked = weak.or(checked).map(|check| check.passed);
    let powered = Some(PoweredCheck { battery: checked, flow: Some(true) });
    let facts = DonningFacts { tight_fitting: false, seal_check: None, powered };
    let finding = powered_ready::check(&facts)?;
    let latest = unit.battery_checked.iter();
    Some(latest.fold(finding, |finding, latest| finding.resting_on(&latest.at.entry)))
}

/// What the rules find in the place where a set is kept: of one for emergencies always, of another
/// where its place is recorded.
#[must_use]
pub fn of_storage(state: &State, unit: &Unit) -> Vec<Finding> {
    let place = unit.stored.as_ref().and_then(|(id, _)| state.storage_place(id));
    if place.is_none() && !unit.emergency {
        return Vec::new();
    }
    let facts = StorageFacts { emergency: unit.emergency, place: place.map(place_facts) };
    storage::checks().iter().filter_map(|check| (check.run)(&facts)).collect()
}

/// What a place that protects from nothing may have done to a set that was put away there and did not
/// pass an inspection since.
#[must_use]
pub fn harmed_in_store(state: &State, unit: &Unit) -> Vec<Finding> {
    let Some((id, put)) = unit.stored.as_ref() else { return Vec::new() };
    let looked_at = unit.inspected.as_ref().is_some_and(|done| {
        (put.when, put.step) < (done.at.when, done.at.step) && outcome(state, unit, done).0
    });
    let place = state.storage_place(id).filter(|_| !looked_at).map(place_facts);
    if place.is_none() {
        return Vec::new();
    }
    let facts = StorageFacts { emergency: unit.emergency, place };
    let checks = [storage::protected::check, storage::not_deformed::check];
    let found = checks.iter().filter_map(|check| check(&facts));
    found.map(|finding| finding.resting_on(&put.entry)).collect()
}

fn place_facts(place: &StoragePlace) -> PlaceFacts<'_> {
    PlaceFacts {
        name: &place.name,
        lacks: place.lacks.clone(),
        deforms: !place.keeps_shape,
        within_reach: place.within_reach,
        marked: place.marked,
        entry: place.at.entry.as_str(),
    }
}
