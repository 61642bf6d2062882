//! What is due on a respirator.

use std::collections::BTreeSet;

use jiff::civil::Date;
use rulebook::ask::Noted;
use rulebook::supply::{cylinder_in_service, oxygen_after_air};
use rulebook::unit::{
    CylinderFact, ElementFacts, FlowFact, InspectionFact, Round, UnitFacts, UseBy,
    auxiliary_air as of_cylinder_beside, breathing_air, cylinder_approved, cylinder_full,
    cylinder_known, cylinder_overfilled, cylinder_suits, disinfectant, disinfectant_strong,
    disinfected_between_wearers, disinfection_contact, elements_approved, elements_mounting,
    emergency_disinfected, inspected_monthly, inspection_passed, not_held, nothing_sensed,
    powered_flow, restored, shelf_life,
};
use rulebook::{Authority, Device, Finding, Rule, Severity};

use super::days::{Calendar, found};
use super::{About, DueKind, Duty, wearer};
use crate::care;
use crate::ids::{PersonId, UnitId};
use crate::inspection::{outcome, passed_round};
use crate::state::{Happening, Model, State, Stint, Unit};
use crate::supply::{
    Pressure, air_of, auxiliary_air, line_of, mounted_facts, mounted_on, pressure_of,
};
use crate::upkeep;
use crate::used::{disinfection, doubtfully_disinfected, uses};

