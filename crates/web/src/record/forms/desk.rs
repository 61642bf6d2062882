//! What is recorded of the program itself: its people, its written pages, its evaluation.

use program::{Every, Fact};

use crate::named::Thing;
use crate::record::{Ask, EntryForm, Input, Offer, PLAIN, Refusal, SITE};

const ROLES: &[(&str, &str)] = &[
    ("administrator", "runs the program"),
    ("fit-tester", "does fit tests"),
    ("care-technician", "cleans, disinfects and inspects"),
    ("repairer", "repairs and releases"),
    ("issuer", "gives respirators out"),
    ("supervisor", "leads a crew"),
    ("air-technician", "fills cylinders and looks after supplies of air"),
];

/// What a site may ask more often, by the id of the rule: each row of `data/intervals.csv`.
pub(in crate::record) const ASKED: &[(&str, &str)] = &[
    ("fit.in-date", "fit test of each wearer of a tight-fitting facepiece"),
    ("training.in-date", "training of each wearer"),
    ("unit.inspected-monthly", "round of emergency and self-contained sets"),
    ("unit.inspection-recent", "inspection of a set before it is worn"),
    ("unit.cylinder-full", "reading of the cylinders of self-contained sets"),
    ("repair.trained", "training of those who repair and release"),
    ("supply.air-tested", "test of the air of a supply"),
    (
        "supply.carbon-monoxide",
        "test for carbon monoxide of an oil-lubricated compressor without an alarm for it",
    ),
    ("supply.alarm-checked", "check of the alarms of an oil-lubricated compressor"),
    ("program.evaluated", "evaluation of the program"),
    ("program.consulted", "consultation of the wearers"),
    ("standby.trained", "training of those who stand by and rescue"),
];

const EVERY: &[(&str, &str)] = &[("months", "months"), ("days", "days")];

const fn site() -> Ask {
    Ask::of(SITE, "Site", Input::Known(Thing::Site))
}

