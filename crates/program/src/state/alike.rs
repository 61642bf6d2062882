//! Things of one kind that nobody can tell apart by their ids.

use std::collections::{BTreeSet, HashMap};

use foldhash::fast::RandomState;

use super::contradiction::Contradiction;
use super::{State, Subject};
use crate::entry::Entry;
use crate::state::Part;

/// The things that entries are about, by their kind and by how their ids look.
#[derive(Debug, Default, Clone)]
pub(super) struct Alike(HashMap<(u8, String), BTreeSet<Subject>, RandomState>);

impl Alike {
    pub(super) fn note(&mut self, thing: Subject) {
        let looks = (thing.kind(), crate::alike(thing.id()));
        self.0.entry(looks).or_default().insert(thing);
    }
}

impl State {
    /// The other things of the same kind whose ids look like this one, as far as anything that counts
    /// is folded into them; see [`crate::alike()`].
    pub fn twins(&self, thing: &Subject) -> impl Iterator<Item = &Subject> {
        let looks = (thing.kind(), crate::alike(thing.id()));
        let all = self.alike.0.get(&looks).into_iter().flatten();
        all.filter(move |other| *other != thing && self.first_of(other).is_some())
    }

    /// That two things look alike, told of the later by its id.
    pub(super) fn look_alike(&self, thing: &Subject) -> Option<Contradiction> {
        let twin = self.twins(thing).next().filter(|twin| *twin < thing)?;
        let both = [self.first_of(twin)?, self.first_of(thing)?];
        let words = format!(
            "`{}` and `{}` are told apart by nothing that can be seen",
            twin.id().escape_debug(),
            thing.id().escape_debug()
        );
        let entries = both.into_iter().map(|entry| entry.id.clone()).collect();
        Some(Contradiction { entries, words, unsettled: true })
    }

    /// The first entry that counts and is folded into a thing.
    fn first_of(&self, thing: &Subject) -> Option<&Entry> {
        self.history(thing).find(|entry| {
            self.counts(&entry.id) && entry.subjects().contains(&(Part::Folded, thing.clone()))
        })
    }
}
