//! Forms that make entries, declared as data: what each asks, where it is offered, and how the fact
//! is made of what was typed. Every kind of fact has one.

mod draw;
mod exercises;
mod facts;
pub(crate) mod forms;
mod input;
mod known;
mod next_care;
mod offer;
mod parts;
mod points;
mod segments;
mod spoken;

use program::{EntryId, Fact, FitRecord, State};
use serde_json::Value;

use crate::fields::Fields;
use crate::named::Thing;

pub(crate) use draw::{draw, lists};
pub(crate) use facts::{SITE, Told, filled, told};
pub(crate) use known::state_for;
pub(crate) use next_care::next_words;
pub(crate) use offer::{Offer, OffersPart, offered};
pub(crate) use spoken::spoken;

/// The form of one kind of entry.
pub(crate) struct EntryForm {
    /// The kind of fact with its version, such as `cleaned.1`.
    pub(crate) kind: &'static str,
    /// A few words on the link that leads to it.
    pub(crate) link: &'static str,
    /// Its heading.
    pub(crate) title: &'static str,
    /// What is to be known before it is filled in.
    pub(crate) lead: &'static str,
    /// The word on its button.
    pub(crate) button: &'static str,
    /// Where it is offered.
    pub(crate) offer: Offer,
    /// What it asks, in order.
    pub(crate) fields: &'static [Ask],
    /// A second fact that follows from the first and is recorded with it.
    pub(crate) follows: Option<fn(&Fact) -> Option<Fact>>,
    /// Refuses what each answer allows and their sum does not, at one of the questions.
    pub(crate) check: Option<Check>,
    /// What is to be known of the thing that was named, before the rest is filled in.
    pub(crate) notes: Option<fn(&State, &Fields) -> Vec<String>>,
    /// What should give pause before it is recorded; it is recorded once that was read.
    pub(crate) warn: Option<Warn>,
}

/// Looks at all answers together.
pub(crate) type Check = fn(&Fact) -> Result<(), Refusal>;

/// Looks for what should give pause.
pub(crate) type Warn = fn(&State, &Fact) -> Option<String>;

/// The field in which a person says that a warning was read.
pub(crate) const DESPITE: &str = "despite";

/// The question at which a form is refused, and why.
pub(crate) type Refusal = (&'static str, String);

/// A form without a second fact, without a check of the whole and without warnings.
const PLAIN: EntryForm = EntryForm {
    kind: "",
    link: "",
    title: "",
    lead: "",
    button: "",
    offer: Offer::Thing,
    fields: &[],
    follows: None,
    check: None,
    notes: None,
    warn: None,
};

impl EntryForm {
    /// The kind without its version, as it stands in the address.
    pub(crate) fn path(&self) -> &'static str {
        self.kind.split_once('.').map_or(self.kind, |(path, _)| path)
    }

    /// The thing the entry is shown with: the first that it names.
    pub(crate) fn about(&self) -> Option<(Thing, &'static Ask)> {
        self.fields.iter().find_map(|ask| match ask.input {
            Input::Known(thing) | Input::New(thing) | Input::NewOrKnown(thing) => {
                Some((thing, ask))
            }
            _ => None,
        })
    }
}

/// One question of a form.
#[derive(Clone, Copy)]
pub(crate) struct Ask {
    /// Where the answer stands in the fact: keys joined by dots. A choice whose value is the next key
    /// becomes the object that holds it.
    pub(crate) path: &'static str,
    /// The words at the field.
    pub(crate) label: &'static str,
    /// A line under them; with it an example of what may be typed.
    pub(crate) hint: &'static str,
    /// An answer that is right, for the hint and for the test of the form.
    pub(crate) example: &'static str,
    /// How it is asked and read.
    pub(crate) input: Input,
    /// Must be answered.
    pub(crate) needed: bool,
    /// The answers that are given together or not at all.
    pub(crate) group: Option<&'static Group>,
    /// Which values of a choice stand first, as the thing that was named stands.
    pub(crate) first: Option<First>,
}

/// The values of a choice that are likely; none where nothing is known.
pub(crate) type First = fn(&State, &Fields) -> Vec<&'static str>;

/// Answers that are given together or not at all.
pub(crate) struct Group {
    /// Where their object stands in the fact; nothing there where none is given.
    pub(crate) path: &'static str,
    /// The words above them.
    pub(crate) legend: &'static str,
}

/// How a question is asked, and how its answer becomes a part of the fact.
#[derive(Clone, Copy)]
pub(crate) enum Input {
    /// Text as it is.
    Text,
    /// Several words, separated by commas.
    Words,
    /// One of few: value and words.
    Choice(&'static [(&'static str, &'static str)]),
    /// Any of few: value and words.
    Many(&'static [(&'static str, &'static str)]),
    /// Yes or no; where it is not needed it may stay open.
    YesNo,
    /// No unless yes is chosen.
    Flag,
    /// A whole number, up to the highest that can be meant.
    Whole(u32),
    /// A day.
    Day,
    /// A moment on the clock of the site; now where nothing is typed.
    Moment,
    /// Something that is written in one way, such as a quantity with its unit.
    Written(Written),
    /// A quantity, or the words that its level is not known.
    Level(Written),
    /// A substance by name or registry number.
    Substance,
    /// A thing in the ledger, by id or name.
    Known(Thing),
    /// The id of a new thing; made of its name where nothing is typed.
    New(Thing),
    /// The id of a thing that may be there already.
    NewOrKnown(Thing),
    /// Several things in the ledger, separated by commas.
    Several(Thing),
    /// The points of an inspection, which depend on the respirator and the occasion.
    Points,
    /// Written in lines.
    Lines(Written),
}

/// What is read from text and written back as the same.
#[derive(Clone, Copy)]
pub(crate) struct Written {
    /// The value in the fact, or what is wrong with the text.
    pub(crate) read: fn(&str) -> Result<Value, String>,
    /// The text of the value in a fact.
    pub(crate) write: fn(&Value) -> Option<String>,
}

impl Ask {
    const fn of(path: &'static str, label: &'static str, input: Input) -> Self {
        let (hint, example, needed) = ("", "", true);
        Self { path, label, hint, example, input, needed, group: None, first: None }
    }

    /// May stay empty.
    const fn optional(self) -> Self {
        Self { needed: false, ..self }
    }

    /// A line under the label.
    const fn hint(self, hint: &'static str) -> Self {
        Self { hint, ..self }
    }

    /// An answer that is right; the hint shows it where it has no words of its own.
    const fn such_as(self, example: &'static str) -> Self {
        Self { example, ..self }
    }

    /// Puts the likely values of a choice first.
    const fn first(self, first: First) -> Self {
        Self { first: Some(first), ..self }
    }

    /// Given together with the others of `group`.
    const fn with(self, group: &'static Group) -> Self {
        Self { group: Some(group), ..self }
    }
}

/// The id of the entry that the address says was just recorded, where it is there.
pub(crate) fn recorded(state: &State, fields: &Fields) -> String {
    let id = fields.filled("recorded").map(EntryId::new);
    id.filter(|id| state.entry(id).is_some()).map(|id| id.to_string()).unwrap_or_default()
}

/// The exercises of a fit test in the lines of its form.
pub(crate) fn fit_lines(record: &FitRecord) -> String {
    record.exercises.iter().map(exercises::written).collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests;
