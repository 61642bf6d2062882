//! What is recorded of one respirator.

use program::check::is_within_a_day;
use program::{Fact, State};
use quantity::{Kilopascal, LitrePerMin, Minutes};
use rulebook::Severity;
use rulebook::bath::{Named, named, printed_strength};
use rulebook::unit::disinfection_contact::LEAST_CONTACT_MIN;
use rulebook::unit::elements_mounting;
use serde_json::Value;

use crate::named::Thing;
use crate::record::offer::{
    brings_air, carries_cylinder, carries_elements, changed_for_test, in_hands, in_service,
    in_store, not_held, powered, takes_elements, washable,
};
use crate::record::{Ask, EntryForm, Input, Offer, PLAIN, Written, next_care};
use crate::telling;

const SIGNS: &[(&str, &str)] = &[
    ("smell", "a smell"),
    ("taste", "a taste"),
    ("irritation", "irritation of eyes, nose or throat"),
    ("resistance", "breathing became hard"),
];

const AIR: &[(&str, &str)] = &[("meets", "at least Grade D"), ("fails", "below Grade D")];

/// A length of time.
const MINUTES: Written = Written::as_::<Minutes>();

pub(super) const fn unit() -> Ask {
    Ask::of("unit", "Tag of the respirator", Input::Known(Thing::Unit))
}

const fn wearer(label: &'static str) -> Ask {
    Ask::of("wearer", label, Input::Known(Thing::Wearer)).hint("number or name")
}

const fn task() -> Ask {
    Ask::of("task", "Task", Input::Known(Thing::Task)).hint("short name or name")
}

