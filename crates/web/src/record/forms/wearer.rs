//! What is recorded of people: nothing medical but what they may wear, and until when.

use program::fit_sheet::FitSheet;
use program::{Fact, OPEN, State};
use rulebook::fit_test::Exercise;
use serde_json::Value;

use crate::fields::Fields;
use crate::named::Thing;
use crate::record::exercises::EXERCISES;
use crate::record::{Ask, EntryForm, Input, Offer, PLAIN, Refusal, Written};

use super::program::AIR_SOURCES;

const TOPICS: &[(&str, &str)] = &[
    ("wear", "wearing: why, how, when, and what to do when something is wrong"),
    ("care", "cleaning, disinfecting and inspecting"),
    ("repair", "repair of the respirators of this site"),
    ("regulator-repair", "repair of regulators, valves and alarms, by their maker"),
    ("fit-testing", "fit testing"),
    ("air-supply", "filling of cylinders and care of supplies of air"),
    ("rescue", "standing by outside immediately dangerous air, and rescue"),
    ("administration", "running the program"),
];

const CLEARANCES: &[(&str, &str)] = &[
    ("cleared", "may wear any respirator"),
    ("cleared-for", "may wear some only"),
    ("not-cleared", "may not wear a respirator"),
];

const RENEWALS: &[(&str, &str)] = &[
    (
        "fit-test",
        "the face or body changed: a scar, teeth, surgery, weight; or the mask fits worse",
    ),
    (
        "clearance",
        "signs or symptoms, a request of a health professional or a supervisor, or heavier work",
    ),
    ("training", "the work or the respirator changed, or what was taught is not kept"),
];

const MASKS: &[(&str, &str)] = &[
    ("quarter-mask", "quarter mask"),
    ("half-mask", "half mask"),
    ("filtering-facepiece", "filtering facepiece"),
    ("full-facepiece", "full facepiece"),
];

const TESTED_AS: &[(&str, &str)] = &[
    ("own-converted", "the facepiece that is worn, with filters for its air supply"),
    ("own-with-adapter", "the same, with filters and a sampling adapter"),
    ("surrogate", "an air-purifying facepiece with the same sealing surfaces"),
    ("probed-surrogate", "such a facepiece with a sampling probe"),
    ("air-on", "it was tested with its air on"),
];

const fn wearer() -> Ask {
    Ask::of("wearer", "Wearer", Input::Known(Thing::Wearer)).hint("number or name")
}

