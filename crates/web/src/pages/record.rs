//! Forms that make entries. Each is shown with an id of its own, which goes with the form: sent
//! twice, it is one entry.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use program::{Entry, EntryId, Fact, Subject};

use crate::app::{AppState, Recorded};
use crate::due_view::encoded;
use crate::fields::Fields;
use crate::named::{ListsPart, Thing};
use crate::photos::Filled;
use crate::record::{self, EntryForm, SITE, Told, forms};
use crate::shell::{Page, PageError, Room, Shell, page, problem};
use crate::{telling, wording};

#[derive(Template)]
#[template(path = "pages/record/form.html")]
struct FormPage {
    shell: Shell,
    lead: &'static str,
    /// What is to be known of the thing that was named.
    notes: Vec<String>,
    /// What is put right, and when it was said to have happened.
    corrects: Option<(String, String, String)>,
    action: String,
    /// Photos go with the form.
    with_photos: bool,
    fields: Vec<String>,
    entry: String,
    button: &'static str,
    wrong: usize,
    lists: ListsPart,
}

#[derive(Template)]
#[template(path = "pages/record/list.html")]
struct ListPage {
    shell: Shell,
    listed: Vec<(&'static str, &'static str)>,
    groups: Vec<(&'static str, Vec<(&'static str, &'static str)>)>,
}

/// `GET /record`: every form.
pub(crate) async fn list(State(app): State<AppState>) -> Page {
    let group = |(heading, things): (&'static str, &[Option<Thing>])| {
        let own = forms::all().filter(|form| things.contains(&place(form)));
        (heading, own.map(|form| (form.path(), form.link)).collect())
    };
    let groups: [(&str, &[Option<Thing>]); 6] = [
        ("Of a respirator", &[Some(Thing::Unit)]),
        ("Of a wearer or another person", &[Some(Thing::Wearer), Some(Thing::Person)]),
        ("Of a task or an exposure group", &[Some(Thing::Task), Some(Thing::Group)]),
        (
            "Of cylinders, air, boxes and instruments",
            &[
                Some(Thing::Cylinder),
                Some(Thing::Supply),
                Some(Thing::Stock),
                Some(Thing::Instrument),
            ],
        ),
        ("Of the program", &[Some(Thing::Site), Some(Thing::Action), Some(Thing::Model)]),
        ("New in the program", &[None]),
    ];
    page(&ListPage {
        shell: Shell::new(&app, Room::Record, "Record"),
        listed: Thing::LISTED.map(|thing| (thing.list(), thing.heading())).to_vec(),
        groups: groups.into_iter().map(group).collect(),
    })
}

/// The thing beside which a form stands in the list of all; none where it makes a new one.
fn place(form: &EntryForm) -> Option<Thing> {
    match form.offer {
        record::Offer::Program => None,
        _ => form.about().map(|(thing, _)| thing),
    }
}

/// `GET /record/{kind}`, filled with what the address says.
pub(crate) async fn form(
    State(app): State<AppState>,
    Path(kind): Path<String>,
    fields: Fields,
) -> Page {
    draw(&app, asked(kind)?, &fields, None).await
}

/// `POST /record/{kind}`.
pub(crate) async fn keep(
    State(app): State<AppState>,
    Path(kind): Path<String>,
    Filled(fields): Filled,
) -> Page {
    keep_form(&app, asked(kind)?, fields, None).await
}

/// `GET /entries/{id}/correct`: the form as it was filled in for the entry.
pub(crate) async fn correct(State(app): State<AppState>, Path(id): Path<String>) -> Page {
    let (form, entry) = correctable(&app, id).await?;
    let latest = in_place_of(&app, &entry).await?;
    if latest.id != entry.id {
        return Ok(Redirect::to(&correction_of(&latest.id)).into_response());
    }
    let state = record::state_for(&app, form, &Fields::default(), Some(&entry)).await?;
    let fields = record::filled(form, &entry, &state);
    draw(&app, form, &fields, Some(&entry)).await
}

/// `POST /entries/{id}/correct`: a new entry that names the one it puts right. Where that was put right
/// meanwhile, what was typed comes back as a correction of the latest, so that no two stand beside each
/// other.
pub(crate) async fn keep_correction(
    State(app): State<AppState>,
    Path(id): Path<String>,
    Filled(mut fields): Filled,
) -> Page {
    let (form, entry) = correctable(&app, id).await?;
    let latest = in_place_of(&app, &entry).await?;
    let sent_before = app.kept(&entry_id(&fields)?).await?.is_some();
    if latest.id != entry.id && !sent_before {
        if kind(&latest.fact) != kind(&entry.fact) {
            return Ok(Redirect::to(&correction_of(&latest.id)).into_response());
        }
        let why = "meanwhile this was put right as it stands above\ncompare the two, and send the form again where it must be put right once more";
        fields.refuse("when", why);
        return draw(&app, form, &fields, Some(&latest)).await;
    }
    keep_form(&app, form, fields, Some(&entry)).await
}

fn correction_of(id: &EntryId) -> String {
    format!("/entries/{}/correct", encoded(id.as_str()))
}

/// The entry that counts in the place of `entry`.
async fn in_place_of(app: &AppState, entry: &Entry) -> Result<Entry, PageError> {
    let tree = [Subject::Correction(entry.id.clone())];
    let state = app.ledger().state_about(&tree, 0).await?;
    Ok(state.in_place_of(&entry.id).unwrap_or(entry).clone())
}

fn asked(kind: String) -> Result<&'static EntryForm, PageError> {
    forms::at(&kind).ok_or_else(|| PageError::NotFound {
        what: "form for",
        asked: kind,
        near: vec![("/record".to_owned(), "every form".to_owned())],
    })
}

