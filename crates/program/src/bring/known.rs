//! What the ledger knows already, found by the words of a table.

use std::collections::HashMap;

use rulebook::Elements;

use super::row::Row;
use crate::alike;
use crate::ids::{ElementTypeId, EntryId, ModelId, PersonId, SiteId};
use crate::state::{At, Model, State};

/// The things that rows may name, of one site.
pub(super) struct Known<'a> {
    pub(super) state: &'a State,
    pub(super) site: &'a SiteId,
    people: Names,
    models: Names,
    element_types: Names,
    listed: HashMap<(String, String), EntryId>,
}

/// Ids by their own words and by the names of their things.
#[derive(Default)]
struct Names {
    by_id: HashMap<String, String>,
    by_name: HashMap<String, Vec<String>>,
}

impl<'a> Known<'a> {
    pub(super) fn of(state: &'a State, site: &'a SiteId) -> Self {
        let mut people = Names::default();
        state.wearers().for_each(|(id, wearer)| people.add(id.as_str(), &wearer.name));
        let others = state.people().filter(|(id, _)| state.wearer(id).is_none());
        others.for_each(|(id, person)| people.add(id.as_str(), &person.name));
        let mut models = Names::default();
        state.models().for_each(|(id, model)| models.add(id.as_str(), &model.name));
        let mut element_types = Names::default();
        state.element_types().for_each(|(id, kind)| element_types.add(id.as_str(), &kind.name));
        Self { state, site, people, models, element_types, listed: listed(state) }
    }

    /// The wearer of this site in the field `wearer`, by id or by name.
    pub(super) fn wearer(&self, row: &mut Row<'_>) -> Option<PersonId> {
        let person = self.person(row)?;
        if self.state.wearer(&person).is_none() {
            let why =
                format!("`{person}` has a part in the program and is not enrolled as a wearer");
            row.refuse("wearer", why, "bring the wearers first");
            return None;
        }
        Some(person)
    }

    /// The same for anyone with a part in the program.
    pub(super) fn person(&self, row: &mut Row<'_>) -> Option<PersonId> {
        let asked = row.needed("wearer")?;
        let id = PersonId::new(self.people.find(row, ("wearer", "wearers"), &asked)?);
        let wearer = self.state.wearer(&id).map(|wearer| &wearer.site);
        let site = wearer.or_else(|| self.state.person(&id).map(|person| &person.site));
        if let Some(site) = site.filter(|site| *site != self.site) {
            let why = format!("`{id}` belongs to the site `{site}`");
            row.refuse("wearer", why, format!("bring this row to `{site}`"));
            return None;
        }
        Some(id)
    }

    /// The kinds of element that a model names, where they are known.
    pub(super) fn approved(&self, model: &Model) -> Option<Vec<&'a Elements>> {
        self.state.approved(model)
    }

    /// The model in the field `model`, by id or by name.
    pub(super) fn model(&self, row: &mut Row<'_>) -> Option<(ModelId, &'a Model)> {
        let asked = row.needed("model")?;
        let id = ModelId::new(self.models.find(row, ("model", "models"), &asked)?);
        let model = self.state.model(&id)?;
        Some((id, model))
    }

    /// The size in the field `size`, which the model must come in.
    pub(super) fn size(&self, row: &mut Row<'_>, model: Option<&Model>) -> Option<String> {
        let asked = row.needed("size")?;
        let Some(model) = model.filter(|model| !model.sizes.is_empty()) else {
            return Some(asked);
        };
        let found = model.sizes.iter().find(|size| alike(size) == alike(&asked));
        if found.is_none() {
            let why = format!("{} does not come in the size `{asked}`", model.name);
            row.refuse("size", why, format!("write one of: {}", model.sizes.join(", ")));
        }
        found.cloned()
    }

    /// The kind of element in the field `element type`, by id or by name.
    pub(super) fn element_type(&self, row: &mut Row<'_>) -> Option<ElementTypeId> {
        let asked = row.needed("element type")?;
        let found = self.element_types.find(row, ("element type", "element-types"), &asked);
        found.map(ElementTypeId::new)
    }

    /// The kinds of element in `field`, by id or by name; those that are not known are refused.
    pub(super) fn element_types(
        &self,
        row: &mut Row<'_>,
        field: &'static str,
    ) -> Vec<ElementTypeId> {
        let mut all = Vec::new();
        for asked in row.list(field) {
            let found = self.element_types.find(row, (field, "element-types"), &asked);
            all.extend(found.map(ElementTypeId::new));
        }
        if !all.is_empty() {
            let names: Vec<&str> = all.iter().map(ElementTypeId::as_str).collect();
            row.understood.push((field, names.join("; ")));
        }
        all
    }
}

impl Known<'_> {
    /// The entry that lists the thing of this kind and name, whatever the case.
    pub(super) fn listed(&self, kind: &str, folded: &str) -> Option<EntryId> {
        self.listed.get(&(kind.to_owned(), folded.to_owned())).cloned()
    }
}

/// The entry behind each listed thing, by its kind and folded name.
fn listed(state: &State) -> HashMap<(String, String), EntryId> {
    let mut all = HashMap::new();
    let mut add = |kind: &str, id: &str, at: &At| {
        all.insert((kind.to_owned(), alike(id)), at.entry.clone());
    };
    state.wearers().for_each(|(id, wearer)| add("wearer", id.as_str(), &wearer.enrolled));
    state.models().for_each(|(id, model)| add("model", id.as_str(), &model.at));
    state.units().for_each(|(id, unit)| add("respirator", id.as_str(), &unit.received));
    state.element_types().for_each(|(id, kind)| add("element type", id.as_str(), &kind.at));
    state.cylinders().for_each(|(id, cylinder)| add("cylinder", id.as_str(), &cylinder.listed));
    state.tasks().for_each(|(id, task)| add("task", id.as_str(), &task.described));
    state.stocks().for_each(|(id, stock)| add("box", id.as_str(), &stock.at));
    all
}

impl Names {
    fn add(&mut self, id: &str, name: &str) {
        self.by_id.insert(alike(id), id.to_owned());
        self.by_name.entry(alike(name)).or_default().push(id.to_owned());
    }

    fn find(
        &self,
        row: &mut Row<'_>,
        (field, kind): (&'static str, &str),
        asked: &str,
    ) -> Option<&str> {
        if let Some(id) = self.by_id.get(&alike(asked)) {
            return Some(id);
        }
        match self.by_name.get(&alike(asked)).map(Vec::as_slice) {
            Some([one]) => return Some(one),
            Some(several) => {
                let why = format!("several are called `{asked}`");
                row.refuse(field, why, format!("write one of: {}", several.join(", ")));
            }
            None => {
                let why = format!("`{asked}` is not known here");
                row.refuse(
                    field,
                    why,
                    format!("bring it with the {kind} first, or look at its spelling"),
                );
            }
        }
        None
    }
}
