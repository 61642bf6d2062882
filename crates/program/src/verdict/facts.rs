//! The plain facts that the rules ask, taken from the state.

use jiff::Timestamp;
use rulebook::ask::{Doubt, Noted};
use rulebook::unit::{
    Breathing, CylinderFact, ElementFacts, FlowFact, InspectionFact, LifeFacts, Round, UnitFacts,
    UseBy,
};
use rulebook::wearer::{FitTestFact, TrainingFact, WearerFacts};

use super::Subject;
use super::voluntary::Purpose;
use crate::entry::{Renewal, TrainingTopic};
use crate::inspection::{outcome, passed_round};
use crate::schedule::breath_of;
use crate::state::{
    At, ClearanceRecord, Contradiction, Happening, Inspection, Model, Reason, Sensed, Task, Unit,
    Wearer,
};
use crate::supply::{air_of, auxiliary_air, line_of, mounted_on, pressure_of};
use crate::used::{disinfection, doubtfully_disinfected, name_of, uses};

/// After these a cylinder may have lost air.
const MOVES_AIR: [Happening; 3] = [Happening::Worn, Happening::Reported, Happening::Released];

/// After these the flow of a blower may have changed.
const MOVES_FLOW: [Happening; 4] =
    [Happening::Worn, Happening::Reported, Happening::Fitted, Happening::Released];

pub(super) fn doubt(contradiction: &Contradiction) -> Doubt<'_> {
    let entries = contradiction.entries.iter().map(crate::ids::EntryId::as_str).collect();
    Doubt { words: &contradiction.words, entries }
}

pub(super) fn of_wearer<'s>(
    subject: &Subject<'s>,
    purpose: &Purpose,
    needed_factor: Option<f64>,
) -> WearerFacts<'s> {
    let wearer = subject.wearer;
    let test = wearer
        .zip(subject.unit)
        .and_then(|(wearer, unit)| wearer.fit_test(&unit.model, &unit.size));
    let fit_test = test.map(|test| FitTestFact {
        day: subject.instant.day(test.at.when),
        gave: test.gave,
        passed: test.passed,
        run_by: test.run_by(),
        tested_as: test.tested_as,
        agents: test.agents(subject.instant.zone()),
        made_with: test.made_with(subject.state, subject.instant.zone()),
        missing: &test.missing,
        seal_note: &test.seal_note,
        unsteady: &test.unsteady,
        entry: test.at.entry.as_str(),
    });
    let training = wearer.and_then(|wearer| wearer.training.get(&TrainingTopic::Wear));
    let clearance = wearer.and_then(|wearer| wearer.clearance.as_ref());
    let anew = |what, done: Option<&'s At>| wearer.and_then(|wearer| wearer.asked_anew(what, done));
    let latest_test = wearer.and_then(|wearer| wearer.latest_fit_test.as_ref());
    let information = wearer.and_then(|wearer| wearer.voluntary_information.as_ref());
    WearerFacts {
        wearer: name_of(subject.state, &subject.ask.wearer),
        enrolled: wearer.is_some_and(|wearer| wearer.left.is_none()),
        left: wearer
            .and_then(|wearer| wearer.left.as_ref())
            .map(|left| subject.instant.day(left.at.when)),
        device: subject.device().cloned(),
        model: model_name(subject),
        approved: subject.model.and_then(|model| subject.state.approved(model)),
        size: subject.unit.map_or("", |unit| &unit.size),
        day: subject.instant.last_day,
        test_counts: subject.every("fit.in-date"),
        training_counts: subject.every("training.in-date"),
        clearance: clearance.map(ClearanceRecord::fact),
        fit_test,
        hair_in_seal: latest_test.filter(|test| test.hair_in_seal).map(|t| t.at.entry.as_str()),
        hair_seen: wearer.and_then(Wearer::hair_seen),
        fit_renewal: anew(Renewal::FitTest, test.map(|test| &test.at)),
        medical_renewal: anew(Renewal::Clearance, clearance.map(|given| &given.at)),
        training_renewal: anew(Renewal::Training, training.map(|done| &done.at)),
        training: training.map(|training| TrainingFact {
            day: subject.instant.day(training.at.when),
            understood: training.understood,
            entry: training.at.entry.as_str(),
        }),
        information: information.map(|at| at.entry.as_str()),
        voluntary: purpose.by_choice().is_some(),
        needed_factor,
    }
}

