//! The least that a certified element has held on the test bench, and the most it may be used in.

use std::sync::OnceLock;

use quantity::{LitrePerMin, Minutes, Ppm};
use serde::Serialize;

use crate::table::{Row, TableError, loud, read_table};
use crate::{AirSource, Device, ElementKind, Elements, Facepiece, Mounting};

/// One bench test that every element of its type has passed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CertificationTest {
    /// Row of `data/certification_tests.csv`.
    pub id: String,
    /// The gas or vapour of the test.
    pub agent: String,
    /// Its CAS number.
    pub agent_cas: String,
    /// Level ahead of the element. Where the printed figure is in doubt, the smaller claim.
    pub challenge_ppm: Ppm,
    /// The level as printed.
    pub printed_challenge_ppm: Ppm,
    /// Why the printed figure is in doubt, where it is.
    pub doubt: Option<String>,
    /// Flow through the element or the pair.
    pub flow: LitrePerMin,
    /// Level behind the element that ends the test. None for carbon monoxide, whose limit is a
    /// quantity (see `note`).
    pub penetration_limit_ppm: Option<Ppm>,
    /// The least time to that end, after any rule for combinations.
    pub minimum_minutes: Minutes,
    /// Whether the element had first been brought into balance with dry or humid air.
    pub conditioned: bool,
    /// What is printed on how the end is told.
    pub note: String,
    /// What was done to the printed minutes because the element holds several types of gas.
    pub combination: Option<&'static str>,
    /// Paragraph.
    pub citation: String,
    /// Edition that was read.
    pub edition: String,
}

/// The highest level in which a cartridge of a type may be used.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MaxUse {
    /// Row of `data/cartridge_max_use.csv`.
    pub id: String,
    /// The level.
    pub ppm: Ppm,
    /// What is printed beside it.
    pub note: String,
    /// Paragraph.
    pub citation: String,
}

/// The tests passed by an element for `kind` alone, mounted so on a unit without a blower.
///
/// Empty where no test is printed for the pair, such as mercury vapour. Acid gas on a cartridge
/// stands for chlorine, hydrogen chloride and sulfur dioxide together.
///
/// Source: 42 CFR 84.207 Table 11 and 84.126 Tables 5 to 7, `data/certification_tests.csv`.
#[must_use]
pub fn minimum(kind: ElementKind, mounting: Mounting) -> Vec<CertificationTest> {
    tests_of(kind, Carrier::of(mounting, None))
}

/// The tests passed by the cartridges of a unit with a blower; `loose` tells a loose-fitting
/// facepiece, hood or helmet from a tight one, which changes the air flow of the conditioning only.
///
/// Source: 42 CFR 84.1157(f) with 84.207 Table 11, `data/certification_tests.csv`.
#[must_use]
pub fn minimum_powered(kind: ElementKind, loose: bool) -> Vec<CertificationTest> {
    tests_of(kind, Carrier::of(Mounting::Cartridge, Some(loose)))
}

/// The tests that the elements of this unit have passed for `kind`, with the printed rule for an
/// element that holds several types of gas. Empty where the elements are not certified for `kind`.
///
/// Cartridges: half the minutes for each type. Canister for all types: 6 min for acid gas, organic
/// vapour and ammonia. Ammonia and methylamine count as two types, and so does every kind without
/// a printed test: the smaller claim.
#[must_use]
pub fn minimum_for(
    kind: ElementKind,
    device: &Device,
    elements: &Elements,
) -> Vec<CertificationTest> {
    if !elements.against.contains(&kind) {
        return Vec::new();
    }
    let powered = device.air_source == AirSource::PoweredAirPurifying;
    let loose = matches!(device.facepiece, Facepiece::HelmetOrHood | Facepiece::LooseFitting);
    let carrier = Carrier::of(elements.mounting, powered.then_some(loose));
    let mut tests = tests_of(kind, carrier);
    for test in &mut tests {
        combine(test, kind, elements);
    }
    tests
}

/// The highest level for a cartridge of this type; none where none is printed.
///
/// Acid gas as a group takes the lowest of its three gases.
///
/// Source: 42 CFR 84.190(a), `data/cartridge_max_use.csv`.
#[must_use]
pub fn max_use(kind: ElementKind) -> Option<&'static MaxUse> {
    let names = table_names(kind);
    let rows = max_rows().iter().filter(|row| names.contains(&row.0.as_str()));
    rows.map(|row| &row.1).min_by(|a, b| a.ppm.as_ppm().total_cmp(&b.ppm.as_ppm()))
}

