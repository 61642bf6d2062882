//! A laboratory report of a kind of element, and the carbon it tells of.

use quantity::{
    Celsius, Centimetres, Cm3PerGram, Concentration, Grams, GramsPerCm3, GramsPerGram,
    KilojoulesPerMol, Kilopascal, LitrePerMin, Minutes, Percent, QuantityError, RelHumidity,
    SquareCm,
};
use serde::{Deserialize, Serialize};
use sorbent::{
    Air, Bed, BedParts, Calibration, DEFAULT_GRANULE_CM, Measured, Method, Own, Start, SteadyCase,
    Stream, Vapour, calibrate, reference_energy_of_wood_1994,
};
use substance::{Cas, Catalogue, Substance, SubstanceClass};
use toml::Spanned;

use crate::carbon::{CalibratedCarbon, CarbonError};
use crate::case::{CaseError, Penetration, words_of_table};

/// Micropore volume a fit starts from where the report tells none, cm³/g: usual for respirator
/// carbon (common practice, no source).
const USUAL_VOLUME: f64 = 0.454;

/// A report as it is written.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Report {
    /// What the report is called: laboratory, number, day.
    pub report: String,
    /// The elements that were tested.
    pub cartridge: TestedPart,
    /// The air of the tests.
    pub air: TestAirPart,
    /// Times found.
    #[serde(default)]
    pub time: Vec<Spanned<TimePart>>,
    /// Points of isotherms found.
    #[serde(default)]
    pub loading: Vec<Spanned<LoadingPart>>,
}

/// The elements that were tested.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TestedPart {
    /// How many shared the flow.
    pub elements: u8,
    /// Sorbent in each.
    pub sorbent_mass: Grams,
    /// Area of each bed across the flow.
    pub bed_area: SquareCm,
    /// Bulk density.
    pub bulk_density: GramsPerCm3,
    /// Mean granule size.
    #[serde(default)]
    pub granule: Option<Centimetres>,
    /// Micropore volume, where something is known of it before.
    #[serde(default)]
    pub micropore_volume: Option<Cm3PerGram>,
    /// Characteristic energy, where something is known of it before.
    #[serde(default)]
    pub reference_energy: Option<KilojoulesPerMol>,
}

/// The air of the tests.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TestAirPart {
    /// Flow through all elements together.
    pub flow: LitrePerMin,
    /// Temperature.
    pub temperature: Celsius,
    /// Relative humidity.
    pub relative_humidity: RelHumidity,
    /// Pressure; that of the standard atmosphere where it is left out.
    #[serde(default = "crate::case::standard_atmosphere")]
    pub pressure: Kilopascal,
}

/// One time found; several of one test are points of its curve.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TimePart {
    /// The vapour, by name or registry number.
    pub contaminant: String,
    /// Level that entered.
    pub concentration: Concentration,
    /// Level at the outlet then.
    pub penetration: Penetration,
    /// When.
    pub minutes: Minutes,
    /// Standard deviation of the time as a part of it.
    #[serde(default)]
    pub error: Option<Percent>,
    /// Flow, where it was another.
    #[serde(default)]
    pub flow: Option<LitrePerMin>,
    /// Humidity, where it was another.
    #[serde(default)]
    pub relative_humidity: Option<RelHumidity>,
}

/// One point of an isotherm on the dry carbon.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LoadingPart {
    /// The vapour, by name or registry number.
    pub contaminant: String,
    /// Its partial pressure.
    pub pressure: Kilopascal,
    /// Temperature, where it was another than that of the air.
    #[serde(default)]
    pub temperature: Option<Celsius>,
    /// Held.
    pub loading: GramsPerGram,
    /// Standard deviation of the loading as a part of it.
    #[serde(default)]
    pub error: Option<Percent>,
}

/// A report whose text was read, with the text itself, so that a refusal can name the line.
#[derive(Debug, Clone)]
pub struct WrittenReport {
    /// What the text says.
    pub report: Report,
    text: String,
    /// Times of a table, whose lines are not those of the text.
    table: Vec<TimePart>,
}