/// The facts about the set. Of a set that was never received only the tag and the asker are told.
pub(super) fn of_unit<'s>(subject: &Subject<'s>, life: Option<LifeFacts<'s>>) -> UnitFacts<'s> {
    let unknown = UnitFacts {
        unit: subject.ask.unit.as_str(),
        received: false,
        model: "",
        device: None,
        shared: false,
        emergency: false,
        approval: None,
        wearer: subject.ask.wearer.as_str(),
        wearer_name: name_of(subject.state, &subject.ask.wearer),
        day: subject.instant.last_day,
        planned_min: subject.planned,
        breathing: subject.task.and_then(breathing),
        retired: None,
        held: None,
        changed_for_test: None,
        holders: Vec::new(),
        used_since_disinfected: Vec::new(),
        used_ever: Vec::new(),
        doubtfully_disinfected: Vec::new(),
        disinfection: None,
        inspection: None,
        inspection_counts: subject.every("unit.inspection-recent"),
        monthly_round: None,
        round_counts: subject.every("unit.inspected-monthly"),
        mounted: None,
        cylinder: None,
        reading_counts: subject.every("unit.cylinder-full"),
        air_test: None,
        on_line: false,
        auxiliary_air: None,
        powered_flow: None,
        use_by: None,
        elements: None,
        life: None,
        sensed: None,
    };
    let Some(unit) = subject.unit else { return unknown };
    let uses = |all| uses(subject.state, all);
    let known = UnitFacts {
        received: true,
        model: model_name(subject),
        device: subject.device().cloned(),
        approval: subject.model.map(|model| model.approval.as_str()),
        shared: unit.shared,
        emergency: unit.emergency,
        retired: unit.retired.as_ref().map(reason),
        held: unit.held.as_ref().map(reason),
        changed_for_test: unit.changed_for_test(),
        on_line: line_of(subject.state, unit).is_some(),
        auxiliary_air: auxiliary_air(subject.state, unit),
        holders: uses(&unit.holders),
        used_since_disinfected: uses(&unit.used_since_disinfected),
        used_ever: uses(&unit.used_ever),
        doubtfully_disinfected: doubtfully_disinfected(subject.state, unit),
        life,
        sensed: unit.sensed(subject.device()).map(sign),
        ..unknown
    };
    with_checks(subject, unit, known)
}

fn with_checks<'s>(subject: &Subject<'s>, unit: &'s Unit, facts: UnitFacts<'s>) -> UnitFacts<'s> {
    let day = |at: &At| subject.instant.day(at.when);
    let overtaken = |since: (Timestamp, u32), kinds: &[Happening]| {
        let (kind, since) = unit.happened_since(since, kinds)?;
        Some((kind.words(), &since.entry))
    };
    let noted = |found: Option<(&'static str, &'s crate::ids::EntryId)>| {
        found.map(|(words, entry)| Noted { words, entry: entry.as_str() })
    };
    UnitFacts {
        disinfection: disinfection(subject.state, unit),
        inspection: unit
            .inspected
            .as_ref()
            .map(|done| (done, outcome(subject.state, unit, done)))
            .map(|(done, (passed, found))| InspectionFact {
                day: day(&done.at),
                for_this_wear: subject.instant.is_for_this_wear(done.at.when),
                passed,
                found,
                entry: done.at.entry.as_str(),
                overtaken_by: noted(overtaken((done.at.when, done.at.step), &Happening::ALL)),
            }),
        monthly_round: passed_round(subject.state, unit)
            .map(|Inspection { at, .. }| Round { day: day(at), entry: at.entry.as_str() }),
        mounted: mounted_on(subject.state, (&subject.ask.unit, unit)),
        cylinder: pressure_of(subject.state, (&subject.ask.unit, unit)).map(|reading| {
            CylinderFact {
                day: day(reading.at),
                read: reading.read,
                rated: reading.rated,
                entry: reading.at.entry.as_str(),
                overtaken_by: noted(overtaken(reading.since, &MOVES_AIR)),
            }
        }),
        air_test: air_of(subject.state, unit),
        powered_flow: unit.flow_checked.as_ref().map(|check| FlowFact {
            day: day(&check.at),
            for_this_wear: subject.instant.is_for_this_wear(check.at.when),
            found: check.flow,
            least: check.least,
            entry: check.at.entry.as_str(),
            overtaken_by: noted(overtaken((check.at.when, check.at.step), &MOVES_FLOW)),
        }),
        use_by: subject
            .state
            .use_by(unit)
            .map(|(until, at)| UseBy { until, entry: at.entry.as_str() }),
        elements: subject.state.carried(unit).map(|on| ElementFacts {
            kind: on.element_type.as_str(),
            listed: subject.elements().is_some(),
            against_gas: subject.elements().is_some_and(|kind| !kind.against.is_empty()),
            mounting: subject.elements().map(|kind| kind.mounting),
            named: subject.model.map(Model::named_elements).unwrap_or_default(),
            lot: on.lot,
            shelf_life_until: on.shelf_life_until,
            opened: subject.instant.day(on.opened),
            entry: on.at.entry.as_str(),
        }),
        ..facts
    }
}

/// How hard the work of a task makes one breathe from a cylinder.
fn breathing(task: &Task) -> Option<Breathing> {
    let (spec, hardest) = (&task.spec, task.hardest_work());
    let minute_volume = breath_of(hardest).ok()?;
    Some(Breathing { minute_volume, ambient: spec.pressure, temperature: spec.temperature })
}

fn sign(sensed: &Sensed) -> Noted<'_> {
    Noted { words: sensed.sign.words(), entry: sensed.at.entry.as_str() }
}

fn reason(reason: &Reason) -> Noted<'_> {
    Noted { words: &reason.why, entry: reason.at.entry.as_str() }
}

/// The name to show, or the id of a model that was never listed.
fn model_name<'s>(subject: &Subject<'s>) -> &'s str {
    let id = subject.unit.map_or("", |unit| unit.model.as_str());
    subject.model.map_or(id, |model| &model.name)
}
