//! The lists of things: which there are, in what order, and how one is found by what was typed.

use std::collections::BTreeSet;

use program::{SiteId, State, Subject};

use super::Derived;
use super::about::{from_ordered, number, ordered};
use super::anew::name as ended;
use super::load::{Judges, Partial};
use super::page::Kept;
use crate::store::{ReadError, Store};

/// The longest beginning of a name by which things are sorted: an index holds no longer ones.
const SORTED_BY: usize = 60;

/// How many things of one name, or spelled alike, are looked at.
const ALIKE: i64 = 200;

/// So many things that begin alike are enough to offer the nearest of.
const ENOUGH: usize = 20;

/// Stands after every character that a name can hold.
const LAST: char = char::MAX;

/// Stands before every row of a list.
const FIRST: (i64, &str, &str) = (i64::MIN, "", "");

/// What is asked of the list of one kind of thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ListQuestion<'a> {
    /// The kind, as [`Subject::kind`] counts.
    pub kind: u8,
    /// One site, or all.
    pub site: Option<&'a SiteId>,
    /// Words that each must hold in its id, its name or what else it is known by, in any case.
    pub words: &'a str,
    /// Where the page goes on: after the thing of this id; from the beginning where it is empty.
    pub after: &'a str,
    /// How many at most.
    pub limit: usize,
}

/// One thing in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListedThing {
    /// Its id.
    pub id: String,
    /// Its name; empty where it has none.
    pub name: String,
    /// Retired, withdrawn, or left the program.
    pub gone: bool,
}

/// Sets of one model with one kind of elements at a site.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetsInUse {
    /// The model.
    pub model: program::ModelId,
    /// The elements on it.
    pub element_type: program::ElementTypeId,
    /// How many there are.
    pub units: usize,
}

/// One row of `things`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct ThingRow {
    pub(crate) gone: i64,
    pub(crate) sorted: String,
    pub(crate) id: String,
    pub(crate) site: String,
    pub(crate) kind: i64,
    pub(crate) name: String,
    pub(crate) words: String,
    pub(crate) worn: String,
}

/// Things of one kind at one site, as they are asked for.
pub(crate) struct Sought<'a> {
    pub(crate) kind: i64,
    pub(crate) site: &'a str,
    pub(crate) after: (i64, &'a str, &'a str),
    pub(crate) words: &'a [String],
    pub(crate) limit: i64,
}

/// What a connection to a database must be able to do for the lists.
pub(crate) trait Listing {
    /// Takes the rows of these things away.
    async fn remove_things(&mut self, things: &[(i64, &str)]) -> sqlx::Result<()>;
    /// Adds rows.
    async fn add_things(&mut self, rows: &[ThingRow]) -> sqlx::Result<()>;
    /// The sites at which things of a kind stand; one of them is empty where they stand at none.
    async fn sites_of_kind(&mut self, kind: i64) -> sqlx::Result<Vec<String>>;
    /// A page of a list, in its order.
    async fn list(&mut self, sought: &Sought<'_>) -> sqlx::Result<Vec<ThingRow>>;
    /// The things of a kind with ids from the first to the second, in their order.
    async fn with_ids(
        &mut self,
        kind: i64,
        ids: (&str, &str),
        limit: i64,
    ) -> sqlx::Result<Vec<ThingRow>>;
    /// How many sets in service are worn as what at a site.
    async fn worn_at(&mut self, kind: i64, site: &str) -> sqlx::Result<Vec<(String, i64)>>;
    /// Position and text of the entries that have this number in `about`, among them so many that
    /// happened last.
    async fn last_about(&mut self, thing: i64, limit: i64) -> sqlx::Result<Vec<(i64, String)>>;
}

/// How those of `things` that were made known stand in their lists.
pub(super) fn rows(state: &State, things: &[Subject]) -> Vec<ThingRow> {
    things.iter().filter_map(|thing| row(state, thing)).collect()
}

impl ThingRow {
    /// Appends bytes in the order of the rows in their table.
    pub(super) fn write(&self, to: &mut Vec<u8>) {
        to.extend(ordered(self.kind));
        to.extend_from_slice(self.site.as_bytes());
        to.push(0);
        to.extend(ordered(self.gone));
        for text in [&self.sorted, &self.id, &self.name, &self.words, &self.worn] {
            to.extend_from_slice(text.as_bytes());
            to.push(0);
        }
    }