/// Minutes for each type in a canister for all types of gas. Source: 42 CFR 84.126 Table 5, 6.
const ALL_TYPES_CANISTER_MIN: f64 = 6.0;

fn combine(test: &mut CertificationTest, kind: ElementKind, elements: &Elements) {
    let printed = test.minimum_minutes.as_min();
    let (minutes, rule) = match elements.mounting {
        Mounting::Cartridge if 1 < types_of(elements) => {
            (printed / 2.0, "several types of gas in one cartridge: half the printed minutes")
        }
        Mounting::CanisterFrontOrBack | Mounting::CanisterChin
            if holds_all_types(elements) && kind != ElementKind::CarbonMonoxide =>
        {
            (ALL_TYPES_CANISTER_MIN, "canister for all types of gas: 6 minutes for each")
        }
        _ => return,
    };
    if let Ok(minutes) = Minutes::from_min(minutes.min(printed)) {
        test.minimum_minutes = minutes;
        test.combination = Some(rule);
    }
}

/// How many types of gas the elements hold, gases of one type counted once.
fn types_of(elements: &Elements) -> usize {
    let mut types: Vec<ElementKind> = elements.against.iter().map(|kind| gas_type(*kind)).collect();
    types.sort_unstable();
    types.dedup();
    types.len()
}

const fn gas_type(kind: ElementKind) -> ElementKind {
    match kind {
        ElementKind::Chlorine | ElementKind::HydrogenChloride | ElementKind::SulfurDioxide => {
            ElementKind::AcidGas
        }
        other => other,
    }
}

fn holds_all_types(elements: &Elements) -> bool {
    [ElementKind::AcidGas, ElementKind::OrganicVapour, ElementKind::Ammonia]
        .iter()
        .all(|wanted| elements.against.iter().any(|kind| gas_type(*kind) == *wanted))
}

/// What carries the element, as far as the tests tell it apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Carrier {
    Cartridge,
    PoweredTight,
    PoweredLoose,
    FrontOrBack,
    Chin,
    Escape,
}

impl Carrier {
    const fn of(mounting: Mounting, powered_and_loose: Option<bool>) -> Self {
        match (mounting, powered_and_loose) {
            (Mounting::Cartridge, None) => Self::Cartridge,
            (Mounting::Cartridge, Some(false)) => Self::PoweredTight,
            (Mounting::Cartridge, Some(true)) => Self::PoweredLoose,
            (Mounting::CanisterFrontOrBack, _) => Self::FrontOrBack,
            (Mounting::CanisterChin, _) => Self::Chin,
            (Mounting::CanisterEscape, _) => Self::Escape,
        }
    }
}

/// The names under which the two tables know a kind: the type of unit, or the gas of the test.
const fn table_names(kind: ElementKind) -> &'static [&'static str] {
    match kind {
        ElementKind::OrganicVapour => &["Organic vapor", "carbon tetrachloride"],
        ElementKind::Chlorine => &["Chlorine", "chlorine"],
        ElementKind::HydrogenChloride => &["Hydrogen chloride", "hydrogen chloride"],
        ElementKind::SulfurDioxide => &["Sulfur dioxide", "sulfur dioxide"],
        ElementKind::AcidGas => &[
            "Chlorine",
            "Hydrogen chloride",
            "Sulfur dioxide",
            "chlorine",
            "hydrogen chloride",
            "sulfur dioxide",
        ],
        ElementKind::Ammonia => &["Ammonia", "ammonia"],
        ElementKind::Methylamine => &["Methylamine", "methylamine"],
        ElementKind::VinylChloride => &["Vinyl chloride"],
        ElementKind::CarbonMonoxide => &["carbon monoxide"],
        ElementKind::Formaldehyde
        | ElementKind::MercuryVapour
        | ElementKind::EthyleneOxide
        | ElementKind::Butadiene => &[],
    }
}

fn tests_of(kind: ElementKind, carrier: Carrier) -> Vec<CertificationTest> {
    let names = table_names(kind);
    let wanted = |row: &&(Carrier, CertificationTest)| {
        row.0 == carrier && names.contains(&row.1.agent.as_str())
    };
    test_rows().iter().filter(wanted).map(|row| row.1.clone()).collect()
}

