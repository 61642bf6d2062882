use super::super::kind::Field;
use super::super::known::Known;
use super::super::row::{Draft, Row};
use crate::entry::{Fact, StockItem};
use crate::ids::StockId;

pub(in super::super) const FIELDS: &[Field] = &[
    Field::needed(
        "box",
        &["id", "stock", "stock id", "box number", "location and lot"],
        "the box or lot; it stays for good",
    ),
    Field::may(
        "element type",
        &["element", "cartridge", "filter"],
        "for elements: the listed kind, by id or name",
    ),
    Field::may(
        "model",
        &["facepiece", "facepiece model"],
        "for filtering facepieces: the listed model",
    ),
    Field::may("size", &["facepiece size"], "for filtering facepieces: the size"),
    Field::may("supplies", &["item", "article", "what"], "for anything else: its name"),
    Field::may("lot", &["lot number", "batch", "batch number"], "the maker's lot"),
    Field::needed("count", &["quantity", "pieces", "number"], "how many came"),
    Field::may(
        "shelf life until",
        &["expires", "expiry", "expiry date", "use by", "shelf life"],
        "the last day of its shelf life, if it ends",
    ),
    Field::may(
        "received",
        &["received on", "date received", "date"],
        "the day it came; now where it is left out",
    ),
];

pub(in super::super) fn read(row: &mut Row<'_>, known: &Known<'_>) -> Option<Draft> {
    let stock = row.needed("box");
    let item = item(row, known);
    let lot = row.text("lot").unwrap_or_default();
    let count = row.number_needed::<u32>("count");
    let shelf_life_until = row.day("shelf life until");
    let when = row.when_if_told("received");
    let fact = Fact::StockReceived {
        stock: StockId::new(stock?),
        item: item?,
        lot,
        count: count?,
        shelf_life_until,
    };
    Some(Draft { fact, when })
}

/// What is in the box: one of three kinds of things, and only one.
fn item(row: &mut Row<'_>, known: &Known<'_>) -> Option<StockItem> {
    let filled = |row: &Row<'_>, field| row.is_filled(field);
    match (filled(row, "element type"), filled(row, "model"), filled(row, "supplies")) {
        (true, false, false) => known.element_type(row).map(StockItem::Elements),
        (false, true, false) => {
            let (model, listed) = known.model(row)?;
            let size = known.size(row, Some(listed))?;
            Some(StockItem::Facepieces { model, size })
        }
        (false, false, true) => row.text("supplies").map(StockItem::Supplies),
        _ => {
            row.refuse(
                "supplies",
                "what is in the box is told not at all, or more than once",
                "fill in one of: element type, model with size, supplies",
            );
            None
        }
    }
}
