//! A test of breathing air held against Grade D.

use quantity::{Celsius, DewPoint, Kilopascal, KilopascalGauge, MgPerM3, OxygenPercent, Ppm};
use serde::{Deserialize, Serialize};

use super::{AirError, dew_point_of, grade_d, rules, water_ppm};
use crate::{Finding, Severity, shown_beside};

/// Where the air comes from, which decides how dry it must be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Supply {
    /// Bought or filled in cylinders.
    Cylinder,
    /// From a compressor.
    Compressor,
}

/// How moisture was reported.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Moisture {
    /// A dew point at one atmosphere.
    DewPoint(DewPoint),
    /// A dew point at this gauge pressure.
    UnderPressure(DewPoint, KilopascalGauge),
    /// Water as a volume fraction.
    Water(Ppm),
}

/// A test of the air; none where a figure is not reported.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Report {
    /// Where the air comes from.
    pub supply: Supply,
    /// Oxygen.
    pub oxygen: Option<OxygenPercent>,
    /// Condensed hydrocarbons.
    pub hydrocarbons: Option<MgPerM3>,
    /// Carbon monoxide.
    pub carbon_monoxide: Option<Ppm>,
    /// Carbon dioxide.
    pub carbon_dioxide: Option<Ppm>,
    /// Whether there is a noticeable odour.
    pub odour: Option<bool>,
    /// Moisture.
    pub moisture: Option<Moisture>,
    /// Temperature of the place, for a compressor.
    pub ambient: Option<Celsius>,
}

/// One figure held against its limit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FigureAnswer {
    /// Which figure.
    pub what: &'static str,
    /// What was reported; none where it was not.
    pub measured: Option<String>,
    /// The limit, in words.
    pub limit: String,
    /// Whether it meets the limit; none where it was not reported.
    pub meets: Option<bool>,
    /// Paragraph.
    pub citation: &'static str,
}

/// What a test of the air came to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReportAnswer {
    /// The method in words.
    pub method: &'static str,
    /// Where the air comes from.
    pub supply: Supply,
    /// Whether every figure was reported and meets its limit.
    pub meets: bool,
    /// Each figure.
    pub figures: Vec<FigureAnswer>,
    /// The dew point at one atmosphere, where moisture was reported and lies above -100 degC.
    pub dew_point: Option<DewPoint>,
    /// Water at one atmosphere, where moisture was reported.
    pub water: Option<Ppm>,
    /// Everything found.
    pub findings: Vec<Finding>,
    /// Where the figures come from.
    pub sources: Vec<String>,
}

impl ReportAnswer {
    /// Whether figures are missing and none that was reported is outside its limit.
    #[must_use]
    pub fn is_only_incomplete(&self) -> bool {
        let of = |judged| self.figures.iter().any(|figure| figure.meets == judged);
        of(None) && !of(Some(false))
    }

    /// Whether the air is dry enough; none where moisture was not reported.
    #[must_use]
    pub fn is_dry(&self) -> Option<bool> {
        self.figures.iter().find(|figure| figure.what == MOISTURE)?.meets
    }
}

const METHOD: &str = "each figure as reported against its limit, equal passes; dew point and ppm of water by the vapour pressure of water over ice or liquid, ideal gas";

/// Holds a test of the air against Grade D and the limit of moisture for its supply.
///
/// A figure that is not reported is a finding that means stop. Refuses more water than air can hold.
///
/// Source: 29 CFR 1910.134(i)(1)(ii), (i)(4)(iii) and (i)(5)(ii), `data/breathing_air.csv`.
pub fn judge_report(report: &Report) -> Result<ReportAnswer, AirError> {
    let mut figures = gases(report);
    let (moisture, water) = atmospheric(report)?;
    figures.push(moisture_figure(report, moisture));
    let mut findings: Vec<Finding> = figures.iter().filter_map(finding).collect();
    if let Some(Moisture::UnderPressure(measured, pressure)) = report.moisture {
        let finding = Finding::caution(&rules::UNDER_PRESSURE).with("measured", measured);
        let finding = finding.with("pressure", pressure);
        findings.push(
            finding
                .with("atmospheric", moisture.map_or_else(String::new, |point| words(point, None))),
        );
    }
    findings.push(Finding::note(&rules::CARE));
    Ok(ReportAnswer {
        method: METHOD,
        supply: report.supply,
        meets: findings.iter().all(|finding| finding.severity != Severity::Stop),
        figures,
        dew_point: moisture.flatten(),
        water,
        findings,
        sources: vec![
            "29 CFR 1910.134(i)(1)(ii), (i)(4)(iii) and (i)(5)(ii) (data/breathing_air.csv, read)"
                .to_owned(),
            "vapour pressure of water: Hyland and Wexler 1983, ASHRAE Transactions 89(2A):500-519"
                .to_owned(),
        ],
    })
}

