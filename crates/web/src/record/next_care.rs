//! What the forms of a cleaning tell of the respirator that is named in them.

use program::state::{State, Unit};
use program::{PersonId, care};
use rulebook::care::Event;

use crate::fields::Fields;
use crate::named::{Thing, is_same};

/// The respirator in the field `unit`, however its tag is written.
fn named<'s>(state: &'s State, fields: &Fields) -> Option<&'s Unit> {
    let tag = fields.filled("unit")?;
    let mut all = state.units();
    all.find(|(id, _)| is_same(id.as_str(), tag)).map(|(_, unit)| unit)
}

/// The value of a step in the form of a step of cleaning; none where it has a form of its own.
fn value(event: &Event<PersonId>) -> Option<&'static str> {
    Some(match event {
        Event::TakenApart => "taken-apart",
        Event::Washed { .. } => "washed",
        Event::Rinsed => "rinsed",
        Event::Dried => "dried",
        Event::Reassembled => "reassembled",
        _ => return None,
    })
}

/// The steps of the form that may be done next.
pub(super) fn first(state: &State, fields: &Fields) -> Vec<&'static str> {
    let record = named(state, fields).and_then(|unit| care::of(state, &unit.id));
    let next = record.map(|record| record.next_steps()).unwrap_or_default();
    next.iter().filter_map(value).collect()
}

/// Where a respirator stands in its care, what may be done next, and with what its maker forbids to
/// clean it.
pub(super) fn notes(state: &State, fields: &Fields) -> Vec<String> {
    let Some(unit) = named(state, fields) else { return Vec::new() };
    let mut notes = Vec::new();
    if let Some(record) = care::of(state, &unit.id) {
        notes.push(format!("{}: {}. {}", unit.id, record.care.stage(), next_words(&record)));
    }
    let model = state.model(&unit.model);
    let instructions = model.and_then(|model| model.instructions.as_ref());
    if let Some(told) = instructions.filter(|told| !told.forbidden_cleaners.is_empty()) {
        let forbidden = told.forbidden_cleaners.join(", ");
        let name = Thing::Model.name(state, unit.model.as_str());
        notes.push(format!(
            "The maker of {name} forbids: {forbidden} ({}). If one was used all the same, record it, and the set is told as due for care.",
            told.stands_in
        ));
    }
    notes
}

/// What may be done next, in words.
pub(crate) fn next_words(record: &care::CareRecord) -> String {
    let next = record.next_steps();
    let words: Vec<&str> = next.iter().map(Event::words).collect();
    if words.is_empty() {
        "No step of cleaning is next.".to_owned()
    } else {
        format!("Next: {}.", words.join(", or "))
    }
}
