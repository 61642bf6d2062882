//! What is opened, listed and received before anyone wears anything.

use program::check::MOST_ELEMENTS;
use program::{CalibratedCarbon, CalibratedReactions, Fact, State};
use quantity::{Centimetres, Cm3PerGram, Grams, GramsPerCm3, KilojoulesPerMol, SquareCm};
use rulebook::FilterClass;
use rulebook::interval::DAY_MIN;

use crate::named::{Thing, is_same};
use crate::record::{Ask, EntryForm, Group, Input, Offer, PLAIN, Refusal, Written};

/// Air sources, as a fact keeps them and as the trade says them.
pub(super) const AIR_SOURCES: &[(&str, &str)] = &[
    ("air-purifying", "air-purifying"),
    ("powered-air-purifying", "powered air-purifying"),
    ("supplied-air-demand", "supplied-air, demand"),
    ("supplied-air-continuous-flow", "supplied-air, continuous flow"),
    ("supplied-air-pressure-demand", "supplied-air, pressure-demand"),
    ("self-contained-demand", "self-contained, demand"),
    ("self-contained-pressure-demand", "self-contained, pressure-demand"),
];

const FACEPIECES: &[(&str, &str)] = &[
    ("quarter-mask", "quarter mask"),
    ("half-mask", "half mask"),
    ("full-facepiece", "full facepiece"),
    ("helmet-or-hood", "helmet or hood"),
    ("loose-fitting", "loose-fitting facepiece"),
];

const AGAINST: &[(&str, &str)] = &[
    ("organic-vapour", "organic vapour"),
    ("chlorine", "chlorine"),
    ("hydrogen-chloride", "hydrogen chloride"),
    ("sulfur-dioxide", "sulfur dioxide"),
    ("acid-gas", "acid gas"),
    ("ammonia", "ammonia"),
    ("methylamine", "methylamine"),
    ("formaldehyde", "formaldehyde"),
    ("mercury-vapour", "mercury vapour"),
    ("ethylene-oxide", "ethylene oxide"),
    ("vinyl-chloride", "vinyl chloride"),
    ("butadiene", "1,3-butadiene"),
    ("carbon-monoxide", "carbon monoxide"),
];

const MOUNTINGS: &[(&str, &str)] = &[
    ("cartridge", "cartridge or filter on a mask or blower"),
    ("canister-front-or-back", "canister at front or back"),
    ("canister-chin", "canister at the chin"),
    ("canister-escape", "canister for escape only"),
];

static BED: Group = Group {
    path: "bed",
    legend: "The bed of each, where the maker or a test has told it; all or nothing",
};

const MADE_OF_NAME: &str = "letters and digits; left empty, it is made of the name";

