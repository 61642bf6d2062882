//! The bath of a cleaning, and until when the parts stay in it.

use askama::Template;
use axum::extract::State;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};
use program::{Subject, UnitId};
use quantity::{Celsius, GramsPerCm3, Litres, MgPerLitre, Minutes, Percent};
use rulebook::bath::{Agent, Bath, BathError, ChlorineBasis, Request, Strength, make};
use rulebook::{Decision, decide};

use super::{Answer, Part, SheetPage};
use crate::app::AppState;
use crate::component::{Choice, Field, Findings, Verdict};
use crate::due_view::encoded;
use crate::fields::Fields;
use crate::shell::Page;
use crate::site_choice::SiteChoice;
use crate::telling;

const AGENTS: [(&str, &str, Agent); 3] = [
    ("hypochlorite", "hypochlorite: household bleach and its like", Agent::Hypochlorite),
    ("iodine", "iodine: tincture and its like", Agent::Iodine),
    ("approved-cleaner", "another cleaner that the maker approves", Agent::ApprovedCleaner),
];

/// `GET /bath`.
pub(crate) async fn show(State(app): State<AppState>, mut fields: Fields) -> Page {
    let mut sheet = SheetPage::new(
        &app,
        "Bath of a cleaning",
        "/bath",
        "How much product for a bath, how warm at most, and until when the parts stay in it.",
    );
    let asked = ["bath", "product", "agent"].iter().any(|name| fields.filled(name).is_some());
    if asked && let Some(request) = request(&mut fields) {
        match make(&request) {
            Ok(bath) => {
                let unit = UnitId::new(fields.get("unit"));
                let state = app.ledger().state_about(&[Subject::Unit(unit.clone())], 0).await?;
                let zone = match state.unit(&unit) {
                    Some(unit) => telling::zone(&state, &unit.site),
                    None => SiteChoice::of(&app, "/bath", "").await?.zone(&app).await?,
                };
                sheet.answers.push(answer(&bath, &fields, (app.now(), &zone)));
            }
            Err(error) => fields.refuse(field_of(&error), error.to_string()),
        }
    }
    sheet.hidden = fields
        .filled("unit")
        .map(|unit| ("unit".to_owned(), unit.to_owned()))
        .into_iter()
        .collect();
    sheet.parts = parts(&fields)?;
    sheet.drawn(&fields)
}

fn parts(fields: &Fields) -> Result<Vec<Part>, askama::Error> {
    let text = |name, label, hint| Field::text(fields, name, label).hint(hint).render();
    let agents = AGENTS.iter().map(|(value, words, _)| (*value, *words));
    let bases = [("", "sodium hypochlorite, the usual label"), ("chlorine", "available chlorine")];
    let made = [("", "no, or not known"), ("yes", "yes")];
    Ok(vec![
        Part {
            legend: "Product",
            hint: "",
            fields: vec![
                Choice::of(fields, ("agent", "What disinfects"), agents).render()?,
                text("product", "Strength on the label", "such as 5.25 %")?,
                text(
                    "density",
                    "Density",
                    "only where the label gives per cent by mass, such as 1.08 g/mL",
                )?,
                Choice::of(fields, ("basis", "Per cent of"), bases)
                    .hint("of a hypochlorite")
                    .render()?,
                Choice::of(
                    fields,
                    ("approved", "The maker of the respirator recommends or approves it"),
                    made,
                )
                .render()?,
            ],
        },
        Part {
            legend: "Bath",
            hint: "",
            fields: vec![
                text("bath", "The whole bath", "such as 10 L")?,
                text(
                    "target",
                    "Strength of the bath",
                    "such as 50 ppm; left empty: as the rule prints it",
                )?,
                text("temperature", "Temperature of the bath", "such as 40 degC")?,
                text("contact", "Time in contact", "such as 2 min; left empty: as the rule says")?,
            ],
        },
    ])
}

fn request(fields: &mut Fields) -> Option<Request> {
    let bath = fields.need("bath", "say how large the bath is, such as 10 L");
    let bath = bath.and_then(|_| fields.read::<Litres>("bath"));
    let product = fields.need("product", "read the strength on the label, such as 5.25 %");
    let product = product.and_then(|_| fields.read::<Percent>("product"));
    let agent = AGENTS.iter().find(|(value, ..)| *value == fields.get("agent"));
    if agent.is_none() {
        fields.refuse("agent", "choose one");
    }
    let density = fields.read::<GramsPerCm3>("density");
    let target = fields.read::<MgPerLitre>("target");
    let temperature = fields.read::<Celsius>("temperature");
    let contact = fields.read::<Minutes>("contact");
    if fields.has_errors() {
        return None;
    }
    let product = product?;
    Some(Request {
        bath: bath?,
        agent: agent?.2,
        product: match density {
            Some(density) => Strength::MassPerMass(product, density),
            None => Strength::MassPerVolume(product),
        },
        chlorine_basis: match fields.get("basis") {
            "chlorine" => ChlorineBasis::AvailableChlorine,
            _ => ChlorineBasis::SodiumHypochlorite,
        },
        target,
        temperature,
        contact,
        approved_by_maker: fields.get("approved") == "yes",
    })
}

const fn field_of(error: &BathError) -> &'static str {
    match error {
        BathError::NoVolume(_) => "bath",
        BathError::NoTarget(_) | BathError::TargetNeeded => "target",
        BathError::NoStrength
        | BathError::WeakerThanBath { .. }
        | BathError::NotALiquid(_)
        | BathError::Quantity(_) => "product",
    }
}

fn answer(bath: &Bath, fields: &Fields, (now, zone): (Timestamp, &TimeZone)) -> Answer {
    let allowed = decide(&bath.findings) == Decision::Allowed;
    let out = SignedDuration::try_from_secs_f64(bath.contact.as_min() * 60.0);
    let out = out.ok().and_then(|contact| now.checked_add(contact).ok());
    let clock = |at: Timestamp| at.to_zoned_datetime(zone.clone()).strftime("%H:%M:%S").to_string();
    let times = out.map(|out| format!("In at {}, out at {}.", clock(now), clock(out)));
    let recipe = format!(
        "{:.1} mL of product into {:.3} of water makes {} of {}.",
        bath.product_ml, bath.water, bath.bath, bath.target
    );
    let headline =
        if allowed { Some(recipe).into_iter().chain(times).collect() } else { Vec::new() };
    let word = if allowed { "Bath" } else { "No bath" };
    let mut links = Vec::new();
    if allowed {
        let (agent, contact) =
            (format!("{}, {}", bath.agent, bath.target), bath.contact.to_string());
        let unit = fields.filled("unit").map(|unit| format!("unit={}&", encoded(unit)));
        links.push((
            format!(
                "/record/disinfected?{}agent={}&contact={}",
                unit.unwrap_or_default(),
                encoded(&agent),
                encoded(&contact)
            ),
            "Record the disinfection".to_owned(),
        ));
    }
    Answer {
        verdict: (!allowed).then(|| Verdict { allowed, word, line: "as it was asked".to_owned() }),
        headline,
        figures: vec![
            ("parts fully covered for".to_owned(), bath.contact.to_string()),
            ("at most".to_owned(), format!("{:.0}", bath.highest_temperature)),
            ("what disinfects".to_owned(), bath.agent.to_string()),
        ],
        table: None,
        lines: None,
        findings: Findings::of(&bath.findings),
        method: bath.method.to_owned(),
        sources: bath.sources.clone(),
        links,
    }
}
