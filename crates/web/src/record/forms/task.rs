//! What is recorded of a task and the air of its place.

use program::check::{MOST_ELEMENTS, MOST_SHIFTS};
use program::state::RoleHeld;
use program::{Fact, Role, State};
use quantity::{
    Celsius, Concentration, Kilopascal, LitrePerMin, Minutes, OxygenPercent, RelHumidity,
};

use crate::named::Thing;
use crate::record::segments::SEGMENTS;
use crate::record::{Ask, EntryForm, Group, Input, Offer, PLAIN, Written};

const WORK: &[(&str, &str)] = &[
    ("light", "light: standing, light handling"),
    ("moderate", "moderate: walking, steady handling"),
    ("heavy", "heavy: carrying, shovelling"),
];

const AIRBORNE: &[(&str, &str)] = &[
    ("vapour", "gas or vapour"),
    ("particle", "particle: dust, mist or fume"),
    ("vapour-and-particle", "vapour and particle"),
];

/// The most who stand by outside. Common practice, no source: a whole crew.
const MOST_OUTSIDE: u32 = 50;

/// As many shifts as one set can be said to serve.
const SHIFTS: Input = Input::Whole(MOST_SHIFTS);

const DRAWN: &[(&str, &str)] =
    &[("air-purifying", "the breath of the wearer"), ("powered-air-purifying", "a blower")];

static CALCULATION: Group = Group {
    path: "calculation",
    legend: "What the calculation gave; without it nothing is lifted. All or nothing",
};

const fn task() -> Ask {
    Ask::of("task", "Task", Input::Known(Thing::Task)).hint("short name or name")
}

