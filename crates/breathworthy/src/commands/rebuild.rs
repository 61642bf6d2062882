use std::time::Instant;

use anyhow::{Context, Result};
use clap::Args;

use super::{LedgerArguments, Outcome, runtime};

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    ledger: LedgerArguments,
}

/// Derives everything again and says whether it came out the same; where it did not, the exit code is 1.
pub fn run(arguments: &Arguments) -> Result<Outcome> {
    runtime()?.block_on(async {
        let ledger = arguments.ledger.open().await?;
        let reading = "cannot derive what follows from the entries";
        let before = ledger.projection_digest().await.context(reading)?;
        let start = Instant::now();
        let entries = ledger.rebuild().await.context(reading)?;
        let seconds = start.elapsed().as_secs_f64();
        let after = ledger.projection_digest().await.context(reading)?;
        ledger.close().await;
        say!("{entries} entries in {seconds:.1} s, hash of what follows from them {after}");
        if before == after {
            say!("the same as before");
            return Ok(Outcome::Done);
        }
        say!("NOT THE SAME as before, which was {before}: what was told of duties was wrong");
        Ok(Outcome::Stop)
    })
}
