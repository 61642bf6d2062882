//! Inspection, repair and the single steps of a cleaning.

use program::inspection::of_another_serial;
use program::{Fact, State};
use quantity::Celsius;

use super::unit::{unit, washes_a_facepiece};
use crate::named::Thing;
use crate::record::offer::{held, in_hands, in_service, powered, washable};
use crate::record::parts::PARTS;
use crate::record::{Ask, EntryForm, Input, Offer, PLAIN, Written, next_care};

const OCCASIONS: &[(&str, &str)] =
    &[("before-use", "before use"), ("at-cleaning", "at cleaning"), ("monthly", "monthly round")];

const STEPS: &[(&str, &str)] = &[
    ("taken-apart", "taken apart: elements and the parts the maker names"),
    ("washed", "washed"),
    ("rinsed", "rinsed"),
    ("dried", "dried"),
    ("reassembled", "put together again"),
];

const SCOPES: &[(&str, &str)] = &[
    ("ordinary", "straps, valves, lenses and the like"),
    ("regulator-or-alarm", "reducing and admission valves, regulators or alarms"),
];

const SEALS: &[(&str, &str)] = &[
    ("both", "breathing out and breathing in against closed valves"),
    ("positive", "breathing out against closed valves"),
    ("negative", "breathing in against closed inlets"),
    ("makers", "as the maker recommends"),
];

const WATER: Input = Input::Written(Written::as_::<Celsius>());

const fn by(label: &'static str) -> Ask {
    Ask::of("by", label, Input::Known(Thing::Person))
        .hint("someone with a part in the program: number or name")
}

pub(super) const FORMS: &[EntryForm] = &[
    EntryForm {
        kind: "inspected.2",
        link: "Inspect",
        title: "Record an inspection",
        lead: "Choose the occasion, show the points, look at each. One that fails takes the respirator out of service.",
        button: "Record the inspection",
        offer: Offer::Unit(in_service),
        fields: &[
            unit(),
            Ask::of("occasion", "Occasion", Input::Choice(OCCASIONS)).such_as("before-use"),
            Ask::of("points", "Points", Input::Points),
            Ask::of("signed", "Inspected by", Input::Text)
                .hint("name or signature")
                .such_as("Alder Finch"),
            Ask::of("serial", "Serial number, as read from the respirator", Input::Text)
                .such_as("s-1001"),
            Ask::of("remedy", "Remedial action", Input::Text)
                .optional()
                .hint("what is done about what was found"),
        ],
        warn: Some(of_another),
        ..PLAIN
    },
    EntryForm {
        kind: "care-step-done.1",
        link: "A step of cleaning",
        title: "Record a step of cleaning",
        lead: "In order: taken apart, washed, rinsed, disinfected, rinsed again, dried, put together.",
        button: "Record the step",
        offer: Offer::Unit(washable),
        fields: &[
            unit(),
            Ask::of("step", "Step", Input::Choice(STEPS)).such_as("washed").first(next_care::first),
            Ask::of("step.washed.cleaner", "Washed with", Input::Text)
                .hint("only of washing")
                .such_as("mild detergent"),
            Ask::of("step.washed.water", "Water of washing", WATER)
                .hint("only of washing, such as 40 degC")
                .such_as("40 degC"),
            Ask::of("step.rinsed.water", "Water of rinsing", WATER)
                .hint("only of rinsing, such as 40 degC")
                .such_as("40 degC"),
        ],
        notes: Some(next_care::notes),
        warn: Some(washes_a_facepiece),
        ..PLAIN
    },
    EntryForm {
        kind: "repaired.1",
        link: "Repair",
        title: "Record a repair",
        lead: "Only by a person who was trained for it, with the maker's parts made for this respirator and by the maker's instructions.",
        button: "Record the repair",
        offer: Offer::Unit(held),
        fields: &[
            unit(),
            by("Who repaired it"),
            Ask::of("scope", "How deep the repair went", Input::Choice(SCOPES)).such_as("ordinary"),
            Ask::of("parts", "Parts put in", Input::Written(PARTS))
                .hint("number and name of each, with semicolons between them; a colon behind a number with a space in it")
                .such_as("4711 exhalation valve; 4712 strap"),
            Ask::of("instructions", "The maker's instructions that were followed", Input::Text)
                .such_as("manual 3rd edition, page 12"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "repair-tested.1",
        link: "Test after repair",
        title: "Record a test after repair",
        lead: "A repaired respirator is tested as its maker says before it is released.",
        button: "Record the test",
        offer: Offer::Unit(held),
        fields: &[
            unit(),
            Ask::of("passed", "Passed", Input::YesNo).such_as("yes"),
            Ask::of("how", "How it was tested", Input::Text)
                .such_as("tightness at -10 mbar for a minute"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "released.2",
        link: "Release it",
        title: "Release a respirator",
        lead: "Release it once what was wrong is put right; it must pass an inspection before anyone wears it.",
        button: "Release it",
        offer: Offer::Unit(held),
        fields: &[
            unit(),
            by("Who releases it"),
            Ask::of("done", "What was done to it?", Input::Text).such_as("new strap fitted"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "battery-checked.1",
        link: "Check the battery",
        title: "Check the battery of a powered unit",
        lead: "Charged and sound, as the maker says.",
        button: "Record the check",
        offer: Offer::Unit(powered),
        fields: &[
            unit(),
            Ask::of("passed", "Charged and sound", Input::YesNo).such_as("yes"),
            Ask::of("found", "What was found", Input::Text).optional(),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "seal-checked.1",
        link: "Seal check",
        title: "Record a seal check",
        lead: "Each time a tight-fitting facepiece is put on. It never stands in for a fit test.",
        button: "Record the check",
        offer: Offer::Unit(in_hands),
        fields: &[
            unit(),
            Ask::of("wearer", "Wearer", Input::Known(Thing::Wearer)).hint("number or name"),
            Ask::of("passed", "The seal held", Input::YesNo).such_as("yes"),
            Ask::of("way", "How it was checked", Input::Choice(SEALS)).such_as("both"),
        ],
        ..PLAIN
    },
];

/// The serial number of another respirator: what was looked at says nothing of this one.
fn of_another(state: &State, fact: &Fact) -> Option<String> {
    let Fact::InspectedByPoints { unit, serial, .. } = fact else { return None };
    let words = of_another_serial(state.unit(unit)?, serial)?;
    Some(format!(
        "{words}: the inspection does not count, and the respirator is held\nread the tag and the serial number again; where the record is wrong, correct what was received"
    ))
}
