use jiff::civil::Date;
use jiff::{SignedDuration, Timestamp};
use quantity::{LitrePerMin, Minutes};

use rulebook::Elements;

use super::{At, Model, Sensed, State, Unit};
use crate::alike;
use crate::ids::{ElementTypeId, PersonId, TaskId};

/// Opened no longer than this before they are fitted, elements are new. Common practice, no source.
const FITTED_AT_ONCE: SignedDuration = SignedDuration::from_mins(15);

/// The opening of one seal is not told in two entries with instants farther apart than this. Common
/// practice, no source.
const ABOUT_THEN: SignedDuration = SignedDuration::from_hours(1);

/// What is fitted to a set now.
#[derive(Debug, Clone, PartialEq)]
pub struct FittedElements {
    /// Their kind.
    pub element_type: ElementTypeId,
    /// The maker's lot.
    pub lot: String,
    /// Last day of their shelf life.
    pub shelf_life_until: Date,
    /// When their seal was opened.
    pub opened: Timestamp,
    /// Where that stands.
    pub at: At,
    /// Every wear since they were fitted, in the order of time.
    pub worn: Vec<Stint>,
    /// The greatest flow of the blower that was measured since they were fitted.
    pub most_flow: Option<LitrePerMin>,
}

/// Elements that were on a set before.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct TakenOff {
    pub(super) pieces: FittedElements,
    /// What was sensed through them.
    pub(super) sensed: Option<Sensed>,
    /// When they were thrown away, or others took their place.
    pub(super) when: Timestamp,
    /// Whether they were thrown away.
    pub(super) thrown_away: bool,
}

/// Elements on another set that may be the very pieces on this one: kind and lot are the same, they were
/// opened at about the same time, and what is on this one was opened some time before it was fitted.
#[derive(Debug, Clone)]
pub(crate) struct Elsewhere<'s> {
    /// The other set.
    pub(crate) unit: &'s Unit,
    pub(crate) pieces: &'s FittedElements,
    /// What was worn of them until they were fitted here, in the order of time.
    pub(crate) worn: Vec<&'s Stint>,
    /// Whether something was sensed through them.
    pub(crate) sensed: bool,
    /// Whether they are told to be on that set still.
    pub(crate) still_there: bool,
    /// Whether they count as those here: they are gone from that set, or were opened at the same instant.
    pub(crate) counts: bool,
}

/// One wear.
#[derive(Debug, Clone, PartialEq)]
pub struct Stint {
    /// By whom.
    pub wearer: PersonId,
    /// For which task.
    pub task: TaskId,
    /// How long in contaminated air.
    pub time: Minutes,
    /// Where that stands.
    pub at: At,
}

impl FittedElements {
    /// Whether these may be the same pieces, taken off and fitted again: kind and lot are the same, and so
    /// is the instant of opening, or about so where they were opened some time before they were fitted.
    pub(super) fn may_be_those(&self, other: &Self) -> bool {
        let apart = self.opened.duration_since(other.opened).abs();
        self.element_type == other.element_type
            && alike::lot(&self.lot) == alike::lot(&other.lot)
            && (apart.is_zero() || self.were_open() && apart <= ABOUT_THEN)
    }

    /// Takes over what happened to the same pieces before.
    pub(super) fn go_on_from(&mut self, before: Self) {
        (self.worn, self.most_flow) = (before.worn, before.most_flow);
    }

    /// Whether they were opened some time before they were fitted, so that they may have been worn.
    pub(crate) fn were_open(&self) -> bool {
        were_open(self.opened, self.at.when)
    }
}

/// Whether elements were opened some time before they were fitted.
pub(crate) fn were_open(opened: Timestamp, fitted: Timestamp) -> bool {
    FITTED_AT_ONCE < fitted.duration_since(opened)
}

/// Before the earliest opening that another entry may tell of the same seal.
pub(crate) fn earliest_of_the_same_seal(opened: Timestamp) -> Timestamp {
    opened.checked_sub(ABOUT_THEN + FITTED_AT_ONCE).unwrap_or(opened)
}

/// What cleans the air of a set: what is fitted to it, or the filter that a facepiece is made of.
#[derive(Debug, Clone, Copy)]
pub struct Carried<'s> {
    /// Its kind.
    pub element_type: &'s ElementTypeId,
    /// The maker's lot; empty where it is not known.
    pub lot: &'s str,
    /// Last day of its shelf life; none where none is known, or it does not end.
    pub shelf_life_until: Option<Date>,
    /// When its seal was opened; of a facepiece without a record of that, when it was received.
    pub opened: Timestamp,
    /// Where that stands.
    pub at: &'s At,
    worn: [&'s [Stint]; 2],
}

impl<'s> Carried<'s> {
    /// Every wear of it, in the order of time.
    pub fn worn(&self) -> impl Iterator<Item = &'s Stint> + use<'s> {
        let [before, since] = self.worn;
        before.iter().chain(since)
    }

    /// The wear so far, minutes.
    #[must_use]
    pub fn worn_min(&self) -> f64 {
        // Not `sum`, which makes minus zero of no wear at all.
        self.worn().fold(0.0, |sum, stint| sum + stint.time.as_min())
    }

    const fn fitted(on: &'s FittedElements) -> Self {
        Self {
            element_type: &on.element_type,
            lot: on.lot.as_str(),
            shelf_life_until: Some(on.shelf_life_until),
            opened: on.opened,
            at: &on.at,
            worn: [&[], on.worn.as_slice()],
        }
    }
}

