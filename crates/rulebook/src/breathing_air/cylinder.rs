//! How long the air of a cylinder lasts.

use quantity::{Celsius, Kilopascal, KilopascalGauge, LitrePerMin, Litres, Minutes, Percent};
use serde::Serialize;

use super::report::ATMOSPHERE_KPA;
use super::{
    AirError, AirFigure, Charge, EQUATION, air_compressibility, air_density_mol_per_l, grade_d,
    rules,
};
use crate::Finding;

/// A cylinder and what its gauge shows.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Cylinder {
    /// Water volume, as stamped; of all cylinders together where there are two.
    pub volume: Litres,
    /// What the gauge shows.
    pub charge: KilopascalGauge,
    /// Rated pressure, as stamped.
    pub rated: Option<KilopascalGauge>,
    /// Temperature of the air in it.
    pub temperature: Celsius,
}

/// How the air is breathed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Wear {
    /// Air breathed in a minute, at the pressure of the place and 20 degC.
    pub minute_volume: LitrePerMin,
    /// Part of the usable air of a full cylinder that is left when the alarm sounds; of this charge where
    /// no rating is known.
    pub alarm: Percent,
    /// Pressure of the place.
    pub ambient: Kilopascal,
}

/// How long it lasts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Duration {
    /// The method in words.
    pub method: &'static str,
    /// The cylinder.
    pub cylinder: Cylinder,
    /// How it is breathed.
    pub wear: Wear,
    /// Compressibility factor in the cylinder.
    pub compressibility: f64,
    /// Air at the pressure of the place and 20 degC that an ideal gas would give, L.
    pub ideal_free_air_l: f64,
    /// Air at the pressure of the place and 20 degC, L.
    pub free_air_l: f64,
    /// The same without what stays behind when the gauge shows nothing, L.
    pub usable_air_l: f64,
    /// Part of the usable air of a full cylinder left when the alarm sounds; the least of the rule where
    /// less was given.
    pub alarm: Percent,
    /// What the gauge shows when the alarm sounds.
    pub alarm_pressure: KilopascalGauge,
    /// Time until the alarm sounds.
    pub to_alarm: Minutes,
    /// Time from the alarm until nothing is left.
    pub after_alarm: Minutes,
    /// Time until nothing is left.
    pub to_empty: Minutes,
    /// Everything found.
    pub findings: Vec<Finding>,
    /// Where the method and the figures come from.
    pub sources: Vec<String>,
}

const METHOD: &str = "free air = water volume x density in the cylinder / density at 20 degC and the pressure of the place, by the equation of state of air; usable air leaves out what stays behind at the pressure of the place; time = usable air / minute volume";

/// Temperature at which free air is counted.
const FREE_AIR_CELSIUS: f64 = 20.0;

/// What a person breathes in a minute, L: the published range from mild to exhaustive work is 8 to 162
/// (`data/breathing_rates.csv` BR10, read), widened for sleep and for the error of a figure.
const MINUTE_VOLUME_L_PER_MIN: (f64, f64) = (5.0, 200.0);

/// Water volume of the cylinders of one supply, L. Common practice, no source: the smallest for escape
/// hold a third of a litre, a bank on a trolley a few hundred.
pub const WATER_VOLUME_L: (f64, f64) = (0.1, 500.0);

/// Pressure of a place of work, kPa: from above the highest mines to compressed-air work. Common
/// practice, no source.
const AMBIENT_KPA: (f64, f64) = (30.0, 500.0);

/// Rated pressure of a cylinder, kPa. Common practice, no source: in use are 13,000 to 38,000.
pub const RATED_KPA: (f64, f64) = (1000.0, 50_000.0);

