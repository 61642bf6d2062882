//! The part of the ledger that a form looks at.

use std::collections::BTreeSet;

use program::{Entry, State, Subject};

use super::facts::slug;
use super::{EntryForm, Input};
use crate::app::AppState;
use crate::fields::Fields;
use crate::named::{self, Thing};
use crate::telling;
use ledger::{ListQuestion, ReadError};

/// How many things with such a serial number are looked at.
const LIKE_IT: usize = 50;

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
        if let Input::New(thing) | Input::NewOrKnown(thing) = ask.input
            && typed.is_empty()
            && !matches!(thing, Thing::Action | Thing::Site)
        {
            for name in new_names(typed, fields).iter().filter(|name| !name.is_empty()) {
                things.extend(before_a_free_id(app, thing, name).await?);
            }
        }
        let (thing, texts) = match ask.input {
            Input::Known(thing) => (thing, vec![typed.to_owned()]),
            Input::Several(thing) => {
                (thing, typed.split(',').map(|one| one.trim().to_owned()).collect())
            }
            Input::New(thing) | Input::NewOrKnown(thing) => (thing, new_names(typed, fields)),
            _ => continue,
        };
        if matches!(thing, Thing::Action | Thing::Site) {
            continue;
        }
        for text in texts.iter().filter(|text| !text.is_empty()) {
            things.extend(named::meant(app, thing, text).await?);
            // A new id is held against those of everybody, whatever they do here.
            if let (Input::New(_) | Input::NewOrKnown(_), Some(other)) =
                (ask.input, thing.elsewhere())
            {
                things.extend(named::meant(app, other, text).await?);
            }
        }
    }
    things.extend(of_same_serial(app, form, fields).await?);
    things.extend(before.into_iter().flat_map(telling::about_and_names));
    things.sort();
    things.dedup();
    app.ledger().state_about(&things, 0).await
}

/// What was typed for a new thing and what it is called.
fn new_names(typed: &str, fields: &Fields) -> Vec<String> {
    let names = ["name", "spec.name"].into_iter().filter_map(|path| fields.filled(path));
    [typed].into_iter().chain(names).map(str::to_owned).collect()
}

/// The respirators or cylinders that may carry the serial number of a new one.
async fn of_same_serial(
    app: &AppState,
    form: &EntryForm,
    fields: &Fields,
) -> Result<Vec<Subject>, ReadError> {
    let thing = form.fields.iter().find_map(|ask| match ask.input {
        Input::New(thing @ (Thing::Unit | Thing::Cylinder)) => Some(thing),
        _ => None,
    });
    let (Some(thing), Some(serial)) = (thing, fields.filled("serial")) else {
        return Ok(Vec::new());
    };
    let mut things = Vec::new();
    for kind in thing.kinds() {
        let question =
            ListQuestion { kind: *kind, site: None, words: serial, after: "", limit: LIKE_IT };
        let found = app.ledger().list(&question).await?;
        things.extend(found.iter().filter_map(|of| Subject::of(*kind, &of.id)));
    }
    Ok(things)
}

/// The things whose ids stand before the first free one that may be made of a name.
async fn before_a_free_id(
    app: &AppState,
    thing: Thing,
    name: &str,
) -> Result<Vec<Subject>, ReadError> {
    let mut taken: BTreeSet<String> = BTreeSet::new();
    let mut things = Vec::new();
    while let Some(id) = slug(name, |id| taken.contains(id)) {
        let mut of_id = Vec::new();
        for kind in thing.kinds() {
            let called = app.ledger().called(*kind, &id).await?;
            let same = called.iter().filter(|of| of.id == id);
            of_id.extend(same.filter_map(|of| Subject::of(*kind, &of.id)));
        }
        if of_id.is_empty() {
            break;
        }
        things.append(&mut of_id);
        taken.insert(id);
    }
    Ok(things)
}
