//! A laboratory report of a kind of element, and what it tells: of its carbon by vapours that the pores
//! hold, and of each gas that a reaction holds.

mod carbon;
mod gases;

use quantity::{
    Celsius, Centimetres, Cm3PerGram, Concentration, Grams, GramsPerCm3, GramsPerGram,
    KilojoulesPerMol, Kilopascal, LitrePerMin, Minutes, Percent, RelHumidity, SquareCm,
};
use serde::{Deserialize, Serialize};
use sorbent::{
    Air, Bed, BedParts, Beside, DEFAULT_GRANULE_CM, Measured, Method, Start, SteadyCase, Stream,
    Vapour, reference_energy_of_wood_1994,
};
use substance::{Catalogue, Substance, SubstanceClass};
use toml::Spanned;

use crate::case::{CaseError, Penetration, words_of_table};

use gases::GasRows;

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
    /// What elements held of gases by reaction when all passed.
    #[serde(default)]
    pub held: Vec<Spanned<HeldPart>>,
}

/// The elements that were tested.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TestedPart {
    /// How many shared the flow.
    pub elements: u8,
    /// Sorbent in each. A vapour needs it.
    #[serde(default)]
    pub sorbent_mass: Option<Grams>,
    /// Area of each bed across the flow. A vapour needs it.
    #[serde(default)]
    pub bed_area: Option<SquareCm>,
    /// Bulk density. A vapour needs it.
    #[serde(default)]
    pub bulk_density: Option<GramsPerCm3>,
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

/// What one element held of a gas by reaction when all that entered passed.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HeldPart {
    /// The gas, by name or registry number.
    pub contaminant: String,
    /// Held by one element.
    pub amount: Grams,
    /// Standard deviation of the amount as a part of it.
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

/// What a report tells, in the words of a case file.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CalibrationAnswer {
    /// The report.
    pub report: String,
    /// The carbon, where vapours were tested.
    #[serde(flatten)]
    pub carbon: Option<CarbonAnswer>,
    /// Each gas that was tested.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub gases: Vec<GasAnswer>,
    /// Root mean square of the logarithms of measured over fitted.
    pub misfit: f64,
    /// Each measurement beside the fit.
    pub beside: Vec<BesideAnswer>,
    /// The lines that a case file, a form and a table of element types take.
    pub case_lines: String,
}

/// What a report tells of the carbon.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CarbonAnswer {
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
}

/// What a report tells of a gas held by reaction.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GasAnswer {
    /// The gas.
    pub name: String,
    /// What one element holds of it, g.
    pub capacity: f64,
    /// Rate coefficient of its uptake, L/(g min).
    pub rate: f64,
    /// Relative standard deviations of the two.
    pub deviations: [f64; 2],
    /// Correlation of the errors.
    pub correlation: f64,
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
    /// min, g/g or g.
    pub unit: &'static str,
}

/// What was measured of one thing, in its words, each with how it is refused at its line.
struct Rows<'a, M> {
    measured: Vec<M>,
    words: Vec<(String, &'static str)>,
    refusals: Vec<Refuse<'a>>,
}

type Refuse<'a> = Box<dyn Fn(String) -> CaseError + 'a>;

impl<'a, M> Rows<'a, M> {
    fn new() -> Self {
        Self { measured: Vec::new(), words: Vec::new(), refusals: Vec::new() }
    }