fn test_rows() -> &'static [(Carrier, CertificationTest)] {
    static ROWS: OnceLock<Vec<(Carrier, CertificationTest)>> = OnceLock::new();
    ROWS.get_or_init(|| {
        let doubts = loud(read_doubts());
        let table = include_str!("../../../data/certification_tests.csv");
        loud(read_table("certification_tests.csv", table, |row| read_test(row, &doubts)))
    })
}

/// A figure of the tests that is in doubt: row, printed, used, reason.
struct Doubt {
    id: String,
    printed: Option<Ppm>,
    used: Option<Ppm>,
    reason: String,
}

fn read_doubts() -> Result<Vec<Doubt>, TableError> {
    let table = include_str!("../../../data/certification_doubts.csv");
    read_table("certification_doubts.csv", table, |row| {
        if row.text("column")? != "challenge_ppm" {
            return Err(row.broken("column", "only challenge_ppm can be in doubt"));
        }
        Ok(Doubt {
            id: row.required("id")?,
            printed: row.ppm("printed")?,
            used: row.ppm("used")?,
            reason: row.required("reason")?,
        })
    })
}

fn read_test(row: &Row<'_>, doubts: &[Doubt]) -> Result<(Carrier, CertificationTest), TableError> {
    let missing = |column: &str| row.broken(column, "the cell is empty");
    let id = row.required("id")?;
    let printed = row.ppm("challenge_ppm")?.ok_or_else(|| missing("challenge_ppm"))?;
    let doubt = doubts.iter().find(|doubt| doubt.id == id);
    if doubt.is_some_and(|doubt| doubt.printed != Some(printed)) {
        return Err(row.broken("challenge_ppm", "the doubt was noted about another figure"));
    }
    let flow = row.number("flow_L_min")?.ok_or_else(|| missing("flow_L_min"))?;
    let test = CertificationTest {
        agent: row.required("gas_or_agent")?,
        agent_cas: row.required("agent_cas")?,
        challenge_ppm: doubt.and_then(|doubt| doubt.used).unwrap_or(printed),
        printed_challenge_ppm: printed,
        doubt: doubt.map(|doubt| doubt.reason.clone()),
        flow: LitrePerMin::from_l_per_min(flow)
            .map_err(|e| row.broken("flow_L_min", &e.to_string()))?,
        penetration_limit_ppm: row.ppm("penetration_limit_ppm")?,
        minimum_minutes: row
            .minutes("minimum_minutes")?
            .ok_or_else(|| missing("minimum_minutes"))?,
        conditioned: read_conditioned(row)?,
        note: row.owned("end_point_note")?,
        combination: None,
        citation: row.required("citation")?,
        edition: row.required("edition")?,
        id,
    };
    Ok((read_carrier(row)?, test))
}

fn read_conditioned(row: &Row<'_>) -> Result<bool, TableError> {
    match row.text("conditioning")? {
        "equilibrated" => Ok(true),
        "as received" => Ok(false),
        other => Err(row.broken("conditioning", &format!("`{other}` is no known state"))),
    }
}

fn read_carrier(row: &Row<'_>) -> Result<Carrier, TableError> {
    let unit_type = row.text("unit_type")?;
    match row.text("device_class")? {
        "chemical cartridge" => Ok(Carrier::Cartridge),
        "powered air-purifying cartridge" if unit_type.ends_with("tight-fitting") => {
            Ok(Carrier::PoweredTight)
        }
        "powered air-purifying cartridge" if unit_type.ends_with("loose hood or helmet") => {
            Ok(Carrier::PoweredLoose)
        }
        "gas mask canister, front or back mounted" => Ok(Carrier::FrontOrBack),
        "gas mask canister, chin style" => Ok(Carrier::Chin),
        "gas mask canister, escape" => Ok(Carrier::Escape),
        other => Err(row.broken("device_class", &format!("`{other}` is no known class"))),
    }
}

fn max_rows() -> &'static [(String, MaxUse)] {
    static ROWS: OnceLock<Vec<(String, MaxUse)>> = OnceLock::new();
    ROWS.get_or_init(|| {
        let table = include_str!("../../../data/cartridge_max_use.csv");
        loud(read_table("cartridge_max_use.csv", table, |row| {
            let empty = || row.broken("max_use_ppm", "the cell is empty");
            let max_use = MaxUse {
                id: row.required("id")?,
                ppm: row.ppm("max_use_ppm")?.ok_or_else(empty)?,
                note: row.owned("footnote")?,
                citation: row.required("citation")?,
            };
            Ok((row.required("cartridge_type")?, max_use))
        }))
    })
}
