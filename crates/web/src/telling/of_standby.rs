//! Who stood by outside immediately dangerous air.

use program::state::State;
use program::{Entry, Fact, PersonId, Retrieval};
use rulebook::standby::Contact;

use super::{person, task, zone};
use crate::wording;

/// Who was posted outside, or stood down.
pub(super) fn told(state: &State, entry: &Entry) -> String {
    match &entry.fact {
        Fact::StandbyPosted {
            task: at,
            outside,
            sets,
            other_role,
            inside,
            contact,
            together,
            retrieval,
            notify,
            help,
            until,
        } => {
            let named = |all: &[PersonId]| {
                all.iter().map(|id| person(state, id)).collect::<Vec<_>>().join(", ")
            };
            let with_sets = outside.iter().enumerate().map(|(place, id)| match sets.get(place) {
                Some(set) => format!("{} with {set}", person(state, id)),
                None => format!("{} without a set", person(state, id)),
            });
            let of = |words: &str, all: String| match all.is_empty() {
                true => String::new(),
                false => format!("; {words} {all}"),
            };
            let retrieval = match retrieval {
                Retrieval::Equipment { what } => what.clone(),
                Retrieval::Otherwise { means, why } => format!("{means} ({why})"),
            };
            format!(
                "Standing by outside for {} until {}: {}{}{}; in touch by {}{}; brought out by {retrieval}; {notify} is told before a rescue: {help}",
                task(state, at),
                wording::moment(*until, &zone(state, &entry.site)),
                with_sets.collect::<Vec<_>>().join(", "),
                of("with another role", named(other_role)),
                of("inside", named(inside)),
                contacts(contact),
                of("those inside by", contacts(together)),
            )
        }
        Fact::StandbyEnded { task: at, why } => {
            format!("Those outside for {} stood down: {why}", task(state, at))
        }
        _ => String::new(),
    }
}

fn contacts(all: &[Contact]) -> String {
    let words = |contact: &Contact| match contact {
        Contact::Sight => "sight",
        Contact::Voice => "voice",
        Contact::SignalLine => "signal line",
    };
    all.iter().map(words).collect::<Vec<_>>().join(" and ")
}