type Check = fn(&UnitFacts<'_>) -> Option<Finding>;

/// # What it asks
/// Were the elements worn for no longer than the change schedule that was adopted?
/// # Why
/// A full cartridge lets the vapour through, often without any smell.
/// # Citation
/// 29 CFR 1910.134(d)(3)(iii)(B)(2).
/// # Remedy
/// Fit new elements.
/// # Limits
/// Adopted schedules alone are asked; where none was adopted, that is due of the task. A stricter
/// computed schedule stops at the wear.
pub static USED_UP: Rule = Rule {
    id: "due.elements-used-up",
    asks: "Were the elements worn for no longer than the change schedule that was adopted?",
    why: "A full cartridge lets the vapour through, often without any smell.",
    citation: "29 CFR 1910.134(d)(3)(iii)(B)(2)",
    authority: Authority::Read,
    says: "the elements (lot {lot}) were worn for {worn}, {share} % of the change schedule that was \
           adopted",
    remedy: "fit new elements before anybody wears the set again",
};

/// The rules that a set can break while nobody wears it.
const CHECKS: [(DueKind, Check); 19] = [
    (DueKind::Sensed, nothing_sensed::check),
    (DueKind::Held, not_held::check),
    (DueKind::Held, restored::check),
    (DueKind::Inspection, inspection_passed::check),
    (DueKind::Inspection, inspected_monthly::check),
    (DueKind::Cylinder, cylinder_known::check),
    (DueKind::Cylinder, cylinder_suits::check),
    (DueKind::Cylinder, cylinder_approved::check),
    (DueKind::Cylinder, cylinder_overfilled::check),
    (DueKind::Cylinder, cylinder_full::check),
    (DueKind::Air, breathing_air::check),
    (DueKind::Air, of_cylinder_beside::check),
    (DueKind::ShelfLife, shelf_life::check),
    (DueKind::Care, wrong_elements),
    (DueKind::Care, elements_mounting::check),
    (DueKind::Care, disinfection_contact::check),
    (DueKind::Care, disinfectant::check),
    (DueKind::Care, used),
    (DueKind::Care, weak_blower),
];

/// Used and not disinfected since; that it was dipped too briefly is told by itself.
fn used(facts: &UnitFacts<'_>) -> Option<Finding> {
    let told = disinfection_contact::check(facts).is_some();
    let found =
        emergency_disinfected::check(facts).or_else(|| disinfected_between_wearers::check(facts));
    found.filter(|_| !told)
}

/// Elements that the model does not name; a model that names none is told before each wear.
fn wrong_elements(facts: &UnitFacts<'_>) -> Option<Finding> {
    elements_approved::check(facts).filter(|finding| finding.severity == Severity::Stop)
}

/// The flow of a blower is asked before each wear; one that was found too low is due.
fn weak_blower(facts: &UnitFacts<'_>) -> Option<Finding> {
    facts.powered_flow.as_ref().and_then(|_| powered_flow::check(facts))
}

pub(super) fn duties(
    state: &State,
    (id, unit, kept_for): (&UnitId, &Unit, &str),
    calendar: &Calendar,
    all: &mut Vec<Duty>,
) {
    let mut facts = facts(state, (id, unit), calendar);
    facts.wearer = kept_for;
    for (kind, check) in CHECKS {
        let found = found(|day| {
            facts.day = day;
            check(&facts)
        });
        let about = (kind, About::Unit(id.clone()));
        all.extend(Duty::of(about, Some(unit.site.clone()), found));
    }
    // A cylinder that was withdrawn has no duties of its own.
    let carries = facts.device.as_ref().is_some_and(Device::carries_cylinder);
    let mounted = unit.mounted.as_ref().filter(|_| carries);
    let mounted = mounted.and_then(|(tag, _)| Some((tag, state.cylinder(tag)?)));
    let of_mounted = mounted.map(|of| mounted_facts(state, (id, of), calendar.zone()));
    let out = of_mounted.as_ref().and_then(cylinder_in_service::check);
    // Oxygen in a cylinder that held air itself is due of the cylinder.
    let of_set =
        of_mounted.as_ref().filter(|facts| facts.oxygen.is_some_and(|of| of.set.is_some()));
    for finding in out.into_iter().chain(of_set.and_then(oxygen_after_air::check)) {
        let about = (DueKind::Cylinder, About::Unit(id.clone()));
        all.extend(Duty::of(about, Some(unit.site.clone()), vec![finding]));
    }
    let kept = [
        upkeep::of_repair(state, id, unit),
        upkeep::of_washing(state, id, unit),
        upkeep::of_storage(state, unit),
    ];
    let strong = strong_bath(state, unit, &facts);
    let found = [upkeep::of_battery(unit), used_up(state, unit), strong];
    for finding in kept.into_iter().flatten().chain(found.into_iter().flatten()) {
        let about = (DueKind::Care, About::Unit(id.clone()));
        all.extend(Duty::of(about, Some(unit.site.clone()), vec![finding]));
    }
    let record = care::of(state, id);
    let unfit = record.as_ref().and_then(|record| care::issued_unfit(record, unit));
    if let Some(finding) = unfit {
        let about = (DueKind::Care, About::Unit(id.clone()));
        all.extend(Duty::of(about, Some(unit.site.clone()), vec![finding]));
    }
    // A set that is held is told as held.
    let record = record.filter(|_| unit.held.is_none());
    let stands = record.and_then(|record| record.stands_in_the_way());
    if let Some(finding) = stands {
        let about = (DueKind::Held, About::Unit(id.clone()));
        all.extend(Duty::of(about, Some(unit.site.clone()), vec![finding]));
    }
    wearer::of_holders(state, (id, unit), calendar, all);
}

/// A bath much stronger than printed, until an inspection after it passes.
fn strong_bath(state: &State, unit: &Unit, facts: &UnitFacts<'_>) -> Option<Finding> {
    let bath = &unit.disinfected.as_ref()?.at;
    let looked_at = unit.inspected.as_ref().is_some_and(|done| {
        (bath.when, bath.step) < (done.at.when, done.at.step) && outcome(state, unit, done).0
    });
    disinfectant_strong::check(facts).filter(|_| !looked_at)
}

/// How far the elements of a set are through the change schedules adopted for the tasks in which they
/// were worn, where nothing is left.
fn used_up(state: &State, unit: &Unit) -> Option<Finding> {
    let on = unit.elements.as_ref()?;
    if !state.model(&unit.model)?.device.air_source.purifies_air() {
        return None;
    }
    let share = |stint: &Stint| {
        let allowed = state.task(&stint.task)?.schedules.get(&on.element_type)?.max_wear;
        Some(stint.time.as_min() / allowed.as_min())
    };
    let share: f64 = on.worn.iter().filter_map(share).sum();
    // A share that is not a number is not within anything.
    if share < 1.0 {
        return None;
    }
    let worn: f64 = on.worn.iter().map(|stint| stint.time.as_min()).sum();
    let finding =
        Finding::stop(&USED_UP).with("lot", &on.lot).with("worn", format!("{worn:.0} min"));
    let finding = finding.with("share", format!("{:.0}", 100.0 * share)).resting_on(&on.at.entry);
    Some(on.worn.iter().fold(finding, |all, stint| all.resting_on(&stint.at.entry)))
}

/// The only one for whom a set is kept, by one or several readings of its records: who has it in hands, or
/// else who alone used it since it was disinfected beyond doubt. Nobody where another may wear it next.
pub(super) fn kept_for<'s>(readings: impl Iterator<Item = &'s Unit>) -> String {
    let (mut held, mut used) = (BTreeSet::new(), BTreeSet::new());
    let mut several = false;
    for unit in readings {
        held.extend(unit.holders.keys());
        used.extend(unit.used_since_disinfected.keys().chain(unit.doubtfully_disinfected.keys()));
        several |= unit.shared || unit.emergency;
    }
    let people = if held.is_empty() { &used } else { &held };
    let only = people.first().filter(|_| people.len() == 1 && !(held.is_empty() && several));
    only.map_or_else(String::new, ToString::to_string)
}

