use std::path::PathBuf;

use anyhow::{Context, Result};
use clap::Args;

use super::{Outcome, open_existing, print_json, runtime};

#[derive(Args)]
pub struct Arguments {
    /// The ledger
    #[arg(long)]
    ledger: PathBuf,
    /// Print the whole answer as JSON
    #[arg(long)]
    json: bool,
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let shown = arguments.ledger.display();
    let verification = runtime()?.block_on(async {
        let ledger = open_existing(&arguments.ledger).await?;
        ledger.verify().await.with_context(|| format!("cannot read the ledger {shown}"))
    })?;
    if arguments.json {
        print_json(&verification)?;
    } else {
        match &verification.broken {
            None => say!(
                "whole: {} entries of {} sites, every link of the chain holds",
                verification.entries,
                verification.sites.len()
            ),
            Some(broken) => say!(
                "BROKEN at entry {} (number {} of site {}): {}",
                broken.id,
                broken.seq,
                broken.site,
                broken.why
            ),
        }
    }
    Ok(if verification.broken.is_none() { Outcome::Done } else { Outcome::Stop })
}
