//! How far each class of respirator is trusted to reduce what the wearer breathes.

use std::sync::OnceLock;

use serde::Serialize;

use crate::table::{Row, TableError, loud, read_table};
use crate::{AirSource, Authority, Device, Facepiece, Finding, Rule};

/// # What it asks
/// Does the table of protection factors give this class a factor?
/// # Why
/// A class without a factor was never shown to protect by any known amount.
/// # Citation
/// 29 CFR 1910.134(d)(3)(i)(A) Table 1.
/// # Example that passes
/// A half mask that purifies air: factor 10.
/// # Example that stops
/// A loose-fitting facepiece without a blower: the cell of the table is empty.
/// # Remedy
/// Choose a class that has a factor.
/// # Limits
/// The factor holds only inside a program with training, fit test, upkeep and rules of use.
pub static NOT_ASSIGNED: Rule = Rule {
    id: "factor.not-assigned",
    asks: "Has this class of respirator a protection factor?",
    why: "A class without a factor was never shown to protect by a known amount.",
    citation: "29 CFR 1910.134(d)(3)(i)(A) Table 1",
    authority: Authority::Read,
    says: "the table of protection factors gives none to this class: {class}",
    remedy: "choose a class that the table gives a factor",
};

/// # What it asks
/// Is a unit made for escape only asked to protect at work?
/// # Why
/// The factors do not apply to units made only for escape.
/// # Citation
/// 29 CFR 1910.134(d)(3)(i)(A) Table 1 note 5.
/// # Example that passes
/// An escape hood carried for leaving the area.
/// # Example that stops
/// The same hood worn to do a job.
/// # Remedy
/// Use it only to leave; choose a working respirator for the job.
/// # Limits
/// Whether the unit is certified for escape from this air is asked elsewhere.
pub static ESCAPE_ONLY: Rule = Rule {
    id: "factor.escape-only",
    asks: "Is a unit made for escape only used for work?",
    why: "Protection factors do not apply to units made for escape only.",
    citation: "29 CFR 1910.134(d)(3)(i)(A) Table 1 note 5",
    authority: Authority::Read,
    says: "this unit is for escape only and has no protection factor",
    remedy: "use it only to leave the area; choose a working respirator for the task",
};

/// # What it asks
/// Do the parts of the description fit together?
/// # Why
/// A description that contradicts itself cannot be looked up, and a guess could be too kind.
/// # Citation
/// A necessity of looking anything up.
/// # Example that passes
/// A filtering facepiece described as an air-purifying half mask.
/// # Example that stops
/// A filtering facepiece described as a full facepiece.
/// # Remedy
/// Put the description right.
/// # Limits
/// Only contradictions within the description are seen.
pub static CONTRADICTION: Rule = Rule {
    id: "device.contradiction",
    asks: "Does the description of the respirator fit together?",
    why: "A description that contradicts itself cannot be judged.",
    citation: "none: no answer can be given without it",
    authority: Authority::Necessity,
    says: "the description of the respirator contradicts itself: {what}",
    remedy: "put the description of the respirator right",
};

/// The rules of this file.
pub(crate) static RULES: [&Rule; 3] = [&NOT_ASSIGNED, &ESCAPE_ONLY, &CONTRADICTION];

/// A protection factor with the row it stands in.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AssignedFactor {
    /// By how much the class reduces what is breathed; 10 means to a tenth.
    pub factor: f64,
    /// Row of `data/apf.csv`.
    pub row_id: &'static str,
    /// Paragraph of the published table.
    pub citation: &'static str,
    /// What the table says beside the factor.
    pub notes: &'static str,
}

/// The factor of `device`, or why it has none.
///
/// A filtering facepiece is a half mask (note 3); a helmet or hood has 1000 only with its maker's
/// evidence (note 4); a unit for escape only has no factor (note 5).
///
/// Source: 29 CFR 1910.134(d)(3)(i)(A) Table 1, `data/apf.csv`.
pub fn assigned(device: &Device) -> Result<AssignedFactor, Finding> {
    if let Some(what) = contradiction(device) {
        return Err(Finding::stop(&CONTRADICTION).with("what", what));
    }
    if device.escape_only {
        return Err(Finding::stop(&ESCAPE_ONLY));
    }
    let class = format!("{}, {}", device.air_source, device.facepiece);
    let missing = || Finding::stop(&NOT_ASSIGNED).with("class", class);
    let row = rows()
        .iter()
        .find(|row| row.air_source == device.air_source && row.facepiece == device.facepiece)
        .ok_or_else(missing.clone())?;
    let shown = row.with_evidence.filter(|_| device.maker_shows_factor_1000);
    match shown.or(row.factor) {
        Some(factor) => Ok(AssignedFactor {
            factor,
            row_id: &row.id,
            citation: &row.citation,
            notes: &row.notes,
        }),
        None => Err(missing().citing(format!("{} ({})", row.citation, row.id))),
    }
}

