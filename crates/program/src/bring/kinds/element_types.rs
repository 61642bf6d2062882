use quantity::{Centimetres, Cm3PerGram, Grams, GramsPerCm3, KilojoulesPerMol, SquareCm};
use rulebook::{ElementKind, Elements, FilterClass, Mounting};

use super::super::kind::Field;
use super::super::row::{Draft, Row};
use crate::carbon::CalibratedCarbon;
use crate::entry::{BedSpec, Fact};
use crate::ids::ElementTypeId;
use crate::reaction::CalibratedReactions;

pub(in super::super) const FIELDS: &[Field] = &[
    Field::needed(
        "id",
        &["element", "element type", "code", "short name"],
        "a short name; it stays for good",
    ),
    Field::needed("name", &["element name", "description"], "its name in plain words"),
    Field::may(
        "against",
        &["gases", "certified against", "protects against", "gas and vapour"],
        "what it is certified against, split by semicolons, such as organic vapour; ammonia",
    ),
    Field::may(
        "filter",
        &["filter class", "particulate filter", "particulate"],
        "the class of its particle filter, such as P100",
    ),
    Field::needed(
        "mounting",
        &["mounted", "mount"],
        "cartridge, canister front or back, canister chin, canister escape",
    ),
    Field::may(
        "end of service indicator",
        &["indicator", "esli"],
        "whether it shows the end of its service life; no where left out",
    ),
    Field::needed(
        "count",
        &["per set", "number per set", "pieces per set"],
        "how many one set carries",
    ),
    Field::may(
        "sorbent mass",
        &["mass of sorbent"],
        "of each, such as 40 g; with the other figures of the bed",
    ),
    Field::may("bed area", &["area of bed"], "of each, such as 38.5 cm2"),
    Field::may("bulk density", &["density"], "such as 0.44 g/cm3"),
    Field::may("granule", &["granule size"], "the mean size of a granule, such as 0.11 cm"),
    Field::may("micropore volume", &["pore volume"], "such as 0.454 cm3/g"),
    Field::may(
        "reference energy",
        &["characteristic energy"],
        "such as 18 kJ/mol, where it is known",
    ),
    Field::may(
        "calibration",
        &["calibrated carbon", "lines of calibrate"],
        "the lines that calibrate printed for their carbon, all in one cell between quotes",
    ),
    Field::may(
        "gases held by reaction",
        &["reactions", "calibrated gases"],
        "the [[reaction]] tables that calibrate printed, all in one cell between quotes",
    ),
];

const AGAINST: &[(&[&str], ElementKind)] = &[
    (
        &["organic vapour", "organic vapor", "organic vapours", "organic vapors", "ov"],
        ElementKind::OrganicVapour,
    ),
    (&["chlorine"], ElementKind::Chlorine),
    (&["hydrogen chloride"], ElementKind::HydrogenChloride),
    (&["sulfur dioxide", "sulphur dioxide"], ElementKind::SulfurDioxide),
    (&["acid gas", "acid gases", "ag"], ElementKind::AcidGas),
    (&["ammonia"], ElementKind::Ammonia),
    (&["methylamine"], ElementKind::Methylamine),
    (&["formaldehyde"], ElementKind::Formaldehyde),
    (&["mercury vapour", "mercury vapor", "mercury"], ElementKind::MercuryVapour),
    (&["ethylene oxide"], ElementKind::EthyleneOxide),
    (&["vinyl chloride"], ElementKind::VinylChloride),
    (&["butadiene"], ElementKind::Butadiene),
    (&["carbon monoxide"], ElementKind::CarbonMonoxide),
];

const MOUNTINGS: &[(&[&str], Mounting)] = &[
    (&["cartridge", "cartridges"], Mounting::Cartridge),
    (&["canister front or back", "canister front", "canister back"], Mounting::CanisterFrontOrBack),
    (&["canister chin", "chin canister"], Mounting::CanisterChin),
    (&["canister escape", "escape canister"], Mounting::CanisterEscape),
];

pub(in super::super) fn read(row: &mut Row<'_>) -> Option<Draft> {
    let (id, name) = (row.needed("id"), row.needed("name"));
    let mut against = Vec::new();
    for word in row.list("against") {
        against.extend(row.choose("against", &word, AGAINST));
    }
    let filter = row.read::<FilterClass>("filter");
    if against.is_empty() && filter.is_none() && row.refused.is_empty() {
        row.refuse("against", "neither gases nor a filter class are told", "fill in one of them");
    }
    let mounting = row.choice("mounting", MOUNTINGS);
    let indicator = row.flag_if_told("end of service indicator").unwrap_or(false);
    let count = row.number_needed::<u8>("count");
    if count == Some(0) {
        row.refuse("count", "no set carries none of them", "write how many one set carries");
    }
    let bed = bed(row);
    let reactions = row.read::<CalibratedReactions>("gases held by reaction").unwrap_or_default();
    let elements =
        Elements { against, filter, mounting: mounting?, end_of_service_indicator: indicator };
    let element_type = ElementTypeId::new(id?);
    let (name, count) = (name?, count?);
    let fact = Fact::ElementTypeListed { element_type, name, elements, count, bed, reactions };
    Some(Draft { fact, when: None })
}

/// The bed, where its figures are told: all of them, or none.
fn bed(row: &mut Row<'_>) -> Option<BedSpec> {
    let mass = row.read::<Grams>("sorbent mass");
    let area = row.read::<SquareCm>("bed area");
    let density = row.read::<GramsPerCm3>("bulk density");
    let granule = row.read::<Centimetres>("granule");
    let volume = row.read::<Cm3PerGram>("micropore volume");
    let reference_energy = row.read::<KilojoulesPerMol>("reference energy");
    let calibrated = row.read::<CalibratedCarbon>("calibration");
    let told =
        [mass.is_some(), area.is_some(), density.is_some(), granule.is_some(), volume.is_some()];
    if told.contains(&true) && told.contains(&false) && row.refused.is_empty() {
        row.refuse(
            "sorbent mass",
            "only a part of the figures of the bed is told",
            "fill in mass, area, bulk density, granule and micropore volume, or none of them",
        );
    }
    if calibrated.is_some() && !told.contains(&true) && row.refused.is_empty() {
        row.refuse(
            "calibration",
            "a calibration without its bed",
            "fill in mass, area, bulk density, granule and micropore volume as they were tested",
        );
    }
    Some(BedSpec {
        sorbent_mass: mass?,
        bed_area: area?,
        bulk_density: density?,
        granule: granule?,
        micropore_volume: volume?,
        reference_energy,
        calibrated,
    })
}
