//! One substance and what is known of it.

use quantity::{Celsius, GramsPerCm3, Kilopascal, QuantityError};

use crate::estimate::{eisenlohr, girolami, lorentz_lorenz, trouton};
use crate::property::{HIGHEST_C, LOWEST_C, Tabulated};
use crate::table::{Row, TableError};
use crate::{
    Basis, Cas, Known, Limit, LimitKind, Property, PropertyError, State, Structure, SubstanceClass,
};

/// Molar volume of air at the 25 degC and one atmosphere of the limit tables, L/mol.
const LIMIT_MOLAR_VOLUME_L: f64 = 24.45;
const ZERO_CELSIUS_IN_KELVIN: f64 = 273.15;
/// Density estimated by formula stands for this temperature, degC.
const ROOM_C: f64 = 20.0;

/// A substance: its names, class, properties and limits.
///
/// Properties that depend on temperature are given from 0 to 50 degC; other temperatures are refused.
#[derive(Debug, Clone, PartialEq)]
pub struct Substance {
    cas: Cas,
    name: String,
    synonyms: Vec<String>,
    formula: String,
    family: String,
    class: SubstanceClass,
    class_basis: String,
    also_particulate: bool,
    poor_sorbent: Option<String>,
    molar_mass: Option<Known<f64>>,
    boiling_point: Option<Known<f64>>,
    pressures_kpa: Option<Known<Tabulated>>,
    densities: Option<Known<Tabulated>>,
    index: Option<Known<f64>>,
    index_at_c: f64,
    structure: Option<Structure>,
    state: State,
    note: String,
    pub(crate) limits: Vec<Limit>,
}

impl Substance {
    /// Registry number.
    #[must_use]
    pub const fn cas(&self) -> Cas {
        self.cas
    }

    /// The name a person would say.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Other names, those of the limit table first.
    #[must_use]
    pub fn synonyms(&self) -> &[String] {
        &self.synonyms
    }

    /// Sum formula; empty where none is known, as for a mixture.
    #[must_use]
    pub fn formula(&self) -> &str {
        &self.formula
    }

    /// Chemical family, such as `aromatic` or `ketone`.
    #[must_use]
    pub fn family(&self) -> &str {
        &self.family
    }

    /// What kind of element takes it out of the air.
    #[must_use]
    pub const fn class(&self) -> SubstanceClass {
        self.class
    }

    /// Why it is in that class.
    #[must_use]
    pub fn class_basis(&self) -> &str {
        &self.class_basis
    }

    /// Whether particles are to be expected beside the vapour, so that a filter is needed as well.
    #[must_use]
    pub const fn also_particulate(&self) -> bool {
        self.also_particulate
    }

    /// Why organic-vapour carbon hardly holds it, where that is so.
    #[must_use]
    pub fn poor_sorbent(&self) -> Option<&str> {
        self.poor_sorbent.as_deref()
    }

    /// Gas, liquid or solid at 25 degC.
    #[must_use]
    pub const fn state(&self) -> State {
        self.state
    }

    /// What the maker of the table wants known: a stand-in, an extrapolation, a failed check.
    #[must_use]
    pub fn note(&self) -> &str {
        &self.note
    }

    /// Atoms and bonds by kind, for an organic compound.
    #[must_use]
    pub const fn structure(&self) -> Option<&Structure> {
        self.structure.as_ref()
    }

    /// Boiling point at one atmosphere, degC.
    #[must_use]
    pub const fn boiling_point_celsius(&self) -> Option<&Known<f64>> {
        self.boiling_point.as_ref()
    }

    /// Refractive index of the liquid, sodium D line, at the temperature of its table.
    pub fn refractive_index(&self) -> Result<&Known<f64>, PropertyError> {
        self.index
            .as_ref()
            .ok_or_else(|| self.unknown(Property::RefractiveIndex, "no table has it"))
    }

