use jiff::Timestamp;
use jiff::civil::Date;
use quantity::Minutes;

use rulebook::Elements;

use super::{At, Model, State, Unit};
use crate::ids::{ElementTypeId, PersonId, TaskId};

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
    /// Whether these are the same pieces, taken off and put back: kind, lot and the instant of
    /// opening are the same.
    pub(super) fn are_the_same_pieces_as(&self, other: &Self) -> bool {
        (&self.element_type, &self.lot, self.opened)
            == (&other.element_type, &other.lot, other.opened)
    }
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
