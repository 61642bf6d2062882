//! Places of storage, boxes, and filtering facepieces taken from them.

use program::check::MOST_IN_A_BOX;
use program::{Fact, State};

use super::unit::unit;
use crate::named::Thing;
use crate::record::offer::in_store;
use crate::record::{Ask, EntryForm, Input, Offer, PLAIN};

const ITEMS: &[(&str, &str)] = &[
    ("elements", "cartridges, canisters or filters"),
    ("facepieces", "filtering facepieces"),
    ("supplies", "cleaner, disinfectant, parts, test agents"),
];

const HARMS: &[(&str, &str)] = &[
    ("damage", "damage: knocks and crushing"),
    ("contamination", "contamination: what is in the air of the work"),
    ("dust", "dust"),
    ("sun", "sunlight"),
    ("extreme-temperature", "extreme heat and cold"),
    ("damp", "excess moisture"),
    ("chemicals", "chemicals that harm it"),
];

/// How many a box can hold.
const PIECES: Input = Input::Whole(MOST_IN_A_BOX);

const AGENTS: &[(&str, &str)] = &[
    ("stock-solution", "isoamyl acetate stock solution, made fresh"),
    ("odour-solution", "odour test solution, made fresh"),
    ("saccharin-nebuliser", "nebuliser with saccharin, rinsed, shaken dry and filled"),
    ("bitter-nebuliser", "nebuliser with the bitter agent, rinsed, shaken dry and filled"),
];

const fn stock() -> Ask {
    Ask::of("stock", "Box", Input::Known(Thing::Stock))
}

pub(super) const FORMS: &[EntryForm] = &[
    EntryForm {
        kind: "place-listed.2",
        link: "List a place of storage",
        title: "List a place of storage",
        lead: "Where respirators are kept when nobody wears them.",
        button: "List the place",
        offer: Offer::Program,
        fields: &[
            Ask::of("name", "Name", Input::Text).such_as("Cabinet by door 3"),
            Ask::of("keeps_out", "What it keeps out", Input::Many(HARMS)).hint(
                "each that it is known to keep out; what is not ticked counts as not kept out",
            ),
            Ask::of(
                "keeps_shape",
                "Facepieces and exhalation valves keep their shape in it",
                Input::YesNo,
            )
            .hint("no: they hang by the straps, lie bent or under a load")
            .such_as("yes"),
            Ask::of("within_reach", "It is within reach of the work area", Input::YesNo)
                .hint("asked of respirators for emergencies")
                .such_as("no"),
            Ask::of(
                "marked",
                "It is plainly marked as holding respirators for emergencies",
                Input::YesNo,
            )
            .such_as("no"),
            Ask::of("place", "Short name", Input::New(Thing::Place))
                .optional()
                .hint("letters and digits; left empty, it is made of the name"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "stored.1",
        link: "Put away",
        title: "Put a respirator away",
        lead: "Clean and dry, in shape.",
        button: "Record it",
        offer: Offer::Unit(in_store),
        fields: &[unit(), Ask::of("place", "Where", Input::Known(Thing::Place))],
        ..PLAIN
    },
    EntryForm {
        kind: "stock-received.1",
        link: "Receive a box",
        title: "Receive a box",
        lead: "Elements, filtering facepieces or other supplies.",
        button: "Receive it",
        offer: Offer::Program,
        fields: &[
            Ask::of("stock", "Name of the box", Input::New(Thing::Stock)).such_as("BX-001"),
            Ask::of("item", "What is in it", Input::Choice(ITEMS)).such_as("facepieces"),
            Ask::of("item.elements", "Kind of element", Input::Known(Thing::ElementType))
                .hint("only of elements"),
            Ask::of(
                "item.facepieces.model",
                "Model of filtering facepiece",
                Input::Known(Thing::Model),
            )
            .hint("only of filtering facepieces"),
            Ask::of("item.facepieces.size", "Size", Input::Text)
                .hint("only of filtering facepieces, such as M")
                .such_as("M"),
            Ask::of("item.supplies", "What else", Input::Text)
                .hint("only of other supplies")
                .such_as("test agent"),
            Ask::of("lot", "Lot", Input::Text).such_as("lot-7"),
            Ask::of("count", "How many", PIECES).such_as("20"),
            Ask::of("shelf_life_until", "Shelf life until", Input::Day)
                .optional()
                .hint("last day, if it ends"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "fit-agent-prepared.1",
        link: "Make up or fill for fit tests",
        title: "Record what was made up or filled for fit tests",
        lead: "Stock solution serves a week, odour test solution a day, a filled nebuliser a morning or an afternoon, or four hours. What is thrown away is counted as 0 left.",
        button: "Record it",
        offer: Offer::Program,
        fields: &[
            Ask::of(
                "stock",
                "What stands on the bottle or the nebuliser",
                Input::NewOrKnown(Thing::Stock),
            )
            .hint("a name of its own; the same where it is filled again")
            .such_as("NEB-1"),
            Ask::of("agent", "What was done", Input::Choice(AGENTS)).such_as("saccharin-nebuliser"),
        ],
        ..PLAIN
    },
    EntryForm {
        kind: "stock-counted.1",
        link: "Count what is left",
        title: "Count what is left of a box",
        lead: "The forecast rests on it.",
        button: "Record the count",
        offer: Offer::Thing,
        fields: &[stock(), Ask::of("count", "How many are left", PIECES).such_as("17")],
        warn: Some(more_than_there_can_be),
        ..PLAIN
    },
    EntryForm {
        kind: "facepiece-taken.1",
        link: "Take one for a wearer",
        title: "Take a filtering facepiece from its box",
        lead: "One wearer keeps it. It is never cleaned: it is inspected, and thrown away by the written criteria of the site.",
        button: "Record it",
        offer: Offer::Thing,
        fields: &[
            stock(),
            Ask::of("unit", "Tag it gets", Input::New(Thing::Unit)).such_as("FF-001"),
            Ask::of("model", "Model", Input::Known(Thing::Model)),
            Ask::of("size", "Size", Input::Text).such_as("M"),
            Ask::of("wearer", "Who keeps it", Input::Known(Thing::Wearer)).hint("number or name"),
        ],
        warn: Some(more_than_there_can_be),
        ..PLAIN
    },
];

/// More than came in a box cannot be left of it or be taken from it.
fn more_than_there_can_be(state: &State, fact: &Fact) -> Option<String> {
    match fact {
        Fact::StockCounted { stock, count } => {
            let came = state.stock(stock)?.received;
            (came < *count).then(|| {
                format!("{came} came in the box `{stock}`, and {count} cannot be left\nlook at the name of the box and at the count")
            })
        }
        Fact::FacepieceTaken { stock, .. } => {
            let known = state.stock(stock).filter(|known| known.left == 0)?;
            Some(format!(
                "the box `{stock}` is empty by its records: {} came in it\nlook at the name of the box, or count what is left of it first",
                known.received
            ))
        }
        _ => None,
    }
}
