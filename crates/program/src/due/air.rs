//! What is due on supplies of air and on cylinders.

use jiff::civil::Date;
use rulebook::supply::{checks, cylinder_checks, cylinder_in_service};
use rulebook::unit::cylinder_overfilled;

use super::days::{Calendar, found};
use super::{About, DueKind, Duty};
use crate::ids::{CylinderId, SupplyId};
use crate::state::{Cylinder, State, Supply};
use crate::supply::{cylinder_facts, supply_facts};

pub(super) fn of_supply(
    state: &State,
    (id, supply): (&SupplyId, &Supply),
    calendar: &Calendar,
    all: &mut Vec<Duty>,
) {
    let mut facts = supply_facts(state, supply, calendar.zone());
    for check in checks() {
        let found = found(|day: Date| {
            facts.day = day;
            (check.run)(&facts)
        });
        let about = (DueKind::Air, About::Supply(id.clone()));
        all.extend(Duty::of(about, Some(supply.site.clone()), found));
    }
}

/// The duties of a cylinder; `back` where it is looked at as it stood before a correction and counts as in
/// service since.
pub(super) fn of_cylinder(
    state: &State,
    (id, cylinder, back): (&CylinderId, &Cylinder, bool),
    calendar: &Calendar,
    all: &mut Vec<Duty>,
) {
    let mut facts = cylinder_facts(state, (id, cylinder), calendar.zone());
    if cylinder.withdrawn.is_some() {
        // One that a correction puts back without being able to is not to be found in store as if it were
        // sound.
        let found = back.then(|| cylinder_in_service::check(&facts)).flatten();
        let about = (DueKind::Cylinder, About::Cylinder(id.clone()));
        all.extend(Duty::of(about, Some(cylinder.site.clone()), found.into_iter().collect()));
        return;
    }
    // Only a new filling tells from which supply: until then it is said before each wear.
    facts.air = facts.air.filter(|air| air.supply.is_some());
    for check in cylinder_checks() {
        let found = found(|day: Date| {
            facts.day = day;
            (check.run)(&facts)
        });
        let about = (DueKind::Cylinder, About::Cylinder(id.clone()));
        all.extend(Duty::of(about, Some(cylinder.site.clone()), found));
    }
    let overfilled = cylinder.pressure.as_ref().and_then(|(read, at)| {
        cylinder_overfilled::of_reading(*read, cylinder.rated, at.entry.as_str())
    });
    let about = (DueKind::Cylinder, About::Cylinder(id.clone()));
    let found = overfilled.into_iter().collect();
    all.extend(Duty::of(about, Some(cylinder.site.clone()), found));
}
