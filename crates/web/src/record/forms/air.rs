//! Cylinders and supplies of breathing air.

use program::check::cylinder_on_words;
use program::{Fact, State};
use quantity::{
    Celsius, DewPoint, Kilopascal, KilopascalGauge, Litres, MgPerM3, OxygenPercent, Ppm,
};
use rulebook::breathing_air::listable;
use serde_json::Value;

use super::program::serial_in_use;
use super::unit::unit;
use crate::named::Thing;
use crate::record::offer::brings_air;
use crate::record::{Ask, EntryForm, Group, Input, Offer, PLAIN, Written};

const SOURCES: &[(&str, &str)] = &[
    ("cylinders", "cylinders, bought or filled elsewhere"),
    ("oil-lubricated-compressor", "compressor lubricated with oil"),
    ("oil-free-compressor", "compressor without oil"),
];

const GASES: &[(&str, &str)] = &[("air", "breathing air"), ("oxygen", "oxygen")];

static TERMS: Group = Group {
    path: "terms",
    legend: "Period and life by its special permit or maker; needed for wrapped cylinders, all or nothing",
};

const PRESSURE: Input = Input::Written(Written::as_::<Kilopascal>());

const fn cylinder() -> Ask {
    Ask::of("cylinder", "Tag of the cylinder", Input::Known(Thing::Cylinder))
}

const fn supply() -> Ask {
    Ask::of("supply", "Supply of air", Input::Known(Thing::Supply)).hint("short name or name")
}

