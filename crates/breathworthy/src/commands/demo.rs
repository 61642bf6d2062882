use std::net::SocketAddr;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use clap::Args;
use jiff::Timestamp;
use ledger::{Ledger, Target};
use program::Entry;

use super::{Outcome, instant, now, runtime, serve};
use crate::plant;

#[derive(Args)]
pub struct Arguments {
    /// Where the invented ledger is kept; an older one there is replaced
    #[arg(
        long,
        value_name = "FILE",
        default_value = "breathworthy-demo/invented-plant.db",
        conflicts_with = "database_url"
    )]
    ledger: PathBuf,
    /// An empty database of a PostgreSQL server to keep it in instead
    #[arg(long, value_name = "URL", value_parser = super::server)]
    database_url: Option<Target>,
    /// Where to listen; only an address of this machine alone is accepted
    #[arg(long, default_value = "127.0.0.1:8600")]
    listen: SocketAddr,
    /// The same seed and instant make the same plant
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// The instant up to which the plant has lived; now where it is left out
    #[arg(long, value_parser = instant)]
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
        let target = arguments.database_url.clone();
        let target = target.unwrap_or_else(|| Target::from(&arguments.ledger));
        let held = serve::hold(&target)?;
        let ledger = fill(arguments, &target).await?;
        match listener {
            Some(listener) => serve::serve(ledger, listener, true).await?,
            None => ledger.close().await,
        }
        drop(held);
        Ok::<(), anyhow::Error>(())
    })?;
    Ok(Outcome::Done)
}

async fn fill(arguments: &Arguments, target: &Target) -> Result<Ledger> {
    if let Target::File(path) = target {
        clear(path)?;
    }
    let entries = plant::entries(arguments.seed, arguments.at.unwrap_or_else(now))?;
    let ledger =
        Ledger::open(target).await.with_context(|| format!("cannot make a ledger at {target}"))?;
    if !ledger.is_empty().await? {
        anyhow::bail!(
            "{target} is not empty; make a new database, so that no real ledger is mixed with an invented one"
        );
    }
    let mut sites: Vec<&program::SiteId> = entries.iter().map(|entry| &entry.site).collect();
    sites.sort();
    sites.dedup();
    for site in sites {
        let own: Vec<Entry> = entries.iter().filter(|e| e.site == *site).cloned().collect();
        ledger.append(site, &own).await.with_context(|| format!("cannot fill the site {site}"))?;
    }
    say!("an invented plant of {} entries is kept in {target}", entries.len());
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