pub(super) const FORMS: &[EntryForm] = &[
    EntryForm {
        kind: "role-given.1",
        link: "Give a person a part",
        title: "Give a person a part in the program",
        lead: "Who repairs, releases, tests or fills needs the training or experience for it.",
        button: "Give the part",
        offer: Offer::Program,
        fields: &[
            Ask::of("name", "Name", Input::Text).such_as("Hazel Plover"),
            Ask::of("role", "Part", Input::Choice(ROLES)).such_as("repairer"),
            Ask::of("shown", "Training or experience that was shown", Input::Text)
                .such_as("course of the maker, certificate seen"),
            Ask::of("until", "Holds until", Input::Day).optional().hint("last day, if it ends"),
            Ask::of("person", "Number", Input::NewOrKnown(Thing::Person))
                .optional()
                .hint("of one who is known already, or a new one; left empty, it is found or made by the name"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "role-ended.1",
        link: "End a part",
        title: "End a part in the program",
        lead: "What the person did before stays in the record.",
        button: "End the part",
        offer: Offer::Thing,
        fields: &[
            Ask::of("person", "Who", Input::Known(Thing::Person)).hint("number or name"),
            Ask::of("role", "Part", Input::Choice(ROLES)).such_as("issuer"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "program-written.1",
        link: "Written program",
        title: "Record a version of the written program",
        lead: "It is brought up to date whenever the workplace changes respirator use.",
        button: "Record the version",
        offer: Offer::Thing,
        fields: &[
            site(),
            Ask::of("version", "Version or date", Input::Text).such_as("2026-01"),
            Ask::of("kept_at", "Where it can be read", Input::Text).such_as("shelf 2 of the safety office"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "program-evaluated.1",
        link: "Evaluation of the program",
        title: "Record an evaluation of the program",
        lead: "Look at the workplace itself: is the written program carried out, and does it work?",
        button: "Record the evaluation",
        offer: Offer::Thing,
        fields: &[
            site(),
            Ask::of("found", "What was found", Input::Text).such_as("carried out; the bench needs a clock"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "workers-consulted.1",
        link: "Wearers asked",
        title: "Record that wearers were asked",
        lead: "Of fit, selection, use and care.",
        button: "Record it",
        offer: Offer::Thing,
        fields: &[
            site(),
            Ask::of("who", "Who, or how many", Input::Text).such_as("six of the day shift"),
            Ask::of("said", "What they said", Input::Text).such_as("straps slip when wet"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "action-opened.1",
        link: "Something to be put right",
        title: "Open an action",
        lead: "What is to be put right, by whom, until when.",
        button: "Open the action",
        offer: Offer::Thing,
        fields: &[
            site(),
            Ask::of("what", "What is to be done", Input::Text).such_as("hang a clock at the bench"),
            Ask::of("responsible", "Who does it", Input::Known(Thing::Person)).hint("number or name"),
            Ask::of("until", "Last day for it", Input::Day).such_as("2026-12-31"),
            Ask::of("action", "Short name", Input::New(Thing::Action)).such_as("bench-clock"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "action-closed.1",
        link: "Put right",
        title: "Close an action",
        lead: "Once it is put right.",
        button: "Close the action",
        offer: Offer::Thing,
        fields: &[
            Ask::of("action", "Action", Input::Known(Thing::Action)),
            Ask::of("done", "What was done", Input::Text).such_as("a clock hangs there"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "policy-set.1",
        link: "Ask something more often",
        title: "Ask something more often than the rules do",
        lead: "A site may be stricter than the rules, never laxer.",
        button: "Set it",
        offer: Offer::Thing,
        fields: &[
            site(),
            Ask::of("rule", "What", Input::Choice(ASKED)).such_as("fit.in-date"),
            Ask::of("every", "Counted in", Input::Choice(EVERY)).such_as("months"),
            Ask::of("every.months", "Each so many months", Input::Whole(600)).hint("only where it is counted in months").such_as("1"),
            Ask::of("every.days", "Each so many days", Input::Whole(3660)).hint("only where it is counted in days").such_as("14"),
        ],
        check: Some(never_laxer),
        ..PLAIN
    },
    EntryForm {
        kind: "duty-shown.1",
        link: "Show a duty kept",
        title: "Record that a duty is kept",
        lead: "For duties that leave no other trace, by their number in the list of duties.",
        button: "Record it",
        offer: Offer::Thing,
        fields: &[
            site(),
            Ask::of("duty", "Duty", Input::Text).such_as("D003"),
            Ask::of("how", "How it was shown", Input::Text).such_as("program read with the crew"),
            Ask::of("until", "Shows it until", Input::Day).optional().hint("last day, if it ends"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "maker-instructions-noted.1",
        link: "What the maker asks",
        title: "Note what the maker asks of a model",
        lead: "Parts approved for it, and cleaners that the maker forbids.",
        button: "Note it",
        offer: Offer::Thing,
        fields: &[
            Ask::of("model", "Model", Input::Known(Thing::Model)),
            Ask::of("parts", "Parts approved for it", Input::Written(crate::record::parts::PARTS))
                .hint("number and name of each, with semicolons between them; a colon behind a number with a space in it")
                .such_as("4711 exhalation valve; 4712 strap"),
            Ask::of("forbidden_cleaners", "Cleaners that the maker forbids", Input::Words)
                .optional()
                .such_as("alcohol, solvents"),
            Ask::of("approved_disinfectants", "Disinfectants that the maker recommends or approves", Input::Words)
                .optional()
                .hint("by the names used at the bench, with commas between them")
                .such_as("quaternary bath salts"),
            Ask::of("stands_in", "Where that stands", Input::Text)
                .hint("title, edition, page")
                .such_as("manual, 3rd edition, page 9"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "makers-seal-check-shown.1",
        link: "The maker's own seal check shown to serve",
        title: "Record that the maker's own seal check serves",
        lead: "29 CFR 1910.134 Appendix B-1 lets it stand in for the printed checks where the employer shows that it is equally effective. Until that is recorded, the wear check stops whoever relies on it.",
        button: "Record it",
        offer: Offer::Thing,
        fields: &[
            Ask::of("model", "Model", Input::Known(Thing::Model)),
            Ask::of("how", "How it was shown", Input::Text)
                .hint("the comparison with the printed checks, and where its report is kept")
                .such_as("compared with both checks on ten wearers, report 12"),
            Ask::of("signed", "Who vouches for it", Input::Text)
                .hint("by name or signature")
                .such_as("Hazel Plover"),
        ],
        ..PLAIN
    },
];

/// Refuses what is laxer than the rule itself.
fn never_laxer(fact: &Fact) -> Result<(), Refusal> {
    let Fact::PolicySet { rule, every } = fact else { return Ok(()) };
    let (path, every) = match every {
        Every::Days(days) => ("every.days", rulebook::interval::Every::Days(*days)),
        Every::Months(months) => ("every.months", rulebook::interval::Every::Months(*months)),
    };
    rulebook::interval::adopt(rule, every).map(|_| ()).map_err(|why| (path, why.to_string()))
}
