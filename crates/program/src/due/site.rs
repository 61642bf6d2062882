//! What is due on the program of a site as a whole.

use jiff::civil::Date;
use rulebook::duties::{self, Shown, ShownFacts};
use rulebook::site::{
    Administrator, Consultation, Evaluation, OpenAction, ProgramFacts, Section, Topic,
    WrittenProgram, checks,
};

use super::days::{Calendar, found};
use super::{About, DueKind, Duty};
use crate::entry::Role;
use crate::ids::SiteId;
use crate::state::{Site, State};

pub(super) fn duties(
    state: &State,
    (id, site): (&SiteId, &Site),
    calendar: &Calendar,
    all: &mut Vec<Duty>,
) {
    let mut facts = facts(state, (id, site), calendar);
    for check in checks() {
        let found = found(|day: Date| {
            facts.day = day;
            (check.run)(&facts)
        });
        let about = (DueKind::Program, About::Site(id.clone()));
        all.extend(Duty::of(about, Some(id.clone()), found));
    }
    let shown = duties::all().iter().filter(|duty| duty.is_shown_by_a_person());
    for duty in shown {
        let last = site.shown.get(&duty.id).map(|shown| Shown {
            day: calendar.day(shown.at.when),
            until: shown.until,
            entry: shown.at.entry.as_str(),
        });
        let found = found(|day| duties::shown::check(&ShownFacts { duty, day, shown: last }));
        let about = (DueKind::ToShow, About::Site(id.clone()));
        all.extend(Duty::of(about, Some(id.clone()), found));
    }
}

/// The facts about the program of a site, on no day in particular.
fn facts<'s>(
    state: &'s State,
    (id, site): (&SiteId, &'s Site),
    calendar: &Calendar,
) -> ProgramFacts<'s> {
    let parts = state.people().flat_map(|(_, person)| person.parts().map(move |p| (person, p)));
    let here = parts.filter(|(_, held)| held.site == *id && held.role == Role::Administrator);
    let latest = here.max_by_key(|(_, held)| held.at.when);
    let was_shown = |duty: &str| site.shown.contains_key(duty);
    ProgramFacts {
        day: Date::MAX,
        written: site.written.as_ref().map(|written| WrittenProgram {
            day: calendar.day(written.at.when),
            sections: Section::ALL.into_iter().filter(|s| was_shown(s.duty())).collect(),
            entry: written.at.entry.as_str(),
        }),
        administrator: latest.map(|(person, held)| Administrator {
            name: &person.name,
            shown: &held.shown,
            until: held.until,
            entry: held.at.entry.as_str(),
        }),
        evaluated: site.evaluated.as_ref().map(|noted| Evaluation {
            day: calendar.day(noted.at.when),
            entry: noted.at.entry.as_str(),
        }),
        evaluation_counts: site.every("program.evaluated"),
        consulted: site
            .consulted
            .as_ref()
            .map(|asked| Consultation {
                day: calendar.day(asked.at.when),
                // One conversation is about all four; a duty shown on its own adds nothing here.
                topics: Topic::ALL.to_vec(),
                entry: asked.at.entry.as_str(),
            })
            .into_iter()
            .collect(),
        consultation_counts: site.every("program.consulted"),
        open_actions: site
            .actions
            .values()
            .filter(|action| action.closed.is_none())
            .map(|action| OpenAction {
                what: &action.what,
                until: action.until,
                entry: action.at.entry.as_str(),
            })
            .collect(),
    }
}
