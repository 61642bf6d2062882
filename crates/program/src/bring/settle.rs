//! Rows against each other and against what is known: nothing is added twice, and no contradiction
//! is brought in.

use std::collections::BTreeMap;

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

use super::fate::{Fate, differences, entry_id};
use super::known::Known;
use super::row::{Draft, Refusal, When};
use crate::alike;
use crate::check::{Problem, check_fact};
use crate::entry::{Entry, Fact};
use crate::ids::{EntryId, PersonId};
use crate::state::State;

/// A row that could be read, and its line.
pub(super) type Read = (usize, Result<Draft, Vec<Refusal>>);

/// Who brings, when and from where.
pub(super) struct Bringing<'a> {
    pub(super) now: Timestamp,
    pub(super) zone: &'a TimeZone,
    pub(super) by: &'a PersonId,
    pub(super) device: &'a str,
}

/// What a fact is about: of two facts about one matter only one can hold, or the later.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Matter {
    /// A thing that is listed once.
    Thing(&'static str, String),
    /// Something that happens to a person on a day.
    OnDay(&'static str, String, Date),
}

/// The fate of each row, in their order.
pub(super) fn settle(read: Vec<Read>, known: &Known<'_>, bringing: &Bringing<'_>) -> Vec<Fate> {
    let mut groups: BTreeMap<Matter, Vec<usize>> = BTreeMap::new();
    for (place, (_, draft)) in read.iter().enumerate() {
        let matter = draft.as_ref().ok().and_then(|draft| matter_of(draft, bringing));
        if let Some(matter) = matter {
            groups.entry(matter).or_default().push(place);
        }
    }
    let mut among: BTreeMap<usize, Fate> = BTreeMap::new();
    for rows in groups.values().filter(|rows| rows.len() > 1) {
        among.extend(rows.iter().filter_map(|row| Some((*row, against_rows(*row, rows, &read)?))));
    }
    let fate = |(place, (_, draft)): (usize, Read)| match draft {
        Err(refused) => Fate::Refused(refused),
        Ok(draft) => match among.remove(&place) {
            Some(fate) => fate,
            None => against_state(&draft, known, bringing)
                .unwrap_or_else(|| if_it_can_be(entry(draft, known, bringing), known)),
        },
    };
    read.into_iter().enumerate().map(fate).collect()
}

fn entry(draft: Draft, known: &Known<'_>, bringing: &Bringing<'_>) -> Entry {
    Entry {
        id: entry_id(known.site, &draft),
        site: known.site.clone(),
        happened: draft.when.map_or(bringing.now, |when| when.at),
        entered: bringing.now,
        by: bringing.by.clone(),
        device: bringing.device.to_owned(),
        corrects: None,
        fact: draft.fact,
    }
}

/// A new entry, unless what it says cannot be so.
fn if_it_can_be(entry: Entry, known: &Known<'_>) -> Fate {
    match check_fact(known.state, (&entry.site, entry.happened), &entry.fact) {
        Ok(()) => Fate::New(Box::new(entry)),
        Err(problems) => Fate::Refused(problems.into_iter().map(refused).collect()),
    }
}

/// The field of a fact is called as the column is, without what stands before its last dot.
fn refused(problem: Problem) -> Refusal {
    let column = problem.field.rsplit('.').next().unwrap_or(problem.field).replace('_', " ");
    Refusal { column, why: problem.what, remedy: problem.remedy }
}

/// What the other rows about the same matter make of a row, if anything.
fn against_rows(row: usize, rows: &[usize], read: &[Read]) -> Option<Fate> {
    let draft = |place: usize| match read.get(place) {
        Some((line, Ok(draft))) => Some((*line, draft)),
        _ => None,
    };
    let (_, own) = draft(row)?;
    let others = || rows.iter().filter(|other| **other != row).filter_map(|other| draft(*other));
    if let Some((line, other)) = others().find(|(_, other)| clash(own, other)) {
        if let Some((own_id, id)) = written_otherwise(&own.fact, &other.fact) {
            let why =
                format!("row {line} writes the name `{own_id}` as `{id}`, and both would be one");
            return Some(Fate::Refused(vec![refusal(own, why, "write it in one way, in one row")]));
        }
        let why = format!(
            "row {line} says otherwise of the same: {}",
            differences(&own.fact, &other.fact).join(", ")
        );
        return Some(Fate::Refused(vec![refusal(own, why, "leave in what is right")]));
    }
    let earlier = rows.iter().filter(|other| **other < row).filter_map(|other| draft(*other));
    let mut earlier = earlier.filter(|(_, other)| same(own, other));
    let (line, _) = earlier.next()?;
    Some(Fate::Known { because: format!("row {line} says the same") })
}

/// What is known already makes of a row, if anything.
fn against_state(draft: &Draft, known: &Known<'_>, bringing: &Bringing<'_>) -> Option<Fate> {
    let id = entry_id(known.site, draft);
    if known.state.entry(&id).is_some() {
        let because = match known.state.counted_instead_of(&id) {
            None => "it was brought before".to_owned(),
            Some(other) => format!("it was brought before, and corrected by `{}`", other.id),
        };
        return Some(Fate::Known { because });
    }
    match matter_of(draft, bringing)? {
        Matter::Thing(kind, thing) => against_thing(draft, (kind, &thing), known),
        Matter::OnDay(..) => against_day(draft, known, bringing),
    }
}

fn against_thing(draft: &Draft, (kind, thing): (&str, &str), known: &Known<'_>) -> Option<Fate> {
    let kept = known.state.entry(&known.listed(kind, thing)?)?;
    if kept.site != *known.site && kind != "model" && kind != "element type" {
        let why = format!("a {kind} of this name belongs to the site `{}`", kept.site);
        return Some(Fate::Refused(vec![refusal(draft, why, "give it another name")]));
    }
    if kept.fact == draft.fact {
        return Some(Fate::Known {
            because: format!("it is listed already (entry `{}`)", kept.id),
        });
    }
    if let Some((own, id)) = written_otherwise(&draft.fact, &kept.fact) {
        let why = format!("`{own}` is listed already as `{id}` (entry `{}`)", kept.id);
        return Some(Fate::Refused(vec![refusal(
            draft,
            why,
            "write the name as it is listed, or another",
        )]));
    }
    let differ = differences(&draft.fact, &kept.fact).join(", ");
    let why = format!("it is listed already and differs in: {differ} (entry `{}`)", kept.id);
    let remedy = "correct the entry that is kept, or give this one another name";
    Some(Fate::Refused(vec![refusal(draft, why, remedy)]))
}

fn against_day(draft: &Draft, known: &Known<'_>, bringing: &Bringing<'_>) -> Option<Fate> {
    let (state, own) = (known.state, matter_of(draft, bringing)?);
    let counts = |entry: &&Entry| state.counted_instead_of(&entry.id).is_none();
    let kept = history(state, &draft.fact).into_iter().filter(counts);
    let kept: Vec<(&EntryId, Draft)> = kept
        .map(|entry| {
            let day = bringing.zone.to_datetime(entry.happened).date();
            let when = Some(When { day, at: entry.happened, timed: true });
            (&entry.id, Draft { fact: entry.fact.clone(), when })
        })
        .filter(|(_, other)| matter_of(other, bringing).is_some_and(|other| other == own))
        .collect();
    if let Some((id, _)) = kept.iter().find(|(_, other)| same(draft, other)) {
        return Some(Fate::Known { because: format!("it is kept already (entry `{id}`)") });
    }
    let (id, _) = kept.iter().find(|(_, other)| clash(draft, other))?;
    let why = format!(
        "of that day something else is kept (entry `{id}`), and which of the two came last is not told"
    );
    let remedy = "fill in the time of day, or correct the entry that is kept";
    Some(Fate::Refused(vec![refusal(draft, why, remedy)]))
}

/// Two facts about one matter that cannot both hold, or of which nobody could tell the later.
fn clash(one: &Draft, other: &Draft) -> bool {
    one.fact != other.fact && at_one_time(one, other)
}

fn same(one: &Draft, other: &Draft) -> bool {
    one.fact == other.fact && at_one_time(one, other)
}

/// Whether the times of both do not tell them apart.
fn at_one_time(one: &Draft, other: &Draft) -> bool {
    match (is_thing(&one.fact), one.when, other.when) {
        (true, ..) => true,
        (false, Some(one), Some(other)) => !one.timed || !other.timed || one.at == other.at,
        (false, ..) => true,
    }
}

/// The names of one thing in two facts, where they are written with other capitals or spaces.
fn written_otherwise<'f>(one: &'f Fact, other: &'f Fact) -> Option<(&'f str, &'f str)> {
    let ((_, one), (_, other)) = thing(one).zip(thing(other))?;
    (one != other).then_some((one, other))
}

