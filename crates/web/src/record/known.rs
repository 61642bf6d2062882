//! The part of the ledger that a form looks at.

use program::{Entry, State, Subject};

use super::facts::slug;
use super::{EntryForm, Input};
use crate::app::AppState;
use crate::fields::Fields;
use crate::named::{self, Thing};
use crate::telling;
use ledger::ReadError;

/// The state of every site, of the things that a form names, as far as they are found, and of what
/// the entry that it puts right is about.
pub(crate) async fn state_for(
    app: &AppState,
    form: &EntryForm,
    fields: &Fields,
    before: Option<&Entry>,
) -> Result<State, ReadError> {
    let sites = app.sites().await?;
    let mut things: Vec<Subject> =
        Thing::Site.subjects_of(sites.iter().map(|site| site.id.as_str()));
    for ask in form.fields {
        let typed = fields.get(ask.path);
        let (thing, texts) = match ask.input {
            Input::Known(thing) => (thing, vec![typed.to_owned()]),
            Input::Several(thing) => {
                (thing, typed.split(',').map(|one| one.trim().to_owned()).collect())
            }
            Input::New(thing) | Input::NewOrKnown(thing) => (thing, new_ids(typed, fields)),
            _ => continue,
        };
        if matches!(thing, Thing::Action | Thing::Site) {
            continue;
        }
        for text in texts.iter().filter(|text| !text.is_empty()) {
            things.extend(named::meant(app, thing, text).await?);
        }
    }
    things.extend(before.into_iter().flat_map(telling::about_and_names));
    things.sort();
    things.dedup();
    app.ledger().state_about(&things, 0).await
}

/// The id that was typed for a new thing, or those that may be made of its name.
fn new_ids(typed: &str, fields: &Fields) -> Vec<String> {
    if !typed.is_empty() {
        return vec![typed.to_owned()];
    }
    let names = ["name", "spec.name"].into_iter().filter_map(|path| fields.filled(path));
    let ids = names.filter_map(|name| Some((name, slug(name, |_| false)?)));
    ids.flat_map(|(name, id)| [name.to_owned(), id.clone(), format!("{id}-")]).collect()
}