/// The carbon a report tells of, in the words of a case file.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CalibrationAnswer {
    /// The report.
    pub report: String,
    /// Micropore volume, cm³/g.
    pub micropore_volume: f64,
    /// Characteristic energy towards benzene, kJ/mol.
    pub reference_energy: f64,
    /// What the rate coefficients are multiplied by.
    pub rate_factor: f64,
    /// What the affinity of each vapour with an isotherm is multiplied by, by name.
    pub affinities: Vec<(String, f64)>,
    /// What the density of its liquid is multiplied by in the pores.
    pub packings: Vec<(String, f64)>,
    /// Relative standard deviations of the three.
    pub deviations: [f64; 3],
    /// Correlations of the errors: volume and energy, volume and rate, energy and rate.
    pub correlations: [f64; 3],
    /// How much surer than before each is, 0 to 1.
    pub learned: [f64; 3],
    /// Root mean square of the logarithms of measured over fitted.
    pub misfit: f64,
    /// Each measurement beside the fit.
    pub beside: Vec<BesideAnswer>,
    /// The lines that a case file, a form and a table of element types take.
    pub case_lines: String,
}

/// One measurement beside the fit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BesideAnswer {
    /// What was measured.
    pub of: String,
    /// The value found, in `unit`.
    pub measured: f64,
    /// The value of the fit.
    pub fitted: f64,
    /// min or g/g.
    pub unit: &'static str,
}

impl WrittenReport {
    /// Reads a report from TOML text.
    ///
    /// Refuses what is not TOML, an unknown or missing key and a quantity without its unit, with
    /// the line and the key.
    pub fn read(text: &str) -> Result<Self, CaseError> {
        let report = toml::from_str(text).map_err(|error| CaseError::from_toml(&error, text))?;
        Ok(Self { report, text: text.to_owned(), table: Vec::new() })
    }

    /// Adds the times of a table (CSV) with the columns contaminant, concentration, penetration and
    /// minutes, and if wanted error, flow and relative_humidity, each value with its unit.
    ///
    /// Refuses a row that cannot be read, by its line.
    pub fn add_times(&mut self, table: &str) -> Result<(), CaseError> {
        let mut reader =
            csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(table.as_bytes());
        for (row, line) in reader.deserialize::<TimePart>().zip(2..) {
            let part = row.map_err(|error| CaseError {
                line,
                key: "row of times".to_owned(),
                message: words_of_table(&error),
            })?;
            self.table.push(part);
        }
        Ok(())
    }

    /// Fits the carbon.
    ///
    /// Refuses an unknown contaminant by its line, and what [`sorbent::calibrate`] refuses with
    /// its reason.
    pub fn calibrate(&self) -> Result<CalibrationAnswer, CaseError> {
        let (mut measured, mut words) = (Vec::new(), Vec::new());
        // A refusal of each measurement, at its line.
        let mut refusals: Vec<Box<dyn Fn(String) -> CaseError + '_>> = Vec::new();
        for part in &self.report.time {
            let of = |message| CaseError::at(&self.text, part.span().start, "time", message);
            measured.push(self.time(part.get_ref()).map_err(of)?);
            words.push(time_words(part.get_ref()));
            refusals.push(Box::new(of));
        }
        for (part, line) in self.table.iter().zip(2..) {
            let of = move |message| CaseError { line, key: "row of times".to_owned(), message };
            measured.push(self.time(part).map_err(of)?);
            words.push(time_words(part));
            refusals.push(Box::new(of));
        }
        for part in &self.report.loading {
            let of = |message| CaseError::at(&self.text, part.span().start, "loading", message);
            measured.push(self.loading(part.get_ref()).map_err(of)?);
            let told = part.get_ref();
            words.push((format!("{} at {}", told.contaminant, told.pressure), "g/g"));
            refusals.push(Box::new(of));
        }
        let found = calibrate(&measured, self.start()).map_err(|error| {
            let own = error.place().and_then(|place| refusals.get(place - 1));
            match own {
                Some(refuse) => refuse(error.to_string()),
                None => CaseError::missing(&self.text, "report", &error.to_string()),
            }
        })?;
        answer(&self.report.report, &found, words)
            .map_err(|message| CaseError::missing(&self.text, "report", &message))
    }

