//! Finding the thing a person meant by what was typed: its id, whatever the capitals, or its name.

use ledger::{ListedThing, ReadError};
use program::state::State;
use program::{
    ActionId, CylinderId, ElementTypeId, GroupId, InstrumentId, ModelId, PersonId, PlaceId, SiteId,
    StockId, Subject, SupplyId, TaskId, UnitId,
};

use crate::app::AppState;
use crate::due_view::encoded;
use crate::fields::Fields;
use crate::shell::PageError;
use crate::telling;

/// How many near names are offered.
const OFFERED: usize = 4;

/// The longest list behind a field.
const LONGEST_LIST: usize = 400;

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
    /// For fit tests.
    Instrument,
    Action,
}

impl Thing {
    /// As what else a person may be known by the same id.
    pub(crate) const fn elsewhere(self) -> Option<Self> {
        match self {
            Self::Wearer => Some(Self::Person),
            Self::Person => Some(Self::Wearer),
            _ => None,
        }
    }

    /// The things whose pages are alike.
    pub(crate) const LISTED: [Self; 10] = [
        Self::Site,
        Self::Model,
        Self::ElementType,
        Self::Person,
        Self::Cylinder,
        Self::Supply,
        Self::Place,
        Self::Stock,
        Self::Group,
        Self::Instrument,
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
            Self::Instrument => "instrument",
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
            Self::Instrument => "Instruments for fit tests",
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
            Self::Instrument => "say which instrument",
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
            Self::Instrument => "instruments",
            Self::Action => "actions",
        }
    }

    /// The page of one of them.
    pub(crate) fn page(self, id: &str) -> String {
        format!("/{}/{}", self.list(), encoded(id))
    }

    /// As what entries are about it: a person as a wearer too.
    pub(crate) fn subjects(self, id: &str) -> Vec<Subject> {
        let of = |kind: &u8| Subject::of(*kind, id);
        self.kinds().iter().filter_map(of).collect()
    }

    /// As what entries are about several.
    pub(crate) fn subjects_of<'i>(self, ids: impl Iterator<Item = &'i str>) -> Vec<Subject> {
        ids.flat_map(|id| self.subjects(id)).collect()
    }

    /// What its page is about.
    pub(crate) fn subject(self, id: &str) -> Subject {
        let all = self.subjects(id);
        all.into_iter().next().unwrap_or_else(|| Subject::Site(SiteId::new(id)))
    }

    /// Its kinds as [`Subject::kind`] counts.
    pub(crate) const fn kinds(self) -> &'static [u8] {
        match self {
            // An action is kept by its site.
            Self::Site | Self::Action => &[1],
            Self::Model => &[2],
            Self::ElementType => &[3],
            Self::Unit => &[4],
            Self::Wearer => &[5],
            Self::Task => &[6],
            Self::Person => &[7, 5],
            Self::Cylinder => &[8],
            Self::Supply => &[9],
            Self::Place => &[10],
            Self::Stock => &[11],
            Self::Group => &[12],
            Self::Instrument => &[15],
        }
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
            Self::Instrument => {
                state.instrument(&InstrumentId::new(id)).map(|own| own.site.clone())
            }
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
            Self::Instrument => {
                state.instrument(&InstrumentId::new(id)).map(|own| own.name.clone())
            }
            Self::Stock => {
                let stock = state.stock(&StockId::new(id));
                stock.map(|own| format!("{id}: {}", state.words_of_item(&own.item)))
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
                .map(|(id, own)| of(id.as_str(), &state.words_of_item(&own.item)))
                .collect(),
            Self::Group => state.groups().map(|(id, own)| of(id.as_str(), &own.name)).collect(),
            Self::Instrument => {
                state.instruments().map(|(id, own)| of(id.as_str(), &own.name)).collect()
            }
            Self::Action => {
                let actions = state.sites().flat_map(|(_, site)| &site.actions);
                actions.map(|(id, action)| of(id.as_str(), &action.what)).collect()
            }
            _ => Vec::new(),
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
    let same = |text: &str| is_same(text, &asked);
    // Two people of one name are told apart by their ids alone; so are one of this name and one whose id
    // is spelled nearly so.
    let found = all.iter().filter(|(id, name)| same(id) || same(name));
    let found: Vec<&str> = found.map(|(id, _)| id.as_str()).collect();
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
            let why = self::several(&asked, several);
            fields.refuse(field, why);
        }
    }
    None
}

/// Said where what was typed names several things.
pub(crate) fn several(asked: &str, ids: &[&str]) -> String {
    format!("several are called `{asked}`\ntype one of {}", ids.join(", "))
}

/// Ids and names that hold what was typed, or are spelled nearly so, the nearest first.
fn near<'a>(asked: &str, all: impl Iterator<Item = (&'a str, &'a str)>) -> Vec<String> {
    let words = |(id, name): (&str, &str)| match name {
        "" => id.to_owned(),
        name => format!("{name} ({id})"),
    };
    nearest(asked, all).into_iter().map(words).collect()
}

