use std::fs::File;
use std::io::BufWriter;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use clap::Args;
use ledger::{End, Ledger};

use super::{LedgerArguments, Outcome, runtime};
use crate::say::Out;

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    ledger: LedgerArguments,
    /// The file to write; standard output where it is left out
    #[arg(long, value_name = "FILE")]
    to: Option<PathBuf>,
}

/// Writes the whole ledger as lines of JSON, which `import` adds to any other ledger.
pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let end = runtime()?.block_on(async {
        let ledger = arguments.ledger.open_to_read().await?;
        match &arguments.to {
            Some(path) => to_file(&ledger, path).await,
            None => {
                let mut out = BufWriter::new(Out);
                ledger.export(&mut out).await.context("the export stopped")
            }
        }
    })?;
    if let Some(path) = &arguments.to {
        let shown = path.display();
        say!("{} entries and {} attachments kept in {shown}", end.entries, end.attachments);
    }
    Ok(Outcome::Done)
}

/// The file appears under its name only when it is whole and on the disk.
async fn to_file(ledger: &Ledger, path: &Path) -> Result<End> {
    let shown = path.display();
    let mut partial = path.as_os_str().to_owned();
    partial.push(".partial");
    let file = File::create(&partial).with_context(|| format!("cannot write {shown}"))?;
    let mut out = BufWriter::new(file);
    let end =
        ledger.export(&mut out).await.with_context(|| format!("no export made at {shown}"))?;
    out.get_ref().sync_all().with_context(|| format!("cannot write {shown}"))?;
    std::fs::rename(&partial, path).with_context(|| format!("cannot write {shown}"))?;
    Ok(end)
}
