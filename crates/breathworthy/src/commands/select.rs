use std::path::PathBuf;

use anyhow::{Context, Result};
use clap::Args;
use rulebook::{Assessment, list};

use super::{Outcome, print_json, read_case, words};

#[derive(Args)]
pub struct Arguments {
    /// The case file (TOML)
    case: PathBuf,
    /// Print the whole answer as JSON
    #[arg(long)]
    json: bool,
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let written = read_case(&arguments.case)?;
    let place = written.place().with_context(|| arguments.case.display().to_string())?;
    let classes = list(&place);
    if arguments.json {
        print_json(&classes)?;
    } else {
        print(&classes);
    }
    let any = classes.iter().any(|class| class.allowed);
    Ok(if any { Outcome::Done } else { Outcome::Stop })
}

fn print(classes: &[Assessment]) {
    for (allowed, heading) in [(true, "ALLOWED"), (false, "NOT ALLOWED")] {
        say!("{heading}");
        for class in classes.iter().filter(|class| class.allowed == allowed) {
            say!("\n  {}", class.title);
            words::findings(&class.findings);
        }
        say!();
    }
}
