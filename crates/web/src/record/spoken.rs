//! What an entry says, question by question.

use program::{Entry, State};

use super::input::box_name;
use super::{Ask, EntryForm, Input, filled, points};
use crate::fields::Fields;
use crate::named::Thing;

/// Each answered question of the form and its answer in words.
pub(crate) fn spoken(
    form: &EntryForm,
    entry: &Entry,
    state: &State,
) -> Vec<(&'static str, String)> {
    let fields = filled(form, entry, state);
    let asked = form.fields.iter();
    let hidden = |ask: &&Ask| matches!(ask.input, Input::New(Thing::Site));
    let spoken =
        asked.filter(|ask| !hidden(ask)).map(|ask| (ask.label, words(ask, &fields, state)));
    spoken.filter(|(_, words)| !words.is_empty()).collect()
}

fn words(ask: &Ask, fields: &Fields, state: &State) -> String {
    let typed = fields.get(ask.path);
    match ask.input {
        Input::Choice(options) => {
            let chosen = options.iter().find(|(value, _)| *value == typed);
            chosen.map_or_else(String::new, |(_, words)| (*words).to_owned())
        }
        Input::Many(options) => {
            let ticked =
                options.iter().filter(|(value, _)| fields.get(&box_name(ask, value)) == "yes");
            ticked.map(|(_, words)| *words).collect::<Vec<_>>().join(", ")
        }
        Input::Points => points::spoken(ask, fields),
        Input::Several(thing) => {
            let names = typed.split(", ").map(|id| thing.name(state, id));
            names.collect::<Vec<_>>().join(", ")
        }
        Input::Moment => typed.replace('T', ", "),
        Input::Known(thing) => thing.name(state, typed),
        Input::Substance => {
            let found = substance::Catalogue::builtin().find(typed);
            found.map_or_else(|_| typed.to_owned(), |found| found.name().to_owned())
        }
        _ => typed.to_owned(),
    }
}