pub(super) const FORMS: &[EntryForm] = &[
    EntryForm {
        kind: "site-opened.1",
        link: "Open a site",
        title: "Open a site",
        lead: "A site keeps its own chain of entries and its own clock.",
        button: "Open the site",
        offer: Offer::Program,
        fields: &[
            Ask::of("name", "Name of the site", Input::Text).such_as("North yard"),
            Ask::of(
                "time_zone",
                "Time zone",
                Input::Written(Written {
                    read: zone,
                    write: |zone| zone.as_str().map(str::to_owned),
                }),
            )
            .such_as("Europe/Madrid"),
            Ask::of(crate::record::SITE, "Short name", Input::New(Thing::Site))
                .optional()
                .hint(MADE_OF_NAME),
        ],
        warn: Some(name_in_use),
        ..PLAIN
    },
    EntryForm {
        kind: "element-type-listed.1",
        link: "List a cartridge, canister or filter",
        title: "List a kind of cartridge, canister or filter",
        lead: "What it is certified against, and its bed where it is known.",
        button: "List the kind",
        offer: Offer::Program,
        fields: &[
            Ask::of("name", "Name in plain words", Input::Text)
                .such_as("Organic vapour cartridge with P100"),
            Ask::of("elements.mounting", "How it is mounted", Input::Choice(MOUNTINGS))
                .such_as("cartridge"),
            Ask::of("elements.against", "Certified against", Input::Many(AGAINST))
                .hint("none, where it is a particulate filter alone"),
            Ask::of(
                "elements.filter",
                "Particulate filter",
                Input::Written(Written::as_::<FilterClass>()),
            )
            .optional()
            .hint("such as P100; of a powered unit HE, PAPR100-N or PAPR100-P")
            .such_as("P100"),
            Ask::of(
                "elements.end_of_service_indicator",
                "Carries an approved end-of-service-life indicator",
                Input::Flag,
            ),
            Ask::of("count", "How many a respirator carries", Input::Whole(MOST_ELEMENTS))
                .such_as("2"),
            Ask::of("bed.sorbent_mass", "Sorbent in each", Input::Written(Written::as_::<Grams>()))
                .such_as("40 g")
                .with(&BED),
            Ask::of(
                "bed.bed_area",
                "Area across the flow",
                Input::Written(Written::as_::<SquareCm>()),
            )
            .such_as("38.5 cm2")
            .with(&BED),
            Ask::of(
                "bed.bulk_density",
                "Bulk density",
                Input::Written(Written::as_::<GramsPerCm3>()),
            )
            .such_as("0.44 g/cm3")
            .with(&BED),
            Ask::of("bed.granule", "Granule size", Input::Written(Written::as_::<Centimetres>()))
                .such_as("0.11 cm")
                .with(&BED),
            Ask::of(
                "bed.micropore_volume",
                "Micropore volume",
                Input::Written(Written::as_::<Cm3PerGram>()),
            )
            .such_as("0.454 cm3/g")
            .with(&BED),
            Ask::of(
                "bed.reference_energy",
                "Characteristic energy towards the reference vapour",
                Input::Written(Written::as_::<KilojoulesPerMol>()),
            )
            .optional()
            .such_as("18 kJ/mol")
            .with(&BED),
            Ask::of(
                "bed.calibrated",
                "The lines of its calibration",
                Input::Lines(Written::as_::<CalibratedCarbon>()),
            )
            .optional()
            .hint("where a laboratory report was calibrated: all that was printed for the case file, from [cartridge] to the correlation")
            .with(&BED),
            Ask::of(
                "reactions",
                "The lines of the gases that it holds by reaction",
                Input::Lines(Written::as_::<CalibratedReactions>()),
            )
            .optional()
            .hint("where a laboratory report was calibrated on chlorine, ammonia and the like: the [[reaction]] tables that were printed for the case file"),
            Ask::of("element_type", "Short name", Input::New(Thing::ElementType))
                .optional()
                .hint(MADE_OF_NAME),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "model-listed.1",
        link: "List a model of respirator",
        title: "List a model of respirator",
        lead: "What the maker's papers and the approval label say of it.",
        button: "List the model",
        offer: Offer::Program,
        fields: &[
            Ask::of("name", "Name in plain words", Input::Text)
                .such_as("Half mask for two cartridges"),
            Ask::of("device.air_source", "Where the air comes from", Input::Choice(AIR_SOURCES))
                .such_as("air-purifying"),
            Ask::of("device.facepiece", "Facepiece", Input::Choice(FACEPIECES))
                .such_as("half-mask"),
            Ask::of("device.filtering_facepiece", "Made of the filter itself", Input::Flag)
                .hint("a filtering facepiece"),
            Ask::of("sizes", "Sizes", Input::Words).such_as("S, M, L"),
            Ask::of("approval", "Approval number", Input::Text)
                .hint("as on the approval label")
                .such_as("21-INV-1, invented"),
            Ask::of(
                "approved_elements",
                "Cartridges, canisters and filters that the approval label names",
                Input::Several(Thing::ElementType),
            )
            .optional()
            .hint("short names or names, with commas between them; of a filtering facepiece the filter that it is made of"),
            Ask::of(
                "approved_cylinders",
                "Cylinders that the approval names, by part number",
                Input::Words,
            )
            .optional()
            .hint("of a set that carries one, with commas between them; left empty, it is not asked which one is mounted"),
            Ask::of("device.rated_minutes", "Rated service time in minutes", Input::Whole(DAY_MIN))
                .optional()
                .hint("of a self-contained supply, as on its approval label, such as 30"),
            Ask::of("device.escape_only", "For escape only", Input::Flag),
            Ask::of(
                "device.auxiliary_self_contained",
                "Airline with a small self-contained supply for escape",
                Input::Flag,
            ),
            Ask::of(
                "device.maker_shows_factor_1000",
                "The maker has shown by tests that the helmet or hood protects by a factor of 1000",
                Input::Flag,
            ),
            Ask::of("model", "Short name", Input::New(Thing::Model)).optional().hint(MADE_OF_NAME),
        ],
        warn: Some(minutes_not_told),
        check: Some(cylinders_where_one_is_carried),
        ..PLAIN
    },
    EntryForm {
        kind: "unit-received.1",
        link: "Receive a respirator",
        title: "Receive a respirator",
        lead: "Each respirator carries a tag of its own, by which it is known from now on.",
        button: "Receive it",
        offer: Offer::Program,
        fields: &[
            Ask::of("unit", "Tag", Input::New(Thing::Unit)).such_as("HM-101"),
            Ask::of("model", "Model", Input::Known(Thing::Model)),
            Ask::of("size", "Size", Input::Text).such_as("M"),
            Ask::of("serial", "Serial number", Input::Text).such_as("s-1001"),
            Ask::of("shared", "Used by several wearers", Input::YesNo).such_as("no"),
            Ask::of("emergency", "Kept for emergencies", Input::YesNo).such_as("no"),
        ],
        warn: Some(serial_in_use),
        ..PLAIN
    },
    EntryForm {
        kind: "wearer-enrolled.1",
        link: "Enrol a wearer",
        title: "Enrol a wearer",
        lead: "Only the name and a number are kept.",
        button: "Enrol",
        offer: Offer::Program,
        fields: &[
            Ask::of("name", "Name", Input::Text).such_as("Alder Finch"),
            Ask::of("wearer", "Number", Input::New(Thing::Wearer))
                .optional()
                .hint("as on the badge; left empty, it is made of the name"),
        ],
        warn: Some(name_in_use),
        ..PLAIN
    },
];

/// The minutes of a self-contained set bound every wear of it.
fn minutes_not_told(_: &State, fact: &Fact) -> Option<String> {
    let Fact::ModelListed { device, .. } = fact else { return None };
    let asked = device.air_source.is_self_contained() && device.rated_minutes.is_none();
    asked.then(|| {
        "for how many minutes this self-contained set is rated is not told: a wear is then judged by the air of its cylinder alone\nwrite the minutes that its approval label names".to_owned()
    })
}

/// Only a set that carries a cylinder is approved with some.
fn cylinders_where_one_is_carried(fact: &Fact) -> Result<(), Refusal> {
    match fact {
        Fact::ModelListed { device, approved_cylinders, .. }
            if !approved_cylinders.is_empty() && !device.carries_cylinder() =>
        {
            let why = "a set that carries no cylinder is approved with none\nempty this, or look at where the air comes from";
            Err(("approved_cylinders", why.to_owned()))
        }
        _ => Ok(()),
    }
}

/// Two of one name are told apart by their ids alone.
fn name_in_use(state: &State, fact: &Fact) -> Option<String> {
    let (thing, name, own) = match fact {
        Fact::SiteOpened { name, .. } => (Thing::Site, name, None),
        Fact::WearerEnrolled { name, wearer } => (Thing::Wearer, name, Some(wearer.as_str())),
        _ => return None,
    };
    let same = |(id, known): &(String, String)| is_same(known, name) && own != Some(id.as_str());
    let (id, known) = thing.all(state).into_iter().find(same)?;
    let one = thing.one();
    Some(format!(
        "a {one} is called {known} already: `{id}`\nmake sure that this is another one; the two are told apart by their ids alone"
    ))
}

/// One serial number stands on one thing.
pub(super) fn serial_in_use(state: &State, fact: &Fact) -> Option<String> {
    let (serial, id) = match fact {
        Fact::UnitReceived { serial, unit, .. } => {
            let own = |id: &str| id == unit.as_str();
            let mut all = state.units().filter(|(_, known)| known.taken_from.is_none());
            let same = all.find(|(id, known)| is_same(&known.serial, serial) && !own(id.as_str()));
            (serial, same?.0.to_string())
        }
        Fact::CylinderListed { serial, cylinder, .. } => {
            let mut all = state.cylinders().filter(|(id, _)| *id != cylinder);
            (serial, all.find(|(_, known)| is_same(&known.serial, serial))?.0.to_string())
        }
        _ => return None,
    };
    (!serial.trim().is_empty()).then(|| {
        format!("the serial number `{serial}` stands on `{id}` already\nlook at both: one thing with two tags has two records, and neither of them is whole")
    })
}

/// A time zone that is known by this name.
fn zone(text: &str) -> Result<serde_json::Value, String> {
    match jiff::tz::TimeZone::get(text) {
        Ok(_) => Ok(text.into()),
        Err(_) => Err(format!(
            "no time zone is called `{text}`\nwrite a region and a city, such as Europe/Madrid or America/Chicago"
        )),
    }
}
