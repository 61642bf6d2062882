use askama::Template;
use axum::extract::State;
use paper::LABELS_PER_SHEET;
use program::UnitId;
use program::state::{State as Records, Unit};

use crate::app::AppState;
use crate::component::Field;
use crate::fields::Fields;
use crate::shell::{Page, Room, Shell, page};
use crate::site_choice::SiteChoice;
use crate::telling;

#[derive(Template)]
#[template(path = "pages/respirators/list.html")]
struct ListPage {
    shell: Shell,
    sites: SiteChoice,
    field: Field,
    rows: Vec<Row>,
    sheets: Vec<usize>,
}

struct Row {
    tag: String,
    model: String,
    holder: String,
    class: &'static str,
    state: String,
    elements: String,
}

/// `GET /respirators?q=&site=`: every respirator; those in service first.
pub(crate) async fn show(State(app): State<AppState>, fields: Fields) -> Page {
    let state = app.state().await?;
    let sites = SiteChoice::of(&state, "/respirators", fields.get("site"));
    let wanted = fields.get("q").to_lowercase();
    let mut units: Vec<(&UnitId, &Unit)> = state
        .units()
        .filter(|(_, unit)| sites.shows(&unit.site))
        .filter(|(id, _)| {
            let words = format!("{id} {}", telling::unit(&state, id)).to_lowercase();
            wanted.split_whitespace().all(|word| words.contains(word))
        })
        .collect();
    units.sort_by_key(|(id, unit)| (unit.retired.is_some(), *id));
    let in_service = state.units().filter(|(_, unit)| unit.retired.is_none()).count();
    page(&ListPage {
        shell: Shell::new(&app, Room::Respirators, "Respirators"),
        sites,
        field: Field::text(&fields, "q", "Tag, model or size").kind("search"),
        rows: units.into_iter().map(|(id, unit)| Row::of(&state, id, unit)).collect(),
        sheets: (1..=in_service.div_ceil(LABELS_PER_SHEET)).collect(),
    })
}

impl Row {
    fn of(state: &Records, id: &UnitId, unit: &Unit) -> Self {
        let (class, words) = condition(unit);
        let holders = unit.holders.keys().map(|person| telling::person(state, person));
        let elements = unit.elements.as_ref().map(|on| {
            let kind = state.element_type(&on.element_type);
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

/// What stands in the way of its use whoever wears it, in a few words. Whether one wearer may use
/// it for one task is asked at the wear check, never here.
pub(super) fn condition(unit: &Unit) -> (&'static str, String) {
    let failed = unit.inspected.as_ref().filter(|inspection| !inspection.passed);
    if unit.retired.is_some() {
        ("note", "retired".to_owned())
    } else if let Some(held) = &unit.held {
        ("stop", format!("held: {}", held.why))
    } else if let Some(failed) = failed {
        ("stop", format!("inspection failed: {}", failed.found))
    } else if unit.inspected.is_none() {
        ("caution", "not yet inspected".to_owned())
    } else {
        ("allowed", "in service".to_owned())
    }
}
