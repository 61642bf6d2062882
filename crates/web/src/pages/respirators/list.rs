use askama::Template;
use axum::extract::State;
use paper::LABELS_PER_SHEET;
use program::UnitId;
use program::due::{About, Due, Urgency, due};
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
    let all = due(&state, app.now());
    let row = |(id, unit): (&UnitId, &Unit)| {
        let about = About::Unit(id.clone());
        Row::of(&state, (id, unit), all.iter().filter(|due| due.about == about))
    };
    page(&ListPage {
        shell: Shell::new(&app, Room::Respirators, "Respirators"),
        sites,
        field: Field::text(&fields, "q", "Tag, model or size").kind("search"),
        rows: units.into_iter().map(row).collect(),
        sheets: (1..=in_service.div_ceil(LABELS_PER_SHEET)).collect(),
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