    /// Molar mass, g/mol.
    pub fn molar_mass_g_per_mol(&self) -> Result<&Known<f64>, PropertyError> {
        self.molar_mass.as_ref().ok_or_else(|| self.unknown(Property::MolarMass, "a formula"))
    }

    /// Every limit of this substance, in the order of the table.
    #[must_use]
    pub fn limits(&self) -> &[Limit] {
        &self.limits
    }

    /// The lowest figure of this kind: two lines that disagree are both kept, the lower one is used.
    ///
    /// Figures in ppm and mg/m3 are compared through the molar mass at 25 degC and one atmosphere;
    /// a limit in words has no figure. `None` when there is none of this kind.
    #[must_use]
    pub fn lowest_limit(&self, kind: LimitKind) -> Option<&Limit> {
        self.limits
            .iter()
            .filter(|limit| limit.kind == kind)
            .filter_map(|limit| Some((self.as_mg_per_m3(limit)?, limit)))
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, limit)| limit)
    }

    fn as_mg_per_m3(&self, limit: &Limit) -> Option<f64> {
        let by_volume = limit.ppm.map(|ppm| {
            let molar_mass = self.molar_mass.as_ref().map_or(f64::NAN, |known| known.value);
            ppm.as_ppm() * molar_mass / LIMIT_MOLAR_VOLUME_L
        });
        by_volume.filter(|x| x.is_finite()).or(limit.mg_per_m3.map(|mass| mass.as_mg_per_m3()))
    }

    /// Saturation pressure at `at`, 0 to 50 degC, over the liquid (over the undercooled liquid where
    /// the substance is a solid).
    ///
    /// The logarithm runs straight in reciprocal temperature between points 5 K apart, which errs by
    /// less than 0.1 %. Without a table it is estimated from the boiling point ([`trouton`]).
    pub fn vapour_pressure(&self, at: Celsius) -> Result<Known<Kilopascal>, PropertyError> {
        let asked = Property::VapourPressure;
        self.check_range(asked, at)?;
        let (kpa, source, basis) = match (&self.pressures_kpa, &self.boiling_point) {
            (Some(table), _) => {
                let kpa = table.value.clausius_clapeyron(at);
                let kpa = kpa.ok_or_else(|| self.unknown(asked, "a full table"))?;
                (kpa, table.source.clone(), table.basis)
            }
            (None, Some(boiling)) if self.boils_as_a_liquid() => {
                let kpa = trouton::vapour_pressure_kpa(boiling.value + ZERO_CELSIUS_IN_KELVIN, at);
                (kpa, with(trouton::SOURCE, &boiling.source), Basis::Estimated)
            }
            _ => return Err(self.unknown(asked, "a boiling point of an organic liquid")),
        };
        self.known(asked, Kilopascal::from_kpa(kpa), source, basis)
    }

    /// A gas without a table may be above its critical point; metals and pesticide dusts have boiling
    /// points that say nothing about the air of a workplace.
    fn boils_as_a_liquid(&self) -> bool {
        self.structure.is_some()
            && self.class != SubstanceClass::Particulate
            && self.state != State::Gas
    }

    /// Density of the liquid at `at`, 0 to 50 degC.
    ///
    /// A table that rests on measurements comes first. A table that the library only estimated gives
    /// way to the refractive index with atomic refractions ([`lorentz_lorenz`], [`eisenlohr`]), which
    /// is nearer for polar liquids, and lends it its course with temperature. Last comes the formula
    /// alone ([`girolami`]); a density without a table is taken as the same at every temperature.
    pub fn liquid_density(&self, at: Celsius) -> Result<Known<GramsPerCm3>, PropertyError> {
        let asked = Property::LiquidDensity;
        self.check_range(asked, at)?;
        let table = self.densities.as_ref().filter(|table| table.basis != Basis::Estimated);
        let (density, source, basis) = self
            .tabulated_density(table, at)
            .or_else(|| self.density_from_index(at))
            .or_else(|| self.tabulated_density(self.densities.as_ref(), at))
            .or_else(|| self.density_from_formula())
            .ok_or_else(|| self.unknown(asked, "a structure of listed atoms"))?;
        self.known(asked, GramsPerCm3::from_g_per_cm3(density), source, basis)
    }

    fn tabulated_density(
        &self,
        table: Option<&Known<Tabulated>>,
        at: Celsius,
    ) -> Option<(f64, String, Basis)> {
        let table = table?;
        Some((table.value.linear(at.as_celsius())?, table.source.clone(), table.basis))
    }

    fn density_from_index(&self, at: Celsius) -> Option<(f64, String, Basis)> {
        let index = self.index.as_ref()?;
        let molar_mass = self.molar_mass.as_ref()?.value;
        let refraction = eisenlohr::molar_refraction(self.structure.as_ref()?)?;
        let at_index = lorentz_lorenz::density(refraction, index.value, molar_mass);
        let course = self.densities.as_ref().and_then(|table| {
            Some(table.value.linear(at.as_celsius())? / table.value.linear(self.index_at_c)?)
        });
        let source = with(lorentz_lorenz::SOURCE, &with(eisenlohr::SOURCE, &index.source));
        Some((at_index * course.unwrap_or(1.0), source, Basis::Estimated))
    }

    fn density_from_formula(&self) -> Option<(f64, String, Basis)> {
        let molar_mass = self.molar_mass.as_ref()?.value;
        let structure = self.structure.as_ref().filter(|_| self.state != State::Gas)?;
        let density = girolami::density(structure, molar_mass)?;
        Some((density, girolami::SOURCE.to_owned(), Basis::Estimated))
    }

    /// Molar polarisation at optical frequency, cm3/mol: (n² − 1)/(n² + 2) · M/d.
    ///
    /// It belongs to the molecule and hardly depends on temperature, so index and density are taken at
    /// the temperature of the index; `at` (0 to 50 degC) only has to be in range. Without an index it
    /// is the sum of atomic refractions ([`eisenlohr`]).
    pub fn molar_polarisation(&self, at: Celsius) -> Result<Known<f64>, PropertyError> {
        let asked = Property::MolarPolarisation;
        self.check_range(asked, at)?;
        self.polarisation_from_index().or_else(|| self.polarisation_from_structure()).ok_or_else(
            || self.unknown(asked, "a refractive index, or a structure of listed atoms"),
        )
    }

    fn polarisation_from_index(&self) -> Option<Known<f64>> {
        let index = self.index.as_ref()?;
        let molar_mass = self.molar_mass.as_ref()?;
        let density = self.liquid_density(Celsius::from_celsius(self.index_at_c).ok()?).ok()?;
        let at_index = density.value.as_g_per_cm3();
        Some(Known {
            value: lorentz_lorenz::molar_refraction(index.value, molar_mass.value, at_index),
            source: with(lorentz_lorenz::SOURCE, &with(&index.source, &density.source)),
            basis: index.basis.and(density.basis).and(molar_mass.basis),
        })
    }

    fn polarisation_from_structure(&self) -> Option<Known<f64>> {
        let value = eisenlohr::molar_refraction(self.structure.as_ref()?)?;
        Some(Known { value, source: eisenlohr::SOURCE.to_owned(), basis: Basis::Estimated })
    }

    fn check_range(&self, property: Property, at: Celsius) -> Result<(), PropertyError> {
        if LOWEST_C <= at.as_celsius() && at.as_celsius() <= HIGHEST_C {
            return Ok(());
        }
        let (substance, lowest, highest) = (self.name.clone(), LOWEST_C, HIGHEST_C);
        Err(PropertyError::OutOfRange { substance, property, asked: at, lowest, highest })
    }

    fn unknown(&self, property: Property, lacking: &'static str) -> PropertyError {
        PropertyError::Unknown { substance: self.name.clone(), property, lacking }
    }

    fn known<T>(
        &self,
        property: Property,
        value: Result<T, QuantityError>,
        source: String,
        basis: Basis,
    ) -> Result<Known<T>, PropertyError> {
        let substance = self.name.clone();
        match value {
            Ok(value) => Ok(Known { value, source, basis }),
            Err(error) => Err(PropertyError::Impossible { substance, property, error }),
        }
    }

    /// Reads a row of `data/substances.csv`; limits come from their own table.
    pub(crate) fn read(row: &Row<'_>) -> Result<Self, TableError> {
        let text = |column| row.text(column).map(str::to_owned);
        let cas = row.value("cas")?.ok_or_else(|| row.error("cas", "", "empty"))?;
        Ok(Self {
            cas,
            name: row.one_of("name", |name| (!name.is_empty()).then(|| name.to_owned()))?,
            synonyms: row
                .text("synonyms")?
                .split('|')
                .filter(|s| !s.is_empty())
                .map(str::to_owned)
                .collect(),
            formula: text("formula")?,
            family: text("family")?,
            class: row.one_of("class", SubstanceClass::from_tag)?,
            class_basis: text("class_basis")?,
            also_particulate: row.one_of("also_particulate", yes_or_no)?,
            poor_sorbent: row
                .one_of("poor_sorbent", yes_or_no)?
                .then(|| text("poor_sorbent_reason"))
                .transpose()?,
            molar_mass: measured(row, "molar_mass_g_mol", "molar_mass_source")?,
            boiling_point: measured(row, "boiling_point_C", "boiling_point_source")?,
            pressures_kpa: tabulated(row, "psat_kPa", "psat", 5)?,
            densities: tabulated(row, "density_g_cm3", "density", 10)?,
            index: row
                .number("refractive_index")?
                .map(|value| {
                    let source = text("refractive_index_source")?;
                    let basis = row.one_of("refractive_index_basis", Basis::read)?;
                    Ok(Known { value, source, basis })
                })
                .transpose()?,
            index_at_c: row.number("refractive_index_temp_C")?.unwrap_or(ROOM_C),
            structure: match row.text("structure")? {
                "" => None,
                _ => Some(row.one_of("structure", Structure::read)?),
            },
            state: row.one_of("state_25C", State::read)?,
            note: text("note")?,
            limits: Vec::new(),
        })
    }
}

