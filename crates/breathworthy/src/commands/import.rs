use std::fs::File;
use std::io::{BufReader, stdin};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use clap::Args;

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
        let ledger = arguments.ledger.open_or_make().await?;
        let copied = match file {
            Some(file) => ledger.import(&mut BufReader::new(file)).await,
            None => ledger.import(&mut BufReader::new(stdin())).await,
        };
        let copied = copied.with_context(|| format!("nothing was imported from {shown}"))?;
        ledger.close().await;
        Ok::<_, anyhow::Error>(copied)
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
