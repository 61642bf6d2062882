//! What is on the shelf, until when it may be used, and when it runs out.

use std::collections::BTreeMap;

use jiff::civil::Date;

use crate::entry::{Fact, StockItem};
use crate::ids::SiteId;
use crate::state::State;

/// What is left of one box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Shelf {
    pub(super) left: f64,
    /// Its last day, if it ends.
    pub(super) until: Option<Date>,
}

/// What is left of every item at a site.
///
/// Elements are not taken from a box by name: what was fitted of a lot since its box was counted is
/// taken from the boxes of that lot, the one that ends first before the others.
pub(super) fn shelves(state: &State, site: &SiteId) -> BTreeMap<StockItem, Vec<Shelf>> {
    let mut fitted = fitted_since(state, site);
    let mut boxes: Vec<(&StockItem, &str, Shelf)> = Vec::new();
    for (_, stock) in state.stocks().filter(|(_, stock)| stock.site == *site) {
        let shelf = Shelf { left: f64::from(stock.left), until: stock.shelf_life_until };
        boxes.push((&stock.item, &stock.lot, shelf));
    }
    boxes.sort_by_key(|(_, _, shelf)| shelf.until.unwrap_or(Date::MAX));
    let mut all: BTreeMap<StockItem, Vec<Shelf>> = BTreeMap::new();
    for (item, lot, mut shelf) in boxes {
        if let Some(taken) = fitted.get_mut(&(item.clone(), lot.to_owned())) {
            let from_here = taken.min(shelf.left);
            shelf.left -= from_here;
            *taken -= from_here;
        }
        all.entry(item.clone()).or_default().push(shelf);
    }
    all
}

/// Pieces fitted of each kind and lot since a box of that lot was counted last.
fn fitted_since(state: &State, site: &SiteId) -> BTreeMap<(StockItem, String), f64> {
    let mut counted = BTreeMap::new();
    for (id, stock) in state.stocks().filter(|(_, stock)| stock.site == *site) {
        let history = state.history_of_stock(id).rev();
        let mut counts = history.filter(|entry| state.counted_instead_of(&entry.id).is_none());
        let last = counts.find(|entry| {
            matches!(entry.fact, Fact::StockReceived { .. } | Fact::StockCounted { .. })
        });
        if let (StockItem::Elements(_), Some(last)) = (&stock.item, last) {
            let key = (stock.item.clone(), stock.lot.clone());
            let since = counted.entry(key).or_insert(last.happened);
            *since = last.happened.max(*since);
        }
    }
    let mut fitted = BTreeMap::new();
    for (id, _) in state.units().filter(|(_, unit)| unit.site == *site) {
        let mut before = None;
        let history = state.history_of_unit(id);
        for entry in history.filter(|entry| state.counted_instead_of(&entry.id).is_none()) {
            let Fact::ElementsFitted { element_type, lot, opened, .. } = &entry.fact else {
                continue;
            };
            let pieces = Some((element_type, lot, opened));
            let key = (StockItem::Elements(element_type.clone()), lot.clone());
            let since = counted.get(&key).is_some_and(|since| *since < entry.happened);
            if before != pieces && since {
                let each = state.element_type(element_type).map_or(1, |kind| kind.count);
                *fitted.entry(key).or_insert(0.0) += f64::from(each);
            }
            before = pieces;
        }
    }
    fitted
}

/// How much of `shelves` is missing where `needs` is taken week by week, the first week first, each
/// time from what ends first; and the first week in which something is missing.
///
/// What ends within a week serves that week no more: nobody should have to look which day it is.
pub(super) fn missing(shelves: &[Shelf], needs: &[f64], today: Date) -> (f64, Option<u32>) {
    let mut shelves = shelves.to_vec();
    let (mut short, mut first) = (0.0, None);
    for (week, need) in (0_u32..).zip(needs) {
        let end = after_weeks(today, week + 1);
        let mut need = *need;
        for shelf in shelves.iter_mut().filter(|shelf| shelf.until.is_none_or(|day| end <= day)) {
            let taken = need.min(shelf.left);
            shelf.left -= taken;
            need -= taken;
        }
        if need > 1e-9 {
            short += need;
            first = first.or(Some(week));
        }
    }
    (short, first)
}

/// The day so many weeks after `today`.
pub(super) fn after_weeks(today: Date, weeks: u32) -> Date {
    let span = jiff::Span::new().try_weeks(weeks).unwrap_or_default();
    today.checked_add(span).unwrap_or(Date::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> Date {
        text.parse().unwrap()
    }

    #[test]
    fn what_ends_first_is_used_first_and_what_has_ended_is_not_used() {
        let today = day("2026-01-05");
        let shelf = |left, until: Option<&str>| Shelf { left, until: until.map(day) };
        let shelves = [shelf(10.0, Some("2026-01-20")), shelf(4.0, None)];
        // Two weeks are served by the first box; then it has ended, with 4 pieces in it.
        assert_eq!(missing(&shelves, &[3.0; 4], today), (2.0, Some(3)));
        assert_eq!(missing(&shelves, &[3.0; 2], today), (0.0, None));
        assert_eq!(missing(&[], &[0.0, 2.0], today), (2.0, Some(1)));
    }
}
