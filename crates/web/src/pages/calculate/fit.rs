//! A fit test judged from what was counted or noticed, and from there into the record.

use askama::Template;
use axum::extract::State;
use program::fit_sheet::{FitAnswer, FitSheet};
use program::{AgentsMade, FitExercise, FitRecord};
use rulebook::Finding;
use rulebook::fit_test::{Mask, Protocol, TestKind, protocol, protocols};

use super::{Answer, Part, SheetPage, Table};
use crate::app::AppState;
use crate::component::{Choice, Field, Findings, Verdict};
use crate::due_view::encoded;
use crate::fields::Fields;
use crate::record::fit_lines;
use crate::record::forms::wearer::exercise_words;
use crate::shell::Page;
use crate::wording;

const MASKS: [(&str, &str); 4] = [
    ("half-mask", "half mask"),
    ("full-facepiece", "full facepiece"),
    ("filtering-facepiece", "filtering facepiece"),
    ("quarter-mask", "quarter mask"),
];

/// What the record asks beside the test itself, carried along.
const CARRIED: [&str; 4] = ["wearer", "model", "size", "tester"];

/// `GET /fit`.
pub(crate) async fn show(State(app): State<AppState>, mut fields: Fields) -> Page {
    let mut sheet = SheetPage::new(
        &app,
        "Fit test",
        "/fit",
        "Choose the protocol and the facepiece; then its exercises are asked.",
    );
    let chosen = fields.filled("protocol").and_then(|id| protocol(id).ok());
    let mask = Mask::read(fields.get("facepiece"));
    if fields.filled("protocol").is_some() && mask.is_none() {
        fields.refuse("facepiece", "choose one");
    }
    let typed = fields.starting_with("e").any(|(_, text)| !text.is_empty());
    if let (Some(protocol), Some(mask), true) = (chosen, mask, typed) {
        let record = record(protocol, mask, &mut fields);
        if !fields.has_errors() {
            match FitSheet::of_record(&record).and_then(|sheet| sheet.judge()) {
                Ok(judged) => sheet.answers.push(answer(&judged, &record, &fields)),
                Err(error) => {
                    let at = record.exercises.get(error.line.saturating_sub(1));
                    let number = at.map_or(1, |exercise| exercise.number);
                    fields.refuse(&names(number)[1], error.message.clone());
                }
            }
        }
    }
    sheet.hidden = CARRIED
        .iter()
        .filter_map(|name| Some(((*name).to_owned(), fields.filled(name)?.to_owned())))
        .collect();
    sheet.button = if chosen.is_some() { "Judge the test" } else { "Show the exercises" };
    sheet.parts = parts(&fields, chosen)?;
    sheet.drawn(&fields)
}

/// Names of the fields of an exercise: before, inside, after, factor, noticed.
fn names(number: u8) -> [String; 5] {
    ["before", "in", "after", "factor", "noticed"].map(|part| format!("e{number}-{part}"))
}

fn parts(fields: &Fields, chosen: Option<&Protocol>) -> Result<Vec<Part>, askama::Error> {
    let all = protocols().iter().map(|one| (one.id.as_str(), one.name.as_str()));
    let mut parts = vec![Part {
        legend: "Test",
        hint: "",
        fields: vec![
            Choice::of(fields, ("protocol", "Protocol"), all).render()?,
            Choice::of(fields, ("facepiece", "Facepiece"), MASKS).render()?,
        ],
    }];
    let Some(protocol) = chosen else { return Ok(parts) };
    if protocol.kind == TestKind::Qualitative {
        let known = [("", "not done"), ("yes", "yes"), ("no", "no")];
        let screening = ("screening", "Noticed the weak agent in the screening before");
        let proved = ("proved", "The agent was shown to be there afterwards");
        parts.push(Part {
            legend: "Before and after",
            hint: "",
            fields: vec![
                Choice::of(fields, screening, known).render()?,
                Choice::of(fields, proved, known).render()?,
            ],
        });
    }
    let known = [("", "not asked"), ("no", "no"), ("yes", "yes")];
    let adjusted = ("adjusted", "The facepiece was adjusted after the exercises had begun");
    let comfortable = ("comfortable", "It was still comfortable afterwards");
    let asked_after = Part {
        legend: "Asked after the exercises",
        hint: "An adjustment voids the test.",
        fields: vec![
            Choice::of(fields, adjusted, known).render()?,
            Choice::of(fields, comfortable, known).render()?,
        ],
    };
    let mut exercises = Vec::new();
    for exercise in &protocol.exercises {
        let [before, inside, after, factor, noticed] = names(exercise.number);
        let about = exercise_words(exercise);
        if protocol.kind == TestKind::Qualitative {
            let options = [("", "not done"), ("no", "not noticed"), ("yes", "noticed")];
            exercises.push(Choice::named(fields, &noticed, &about, options).render()?);
        } else if protocol.counts_nothing() {
            exercises
                .push(Field::named(fields, &factor, &format!("{about}: fit factor")).render()?);
        } else {
            let label = |what: &str| format!("{about}: {what}");
            exercises.push(Field::named(fields, &before, &label("outside before")).render()?);
            exercises.push(Field::named(fields, &inside, &label("inside")).render()?);
            exercises.push(Field::named(fields, &after, &label("outside after")).render()?);
        }
    }
    parts.push(Part {
        legend: "Exercises",
        hint: "Counts in any one unit, which cancels. Left empty: not measured.",
        fields: exercises,
    });
    parts.push(asked_after);
    Ok(parts)
}

