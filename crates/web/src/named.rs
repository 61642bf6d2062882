//! Finding the thing a person meant by what was typed: its id, whatever the capitals, or its name.

use program::state::State;
use program::{PersonId, TaskId, UnitId};

use crate::fields::Fields;
use crate::telling;

/// How many near names are offered.
const OFFERED: usize = 4;

/// The respirator named in `field`; says beside the field what is wrong where there is none.
pub(crate) fn unit(state: &State, fields: &mut Fields, field: &str) -> Option<UnitId> {
    let asked = fields.need(field, "scan the tag or type it")?;
    let all = state.units().map(|(id, _)| (id.as_str(), String::new()));
    find(fields, (field, "respirator has the tag"), &asked, all).map(UnitId::new)
}

/// The wearer named in `field`.
pub(crate) fn wearer(state: &State, fields: &mut Fields, field: &str) -> Option<PersonId> {
    let asked = fields.need(field, "say who wears it: a number or a name")?;
    let all = state.wearers().map(|(id, wearer)| (id.as_str(), wearer.name.clone()));
    find(fields, (field, "wearer is called"), &asked, all).map(PersonId::new)
}

/// The task named in `field`.
pub(crate) fn task(state: &State, fields: &mut Fields, field: &str) -> Option<TaskId> {
    let asked = fields.need(field, "say what is to be done")?;
    let all = state.tasks().map(|(id, task)| (id.as_str(), task.spec.name.clone()));
    find(fields, (field, "task is called"), &asked, all).map(TaskId::new)
}

fn find<'a>(
    fields: &mut Fields,
    (field, no): (&str, &str),
    asked: &str,
    all: impl Iterator<Item = (&'a str, String)>,
) -> Option<&'a str> {
    let all: Vec<(&str, String)> = all.collect();
    let same = |text: &str| text.to_lowercase() == asked.to_lowercase();
    // Two people of one name are told apart by their ids alone.
    let mut found: Vec<&str> = all.iter().map(|(id, _)| *id).filter(|id| same(id)).collect();
    if found.is_empty() {
        found = all.iter().filter(|(_, name)| same(name)).map(|(id, _)| *id).collect();
    }
    match found.as_slice() {
        [one] => return Some(one),
        [] => {
            let near = near(asked, all.iter().map(|(id, name)| (*id, name.as_str())));
            let offer = match near.is_empty() {
                true => "look at the list of all of them".to_owned(),
                false => format!("did you mean {}?", near.join(", ")),
            };
            fields.refuse(field, format!("no {no} `{asked}`\n{offer}"));
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

/// What the lists behind the fields offer: value and words.
pub(crate) struct Lists {
    pub(crate) units: Vec<(String, String)>,
    pub(crate) wearers: Vec<(String, String)>,
    pub(crate) tasks: Vec<(String, String)>,
    pub(crate) substances: Vec<(String, String)>,
}

impl Lists {
    /// Every respirator in use, wearer and task.
    pub(crate) fn of(state: &State) -> Self {
        let units = state.units().filter(|(_, unit)| unit.retired.is_none());
        Self {
            units: units.map(|(id, _)| (id.to_string(), telling::unit(state, id))).collect(),
            wearers: state.wearers().map(|(id, w)| (id.to_string(), w.name.clone())).collect(),
            tasks: state.tasks().map(|(id, t)| (id.to_string(), t.spec.name.clone())).collect(),
            substances: Vec::new(),
        }
    }

    /// With every substance as well.
    pub(crate) fn and_substances(self) -> Self {
        let all = substance::Catalogue::builtin().iter();
        let named = all.map(|s| (s.name().to_owned(), s.cas().to_string()));
        Self { substances: named.collect(), ..self }
    }

    /// Substances alone.
    pub(crate) fn substances() -> Self {
        let (units, wearers, tasks) = (Vec::new(), Vec::new(), Vec::new());
        Self { units, wearers, tasks, substances: Vec::new() }.and_substances()
    }

    /// Each list with the id that fields name.
    fn all(&self) -> [(&'static str, &[(String, String)]); 4] {
        [
            ("units", &self.units),
            ("wearers", &self.wearers),
            ("tasks", &self.tasks),
            ("substances", &self.substances),
        ]
    }
}

/// The lists, hidden in the page.
#[derive(askama::Template)]
#[template(path = "parts/lists.html")]
pub(crate) struct ListsPart {
    pub(crate) lists: Lists,
}
