//! Finding the thing a person meant by what was typed: its id, whatever the capitals, or its name.

use program::state::State;
use program::{ElementTypeId, ModelId, PersonId, SiteId, TaskId, UnitId};

use crate::due_view::encoded;
use crate::fields::Fields;
use crate::telling;

/// How many near names are offered.
const OFFERED: usize = 4;

/// A kind of thing that entries speak of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Thing {
    Site,
    Model,
    ElementType,
    Unit,
    Wearer,
    Task,
}

impl Thing {
    /// One of it.
    pub(crate) const fn one(self) -> &'static str {
        match self {
            Self::Site => "site",
            Self::Model => "model",
            Self::ElementType => "kind of element",
            Self::Unit => "respirator",
            Self::Wearer => "wearer",
            Self::Task => "task",
        }
    }

    /// What is asked for where nothing was typed.
    pub(crate) const fn ask(self) -> &'static str {
        match self {
            Self::Site => "choose the site",
            Self::Model => "say which model",
            Self::ElementType => "say which cartridge, canister or filter",
            Self::Unit => "scan the tag or type it",
            Self::Wearer => "say who wears it: a number or a name",
            Self::Task => "say what is to be done",
        }
    }

    /// The list of all of them: the name of the list in a page, and the first part of its address.
    pub(crate) const fn list(self) -> &'static str {
        match self {
            Self::Site => "sites",
            Self::Model => "models",
            Self::ElementType => "elements",
            Self::Unit => "respirators",
            Self::Wearer => "wearers",
            Self::Task => "tasks",
        }
    }

    /// The page of one of them.
    pub(crate) fn page(self, id: &str) -> String {
        format!("/{}/{}", self.list(), encoded(id))
    }

    /// Whether one of them stands at one site.
    pub(crate) const fn has_site(self) -> bool {
        matches!(self, Self::Unit | Self::Wearer | Self::Task)
    }

    /// The site at which it stands.
    pub(crate) fn site(self, state: &State, id: &str) -> Option<SiteId> {
        match self {
            Self::Unit => state.unit(&UnitId::new(id)).map(|unit| unit.site.clone()),
            Self::Wearer => state.wearer(&PersonId::new(id)).map(|wearer| wearer.site.clone()),
            Self::Task => state.task(&TaskId::new(id)).map(|task| task.site.clone()),
            Self::Site => Some(SiteId::new(id)),
            Self::Model | Self::ElementType => None,
        }
    }

    /// Whether there is one of this id.
    pub(crate) fn knows(self, state: &State, id: &str) -> bool {
        match self {
            Self::Site => state.site(&SiteId::new(id)).is_some(),
            Self::Model => state.model(&ModelId::new(id)).is_some(),
            Self::ElementType => state.element_type(&ElementTypeId::new(id)).is_some(),
            Self::Unit => state.unit(&UnitId::new(id)).is_some(),
            Self::Wearer => state.wearer(&PersonId::new(id)).is_some(),
            Self::Task => state.task(&TaskId::new(id)).is_some(),
        }
    }

    /// The name of one of them, or its id where it has none.
    pub(crate) fn name(self, state: &State, id: &str) -> String {
        let name = match self {
            Self::Site => state.site(&SiteId::new(id)).map(|site| site.name.clone()),
            Self::Model => state.model(&ModelId::new(id)).map(|model| model.name.clone()),
            Self::ElementType => {
                state.element_type(&ElementTypeId::new(id)).map(|kind| kind.name.clone())
            }
            Self::Unit => None,
            Self::Wearer => state.wearer(&PersonId::new(id)).map(|who| who.name.clone()),
            Self::Task => state.task(&TaskId::new(id)).map(|task| task.spec.name.clone()),
        };
        name.unwrap_or_else(|| id.to_owned())
    }

    /// Each one: its id, and its name where it has one.
    pub(crate) fn all(self, state: &State) -> Vec<(String, String)> {
        let of = |id: &str, name: &str| (id.to_owned(), name.to_owned());
        match self {
            Self::Site => state.sites().map(|(id, site)| of(id.as_str(), &site.name)).collect(),
            Self::Model => state.models().map(|(id, model)| of(id.as_str(), &model.name)).collect(),
            Self::ElementType => {
                state.element_types().map(|(id, kind)| of(id.as_str(), &kind.name)).collect()
            }
            Self::Unit => state.units().map(|(id, _)| of(id.as_str(), "")).collect(),
            Self::Wearer => state.wearers().map(|(id, who)| of(id.as_str(), &who.name)).collect(),
            Self::Task => {
                state.tasks().map(|(id, task)| of(id.as_str(), &task.spec.name)).collect()
            }
        }
    }

    /// Each one that may be offered in a field: its id and words.
    fn offered(self, state: &State) -> Vec<(String, String)> {
        match self {
            Self::Unit => state
                .units()
                .filter(|(_, unit)| unit.retired.is_none())
                .map(|(id, _)| (id.to_string(), telling::unit(state, id)))
                .collect(),
            _ => self.all(state),
        }
    }
}

