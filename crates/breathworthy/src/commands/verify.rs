use anyhow::{Context, Result};
use clap::Args;
use ledger::Verification;

use super::{LedgerArguments, Outcome, print_json, runtime};

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    ledger: LedgerArguments,
    /// Print the whole answer as JSON
    #[arg(long)]
    json: bool,
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let verification = runtime()?.block_on(async {
        let ledger = arguments.ledger.open().await?;
        ledger.verify().await.context("cannot read the ledger")
    })?;
    if arguments.json {
        print_json(&verification)?;
    } else {
        print(&verification);
    }
    Ok(if verification.stands() { Outcome::Done } else { Outcome::Stop })
}

fn print(verification: &Verification) {
    if verification.stands() {
        say!(
            "whole: {} entries of {} sites, every link of the chain holds; {} attachments",
            verification.entries,
            verification.sites.len(),
            verification.attachments
        );
    }
    if let Some(broken) = &verification.broken {
        say!(
            "BROKEN at entry {} (number {} of site {}): {}",
            broken.id,
            broken.seq,
            broken.site,
            broken.why
        );
    }
    if let Some(hash) = &verification.broken_attachment {
        say!("BROKEN attachment {hash}: it is no longer what was attached");
    }
}