pub(super) const FORMS: &[EntryForm] = &[
    EntryForm {
        kind: "medical-information-given.1",
        link: "What the health professional was told",
        title: "Record what the health professional was told",
        lead: "Given before the recommendation is made, with copies of the written program and of the standard. The sheet on the wearer's page fills this in. Nothing about the person's health is written here.",
        button: "Record what was given",
        offer: Offer::Thing,
        fields: &[
            wearer(),
            Ask::of("professional", "Health professional", Input::Text)
                .hint("who makes the recommendation")
                .such_as("Dr Quince"),
            Ask::of("told.air_sources", "Kinds of respirator", Input::Many(AIR_SOURCES)),
            Ask::of("told.respirators", "Which, and how much each weighs", Input::Text)
                .such_as("half mask with two cartridges, 0.4 kg"),
            Ask::of("told.wear", "How long and how often it is worn, rescue and escape included", Input::Text)
                .such_as("2 h a day, five days a week; no rescue, no escape"),
            Ask::of("told.effort", "Physical effort", Input::Text)
                .such_as("moderate: walking, steady handling"),
            Ask::of("told.worn_beside", "Other protective clothing and equipment", Input::Text)
                .hint("where none is worn, write that")
                .such_as("coverall, gloves"),
            Ask::of("told.climate", "Extremes of temperature and humidity", Input::Text)
                .such_as("5 to 35 degC, 20 to 80 % humidity"),
            Ask::of("told.program_copy", "A copy of the written program was given", Input::YesNo)
                .hint("now or before, and it has not changed since")
                .such_as("yes"),
            Ask::of("told.standard_copy", "A copy of the standard was given", Input::YesNo)
                .hint("29 CFR 1910.134; now or before")
                .such_as("yes"),
        ],
        check: Some(nothing_open),
        ..PLAIN
    },
    EntryForm {
        kind: "clearance-given.2",
        link: "Medical clearance",
        title: "Record a medical clearance",
        lead: "What the licensed health professional wrote about wearing. Keep no diagnosis and no finding here.",
        button: "Record the clearance",
        offer: Offer::Thing,
        fields: &[
            wearer(),
            Ask::of("professional", "Licensed health professional who made it", Input::Text)
                .such_as("Dr Quince"),
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
            Ask::of("copy_given", "It states that the worker was given a copy of it", Input::YesNo)
                .such_as("yes"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "fit-tested.2",
        link: "Fit test",
        title: "Record a fit test",
        lead: "With the same model and size that will be worn, as it was measured. The page of fit tests judges it first and fills this form in.",
        button: "Record the fit test",
        offer: Offer::Thing,
        fields: &[
            wearer(),
            Ask::of("model", "Model", Input::Known(Thing::Model)),
            Ask::of("size", "Size", Input::Text).such_as("M"),
            Ask::of("tester", "Who tested", Input::Known(Thing::Person)).hint("someone with a part in the program: number or name"),
            Ask::of("record.protocol", "Protocol", Input::Written(Written { read: protocol, write: text }))
                .such_as("QNFT-CNC"),
            Ask::of("record.facepiece", "Facepiece", Input::Choice(MASKS)).such_as("half-mask"),
            Ask::of("instrument", "Instrument or test kit", Input::Known(Thing::Instrument))
                .optional()
                .hint("what stands on it, or its name; where it was not in order, the test does not count")
                .such_as("FT-1"),
            Ask::of("record.screening_passed", "Noticed the weak agent in the screening before", Input::YesNo)
                .optional()
                .hint("of a test by taste, smell or irritation"),
            Ask::of("record.agent_proved", "The agent was shown to be there afterwards", Input::YesNo)
                .optional()
                .hint("of a test by taste, smell or irritation"),
            Ask::of("record.made.stock", "Stock solution made", Input::Moment)
                .optional()
                .hint("of a test by isoamyl acetate: it is made fresh at least weekly"),
            Ask::of("record.made.odour", "Odour test solution made", Input::Moment)
                .optional()
                .hint("of a test by isoamyl acetate: it serves for one day"),
            Ask::of("record.made.nebuliser", "Nebuliser rinsed, shaken dry and filled", Input::Moment)
                .optional()
                .hint("of a test by saccharin or the bitter agent: each morning and afternoon, or every four hours"),
            Ask::of("record.exercises", "Exercises, one to a line", Input::Lines(EXERCISES))
                .hint("number: outside before, inside, outside after. Or `1: factor 250`, `1: noticed`, `1: not noticed`, `1: -`")
                .such_as("1: 2400, 12, 2380"),
            Ask::of("record.adjusted", "The facepiece was adjusted after the exercises had begun", Input::YesNo)
                .hint("that voids the test, and it is done again")
                .such_as("no"),
            Ask::of("record.comfortable", "It was still comfortable afterwards", Input::YesNo)
                .hint("the wearer is asked once the exercises are done; where not, another is tried")
                .such_as("yes"),
            Ask::of("hair_in_seal", "Hair or another thing lay in the seal", Input::YesNo).such_as("no"),
            Ask::of("seal_note", "What was noted of the seal", Input::Text).optional(),
            Ask::of("tested_as", "With a blower, an airline or carried air: what was tested, without that air", Input::Choice(TESTED_AS))
                .optional()
                .hint("29 CFR 1910.134(f)(8); left out where the facepiece is not fed with air"),
            Ask::of("unit", "Tag of the respirator whose own facepiece was on the face", Input::Known(Thing::Unit))
                .optional()
                .hint("where that facepiece was changed for the test it is not worn until it is put back"),
            Ask::of("restored", "It was put back into its approved configuration", Input::YesNo)
                .optional()
                .hint("where it was changed; it can be recorded later too"),
        ],
        check: Some(a_test_that_can_be),
        notes: Some(how_long),
        ..PLAIN
    },
    EntryForm {
        kind: "trained.1",
        link: "Training",
        title: "Record a training",
        lead: "Training counts once the person has shown that it was understood.",
        button: "Record the training",
        offer: Offer::Thing,
        fields: &[
            Ask::of("wearer", "Who", Input::Known(Thing::Person)).hint("number or name"),
            Ask::of("topic", "In what", Input::Choice(TOPICS)).such_as("wear"),
            Ask::of("understood", "Understanding was shown", Input::YesNo).such_as("yes"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "renewal-asked.1",
        link: "Something changed about a wearer",
        title: "Record that something changed about a wearer",
        lead: "A new fit test, evaluation or training is then due, and until it is done the wearer does not wear. Keep no diagnosis and no finding here.",
        button: "Record the change",
        offer: Offer::Thing,
        fields: &[wearer(), Ask::of("of", "What was seen or reported", Input::Choice(RENEWALS)).such_as("fit-test")],
        ..PLAIN
    },
    EntryForm {
        kind: "seal-hair-seen.1",
        link: "Hair where the mask seals",
        title: "Record a look at where the mask seals",
        lead: "For whoever sees the wearer at the door or at work. While hair is there, the wear check stops every tight-fitting facepiece; a loose-fitting unit may serve.",
        button: "Record what was seen",
        offer: Offer::Thing,
        fields: &[
            wearer(),
            Ask::of("there", "Hair lies between the seal and the face, or touches a valve", Input::YesNo)
                .hint("no: it was looked at, and no hair is there")
                .such_as("yes"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "voluntary-information-given.1",
        link: "Advice for wearing by choice given",
        title: "Record that the advice for wearing by choice was given",
        lead: "Who wears a respirator by choice is given the advice of 29 CFR 1910.134 Appendix D.",
        button: "Record it",
        offer: Offer::Thing,
        fields: &[wearer()],
        ..PLAIN
    },
    EntryForm {
        kind: "wearer-left.1",
        link: "Left the program",
        title: "Record that a wearer left the program",
        lead: "Nothing falls due for one who has left. Fit tests and clearances stay in the record.",
        button: "Record it",
        offer: Offer::Thing,
        fields: &[wearer(), Ask::of("why", "Why, in a few words", Input::Text).such_as("other work")],
        ..PLAIN
    },
];

/// The form of a fit test of which only the outcome is known, such as one of an older list. It is
/// never offered for a new test; one that was kept so is put right as what it is.
pub(super) const FIT_OUTCOME: EntryForm = EntryForm {
    kind: "fit-tested.1",
    link: "Fit test",
    title: "Record a fit test",
    lead: "Of this test the outcome alone is known, and it is put right as that.",
    button: "Record the fit test",
    offer: Offer::Thing,
    fields: &[
        wearer(),
        Ask::of("model", "Model", Input::Known(Thing::Model)),
        Ask::of("size", "Size", Input::Text).such_as("M"),
        Ask::of("method", "How it was tested", Input::Choice(METHODS)).such_as("quantitative"),
        Ask::of(
            "method.quantitative.fit_factor",
            "Fit factor over all exercises",
            Input::Written(Written { read: factor, write: number }),
        )
        .such_as("250"),
        Ask::of("passed", "It was passed", Input::YesNo).such_as("yes"),
        Ask::of("hair_in_seal", "Hair or another thing lay in the seal", Input::YesNo)
            .such_as("no"),
        Ask::of("seal_note", "What was noted of the seal", Input::Text).optional(),
    ],
    ..PLAIN
};

const METHODS: &[(&str, &str)] = &[
    ("qualitative", "by taste, smell or irritation"),
    ("quantitative", "by counts or pressure, with a fit factor"),
];

/// A fit factor: what is outside over what comes in.
fn factor(text: &str) -> Result<Value, String> {
    let factor = text.parse::<f64>().ok().filter(|factor| factor.is_finite() && 1.0 <= *factor);
    factor.map(Value::from).ok_or_else(|| {
        format!("`{text}` is no fit factor\nwrite a number of 1 or more, such as 250")
    })
}

fn number(value: &Value) -> Option<String> {
    value.as_f64().map(|number| number.to_string())
}

/// The id of a fit-test protocol.
fn protocol(text: &str) -> Result<Value, String> {
    let found = rulebook::fit_test::protocol(text).map_err(|why| why.to_string())?;
    Ok(found.id.as_str().into())
}

fn text(value: &Value) -> Option<String> {
    value.as_str().map(str::to_owned)
}

/// Refuses a sheet in which something is still to be said.
fn nothing_open(fact: &Fact) -> Result<(), Refusal> {
    let Fact::MedicalInformationGiven { told, .. } = fact else { return Ok(()) };
    let field = match told.open().first() {
        None if told.air_sources.is_empty() => {
            let what = "no kind of respirator is named\ntick each that is meant";
            return Err(("told.air_sources", what.to_owned()));
        }
        None => return Ok(()),
        Some(&"respirators") => "told.respirators",
        Some(&"wear") => "told.wear",
        Some(&"effort") => "told.effort",
        Some(&"worn_beside") => "told.worn_beside",
        Some(_) => "told.climate",
    };
    let what = format!("what is marked {OPEN} is still to be said\nwrite it in its place");
    Err((field, what))
}

/// Refuses what no test can give and what its protocol does not ask for.
fn a_test_that_can_be(fact: &Fact) -> Result<(), Refusal> {
    let Fact::FitMeasured { record, .. } = fact else { return Ok(()) };
    let judged = FitSheet::of_record(record).and_then(|sheet| sheet.judge());
    judged.map(|_| ()).map_err(|why| match why.key.as_str() {
        "protocol" => ("record.protocol", why.message),
        _ => ("record.exercises", format!("line {}: {}", why.line, why.message)),
    })
}

/// The exercises of the protocol that was named, each with its time.
fn how_long(_: &State, fields: &Fields) -> Vec<String> {
    let named =
        fields.filled("record.protocol").and_then(|id| rulebook::fit_test::protocol(id).ok());
    let told = named.map(|protocol| {
        let exercises = protocol.exercises.iter().map(exercise_words).collect::<Vec<_>>();
        format!("{}: {}", protocol.name, exercises.join("; "))
    });
    told.into_iter().collect()
}

/// An exercise with its number and, where one is printed, its time.
pub(crate) fn exercise_words(exercise: &Exercise) -> String {
    let time = exercise.seconds.map(|seconds| format!(" ({seconds} s)")).unwrap_or_default();
    format!("{}. {}{time}", exercise.number, exercise.name)
}
