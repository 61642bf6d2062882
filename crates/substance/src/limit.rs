//! Exposure limits, each with its source.

use quantity::{MgPerM3, Ppm};
use serde::{Deserialize, Serialize};

use crate::Cas;
use crate::table::{Row, TableError, rows};

/// What a limit limits, and whether it is law or recommendation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LimitKind {
    /// Law: time-weighted average over eight hours.
    LegalTwa,
    /// Law: never to be exceeded.
    LegalCeiling,
    /// Law: average over a short time, as a rule 15 minutes.
    LegalShortTerm,
    /// Law: peak above the ceiling for a stated time.
    LegalPeak,
    /// Recommended time-weighted average.
    RecommendedTwa,
    /// Recommended average over a short time.
    RecommendedShortTerm,
    /// Recommended ceiling.
    RecommendedCeiling,
    /// Immediately dangerous to life or health.
    ImmediatelyDangerous,
}

/// Whether a figure was seen in its source or remembered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Mark {
    /// Seen in the source named.
    Read,
    /// Remembered; to be confirmed before relying on it.
    Memory,
}

impl Mark {
    fn read(text: &str) -> Option<Self> {
        match text {
            "read" => Some(Self::Read),
            "memory" => Some(Self::Memory),
            _ => None,
        }
    }
}

/// One limit of one line of the limit table.
///
/// A limit has a figure in ppm, in mg/m3, in both, or a text in [`Limit::other`] (a particle count, a
/// formula of the quartz content, fibres per volume, or that the standard gives no number).
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Limit {
    /// What it limits.
    pub kind: LimitKind,
    /// Figure by volume, at 25 degC and one atmosphere.
    pub ppm: Option<Ppm>,
    /// Figure by mass.
    pub mg_per_m3: Option<MgPerM3>,
    /// A limit in another unit or in words.
    pub other: Option<String>,
    /// The time over which it is judged, where the line gives one.
    pub period: Option<String>,
    /// Table, section or publication, with its edition.
    pub source: String,
    /// Seen or remembered.
    pub mark: Mark,
    /// Id of the row in `data/exposure_limits.csv`.
    pub row: String,
    /// Name of the line as printed, and the form or fraction it speaks of.
    pub variant: String,
    /// What else the line says: skin, carcinogen, a tenth of the lower explosive limit.
    pub note: String,
}

const TABLE: &str = "exposure_limits.csv";
const TEXT: &str = include_str!("../../../data/exposure_limits.csv");

/// Substances that a line of the limit table speaks of without printing their number, and the number
/// that it prints: isomers of one line. Source: `data/limit_groups.csv`.
pub(crate) fn groups() -> Result<Vec<(Cas, Cas)>, TableError> {
    let text = include_str!("../../../data/limit_groups.csv");
    rows("limit_groups.csv", text, |row| {
        match (row.value::<Cas>("cas")?, row.value::<Cas>("limits_of")?) {
            (Some(member), Some(group)) => Ok((member, group)),
            _ => Err(row.error("cas", "", "both numbers are needed")),
        }
    })
}

/// Every limit, with the number of its substance where the table has one.
pub(crate) fn read_all() -> Result<Vec<(Option<Cas>, Limit)>, TableError> {
    let lines = rows(TABLE, TEXT, |row| {
        let cas = row.value::<Cas>("cas")?;
        let mut limits = legal(row)?;
        limits.extend(recommended(row)?);
        limits.extend(immediately_dangerous(row)?);
        Ok(limits.into_iter().map(|limit| (cas, limit)).collect::<Vec<_>>())
    })?;
    Ok(lines.into_iter().flatten().collect())
}

/// The three blocks of columns of a row, one per publisher.
struct Block<'a> {
    source: &'a str,
    basis: &'a str,
    period: &'a str,
    note: String,
}

fn legal(row: &Row<'_>) -> Result<Vec<Limit>, TableError> {
    let skin = if row.text("skin")? == "yes" { "skin" } else { "" };
    let note = join(&[row.text("pel_note")?, skin]);
    let block = Block { source: "pel_source", basis: "pel_basis", period: "", note };
    let peak = Block { period: "pel_peak_duration", note: block.note.clone(), ..block };
    let mut found = Vec::new();
    found.extend(one(row, LimitKind::LegalTwa, &block, "pel_ppm", "pel_mg_m3")?);
    found.extend(one(row, LimitKind::LegalCeiling, &block, "ceiling_ppm", "ceiling_mg_m3")?);
    found.extend(one(row, LimitKind::LegalShortTerm, &block, "pel_stel_ppm", "pel_stel_mg_m3")?);
    found.extend(one(row, LimitKind::LegalPeak, &peak, "pel_peak_ppm", "pel_peak_mg_m3")?);
    if let Some(other) = in_words(row, found.is_empty())? {
        found.push(Limit { other: Some(other), ..blank(row, LimitKind::LegalTwa, &block)? });
    }
    Ok(found)
}