pub(super) const FORMS: &[EntryForm] = &[
    EntryForm {
        kind: "supply-listed.1",
        link: "List a supply of air",
        title: "List a supply of breathing air",
        lead: "A compressor, or cylinders that feed a line.",
        button: "List the supply",
        offer: Offer::Program,
        fields: &[
            Ask::of("name", "Name", Input::Text).such_as("Compressor in the plant room"),
            Ask::of("source", "What it is", Input::Choice(SOURCES))
                .such_as("oil-lubricated-compressor"),
            Ask::of(
                "couplings_apart",
                "Its couplings fit no outlet of another gas or of other air",
                Input::YesNo,
            )
            .such_as("yes"),
            Ask::of("high_temperature_alarm", "It has an alarm for high temperature", Input::YesNo)
                .optional()
                .hint("of a compressor lubricated with oil")
                .such_as("yes"),
            Ask::of("supply", "Short name", Input::New(Thing::Supply))
                .optional()
                .hint("letters and digits; left empty, it is made of the name"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "cylinder-listed.1",
        link: "List a cylinder",
        title: "List a cylinder",
        lead: "As it is stamped and labelled.",
        button: "List the cylinder",
        offer: Offer::Program,
        fields: &[
            Ask::of("cylinder", "Tag of the cylinder", Input::New(Thing::Cylinder))
                .such_as("CY-001"),
            Ask::of("serial", "Serial number", Input::Text).such_as("c-2001"),
            Ask::of(
                "marking",
                "Row of the table of cylinders that its marking names",
                Input::Written(Written { read: marking, write: text }),
            )
            .such_as("CY02"),
            Ask::of("rated", "Rated pressure", PRESSURE).such_as("300 bar"),
            Ask::of("water_volume", "Water it holds", Input::Written(Written::as_::<Litres>()))
                .such_as("6.8 L"),
            Ask::of("made", "Month it was made", Input::Day)
                .hint("by its first day")
                .such_as("2024-03-01"),
            Ask::of("requalified", "Month it was requalified last", Input::Day)
                .hint("by its first day; that of its making for a new one")
                .such_as("2024-03-01"),
            Ask::of("terms.every.months", "Months between two requalifications", Input::Whole(600))
                .such_as("60")
                .with(&TERMS),
            Ask::of("terms.life_ends", "Last day of its life", Input::Day)
                .optional()
                .hint("where it ends")
                .such_as("2039-03-01")
                .with(&TERMS),
            Ask::of("terms.stands_in", "Where that stands", Input::Text)
                .hint("number of the special permit, or manual and page")
                .such_as("special permit on the label")
                .with(&TERMS),
            Ask::of("terms.confirmed", "Read there by the site itself", Input::YesNo)
                .hint("until then it counts as unconfirmed")
                .such_as("yes")
                .with(&TERMS),
            Ask::of("part", "Part number", Input::Text)
                .optional()
                .hint("by which the approval of a self-contained set names its cylinders"),
        ],
        warn: Some(serial_in_use),
        ..PLAIN
    },
    EntryForm {
        kind: "supply-looked-over.1",
        link: "Look at how it stands and at its lines",
        title: "Record a look at a supply of air",
        lead: "How a compressor is built and where its intake draws, and what is put into the lines. Whoever moves it, or what stands around its intake, looks again.",
        button: "Record what was seen",
        offer: Offer::Thing,
        fields: &[
            supply(),
            Ask::of("signed", "Who looked", Input::Text)
                .hint("by name or signature")
                .such_as("Hazel Plover"),
            Ask::of("intake", "Where its intake draws", Input::Text)
                .hint("of cylinders that were bought: write none")
                .such_as("on the roof, away from every exhaust"),
            Ask::of("intake_clean", "No contaminated air can get in there", Input::YesNo)
                .optional()
                .hint("of a compressor: no exhaust, no vapours, nothing that drifts there")
                .such_as("yes"),
            Ask::of("air_alone", "Nothing but breathing air is ever put into its lines", Input::YesNo)
                .hint("no nitrogen or other gas, not for purging and not for tests")
                .such_as("yes"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "air-bought.1",
        link: "Air bought",
        title: "Record that cylinders of air were bought",
        lead: "Each purchase comes with its supplier's certificate of analysis. Enter its figures as a sample of the air, too.",
        button: "Record the purchase",
        offer: Offer::Thing,
        fields: &[
            supply(),
            Ask::of("certificate", "Certificate of analysis", Input::Text)
                .optional()
                .hint("supplier, number and lot; left empty where none came: then nobody breathes it until it is sampled")
                .such_as("certificate 311, lot 8"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "oxygen-certified.1",
        link: "Certificate of its oxygen",
        title: "Record the certificate of the oxygen in a cylinder",
        lead: "After each filling with oxygen, with the certificate of its lot.",
        button: "Record the certificate",
        offer: Offer::Thing,
        fields: &[
            cylinder(),
            Ask::of("certificate", "Certificate", Input::Text)
                .hint("supplier, number and lot")
                .such_as("certificate 1207, lot 33"),
            Ask::of(
                "meets",
                "It says that the oxygen meets the pharmacopoeia for medical or breathing oxygen",
                Input::YesNo,
            )
            .such_as("yes"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "cylinder-filled.1",
        link: "Fill",
        title: "Record a filling",
        lead: "Read the gauge once the cylinder has cooled and the pressure has settled.",
        button: "Record the filling",
        offer: Offer::Thing,
        fields: &[
            cylinder(),
            Ask::of("pressure", "Pressure afterwards, settled", PRESSURE).such_as("300 bar"),
            supply().optional().hint("without it the air counts as untested"),
            Ask::of("gas", "With what", Input::Choice(GASES))
                .optional()
                .such_as("air")
                .hint("left open: breathing air; oxygen never goes into a cylinder or a set that has held compressed air"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "cylinder-gauged.1",
        link: "Read the gauge",
        title: "Read the gauge of a cylinder",
        lead: "Once it has fallen to 90 % of its rated pressure it is filled again; what is above the rating is let down by a trained person.",
        button: "Record the pressure",
        offer: Offer::Thing,
        fields: &[cylinder(), Ask::of("read", "Pressure read", PRESSURE).such_as("290 bar")],
        ..PLAIN
    },
    EntryForm {
        kind: "cylinder-mounted.1",
        link: "Mount on a respirator",
        title: "Mount a cylinder on a respirator",
        lead: "Of the kind and pressure that its approval names.",
        button: "Record it",
        offer: Offer::Thing,
        fields: &[cylinder(), unit()],
        warn: Some(no_place_for_it),
        ..PLAIN
    },
    EntryForm {
        kind: "cylinder-requalified.1",
        link: "Requalification",
        title: "Record a requalification",
        lead: "Only by one who holds a current approval for it.",
        button: "Record it",
        offer: Offer::Thing,
        fields: &[
            cylinder(),
            Ask::of("passed", "Passed", Input::YesNo).such_as("yes"),
            Ask::of("mark", "Mark it carries now, and who put it on", Input::Text)
                .such_as("11 26, works of the filler"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "cylinder-withdrawn.1",
        link: "Withdraw for good",
        title: "Take a cylinder out of service for good",
        lead: "At the end of its life, or when it fails.",
        button: "Withdraw it",
        offer: Offer::Thing,
        fields: &[
            cylinder(),
            Ask::of("why", "Why", Input::Text).such_as("end of its service life"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "supply-connected.1",
        link: "Connect to a supply of air",
        title: "Connect a respirator to a supply of air",
        lead: "Only to a supply of breathing air, within the hose and pressure of its approval.",
        button: "Record it",
        offer: Offer::Unit(brings_air),
        fields: &[unit(), supply()],
        ..PLAIN
    },
    EntryForm {
        kind: "air-sampled.1",
        link: "Sample of the air",
        title: "Record a sample of breathing air",
        lead: "The figures as reported: of a test of the air, or of the certificate of analysis that came with purchased cylinders.",
        button: "Record the sample",
        offer: Offer::Thing,
        fields: &[
            supply(),
            Ask::of("figures.oxygen", "Oxygen", Input::Written(Written::as_::<OxygenPercent>()))
                .such_as("20.9 %"),
            Ask::of(
                "figures.hydrocarbons",
                "Condensed hydrocarbons",
                Input::Written(Written::as_::<MgPerM3>()),
            )
            .such_as("0.5 mg/m3"),
            Ask::of(
                "figures.carbon_monoxide",
                "Carbon monoxide",
                Input::Written(Written::as_::<Ppm>()),
            )
            .such_as("2 ppm"),
            Ask::of(
                "figures.carbon_dioxide",
                "Carbon dioxide",
                Input::Written(Written::as_::<Ppm>()),
            )
            .such_as("420 ppm"),
            Ask::of("figures.odour", "A noticeable odour", Input::YesNo).such_as("no"),
            Ask::of("figures.dew_point", "Dew point", Input::Written(Written::as_::<DewPoint>()))
                .optional()
                .hint("without it the test is not complete")
                .such_as("-50 degC"),
            Ask::of(
                "figures.dew_point_at",
                "Measured under a pressure of",
                Input::Written(Written::as_::<KilopascalGauge>()),
            )
            .optional()
            .hint("empty: at one atmosphere"),
            Ask::of(
                "figures.ambient",
                "Temperature of the place of the compressor",
                Input::Written(Written::as_::<Celsius>()),
            )
            .optional()
            .hint("the dew point of a compressor is held against it")
            .such_as("20 degC"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "carbon-monoxide-tested.1",
        link: "Test for carbon monoxide alone",
        title: "Record a test for carbon monoxide alone",
        lead: "As between two full tests of a compressor, or after its alarm sounded. It never stands in for a full sample of the air; more than 10 ppm stops the supply until a later test finds less.",
        button: "Record the test",
        offer: Offer::Thing,
        fields: &[
            supply(),
            Ask::of("found", "Carbon monoxide found", Input::Written(Written::as_::<Ppm>()))
                .such_as("2 ppm"),
            Ask::of("method", "How it was measured", Input::Text)
                .such_as("direct-reading meter at the outlet"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "sorbent-bed-changed.1",
        link: "Change of bed or filter",
        title: "Record a change of sorbent bed or filter",
        lead: "The tag at the compressor carries the date and the signature.",
        button: "Record the change",
        offer: Offer::Thing,
        fields: &[
            supply(),
            Ask::of("signed", "Signature on the tag", Input::Text)
                .hint("of the person whom the employer authorised")
                .such_as("Hazel Plover"),
            Ask::of("serves_until", "Serves until, by the maker's instructions", Input::Day)
                .optional(),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "carbon-monoxide-alarm-checked.1",
        link: "Check of the carbon monoxide alarm",
        title: "Record a check of the carbon monoxide alarm",
        lead: "Of a compressor lubricated with oil.",
        button: "Record the check",
        offer: Offer::Thing,
        fields: &[
            supply(),
            Ask::of("passed", "It worked", Input::YesNo).such_as("yes"),
            Ask::of("alarms_at", "It alarms at", Input::Written(Written::as_::<Ppm>()))
                .such_as("10 ppm"),
        ],
        ..PLAIN
    },
];

/// A cylinder has no place on a respirator that cleans the air of the place, nor on a set whose approval
/// names others. If it was mounted all the same, that is recorded.
fn no_place_for_it(state: &State, fact: &Fact) -> Option<String> {
    let Fact::CylinderMounted { unit, cylinder } = fact else { return None };
    let model = state.unit(unit).and_then(|unit| state.model(&unit.model))?;
    if let Some(what) = cylinder_on_words(&model.device) {
        return Some(format!("{what}\nlook at the tag of the respirator"));
    }
    let part = &state.cylinder(cylinder)?.part;
    let finding = model.against_cylinder((cylinder.as_str(), part))?;
    Some(format!("{}\n{}", finding.text(), finding.remedy()))
}

/// A row of the table of cylinders.
fn marking(text: &str) -> Result<Value, String> {
    match listable().find(|row| row.id.eq_ignore_ascii_case(text)) {
        Some(row) => Ok(row.id.as_str().into()),
        None => {
            let known = listable().map(|row| format!("{} {}", row.id, row.kind));
            let known = known.collect::<Vec<_>>().join("; ");
            Err(format!("no cylinder is listed by a row `{text}`\nwrite one of: {known}"))
        }
    }
}

fn text(value: &Value) -> Option<String> {
    value.as_str().map(str::to_owned)
}
