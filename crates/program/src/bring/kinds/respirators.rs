use super::super::kind::Field;
use super::super::known::Known;
use super::super::row::{Draft, Row};
use crate::entry::Fact;
use crate::ids::UnitId;

pub(in super::super) const FIELDS: &[Field] = &[
    Field::needed(
        "tag",
        &[
            "id",
            "unit",
            "unit id",
            "unit number",
            "respirator",
            "respirator id",
            "respirator number",
            "asset",
            "asset number",
            "asset no",
            "asset tag",
            "tag number",
            "tag no",
            "inventory number",
            "barcode",
            "number",
        ],
        "what stands on its tag; it stays for good",
    ),
    Field::needed(
        "model",
        &["model id", "model name", "respirator model", "type"],
        "a listed model, by id or name",
    ),
    Field::needed("size", &["mask size", "facepiece size"], "one of the sizes of the model"),
    Field::may("serial", &["serial number", "serial no", "s/n", "sn"], "the maker's serial number"),
    Field::needed(
        "shared",
        &["shared use", "pool", "pooled", "several wearers"],
        "whether several wearers use it",
    ),
    Field::needed(
        "emergency",
        &["emergency use", "for emergencies", "emergency set"],
        "whether it is kept for emergencies",
    ),
    Field::may(
        "received",
        &[
            "received on",
            "date received",
            "in service",
            "in service since",
            "bought",
            "purchased",
            "purchase date",
            "date",
        ],
        "the day it came; now where it is left out",
    ),
];

pub(in super::super) fn read(row: &mut Row<'_>, known: &Known<'_>) -> Option<Draft> {
    let tag = row.needed("tag");
    let model = known.model(row);
    let size = known.size(row, model.as_ref().map(|(_, model)| *model));
    let serial = row.text("serial").unwrap_or_default();
    let (shared, emergency) = (row.flag("shared"), row.flag("emergency"));
    let when = row.when_if_told("received");
    let fact = Fact::UnitReceived {
        unit: UnitId::new(tag?),
        model: model?.0,
        size: size?,
        serial,
        shared: shared?,
        emergency: emergency?,
    };
    Some(Draft { fact, when })
}
