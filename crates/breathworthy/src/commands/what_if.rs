use std::path::PathBuf;

use anyhow::{Context, Result};
use clap::Args;
use program::what_if::{Variant, what_if};
use rulebook::{Decision, Severity, decide};

use super::{Outcome, print_json, read_text, waiting, words};

#[derive(Args)]
pub struct Arguments {
    /// The case file (TOML)
    case: PathBuf,
    /// One variant: changes parted by semicolons, such as 'air.flow = "35 L/min"'; up to four
    #[arg(long = "with", value_name = "CHANGES", required = true)]
    with: Vec<String>,
    /// Compute at least so many copies with uncertain inputs
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    samples: Option<u32>,
    /// Print the whole answers as JSON
    #[arg(long)]
    json: bool,
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let shown = arguments.case.display();
    let text = read_text(&arguments.case, "case file")?;
    let samples = arguments.samples.map(usize::try_from).transpose()?;
    let variants = waiting(|progress| what_if(&text, &arguments.with, samples, progress));
    let variants = variants.with_context(|| shown.to_string())?;
    if arguments.json {
        print_json(&variants)?;
    } else {
        print(&variants);
    }
    // A variant that stops is an answer; only where all of them stop is there nothing to wear.
    let stops = |variant: &Variant| decide(&variant.life.findings) == Decision::Stop;
    if variants.iter().all(stops) { Ok(Outcome::Stop) } else { Ok(Outcome::Done) }
}

fn print(variants: &[Variant]) {
    say!("       best      at least   change after  shifts  stops");
    for (variant, letter) in variants.iter().zip('A'..) {
        let life = &variant.life;
        let minutes = |of: fn(program::life::Bounds) -> f64| {
            life.life_min
                .map(of)
                .filter(|m| m.is_finite())
                .map_or("-".to_owned(), |m| format!("{m:.0} min"))
        };
        let (best, lower) = (minutes(|life| life.best), minutes(|life| life.lower));
        let stops = life.findings.iter().filter(|f| f.severity == Severity::Stop).count();
        let worn = words::minutes(life.schedule.max_wear.as_min());
        say!(
            "  {letter}  {best:>9}  {lower:>9}  {worn:>14}  {:>5}  {stops:>5}",
            life.schedule.shifts
        );
    }
    say!();
    for (variant, letter) in variants.iter().zip('A'..) {
        say!("  {letter}  {}", variant.change);
        say!(
            "     {}; limited by {}",
            variant.life.schedule.text,
            variant.life.schedule.limited_by
        );
        for finding in variant.life.findings.iter().filter(|f| f.severity == Severity::Stop) {
            say!("     stop: {}", finding.text());
        }
    }
}
