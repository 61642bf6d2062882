use std::path::PathBuf;

use anyhow::{Context, Result};
use clap::Args;

use super::{LedgerArguments, Outcome, print_copied, print_json, runtime};

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    ledger: LedgerArguments,
    /// The file to make; it must not exist yet
    #[arg(long, value_name = "FILE")]
    to: PathBuf,
    /// Print the answer as JSON
    #[arg(long)]
    json: bool,
}

/// Makes a file that is a ledger of its own, whichever database the first is kept in. A server may
/// go on writing meanwhile.
pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let shown = arguments.to.display();
    let copied = runtime()?.block_on(async {
        let ledger = arguments.ledger.open().await?;
        ledger.back_up(&arguments.to).await.with_context(|| format!("no backup made at {shown}"))
    })?;
    if arguments.json {
        print_json(&copied)?;
    } else {
        say!("backup kept in {shown}, read again and whole");
        print_copied(&copied);
    }
    Ok(Outcome::Done)
}