fn gases(report: &Report) -> Vec<FigureAnswer> {
    let limits = grade_d();
    let oxygen =
        report.oxygen.map(|o| (o.to_string(), limits.oxygen_low <= o && o <= limits.oxygen_high));
    let at_most = |what, measured: Option<(String, bool)>, limit: String, citation| {
        figure(what, measured, format!("at most {limit}"), citation)
    };
    vec![
        figure(
            "oxygen",
            oxygen,
            format!("{} to {}", limits.oxygen_low, limits.oxygen_high),
            "29 CFR 1910.134(i)(1)(ii)(A)",
        ),
        at_most(
            "condensed hydrocarbons",
            report.hydrocarbons.map(|m| (m.to_string(), m <= limits.hydrocarbons)),
            limits.hydrocarbons.to_string(),
            "29 CFR 1910.134(i)(1)(ii)(B)",
        ),
        at_most(
            "carbon monoxide",
            report.carbon_monoxide.map(|m| (m.to_string(), m <= limits.carbon_monoxide)),
            limits.carbon_monoxide.to_string(),
            "29 CFR 1910.134(i)(1)(ii)(C)",
        ),
        at_most(
            "carbon dioxide",
            report.carbon_dioxide.map(|m| (m.to_string(), m <= limits.carbon_dioxide)),
            limits.carbon_dioxide.to_string(),
            "29 CFR 1910.134(i)(1)(ii)(D)",
        ),
        figure(
            "odour",
            report
                .odour
                .map(|odour| (if odour { "noticeable" } else { "none" }.to_owned(), !odour)),
            "none noticeable".to_owned(),
            "29 CFR 1910.134(i)(1)(ii)(E)",
        ),
    ]
}

fn figure(
    what: &'static str,
    measured: Option<(String, bool)>,
    limit: String,
    citation: &'static str,
) -> FigureAnswer {
    let (measured, meets) = measured.unzip();
    FigureAnswer { what, measured, limit, meets, citation }
}

/// The dew point at one atmosphere, itself none below -100 degC, and the water that goes with it.
fn atmospheric(report: &Report) -> Result<(Option<Option<DewPoint>>, Option<Ppm>), AirError> {
    let atmosphere = Kilopascal::from_kpa(ATMOSPHERE_KPA)?;
    let water = match report.moisture {
        None => return Ok((None, None)),
        Some(Moisture::DewPoint(dew_point)) => {
            return Ok((Some(Some(dew_point)), Some(water_ppm(dew_point, atmosphere)?)));
        }
        Some(Moisture::UnderPressure(dew_point, gauge)) => {
            water_ppm(dew_point, Kilopascal::from_kpa(gauge.as_absolute_kpa(atmosphere))?)?
        }
        Some(Moisture::Water(water)) => water,
    };
    Ok((Some(dew_point_of(water, atmosphere)?), Some(water)))
}

/// The standard atmosphere.
pub(super) const ATMOSPHERE_KPA: f64 = 101.325;

/// A dew point as it is written beside the highest that is allowed, where there is one.
fn words(dew_point: Option<DewPoint>, most: Option<f64>) -> String {
    let Some(dew_point) = dew_point else { return "below -100 degC".to_owned() };
    let celsius = dew_point.as_celsius();
    format!("{} degC", shown_beside(celsius, most.unwrap_or(celsius), 1))
}

/// Moisture against the limit of the supply. Compressor air cannot be judged without the temperature
/// of the place.
fn moisture_figure(report: &Report, moisture: Option<Option<DewPoint>>) -> FigureAnswer {
    let limits = grade_d();
    let (most, limit, citation) = match (report.supply, report.ambient) {
        (Supply::Cylinder, _) => {
            let most = limits.cylinder_dew_point.as_celsius();
            let limit = format!("{} for cylinder air", at_most(most));
            (Some(most), limit, "29 CFR 1910.134(i)(4)(iii)")
        }
        (Supply::Compressor, Some(ambient)) => {
            let most = ambient.as_celsius() - limits.compressor_margin_celsius;
            let limit = format!("{} for compressor air at {ambient}", at_most(most));
            (Some(most), limit, "29 CFR 1910.134(i)(5)(ii)")
        }
        (Supply::Compressor, None) => {
            let limit = "10 degF below the temperature of the place, which is not given".to_owned();
            (None, limit, "29 CFR 1910.134(i)(5)(ii)")
        }
    };
    let meets = moisture
        .zip(most)
        .map(|(dew_point, most)| dew_point.is_none_or(|dew_point| dew_point.as_celsius() <= most));
    let measured = moisture.map(|point| words(point, most));
    FigureAnswer { what: MOISTURE, measured, limit, meets, citation }
}

fn at_most(celsius: f64) -> String {
    format!("at most {celsius:.1} degC")
}

const MOISTURE: &str = "dew point";

fn finding(figure: &FigureAnswer) -> Option<Finding> {
    let found = match figure.meets {
        Some(true) => return None,
        Some(false) if figure.what == MOISTURE => Finding::stop(&rules::MOISTURE),
        Some(false) => Finding::stop(&rules::GRADE_D).with("what", figure.what),
        None if figure.measured.is_some() => {
            let what = "the temperature of the place, which the dew point is held against,";
            return Some(
                Finding::stop(&rules::NOT_REPORTED).with("what", what).citing(figure.citation),
            );
        }
        None => Finding::stop(&rules::NOT_REPORTED).with("what", figure.what),
    };
    let measured = figure.measured.clone().unwrap_or_default();
    Some(found.with("measured", measured).with("limit", &figure.limit).citing(figure.citation))
}