pub(super) const FORMS: &[EntryForm] = &[
    EntryForm {
        kind: "issued.1",
        link: "Issue",
        title: "Issue a respirator",
        lead: "Handing it out is no permission to wear it: the wear check gives that.",
        button: "Issue it",
        offer: Offer::Unit(in_store),
        fields: &[unit(), wearer("To whom")],
        ..PLAIN
    },
    EntryForm {
        kind: "returned.1",
        link: "Return",
        title: "Take a respirator back",
        lead: "What came back is cleaned, and disinfected before another wears it.",
        button: "Take it back",
        offer: Offer::Unit(in_hands),
        fields: &[unit(), wearer("From whom")],
        ..PLAIN
    },
    EntryForm {
        kind: "worn.1",
        link: "Wear",
        title: "Record a wear",
        lead: "The minutes in contaminated air count towards the change of the elements.",
        button: "Record the wear",
        offer: Offer::Unit(in_hands),
        fields: &[
            unit(),
            wearer("Wearer"),
            task(),
            Ask::of(
                "time",
                "Minutes in contaminated air",
                Input::Written(Written { read: wear, write: MINUTES.write }),
            )
            .hint("from start to stop, such as 45 or 1.5 h")
            .such_as("45 min"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "breakthrough-sensed.1",
        link: "Report a smell, taste or irritation",
        title: "Report a smell, taste or irritation",
        lead: "First leave the area and tell your supervisor. Then report it here: the respirator is held back at once.",
        button: "Report it and hold the respirator back",
        offer: Offer::Unit(in_service),
        fields: &[
            unit(),
            wearer("Wearer"),
            task(),
            Ask::of("sign", "What was noticed?", Input::Choice(SIGNS)).such_as("smell"),
        ],
        follows: Some(hold_what_was_sensed),
        ..PLAIN
    },
    EntryForm {
        kind: "cleaned.1",
        link: "Clean",
        title: "Record a cleaning",
        lead: "Taken apart, washed in warm water with a mild detergent, rinsed and dried, as Appendix B-2 of 29 CFR 1910.134 or the maker says.",
        button: "Record the cleaning",
        offer: Offer::Unit(washable),
        fields: &[unit()],
        notes: Some(next_care::notes),
        warn: Some(washes_a_facepiece),
        ..PLAIN
    },
    EntryForm {
        kind: "disinfected.1",
        link: "Disinfect",
        title: "Record a disinfection",
        lead: "The page of the bath gives strength, temperature and contact time.",
        button: "Record the disinfection",
        offer: Offer::Unit(washable),
        fields: &[
            unit(),
            Ask::of("agent", "With what, at which strength", Input::Text)
                .such_as("hypochlorite, 50 ppm"),
            Ask::of("contact", "Time in contact", Input::Written(Written::as_::<Minutes>()))
                .such_as("2 min"),
        ],
        notes: Some(next_care::notes),
        warn: Some(not_shown_to_disinfect),
        ..PLAIN
    },
    EntryForm {
        kind: "held.1",
        link: "Hold it back",
        title: "Hold a respirator back",
        lead: "A respirator that is held back may be worn by nobody until it is released.",
        button: "Hold it back",
        offer: Offer::Unit(not_held),
        fields: &[
            unit(),
            Ask::of("why", "What is wrong with it?", Input::Text).such_as("strap torn"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "restored.1",
        link: "Put back after a fit test",
        title: "Record that a respirator was put back after a fit test",
        lead: "Filters, adapters and probes of the test are off, and it is again as it was approved.",
        button: "Record it",
        offer: Offer::Unit(changed_for_test),
        fields: &[
            unit(),
            Ask::of("done", "What was taken off and put back", Input::Text)
                .such_as("adapter and filters off, breathing tube on"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "retired.1",
        link: "Retire for good",
        title: "Retire a respirator for good",
        lead: "It never comes back into service. Its history stays.",
        button: "Retire it",
        offer: Offer::Unit(in_service),
        fields: &[unit(), Ask::of("why", "Why", Input::Text).such_as("facepiece hardened")],
        ..PLAIN
    },
    EntryForm {
        kind: "elements-fitted.1",
        link: "Fit elements",
        title: "Fit cartridges, canisters or filters",
        lead: "New elements start a new count of their wear.",
        button: "Record the fitting",
        offer: Offer::Unit(takes_elements),
        fields: &[
            unit(),
            Ask::of("element_type", "Kind of element", Input::Known(Thing::ElementType)),
            Ask::of("lot", "Lot", Input::Text).such_as("lot-1"),
            Ask::of("shelf_life_until", "Shelf life until", Input::Day).such_as("2028-01-31"),
            Ask::of("opened", "Seal opened", Input::Moment)
                .hint("on the clock of the site; left empty, it means now")
                .such_as("2026-11-25T08:00"),
        ],
        warn: Some(elements_in_doubt),
        ..PLAIN
    },
    EntryForm {
        kind: "elements-discarded.1",
        link: "Throw the elements away",
        title: "Throw the elements away",
        lead: "Used elements are thrown away, never kept for another day without a schedule that says so.",
        button: "Record it",
        offer: Offer::Unit(carries_elements),
        fields: &[unit(), Ask::of("why", "Why", Input::Text).such_as("end of the change schedule")],
        ..PLAIN
    },
    EntryForm {
        kind: "cylinder-read.1",
        link: "Read the cylinder",
        title: "Read a cylinder",
        lead: "Once it has fallen to 90 % of its rated pressure it is filled again; what is above the rating is let down by a trained person.",
        button: "Record the pressure",
        offer: Offer::Unit(carries_cylinder),
        fields: &[
            unit(),
            Ask::of("rated", "Rated pressure", Input::Written(Written::as_::<Kilopascal>()))
                .such_as("300 bar"),
            Ask::of("read", "Pressure read", Input::Written(Written::as_::<Kilopascal>()))
                .such_as("290 bar"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "breathing-air-tested.1",
        link: "Test of breathing air",
        title: "Record a test of breathing air",
        lead: "The page of breathing air judges the figures of a report.",
        button: "Record the test",
        offer: Offer::Unit(brings_air),
        fields: &[
            unit(),
            Ask::of("quality", "The air is", Input::Choice(AIR)).such_as("meets"),
            Ask::of("cylinder", "Tag of the cylinder it came from", Input::Known(Thing::Cylinder))
                .optional()
                .hint(
                    "what the test says goes with the cylinder; leave it out where a line feeds it",
                ),
        ],
        warn: Some(whose_air),
        ..PLAIN
    },
    EntryForm {
        kind: "powered-flow-checked.1",
        link: "Check the flow",
        title: "Check the flow of a powered unit",
        lead: "With the charged battery and the filters that will be worn, as the maker says.",
        button: "Record the check",
        offer: Offer::Unit(powered),
        fields: &[
            unit(),
            Ask::of("flow", "Flow found", Input::Written(Written::as_::<LitrePerMin>()))
                .such_as("180 L/min"),
            Ask::of(
                "least",
                "Least flow the maker asks for",
                Input::Written(Written::as_::<LitrePerMin>()),
            )
            .such_as("170 L/min"),
        ],
        ..PLAIN
    },
];

/// Elements that the approval label does not name, that do not go with the set, or that renew nothing.
fn elements_in_doubt(state: &State, fact: &Fact) -> Option<String> {
    let Fact::ElementsFitted { unit, element_type, lot, shelf_life_until, .. } = fact else {
        return None;
    };
    let set = state.unit(unit)?;
    let model = state.model(&set.model);
    let kind = state.element_type(element_type);
    let mounted = model.zip(kind).and_then(|(model, kind)| {
        let (id, mounting) = (element_type.as_str(), kind.elements.mounting);
        elements_mounting::found(&model.device, id, mounting)
    });
    let approved = model.and_then(|model| model.against_elements(element_type));
    // A listing that names nothing is a matter of the listing.
    let told = mounted.into_iter().chain(approved).filter(|one| one.severity == Severity::Stop);
    let told = told.map(|finding| format!("{}\n{}", finding.text(), finding.remedy()));
    let facepiece = model.is_some_and(|model| model.device.filtering_facepiece).then(|| {
        "a filtering facepiece is its own filter: what is recorded here renews neither its last day nor its wear\ntake another facepiece from its box".to_owned()
    });
    let other_day = set.shelf_life_of_lot(element_type, lot);
    let other_day = other_day.filter(|day| day != shelf_life_until).map(|day| {
        format!("lot `{lot}` was recorded with shelf life until {day}: of two days the earlier counts\nlook at the lot and at the day")
    });
    let all: Vec<String> = told.chain(facepiece).chain(other_day).collect();
    (!all.is_empty()).then(|| all.join("\n"))
}

/// What is neither printed in the rule nor approved by the maker, and what was left on for too short a
/// time, counts for nobody but the one who used the respirator before.
fn not_shown_to_disinfect(state: &State, fact: &Fact) -> Option<String> {
    let Fact::Disinfected { unit, agent, contact } = fact else { return None };
    let model = state.unit(unit).and_then(|unit| state.model(&unit.model));
    let approved = model.is_some_and(|model| model.approves_disinfectant(agent));
    let doubt = match named(agent) {
        Named::Nothing => Named::Other.doubt(),
        told => told.doubt(),
    };
    let doubtful = doubt.filter(|_| !approved).map(|doubt| {
        let least = printed_strength();
        format!("`{agent}`: {doubt}: nobody else may wear the respirator after it\nuse hypochlorite or iodine at {least} or a little more and write the strength in ppm, or note with the model, by this name, where its maker approves it")
    });
    let strong = named(agent).strong().filter(|_| !approved && doubtful.is_none()).map(|told| {
        format!("{told} is much stronger than the printed {}: what remains of it harms the facepiece and the skin\nrinse it well and look for damage", printed_strength())
    });
    let dipped = (contact.as_min() < LEAST_CONTACT_MIN).then(|| {
        format!("{contact} in contact is too short: nobody else may wear the respirator after it\nleave it in the bath for {LEAST_CONTACT_MIN} min or more, and record that")
    });
    let washed = washes_a_facepiece(state, fact);
    let all: Vec<String> = [washed, doubtful, strong, dipped].into_iter().flatten().collect();
    (!all.is_empty()).then(|| all.join("\n"))
}

/// A filtering facepiece that was washed is out of service.
pub(super) fn washes_a_facepiece(state: &State, fact: &Fact) -> Option<String> {
    let (Fact::Cleaned { unit } | Fact::Disinfected { unit, .. } | Fact::CareStepDone { unit, .. }) =
        fact
    else {
        return None;
    };
    let model = state.unit(unit).and_then(|unit| state.model(&unit.model))?;
    model.device.filtering_facepiece.then(|| {
        "a filtering facepiece is not cleaned: what is recorded here takes it out of service\nthrow it away and take another from its box".to_owned()
    })
}

/// What was noticed inside a respirator holds it back.
fn hold_what_was_sensed(fact: &Fact) -> Option<Fact> {
    let Fact::BreakthroughSensed { unit, sign, .. } = fact else { return None };
    let why = format!("{} was noticed inside it", telling::sign(*sign));
    Some(Fact::Held { unit: unit.clone(), why })
}

/// The label names the unit, so that digits alone will do; another unit may be written.
fn wear(text: &str) -> Result<Value, String> {
    let read = match text.parse::<f64>() {
        Ok(number) => Minutes::from_min(number),
        Err(_) => text.parse(),
    };
    let time = read.map_err(|error| error.to_string())?;
    if is_within_a_day(time) {
        return serde_json::to_value(time).map_err(|error| error.to_string());
    }
    Err("one wear is longer than nothing and no longer than a day".to_owned())
}

/// A test of the air of a set that carries a cylinder says whose air that was, so that it goes with it.
fn whose_air(state: &State, fact: &Fact) -> Option<String> {
    let Fact::BreathingAirTested { unit, cylinder: None, .. } = fact else { return None };
    let unit = state.unit(unit).filter(|unit| unit.connected.is_none())?;
    let (mounted, _) = unit.mounted.as_ref()?;
    Some(format!(
        "the test does not name cylinder {mounted}, which is mounted\nname it, so that the test counts on whatever set it is mounted next"
    ))
}
