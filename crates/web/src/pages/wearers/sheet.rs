//! The sheet that the health professional is given before a recommendation.

use std::collections::BTreeSet;

use askama::Template;
use axum::extract::{Path, State};
use program::state::State as Records;
use program::{Fact, ModelId, OPEN, PersonId, ProfessionalTold, Subject, TaskId};

use super::in_hand;
use crate::app::AppState;
use crate::component::{Boxes, Field};
use crate::due_view::encoded;
use crate::fields::Fields;
use crate::named::{self, Thing};
use crate::shell::{Page, Room, Shell, page};

/// The most models and the most tasks that are offered.
const OFFERED: usize = 60;

/// How many of the latest entries that name the wearer tell the tasks.
const LOOKED_THROUGH: usize = 200;

/// The texts of the sheet: the name of each in the entry, and its label.
const TEXTS: [(&str, &str); 5] = [
    ("told.respirators", "Respirator: type and weight"),
    ("told.wear", "How long and how often it is worn, rescue and escape included"),
    ("told.effort", "Physical effort"),
    ("told.worn_beside", "Other protective clothing and equipment"),
    ("told.climate", "Extremes of temperature and humidity"),
];

#[derive(Template)]
#[template(path = "pages/wearers/sheet.html")]
struct SheetPage {
    shell: Shell,
    name: String,
    address: String,
    open: bool,
    lines: Vec<(&'static str, String)>,
    /// Which written program, where one is on record.
    program: String,
    /// The form that records it, filled in.
    record: String,
    meant: Vec<String>,
    ticked: Vec<String>,
    typed: Vec<String>,
}

/// `GET /wearers/{id}/sheet?model~ID=yes&task~ID=yes`, and what was typed in place of what was prepared.
pub(crate) async fn show(
    State(app): State<AppState>,
    Path(asked): Path<String>,
    mut fields: Fields,
) -> Page {
    let id = PersonId::new(&asked);
    let thing = Subject::Wearer(id.clone());
    let wearers = std::slice::from_ref(&thing);
    let state = app.state_about(wearers, LOOKED_THROUGH).await?;
    let mut things = in_hand(&app, wearers).await?;
    let [models, tasks] = [Thing::Model, Thing::Task].map(|thing| app.list(thing, OFFERED));
    let (models, tasks) = (models.await?, tasks.await?);
    things.extend(models.iter().map(|of| Subject::Model(ModelId::new(&of.id))));
    things.extend(tasks.iter().map(|of| Subject::Task(TaskId::new(&of.id))));
    let state = app.ledger().state_with(state, things).await?;
    let Some(wearer) = state.wearer(&id) else {
        return Err(named::missing(&app, Thing::Wearer, asked).await);
    };
    // Who was told last is told again, unless another is named.
    if let Some(last) = wearer.professionals_told.last() {
        fields.or_set("professional", &last.professional);
    }
    let likely = Meant::likely(&state, &id);
    let meant = Meant::chosen(&fields).unwrap_or(likely);
    let told = meant.prepared(&state);
    let prepared = [told.respirators, told.wear, told.effort, told.worn_beside, told.climate];
    for ((name, _), words) in TEXTS.iter().zip(prepared) {
        fields.or_set(name, words);
        // The record holds one line of each.
        let line = fields.get(name).split_whitespace().collect::<Vec<_>>().join(" ");
        fields.set(name, line);
    }
    let box_of = |name: &str, ticked: &BTreeSet<String>, of: &ledger::ListedThing| {
        (format!("{name}~{}", of.id), of.name.clone(), ticked.contains(&of.id))
    };
    let of_models = models.iter().map(|of| box_of("model", &meant.models, of)).collect();
    let of_tasks = tasks.iter().map(|of| box_of("task", &meant.tasks, of)).collect();
    let site = state.site(&wearer.site);
    let written = site.and_then(|site| site.written.as_ref());
    let professional = Field::text(&fields, "professional", "Health professional");
    let texts = TEXTS.iter().map(|(name, label)| Field::text(&fields, name, label));
    let texts = texts.map(|field| field.kind("few-lines").render());
    let typed = std::iter::once(professional.render()).chain(texts).collect::<Result<_, _>>()?;
    page(&SheetPage {
        shell: Shell::new(&app, Room::Wearers, "Sheet for the health professional"),
        name: wearer.name.clone(),
        address: encoded(id.as_str()),
        open: TEXTS.iter().any(|(name, _)| fields.get(name).contains(OPEN)),
        lines: lines(&fields, &wearer.name),
        program: written.map(|w| format!(" ({})", w.version)).unwrap_or_default(),
        record: record(&fields, &id, &told.air_sources),
        meant: vec![
            Boxes::of(&fields, ("model", "Respirators"), of_models).render()?,
            Boxes::of(&fields, ("task", "Tasks"), of_tasks).render()?,
        ],
        ticked: meant.names(),
        typed,
    })
}

/// The sheet line by line.
fn lines(fields: &Fields, wearer: &str) -> Vec<(&'static str, String)> {
    let texts = TEXTS.iter().map(|(name, label)| (*label, fields.get(name).to_owned()));
    let to = ("Health professional", fields.get("professional").to_owned());
    [("Wearer", wearer.to_owned()), to].into_iter().chain(texts).collect()
}

/// The address of the form that records the sheet, filled in with it.
fn record(fields: &Fields, wearer: &PersonId, air_sources: &[rulebook::AirSource]) -> String {
    let mut pairs = vec![("wearer".to_owned(), wearer.to_string())];
    pairs.push(("professional".to_owned(), fields.get("professional").to_owned()));
    pairs.extend(TEXTS.iter().map(|(name, _)| ((*name).to_owned(), fields.get(name).to_owned())));
    let kept = air_sources.iter().filter_map(|source| serde_json::to_value(source).ok());
    let kept = kept.filter_map(|kept| kept.as_str().map(str::to_owned));
    pairs.extend(kept.map(|kept| (format!("told.air_sources~{kept}"), "yes".to_owned())));
    let pairs = pairs.iter().map(|(name, value)| format!("{}={}", encoded(name), encoded(value)));
    format!("/record/medical-information-given?{}", pairs.collect::<Vec<_>>().join("&"))
}

/// The respirators and the tasks that are meant.
struct Meant {
    models: BTreeSet<String>,
    tasks: BTreeSet<String>,
}

impl Meant {
    /// Those that the wearer has in hand, was fit tested with and wore for.
    fn likely(state: &Records, id: &PersonId) -> Self {
        let held = state.units().filter(|(_, unit)| unit.holders.contains_key(id));
        let held = held.map(|(_, unit)| unit.model.to_string());
        let tested = state.wearer(id).into_iter().flat_map(|wearer| wearer.fit_tests.keys());
        let tested = tested.map(|(model, _)| model.to_string());
        let worn = state.history_of_wearer(id).filter(|entry| state.counts(&entry.id));
        let worn = worn.filter_map(|entry| match &entry.fact {
            Fact::Worn { task, .. } => Some(task.to_string()),
            _ => None,
        });
        Self { models: held.chain(tested).collect(), tasks: worn.collect() }
    }

    /// Those that were ticked, if any were.
    fn chosen(fields: &Fields) -> Option<Self> {
        let ticked = |start: &str| -> BTreeSet<String> {
            let all = fields.starting_with(start).filter(|(_, value)| *value == "yes");
            all.filter_map(|(name, _)| name.strip_prefix(start).map(str::to_owned)).collect()
        };
        let chosen = Self { models: ticked("model~"), tasks: ticked("task~") };
        (!chosen.models.is_empty() || !chosen.tasks.is_empty()).then_some(chosen)
    }

    /// The names of their boxes.
    fn names(&self) -> Vec<String> {
        let models = self.models.iter().map(|id| format!("model~{id}"));
        models.chain(self.tasks.iter().map(|id| format!("task~{id}"))).collect()
    }

    fn prepared(&self, state: &Records) -> ProfessionalTold {
        let models = self.models.iter().filter_map(|id| state.model(&ModelId::new(id)));
        let tasks = self.tasks.iter().filter_map(|id| state.task(&TaskId::new(id)));
        ProfessionalTold::prepared(&models.collect::<Vec<_>>(), &tasks.collect::<Vec<_>>())
    }
}