pub(super) const FORMS: &[EntryForm] = &[
    EntryForm {
        kind: "task-described.2",
        link: "Describe a task",
        title: "Describe a task",
        lead: "Where respirators are worn, how long, and in which air. What is in the air is recorded as readings afterwards.",
        button: "Describe the task",
        offer: Offer::Program,
        fields: &[
            Ask::of("spec.name", "Name of the task", Input::Text).such_as("Drum filling"),
            Ask::of(
                "spec.wear_per_shift",
                "Planned wear on one shift",
                Input::Written(Written::as_::<Minutes>()),
            )
            .such_as("2 h"),
            Ask::of("spec.work_rate", "Work", Input::Choice(WORK)).such_as("moderate"),
            Ask::of(
                "spec.temperature",
                "Temperature of the place",
                Input::Written(Written::as_::<Celsius>()),
            )
            .such_as("22 degC"),
            Ask::of(
                "spec.relative_humidity",
                "Humidity of the place",
                Input::Written(Written::as_::<RelHumidity>()),
            )
            .such_as("45 %"),
            Ask::of(
                "spec.pressure",
                "Pressure of the place",
                Input::Written(Written::as_::<Kilopascal>()),
            )
            .such_as("101.325 kPa"),
            Ask::of("segments", "Usual shift in segments, one to a line", Input::Lines(SEGMENTS))
                .optional()
                .hint("only where the wear is not all alike: how long, then with commas what is not as above. On, off (sealed or open) or clean air; the level in % of the readings, or of one substance; light, moderate or heavy. The minutes with the mask on make up the planned wear. Such as: 45 min, on, 150 %, heavy — 30 min, off, sealed — 75 min, on, toluene 20 ppm, humidity 70 %"),
            Ask::of("spec.oxygen", "Oxygen", Input::Written(Written::as_::<OxygenPercent>()))
                .optional()
                .hint("where it was measured or is that of open air, such as 20.9 %")
                .such_as("20.9 %"),
            Ask::of("spec.oil_aerosol", "Oil in the air", Input::YesNo).optional().such_as("no"),
            Ask::of("spec.irritates_eyes", "What is in the air irritates the eyes", Input::YesNo)
                .optional()
                .such_as("no"),
            Ask::of(
                "spec.immediately_dangerous",
                "The site declares the place immediately dangerous to life or health",
                Input::Flag,
            ),
            Ask::of("spec.atmosphere_unknown", "What is in the air is not known", Input::Flag),
            Ask::of(
                "spec.interior_fire",
                "A fire is fought inside a structure, past its beginning",
                Input::Flag,
            )
            .hint("self-contained sets alone; two go in together, two stand by outside"),
            Ask::of(
                "spec.standby_outside",
                "People who stand by outside, at least",
                Input::Whole(MOST_OUTSIDE),
            )
            .optional()
            .hint("where the site asks for more than the rules do: one at immediately dangerous air, two at a fire inside a structure")
            .such_as("2"),
            Ask::of("spec.voluntary", "No respirator is needed; it is worn by choice", Input::Flag),
            Ask::of("task", "Short name", Input::New(Thing::Task))
                .optional()
                .hint("letters and digits; left empty, it is made of the name"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "reading-taken.1",
        link: "Reading of the air",
        title: "Record a reading",
        lead: "What was measured in the air of a task, or that something is there and its level is not known.",
        button: "Record the reading",
        offer: Offer::Thing,
        fields: &[
            task(),
            Ask::of("cas", "Substance", Input::Substance)
                .hint("name or registry number")
                .such_as("toluene"),
            Ask::of(
                "concentration",
                "Concentration",
                Input::Level(Written::as_::<Concentration>()),
            )
            .hint("such as 100 ppm or 380 mg/m3; or write: not known")
            .such_as("100 ppm"),
            Ask::of("form", "As", Input::Choice(AIRBORNE)).such_as("vapour"),
            Ask::of("sampled", "Time sampled", Input::Written(Written::as_::<Minutes>()))
                .optional()
                .such_as("8 h"),
            Ask::of("method", "Method", Input::Text).such_as("charcoal tube, full shift"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "schedule-adopted.1",
        link: "Adopt a change schedule",
        title: "Adopt a change schedule",
        lead: "As the computed schedule says, or stricter. Never laxer: what was computed still stops a wear.",
        button: "Adopt the schedule",
        offer: Offer::Thing,
        fields: &[
            task(),
            Ask::of(
                "element_type",
                "Cartridge, canister or filter",
                Input::Known(Thing::ElementType),
            ),
            Ask::of(
                "max_wear",
                "Longest wear of one set",
                Input::Written(Written::as_::<Minutes>()),
            )
            .such_as("4 h"),
            Ask::of("shifts", "Shifts one set may serve", SHIFTS).such_as("1"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "reuse-accepted.1",
        link: "Accept that elements are worn again",
        title: "Accept that elements are worn again beyond one shift",
        lead: "A named person takes this upon a calibrated calculation. A vapour moves on in a cartridge that lies in store.",
        button: "Record the acceptance",
        offer: Offer::Thing,
        fields: &[
            task(),
            Ask::of(
                "element_type",
                "Cartridge, canister or filter",
                Input::Known(Thing::ElementType),
            ),
            Ask::of("shifts", "Shifts one set may serve", SHIFTS).such_as("2"),
            Ask::of("by", "Who accepts it", Input::Known(Thing::Person)),
            Ask::of("basis", "The calibrated calculation that it rests on", Input::Text)
                .such_as("breakthrough test of 2026-05-04 at 40 ppm"),
            Ask::of("calculation.report", "Where it stands", Input::Text)
                .hint("report or case file, and its date")
                .such_as("report 7 of 2026-05-06")
                .with(&CALCULATION),
            Ask::of("calculation.shifts", "Shifts one set serves by it", SHIFTS)
                .hint("the nights between them included")
                .such_as("2")
                .with(&CALCULATION),
            Ask::of(
                "calculation.bound",
                "Lower bound of the wear of all these shifts",
                Input::Written(Written::as_::<Minutes>()),
            )
            .such_as("8 h")
            .with(&CALCULATION),
            Ask::of(
                "calculation.calibrated",
                "Calibrated on a laboratory test of these elements",
                Input::YesNo,
            )
            .such_as("yes")
            .with(&CALCULATION),
            Ask::of(
                "calculation.air_source",
                "What moves the air through them",
                Input::Choice(DRAWN),
            )
            .such_as("air-purifying")
            .with(&CALCULATION),
            Ask::of(
                "calculation.flow",
                "Flow through one set that was calculated with",
                Input::Written(Written::as_::<LitrePerMin>()),
            )
            .hint("on a set through which more air is drawn the calculation lifts nothing")
            .such_as("53.3 L/min")
            .with(&CALCULATION),
            Ask::of(
                "calculation.elements",
                "Elements that share that flow",
                Input::Whole(MOST_ELEMENTS),
            )
            .such_as("2")
            .with(&CALCULATION),
        ],
        warn: Some(accepted_by_another),
        ..PLAIN
    },
    EntryForm {
        kind: "exposure-group-described.1",
        link: "Describe an exposure group",
        title: "Describe an exposure group",
        lead: "People who are exposed alike: readings on any of them speak for all.",
        button: "Describe the group",
        offer: Offer::Program,
        fields: &[
            Ask::of("name", "Name of the group", Input::Text).such_as("Drum fillers"),
            Ask::of("tasks", "Tasks that its readings speak for", Input::Several(Thing::Task))
                .hint("short names or names, with commas between them"),
            Ask::of("group", "Short name", Input::New(Thing::Group))
                .optional()
                .hint("letters and digits; left empty, it is made of the name"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "exposure-measured.1",
        link: "Measurement on one of the group",
        title: "Record the exposure of one of a group",
        lead: "One reading on one person, over most of a shift.",
        button: "Record the reading",
        offer: Offer::Thing,
        fields: &[
            Ask::of("group", "Exposure group", Input::Known(Thing::Group)),
            Ask::of("cas", "Substance", Input::Substance)
                .hint("name or registry number")
                .such_as("toluene"),
            Ask::of(
                "level",
                "Level, or the level that it lies below",
                Input::Written(Written::as_::<Concentration>()),
            )
            .such_as("12 ppm"),
            Ask::of("detected", "It was detected", Input::YesNo)
                .hint("no: the true level lies somewhere below")
                .such_as("yes"),
            Ask::of("sampled", "Time sampled", Input::Written(Written::as_::<Minutes>()))
                .such_as("8 h"),
            Ask::of("method", "Method", Input::Text).such_as("badge, full shift"),
        ],
        ..PLAIN
    },
];

/// Only who runs the program takes reuse upon himself.
fn accepted_by_another(state: &State, fact: &Fact) -> Option<String> {
    let Fact::ReuseAccepted { by, .. } = fact else { return None };
    let runs = |held: &RoleHeld| held.role == Role::Administrator;
    let person = state.person(by);
    if person.is_some_and(|person| person.parts().any(runs)) {
        return None;
    }
    let name = person.map_or_else(|| by.to_string(), |person| person.name.clone());
    Some(format!(
        "{name} does not run the program: the acceptance lifts nothing\nhave the administrator of the program accept it, or record that part of {name} first"
    ))
}