    fn start(&self) -> Start {
        let tested = &self.report.cartridge;
        let told = tested.micropore_volume.map(Cm3PerGram::as_cm3_per_g);
        let micropore_volume = told.unwrap_or(USUAL_VOLUME);
        let energy = tested.reference_energy.map(|energy| energy.as_kj_per_mol() * 1e3);
        let usual = || reference_energy_of_wood_1994(micropore_volume);
        Start { micropore_volume, reference_energy: energy.unwrap_or_else(usual) }
    }

    fn bed(&self) -> Result<Bed, String> {
        let tested = &self.report.cartridge;
        let usual = || Centimetres::from_cm(DEFAULT_GRANULE_CM).map_err(|e| e.to_string());
        let start = Cm3PerGram::from_cm3_per_g(self.start().micropore_volume);
        let parts = BedParts {
            elements: tested.elements,
            sorbent_mass: tested.sorbent_mass,
            bed_area: tested.bed_area,
            bulk_density: tested.bulk_density,
            granule: tested.granule.map_or_else(usual, Ok)?,
            micropore_volume: start.map_err(|e| e.to_string())?,
            reference_energy: tested.reference_energy,
        };
        if tested.elements == 0 || tested.sorbent_mass.as_g() <= 0.0 {
            return Err("a test of no elements, or of elements without sorbent, tells nothing\n  give elements and sorbent_mass in [cartridge]".to_owned());
        }
        Ok(Bed::new(&parts))
    }

    fn time(&self, part: &TimePart) -> Result<Measured, String> {
        let told = &self.report.air;
        let substance = substance(&part.contaminant)?;
        refuse_reaction(substance)?;
        let (vapour, _) =
            Vapour::of(substance, told.temperature).map_err(|error| error.to_string())?;
        let ppm = |level: Concentration| match level.to_ppm(
            vapour.molar_mass,
            told.temperature,
            told.pressure,
        ) {
            Some(Ok(ppm)) => Ok(ppm.as_ppm()),
            Some(Err(error)) => Err(error.to_string()),
            None => Err("a count of fibres is no vapour".to_owned()),
        };
        let inlet_ppm = ppm(part.concentration)?;
        let end_ppm = match part.penetration {
            Penetration::Part(part) => inlet_ppm * part.as_fraction(),
            Penetration::Level(level) => ppm(level)?,
        };
        if end_ppm > 0.5 * inlet_ppm * (1.0 + 1e-9) {
            return Err("more than half of what enters passes then, where the closed form does not hold\n  give times at 50 % or less".to_owned());
        }
        let air = Air::new(
            part.flow.unwrap_or(told.flow),
            told.temperature,
            told.pressure,
            part.relative_humidity.unwrap_or(told.relative_humidity),
        );
        let case = SteadyCase {
            bed: self.bed()?,
            air,
            streams: vec![Stream { vapour, inlet_ppm, end_ppm }],
            method: Method::ReactionKinetic,
            rate_factor: 1.0,
            fastest_velocity: None,
        };
        let deviation = deviation(part.error)?;
        Ok(Measured::Time { case: Box::new(case), minutes: part.minutes.as_min(), deviation })
    }

    fn loading(&self, part: &LoadingPart) -> Result<Measured, String> {
        let temperature = part.temperature.unwrap_or(self.report.air.temperature);
        let substance = substance(&part.contaminant)?;
        refuse_reaction(substance)?;
        let (vapour, _) = Vapour::of(substance, temperature).map_err(|error| error.to_string())?;
        let pressure_kpa = part.pressure.as_kpa();
        if pressure_kpa <= 0.0 || pressure_kpa >= vapour.psat_kpa {
            return Err(format!(
                "{} is not between nothing and the vapour pressure of {:.4} kPa\n  check the point against the report",
                part.pressure, vapour.psat_kpa
            ));
        }
        Ok(Measured::Loading {
            vapour: Box::new(vapour),
            temperature_k: temperature.as_kelvin(),
            pressure_kpa,
            loading: part.loading.as_g_per_g(),
            deviation: deviation(part.error)?,
        })
    }
}

