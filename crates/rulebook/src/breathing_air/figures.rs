//! The figures of breathing air, by their rows.

use std::sync::OnceLock;

use quantity::{DewPoint, MgPerM3, OxygenPercent, Percent, Ppm, QuantityError};

use crate::table::{Row, TableError, loud, read_table};

/// The figures that a test of the air is held against, and two of the set itself.
///
/// Source: `data/breathing_air.csv` and `data/respirator_performance_limits.csv`, rows named below.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GradeD {
    /// Least oxygen, BA01.
    pub oxygen_low: OxygenPercent,
    /// Most oxygen, BA01.
    pub oxygen_high: OxygenPercent,
    /// Most condensed hydrocarbons, BA02.
    pub hydrocarbons: MgPerM3,
    /// Most carbon monoxide, BA03.
    pub carbon_monoxide: Ppm,
    /// Most carbon dioxide, BA04.
    pub carbon_dioxide: Ppm,
    /// Highest dew point of cylinder air at one atmosphere, BA08.
    pub cylinder_dew_point: DewPoint,
    /// How far below the temperature of the place the dew point of compressor air must lie, degC, BA09.
    pub compressor_margin_celsius: f64,
    /// At or below this part of its rated pressure a cylinder is to be filled, BA14.
    pub refill_at: Percent,
    /// Least part left when the low-air alarm sounds, PL036.
    pub least_alarm: Percent,
}

/// The figures.
#[must_use]
pub fn grade_d() -> &'static GradeD {
    static FIGURES: OnceLock<GradeD> = OnceLock::new();
    FIGURES.get_or_init(|| loud(read()))
}

/// Least, most, and most in the other unit printed.
type Numbers = (Option<f64>, Option<f64>, Option<f64>);

fn read() -> Result<GradeD, TableError> {
    let air = read_table(
        "breathing_air.csv",
        include_str!("../../../../data/breathing_air.csv"),
        |row| {
            Ok((
                row.required("id")?,
                (signed(row, "min")?, signed(row, "max")?, signed(row, "alt_max")?),
            ))
        },
    )?;
    let limits = read_table(
        "respirator_performance_limits.csv",
        include_str!("../../../../data/respirator_performance_limits.csv"),
        |row| Ok((row.required("id")?, (signed(row, "value")?, None, None))),
    )?;
    let low = |id| pick("breathing_air.csv", &air, id, |n| n.0);
    let high = |id| pick("breathing_air.csv", &air, id, |n| n.1);
    let other = |id| pick("breathing_air.csv", &air, id, |n| n.2);
    let alarm = pick("respirator_performance_limits.csv", &limits, "PL036", |n| n.0)?;
    Ok(GradeD {
        oxygen_low: typed("BA01", OxygenPercent::from_percent(low("BA01")?))?,
        oxygen_high: typed("BA01", OxygenPercent::from_percent(high("BA01")?))?,
        hydrocarbons: typed("BA02", MgPerM3::from_mg_per_m3(high("BA02")?))?,
        carbon_monoxide: typed("BA03", Ppm::from_ppm(high("BA03")?))?,
        carbon_dioxide: typed("BA04", Ppm::from_ppm(high("BA04")?))?,
        // The dew point is printed as -50 F (-45.6 C); the warmer of the two is the limit, so that
        // a report in either unit passes at the figure printed.
        cylinder_dew_point: typed("BA08", warmer(high("BA08")?, other("BA08")?))?,
        compressor_margin_celsius: low("BA09")? * 5.0 / 9.0,
        refill_at: typed("BA14", Percent::from_percent(low("BA14")?))?,
        least_alarm: typed("PL036", Percent::from_percent(alarm))?,
    })
}

fn warmer(fahrenheit: f64, celsius: f64) -> Result<DewPoint, QuantityError> {
    let read: DewPoint = format!("{fahrenheit} degF").parse()?;
    let other = DewPoint::from_celsius(celsius)?;
    Ok(if read < other { other } else { read })
}

/// A number that may lie below zero; none where the cell holds none or other words.
fn signed(row: &Row<'_>, column: &str) -> Result<Option<f64>, TableError> {
    Ok(row.text(column)?.parse().ok().filter(|number: &f64| number.is_finite()))
}

fn pick(
    table: &'static str,
    rows: &[(String, Numbers)],
    id: &str,
    column: impl Fn(&Numbers) -> Option<f64>,
) -> Result<f64, TableError> {
    let found = rows.iter().find(|row| row.0 == id).and_then(|row| column(&row.1));
    found.ok_or_else(|| broken(table, id, "the figure is missing"))
}

fn typed<T>(id: &str, value: Result<T, QuantityError>) -> Result<T, TableError> {
    value.map_err(|error| broken("breathing_air.csv", id, &error.to_string()))
}

fn broken(table: &'static str, id: &str, what: &str) -> TableError {
    let column = "figure".to_owned();
    TableError { table, row: id.to_owned(), column, what: what.to_owned() }
}
