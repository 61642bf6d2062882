use rulebook::fit_test::{Suits, TestKind, protocol, protocols};

use super::super::kind::Field;
use super::super::known::Known;
use super::super::row::{Draft, Row};
use super::{TIME, WEARER};
use crate::entry::{Fact, FitMethod};
use crate::state::Model;

pub(in super::super) const FIELDS: &[Field] = &[
    WEARER,
    Field::needed(
        "model",
        &["model id", "model name", "respirator", "respirator model", "mask", "facepiece"],
        "the listed model that was worn, by id or name",
    ),
    Field::needed(
        "size",
        &["mask size", "facepiece size", "respirator size"],
        "the size that was worn",
    ),
    Field::needed(
        "date",
        &["tested", "tested on", "test date", "date tested", "fit test date", "date of test"],
        "the day of the test",
    ),
    TIME,
    Field::needed(
        "method",
        &["protocol", "test type", "type of test", "test method", "type"],
        "qualitative, quantitative, or the id of a protocol such as QNFT-CNC",
    ),
    Field::may(
        "fit factor",
        &["factor", "overall fit factor", "overall factor", "ff"],
        "the overall fit factor of a quantitative test",
    ),
    Field::needed("passed", &["result", "pass", "pass fail", "outcome"], "pass or fail"),
    Field::needed(
        "hair in seal",
        &["facial hair", "beard", "stubble", "hair"],
        "whether hair or another thing lay in the seal",
    ),
    Field::may(
        "seal note",
        &["note", "notes", "comment", "comments", "remarks"],
        "what was noted of the seal",
    ),
];

pub(in super::super) fn read(row: &mut Row<'_>, known: &Known<'_>) -> Option<Draft> {
    let wearer = known.wearer(row);
    let model = known.model(row);
    let size = known.size(row, model.as_ref().map(|(_, model)| *model));
    let when = row.when("date");
    let method = method(row);
    if let Some((_, model)) = &model {
        refuse_unsuited(row, known, model);
    }
    let passed = row.outcome("passed");
    let hair_in_seal = row.flag("hair in seal");
    let seal_note = row.text("seal note").unwrap_or_default();
    let fact = Fact::FitTested {
        wearer: wearer?,
        model: model?.0,
        size: size?,
        method: method?,
        passed: passed?,
        hair_in_seal: hair_in_seal?,
        seal_note,
    };
    Some(Draft { fact, when: Some(when?) })
}

/// Refuses a protocol that does not serve the model.
fn refuse_unsuited(row: &mut Row<'_>, known: &Known<'_>, model: &Model) {
    let Some(by) = row.text("method").and_then(|told| protocol(&told).ok()) else { return };
    if let Suits::No(why) = by.suits(&model.device, known.approved(model).as_deref()) {
        let remedy = format!("such a test shows nothing of {}: fit test it by another", model.name);
        row.refuse("method", why, remedy);
    }
}

fn method(row: &mut Row<'_>) -> Option<FitMethod> {
    let mut words: Vec<(&[&str], TestKind)> = vec![
        (&["qualitative", "qlft", "taste or smell"], TestKind::Qualitative),
        (&["quantitative", "qnft", "measured"], TestKind::Quantitative),
    ];
    let ids: Vec<([&str; 1], TestKind)> =
        protocols().iter().map(|known| ([known.id.as_str()], known.kind)).collect();
    words.extend(ids.iter().map(|(id, kind)| (id.as_slice(), *kind)));
    let kind = row.choice("method", &words);
    let factor = row.number::<f64>("fit factor");
    match (kind?, factor) {
        (TestKind::Qualitative, None) => Some(FitMethod::Qualitative),
        (TestKind::Qualitative, Some(_)) => {
            row.refuse(
                "fit factor",
                "a qualitative test gives no factor",
                "leave it empty, or write quantitative as the method",
            );
            None
        }
        (TestKind::Quantitative, Some(fit_factor))
            if fit_factor.is_finite() && 1.0 <= fit_factor =>
        {
            Some(FitMethod::Quantitative { fit_factor })
        }
        (TestKind::Quantitative, Some(_)) => {
            row.refuse(
                "fit factor",
                "a fit factor is never below 1",
                "write the overall factor of the test",
            );
            None
        }
        (TestKind::Quantitative, None) => {
            row.needed("fit factor");
            None
        }
    }
}