fn with(source: &str, input: &str) -> String {
    format!("{source}; {input}")
}

fn yes_or_no(text: &str) -> Option<bool> {
    match text {
        "yes" => Some(true),
        "no" => Some(false),
        _ => None,
    }
}

/// A value from a library table; its source says when it was remembered.
fn measured(row: &Row<'_>, column: &str, source: &str) -> Result<Option<Known<f64>>, TableError> {
    let source = row.text(source)?.to_owned();
    let basis = if source.contains("value from memory") { Basis::Memory } else { Basis::Measured };
    Ok(row.number(column)?.map(|value| Known { value, source, basis }))
}

/// The columns `{values}_0`, `{values}_{step}` ... `{values}_50`: all of them or none.
fn tabulated(
    row: &Row<'_>,
    values: &str,
    about: &str,
    step: usize,
) -> Result<Option<Known<Tabulated>>, TableError> {
    if row.text(&format!("{values}_0"))?.is_empty() {
        return Ok(None);
    }
    let points = (0..=50_u8)
        .step_by(step)
        .map(|t| {
            let column = format!("{values}_{t}");
            let value = row.number(&column)?.filter(|x| *x > 0.0);
            let value = value.ok_or_else(|| row.error(&column, "", "not above zero"))?;
            Ok((f64::from(t), value))
        })
        .collect::<Result<_, TableError>>()?;
    Ok(Some(Known {
        value: Tabulated::new(points),
        source: row.text(&format!("{about}_method"))?.to_owned(),
        basis: row.one_of(&format!("{about}_basis"), Basis::read)?,
    }))
}
