use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use clap::Args;
use program::fit_sheet::{Beside, FitAnswer, FitSheet};
use rulebook::fit_test::{QualitativeAnswer, QuantitativeAnswer, protocols};

use super::{Outcome, print_json, read_text, words};

#[derive(Args)]
pub struct Arguments {
    /// The test: TOML, or a table of its exercises (CSV) with the columns `exercise` (number or name)
    /// and `ambient_before`, `in_mask`, `ambient_after`, or `factor`, or `noticed`
    #[arg(required_unless_present = "protocols")]
    test: Option<PathBuf>,
    /// The protocol of a table that does not name it, such as QNFT-CNC
    #[arg(long)]
    protocol: Option<String>,
    /// The facepiece of a table that does not name it: quarter-mask, half-mask, filtering-facepiece or
    /// full-facepiece
    #[arg(long)]
    facepiece: Option<String>,
    /// List the protocols, their exercises and the facepieces they serve
    #[arg(long)]
    protocols: bool,
    /// Print the whole answer as JSON
    #[arg(long)]
    json: bool,
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let Some(path) = arguments.test.as_ref().filter(|_| !arguments.protocols) else {
        list(arguments.json)?;
        return Ok(Outcome::Done);
    };
    let sheet = read(path, arguments)?;
    let answer = sheet.judge().with_context(|| path.display().to_string())?;
    if arguments.json {
        print_json(&answer)?;
    } else {
        print(&answer);
    }
    Ok(if answer.passed() { Outcome::Done } else { Outcome::Stop })
}

fn read(path: &Path, arguments: &Arguments) -> Result<FitSheet> {
    let shown = path.display();
    let text = read_text(path, "file of a fit test")?;
    let table = path.extension().is_some_and(|kind| kind.eq_ignore_ascii_case("csv"));
    let sheet = if table {
        let (protocol, facepiece) = (arguments.protocol.clone(), arguments.facepiece.clone());
        FitSheet::read_csv(&text, &Beside { protocol, facepiece })
    } else {
        FitSheet::read_toml(&text)
    };
    sheet.with_context(|| shown.to_string())
}

fn print(answer: &FitAnswer) {
    match answer {
        FitAnswer::Quantitative(answer) => measured(answer),
        FitAnswer::Qualitative(answer) => asked(answer),
    }
}

fn verdict(passed: bool) -> &'static str {
    if passed { "PASSED" } else { "NOT PASSED" }
}

fn measured(answer: &QuantitativeAnswer) {
    say!("{}: {} on a {}\n", verdict(answer.passed), answer.name, answer.facepiece);
    match (answer.overall_shown(), answer.required) {
        (Some(overall), Some(required)) => {
            say!("  overall fit factor {overall}, at least {required} is needed");
        }
        (Some(overall), None) => say!("  overall fit factor {overall}"),
        (None, _) => {
            say!("  no overall fit factor: missing are {}", answer.missing.join(", "));
        }
    }
    for exercise in &answer.exercises {
        let factor = exercise.fit_factor.map_or_else(|| "-".to_owned(), |f| format!("{f:.1}"));
        let counts = if exercise.counts { "" } else { "  (does not count)" };
        say!("  {:>2} {:<60} {factor:>10}{counts}", exercise.exercise, exercise.name);
    }
    say!();
    words::findings(&answer.findings);
    sources(answer.method, &answer.sources);
}

fn asked(answer: &QualitativeAnswer) {
    say!("{}: {} on a {}\n", verdict(answer.passed), answer.name, answer.facepiece);
    words::findings(&answer.findings);
    sources(answer.method, &answer.sources);
}

fn sources(method: &str, sources: &[String]) {
    say!("\n  method: {method}");
    for source in sources {
        say!("  source: {source}");
    }
}

fn list(json: bool) -> Result<()> {
    if json {
        return print_json(&protocols());
    }
    for protocol in protocols() {
        say!("{}: {} ({})", protocol.id, protocol.name, protocol.citation);
        for allowance in &protocol.facepieces {
            let allowed = serde_json::to_value(allowance.allowed)?;
            let word = allowed.as_str().unwrap_or_default();
            say!("  {}: {word} {}", allowance.mask, allowance.condition);
        }
        for exercise in &protocol.exercises {
            say!("  {} {}", exercise.number, exercise.name);
        }
        say!();
    }
    Ok(())
}
