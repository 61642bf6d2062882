//! Hoses of airline units: length, pressure and flow.

use std::fmt;
use std::str::FromStr;
use std::sync::OnceLock;

use quantity::{Centimetres, KilopascalGauge, LitrePerMin, QuantityError};
use serde::{Deserialize, Serialize};

use super::{AirError, rules};
use crate::table::{Row, TableError, loud, read_table};
use crate::{Finding, Severity, shown_beside};

/// The types of airline unit that have hose limits of their own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Airline {
    /// Hose with a blower.
    TypeA,
    /// Hose without a blower.
    TypeB,
    /// Compressed air, flowing all the time.
    TypeCContinuous,
    /// Compressed air, on demand or pressure-demand.
    TypeCDemand,
}

impl fmt::Display for Airline {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::TypeA => "a Type A unit",
            Self::TypeB => "a Type B unit",
            Self::TypeCContinuous => "a Type C unit with continuous flow",
            Self::TypeCDemand => "a Type C unit on demand",
        })
    }
}

/// What is printed of one type.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HoseLimits {
    /// Longest hose, the longer of the two figures printed.
    pub length: Centimetres,
    /// Highest pressure at the inlet, the higher of the two figures printed; none where none is.
    pub pressure: Option<KilopascalGauge>,
    /// Least flow at a tight-fitting facepiece, the lower of the two figures printed.
    pub least_tight: Option<LitrePerMin>,
    /// Least flow at a loose-fitting one, the lower of the two figures printed.
    pub least_loose: Option<LitrePerMin>,
    /// Most flow.
    pub most: Option<LitrePerMin>,
}

/// A hose as it is laid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hose {
    /// The type of unit.
    pub airline: Airline,
    /// Length from the inlet to the unit.
    pub length: Centimetres,
    /// Pressure at the inlet, where known.
    pub pressure: Option<KilopascalGauge>,
    /// Whether a relief device limits the pressure.
    pub relief_device: bool,
    /// Flow at the facepiece, where measured, and whether that is loose-fitting.
    pub flow: Option<(LitrePerMin, bool)>,
}

/// What a hose came to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HoseAnswer {
    /// The type of unit.
    pub airline: Airline,
    /// Its limits.
    pub limits: HoseLimits,
    /// Whether the hose keeps them.
    pub meets: bool,
    /// Everything found.
    pub findings: Vec<Finding>,
    /// Where the figures come from.
    pub sources: Vec<String>,
}

/// The limits of a type of airline unit.
///
/// Source: 42 CFR 84.148 to 84.150 and subpart J Table 8,
/// `data/respirator_performance_limits.csv` PL037 to PL046.
#[must_use]
pub fn hose_limits(airline: Airline) -> &'static HoseLimits {
    static LIMITS: OnceLock<[HoseLimits; 4]> = OnceLock::new();
    let [a, b, continuous, demand] = LIMITS.get_or_init(|| loud(read()));
    match airline {
        Airline::TypeA => a,
        Airline::TypeB => b,
        Airline::TypeCContinuous => continuous,
        Airline::TypeCDemand => demand,
    }
}

/// Holds a hose against the limits of its type; equal passes.
///
/// A relief device lets a demand unit be fed from more than the limit. Refuses a hose of no length.
pub fn check_hose(hose: &Hose) -> Result<HoseAnswer, AirError> {
    if hose.length.as_cm() < 1.0 {
        return Err(AirError::NoHose);
    }
    let limits = hose_limits(hose.airline);
    let mut findings = Vec::new();
    if hose.length > limits.length {
        let finding = Finding::stop(&rules::HOSE_LENGTH).with("airline", hose.airline);
        let (length, limit) = (hose.length.as_cm() / 100.0, limits.length.as_cm() / 100.0);
        let finding = finding.with("length", format!("{} m", shown_beside(length, limit, 1)));
        findings.push(finding.with("limit", format!("{limit:.1} m")));
    }
    findings.extend(pressure(hose, limits));
    findings.extend(flow(hose, limits));
    findings.push(Finding::note(&rules::CARE));
    Ok(HoseAnswer {
        airline: hose.airline,
        limits: *limits,
        meets: findings.iter().all(|finding| finding.severity != Severity::Stop),
        findings,
        sources: vec!["42 CFR 84.148 to 84.150 and part 84 subpart J Table 8 (data/respirator_performance_limits.csv PL037 to PL046, read)".to_owned()],
    })
}