/// Whether the table has a factor of 1000 for this class where its maker shows it by tests.
///
/// Source: 29 CFR 1910.134(d)(3)(i)(A) Table 1 note 4, `data/apf.csv`.
#[must_use]
pub fn may_show_factor_1000(device: &Device) -> bool {
    let same =
        |row: &&FactorRow| row.air_source == device.air_source && row.facepiece == device.facepiece;
    rows().iter().find(same).is_some_and(|row| row.with_evidence.is_some())
}

fn contradiction(device: &Device) -> Option<&'static str> {
    use AirSource::{
        AirPurifying, SuppliedAirContinuousFlow, SuppliedAirDemand, SuppliedAirPressureDemand,
    };
    let airline = matches!(
        device.air_source,
        SuppliedAirDemand | SuppliedAirContinuousFlow | SuppliedAirPressureDemand
    );
    let own_filter = device.facepiece == Facepiece::HalfMask && device.air_source == AirPurifying;
    if device.filtering_facepiece && !own_filter {
        Some("a filtering facepiece is a half mask without a blower or air supply")
    } else if device.auxiliary_self_contained && !airline {
        Some("only an airline unit has an auxiliary self-contained supply")
    } else {
        None
    }
}

struct FactorRow {
    id: String,
    air_source: AirSource,
    facepiece: Facepiece,
    factor: Option<f64>,
    with_evidence: Option<f64>,
    citation: String,
    notes: String,
}

fn rows() -> &'static [FactorRow] {
    static ROWS: OnceLock<Vec<FactorRow>> = OnceLock::new();
    ROWS.get_or_init(|| {
        loud(read_table("apf.csv", include_str!("../../../data/apf.csv"), read_row))
    })
}

fn read_row(row: &Row<'_>) -> Result<FactorRow, TableError> {
    let factor = row.number("apf")?.filter(|_| row.text("assigned") == Ok("yes"));
    if row.text("assigned")? == "yes" && !factor.is_some_and(|factor| 1.0 < factor) {
        return Err(row.broken("apf", "an assigned row needs a factor above 1"));
    }
    Ok(FactorRow {
        id: row.required("id")?,
        air_source: read_air_source(row)?,
        facepiece: read_facepiece(row)?,
        factor,
        with_evidence: row.number("apf_with_manufacturer_evidence")?,
        citation: row.required("citation")?,
        notes: row.owned("condition")?,
    })
}

fn read_air_source(row: &Row<'_>) -> Result<AirSource, TableError> {
    let class = row.text("respirator_class")?;
    let mode = row.text("mode")?;
    let kind = class.split([' ', '-']).next().unwrap_or_default();
    match (kind, mode) {
        ("air", "negative pressure") => Ok(AirSource::AirPurifying),
        ("powered", "powered") => Ok(AirSource::PoweredAirPurifying),
        ("supplied", "demand") => Ok(AirSource::SuppliedAirDemand),
        ("supplied", "continuous flow") => Ok(AirSource::SuppliedAirContinuousFlow),
        ("supplied", _) if mode.starts_with("pressure-demand") => {
            Ok(AirSource::SuppliedAirPressureDemand)
        }
        ("self", "demand") => Ok(AirSource::SelfContainedDemand),
        ("self", _) if mode.starts_with("pressure-demand") => {
            Ok(AirSource::SelfContainedPressureDemand)
        }
        _ => Err(row.broken("mode", &format!("`{class}`, `{mode}` is no known class"))),
    }
}

fn read_facepiece(row: &Row<'_>) -> Result<Facepiece, TableError> {
    match row.text("mask_type")? {
        "quarter mask" => Ok(Facepiece::QuarterMask),
        "half mask" => Ok(Facepiece::HalfMask),
        "full facepiece" => Ok(Facepiece::FullFacepiece),
        "helmet/hood" => Ok(Facepiece::HelmetOrHood),
        "loose-fitting facepiece" => Ok(Facepiece::LooseFitting),
        other => Err(row.broken("mask_type", &format!("`{other}` is no known facepiece"))),
    }
}
