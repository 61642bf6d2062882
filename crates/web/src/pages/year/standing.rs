//! How each wearer stood on one day: cleared, fit tested and trained, or what was missing.

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};
use program::due::{Due, DueKind, Urgency, due_of};
use program::state::{FitTest, State as Records, Wearer};
use program::{Clearance, Entry, Fact, PersonId, Renewal, SiteId, Subject};
use rulebook::Severity;

use crate::wording;

/// A site as it stood on one day, by the entries that count now.
pub(super) struct Standing<'s> {
    /// Every entry, for the names.
    state: &'s Records,
    then: Records,
    pub(super) day: Date,
    at: Timestamp,
}

impl<'s> Standing<'s> {
    /// At the end of `day` at the site, or `now` where that day is not over.
    pub(super) fn on(
        state: &'s Records,
        (site, zone): (&SiteId, &TimeZone),
        (day, now): (Date, Timestamp),
    ) -> Self {
        let ends = day.tomorrow().and_then(|next| next.to_zoned_datetime(zone.clone()));
        let ends = ends.map_or(now, |next| next.timestamp());
        let at = now.min(ends.saturating_sub(SignedDuration::from_micros(1)).unwrap_or(now));
        let counts = |entry: &&Entry| {
            entry.site == *site
                && entry.happened <= at
                && bears(&entry.fact)
                && state.counts(&entry.id)
        };
        let mut then = Records::default();
        for entry in state.entries().filter(counts) {
            // What it put right is left out.
            then.take(Entry { corrects: None, ..entry.clone() });
        }
        Self { state, then, day: at.to_zoned_datetime(zone.clone()).date(), at }
    }

    /// Whether a wearer stood fit tested, cleared and trained.
    pub(super) fn of(&self, id: &PersonId) -> [String; 3] {
        let Some(wearer) = self.then.wearer(id) else {
            return std::array::from_fn(|_| "not enrolled yet".to_owned());
        };
        if wearer.left.is_some() {
            return std::array::from_fn(|_| "had left".to_owned());
        }
        let due = due_of(&self.then, [Subject::Wearer(id.clone())], (self.at, 0));
        let lacks = |kind: DueKind| lacking(&due, kind);
        let trained = lacks(DueKind::Training).unwrap_or_else(|| "yes".to_owned());
        [self.fit(wearer), cleared(wearer, lacks(DueKind::Clearance)), trained]
    }

    /// The models and sizes with a test that counted.
    fn fit(&self, wearer: &Wearer) -> String {
        let every = self.then.every(&wearer.site, "fit.in-date");
        let zone = self.then.site(&wearer.site).and_then(|site| site.time_zone.clone());
        let zone = zone.unwrap_or(TimeZone::UTC);
        let counted = wearer.fit_tests.values().filter_map(|test| {
            let last = every.last_day(test.at.when.to_zoned_datetime(zone.clone()).date());
            let asked = wearer.asked_anew(Renewal::FitTest, Some(&test.at)).is_some();
            let counts = test.passed && !test.hair_in_seal && self.day <= last && !asked;
            counts.then(|| self.fit_words(test, last))
        });
        let counted: Vec<String> = counted.collect();
        match counted.as_slice() {
            [] if wearer.fit_tests.is_empty() => "no: no fit test".to_owned(),
            [] => "no: no test that counted".to_owned(),
            some => format!("yes: {}", some.join("; ")),
        }
    }

    fn fit_words(&self, test: &FitTest, last: Date) -> String {
        let model = self.state.model(&test.model);
        let model = model.map_or(test.model.as_str(), |model| &model.name);
        format!("{model} size {}, until {}", test.size, wording::day(last))
    }
}

/// Whether a fact bears on how a wearer stands.
const fn bears(fact: &Fact) -> bool {
    matches!(
        fact,
        Fact::SiteOpened { .. }
            | Fact::PolicySet { .. }
            | Fact::WearerEnrolled { .. }
            | Fact::WearerLeft { .. }
            | Fact::ClearanceGiven { .. }
            | Fact::ClearanceWritten { .. }
            | Fact::FitTested { .. }
            | Fact::FitMeasured { .. }
            | Fact::Trained { .. }
            | Fact::RenewalAsked { .. }
    )
}

/// What was due of a kind on that day and stood in the way of wearing.
fn lacking(due: &[Due], kind: DueKind) -> Option<String> {
    let stood = |due: &&Due| {
        due.kind == kind && due.urgency == Urgency::Now && due.finding.severity == Severity::Stop
    };
    let now = due.iter().find(stood)?;
    Some(format!("no: {}", now.finding.text()))
}

fn cleared(wearer: &Wearer, lacks: Option<String>) -> String {
    let Some(record) = &wearer.clearance else { return "no: no clearance".to_owned() };
    let until =
        record.until.map_or_else(String::new, |day| format!(", until {}", wording::day(day)));
    match &record.clearance {
        Clearance::NotCleared => "no: NOT cleared".to_owned(),
        _ if lacks.is_some() => lacks.unwrap_or_default(),
        Clearance::Cleared => format!("yes{until}"),
        Clearance::ClearedFor { .. } => format!("yes, for some respirators{until}"),
    }
}