/// The facts of a set, for nobody and on no day in particular.
fn facts<'a>(
    state: &'a State,
    (id, unit): (&'a UnitId, &'a Unit),
    calendar: &Calendar,
) -> UnitFacts<'a> {
    let held = unit.held.as_ref();
    let device = state.model(&unit.model).map(|model| model.device.clone());
    let sensed = unit.sensed(device.as_ref());
    UnitFacts {
        unit: id.as_str(),
        received: true,
        model: unit.model.as_str(),
        device,
        // A wear asks for it.
        approval: None,
        shared: unit.shared,
        emergency: unit.emergency,
        wearer: "",
        wearer_name: "",
        day: Date::MAX,
        // What is due is asked of no wear.
        planned_min: 0.0,
        breathing: None,
        retired: None,
        held: held.map(|held| Noted { words: &held.why, entry: held.at.entry.as_str() }),
        changed_for_test: unit.changed_for_test(),
        holders: Vec::new(),
        used_since_disinfected: uses(state, &unit.used_since_disinfected),
        used_ever: Vec::new(),
        doubtfully_disinfected: doubtfully_disinfected(state, unit),
        disinfection: disinfection(state, unit),
        inspection: inspection(state, unit, calendar),
        inspection_counts: state.every(&unit.site, "unit.inspection-recent"),
        monthly_round: passed_round(state, unit).map(|round| Round {
            day: calendar.day(round.at.when),
            entry: round.at.entry.as_str(),
        }),
        round_counts: state.every(&unit.site, "unit.inspected-monthly"),
        mounted: mounted_on(state, (id, unit)),
        cylinder: pressure_of(state, (id, unit)).map(|read| cylinder(unit, read, calendar)),
        reading_counts: state.every(&unit.site, "unit.cylinder-full"),
        air_test: air_of(state, unit),
        on_line: line_of(state, unit).is_some(),
        auxiliary_air: auxiliary_air(state, unit),
        powered_flow: unit.flow_checked.as_ref().map(|checked| FlowFact {
            day: calendar.day(checked.at.when),
            for_this_wear: true,
            found: checked.flow,
            least: checked.least,
            entry: checked.at.entry.as_str(),
            overtaken_by: None,
        }),
        use_by: state.use_by(unit).map(|(until, at)| UseBy { until, entry: at.entry.as_str() }),
        elements: elements(state, unit, calendar),
        life: None,
        sensed: sensed
            .map(|sensed| Noted { words: sensed.sign.words(), entry: sensed.at.entry.as_str() }),
    }
}

/// The latest inspection; what is done before each wear is asked then.
fn inspection<'a>(
    state: &'a State,
    unit: &'a Unit,
    calendar: &Calendar,
) -> Option<InspectionFact<'a>> {
    let done = unit.inspected.as_ref()?;
    let (passed, found) = outcome(state, unit, done);
    Some(InspectionFact {
        day: calendar.day(done.at.when),
        for_this_wear: true,
        passed,
        found,
        entry: done.at.entry.as_str(),
        overtaken_by: None,
    })
}

/// What cleans the air of a set.
fn elements<'a>(state: &'a State, unit: &'a Unit, calendar: &Calendar) -> Option<ElementFacts<'a>> {
    let on = state.carried(unit)?;
    let model = state.model(&unit.model);
    // A facepiece is its own filter and has nowhere to mount others.
    let mounts = model.is_some_and(|model| !model.device.filtering_facepiece);
    let kind = state.element_type(on.element_type).filter(|_| mounts);
    Some(ElementFacts {
        kind: on.element_type.as_str(),
        listed: true,
        against_gas: false,
        mounting: kind.map(|kind| kind.elements.mounting),
        named: model.map(Model::named_elements).unwrap_or_default(),
        lot: on.lot,
        shelf_life_until: on.shelf_life_until,
        opened: calendar.day(on.opened),
        entry: on.at.entry.as_str(),
    })
}

/// What stands against another wearing a set: a disinfection that was too short or is in doubt.
pub(crate) fn against_disinfection<'a>(
    state: &'a State,
    (id, unit): (&'a UnitId, &'a Unit),
    to: &'a PersonId,
) -> Option<Finding> {
    let facts = facts(state, (id, unit), &Calendar::of(state, &unit.site));
    let facts = UnitFacts { wearer: to.as_str(), ..facts };
    disinfection_contact::check(&facts).or_else(|| disinfectant::check(&facts))
}

fn cylinder<'a>(unit: &'a Unit, read: Pressure<'a>, calendar: &Calendar) -> CylinderFact<'a> {
    let moves_air = [Happening::Worn, Happening::Reported, Happening::Released];
    let since = unit.happened_since(read.since, &moves_air);
    CylinderFact {
        day: calendar.day(read.at.when),
        read: read.read,
        rated: read.rated,
        entry: read.at.entry.as_str(),
        overtaken_by: since
            .map(|(kind, at)| Noted { words: kind.words(), entry: at.entry.as_str() }),
    }
}
