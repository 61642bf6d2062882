//! What happened to one respirator.

use program::inspection::of_another_serial;
use program::state::State;
use program::{AirQuality, CareStep, Fact, PointFound, PointResult};

use super::pictures::looks_at;
use super::{elements, occasion as occasion_words, person};
use crate::wording;

/// What happened to one respirator; none where the fact tells of something else.
pub(super) fn told(state: &State, fact: &Fact) -> Option<String> {
    let result = |passed: bool| if passed { "passed" } else { "FAILED" };
    Some(match fact {
        Fact::UnitReceived { unit, size, serial, .. } => {
            format!("{unit} received, size {size}, serial number {serial}")
        }
        Fact::ElementsFitted { element_type, lot, shelf_life_until, .. } => {
            let name = elements(state, element_type);
            format!(
                "Elements {name} fitted, lot {lot}, shelf life until {}",
                wording::day(*shelf_life_until)
            )
        }
        Fact::ElementsDiscarded { why, .. } => format!("Elements thrown away: {why}"),
        Fact::Cleaned { .. } => "Taken apart, washed, rinsed and dried".to_owned(),
        Fact::Disinfected { agent, contact, .. } => {
            format!("Disinfected with {agent}, {} in contact", wording::minutes(contact.as_min()))
        }
        Fact::Inspected { occasion, passed, found, .. } => {
            let occasion = occasion_words(*occasion);
            let found = if found.is_empty() { String::new() } else { format!(": {found}") };
            format!("Inspection ({occasion}) {}{found}", result(*passed))
        }
        Fact::Held { why, .. } => format!("Held back: {why}"),
        Fact::Released { done, .. } => format!("Released: {done}"),
        Fact::Retired { why, .. } => format!("Retired for good: {why}"),
        Fact::CylinderRead { rated, read, .. } => {
            let (read, rated) = (wording::bar(*read), wording::bar(*rated));
            format!("Cylinder read at {read}, its rating as {rated}")
        }
        Fact::BreathingAirTested { quality, .. } => match quality {
            AirQuality::Meets => "Breathing air tested: at least Grade D".to_owned(),
            AirQuality::Fails => "Breathing air tested: BELOW Grade D".to_owned(),
        },
        Fact::PoweredFlowChecked { flow, least, .. } => {
            format!("Flow of the blower checked: {flow}, at least {least} needed")
        }
        _ => return repair(state, fact),
    })
}

fn repair(state: &State, fact: &Fact) -> Option<String> {
    let passed = |passed: bool| if passed { "passed" } else { "FAILED" };
    Some(match fact {
        Fact::CareStepDone { step, .. } => match step {
            CareStep::TakenApart => "Taken apart".to_owned(),
            CareStep::Washed { cleaner, water } => format!("Washed with {cleaner} at {water:.0}"),
            CareStep::Rinsed { water } => format!("Rinsed at {water:.0}"),
            CareStep::Dried => "Dried".to_owned(),
            CareStep::Reassembled => "Put together again".to_owned(),
        },
        Fact::InspectedByPoints { unit, occasion, points, signed, remedy, serial } => {
            let told = by_points(occasion_words(*occasion), points, (signed, remedy));
            match state.unit(unit).and_then(|unit| of_another_serial(unit, serial)) {
                Some(words) => format!("{told}; it does not count: {words}"),
                None => told,
            }
        }
        Fact::Repaired { by, parts, instructions, .. } => {
            let parts = parts.iter().map(|part| format!("{} {}", part.number, part.name));
            let parts = parts.collect::<Vec<_>>().join("; ");
            format!("Repaired by {} with {parts}, by {instructions}", person(state, by))
        }
        Fact::Restored { unit, done } => format!("{unit} put back after a fit test: {done}"),
        Fact::RepairTested { passed: well, how, .. } => {
            format!("Test after repair {}: {how}", passed(*well))
        }
        Fact::ReleasedBy { by, done, .. } => {
            format!("Released by {}: {done}", person(state, by))
        }
        Fact::BatteryChecked { passed: well, found, .. } => {
            let found = if found.is_empty() { String::new() } else { format!(": {found}") };
            format!("Check of the battery {}{found}", passed(*well))
        }
        Fact::SealChecked { wearer, passed: well, .. } => {
            let held = if *well { "held" } else { "did NOT hold" };
            format!("Seal check by {}: it {held}", person(state, wearer))
        }
        Fact::Stored { unit, place } => {
            let name = state.storage_place(place).map(|place| place.name.clone());
            format!("{unit} put away in {}", name.unwrap_or_else(|| place.to_string()))
        }
        Fact::FacepieceTaken { unit, stock, wearer, size, .. } => {
            format!("{unit}, size {size}, taken from box {stock} for {}", person(state, wearer))
        }
        _ => return None,
    })
}

fn by_points(occasion: &str, points: &[PointFound], (signed, remedy): (&str, &str)) -> String {
    let failed: Vec<&PointFound> =
        points.iter().filter(|point| point.result == PointResult::Fail).collect();
    let result = if failed.is_empty() { "passed" } else { "FAILED" };
    let found = failed.iter().map(|point| format!("{}, {}", looks_at(point), point.note));
    let found = found.collect::<Vec<_>>().join("; ");
    let found = if found.is_empty() { found } else { format!(": {found}") };
    let remedy = if remedy.is_empty() { String::new() } else { format!("; remedy: {remedy}") };
    format!(
        "Inspection ({occasion}) {result}, {} looked at{found}{remedy}; signed {signed}",
        wording::count(points.len(), "point", "points")
    )
}
