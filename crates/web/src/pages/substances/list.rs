use askama::Template;
use axum::extract::State;
use substance::{Catalogue, LimitKind, Substance};

use super::figure;
use crate::app::AppState;
use crate::component::Field;
use crate::fields::Fields;
use crate::shell::{Page, Room, Shell, page};

/// How many hits are shown.
const SHOWN: usize = 40;

#[derive(Template)]
#[template(path = "pages/substances/list.html")]
struct ListPage {
    shell: Shell,
    field: Field,
    asked: String,
    exact: bool,
    hits: Vec<Hit>,
    known: usize,
}

struct Hit {
    cas: String,
    name: String,
    others: String,
    class: String,
    legal: String,
    dangerous: String,
}

impl Hit {
    fn of(substance: &Substance) -> Self {
        let lowest = |kind| substance.lowest_limit(kind).map_or_else(|| "—".to_owned(), figure);
        Self {
            cas: substance.cas().to_string(),
            name: substance.name().to_owned(),
            others: substance.synonyms().iter().take(3).cloned().collect::<Vec<_>>().join(", "),
            class: substance.class().to_string(),
            legal: lowest(LimitKind::LegalTwa),
            dangerous: lowest(LimitKind::ImmediatelyDangerous),
        }
    }
}

/// `GET /substances?q=`: names that hold what was typed, or names spelled nearly so.
pub(crate) async fn show(State(app): State<AppState>, fields: Fields) -> Page {
    let catalogue = Catalogue::builtin();
    let asked = fields.get("q").to_owned();
    let hits = catalogue.search(&asked, SHOWN);
    let plain = |text: &str| {
        let letters = text.chars().filter(|c| c.is_alphanumeric());
        letters.flat_map(char::to_lowercase).collect::<String>()
    };
    let holds = |name: &str| plain(name).contains(&plain(&asked));
    let exact = hits.iter().any(|hit| {
        holds(hit.name())
            || hit.synonyms().iter().any(|name| holds(name))
            || holds(&hit.cas().to_string())
    });
    page(&ListPage {
        shell: Shell::new(&app, Room::Substances, "Substances"),
        field: Field::text(&fields, "q", "Name or registry number").kind("search"),
        exact,
        hits: hits.into_iter().map(Hit::of).collect(),
        asked,
        known: catalogue.iter().count(),
    })
}