/// A standard deviation as a part; none that is nothing, which would weigh without end.
fn deviation(error: Option<Percent>) -> Result<Option<f64>, String> {
    match error.map(Percent::as_fraction) {
        Some(part) if part <= 0.0 => Err(
            "an error of 0 % is that of no measurement\n  give its standard deviation, or leave error out"
                .to_owned(),
        ),
        told => Ok(told),
    }
}

/// Refuses a gas that carbon does not hold by its pores, of which this finds nothing.
fn refuse_reaction(substance: &Substance) -> Result<(), String> {
    if substance.class() == SubstanceClass::OrganicVapour {
        return Ok(());
    }
    Err(format!(
        "{} is no organic vapour: it is not held by the pores of carbon, of which a report is calibrated here\n  leave it out; its life rests on what certification proves",
        substance.name()
    ))
}

fn substance(name: &str) -> Result<&'static Substance, String> {
    Catalogue::builtin().find(name).map_err(|error| error.to_string())
}

fn time_words(part: &TimePart) -> (String, &'static str) {
    let TimePart { contaminant, concentration, penetration, .. } = part;
    (format!("{contaminant} at {concentration} to {penetration}"), "min")
}

fn answer(
    report: &str,
    found: &Calibration,
    words: Vec<(String, &'static str)>,
) -> Result<CalibrationAnswer, String> {
    let [[vv, ve, vr], [_, ee, er], [_, _, rr]] = found.covariance;
    let deviations = [vv, ee, rr].map(f64::sqrt);
    let [volume, energy, rate] = deviations;
    let correlations = [ve / (volume * energy), vr / (volume * rate), er / (energy * rate)];
    let beside = words.into_iter().zip(&found.beside).map(|((of, unit), pair)| BesideAnswer {
        of,
        measured: pair.measured,
        fitted: pair.fitted,
        unit,
    });
    let own = |factor: fn(&Own) -> f64| -> Vec<(String, f64)> {
        found.own.iter().map(|own| (own.vapour.clone(), factor(own))).collect()
    };
    Ok(CalibrationAnswer {
        report: report.to_owned(),
        micropore_volume: found.micropore_volume,
        reference_energy: found.reference_energy / 1e3,
        rate_factor: found.rate_factor,
        affinities: own(|own| own.affinity),
        packings: own(|own| own.packing),
        deviations,
        correlations,
        learned: found.learned,
        misfit: found.misfit,
        beside: beside.collect(),
        case_lines: carbon(report, found, (deviations, correlations))?.to_string(),
    })
}

/// The carbon as its lines tell it, rounded to what is worth telling.
fn carbon(
    report: &str,
    found: &Calibration,
    (deviations, correlations): ([f64; 3], [f64; 3]),
) -> Result<CalibratedCarbon, String> {
    let wrong = |error: QuantityError| error.to_string();
    let own = |factor: fn(&Own) -> f64| -> Result<Vec<(Cas, f64)>, String> {
        let told = |own: &Own| Ok((substance(&own.vapour)?.cas(), rounded(factor(own), 4)));
        found.own.iter().map(told).collect()
    };
    let percent = |part: f64| Percent::from_percent(rounded(100.0 * part, 3)).map_err(wrong);
    let [volume, energy, rate] = deviations;
    let lines = CalibratedCarbon {
        report: report.to_owned(),
        micropore_volume: Cm3PerGram::from_cm3_per_g(rounded(found.micropore_volume, 4))
            .map_err(wrong)?,
        reference_energy: KilojoulesPerMol::from_kj_per_mol(rounded(
            found.reference_energy / 1e3,
            3,
        ))
        .map_err(wrong)?,
        rate_factor: rounded(found.rate_factor, 4),
        affinities: own(|own| own.affinity)?,
        packings: own(|own| own.packing)?,
        deviations: [percent(volume)?, percent(energy)?, percent(rate)?],
        correlations: correlations.map(|part| rounded(part, 6)),
    };
    // What was found must be what a case may tell.
    lines.to_string().parse().map_err(|error: CarbonError| error.to_string())
}

fn rounded(value: f64, digits: i32) -> f64 {
    let scale = 10.0_f64.powi(digits);
    (value * scale).round() / scale
}
