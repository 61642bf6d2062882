//! Who used a set, in the terms of the rules.

use std::collections::BTreeMap;

use rulebook::bath::named;
use rulebook::unit::{DisinfectionFact, DoubtfulDisinfection, Use};

use crate::ids::PersonId;
use crate::state::{At, DoubtfullyDisinfected, State, Unit};

/// Who held or used a set, by name.
pub(crate) fn uses<'s>(state: &'s State, all: &'s BTreeMap<PersonId, At>) -> Vec<Use<'s>> {
    all.iter().map(|(person, at)| one_use(state, person, at)).collect()
}

/// Who used the set and was followed by nothing but disinfections that neither the rule nor the maker
/// vouches for.
pub(crate) fn doubtfully_disinfected<'s>(
    state: &'s State,
    unit: &'s Unit,
) -> Vec<DoubtfulDisinfection<'s>> {
    let model = state.model(&unit.model);
    let approved = |agent: &str| model.is_some_and(|model| model.approves_disinfectant(agent));
    let doubtful = unit.doubtfully_disinfected.iter();
    let doubtful = doubtful.filter(|(_, one)| !one.with.keys().any(|agent| approved(agent)));
    let latest = |(person, one): (&'s PersonId, &'s DoubtfullyDisinfected)| {
        let (agent, at) = one.with.iter().max_by_key(|(_, at)| (at.when, at.step))?;
        let used = one_use(state, person, &one.used);
        Some(DoubtfulDisinfection { used, agent, entry: at.entry.as_str() })
    };
    doubtful.filter_map(latest).collect()
}

/// The latest disinfection.
pub(crate) fn disinfection<'s>(state: &State, unit: &'s Unit) -> Option<DisinfectionFact<'s>> {
    let done = unit.disinfected.as_ref()?;
    let model = state.model(&unit.model);
    let approved = model.is_some_and(|model| model.approves_disinfectant(&done.agent));
    let strong = named(&done.agent).strong().filter(|_| !approved);
    Some(DisinfectionFact { contact: done.contact, strong, entry: done.at.entry.as_str() })
}

/// The name to show, or the id of a person who was never enrolled.
pub(crate) fn name_of<'s>(state: &'s State, person: &'s PersonId) -> &'s str {
    state.wearer(person).map_or(person.as_str(), |wearer| &wearer.name)
}

fn one_use<'s>(state: &'s State, person: &'s PersonId, at: &'s At) -> Use<'s> {
    Use { person: person.as_str(), name: name_of(state, person), entry: at.entry.as_str() }
}
