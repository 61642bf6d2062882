use std::collections::BTreeMap;

use askama::Template;
use axum::extract::State;
use program::SiteId;
use program::forecast::{Ask, Basis, Forecast, ForecastError, Need, forecast};
use program::state::State as Records;

use crate::app::AppState;
use crate::component::Field;
use crate::fields::Fields;
use crate::shell::{Page, Room, Shell, page};
use crate::site_choice::SiteChoice;
use crate::telling;

/// A season: long enough for an order to arrive.
const USUAL_WEEKS: u32 = 13;

#[derive(Template)]
#[template(path = "pages/forecast.html")]
struct ForecastPage {
    shell: Shell,
    sites: SiteChoice,
    /// The site asked for, kept with the form.
    site: String,
    weeks: String,
    tables: Vec<Table>,
}

/// The forecast of one site.
struct Table {
    name: String,
    lead: String,
    rows: Vec<Row>,
    method: &'static str,
}

struct Row {
    name: String,
    needed: String,
    range: String,
    stock: String,
    buy: String,
    short: bool,
    basis: String,
    notes: Vec<String>,
}

/// `GET /forecast?site=&weeks=`: of one site, for it looks at every entry of the site: what was used
/// in past weeks is nowhere added up.
pub(crate) async fn show(State(app): State<AppState>, mut fields: Fields) -> Page {
    fields.or_set("weeks", USUAL_WEEKS.to_string());
    let weeks = fields.read::<u32>("weeks").unwrap_or(USUAL_WEEKS);
    let sites = SiteChoice::one(&app, "/forecast", fields.get("site")).await?;
    let mut tables = Vec::new();
    if let Some(site) = &sites.chosen {
        let state = app.ledger().state_of_site(site).await?;
        match ahead(&app, &state, site, weeks) {
            Ok(forecast) => tables.push(Table::of(&state, &forecast)),
            Err(error) => fields.refuse("weeks", error.to_string()),
        }
    }
    page(&ForecastPage {
        shell: Shell::new(&app, Room::Elsewhere, "Forecast"),
        sites,
        site: fields.get("site").to_owned(),
        weeks: Field::text(&fields, "weeks", "Weeks ahead").render()?,
        tables,
    })
}

fn ahead(
    app: &AppState,
    state: &Records,
    site: &SiteId,
    weeks: u32,
) -> Result<Forecast, ForecastError> {
    forecast(state, &Ask { site, weeks, plan: &BTreeMap::new(), now: app.now() })
}

impl Table {
    fn of(state: &Records, forecast: &Forecast) -> Self {
        let (weeks, past) = (forecast.weeks, forecast.history_weeks);
        // What nobody uses stands below what is needed.
        let (needed, idle): (Vec<&Need>, Vec<&Need>) =
            forecast.needs.iter().partition(|need| need.high > 0.0);
        Self {
            name: telling::site(state, &forecast.site),
            lead: format!("{weeks} weeks from {}, on what {past} past weeks tell", forecast.from),
            rows: needed.iter().chain(&idle).map(|need| Row::of(need)).collect(),
            method: forecast.method,
        }
    }
}

impl Row {
    fn of(need: &Need) -> Self {
        let whole = |number: f64| format!("{number:.0}");
        let told = |what: &str, figure: Option<f64>| {
            figure.map(|figure| format!("{what}: {figure:.1} a week"))
        };
        let past = told("past weeks", need.history_per_week);
        let plan = told("schedules", need.schedule_per_week);
        let told = match need.basis {
            Basis::History => [past, plan],
            Basis::Schedule => [plan, past],
        };
        let told: Vec<String> = told.into_iter().flatten().collect();
        let basis = if told.is_empty() {
            "nothing was used and no schedule".to_owned()
        } else {
            told.join("; ")
        };
        let buy = match (need.buy, need.buy_by) {
            (Some(buy), Some(day)) => format!("{} by {day}", whole(buy)),
            (Some(_), None) => "nothing".to_owned(),
            (None, _) if need.in_stock.is_some() => "not known".to_owned(),
            (None, _) => "no stock is kept".to_owned(),
        };
        let (needed, range) = if need.known {
            (whole(need.expected), format!("{} to {}", whole(need.low), whole(need.high)))
        } else {
            ("not known".to_owned(), "no use on record".to_owned())
        };
        Self {
            name: need.name.clone(),
            needed,
            range,
            stock: need.in_stock.map(whole).unwrap_or_default(),
            buy,
            short: need.buy_by.is_some(),
            basis,
            notes: need.notes.clone(),
        }
    }
}