/// How long the air of `cylinder` lasts at `wear`.
///
/// Refuses a cylinder of no volume, an empty one, a charge clearly above the rating, an alarm at the whole
/// charge, what lies outside the range of the equation of state, and breathing, volumes, ratings and
/// places far outside what is published or in use.
///
/// Source: [`EQUATION`]; 42 CFR 84.83(f) for the least of the alarm. Example: 6.8 L at 300 bar and
/// 20 degC hold 1827 L, not 2040 (`data/checks/cylinder_air_examples.csv`).
pub fn duration(cylinder: &Cylinder, wear: &Wear) -> Result<Duration, AirError> {
    check(cylinder, wear)?;
    let inside = Kilopascal::from_kpa(cylinder.charge.as_absolute_kpa(wear.ambient))?;
    let free = Celsius::from_celsius(FREE_AIR_CELSIUS)?;
    let full = air_density_mol_per_l(cylinder.temperature, inside)?;
    let left = air_density_mol_per_l(cylinder.temperature, wear.ambient)?;
    let breathed = air_density_mol_per_l(free, wear.ambient)?;
    let litres_per_density = cylinder.volume.as_l() / breathed;
    let (free_air_l, usable_air_l) =
        (litres_per_density * full, litres_per_density * (full - left));

    let least = grade_d().least_alarm;
    let alarm = if wear.alarm < least { least } else { wear.alarm };
    // Its part is one of the rated time, that of a full cylinder.
    let rated = match cylinder.rated {
        Some(rated) => {
            let rated = Kilopascal::from_kpa(rated.as_absolute_kpa(wear.ambient))?;
            air_density_mol_per_l(cylinder.temperature, rated)?
        }
        None => full,
    };
    let at_alarm = (left + (rated - left) * alarm.as_fraction()).min(full);
    let minutes =
        |from: f64, to: f64| litres_per_density * (from - to) / wear.minute_volume.as_l_per_min();
    let ratio = inside.as_kpa() / wear.ambient.as_kpa();
    let mut answer = Duration {
        method: METHOD,
        cylinder: *cylinder,
        wear: *wear,
        compressibility: air_compressibility(cylinder.temperature, inside)?,
        ideal_free_air_l: cylinder.volume.as_l() * ratio * free.as_kelvin()
            / cylinder.temperature.as_kelvin(),
        free_air_l,
        usable_air_l,
        alarm,
        alarm_pressure: gauge_at(at_alarm, cylinder, wear)?,
        to_alarm: Minutes::from_min(minutes(full, at_alarm))?,
        after_alarm: Minutes::from_min(minutes(at_alarm, left))?,
        to_empty: Minutes::from_min(minutes(full, left))?,
        findings: Vec::new(),
        sources: vec![
            EQUATION.to_owned(),
            "alarm: 42 CFR 84.83(f) (data/respirator_performance_limits.csv PL036, read); its part of rated time is applied to the usable air of a full cylinder".to_owned(),
        ],
    };
    answer.findings = findings(&answer);
    Ok(answer)
}

/// How the charge stands to the rating, where that is given.
fn charge(cylinder: &Cylinder) -> Option<Charge> {
    let rated = cylinder.rated?.as_kpa();
    Some(Charge::of_part_of_rated(cylinder.charge.as_kpa() / rated))
}

/// How long a full cylinder lasts at the breathing rate by which self-contained sets are rated, at 20 degC
/// and one atmosphere.
///
/// Refuses what [`duration`] refuses. Source of the rate: 42 CFR part 84 subpart H practice
/// (`data/breathing_rates.csv` BR15, value from memory).
pub fn rated_service_time(volume: Litres, rated: Kilopascal) -> Result<Minutes, AirError> {
    let charge = KilopascalGauge::from_kpa(rated.as_kpa())?;
    let temperature = Celsius::from_celsius(FREE_AIR_CELSIUS)?;
    let cylinder = Cylinder { volume, charge, rated: Some(charge), temperature };
    let wear = Wear {
        minute_volume: LitrePerMin::from_l_per_min(RATING_L_PER_MIN)?,
        alarm: grade_d().least_alarm,
        ambient: Kilopascal::from_kpa(ATMOSPHERE_KPA)?,
    };
    Ok(duration(&cylinder, &wear)?.to_empty)
}