fn pressure(hose: &Hose, limits: &HoseLimits) -> Option<Finding> {
    let (given, most) = (hose.pressure?, limits.pressure?);
    if given <= most {
        return None;
    }
    let demand = hose.airline == Airline::TypeCDemand;
    let severity = if demand && hose.relief_device { Severity::Caution } else { Severity::Stop };
    let relief = if demand { " unless a relief device limits it" } else { "" };
    let finding = Finding::new(&rules::HOSE_PRESSURE, severity).with("pressure", given);
    let finding = finding.with("airline", hose.airline).with("limit", most);
    Some(finding.with("relief", relief))
}

fn flow(hose: &Hose, limits: &HoseLimits) -> Option<Finding> {
    let (given, loose) = hose.flow?;
    let least = if loose { limits.least_loose } else { limits.least_tight }?;
    let within = least <= given && limits.most.is_none_or(|most| given <= most);
    if within {
        return None;
    }
    let limit = match limits.most {
        Some(most) => format!("{least} to {most}"),
        None => format!("at least {least}"),
    };
    let finding = Finding::stop(&rules::HOSE_FLOW).with("flow", given);
    Some(finding.with("airline", hose.airline).with("limit", limit))
}

/// A row's value with its unit, and the figure in the other unit that stands in brackets.
struct Printed {
    id: String,
    main: String,
    other: Option<String>,
}

fn read() -> Result<[HoseLimits; 4], TableError> {
    let text = include_str!("../../../../data/respirator_performance_limits.csv");
    let rows = read_table(TABLE, text, printed)?;
    let length = |id| greatest::<Centimetres>(&rows, id);
    let pressure = |id| greatest::<KilopascalGauge>(&rows, id).map(Some);
    let most = |id| greatest::<LitrePerMin>(&rows, id).map(Some);
    let least = |id| both::<LitrePerMin>(&rows, id).map(|(a, b)| Some(if b < a { b } else { a }));
    let plain = |length| HoseLimits {
        length,
        pressure: None,
        least_tight: None,
        least_loose: None,
        most: None,
    };
    Ok([
        plain(length("PL041")?),
        plain(length("PL042")?),
        HoseLimits {
            pressure: pressure("PL037")?,
            least_tight: least("PL043")?,
            least_loose: least("PL044")?,
            most: most("PL045")?,
            ..plain(length("PL040")?)
        },
        HoseLimits {
            pressure: pressure("PL038")?,
            least_tight: least("PL046")?,
            ..plain(length("PL040")?)
        },
    ])
}

const TABLE: &str = "respirator_performance_limits.csv";

fn printed(row: &Row<'_>) -> Result<Printed, TableError> {
    let (value, unit) = (row.text("value")?, row.text("unit")?);
    let (unit, other) = match unit.split_once('(') {
        Some((unit, other)) => (unit.trim(), Some(other.trim_end_matches(')').to_owned())),
        None => (unit, None),
    };
    Ok(Printed { id: row.required("id")?, main: format!("{value} {unit}"), other })
}

/// The greater of the two figures printed: a hose or a gauge in either unit passes at its figure.
fn greatest<T>(rows: &[Printed], id: &str) -> Result<T, TableError>
where
    T: FromStr<Err = QuantityError> + PartialOrd + Copy,
{
    both(rows, id).map(|(main, other)| if main < other { other } else { main })
}

/// The two figures printed in a row; twice the same where there is one.
fn both<T: FromStr<Err = QuantityError> + Copy>(
    rows: &[Printed],
    id: &str,
) -> Result<(T, T), TableError> {
    let broken = |what: String| TableError {
        table: TABLE,
        row: id.to_owned(),
        column: "value".to_owned(),
        what,
    };
    let row = rows.iter().find(|row| row.id == id);
    let row = row.ok_or_else(|| broken("the row is missing".to_owned()))?;
    let read = |text: &str| text.parse::<T>().map_err(|error| broken(error.to_string()));
    let main = read(&row.main)?;
    Ok((main, row.other.as_deref().map_or(Ok(main), read)?))
}
