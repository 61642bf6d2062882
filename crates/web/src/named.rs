//! Finding the thing a person meant by what was typed: its id, whatever the capitals, or its name.

use program::state::State;
use program::{
    ActionId, CylinderId, ElementTypeId, Entry, GroupId, ModelId, PersonId, PlaceId, SiteId,
    StockId, SupplyId, TaskId, UnitId,
};

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
    /// Anyone with a part in the program, wearers too.
    Person,
    Cylinder,
    Supply,
    Place,
    Stock,
    Group,
    Action,
}

impl Thing {
    /// The things whose pages are alike.
    pub(crate) const LISTED: [Self; 9] = [
        Self::Site,
        Self::Model,
        Self::ElementType,
        Self::Person,
        Self::Cylinder,
        Self::Supply,
        Self::Place,
        Self::Stock,
        Self::Group,
    ];

    /// One of it.
    pub(crate) const fn one(self) -> &'static str {
        match self {
            Self::Site => "site",
            Self::Model => "model",
            Self::ElementType => "kind of element",
            Self::Unit => "respirator",
            Self::Wearer => "wearer",
            Self::Task => "task",
            Self::Person => "person",
            Self::Cylinder => "cylinder",
            Self::Supply => "supply of air",
            Self::Place => "place of storage",
            Self::Stock => "box",
            Self::Group => "exposure group",
            Self::Action => "action",
        }
    }

    /// The heading of the list of all of them.
    pub(crate) const fn heading(self) -> &'static str {
        match self {
            Self::Site => "Sites",
            Self::Model => "Models of respirators",
            Self::ElementType => "Cartridges, canisters and filters",
            Self::Unit => "Respirators",
            Self::Wearer => "Wearers",
            Self::Task => "Tasks",
            Self::Person => "People with a part in the program",
            Self::Cylinder => "Cylinders",
            Self::Supply => "Supplies of breathing air",
            Self::Place => "Places of storage",
            Self::Stock => "Boxes",
            Self::Group => "Exposure groups",
            Self::Action => "Actions",
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
            Self::Person => "say who: a number or a name",
            Self::Cylinder => "scan the tag of the cylinder or type it",
            Self::Supply => "say which supply of air",
            Self::Place => "say where it is kept",
            Self::Stock => "say which box",
            Self::Group => "say which exposure group",
            Self::Action => "say which action",
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
            Self::Person => "people",
            Self::Cylinder => "cylinders",
            Self::Supply => "supplies",
            Self::Place => "places",
            Self::Stock => "boxes",
            Self::Group => "groups",
            Self::Action => "actions",
        }
    }

    /// The page of one of them.
    pub(crate) fn page(self, id: &str) -> String {
        format!("/{}/{}", self.list(), encoded(id))
    }

    /// Whether one of them stands at one site.
    pub(crate) const fn has_site(self) -> bool {
        !matches!(self, Self::Site | Self::Model | Self::ElementType)
    }

    /// The site at which it stands.
    pub(crate) fn site(self, state: &State, id: &str) -> Option<SiteId> {
        match self {
            Self::Unit => state.unit(&UnitId::new(id)).map(|unit| unit.site.clone()),
            Self::Wearer => state.wearer(&PersonId::new(id)).map(|wearer| wearer.site.clone()),
            Self::Task => state.task(&TaskId::new(id)).map(|task| task.site.clone()),
            Self::Person => {
                let id = PersonId::new(id);
                let wearer = || state.wearer(&id).map(|wearer| wearer.site.clone());
                state.person(&id).map(|person| person.site.clone()).or_else(wearer)
            }
            Self::Cylinder => state.cylinder(&CylinderId::new(id)).map(|own| own.site.clone()),
            Self::Supply => state.supply(&SupplyId::new(id)).map(|own| own.site.clone()),
            Self::Place => state.storage_place(&PlaceId::new(id)).map(|own| own.site.clone()),
            Self::Stock => state.stock(&StockId::new(id)).map(|own| own.site.clone()),
            Self::Group => state.group(&GroupId::new(id)).map(|own| own.site.clone()),
            Self::Action => {
                let action = ActionId::new(id);
                let mut sites = state.sites();
                sites.find(|(_, site)| site.actions.contains_key(&action)).map(|(id, _)| id.clone())
            }
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
            _ => self.site(state, id).is_some(),
        }
    }

    /// The name of one of them, or its id where it has none.
    pub(crate) fn name(self, state: &State, id: &str) -> String {
        let name = match self {
            Self::Site => Some(telling::site(state, &SiteId::new(id))),
            Self::Model => state.model(&ModelId::new(id)).map(|model| model.name.clone()),
            Self::ElementType => {
                state.element_type(&ElementTypeId::new(id)).map(|kind| kind.name.clone())
            }
            Self::Unit => None,
            Self::Wearer => {
                let id = PersonId::new(id);
                state.wearer(&id).map(|_| telling::person(state, &id))
            }
            Self::Task => state.task(&TaskId::new(id)).map(|task| task.spec.name.clone()),
            Self::Person => Some(telling::person(state, &PersonId::new(id))),
            Self::Supply => state.supply(&SupplyId::new(id)).map(|own| own.name.clone()),
            Self::Place => state.storage_place(&PlaceId::new(id)).map(|own| own.name.clone()),
            Self::Group => state.group(&GroupId::new(id)).map(|own| own.name.clone()),
            Self::Stock => {
                let stock = state.stock(&StockId::new(id));
                stock.map(|own| format!("{id}: {}", telling::item(state, &own.item)))
            }
            Self::Cylinder => None,
            Self::Action => {
                let all = self.all(state);
                all.into_iter().find(|(own, _)| own == id).map(|(_, what)| what)
            }
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
            Self::Person => {
                let people = state.people().map(|(id, who)| of(id.as_str(), &who.name));
                let others = state.wearers().filter(|(id, _)| state.person(id).is_none());
                people.chain(others.map(|(id, who)| of(id.as_str(), &who.name))).collect()
            }
            _ => self.all_kept(state),
        }
    }

    /// Each one of what is kept in a store or at a desk.
    fn all_kept(self, state: &State) -> Vec<(String, String)> {
        let of = |id: &str, name: &str| (id.to_owned(), name.to_owned());
        match self {
            Self::Cylinder => state.cylinders().map(|(id, _)| of(id.as_str(), "")).collect(),
            Self::Supply => state.supplies().map(|(id, own)| of(id.as_str(), &own.name)).collect(),
            Self::Place => {
                state.storage_places().map(|(id, own)| of(id.as_str(), &own.name)).collect()
            }
            Self::Stock => state
                .stocks()
                .map(|(id, own)| of(id.as_str(), &telling::item(state, &own.item)))
                .collect(),
            Self::Group => state.groups().map(|(id, own)| of(id.as_str(), &own.name)).collect(),
            Self::Action => {
                let actions = state.sites().flat_map(|(_, site)| &site.actions);
                actions.map(|(id, action)| of(id.as_str(), &action.what)).collect()
            }
            _ => Vec::new(),
        }
    }

    /// Every entry about one of them in the order of time, also what was corrected.
    pub(crate) fn history<'s>(self, state: &'s State, id: &str) -> Vec<&'s Entry> {
        match self {
            Self::Site => state.history_of_site(&SiteId::new(id)).collect(),
            Self::Model => state.history_of_model(&ModelId::new(id)).collect(),
            Self::ElementType => state.history_of_element_type(&ElementTypeId::new(id)).collect(),
            Self::Unit => state.history_of_unit(&UnitId::new(id)).collect(),
            Self::Wearer => state.history_of_wearer(&PersonId::new(id)).collect(),
            Self::Task => state.history_of_task(&TaskId::new(id)).collect(),
            Self::Person => state.history_of_person(&PersonId::new(id)).collect(),
            Self::Cylinder => state.history_of_cylinder(&CylinderId::new(id)).collect(),
            Self::Supply => state.history_of_supply(&SupplyId::new(id)).collect(),
            Self::Place => state.history_of_place(&PlaceId::new(id)).collect(),
            Self::Stock => state.history_of_stock(&StockId::new(id)).collect(),
            Self::Group => state.history_of_group(&GroupId::new(id)).collect(),
            Self::Action => Vec::new(),
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
            let called = if matches!(thing, Thing::Unit | Thing::Cylinder) {
                "has the tag"
            } else {
                "is called"
            };
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
