use std::collections::BTreeMap;

use jiff::{SignedDuration, Timestamp};
use program::{Fact, PersonId, SiteId, UnitId};
use rand::RngExt;
use rand_pcg::Pcg64Mcg;

use super::calendar::Calendar;
use super::journal::{Draft, DraftKey, Journal};
use super::listed::{Listed, Site};

/// One site while its history is made.
pub(super) struct Scene<'a> {
    pub(super) listed: &'a Listed,
    pub(super) site: &'a Site,
    pub(super) calendar: Calendar,
    pub(super) chance: &'a mut Pcg64Mcg,
    pub(super) journal: &'a mut Journal,
    /// By name: the days on which a person could wear.
    pub(super) careers: BTreeMap<String, Career>,
}

/// The days back between which a person could wear, `from` being the earlier day. None where
/// `from` lies after `until`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Career {
    pub(super) from: i64,
    pub(super) until: i64,
}

impl Career {
    pub(super) const fn holds(self, back: i64) -> bool {
        self.until <= back && back <= self.from
    }
}

/// A day and a minute of it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Moment {
    pub(super) back: i64,
    pub(super) minute: i64,
}

impl Moment {
    pub(super) const fn later(self, minutes: i64) -> Self {
        Self { back: self.back, minute: self.minute + minutes }
    }
}

impl Scene<'_> {
    /// A fact that the administrator entered at a desk.
    pub(super) fn desk(&mut self, when: Moment, fact: Fact) -> anyhow::Result<DraftKey> {
        let by = person(&self.site.administrator);
        self.enter(when, by, "desk", fact)
    }

    /// A fact that a care technician entered at the bench.
    pub(super) fn bench(&mut self, when: Moment, fact: Fact) -> anyhow::Result<DraftKey> {
        let by = self.technician();
        self.enter(when, by, "bench tablet", fact)
    }

    /// A fact that a wearer entered at the door of the work area.
    pub(super) fn door(&mut self, when: Moment, who: &str, fact: Fact) -> anyhow::Result<DraftKey> {
        self.enter(when, person(who), "door phone", fact)
    }

    /// A fact of the last two hours, `minutes` before now; less in the first two hours after
    /// midnight, so that it happened today. Entered by `who`, or at the bench by a technician.
    pub(super) fn today(
        &mut self,
        minutes: i64,
        who: Option<&str>,
        fact: Fact,
    ) -> anyhow::Result<()> {
        let happened = self.ago(minutes)?;
        let author = match who {
            Some(name) => (person(name), "door phone"),
            None => (self.technician(), "bench tablet"),
        };
        let key = self.draft(happened, author, None, fact);
        // One delay for all of them keeps them in order, however close they lie.
        self.journal.delay(key, SignedDuration::from_secs(20));
        Ok(())
    }

    /// The instant `minutes` before now, drawn nearer where that would be yesterday.
    pub(super) fn ago(&self, minutes: i64) -> anyhow::Result<Timestamp> {
        let now = self.journal.now();
        let midnight = self.calendar.at(0, 0)?;
        let seconds = now.duration_since(midnight).as_secs().clamp(0, 2 * 60 * 60);
        let before = SignedDuration::from_secs(seconds * minutes / (2 * 60));
        Ok(now.checked_sub(before)?)
    }

    /// Puts `wrong` right: the fact happened when it happened, and is entered anew later.
    pub(super) fn correct(
        &mut self,
        wrong: DraftKey,
        when: Moment,
        entered: Moment,
        fact: Fact,
    ) -> anyhow::Result<()> {
        let happened = self.calendar.at(when.back, when.minute)?;
        let later = self.calendar.at(entered.back, entered.minute)?;
        let by = person(&self.site.administrator);
        let key = self.draft(happened, (by, "desk"), Some(wrong), fact);
        self.journal.delay(key, later.duration_since(happened));
        Ok(())
    }

    /// True in a part `share` of all cases.
    pub(super) fn happens(&mut self, share: f64) -> bool {
        self.chance.random_bool(share.clamp(0.0, 1.0))
    }

    /// A whole number from `low` up to and with `high`.
    pub(super) fn between(&mut self, low: i64, high: i64) -> i64 {
        self.chance.random_range(low..=high)
    }

    /// A number between `low` and `high`.
    pub(super) fn amount(&mut self, low: f64, high: f64) -> f64 {
        if low < high { self.chance.random_range(low..high) } else { low }
    }

    /// One of `among`; nothing of nothing.
    pub(super) fn one_of<T: Clone>(&mut self, among: &[T]) -> Option<T> {
        if among.is_empty() {
            return None;
        }
        let index = self.chance.random_range(0..among.len());
        among.get(index).cloned()
    }

    fn technician(&mut self) -> PersonId {
        let site = self.site;
        let name = self.one_of(&site.technicians);
        person(&name.unwrap_or_else(|| site.administrator.clone()))
    }

    fn enter(
        &mut self,
        when: Moment,
        by: PersonId,
        device: &'static str,
        fact: Fact,
    ) -> anyhow::Result<DraftKey> {
        let happened = self.calendar.at(when.back, when.minute)?;
        Ok(self.draft(happened, (by, device), None, fact))
    }

    /// Facts about one thing lie two minutes apart or more, so that a delay below that keeps them in
    /// order.
    fn draft(
        &mut self,
        happened: Timestamp,
        (by, device): (PersonId, &'static str),
        corrects: Option<DraftKey>,
        fact: Fact,
    ) -> DraftKey {
        let delay = SignedDuration::from_secs(self.between(5, 90));
        let site = SiteId::new(&self.site.id);
        self.journal.keep(Draft { site, happened, delay, by, device, corrects, fact })
    }
}

/// The id of the person with this invented name: `Alder Finch` is `alder-finch`.
pub(super) fn person(name: &str) -> PersonId {
    PersonId::new(name.to_lowercase().replace(' ', "-"))
}

/// The id of the respirator with this tag.
pub(super) fn unit(tag: &str) -> UnitId {
    UnitId::new(tag)
}