/// The respirator named in `field`; says beside the field what is wrong where there is none.
pub(crate) fn unit(state: &State, fields: &mut Fields, field: &str) -> Option<UnitId> {
    find(state, fields, field, Thing::Unit).map(UnitId::new)
}

/// The wearer named in `field`.
pub(crate) fn wearer(state: &State, fields: &mut Fields, field: &str) -> Option<PersonId> {
    find(state, fields, field, Thing::Wearer).map(PersonId::new)
}

/// The task named in `field`.
pub(crate) fn task(state: &State, fields: &mut Fields, field: &str) -> Option<TaskId> {
    find(state, fields, field, Thing::Task).map(TaskId::new)
}

/// The id of the thing named in `field`.
pub(crate) fn find(
    state: &State,
    fields: &mut Fields,
    field: &str,
    thing: Thing,
) -> Option<String> {
    let asked = fields.need(field, thing.ask())?;
    if thing.knows(state, &asked) {
        return Some(asked);
    }
    let all = thing.all(state);
    let same = |text: &str| text.to_lowercase() == asked.to_lowercase();
    // Two people of one name are told apart by their ids alone.
    let mut found: Vec<&str> =
        all.iter().map(|(id, _)| id.as_str()).filter(|id| same(id)).collect();
    if found.is_empty() {
        found = all.iter().filter(|(_, name)| same(name)).map(|(id, _)| id.as_str()).collect();
    }
    match found.as_slice() {
        [one] => return Some((*one).to_owned()),
        [] => {
            let near = near(&asked, all.iter().map(|(id, name)| (id.as_str(), name.as_str())));
            let offer = match (all.is_empty(), near.is_empty()) {
                (true, _) => format!("there is no {} yet: record one first", thing.one()),
                (false, true) => "look at the list of all of them".to_owned(),
                (false, false) => format!("did you mean {}?", near.join(", ")),
            };
            let called = if thing == Thing::Unit { "has the tag" } else { "is called" };
            fields.refuse(field, format!("no {} {called} `{asked}`\n{offer}", thing.one()));
        }
        several => {
            let ids = several.join(", ");
            fields.refuse(field, format!("several are called `{asked}`\ntype one of {ids}"));
        }
    }
    None
}

/// Ids and names that hold what was typed, or are spelled nearly so, the nearest first.
pub(crate) fn near<'a>(asked: &str, all: impl Iterator<Item = (&'a str, &'a str)>) -> Vec<String> {
    let plain = |text: &str| {
        let letters = text.chars().filter(|c| c.is_alphanumeric());
        letters.flat_map(char::to_lowercase).collect::<String>()
    };
    let wanted = plain(asked);
    let allowed = (wanted.chars().count() / 3).max(1);
    let distance = |text: &str| {
        let text = plain(text);
        let holds = !wanted.is_empty() && text.contains(&wanted);
        let distance = if holds { 0 } else { strsim::damerau_levenshtein(&wanted, &text) };
        (distance <= allowed && !text.is_empty()).then_some(distance)
    };
    let mut scored: Vec<(usize, &str, &str)> = all
        .filter_map(|(id, name)| {
            Some((distance(id).into_iter().chain(distance(name)).min()?, id, name))
        })
        .collect();
    scored.sort_unstable();
    let words = |(_, id, name): (usize, &str, &str)| match name {
        "" => id.to_owned(),
        name => format!("{name} ({id})"),
    };
    scored.into_iter().take(OFFERED).map(words).collect()
}

/// What the lists behind the fields offer: the name of each list, and values with their words.
#[derive(Default)]
pub(crate) struct Lists(Vec<(&'static str, Vec<(String, String)>)>);

impl Lists {
    /// The things of these kinds.
    pub(crate) fn of_things(state: &State, things: impl IntoIterator<Item = Thing>) -> Self {
        Self(things.into_iter().map(|thing| (thing.list(), thing.offered(state))).collect())
    }

    /// With every substance as well.
    pub(crate) fn and_substances(mut self) -> Self {
        let all = substance::Catalogue::builtin().iter();
        let named = all.map(|s| (s.name().to_owned(), s.cas().to_string()));
        self.0.push(("substances", named.collect()));
        self
    }

    fn all(&self) -> &[(&'static str, Vec<(String, String)>)] {
        &self.0
    }
}

/// The lists, hidden in the page.
#[derive(askama::Template)]
#[template(path = "parts/lists.html")]
pub(crate) struct ListsPart {
    pub(crate) lists: Lists,
}