    /// The row in these bytes; none for bytes of another form.
    pub(super) fn from_bytes(bytes: &[u8]) -> Option<Self> {
        let (kind, rest) = bytes.split_at_checked(8)?;
        let (site, rest) = ended(rest)?;
        let (gone, rest) = rest.split_at_checked(8)?;
        let (sorted, rest) = ended(rest)?;
        let (id, rest) = ended(rest)?;
        let (name, rest) = ended(rest)?;
        let (words, rest) = ended(rest)?;
        let (worn, _) = ended(rest)?;
        let (kind, gone) = (from_ordered(kind)?, from_ordered(gone)?);
        Some(Self { gone, sorted, id, site, kind, name, words, worn })
    }
}

fn row(state: &State, thing: &Subject) -> Option<ThingRow> {
    let listed = state.listed(thing)?;
    // No database keeps this character in a text.
    let name = listed.name.replace('\0', " ");
    let id = thing.id();
    let unit = matches!(thing, Subject::Unit(_));
    let by = if name.is_empty() || unit { id } else { &name };
    let worn = listed.set.map(|(model, elements)| {
        // Numbers and texts always have a form in JSON.
        serde_json::to_string(&(model, elements)).unwrap_or_default()
    });
    Some(ThingRow {
        kind: i64::from(thing.kind()),
        site: listed.site.map_or_else(String::new, |site| site.to_string()),
        gone: i64::from(listed.gone),
        sorted: sorted(by),
        id: id.to_owned(),
        words: format!("{id} {name} {}", listed.also.replace('\0', " ")).to_lowercase(),
        name,
        worn: worn.unwrap_or_default(),
    })
}

/// The beginning of a name, by which it is sorted.
fn sorted(name: &str) -> String {
    name.to_lowercase().chars().take(SORTED_BY).collect()
}

/// A page of a list: those that are gone after the others, by name.
pub(crate) async fn list<S: Store>(
    store: &S,
    question: &ListQuestion<'_>,
) -> Result<Vec<ListedThing>, ReadError> {
    let mut reading = store.reading().await?;
    let rows = of_page(&mut *reading, question).await?;
    Ok(rows.into_iter().map(told).collect())
}

fn told(row: ThingRow) -> ListedThing {
    ListedThing { id: row.id, name: row.name, gone: row.gone != 0 }
}

async fn of_page<C: Derived>(
    connection: &mut C,
    question: &ListQuestion<'_>,
) -> Result<Vec<ThingRow>, ReadError> {
    let kind = i64::from(question.kind);
    let limit = i64::try_from(question.limit).unwrap_or(i64::MAX);
    let sites = match question.site {
        Some(site) => vec![site.to_string()],
        None => connection.sites_of_kind(kind).await?,
    };
    let before = match question.after {
        "" => None,
        id => connection.with_ids(kind, (id, id), 1).await?.pop(),
    };
    let after = before.as_ref().map_or(FIRST, |row| (row.gone, &row.sorted, &row.id));
    let words: Vec<String> =
        question.words.to_lowercase().split_whitespace().map(str::to_owned).collect();
    let mut rows = Vec::new();
    for site in &sites {
        rows.extend(connection.list(&Sought { kind, site, after, words: &words, limit }).await?);
    }
    rows.sort_unstable();
    rows.truncate(question.limit);
    Ok(rows)
}

/// The things of a kind that somebody may have meant by `text`: those whose ids look like it, those of this name, those that hold it, or those that begin like it. Empty only where
/// there is none of the kind.
pub(crate) async fn called<S: Store>(
    store: &S,
    kind: u8,
    text: &str,
) -> Result<Vec<ListedThing>, ReadError> {
    let mut reading = store.reading().await?;
    let connection = &mut *reading;
    let number = i64::from(kind);
    let question = ListQuestion { kind, site: None, words: "", after: "", limit: 200 };
    let mut found = Vec::new();
    for id in looking_like(connection, kind, text).await? {
        found.extend(connection.with_ids(number, (&id, &id), 1).await?);
    }
    // What is spelled nearly like an id may be the name of another one.
    if found.iter().all(|row| row.id != text) {
        found.extend(beginning(connection, number, &sorted(text), "").await?);
        found.sort_unstable();
        found.dedup();
    }
    if found.is_empty() {
        found = of_page(connection, &ListQuestion { words: text, ..question }).await?;
    }
    if !found.is_empty() {
        return Ok(found.into_iter().map(told).collect());
    }
    let mut length = text.chars().count().min(SORTED_BY);
    while found.len() < ENOUGH && length > 2 {
        length -= 1;
        let start: String = text.chars().take(length).collect();
        found.extend(beginning(connection, number, &sorted(&start), &LAST.to_string()).await?);
        for start in BTreeSet::from([start.to_uppercase(), start.to_lowercase(), start]) {
            let end = format!("{start}{LAST}");
            found.extend(connection.with_ids(number, (&start, &end), ALIKE).await?);
        }
    }
    found.sort_unstable();
    found.dedup();
    if found.is_empty() {
        found = of_page(connection, &ListQuestion { limit: 5, ..question }).await?;
    }
    Ok(found.into_iter().map(told).collect())
}

/// The ids of a kind that look like `text`, itself among them, as the latest entries tell.
async fn looking_like<C: Derived>(
    connection: &mut C,
    kind: u8,
    text: &str,
) -> Result<BTreeSet<String>, ReadError> {
    let mut all = BTreeSet::from([text.to_owned()]);
    let Some(asked) = Subject::of(kind, text) else { return Ok(all) };
    let about = number(program::Part::Folded, &asked);
    for (position, payload) in connection.last_about(about, 1).await? {
        let (_, entry) = Kept { position, payload: &payload }.read()?;
        let things = entry.subjects().into_iter().map(|(_, thing)| thing);
        let same = |thing: &Subject| {
            thing.kind() == kind && program::alike(thing.id()) == program::alike(text)
        };
        all.extend(things.filter(same).map(|thing| thing.id().to_owned()));
    }
    Ok(all)
}

/// The things whose names in small letters are `start`, or begin with it where `end` is not empty.
async fn beginning<C: Derived>(
    connection: &mut C,
    kind: i64,
    start: &str,
    end: &str,
) -> Result<Vec<ThingRow>, ReadError> {
    let mut found = Vec::new();
    for site in connection.sites_of_kind(kind).await? {
        for gone in [0, 1] {
            let sought =
                Sought { kind, site: &site, after: (gone, start, ""), words: &[], limit: ALIKE };
            let mut own = connection.list(&sought).await?;
            let last = format!("{start}{end}");
            own.retain(|row| {
                row.gone == gone && row.sorted.as_str() >= start && row.sorted <= last
            });
            found.append(&mut own);
        }
    }
    Ok(found)
}

/// The sets in service at a site that carry elements, as models with elements.
pub(crate) async fn sets_in_use<S: Store>(
    store: &S,
    site: &SiteId,
) -> Result<Vec<SetsInUse>, ReadError> {
    let mut reading = store.reading().await?;
    let kind = i64::from(Subject::Unit(program::UnitId::new("")).kind());
    let worn = reading.worn_at(kind, site.as_str()).await?;
    let told = worn.into_iter().filter_map(|(worn, units)| {
        let (model, element_type) = serde_json::from_str(&worn).ok()?;
        Some(SetsInUse { model, element_type, units: usize::try_from(units).ok()? })
    });
    Ok(told.collect())
}

/// The state of all that some things are judged by, and of the last `named` entries that only speak
/// of each.
pub(crate) async fn state_about<S: Store>(
    store: &S,
    things: &[Subject],
    named: usize,
) -> Result<State, ReadError> {
    let mut reading = store.reading().await?;
    let mut partial = Partial::default();
    partial.read(&mut *reading, things.iter().cloned().collect()).await?;
    partial.add_for_due(&mut *reading, things, &mut Judges::default()).await?;
    let limit = i64::try_from(named).unwrap_or(i64::MAX);
    for thing in things.iter().filter(|_| named > 0) {
        let about = number(program::Part::Named, thing);
        for (position, payload) in reading.last_about(about, limit).await? {
            let (_, entry) = Kept { position, payload: &payload }.read()?;
            partial.state.apply(&entry);
        }
    }
    Ok(partial.state)
}

/// `state` with what is folded into some more things.
pub(crate) async fn with<S: Store>(
    store: &S,
    state: State,
    things: BTreeSet<Subject>,
) -> Result<State, ReadError> {
    let mut reading = store.reading().await?;
    let mut partial = Partial::of(state, &[]);
    partial.read(&mut *reading, things).await?;
    Ok(partial.state)
}
