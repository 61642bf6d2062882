//! The gases held by reaction that a report tells of.

use quantity::{
    GAS_CONSTANT_J_PER_MOL_K, Grams, LitrePerGramMin, LitrePerMin, MgPerM3, Percent, QuantityError,
    RelHumidity,
};
use sorbent::{ReactionCalibration, ReactionMeasured, calibrate_reaction};
use substance::Substance;

use super::{GasAnswer, HeldPart, Rows, TimePart, WrittenReport, deviation, rounded, time_words};
use crate::case::{CaseError, ReactionPart};
use crate::reaction::{CalibratedReaction, gas_held};

/// Digits of a capacity and a rate that are worth telling.
const DIGITS: usize = 5;

/// What was measured of one gas.
pub(super) struct GasRows<'a> {
    pub(super) substance: &'static Substance,
    pub(super) rows: Rows<'a, ReactionMeasured>,
    /// Part that passed at each time, and the humidity then.
    tested: Vec<(f64, RelHumidity)>,
}

/// The rows of a gas, new where none were measured of it before.
pub(super) fn rows<'r, 'a>(
    all: &'r mut Vec<GasRows<'a>>,
    name: &str,
) -> Result<&'r mut GasRows<'a>, String> {
    let substance = gas_held(name)?;
    let known = all.iter().position(|gas| gas.substance.cas() == substance.cas());
    let place = known.unwrap_or(all.len());
    if known.is_none() {
        all.push(GasRows { substance, rows: Rows::new(), tested: Vec::new() });
    }
    all.get_mut(place).ok_or_else(|| format!("{name} was lost"))
}

impl GasRows<'_> {
    /// Adds a time; its refusal is added by whoever knows its line.
    pub(super) fn time(&mut self, written: &WrittenReport, part: &TimePart) -> Result<(), String> {
        let air = &written.report.air;
        let elements = written.report.cartridge.elements;
        if elements == 0 {
            return Err(
                "a test of no elements tells nothing\n  give elements in [cartridge]".to_owned()
            );
        }
        let mass = self.substance.molar_mass_g_per_mol().map_err(|error| error.to_string())?.value;
        let [inlet_ppm, end_ppm] = written.levels_ppm(part, mass)?;
        let rt = GAS_CONSTANT_J_PER_MOL_K * air.temperature.as_kelvin();
        let flow = part.flow.unwrap_or(air.flow);
        let of_penetration = end_ppm / inlet_ppm;
        self.rows.measured.push(ReactionMeasured::Time {
            level_g_per_l: inlet_ppm * 1e-6 * air.pressure.as_kpa() / rt * mass,
            flow_l_per_min: flow.as_l_per_min() / f64::from(elements),
            part: of_penetration,
            minutes: part.minutes.as_min(),
            deviation: deviation(part.error)?,
        });
        self.rows.words.push(time_words(part));
        self.tested.push((of_penetration, part.relative_humidity.unwrap_or(air.relative_humidity)));
        Ok(())
    }

    /// Adds what one element held when all passed.
    pub(super) fn held(&mut self, part: &HeldPart) -> Result<(), String> {
        let deviation = deviation(part.error)?;
        self.rows.measured.push(ReactionMeasured::Held { held_g: part.amount.as_g(), deviation });
        self.rows.words.push((format!("{} held when all passed", part.contaminant), "g"));
        Ok(())
    }

    /// Fits capacity and rate, and writes them as lines, rounded to what is worth telling.
    pub(super) fn fitted(
        &self,
        written: &WrittenReport,
    ) -> Result<(ReactionCalibration, CalibratedReaction), CaseError> {
        let name = self.substance.name();
        // What all of its rows lack is told at the first of them.
        let refused = |place: Option<usize>, error: &dyn std::fmt::Display| {
            self.rows.refused(&written.text, place.or(Some(1)), &format!("{name}: {error}"))
        };
        let found = calibrate_reaction(&self.rows.measured)
            .map_err(|error| refused(error.place(), &error))?;
        let line = self.line(written, &found).map_err(|error| refused(None, &error))?;
        let line = line.try_into().map_err(|error| refused(None, &error))?;
        Ok((found, line))
    }

    fn line(
        &self,
        written: &WrittenReport,
        found: &ReactionCalibration,
    ) -> Result<ReactionPart, QuantityError> {
        let levels = self.rows.measured.iter().filter_map(|one| match one {
            ReactionMeasured::Time { level_g_per_l, .. } => Some(*level_g_per_l),
            ReactionMeasured::Held { .. } => None,
        });
        let level = |g_per_l: f64| MgPerM3::from_mg_per_m3(significant(g_per_l * 1e6));
        let (lowest, highest) =
            (levels.clone().fold(f64::INFINITY, f64::min), levels.fold(0.0, f64::max));
        let humidity = self.tested.iter().map(|(_, humidity)| humidity.as_percent());
        let passed = self.tested.iter().map(|(passed, _)| *passed).fold(f64::INFINITY, f64::min);
        let percent = |part: f64| Percent::from_percent(significant(100.0 * part));
        let [capacity_error, rate_error] = found.deviations;
        Ok(ReactionPart {
            contaminant: self.substance.cas().to_string(),
            capacity: Grams::from_g(significant(found.held.capacity_g))?,
            rate: LitrePerGramMin::from_l_per_g_min(significant(found.held.rate_l_per_g_min))?,
            capacity_error: percent(capacity_error)?,
            rate_error: percent(rate_error)?,
            correlation: rounded(found.correlation, 6),
            slowest_flow: LitrePerMin::from_l_per_min(significant(found.held.slowest_l_per_min))?,
            lowest_level: level(lowest)?,
            highest_level: level(highest)?,
            least_penetration: percent(passed)?,
            driest: RelHumidity::from_percent(humidity.clone().fold(f64::INFINITY, f64::min))?,
            dampest: RelHumidity::from_percent(humidity.fold(0.0, f64::max))?,
            temperature: written.report.air.temperature,
            report: written.report.report.clone(),
        })
    }
}

impl GasAnswer {
    pub(super) fn of(substance: &Substance, found: &ReactionCalibration) -> Self {
        Self {
            name: substance.name().to_owned(),
            capacity: found.held.capacity_g,
            rate: found.held.rate_l_per_g_min,
            deviations: found.deviations,
            correlation: found.correlation,
        }
    }
}

/// To as many digits as are worth telling, wherever its point stands.
fn significant(value: f64) -> f64 {
    format!("{value:.DIGITS$e}").parse().unwrap_or(value)
}
