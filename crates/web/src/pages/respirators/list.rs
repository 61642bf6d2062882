use std::collections::BTreeSet;

use askama::Template;
use axum::extract::State;
use paper::LABELS_PER_SHEET;
use program::due::{About, DAYS_AHEAD, Due, Urgency, due_of};
use program::state::{State as Records, Unit};
use program::{Subject, UnitId};

use crate::app::AppState;
use crate::fields::Fields;
use crate::named::Thing;
use crate::paging::{Paging, SearchPart};
use crate::shell::{Page, Room, Shell, page};
use crate::site_choice::SiteChoice;
use crate::telling;

#[derive(Template)]
#[template(path = "pages/respirators/list.html")]
struct ListPage {
    shell: Shell,
    sites: SiteChoice,
    search: SearchPart,
    shown: String,
    rows: Vec<Row>,
    pages: String,
    /// The sheets of labels of those in service on this page: number and address.
    sheets: Vec<(usize, String)>,
}

struct Row {
    tag: String,
    model: String,
    holder: String,
    class: &'static str,
    state: String,
    elements: String,
}

/// `GET /respirators?q=&site=&after=`: a page of the respirators; those in service first.
pub(crate) async fn show(State(app): State<AppState>, fields: Fields) -> Page {
    let sites = SiteChoice::of(&app, "/respirators", fields.get("site")).await?;
    let list = Paging::of(&app, (Thing::Unit, "/respirators"), Some(&sites), &fields).await?;
    let ids: Vec<UnitId> = list.things.iter().map(|one| UnitId::new(&one.id)).collect();
    let things: Vec<Subject> = ids.iter().cloned().map(Subject::Unit).collect();
    let state = app.ledger().state_about(&things, 0).await?;
    let holders = ids.iter().filter_map(|id| state.unit(id)).flat_map(|unit| unit.holders.keys());
    let holders: BTreeSet<Subject> = holders.cloned().map(Subject::Wearer).collect();
    let state = app.ledger().state_with(state, holders).await?;
    let all = due_of(&state, things, (app.now(), DAYS_AHEAD));
    let row = |id: &UnitId| {
        let about = About::Unit(id.clone());
        let unit = state.unit(id)?;
        Some(Row::of(&state, (id, unit), all.iter().filter(|due| due.about == about)))
    };
    let in_service = list.things.iter().filter(|one| !one.gone).count();
    let sheet =
        |sheet: usize| (sheet, format!("/respirators/labels.svg?{}&sheet={sheet}", list.query));
    page(&ListPage {
        shell: Shell::new(&app, Room::Respirators, "Respirators"),
        search: SearchPart::of(
            &fields,
            ("/respirators", "Tag, model, size or serial number"),
            Some(&sites),
        ),
        sites,
        shown: list.told("respirator", "respirators"),
        rows: ids.iter().filter_map(row).collect(),
        pages: list.links()?,
        sheets: (1..=in_service.div_ceil(LABELS_PER_SHEET)).map(sheet).collect(),
    })
}

impl Row {
    fn of<'d>(
        state: &Records,
        (id, unit): (&UnitId, &Unit),
        due: impl Iterator<Item = &'d Due>,
    ) -> Self {
        let (class, words) = condition(unit, due);
        let holders = unit.holders.keys().map(|person| telling::person(state, person));
        let elements = state.carried(unit).map(|on| {
            let kind = state.element_type(on.element_type);
            kind.map_or_else(|| on.element_type.to_string(), |kind| kind.name.clone())
        });
        Self {
            tag: id.to_string(),
            model: telling::unit(state, id),
            holder: holders.collect::<Vec<_>>().join(", "),
            class,
            state: words,
            elements: elements.unwrap_or_default(),
        }
    }
}

/// What stands in the way of its use whoever wears it, in a few words: the first of what is due on
/// it now. Whether one wearer may use it for one task is asked at the wear check, never here.
pub(super) fn condition<'d>(
    unit: &Unit,
    due: impl IntoIterator<Item = &'d Due>,
) -> (&'static str, String) {
    let now = due.into_iter().find(|due| due.urgency == Urgency::Now);
    match now {
        _ if unit.retired.is_some() => ("note", "retired".to_owned()),
        Some(due) => ("stop", due.finding.text()),
        None if unit.inspected.is_none() => ("caution", "not yet inspected".to_owned()),
        None => ("allowed", "nothing is due on it".to_owned()),
    }
}
