//! Which forms are offered beside which thing.

use askama::Template;
use program::State;
use program::state::Unit;
use rulebook::{AirSource, Device};

use super::EntryForm;
use super::forms;
use crate::due_view::encoded;
use crate::named::Thing;

/// Where a form is offered.
#[derive(Clone, Copy)]
pub(crate) enum Offer {
    /// Where things are opened, listed, enrolled and described.
    Program,
    /// With each respirator that it fits.
    Unit(fn(&State, &Unit) -> bool),
    /// With each thing of its first kind.
    Thing,
}

/// A link to a form.
pub(crate) struct Offered {
    address: String,
    words: &'static str,
}

/// Links to forms.
#[derive(Template)]
#[template(path = "parts/offers.html")]
pub(crate) struct OffersPart {
    pub(crate) offered: Vec<Offered>,
}

/// The forms that fit the thing of this id.
pub(crate) fn offered(state: &State, thing: Thing, id: &str) -> OffersPart {
    let fits = |form: &&&EntryForm| match form.offer {
        Offer::Program => false,
        Offer::Thing => true,
        Offer::Unit(fits) => {
            state.unit(&program::UnitId::new(id)).is_some_and(|unit| fits(state, unit))
        }
    };
    // What is recorded of any person is offered with a wearer too.
    let of = |form: &&EntryForm| {
        form.about().is_some_and(|(own, ask)| {
            own == thing || (thing == Thing::Wearer && ask.path == "wearer")
        })
    };
    let of_thing = forms::all().filter(of);
    let offered = of_thing.filter(|form| fits(&form)).map(|form| Offered {
        address: format!(
            "/record/{}?{}={}",
            form.path(),
            form.about().map_or("", |(_, ask)| ask.path),
            encoded(id)
        ),
        words: form.link,
    });
    OffersPart { offered: offered.collect() }
}

/// Whether it was not retired.
pub(super) fn in_service(_: &State, unit: &Unit) -> bool {
    unit.retired.is_none()
}

/// Whether it is held, or out of service because it failed or was not rightly released.
pub(super) fn held(state: &State, unit: &Unit) -> bool {
    unit.retired.is_none() && !not_held(state, unit)
}

pub(super) fn not_held(state: &State, unit: &Unit) -> bool {
    let record = program::care::of(state, &unit.id);
    let out = record.is_some_and(|record| record.care.is_out_of_service());
    unit.held.is_none() && unit.retired.is_none() && !out
}

/// Whether it was changed for a fit test and not put back since.
pub(super) fn changed_for_test(_: &State, unit: &Unit) -> bool {
    unit.changed_for_test.is_some() && unit.retired.is_none()
}

pub(super) fn in_store(state: &State, unit: &Unit) -> bool {
    unit.holders.is_empty() && not_held(state, unit)
}

pub(super) fn in_hands(_: &State, unit: &Unit) -> bool {
    !unit.holders.is_empty()
}

pub(super) fn carries_elements(_: &State, unit: &Unit) -> bool {
    unit.elements.is_some() && unit.retired.is_none()
}

/// Whether elements can be fitted to it: it cleans the air of the room and is no filter itself.
pub(super) fn takes_elements(state: &State, unit: &Unit) -> bool {
    let device = state.model(&unit.model).map(|model| &model.device);
    let takes = |device: &Device| device.air_source.purifies_air() && !device.filtering_facepiece;
    device.is_none_or(takes) && unit.retired.is_none()
}

pub(super) fn powered(state: &State, unit: &Unit) -> bool {
    source(state, unit) == Some(AirSource::PoweredAirPurifying) && unit.retired.is_none()
}

pub(super) fn brings_air(state: &State, unit: &Unit) -> bool {
    source(state, unit).is_some_and(|source| !source.purifies_air()) && unit.retired.is_none()
}

pub(super) fn carries_cylinder(state: &State, unit: &Unit) -> bool {
    let device = state.model(&unit.model).map(|model| &model.device);
    unit.retired.is_none()
        && device.is_some_and(|device| {
            device.air_source.is_self_contained() || device.auxiliary_self_contained
        })
}

pub(super) fn washable(state: &State, unit: &Unit) -> bool {
    let device = state.model(&unit.model).map(|model| &model.device);
    unit.retired.is_none() && device.is_none_or(|device| !device.filtering_facepiece)
}

fn source(state: &State, unit: &Unit) -> Option<AirSource> {
    state.model(&unit.model).map(|model| model.device.air_source)
}