/// The breathing rate by which self-contained sets are rated. Source: `data/breathing_rates.csv` BR15,
/// value from memory.
const RATING_L_PER_MIN: f64 = 40.0;

fn check(cylinder: &Cylinder, wear: &Wear) -> Result<(), AirError> {
    if cylinder.volume.as_l() <= 0.0 {
        return Err(AirError::NoVolume(cylinder.volume));
    }
    if cylinder.charge.as_kpa() <= 0.0 {
        return Err(AirError::Empty(cylinder.charge));
    }
    if let Some(rated) = cylinder.rated.filter(|_| charge(cylinder) == Some(Charge::Overfilled)) {
        return Err(AirError::AboveRating { charge: cylinder.charge, rated });
    }
    if wear.alarm.as_percent() >= 100.0 {
        return Err(AirError::AlarmAtOnce(wear.alarm));
    }
    if wear.ambient.as_kpa() <= 0.0 {
        return Err(AirError::NoAmbient(wear.ambient));
    }
    let check = |figure, (value, unit), (lowest, highest)| {
        if lowest <= value && value <= highest {
            return Ok(());
        }
        Err(AirError::Beyond { figure, given: format!("{value} {unit}"), lowest, highest, unit })
    };
    let breathing = (wear.minute_volume.as_l_per_min(), "L/min");
    check(AirFigure::MinuteVolume, breathing, MINUTE_VOLUME_L_PER_MIN)?;
    check(AirFigure::WaterVolume, (cylinder.volume.as_l(), "L"), WATER_VOLUME_L)?;
    check(AirFigure::Ambient, (wear.ambient.as_kpa(), "kPa"), AMBIENT_KPA)?;
    match cylinder.rated {
        Some(rated) => check(AirFigure::Rating, (rated.as_kpa(), "kPa"), RATED_KPA),
        None => Ok(()),
    }
}

/// What the gauge shows at a density, mol/L, found by halving between nothing and the charge.
fn gauge_at(density: f64, cylinder: &Cylinder, wear: &Wear) -> Result<KilopascalGauge, AirError> {
    let (mut low, mut high) = (0.0, cylinder.charge.as_kpa());
    for _ in 0..48 {
        let middle = f64::midpoint(low, high);
        let kpa = Kilopascal::from_kpa(middle + wear.ambient.as_kpa())?;
        if air_density_mol_per_l(cylinder.temperature, kpa)? < density {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(KilopascalGauge::from_kpa(f64::midpoint(low, high))?)
}

fn findings(answer: &Duration) -> Vec<Finding> {
    let mut findings = Vec::new();
    let cylinder = &answer.cylinder;
    let told = |rule| Finding::caution(rule).with("charge", cylinder.charge);
    match cylinder.rated.zip(charge(cylinder)) {
        Some((rated, Charge::ToFill)) => {
            let mark = grade_d().refill_at.as_percent();
            findings.push(told(&rules::CYLINDER_LOW).with("rated", rated).with("mark", mark));
        }
        Some((rated, Charge::High)) => {
            findings.push(told(&rules::CYLINDER_HIGH).with("rated", rated));
        }
        Some(_) => {}
        None => findings.push(Finding::caution(&rules::RATED_NOT_GIVEN)),
    }
    if answer.wear.alarm < answer.alarm {
        let finding = Finding::stop(&rules::ALARM_FRACTION).with("given", answer.wear.alarm);
        findings.push(finding.with("least", answer.alarm));
    }
    let finding = Finding::caution(&rules::DURATION);
    // Rounded down: nobody is told of air that is not there.
    let whole = |time: Minutes| format!("{:.0} min", time.as_min().floor());
    let finding = finding.with("to_alarm", whole(answer.to_alarm));
    let finding = finding.with("to_empty", whole(answer.to_empty));
    findings.push(finding.with("minute_volume", answer.wear.minute_volume));
    findings.push(Finding::note(&rules::CARE));
    findings
}
