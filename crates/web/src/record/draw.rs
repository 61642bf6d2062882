//! The questions of a form as fields to type into.

use askama::Template;
use jiff::Timestamp;
use ledger::ReadError;
use program::State;

use super::facts::SITE;
use super::input::{SHOWN_TWICE, box_name};
use super::{Ask, DESPITE, EntryForm, Input, points};
use crate::app::AppState;
use crate::component::{Boxes, Choice, Field};
use crate::fields::Fields;
use crate::named::{Lists, Thing};

/// Fields that belong together.
#[derive(Template)]
#[template(path = "parts/group.html")]
struct GroupPart {
    legend: &'static str,
    fields: Vec<String>,
}

/// Draws the form with what was typed. `fresh` is a form that puts nothing right: only there a new
/// thing may be named and the site be asked for.
pub(crate) fn draw(
    form: &EntryForm,
    fields: &Fields,
    state: &State,
    fresh: bool,
) -> Result<Vec<String>, askama::Error> {
    let mut drawn = Vec::new();
    let sites: Vec<(String, String)> = Thing::Site.all(state);
    let asks_site = form.fields.iter().any(|ask| matches!(ask.input, Input::Known(Thing::Site)));
    if fresh && sites.len() > 1 && (asks_site || !tells_site(form)) {
        let options = sites.iter().map(|(id, name)| (id.as_str(), name.as_str()));
        let options = std::iter::once(("", "choose")).chain(options);
        drawn.push(Choice::of(fields, (SITE, "Site"), options).render()?);
    }
    let shown = |ask: &&Ask| match ask.input {
        Input::New(_) | Input::NewOrKnown(_) => fresh,
        Input::Known(Thing::Site) => false,
        _ => true,
    };
    let mut asked = form.fields.iter().filter(shown).peekable();
    while let Some(ask) = asked.next() {
        let Some(group) = ask.group else {
            drawn.push(match ask.input {
                Input::Points => points::draw(ask, fields, state)?,
                Input::Choice(options) => {
                    let first = ask.first.map(|first| first(state, fields)).unwrap_or_default();
                    choice(ask, fields, &in_order(options, &first), true)?
                }
                _ => one(ask, fields)?,
            });
            continue;
        };
        let mut inner = vec![one(ask, fields)?];
        while let Some(next) =
            asked.next_if(|next| next.group.is_some_and(|own| own.path == group.path))
        {
            inner.push(one(next, fields)?);
        }
        drawn.push(GroupPart { legend: group.legend, fields: inner }.render()?);
    }
    let when = Field::text(fields, "when", "When")
        .hint("on the clock of the site; left empty, it means now")
        .kind(clock(fields, "when"));
    drawn.push(when.render()?);
    if fields.why_wrong(DESPITE).is_some() || fields.filled(DESPITE).is_some() {
        let options = [("no", "no"), ("yes", "yes: I have read what stands below, and it is so")];
        let despite = Choice::of(fields, (DESPITE, "Record it all the same"), options);
        drawn.push(despite.render()?);
    }
    Ok(drawn)
}

/// A field for a time; where the offset tells which of two is meant, one into which it can be written.
fn clock(fields: &Fields, path: &str) -> &'static str {
    let asked = fields.why_wrong(path).is_some_and(|why| why.contains(SHOWN_TWICE));
    let with_offset = fields.get(path).parse::<Timestamp>().is_ok();
    if asked || with_offset { "text" } else { "datetime-local" }
}

/// The lists behind the fields of a form.
pub(crate) async fn lists(app: &AppState, form: &EntryForm) -> Result<Lists, ReadError> {
    let things = form.fields.iter().filter_map(|ask| match ask.input {
        Input::Known(thing) | Input::Several(thing) | Input::NewOrKnown(thing) => Some(thing),
        _ => None,
    });
    let things: Vec<Thing> = things.collect();
    let lists = Lists::of_things(app, things).await?;
    let substances = form.fields.iter().any(|ask| matches!(ask.input, Input::Substance));
    Ok(if substances { lists.and_substances() } else { lists })
}

/// Whether a thing of the form tells the site.
fn tells_site(form: &EntryForm) -> bool {
    form.fields.iter().any(|ask| match ask.input {
        Input::New(thing) => thing == Thing::Site,
        Input::Known(thing) => thing.has_site(),
        _ => false,
    })
}

fn one(ask: &Ask, fields: &Fields) -> Result<String, askama::Error> {
    match ask.input {
        Input::Choice(options) => choice(ask, fields, options, true),
        Input::YesNo if ask.needed => choice(ask, fields, &[("yes", "yes"), ("no", "no")], true),
        Input::YesNo => {
            let options = [("", "not known"), ("yes", "yes"), ("no", "no")];
            choice(ask, fields, &options, false)
        }
        Input::Flag => choice(ask, fields, &[("no", "no"), ("yes", "yes")], false),
        Input::Many(options) => {
            let options = options.iter().map(|(value, words)| {
                let name = box_name(ask, value);
                let ticked = fields.get(&name) == "yes";
                (name, (*words).to_owned(), ticked)
            });
            Boxes::of(fields, (ask.path, ask.label), options.collect()).hint(ask.hint).render()
        }
        _ => typed(ask, fields).render(),
    }
}

/// The options with the likely ones first, in the order that is given.
fn in_order(
    options: &[(&'static str, &'static str)],
    first: &[&str],
) -> Vec<(&'static str, &'static str)> {
    let mut sorted = options.to_vec();
    let place = |value: &str| first.iter().position(|one| *one == value);
    sorted.sort_by_key(|(value, _)| place(value).unwrap_or(first.len()));
    sorted
}

fn choice(
    ask: &Ask,
    fields: &Fields,
    options: &[(&'static str, &'static str)],
    open: bool,
) -> Result<String, askama::Error> {
    let first = open.then_some(("", if ask.needed { "choose" } else { "not stated" }));
    let options = first.into_iter().chain(options.iter().copied());
    Choice::of(fields, (ask.path, ask.label), options).hint(ask.hint).render()
}

fn typed(ask: &Ask, fields: &Fields) -> Field {
    let field = Field::text(fields, ask.path, ask.label).hint(ask.hint).such_as(ask.example);
    let field = match ask.input {
        Input::Day => field.kind("date").such_as(""),
        Input::Moment => field.kind(clock(fields, ask.path)).such_as(""),
        Input::Known(thing) | Input::NewOrKnown(thing) => field.list(thing.list()),
        Input::Lines(_) => field.kind("lines"),
        Input::Substance => field.list("substances"),
        _ => field,
    };
    if ask.needed { field.required() } else { field }
}