impl State {
    /// The kinds of element that `model` names; none where it names none or one was never listed.
    pub(crate) fn approved<'s>(&'s self, model: &Model) -> Option<Vec<&'s Elements>> {
        let kind = |id| self.element_type(id).map(|kind| &kind.elements);
        let named = &model.approved_elements;
        named.iter().map(kind).collect::<Option<Vec<_>>>().filter(|all| !all.is_empty())
    }

    /// What cleans the air of `unit`; none where nothing is recorded.
    ///
    /// A filtering facepiece is its own filter: whatever is recorded as fitted to it renews neither its
    /// last day, which is the earliest of its box and of all records, nor its wear.
    #[must_use]
    pub fn carried<'s>(&'s self, unit: &'s Unit) -> Option<Carried<'s>> {
        let recorded = unit.elements.as_ref();
        let model = self.model(&unit.model);
        let Some(facepiece) = model.filter(|model| model.device.filtering_facepiece) else {
            return recorded.map(Carried::fitted);
        };
        // What was thrown away does not come back.
        if unit.was_stripped() {
            return None;
        }
        let own = match facepiece.approved_elements.as_slice() {
            [own] => Some(own),
            _ => None,
        };
        let stock = unit.taken_from.as_ref().and_then(|id| self.stock(id));
        let last = self.use_by(unit);
        let lot = recorded.map(|on| &on.lot).or(stock.map(|stock| &stock.lot));
        Some(Carried {
            element_type: recorded.map(|on| &on.element_type).or(own)?,
            lot: lot.map_or("", String::as_str),
            shelf_life_until: last.and_then(|(day, _)| day),
            opened: recorded.map_or(unit.received.when, |on| on.opened),
            at: last.map_or(&unit.received, |(_, at)| at),
            worn: [&unit.worn_before, recorded.map_or(&[], |on| &on.worn)],
        })
    }

    /// Elements on other sets that may be those on `unit`, taken off there at any time or on their set still.
    /// All sets that had elements of the lot must be known.
    pub(crate) fn elsewhere<'s>(&'s self, unit: &'s Unit) -> Vec<Elsewhere<'s>> {
        let Some(here) = unit.elements.as_ref().filter(|on| on.were_open()) else {
            return Vec::new();
        };
        let others = self.units().map(|(_, other)| other).filter(|other| other.id != unit.id);
        others.flat_map(|other| other.may_have_had(here)).collect()
    }

    /// The greatest flow that a blower is known to have drawn through the elements on `unit`: of those
    /// measured on it since they were fitted, its latest, and those of the sets on which they may have been.
    pub(crate) fn most_flow(&self, unit: &Unit) -> Option<LitrePerMin> {
        let own = unit.flow_checked.as_ref().map(|checked| checked.flow);
        let on = unit.elements.as_ref().and_then(|on| on.most_flow);
        let worn = |at: &Elsewhere<'_>| at.counts && !at.worn.is_empty();
        let elsewhere = self.elsewhere(unit).into_iter().filter(worn).flat_map(|at| {
            let device = self.model(&at.unit.model).map(|model| &model.device);
            [at.pieces.most_flow, device.and_then(crate::schedule::blower_floor)]
        });
        let all = elsewhere.chain([own, on]).flatten();
        all.max_by(|a, b| a.as_l_per_min().total_cmp(&b.as_l_per_min()))
    }

    /// Until when a filtering facepiece serves and where that stands: the earliest day of its box and of
    /// all records, or no day where its box has none. None where nothing tells, or of any other set.
    #[must_use]
    pub fn use_by<'s>(&'s self, unit: &'s Unit) -> Option<(Option<Date>, &'s At)> {
        let facepiece = self.model(&unit.model).is_some_and(|own| own.device.filtering_facepiece);
        let stock = unit.taken_from.as_ref().and_then(|id| self.stock(id)).filter(|_| facepiece);
        let of_box = stock.and_then(|stock| Some((stock.shelf_life_until?, &stock.at)));
        let recorded = unit.earliest_shelf_life().filter(|_| facepiece);
        let last = of_box.into_iter().chain(recorded).min_by_key(|(day, _)| *day);
        let endless = stock.map(|stock| (None, &stock.at));
        last.map(|(day, at)| (Some(day), at)).or(endless)
    }
}

impl Unit {
    /// Its elements that may be those fitted to another set. When others took their place here shows nothing:
    /// a set may stand empty for hours.
    fn may_have_had(&self, there: &FittedElements) -> impl Iterator<Item = Elsewhere<'_>> {
        let fitted = there.at.when;
        let before = move |sensed: Option<&Sensed>| {
            sensed.is_some_and(|sensed| sensed.at.when <= fitted + FITTED_AT_ONCE)
        };
        let gone = self.taken_off.iter();
        let gone = gone.map(move |off| (&off.pieces, before(off.sensed.as_ref()), false));
        let on = self.elements.iter();
        let on = on.map(move |on| (on, before(self.sensed_since_fitted.as_ref()), true));
        // What was fitted before the seal was opened is of another pack, whatever its record tells.
        let earliest = earliest_of_the_same_seal(there.opened);
        let same = gone
            .chain(on)
            .filter(move |(pieces, ..)| there.may_be_those(pieces) && earliest < pieces.at.when);
        same.map(move |(pieces, sensed, still_there)| Elsewhere {
            unit: self,
            pieces,
            worn: pieces.worn.iter().filter(|stint| stint.at.when <= fitted).collect(),
            sensed,
            still_there,
            counts: !still_there || pieces.opened == there.opened,
        })
    }
}
