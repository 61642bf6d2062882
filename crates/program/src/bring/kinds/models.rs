use rulebook::{AirSource, Device, Facepiece};

use super::super::kind::Field;
use super::super::known::Known;
use super::super::row::{Draft, Row};
use crate::entry::Fact;
use crate::ids::ModelId;

pub(in super::super) const FIELDS: &[Field] = &[
    Field::needed(
        "id",
        &["model", "model id", "code", "short name"],
        "a short name; it stays for good",
    ),
    Field::needed("name", &["model name", "description"], "its name in plain words"),
    Field::needed(
        "air source",
        &["class", "source of air", "type", "kind"],
        "air-purifying, powered air-purifying, supplied-air or self-contained, with demand, continuous flow or pressure-demand",
    ),
    Field::needed(
        "facepiece",
        &["inlet covering", "covering", "mask", "facepiece type"],
        "quarter mask, half mask, full facepiece, helmet or hood, loose-fitting facepiece",
    ),
    Field::needed(
        "filtering facepiece",
        &["disposable", "made of the filter"],
        "whether the half mask is made of the filter itself",
    ),
    Field::needed(
        "escape only",
        &["escape", "for escape only"],
        "whether it is certified for escape only",
    ),
    Field::may(
        "auxiliary self-contained",
        &["auxiliary", "auxiliary cylinder", "escape cylinder"],
        "whether an airline set carries air to escape with; no where left out",
    ),
    Field::may(
        "factor 1000 shown",
        &["maker shows factor 1000", "apf 1000"],
        "whether the maker has shown that a helmet or hood protects by 1000; no where left out",
    ),
    Field::may(
        "rated minutes",
        &["rated service time", "service time", "duration"],
        "the certified service time of carried air, in minutes",
    ),
    Field::needed(
        "sizes",
        &["size", "sizes available"],
        "the sizes it comes in, split by semicolons",
    ),
    Field::needed(
        "approval",
        &["approval number", "approval no", "certification", "certification number"],
        "the approval number on its label",
    ),
    Field::may(
        APPROVED,
        &["approved with", "elements", "cartridges", "filters", "approved cartridges"],
        "the kinds of cartridge, canister or filter, already listed, that its approval label names, by id or name, split by semicolons; of a filtering facepiece the filter that it is made of",
    ),
    Field::may(
        CYLINDERS,
        &["cylinders", "approved with cylinders", "cylinder part numbers"],
        "the part numbers of the cylinders that its approval names, split by semicolons; of a set that carries one",
    ),
];

const APPROVED: &str = "approved elements";
const CYLINDERS: &str = "approved cylinders";

const AIR_SOURCES: &[(&[&str], AirSource)] = &[
    (&["air-purifying", "air purifying", "negative pressure", "apr"], AirSource::AirPurifying),
    (&["powered air-purifying", "powered", "papr", "blower"], AirSource::PoweredAirPurifying),
    (&["supplied-air, demand", "airline demand"], AirSource::SuppliedAirDemand),
    (
        &["supplied-air, continuous flow", "airline continuous flow"],
        AirSource::SuppliedAirContinuousFlow,
    ),
    (
        &["supplied-air, pressure-demand", "airline pressure-demand"],
        AirSource::SuppliedAirPressureDemand,
    ),
    (&["self-contained, demand", "scba demand"], AirSource::SelfContainedDemand),
    (
        &["self-contained, pressure-demand", "scba pressure-demand"],
        AirSource::SelfContainedPressureDemand,
    ),
];

/// The air sources by their words, for lists that name them.
pub(super) const fn air_sources() -> &'static [(&'static [&'static str], AirSource)] {
    AIR_SOURCES
}

const FACEPIECES: &[(&[&str], Facepiece)] = &[
    (&["quarter mask", "quarter"], Facepiece::QuarterMask),
    (&["half mask", "half", "half facepiece"], Facepiece::HalfMask),
    (&["full facepiece", "full face", "full mask", "full"], Facepiece::FullFacepiece),
    (&["helmet or hood", "helmet", "hood", "helmet hood"], Facepiece::HelmetOrHood),
    (&["loose-fitting facepiece", "loose-fitting", "loose"], Facepiece::LooseFitting),
];

pub(in super::super) fn read(row: &mut Row<'_>, known: &Known<'_>) -> Option<Draft> {
    let (id, name) = (row.needed("id"), row.needed("name"));
    let air_source = row.choice("air source", AIR_SOURCES);
    let facepiece = row.choice("facepiece", FACEPIECES);
    let filtering = row.flag("filtering facepiece");
    let escape_only = row.flag("escape only");
    let auxiliary = row.flag_if_told("auxiliary self-contained");
    let factor = row.flag_if_told("factor 1000 shown");
    let rated_minutes = row.read::<u32>("rated minutes");
    let sizes = row.list("sizes");
    match sizes.is_empty() {
        true => row.refuse("sizes", "no size is told", "write the sizes, such as S; M; L"),
        false => row.understood.push(("sizes", sizes.join("; "))),
    }
    let approval = row.needed("approval");
    let approved_elements = known.element_types(row, APPROVED);
    let approved_cylinders = row.list(CYLINDERS);
    if !approved_cylinders.is_empty() {
        row.understood.push((CYLINDERS, approved_cylinders.join("; ")));
    }
    let device = Device {
        air_source: air_source?,
        facepiece: facepiece?,
        filtering_facepiece: filtering?,
        escape_only: escape_only?,
        auxiliary_self_contained: auxiliary.unwrap_or(false),
        maker_shows_factor_1000: factor.unwrap_or(false),
        rated_minutes,
    };
    let odd = device.filtering_facepiece
        && (device.facepiece, device.air_source) != (Facepiece::HalfMask, AirSource::AirPurifying);
    if odd {
        row.refuse(
            "filtering facepiece",
            "a filtering facepiece is an air-purifying half mask, and this row says otherwise",
            "write no, or put the other columns right",
        );
    }
    if !approved_cylinders.is_empty() && !device.carries_cylinder() {
        let why = "a set that carries no cylinder is approved with none";
        row.refuse(CYLINDERS, why, "empty it, or put the other columns right");
    }
    let fact = Fact::ModelListed {
        model: ModelId::new(id?),
        name: name?,
        device,
        sizes,
        approval: approval?,
        approved_elements,
        approved_cylinders,
    };
    Some(Draft { fact, when: None })
}