    fn add(&mut self, measured: M, words: (String, &'static str), refuse: Refuse<'a>) {
        self.measured.push(measured);
        self.words.push(words);
        self.refusals.push(refuse);
    }

    /// A refusal of one of them, by its place from 1, or of all together.
    fn refused(&self, text: &str, place: Option<usize>, message: &str) -> CaseError {
        match place.and_then(|place| self.refusals.get(place.checked_sub(1)?)) {
            Some(refuse) => refuse(message.to_owned()),
            None => CaseError::missing(text, "report", message),
        }
    }

    fn beside(self, fitted: &[Beside]) -> impl Iterator<Item = BesideAnswer> {
        self.words.into_iter().zip(fitted).map(|((of, unit), pair)| BesideAnswer {
            of,
            measured: pair.measured,
            fitted: pair.fitted,
            unit,
        })
    }
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

    /// Fits the carbon to what was measured of vapours, and each gas held by reaction by itself.
    ///
    /// Refuses an unknown contaminant and one that neither holds by its line, and what
    /// [`sorbent::calibrate`] and [`sorbent::calibrate_reaction`] refuse with its reason.
    pub fn calibrate(&self) -> Result<CalibrationAnswer, CaseError> {
        let (vapours, gases) = self.sorted()?;
        let mut lines = Vec::new();
        let mut beside = Vec::new();
        let mut carbon = None;
        if !vapours.measured.is_empty() || gases.is_empty() {
            let found = carbon::fitted(self, &vapours)?;
            beside.extend(vapours.beside(&found.beside));
            lines.push(found.lines.to_string());
            carbon = Some(found.answer);
        }
        let mut told = Vec::new();
        for gas in gases {
            let (found, line) = gas.fitted(self)?;
            beside.extend(gas.rows.beside(&found.beside));
            lines.push(line.to_string());
            told.push(GasAnswer::of(gas.substance, &found));
        }
        let logs = beside.iter().map(|b| (b.measured / b.fitted).ln().powi(2)).sum::<f64>();
        let count = f64::from(u32::try_from(beside.len()).unwrap_or(u32::MAX));
        Ok(CalibrationAnswer {
            report: self.report.report.clone(),
            carbon,
            gases: told,
            misfit: (logs / count).sqrt(),
            beside,
            case_lines: lines.join("\n"),
        })
    }

    /// What was measured of vapours, and of each gas held by reaction, in the order of the report.
    fn sorted(&self) -> Result<(Rows<'_, Measured>, Vec<GasRows<'_>>), CaseError> {
        let (mut vapours, mut gases) = (Rows::new(), Vec::new());
        let written = self.report.time.iter().map(|part| {
            let refuse = |message| CaseError::at(&self.text, part.span().start, "time", message);
            let refuse: Refuse<'_> = Box::new(refuse);
            (part.get_ref(), refuse)
        });
        let table = self.table.iter().zip(2..).map(|(part, line)| {
            let refuse = move |message| CaseError { line, key: "row of times".to_owned(), message };
            let refuse: Refuse<'_> = Box::new(refuse);
            (part, refuse)
        });
        for (part, refuse) in written.chain(table) {
            let substance = substance(&part.contaminant).map_err(&refuse)?;
            if substance.class() == SubstanceClass::OrganicVapour {
                vapours.add(self.time(part, substance).map_err(&refuse)?, time_words(part), refuse);
            } else {
                let of = gases::rows(&mut gases, &part.contaminant).map_err(&refuse)?;
                of.time(self, part).map_err(&refuse)?;
                of.rows.refusals.push(refuse);
            }
        }
        for part in &self.report.loading {
            let of = |message| CaseError::at(&self.text, part.span().start, "loading", message);
            let measured = self.loading(part.get_ref()).map_err(of)?;
            let told = part.get_ref();
            let words = format!("{} at {}", told.contaminant, told.pressure);
            vapours.add(measured, (words, "g/g"), Box::new(of));
        }
        for part in &self.report.held {
            let of = |message| CaseError::at(&self.text, part.span().start, "held", message);
            let rows = gases::rows(&mut gases, &part.get_ref().contaminant).map_err(of)?;
            rows.held(part.get_ref()).map_err(of)?;
            rows.rows.refusals.push(Box::new(of));
        }
        Ok((vapours, gases))
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
        let untold = |key: &str, like: &str| {
            format!(
                "the bed of the elements must be known of a vapour\n  give {key} = \"{like}\" in [cartridge]"
            )
        };
        let sorbent_mass = tested.sorbent_mass.ok_or_else(|| untold("sorbent_mass", "35 g"))?;
        let parts = BedParts {
            elements: tested.elements,
            sorbent_mass,
            bed_area: tested.bed_area.ok_or_else(|| untold("bed_area", "45 cm2"))?,
            bulk_density: tested
                .bulk_density
                .ok_or_else(|| untold("bulk_density", "0.44 g/cm3"))?,
            granule: tested.granule.map_or_else(usual, Ok)?,
            micropore_volume: start.map_err(|e| e.to_string())?,
            reference_energy: tested.reference_energy,
        };
        if tested.elements == 0 || sorbent_mass.as_g() <= 0.0 {
            return Err("a test of no elements, or of elements without sorbent, tells nothing\n  give elements and sorbent_mass in [cartridge]".to_owned());
        }
        Ok(Bed::new(&parts))
    }

    fn time(&self, part: &TimePart, substance: &Substance) -> Result<Measured, String> {
        let told = &self.report.air;
        let (vapour, _) =
            Vapour::of(substance, told.temperature).map_err(|error| error.to_string())?;
        let [inlet_ppm, end_ppm] = self.levels_ppm(part, vapour.molar_mass)?;
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

    /// What enters and what passes at a time, ppm.
    fn levels_ppm(&self, part: &TimePart, molar_mass: f64) -> Result<[f64; 2], String> {
        let told = &self.report.air;
        let ppm = |level: Concentration| match level.to_ppm(
            molar_mass,
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
        Ok([inlet_ppm, end_ppm])
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

/// Refuses a gas that carbon does not hold by its pores, of which an isotherm tells nothing.
fn refuse_reaction(substance: &Substance) -> Result<(), String> {
    if substance.class() == SubstanceClass::OrganicVapour {
        return Ok(());
    }
    Err(format!(
        "{} is no organic vapour: the pores of carbon do not hold it, and no isotherm tells of it\n  leave it out, or give what an element held when all passed in [[held]]",
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

/// To so many decimals.
fn rounded(value: f64, digits: i32) -> f64 {
    let scale = 10.0_f64.powi(digits);
    (value * scale).round() / scale
}