fn record(protocol: &Protocol, mask: Mask, fields: &mut Fields) -> FitRecord {
    let yes = |text: &str| match text {
        "yes" => Some(true),
        "no" => Some(false),
        _ => None,
    };
    let mut exercises = Vec::new();
    for exercise in &protocol.exercises {
        let [before, inside, after, factor, noticed] = names(exercise.number);
        let mut number = |name: &str| -> Option<f64> {
            let text = fields.filled(name)?.to_owned();
            let read = text.parse::<f64>().ok().filter(|number| number.is_finite());
            if read.is_none() {
                fields.refuse(name, format!("`{text}` is not a number\nwrite digits alone"));
            }
            read
        };
        let counted = [&before, &inside, &after, &factor].map(|name| number(name));
        let noticed = yes(fields.get(&noticed));
        let [ambient_before, in_mask, ambient_after, factor] = counted;
        if counted.iter().any(Option::is_some) || noticed.is_some() {
            exercises.push(FitExercise {
                number: exercise.number,
                ambient_before,
                in_mask,
                ambient_after,
                factor,
                peak: None,
                noticed,
            });
        }
    }
    FitRecord {
        protocol: protocol.id.clone(),
        facepiece: mask,
        screening_passed: yes(fields.get("screening")),
        agent_proved: yes(fields.get("proved")),
        made: AgentsMade::default(),
        adjusted: yes(fields.get("adjusted")),
        comfortable: yes(fields.get("comfortable")),
        exercises,
    }
}

fn answer(judged: &FitAnswer, record: &FitRecord, fields: &Fields) -> Answer {
    let (passed, name, findings, method, sources): (bool, &str, &[Finding], &str, &[String]) =
        match judged {
            FitAnswer::Quantitative(a) => (a.passed, a.name, &a.findings, a.method, &a.sources),
            FitAnswer::Qualitative(a) => (a.passed, a.name, &a.findings, a.method, &a.sources),
        };
    let mut figures = Vec::new();
    let mut table = None;
    if let FitAnswer::Quantitative(measured) = judged {
        let none = || format!("none: missing are {}", measured.missing.join(", "));
        let overall = measured.overall_shown().unwrap_or_else(none);
        figures.push(("overall fit factor".to_owned(), overall));
        if let Some(required) = measured.required {
            figures.push(("at least".to_owned(), wording::number(required)));
        }
        let rows = measured.exercises.iter().map(|exercise| {
            let factor = exercise.fit_factor.map_or_else(|| "—".to_owned(), wording::number);
            let counts = if exercise.counts { "yes" } else { "no" };
            vec![exercise.name.to_owned(), factor, counts.to_owned()]
        });
        table =
            Some(Table { heads: vec!["Exercise", "Fit factor", "Counts"], rows: rows.collect() });
    }
    let word = if passed { "Passed" } else { "Not passed" };
    Answer {
        verdict: Some(Verdict {
            allowed: passed,
            word,
            line: format!("{name}, {}", record.facepiece),
        }),
        headline: Vec::new(),
        figures,
        table,
        lines: None,
        findings: Findings::of(findings),
        method: method.to_owned(),
        sources: sources.to_vec(),
        links: vec![(into_record(record, fields), "Record this fit test".to_owned())],
    }
}

/// The address of the form of a fit test, filled in with what was measured.
fn into_record(record: &FitRecord, fields: &Fields) -> String {
    let mask = MASKS.iter().find(|(_, words)| *words == record.facepiece.to_string());
    let yes = |answer: Option<bool>| match answer {
        Some(true) => "yes",
        Some(false) => "no",
        None => "",
    };
    let carried = CARRIED.iter().map(|name| (*name, fields.get(name).to_owned()));
    let own = [
        ("record.protocol", record.protocol.clone()),
        ("record.facepiece", mask.map_or("", |(word, _)| *word).to_owned()),
        ("record.screening_passed", yes(record.screening_passed).to_owned()),
        ("record.agent_proved", yes(record.agent_proved).to_owned()),
        ("record.adjusted", yes(record.adjusted).to_owned()),
        ("record.comfortable", yes(record.comfortable).to_owned()),
        ("record.exercises", fit_lines(record)),
    ];
    let pairs = carried.chain(own).filter(|(_, text)| !text.is_empty());
    let pairs = pairs.map(|(name, text)| format!("{name}={}", encoded(&text)));
    format!("/record/fit-tested?{}", pairs.collect::<Vec<_>>().join("&"))
}