/// The entry of this id and the form of its kind.
async fn correctable(
    app: &AppState,
    asked: String,
) -> Result<(&'static EntryForm, Entry), PageError> {
    let Some(stored) = app.kept(&EntryId::new(&asked)).await? else {
        return Err(PageError::NotFound { what: "entry", asked, near: Vec::new() });
    };
    forms::of_kind(&kind(&stored.entry.fact)).map(|form| (form, stored.entry)).ok_or_else(|| {
        PageError::NotUnderstood(format!("There is no form for what entry {asked} says."))
    })
}

/// The kind of a fact with its version, as it is kept.
pub(crate) fn kind(fact: &Fact) -> String {
    let kept = serde_json::to_value(fact).unwrap_or_default();
    kept.get("kind").and_then(serde_json::Value::as_str).unwrap_or_default().to_owned()
}

async fn keep_form(
    app: &AppState,
    form: &'static EntryForm,
    mut fields: Fields,
    corrects: Option<&Entry>,
) -> Page {
    let id = entry_id(&fields)?;
    let sent_before = app.kept(&id).await?.map(|stored| stored.entry);
    let before = sent_before.as_ref().or(corrects);
    let state = record::state_for(app, form, &fields, before).await?;
    let told = record::told(form, &mut fields, (&state, app.now()), before);
    let Some(Told { site, happened, fact }) = told else {
        return draw(app, form, &fields, corrects).await;
    };
    let address = address(form, &fact, (&state, site.as_str()));
    let follows = form.follows.filter(|_| corrects.is_none()).and_then(|follows| follows(&fact));
    let follows = follows.map(|fact| {
        let id = EntryId::new(format!("{id}-follows"));
        app.entry(id, site.clone(), happened, fact)
    });
    let corrects = corrects.map(|entry| entry.id.clone());
    let first = Entry { corrects, ..app.entry(id, site, happened, fact) };
    let entries: Vec<Entry> = std::iter::once(first).chain(follows).collect();
    let Some(first) = entries.first() else { return Ok(clash()) };
    match app.record(&entries).await? {
        Recorded::Kept => {
            let id = encoded(first.id.as_str());
            Ok(Redirect::to(&format!("{address}?recorded={id}")).into_response())
        }
        Recorded::Clash => Ok(clash()),
    }
}

/// The page of the thing that an entry is shown with.
fn address(form: &EntryForm, fact: &Fact, (state, site): (&program::State, &str)) -> String {
    let kept = serde_json::to_value(fact).unwrap_or_default();
    let id = |ask: &record::Ask| match ask.path {
        SITE => Some(site.to_owned()),
        path => kept.get(path).and_then(serde_json::Value::as_str).map(str::to_owned),
    };
    let page = form.about().and_then(|(thing, ask)| {
        let id = id(ask)?;
        match thing {
            Thing::Action => None,
            Thing::Person if Thing::Wearer.knows(state, &id) => Some(Thing::Wearer.page(&id)),
            thing => Some(thing.page(&id)),
        }
    });
    page.unwrap_or_else(|| Thing::Site.page(site))
}

/// The drawn form; one with mistakes comes back as it was typed.
async fn draw(app: &AppState, form: &EntryForm, fields: &Fields, corrects: Option<&Entry>) -> Page {
    let state = record::state_for(app, form, fields, corrects).await?;
    let lists = record::lists(app, form).await?;
    let drawn = record::draw(form, fields, &state, corrects.is_none())?;
    let wrong = fields.errors();
    let corrected = corrects.map(|entry| {
        let zone = telling::zone(&state, &entry.site);
        let when = wording::moment(entry.happened, &zone);
        (entry.id.to_string(), telling::told(&state, entry), when)
    });
    let (title, action, button) = match corrects {
        None => (form.title.to_owned(), format!("/record/{}", form.path()), form.button),
        Some(entry) => {
            let action = correction_of(&entry.id);
            (format!("Correct: {}", form.link.to_lowercase()), action, "Record the correction")
        }
    };
    let html = FormPage {
        shell: Shell::new(app, Room::Record, title),
        lead: form.lead,
        notes: form.notes.map(|notes| notes(&state, fields)).unwrap_or_default(),
        corrects: corrected,
        action,
        with_photos: form.fields.iter().any(|ask| matches!(ask.input, record::Input::Points)),
        fields: drawn,
        entry: fields.filled("entry").map_or_else(|| app.new_id(), str::to_owned),
        button,
        wrong,
        lists: ListsPart { lists },
    };
    let status = if wrong == 0 { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    Ok((status, Html(html.render()?)).into_response())
}

/// The id that came with the form.
fn entry_id(fields: &Fields) -> Result<EntryId, PageError> {
    let id = fields.filled("entry").filter(|id| {
        id.len() <= 64 && id.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'-')
    });
    id.map(EntryId::new).ok_or_else(|| {
        PageError::NotUnderstood(
            "The form came without its id. Open it again and send it once more.".to_owned(),
        )
    })
}

fn clash() -> Response {
    let said = "This form was sent before with other content, and that stands. Open the form again \
                to record something new.";
    problem(StatusCode::CONFLICT, said, Vec::new())
}