fn is_thing(fact: &Fact) -> bool {
    thing(fact).is_some()
}

fn matter_of(draft: &Draft, bringing: &Bringing<'_>) -> Option<Matter> {
    if let Some((kind, id)) = thing(&draft.fact) {
        return Some(Matter::Thing(kind, alike(id)));
    }
    let day = match draft.when {
        Some(when) => when.day,
        None => bringing.zone.to_datetime(bringing.now).date(),
    };
    let (kind, about) = match &draft.fact {
        Fact::FitTested { wearer, model, size, .. }
        | Fact::FitMeasured { wearer, model, size, .. } => {
            ("fit", format!("{wearer}\0{model}\0{size}"))
        }
        Fact::Trained { wearer, topic, .. } => ("training", format!("{wearer}\0{topic:?}")),
        Fact::ClearanceGiven { wearer, .. } | Fact::ClearanceWritten { wearer, .. } => {
            ("clearance", wearer.to_string())
        }
        _ => return None,
    };
    Some(Matter::OnDay(kind, about, day))
}

/// The thing that a fact lists, and its kind.
fn thing(fact: &Fact) -> Option<(&'static str, &str)> {
    Some(match fact {
        Fact::WearerEnrolled { wearer, .. } => ("wearer", wearer.as_str()),
        Fact::ModelListed { model, .. } => ("model", model.as_str()),
        Fact::UnitReceived { unit, .. } => ("respirator", unit.as_str()),
        Fact::ElementTypeListed { element_type, .. } => ("element type", element_type.as_str()),
        Fact::CylinderListed { cylinder, .. } => ("cylinder", cylinder.as_str()),
        Fact::TaskDescribed { task, .. } | Fact::TaskDescribedBySegments { task, .. } => {
            ("task", task.as_str())
        }
        Fact::StockReceived { stock, .. } => ("box", stock.as_str()),
        _ => return None,
    })
}

