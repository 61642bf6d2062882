//! Who stands by outside immediately dangerous air at an instant.

use std::collections::BTreeSet;

use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};
use rulebook::counts_as_dangerous;
use rulebook::standby::LONGEST_MIN;

use crate::alike;
use crate::ids::{PersonId, TaskId, UnitId};
use crate::state::{At, Posting, State, Subject};
use crate::verdict::{Ask, latest_by_any_clock};

/// The longest that a posting stands.
fn longest() -> SignedDuration {
    SignedDuration::from_mins(i64::from(LONGEST_MIN))
}

/// The day of universal time of an instant, by which postings are found.
pub(crate) fn day(when: Timestamp) -> String {
    Offset::UTC.to_datetime(when).date().to_string()
}

/// The days on which postings that can stand at an instant were made, by any clock.
pub(crate) fn days(now: Timestamp) -> BTreeSet<String> {
    BTreeSet::from([day(since(now)), day(latest_by_any_clock(now))])
}

/// A posting from before this stands no more.
fn since(now: Timestamp) -> Timestamp {
    now.checked_sub(longest()).unwrap_or(now)
}

/// The latest posting for a task that can still stand.
#[derive(Clone, Copy)]
pub(crate) struct Standing<'s> {
    pub(crate) posting: &'s Posting,
    /// Where it was ended before its time.
    pub(crate) ended: Option<&'s At>,
}

impl Standing<'_> {
    /// When it ends: at its time, and after the longest that any stands.
    pub(crate) fn until(&self) -> Timestamp {
        let posting = self.posting;
        let longest = posting.at.when.checked_add(longest()).unwrap_or(posting.until);
        posting.until.min(longest)
    }

    /// Whether somebody stands there at an instant.
    pub(crate) fn stands_at(&self, when: Timestamp) -> bool {
        self.ended.is_none() && when < self.until()
    }
}

/// The latest posting for each task that was made so lately that it can stand at `now`.
pub(crate) fn standing(state: &State, now: Timestamp) -> Vec<Standing<'_>> {
    let (since, latest) = (since(now), latest_by_any_clock(now));
    let within = |at: &At| since < at.when && at.when <= latest;
    let days = days(now);
    let watches = || days.iter().filter_map(|day| state.watch(day));
    let postings = watches().flat_map(|watch| &watch.postings).filter(|one| within(&one.at));
    let mut all: Vec<Standing<'_>> = Vec::new();
    for posting in postings {
        all.retain(|earlier| earlier.posting.task != posting.task);
        let mut ended = watches().flat_map(|watch| &watch.ended).filter(|(_, at)| within(at));
        // Who was stood down is so under an id that only looks like that of the task.
        let of_it = |task: &TaskId| alike(task.as_str()) == alike(posting.task.as_str());
        let ended = ended.find(|(task, at)| of_it(task) && posting.at.when <= at.when);
        all.push(Standing { posting, ended: ended.map(|(_, at)| at) });
    }
    all
}

/// The latest posting for a task that can stand at `now`.
pub(crate) fn of_task<'s>(state: &'s State, task: &TaskId, now: Timestamp) -> Option<Standing<'s>> {
    standing(state, now).into_iter().find(|one| one.posting.task == *task)
}

/// A posting at `now`, for another task than this one, of which `named` is so.
pub(crate) fn elsewhere<'s>(
    state: &'s State,
    task: &TaskId,
    now: Timestamp,
    named: impl Fn(&Posting) -> bool,
) -> Option<&'s Posting> {
    at_hand(state, now, |one| one.task != *task && named(one))
}

/// A posting at `now`, for whatever task, of which `named` is so.
pub(crate) fn at_hand(
    state: &State,
    now: Timestamp,
    named: impl Fn(&Posting) -> bool,
) -> Option<&Posting> {
    let all = standing(state, now).into_iter().filter(|one| one.stands_at(now));
    all.map(|one| one.posting).find(|one| named(one))
}

/// Whether nobody enters the air of a task without somebody who stands by outside.
pub(crate) fn is_asked(state: &State, task: &TaskId, now: Timestamp) -> bool {
    state.place_at(task, now).is_some_and(|place| counts_as_dangerous(&place))
}

/// Whether each who stands by could go in: a question for each with a set of their own at hand. So it is for
/// every posting that can stand at `now`, the corrected ones among them: before a correction another counts.
pub(crate) fn questions(state: &State, ask: &Ask, now: Timestamp) -> Vec<Ask> {
    let mut all = Vec::new();
    for thing in days(now).into_iter().map(Subject::Watch) {
        for entry in state.history(&thing) {
            let posting = Posting::of(&entry.fact, At::first(entry));
            let Some(posting) = posting.filter(|one| one.task == ask.task) else { continue };
            for (place, person) in posting.outside.iter().enumerate() {
                let Some(set) = posting.set_of(place) else { continue };
                let (wearer, unit, task) = (person.clone(), set.clone(), ask.task.clone());
                all.push(Ask { wearer, unit, task, planned_wear: None });
            }
        }
    }
    all
}

/// What cannot be so of a posting: where it stands in the fact, what it is and what puts it right.
pub(crate) fn problems(posting: &Posting) -> Vec<(&'static str, String, &'static str)> {
    let mut all = Vec::new();
    let mut add = |field, what: String, remedy| all.push((field, what, remedy));
    let (from, until) = (posting.at.when, posting.until);
    if until <= from {
        add("until", "it ends before it begins".to_owned(), "write until when they stand there");
    } else if longest() < until.duration_since(from) {
        let what = format!("nobody stands by for more than {} h at a stretch", LONGEST_MIN / 60);
        add("until", what, "write the end of the shift, and post others after it");
    }
    if posting.outside.is_empty() {
        add("outside", "nobody stands outside".to_owned(), "name one person at least");
    }
    if let Some(twice) = twice(&posting.outside, PersonId::as_str) {
        let what = format!("`{twice}` is named twice");
        add("outside", what, "name each person once");
    }
    if let Some(both) = posting.outside.iter().find(|id| posting.goes_in(id)) {
        let what = format!("`{both}` cannot be outside and inside at once");
        add("inside", what, "name others, in one place or the other");
    }
    if let Some(twice) = twice(&posting.inside, PersonId::as_str) {
        let what = format!("`{twice}` is named twice");
        add("inside", what, "name each person once");
    }
    if posting.sets.len() != posting.outside.len() {
        let (sets, people) = (posting.sets.len(), posting.outside.len());
        let what = format!("{sets} sets for {people} outside");
        add("sets", what, "name one set for each, in the order of the people");
    }
    if let Some(twice) = twice(&posting.sets, UnitId::as_str) {
        let what = format!("`{twice}` serves one person only");
        add("sets", what, "name a set for each");
    }
    if let Some(other) = posting.other_role.iter().find(|id| !posting.outside.contains(id)) {
        let what = format!("`{other}` does not stand outside");
        add("other_role", what, "name those of the people outside who have another role");
    }
    all
}

/// One that is named twice, under the same id or one that looks like it.
fn twice<T>(all: &[T], id: fn(&T) -> &str) -> Option<&str> {
    let mut seen = BTreeSet::new();
    all.iter().map(id).find(|id| !seen.insert(alike(id)))
}
