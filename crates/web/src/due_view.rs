//! What is due, as a list with links and remedies.

use askama::Template;
use ledger::{DueAnswer, DueCount};
use program::SiteId;
use program::due::{About, Due, DueKind, Urgency};
use program::state::State;

use crate::telling;

/// Duties of one kind.
pub(crate) struct Group {
    pub(crate) heading: &'static str,
    pub(crate) anchor: &'static str,
    /// How many there are, more perhaps than are told.
    pub(crate) count: u64,
    first: Vec<Line>,
    rest: Vec<Line>,
    /// The page of all of them, where more are due than are told.
    all: Option<String>,
}

pub(crate) struct Line {
    pub(crate) address: String,
    pub(crate) name: String,
    pub(crate) words: String,
    pub(crate) remedy: String,
    pub(crate) citation: String,
    pub(crate) class: &'static str,
    pub(crate) urgency: &'static str,
    pub(crate) evidence: Vec<String>,
}

/// How many duties of a kind are shown before the rest is folded away.
const FIRST: usize = 6;

/// How many duties of a kind are told on the page of the day; its own page tells them all.
pub(crate) const ON_TODAY: usize = 36;

/// The groups of what is due, those without a duty left out.
pub(crate) fn groups<'d>(state: &State, all: impl IntoIterator<Item = &'d Due>) -> Vec<Group> {
    let all: Vec<&Due> = all.into_iter().collect();
    let groups = DueKind::ALL.into_iter().map(|kind| {
        let (heading, anchor) = heading(kind);
        let mut lines = all.iter().filter(|due| due.kind == kind).map(|due| Line::of(state, due));
        let first: Vec<Line> = lines.by_ref().take(FIRST).collect();
        let rest: Vec<Line> = lines.collect();
        let count = u64::try_from(first.len().saturating_add(rest.len())).unwrap_or(u64::MAX);
        Group { heading, anchor, count, first, rest, all: None }
    });
    groups.filter(|group| group.count > 0).collect()
}

/// The words for a kind of duty, and its name in an address.
pub(crate) const fn heading(kind: DueKind) -> (&'static str, &'static str) {
    match kind {
        DueKind::Sensed => ("Something smelled, tasted or felt inside", "sensed"),
        DueKind::Held => ("Held back", "held"),
        DueKind::Inspection => ("Inspections failed or due", "inspections"),
        DueKind::Cylinder => ("Cylinders to fill, read, list or take off", "cylinders"),
        DueKind::ShelfLife => ("Elements past or near the end of their shelf life", "shelf-life"),
        DueKind::Clearance => ("Medical clearances", "clearances"),
        DueKind::FitTest => ("Fit tests and their instruments", "fit-tests"),
        DueKind::Training => ("Training", "training"),
        DueKind::Reading => ("Tasks to measure", "readings"),
        DueKind::Schedule => ("Tasks without a change schedule", "schedules"),
        DueKind::Air => ("Breathing air and its supplies", "air"),
        DueKind::Care => ("Repaired, washed or put away otherwise than the rules ask", "care"),
        DueKind::Program => ("The program of the site", "program"),
        DueKind::Contradiction => ("Records that contradict each other", "records"),
        DueKind::ToShow => ("Duties to be shown by a person", "to-show"),
    }
}

impl Line {
    pub(crate) fn of(state: &State, due: &Due) -> Self {
        let (address, name) = match &due.about {
            About::Unit(id) => (
                format!("/respirators/{}", encoded(id.as_str())),
                format!("{id}, {}", telling::unit(state, id)),
            ),
            About::Wearer(id) => {
                (format!("/wearers/{}", encoded(id.as_str())), telling::person(state, id))
            }
            About::Task(id) => {
                (format!("/tasks/{}", encoded(id.as_str())), telling::task(state, id))
            }
            About::Cylinder(id) => (format!("/cylinders/{}", encoded(id.as_str())), id.to_string()),
            About::Supply(id) => {
                let known = state.supply(id).map_or_else(|| id.to_string(), |s| s.name.clone());
                (format!("/supplies/{}", encoded(id.as_str())), known)
            }
            About::Stock(id) => (format!("/boxes/{}", encoded(id.as_str())), id.to_string()),
            About::Instrument(id) => {
                let known = state.instrument(id).map_or_else(|| id.to_string(), |i| i.name.clone());
                (format!("/instruments/{}", encoded(id.as_str())), known)
            }
            About::Site(id) => {
                (format!("/sites/{}", encoded(id.as_str())), telling::site(state, id))
            }
            About::Records => (String::new(), String::new()),
        };
        let (class, urgency) = match due.urgency {
            Urgency::Now => ("stop", "now"),
            Urgency::Soon => ("caution", "within 30 days"),
            Urgency::Over => ("note", "no longer stops, to be known"),
        };
        Self {
            address,
            name,
            words: due.finding.text(),
            remedy: due.finding.remedy(),
            citation: due.finding.citation().to_owned(),
            class,
            urgency,
            evidence: due.finding.evidence.clone(),
        }
    }
}

/// Text as a part of an address.
pub(crate) fn encoded(text: &str) -> String {
    askama::filters::urlencode_strict(text).map(|safe| safe.to_string()).unwrap_or_default()
}

/// The groups one under the other.
#[derive(Template)]
#[template(path = "parts/due.html")]
pub(crate) struct DuePart {
    pub(crate) groups: Vec<Group>,
}

impl DuePart {
    /// What an answer tells of each kind, and how many there are of it.
    pub(crate) fn counted(state: &State, answer: &DueAnswer, site: Option<&SiteId>) -> Self {
        let mut groups = groups(state, &answer.first);
        let site = site.map(|site| format!("?site={}", encoded(site.as_str()))).unwrap_or_default();
        for group in &mut groups {
            let of_kind = |count: &&DueCount| heading(count.kind).1 == group.anchor;
            let told = group.count;
            group.count = answer.counts.iter().filter(of_kind).map(|count| count.duties).sum();
            group.all = (group.count > told).then(|| format!("/due/{}{site}", group.anchor));
        }
        Self { groups }
    }
}
