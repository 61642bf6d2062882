use std::path::PathBuf;

use anyhow::{Context, Result, bail};
use clap::Args;
use ledger::Ledger;

use super::{LedgerArguments, Outcome, print_copied, print_json, runtime};

#[derive(Args)]
pub struct Arguments {
    /// The backup
    backup: PathBuf,
    #[command(flatten)]
    ledger: LedgerArguments,
    /// Print the answer as JSON
    #[arg(long)]
    json: bool,
}

/// Fills an empty ledger from a backup, on the same database or on the other one.
pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let shown = arguments.backup.display();
    if !arguments.backup.is_file() {
        bail!("there is no backup at {shown}");
    }
    let copied = runtime()?.block_on(async {
        let backup = Ledger::open(&arguments.backup)
            .await
            .with_context(|| format!("cannot open the backup {shown}"))?;
        let restore =
            async |ledger: &Ledger| ledger.restore(&backup).await.context("nothing was restored");
        let copied = arguments.ledger.fill(restore).await?;
        backup.close().await;
        Ok::<_, anyhow::Error>(copied)
    })?;
    if arguments.json {
        print_json(&copied)?;
    } else {
        say!("restored from {shown}, read again and whole");
        print_copied(&copied);
    }
    Ok(Outcome::Done)
}
