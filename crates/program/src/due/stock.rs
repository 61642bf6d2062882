//! What is due on what is in store.

use rulebook::storage::{StockFacts, stock_shelf_life};

use super::days::{Calendar, found};
use super::{About, DueKind, Duty};
use crate::entry::StockItem;
use crate::ids::StockId;
use crate::state::{State, Stock};

pub(super) fn duties(state: &State, (id, stock): (&StockId, &Stock), all: &mut Vec<Duty>) {
    if let Some((agent, at)) = stock.prepared.as_ref().filter(|_| stock.left > 0) {
        let made = Calendar::of(state, &stock.site).day(at.when);
        let found = found(|day| agent.past((id.as_str(), made), day, at.entry.as_str()));
        let about = (DueKind::ShelfLife, About::Stock(id.clone()));
        all.extend(Duty::of(about, Some(stock.site.clone()), found));
    }
    let Some(until) = stock.shelf_life_until.filter(|_| stock.left > 0) else { return };
    let name = words(state, &stock.item);
    let found = found(|day| {
        stock_shelf_life::check(&StockFacts {
            item: &name,
            lot: &stock.lot,
            left: stock.left,
            day,
            shelf_life_until: until,
            entry: stock.at.entry.as_str(),
        })
    });
    let about = (DueKind::ShelfLife, About::Stock(id.clone()));
    all.extend(Duty::of(about, Some(stock.site.clone()), found));
}

/// What is in a box, by the name that people know.
#[must_use]
pub fn words(state: &State, item: &StockItem) -> String {
    match item {
        StockItem::Elements(kind) => {
            state.element_type(kind).map_or_else(|| kind.to_string(), |known| known.name.clone())
        }
        StockItem::Facepieces { model, size } => {
            let name = state.model(model).map_or_else(|| model.to_string(), |m| m.name.clone());
            format!("{name}, size {size}")
        }
        StockItem::Supplies(name) => name.clone(),
    }
}
