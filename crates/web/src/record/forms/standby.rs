//! Who stands by outside immediately dangerous air.

use program::{Fact, State};

use crate::named::Thing;
use crate::record::{Ask, EntryForm, Input, Offer, PLAIN, Refusal};

const CONTACTS: &[(&str, &str)] = &[
    ("sight", "they see each other"),
    ("voice", "voice or radio"),
    ("signal-line", "a signal line"),
];

const NEAR: &[(&str, &str)] =
    &[("sight", "they see each other"), ("voice", "they hear each other")];

const RETRIEVAL: &[(&str, &str)] = &[
    ("equipment", "with retrieval equipment"),
    ("otherwise", "by other means: equipment would not help, or add risk"),
];

const fn task() -> Ask {
    Ask::of("task", "Task", Input::Known(Thing::Task)).hint("short name or name")
}

pub(super) const FORMS: &[EntryForm] = &[
    EntryForm {
        kind: "standby-posted.1",
        link: "Post who stands by outside",
        title: "Post who stands by outside",
        lead: "For work in air that is immediately dangerous to life or health, that nobody knows or that is short of oxygen. It stands from the time below until they leave, twelve hours at most, and takes the place of the posting before it. It gives no leave for a rescue and withholds none.",
        button: "Record the posting",
        offer: Offer::Thing,
        fields: &[
            task(),
            Ask::of("outside", "Who stands outside", Input::Several(Thing::Wearer))
                .hint("numbers or names, with commas between; two at least at a fire inside a structure"),
            Ask::of("sets", "Their respirators, ready at hand", Input::Several(Thing::Unit))
                .hint("one tag for each, in the same order: self-contained with positive pressure, or an airline of that kind with a cylinder beside"),
            Ask::of("other_role", "Who of them has another role", Input::Several(Thing::Wearer))
                .optional()
                .hint("only a role that is left at once, to help or rescue, without danger to anybody"),
            Ask::of("inside", "Who goes in", Input::Several(Thing::Wearer))
                .optional()
                .hint("left empty: whoever does the task. At a fire inside a structure two at least, by name"),
            Ask::of("contact", "Those outside and those inside keep in touch by", Input::Many(CONTACTS)),
            Ask::of("together", "Those inside keep in touch with each other by", Input::Many(NEAR))
                .hint("asked where two go into a fire together"),
            Ask::of("retrieval", "How those inside would be brought out", Input::Choice(RETRIEVAL))
                .such_as("equipment"),
            Ask::of("retrieval.equipment.what", "With which equipment", Input::Text)
                .such_as("harness, tripod and winch"),
            Ask::of("retrieval.otherwise.means", "By which means", Input::Text)
                .such_as("two with a drag stretcher"),
            Ask::of("retrieval.otherwise.why", "Why without equipment", Input::Text)
                .such_as("a line would catch on the pipes"),
            Ask::of("notify", "Who is told before anybody goes in for a rescue, and how", Input::Text)
                .such_as("shift lead, radio 2"),
            Ask::of("help", "What help comes then", Input::Text).such_as("rescue team of the site"),
            Ask::of("until", "They stand there until", Input::Moment)
                .hint("on the clock of the site, the end of the shift at the latest")
                .such_as("2026-11-25T22:00"),
        ],
        check: Some(in_touch),
        warn: Some(not_for_danger),
        ..PLAIN
    },
    EntryForm {
        kind: "standby-ended.1",
        link: "Stand them down",
        title: "Stand down who stands outside",
        lead: "When those outside leave before the time that was recorded: nobody goes in any more until others are posted.",
        button: "Record that they left",
        offer: Offer::Thing,
        fields: &[task(), Ask::of("why", "Why", Input::Text).such_as("everybody is out")],
        ..PLAIN
    },
];

/// Those outside keep in touch with those inside in some way.
fn in_touch(fact: &Fact) -> Result<(), Refusal> {
    match fact {
        Fact::StandbyPosted { contact, .. } if contact.is_empty() => {
            Err(("contact", "this is missing\ntick one way at least".to_owned()))
        }
        _ => Ok(()),
    }
}

/// A set with which nobody may go into such air.
fn not_for_danger(state: &State, fact: &Fact) -> Option<String> {
    let Fact::StandbyPosted { sets, .. } = fact else { return None };
    let unfit = |id: &&program::UnitId| {
        let model = state.unit(id).and_then(|set| state.model(&set.model));
        model.is_some_and(|model| !model.device.is_for_danger())
    };
    let set = sets.iter().find(unfit)?;
    Some(format!(
        "`{set}` is not for going into such air: nobody is let in while it is at hand\nname a set with full facepiece and positive pressure, self-contained or with a cylinder beside its line"
    ))
}
