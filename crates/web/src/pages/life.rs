//! The life form: the fields of a written case, the same answer as the command gives.

mod case_file;

use std::sync::Arc;

use askama::Template;
use axum::extract::State;
use program::case::{CaseError, WrittenCase};
use program::life::{LifeAnswer, LifeMethod, compute_sampled};
use rulebook::ElementKind;

use crate::app::AppState;
use crate::component::{Choice, Field};
use crate::fields::Fields;
use crate::life_view::{LifeView, samples};
use crate::named::{Lists, ListsPart};
use crate::pages::calculate::computed;
use crate::shell::{Page, Room, Shell, page};
use case_file::{CaseFile, UNCERTAINTY, Unsure};

/// How many contaminants the form has room for.
const ROOM_FOR: usize = 4;

/// Names of the fields of each contaminant: what, and how much.
const CONTAMINANTS: [(&str, &str); ROOM_FOR] = [
    ("contaminant_1", "concentration_1"),
    ("contaminant_2", "concentration_2"),
    ("contaminant_3", "concentration_3"),
    ("contaminant_4", "concentration_4"),
];

const SAMPLES_HINT: &str =
    "a number, such as 2000, tells which inputs matter; left empty: as many as are usual";

const CALIBRATION_HINT: &str = "as they were printed for the case file; they tell volume, energy and rate with how sure each is";

const REACTIONS_HINT: &str = "the [[reaction]] tables as they were printed for the case file, of gases that these elements hold by reaction";

/// How elements are kept between shifts.
const STORAGES: [(&str, &str); 3] =
    [("", "not stated"), ("sealed", "sealed"), ("open", "lying open")];

/// A case that shows how the form is filled in.
const EXAMPLE: &str = "/life?contaminant_1=toluene&concentration_1=100+ppm&elements=2\
    &sorbent_mass=26+g&bed_area=38.5+cm2&bulk_density=0.44+g%2Fcm3&granule=0.11+cm\
    &micropore_volume=0.454+cm3%2Fg&flow=53.3+L%2Fmin&temperature=22+degC\
    &relative_humidity=50+%25&wear=4+h&shifts_before_change=1#answer";

#[derive(Template)]
#[template(path = "pages/life.html")]
struct LifePage {
    shell: Shell,
    contaminants: Vec<(Field, Field)>,
    bed: Vec<Field>,
    certified_for: Choice,
    calibration: Field,
    reactions: Field,
    calibration_open: bool,
    unsure: Vec<Field>,
    unsure_open: bool,
    storage: Choice,
    air: Vec<Field>,
    end: Field,
    work: Vec<Field>,
    method: Choice,
    copies: Field,
    segments: String,
    segments_wrong: Option<String>,
    example: &'static str,
    wrong: usize,
    answer: Option<LifeView>,
    file: String,
    lists: ListsPart,
}

/// `GET /life`: an empty form, or the answer to a filled one above it.
pub(crate) async fn show(State(app): State<AppState>, mut fields: Fields) -> Page {
    let mut answer = None;
    let mut file = String::new();
    if !fields.is_blank() {
        let written = CaseFile::of(&mut fields);
        let copies = samples(&mut fields);
        let method = if fields.get("method") == "bed" { LifeMethod::Bed } else { LifeMethod::Full };
        if !fields.has_errors() {
            let text = written.text().to_owned();
            match computed(move || life(&text, method, copies)).await {
                Ok(life) => answer = Some(LifeView::of(&life, "life")),
                Err(error) => {
                    let message = error.message.clone();
                    fields.refuse(written.field_of(&error), message);
                }
            }
        }
        file = written.into_text();
    }
    page(&form(&app, &fields, answer, file))
}

fn life(text: &str, method: LifeMethod, copies: Option<usize>) -> Result<LifeAnswer, CaseError> {
    compute_sampled(&WrittenCase::read(text)?, method, copies, &Arc::default())
}

