//! What is due on the instruments and test kits of fit tests.

use jiff::Timestamp;

use super::days::{Calendar, found};
use super::{About, DueKind, Duty};
use crate::ids::InstrumentId;
use crate::state::Instrument;

pub(super) fn duties(
    (id, instrument): (&InstrumentId, &Instrument),
    calendar: &Calendar,
    all: &mut Vec<Duty>,
) {
    if instrument.is_withdrawn() {
        return;
    }
    let facts = instrument.facts(Timestamp::MAX, calendar.zone());
    let about = (DueKind::FitTest, About::Instrument(id.clone()));
    all.extend(Duty::of(about, Some(instrument.site.clone()), found(|day| facts.due(day))));
}
