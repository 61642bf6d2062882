//! Instruments for fit tests, and kits for those by taste, smell or irritation.

use program::{Fact, State, alike};

use crate::named::Thing;
use crate::record::{Ask, EntryForm, Input, Offer, PLAIN};

const SERVES: &[(&str, &str)] = &[
    ("particle-counter", "particle counter, for the air of the room"),
    ("aerosol-photometer", "chamber with a made aerosol, and a photometer"),
    ("held-vacuum", "instrument that holds a vacuum in the facepiece"),
    ("taste-or-smell", "kit for taste, smell or smoke: hood, jars, nebulisers, tubes"),
];

/// Ten years.
const MOST_MONTHS: u32 = 120;

const fn instrument() -> Ask {
    Ask::of("instrument", "Instrument", Input::Known(Thing::Instrument))
        .hint("what stands on it, or its name")
}

pub(super) const FORMS: &[EntryForm] = &[
    EntryForm {
        kind: "instrument-listed.1",
        link: "List an instrument for fit tests",
        title: "List an instrument for fit tests",
        lead: "What fit factors are measured with, and the kits for tests by taste, smell or irritation. A fit test that names one counts only where it was in order then.",
        button: "List the instrument",
        offer: Offer::Program,
        fields: &[
            Ask::of("instrument", "What stands on it", Input::NewOrKnown(Thing::Instrument))
                .hint("the same where it comes back into use")
                .such_as("FT-1"),
            Ask::of("name", "Name", Input::Text).such_as("Particle counter of the fit room"),
            Ask::of("serial", "Serial number", Input::Text).such_as("s-2041"),
            Ask::of("serves", "What it is", Input::Choice(SERVES)).such_as("particle-counter"),
            Ask::of("calibration_months", "Months between two calibrations", Input::Whole(MOST_MONTHS))
                .optional()
                .hint("by its maker; left empty for a kit whose maker asks for none")
                .such_as("12"),
            Ask::of("checked_before_use", "Its maker asks for a check before use on each day", Input::YesNo)
                .hint("yes: a fit test counts only where one that passed is recorded before it on its day")
                .such_as("yes"),
            Ask::of("stands_in", "Where that stands", Input::Text)
                .hint("title, edition and page of the maker's instructions")
                .such_as("user instructions, page 12"),
        ],
        warn: Some(gives_pause),
        ..PLAIN
    },
    EntryForm {
        kind: "instrument-calibrated.1",
        link: "Calibration",
        title: "Record a calibration",
        lead: "As its maker asks. Fit tests that are made after its last day do not count.",
        button: "Record the calibration",
        offer: Offer::Thing,
        fields: &[
            instrument(),
            Ask::of("passed", "It reads within its maker's bounds now", Input::YesNo)
                .hint("no: it is not used until it is mended and calibrated again")
                .such_as("yes"),
            Ask::of("certificate", "By whom, and the certificate", Input::Text)
                .such_as("its maker, certificate 5"),
            Ask::of("until", "Last day on the certificate", Input::Day)
                .optional()
                .hint("where it names one; the earlier of this and the maker's months counts"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "instrument-checked.1",
        link: "Check or cleaning",
        title: "Record a check or a cleaning",
        lead: "The check before use that its maker asks for; of a kit, that hood, jars and nebulisers were cleaned, looked at and found open and whole.",
        button: "Record the check",
        offer: Offer::Thing,
        fields: &[
            instrument(),
            Ask::of("passed", "It was in order", Input::YesNo)
                .hint("no: fit tests made with it do not count until a check holds or it is calibrated; of a kit, those made before it on that day neither")
                .such_as("yes"),
            Ask::of("found", "What was done and found", Input::Text)
                .such_as("zero check and filter check"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "instrument-withdrawn.1",
        link: "Take out of use",
        title: "Take an instrument out of use",
        lead: "Nothing falls due for it then, and no fit test counts that is made with it. List it again where it comes back.",
        button: "Take it out of use",
        offer: Offer::Thing,
        fields: &[instrument(), Ask::of("why", "Why", Input::Text).such_as("sold")],
        ..PLAIN
    },
];

/// What should give pause where an instrument is listed.
fn gives_pause(state: &State, fact: &Fact) -> Option<String> {
    let all: Vec<String> =
        [already(state, fact), no_interval(state, fact)].into_iter().flatten().collect();
    (!all.is_empty()).then(|| all.join("\n"))
}

/// Of one that is listed already, what that does.
fn already(state: &State, fact: &Fact) -> Option<String> {
    let Fact::InstrumentListed { instrument, serial, .. } = fact else { return None };
    let own = state.instrument(instrument)?;
    if alike(&own.serial) != alike(serial) {
        return Some(format!(
            "`{instrument}` is listed already with the serial number {}: of another device under the same id no calibration and no check is on record yet\nwhere it stands beside the first, write an id of its own",
            own.serial
        ));
    }
    (!own.is_withdrawn()).then(|| {
        format!("`{instrument}` is listed already and in use: what is written here takes the place of that\nwhere another is meant, write an id of its own")
    })
}

/// Of an instrument that measures, how long a calibration holds is asked of each fit test.
fn no_interval(_: &State, fact: &Fact) -> Option<String> {
    let Fact::InstrumentListed { serves, calibration_months: None, .. } = fact else { return None };
    serves.measures().then(|| {
        "how long a calibration of it holds is not told: only the last day on a certificate says it then\nwrite the months that its maker names".to_owned()
    })
}
