use std::fs::File;
use std::io::{BufReader, stdin};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use clap::Args;
use ledger::Ledger;

use super::{LedgerArguments, Outcome, print_copied, print_json, runtime, unread};

#[derive(Args)]
pub struct Arguments {
    /// What `export` wrote; `-` for standard input
    export: PathBuf,
    #[command(flatten)]
    ledger: LedgerArguments,
    /// Print the answer as JSON
    #[arg(long)]
    json: bool,
}

/// Adds what an export of another ledger holds and this one does not; a ledger that is not there is
/// made.
pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let shown = arguments.export.display();
    let copied = runtime()?.block_on(async {
        let file = match arguments.export == Path::new("-") {
            true => None,
            false => {
                let file = File::open(&arguments.export);
                Some(file.map_err(|error| unread(&arguments.export, "export", &error))?)
            }
        };
        let import = async |ledger: &Ledger| {
            let copied = match file {
                Some(file) => ledger.import(&mut BufReader::new(file)).await,
                None => ledger.import(&mut BufReader::new(stdin())).await,
            };
            copied.with_context(|| format!("nothing was imported from {shown}"))
        };
        arguments.ledger.fill(import).await
    })?;
    if arguments.json {
        print_json(&copied)?;
        return Ok(Outcome::Done);
    }
    print_copied(&copied);
    if copied.came != copied.kept {
        say!("the ledger holds more than the export");
    }
    Ok(Outcome::Done)
}
