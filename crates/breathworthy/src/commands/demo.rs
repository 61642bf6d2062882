use std::net::SocketAddr;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use clap::Args;
use jiff::Timestamp;
use ledger::Ledger;
use program::Entry;

use super::{Outcome, now, runtime, serve};
use crate::plant;

#[derive(Args)]
pub struct Arguments {
    /// Where the invented ledger is kept; an older one there is replaced
    #[arg(long, default_value = "breathworthy-demo/invented-plant.db")]
    ledger: PathBuf,
    /// Where to listen; only an address of this machine alone is accepted
    #[arg(long, default_value = "127.0.0.1:8600")]
    listen: SocketAddr,
    /// The same seed and instant make the same plant
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// The instant up to which the plant has lived; now where it is left out
    #[arg(long)]
    at: Option<Timestamp>,
    /// Fill the ledger and stop
    #[arg(long)]
    fill_only: bool,
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    web::loopback_only(arguments.listen)?;
    runtime()?.block_on(async {
        // The port comes first: where it is taken, another demo may be serving this very ledger.
        let listener = match arguments.fill_only {
            true => None,
            false => Some(serve::listen(arguments.listen).await?),
        };
        let held = serve::hold(&arguments.ledger)?;
        let ledger = fill(arguments).await?;
        match listener {
            Some(listener) => serve::serve(ledger, listener, true).await?,
            None => ledger.close().await,
        }
        drop(held);
        Ok::<(), anyhow::Error>(())
    })?;
    Ok(Outcome::Done)
}

async fn fill(arguments: &Arguments) -> Result<Ledger> {
    let path = &arguments.ledger;
    clear(path)?;
    let entries = plant::entries(arguments.seed, arguments.at.unwrap_or_else(now))?;
    let ledger = Ledger::open(path)
        .await
        .with_context(|| format!("cannot make a ledger at {}", path.display()))?;
    let mut sites: Vec<&program::SiteId> = entries.iter().map(|entry| &entry.site).collect();
    sites.sort();
    sites.dedup();
    for site in sites {
        let own: Vec<Entry> = entries.iter().filter(|e| e.site == *site).cloned().collect();
        ledger.append(site, &own).await.with_context(|| format!("cannot fill the site {site}"))?;
    }
    say!("an invented plant of {} entries is kept in {}", entries.len(), path.display());
    Ok(ledger)
}

/// Removes an older invented ledger. Anything else that may stand at the path is left alone: only
/// a file that this command made before, told by its name, is replaced.
fn clear(path: &Path) -> Result<()> {
    let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default();
    if path.exists() && !name.contains("invented") {
        anyhow::bail!(
            "{} exists and its name does not say `invented`; name another file, so that no real ledger is replaced",
            path.display()
        );
    }
    for ending in ["", "-wal", "-shm"] {
        let mut file = path.as_os_str().to_owned();
        file.push(ending);
        match std::fs::remove_file(&file) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
                return Err(error).with_context(|| format!("cannot replace {}", path.display()));
            }
            _ => {}
        }
    }
    Ok(())
}