/// A limit by count or formula; and, for a line without any figure, what its note says instead.
fn in_words(row: &Row<'_>, no_figure: bool) -> Result<Option<String>, TableError> {
    let count = match row.text("pel_mppcf")? {
        "" => String::new(),
        count => format!("{count} million particles per cubic foot"),
    };
    let other = join(&[&count, row.text("pel_formula")?]);
    if !other.is_empty() {
        return Ok(Some(other));
    }
    let note = row.text("pel_note")?;
    Ok((no_figure && !note.is_empty()).then(|| note.to_owned()))
}

fn recommended(row: &Row<'_>) -> Result<Vec<Limit>, TableError> {
    let skin = if row.text("rel_skin")? == "yes" { "skin" } else { "" };
    let carcinogen = if row.text("rel_carcinogen")? == "yes" {
        "potential occupational carcinogen: lowest feasible level"
    } else {
        ""
    };
    let note = join(&[row.text("rel_note")?, carcinogen, skin]);
    let block = Block { source: "rel_source", basis: "rel_basis", period: "rel_period", note };
    let mut found = Vec::new();
    for (kind, ppm, mass) in [
        (LimitKind::RecommendedTwa, "rel_twa_ppm", "rel_twa_mg_m3"),
        (LimitKind::RecommendedShortTerm, "rel_stel_ppm", "rel_stel_mg_m3"),
        (LimitKind::RecommendedCeiling, "rel_ceiling_ppm", "rel_ceiling_mg_m3"),
    ] {
        found.extend(one(row, kind, &block, ppm, mass)?);
    }
    if found.is_empty() && !block.note.is_empty() && !row.text("rel_source")?.is_empty() {
        let other = Some(block.note.clone());
        found.push(Limit { other, ..blank(row, LimitKind::RecommendedTwa, &block)? });
    }
    Ok(found)
}

fn immediately_dangerous(row: &Row<'_>) -> Result<Option<Limit>, TableError> {
    let tenth = row.text("idlh_at_10pct_lel")? == "yes";
    let note = if tenth { "set at a tenth of the lower explosive limit" } else { "" };
    let block =
        Block { source: "idlh_source", basis: "idlh_basis", period: "", note: note.to_owned() };
    let kind = LimitKind::ImmediatelyDangerous;
    let Some(figure) = row.number("idlh")? else { return Ok(None) };
    let refused = |error| row.error("idlh", &figure.to_string(), error);
    let blank = blank(row, kind, &block)?;
    match row.text("idlh_unit")? {
        "ppm" => Ok(Some(Limit { ppm: Some(Ppm::from_ppm(figure).map_err(refused)?), ..blank })),
        "mg/m3" => {
            let mass = MgPerM3::from_mg_per_m3(figure).map_err(refused)?;
            Ok(Some(Limit { mg_per_m3: Some(mass), ..blank }))
        }
        other => Err(row.error("idlh_unit", other, "neither ppm nor mg/m3")),
    }
}

/// The limit in two columns; `None` when both are empty.
fn one(
    row: &Row<'_>,
    kind: LimitKind,
    block: &Block<'_>,
    ppm: &str,
    mass: &str,
) -> Result<Option<Limit>, TableError> {
    let by_volume = row.number(ppm)?;
    let by_mass = row.number(mass)?;
    if by_volume.is_none() && by_mass.is_none() {
        return Ok(None);
    }
    let refused = |column: &str, error| row.error(column, "", error);
    Ok(Some(Limit {
        ppm: by_volume.map(Ppm::from_ppm).transpose().map_err(|e| refused(ppm, e))?,
        mg_per_m3: by_mass
            .map(MgPerM3::from_mg_per_m3)
            .transpose()
            .map_err(|e| refused(mass, e))?,
        ..blank(row, kind, block)?
    }))
}

fn blank(row: &Row<'_>, kind: LimitKind, block: &Block<'_>) -> Result<Limit, TableError> {
    let period = if block.period.is_empty() { "" } else { row.text(block.period)? };
    Ok(Limit {
        kind,
        ppm: None,
        mg_per_m3: None,
        other: None,
        period: (!period.is_empty()).then(|| period.to_owned()),
        source: row.text(block.source)?.to_owned(),
        mark: row.one_of(block.basis, Mark::read)?,
        row: row.text("id")?.to_owned(),
        variant: [row.text("substance")?, row.text("variant")?]
            .into_iter()
            .filter(|part| !part.is_empty())
            .collect::<Vec<_>>()
            .join(", "),
        note: block.note.clone(),
    })
}

fn join(parts: &[&str]) -> String {
    parts.iter().filter(|part| !part.is_empty()).copied().collect::<Vec<_>>().join("; ")
}