fn form(app: &AppState, fields: &Fields, answer: Option<LifeView>, file: String) -> LifePage {
    let text = |name, label, hint| Field::text(fields, name, label).hint(hint);
    let contaminant = |(what, level): (&'static str, &'static str)| {
        (
            text(what, "Substance", "name or registry number").list("substances"),
            text(level, "Concentration", "such as 100 ppm or 380 mg/m3"),
        )
    };
    LifePage {
        shell: Shell::new(app, Room::Calculate, "How long do the elements last?"),
        contaminants: CONTAMINANTS.into_iter().map(contaminant).collect(),
        bed: bed_fields(fields),
        calibration: text("calibration", "The lines of a calibration", CALIBRATION_HINT)
            .kind("lines"),
        reactions: text("reactions", "The lines of calibrated gases", REACTIONS_HINT).kind("lines"),
        calibration_open: ["calibration", "reactions"]
            .iter()
            .any(|field| fields.filled(field).is_some()),
        unsure: unsure_fields(fields),
        unsure_open: UNCERTAINTY.iter().any(|unsure| fields.filled(unsure.field).is_some()),
        storage: Choice::of(fields, ("storage", "Kept between shifts"), STORAGES)
            .hint("left open: sealed"),
        certified_for: certified_for(fields),
        air: vec![
            text("flow", "Air flow through all elements", "such as 53.3 L/min"),
            text("temperature", "Temperature", "such as 22 degC or 72 degF"),
            text("relative_humidity", "Relative humidity", "such as 50 %"),
            text("pressure", "Pressure", "left empty: 101.325 kPa"),
        ],
        end: text(
            "penetration",
            "Level that ends the life",
            "such as 10 % or 50 ppm; left empty: the exposure limit",
        ),
        work: vec![
            text("wear", "Wear per shift", "such as 4 h"),
            text("shifts_before_change", "Shifts before a change", "a number, such as 1"),
            text("between_shifts", "From one shift to the next", "left empty: 16 h"),
        ],
        method: Choice::of(
            fields,
            ("method", "Equations"),
            [("", "as the work asks"), ("bed", "the bed marched through time")],
        )
        .hint("the closed form for steady work, the bed marched for any other"),
        copies: text("samples", "Runs with varied inputs", SAMPLES_HINT),
        segments: fields.get("segments").to_owned(),
        segments_wrong: fields.why_wrong("segments").map(str::to_owned),
        example: EXAMPLE,
        wrong: fields.errors(),
        answer,
        file,
        lists: ListsPart { lists: Lists::default().and_substances() },
    }
}

fn bed_fields(fields: &Fields) -> Vec<Field> {
    let text = |name, label, hint| Field::text(fields, name, label).hint(hint);
    vec![
        text("elements", "Elements sharing the flow", "a number, such as 2"),
        text("sorbent_mass", "Sorbent in each", "such as 26 g"),
        text("bed_area", "Area of each bed", "such as 38.5 cm2"),
        text("bulk_density", "Bulk density", "such as 0.44 g/cm3"),
        text("granule", "Granule size", "such as 0.11 cm"),
        text("micropore_volume", "Micropore volume", "such as 0.454 cm3/g"),
        text(
            "reference_energy",
            "Characteristic energy",
            "such as 18 kJ/mol; left empty: usual for that volume",
        ),
        text("rate_factor", "Rate factor of a calibration", "such as 0.8; left empty: 1"),
        text(
            "stored_humidity",
            "Kept before use in air of",
            "such as 70 %; left empty: as humid as the air",
        ),
    ]
}

fn certified_for(fields: &Fields) -> Choice {
    let kinds: Vec<(String, String)> = ElementKind::ALL
        .iter()
        .map(|kind| (case_file::kind_in_file(*kind), kind.to_string()))
        .collect();
    let options = std::iter::once(("", "not stated"))
        .chain(kinds.iter().map(|(value, words)| (value.as_str(), words.as_str())));
    Choice::of(fields, ("certified_for", "Certified for"), options)
        .hint("without a bed, the least that certification proves is used")
}

/// How sure each input is.
fn unsure_fields(fields: &Fields) -> Vec<Field> {
    let field =
        |unsure: &Unsure| Field::text(fields, unsure.field, unsure.label).hint("such as 5 %");
    UNCERTAINTY.iter().map(field).collect()
}