/// Every entry about the person of a fact.
fn history<'s>(state: &'s State, fact: &Fact) -> Vec<&'s Entry> {
    match fact {
        Fact::Trained { wearer, .. } if state.wearer(wearer).is_none() => {
            state.history_of_person(wearer).collect()
        }
        Fact::FitTested { wearer, .. }
        | Fact::Trained { wearer, .. }
        | Fact::ClearanceGiven { wearer, .. }
        | Fact::ClearanceWritten { wearer, .. } => state.history_of_wearer(wearer).collect(),
        _ => Vec::new(),
    }
}

fn refusal(draft: &Draft, why: String, remedy: &str) -> Refusal {
    let column = column_of(&draft.fact).to_owned();
    Refusal { column, why, remedy: remedy.to_owned() }
}

/// The column in which a row says what it is about.
const fn column_of(fact: &Fact) -> &'static str {
    match fact {
        Fact::WearerEnrolled { .. }
        | Fact::ModelListed { .. }
        | Fact::ElementTypeListed { .. }
        | Fact::TaskDescribed { .. }
        | Fact::TaskDescribedBySegments { .. } => "id",
        Fact::UnitReceived { .. } | Fact::CylinderListed { .. } => "tag",
        Fact::StockReceived { .. } => "box",
        _ => "date",
    }
}