fn nearest<'a>(
    asked: &str,
    all: impl Iterator<Item = (&'a str, &'a str)>,
) -> Vec<(&'a str, &'a str)> {
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
    scored.into_iter().take(OFFERED).map(|(_, id, name)| (id, name)).collect()
}

/// The things of a kind that were meant by `text`, or that are spelled nearly so: all that [`find`]
/// needs. One of the kind where none is near, so that it is known that there are any.
pub(crate) async fn meant(
    app: &AppState,
    thing: Thing,
    text: &str,
) -> Result<Vec<Subject>, ReadError> {
    let mut things = Vec::new();
    for kind in thing.kinds() {
        let called = app.ledger().called(*kind, text).await?;
        let same = |of: &&ListedThing| [&of.id, &of.name].into_iter().any(|own| is_same(own, text));
        let mut ids: Vec<&str> = called.iter().filter(same).map(|of| of.id.as_str()).collect();
        if ids.is_empty() {
            let all = called.iter().map(|of| (of.id.as_str(), of.name.as_str()));
            ids = nearest(text, all).into_iter().map(|(id, _)| id).collect();
        }
        if ids.is_empty() {
            ids = called.first().map(|of| of.id.as_str()).into_iter().collect();
        }
        things.extend(ids.into_iter().filter_map(|id| Subject::of(*kind, id)));
    }
    Ok(things)
}

pub(crate) fn is_same(one: &str, other: &str) -> bool {
    program::alike(one) == program::alike(other)
}

/// The things of which there is one of this kind in several fields, ready for [`find`].
pub(crate) async fn state_of_meant(
    app: &AppState,
    asked: impl IntoIterator<Item = (Thing, &str)>,
) -> Result<State, ReadError> {
    let mut things = Vec::new();
    for (thing, text) in asked {
        if !text.is_empty() {
            things.extend(meant(app, thing, text).await?);
        }
    }
    app.ledger().state_about(&things, 0).await
}

/// That there is no such thing, with the pages of those that are called nearly so.
pub(crate) async fn missing(app: &AppState, thing: Thing, asked: String) -> PageError {
    let near = match near_pages(app, thing, &asked).await {
        Ok(near) => near,
        Err(error) => return error.into(),
    };
    PageError::NotFound { what: thing.one(), asked, near }
}

async fn near_pages(
    app: &AppState,
    thing: Thing,
    asked: &str,
) -> Result<Vec<(String, String)>, ReadError> {
    let mut near = Vec::new();
    for kind in thing.kinds() {
        let called = app.ledger().called(*kind, asked).await?;
        let ids = nearest(asked, called.iter().map(|of| (of.id.as_str(), "")));
        near.extend(ids.into_iter().map(|(id, _)| (thing.page(id), id.to_owned())));
    }
    Ok(near)
}

/// What the lists behind the fields offer: the name of each list, and values with their words.
#[derive(Default)]
pub(crate) struct Lists(Vec<(&'static str, Vec<(String, String)>)>);

impl Lists {
    /// The things of these kinds that are in use; where there are more than anyone looks through,
    /// none of a kind: what is typed then finds it.
    pub(crate) async fn of_things(
        app: &AppState,
        things: impl IntoIterator<Item = Thing>,
    ) -> Result<Self, ReadError> {
        let mut lists: Vec<(&'static str, Vec<(String, String)>)> = Vec::new();
        for thing in things {
            if lists.iter().any(|(name, _)| *name == thing.list()) {
                continue;
            }
            let all = match thing {
                Thing::Action => actions(app).await?,
                _ => app.list(thing, LONGEST_LIST + 1).await?,
            };
            let mut offered: Vec<(String, String)> =
                all.into_iter().filter(|of| !of.gone).map(|of| (of.id, of.name)).collect();
            offered.sort();
            offered.dedup_by(|a, b| a.0 == b.0);
            if offered.len() <= LONGEST_LIST {
                lists.push((thing.list(), offered));
            }
        }
        Ok(Self(lists))
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

/// What is to be put right at any site.
async fn actions(app: &AppState) -> Result<Vec<ListedThing>, ReadError> {
    let sites = app.sites().await?;
    let sites = sites.iter().map(|of| Subject::Site(SiteId::new(&of.id))).collect();
    let state = app.ledger().state_with(State::default(), sites).await?;
    let actions = state.sites().flat_map(|(_, site)| &site.actions);
    let told = actions.map(|(id, action)| ListedThing {
        id: id.to_string(),
        name: action.what.clone(),
        gone: action.closed.is_some(),
    });
    Ok(told.collect())
}

/// The lists, hidden in the page.
#[derive(askama::Template)]
#[template(path = "parts/lists.html")]
pub(crate) struct ListsPart {
    pub(crate) lists: Lists,
}
