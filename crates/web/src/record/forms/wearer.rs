//! What is recorded of people: nothing medical but what they may wear, and until when.

use crate::named::Thing;
use crate::record::{Ask, EntryForm, Input, Offer};

use super::program::AIR_SOURCES;

const TOPICS: &[(&str, &str)] = &[
    ("wear", "wearing: why, how, when, and what to do when something is wrong"),
    ("care", "cleaning, disinfecting and inspecting"),
    ("repair", "repair of the respirators of this site"),
];

const CLEARANCES: &[(&str, &str)] = &[
    ("cleared", "may wear any respirator"),
    ("cleared-for", "may wear some only"),
    ("not-cleared", "may not wear a respirator"),
];

const METHODS: &[(&str, &str)] = &[
    ("qualitative", "by taste, smell or irritation"),
    ("quantitative", "by counts or pressure: a fit factor"),
];

const fn wearer() -> Ask {
    Ask::of("wearer", "Wearer", Input::Known(Thing::Wearer)).hint("number or name")
}

pub(super) const FORMS: &[EntryForm] = &[
    EntryForm {
        kind: "clearance-given.1",
        link: "Medical clearance",
        title: "Record a medical clearance",
        lead: "What the licensed health professional wrote about wearing. Keep no diagnosis and no finding here.",
        button: "Record the clearance",
        offer: Offer::Thing,
        fields: &[
            wearer(),
            Ask::of("clearance", "Recommendation", Input::Choice(CLEARANCES))
                .such_as("cleared-for"),
            Ask::of("clearance.cleared-for.air_sources", "May wear", Input::Many(AIR_SOURCES))
                .hint("only where some may be worn and others not"),
            Ask::of("clearance.cleared-for.limits", "Further limits as written", Input::Text)
                .optional()
                .hint("only where some may be worn; no medical data"),
            Ask::of("until", "Holds until", Input::Day)
                .optional()
                .hint("last day; left empty where the recommendation names none"),
        ],
        follows: None,
    },
    EntryForm {
        kind: "fit-tested.1",
        link: "Fit test",
        title: "Record a fit test",
        lead: "With the same model and size that will be worn. Counts are judged on the page of fit tests.",
        button: "Record the fit test",
        offer: Offer::Thing,
        fields: &[
            wearer(),
            Ask::of("model", "Model", Input::Known(Thing::Model)),
            Ask::of("size", "Size", Input::Text).such_as("M"),
            Ask::of("method", "How", Input::Choice(METHODS)).such_as("quantitative"),
            Ask::of("method.quantitative.fit_factor", "Overall fit factor", Input::Number)
                .hint("only of a test by counts or pressure, such as 250")
                .such_as("250"),
            Ask::of("passed", "Passed", Input::YesNo).such_as("yes"),
            Ask::of("hair_in_seal", "Hair or another thing lay in the seal", Input::YesNo)
                .such_as("no"),
            Ask::of("seal_note", "What was noted of the seal", Input::Text).optional(),
        ],
        follows: None,
    },
    EntryForm {
        kind: "trained.1",
        link: "Training",
        title: "Record a training",
        lead: "Training counts once the person has shown that it was understood.",
        button: "Record the training",
        offer: Offer::Thing,
        fields: &[
            wearer(),
            Ask::of("topic", "In what", Input::Choice(TOPICS)).such_as("wear"),
            Ask::of("understood", "Understanding was shown", Input::YesNo).such_as("yes"),
        ],
        follows: None,
    },
    EntryForm {
        kind: "voluntary-information-given.1",
        link: "Advice for wearing by choice given",
        title: "Record that the advice for wearing by choice was given",
        lead: "Who wears a respirator by choice is given the advice of 29 CFR 1910.134 Appendix D.",
        button: "Record it",
        offer: Offer::Thing,
        fields: &[wearer()],
        follows: None,
    },
];
