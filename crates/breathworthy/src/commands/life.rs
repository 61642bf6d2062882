use std::path::PathBuf;

use anyhow::{Context, Result};
use clap::{Args, ValueEnum};
use program::life::{LifeAnswer, LifeMethod, compute};
use rulebook::{Decision, decide};

use super::{Outcome, print_json, read_case, words};

#[derive(Args)]
pub struct Arguments {
    /// The case file (TOML)
    case: PathBuf,
    /// Print the whole answer as JSON
    #[arg(long)]
    json: bool,
    /// Which equations to use
    #[arg(long, value_enum, default_value_t = Method::Full)]
    method: Method,
}

#[derive(Clone, Copy, ValueEnum)]
enum Method {
    /// Capacity, rates, humid air and mixtures
    Full,
    /// The published correlations of 1994 alone, to compare with published tables
    Wood1994,
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let written = read_case(&arguments.case)?;
    let method = match arguments.method {
        Method::Full => LifeMethod::Full,
        Method::Wood1994 => LifeMethod::Wood1994,
    };
    let answer = compute(&written, method).with_context(|| arguments.case.display().to_string())?;
    if arguments.json {
        print_json(&answer)?;
    } else {
        print(&answer);
    }
    match decide(&answer.findings) {
        Decision::Allowed => Ok(Outcome::Done),
        Decision::Stop => Ok(Outcome::Stop),
    }
}

fn print(answer: &LifeAnswer) {
    say!("{}", answer.schedule.text);
    say!("  limited by: {}", answer.schedule.limited_by);
    if let Some(life) = answer.life_min {
        say!("  life: best estimate {}", words::minutes(life.best));
        say!("        lower bound   {} (95 % confidence)", words::minutes(life.lower));
    }
    say!();
    for contaminant in &answer.contaminants {
        let (name, cas) = (&contaminant.name, &contaminant.cas);
        match (contaminant.time_min, &contaminant.refused) {
            (Some(time), _) => {
                let (best, lower) = (words::minutes(time.best), words::minutes(time.lower));
                say!("  {name} ({cas}): best {best}, lower {lower}");
                if let (Some(inlet), Some(end)) = (contaminant.inlet_ppm, contaminant.end_ppm) {
                    say!("    enters at {inlet:.3} ppm, ends at {end:.3} ppm");
                }
                say!("    bound rests on: {}", contaminant.limited_by.join(", "));
            }
            (None, reason) => {
                say!("  {name} ({cas}): {}", reason.as_deref().unwrap_or("no life"));
            }
        }
    }
    say!();
    words::findings(&answer.findings);
    say!("\n  method: {}", answer.method);
    for source in &answer.sources {
        say!("  source: {source}");
    }
}
