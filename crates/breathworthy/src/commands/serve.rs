use std::fs::File;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::Arc;

use anyhow::{Context, Result};
use clap::Args;
use ledger::{Ledger, Target};
use tokio::net::TcpListener;

use super::{LedgerArguments, Outcome, now, random_hex, runtime};

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    ledger: LedgerArguments,
    /// Make an empty ledger where there is none yet
    #[arg(long)]
    new: bool,
    /// Where to listen; only an address of this machine alone is accepted
    #[arg(long, default_value = "127.0.0.1:8600")]
    listen: SocketAddr,
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    web::loopback_only(arguments.listen)?;
    runtime()?.block_on(async {
        // A mistyped path leaves no mark behind.
        let (held, ledger) = if arguments.new {
            let held = hold(&arguments.ledger.target()?)?;
            (held, arguments.ledger.open_or_make().await?)
        } else {
            let ledger = arguments.ledger.open().await?;
            (hold(&arguments.ledger.target()?)?, ledger)
        };
        serve(ledger, listen(arguments.listen).await?, false).await?;
        drop(held);
        Ok::<(), anyhow::Error>(())
    })?;
    Ok(Outcome::Done)
}

/// Opens the address, and says what to do where it is taken.
pub async fn listen(address: SocketAddr) -> Result<TcpListener> {
    TcpListener::bind(address).await.with_context(|| {
        format!(
            "cannot listen on {address}; another program may use that port, try --listen 127.0.0.1:0"
        )
    })
}

/// Marks a ledger in a file as in use by this process for as long as the answer is kept, so that no
/// other process serves or replaces it meanwhile. Of a server several processes may work side by
/// side.
pub fn hold(target: &Target) -> Result<Option<File>> {
    let Target::File(ledger) = target else { return Ok(None) };
    if let Some(folder) = ledger.parent() {
        std::fs::create_dir_all(folder)
            .with_context(|| format!("cannot make the folder {}", folder.display()))?;
    }
    let mut mark = ledger.as_os_str().to_owned();
    mark.push(".lock");
    let mark = PathBuf::from(mark);
    let file =
        File::create(&mark).with_context(|| format!("cannot make the mark {}", mark.display()))?;
    file.try_lock().with_context(|| {
        format!(
            "{} is in use by another breathworthy process; stop that one first",
            ledger.display()
        )
    })?;
    Ok(Some(file))
}

/// Serves `ledger` until the process is told to stop, and prints the address with the one-time
/// link that signs in.
pub async fn serve(ledger: Ledger, listener: TcpListener, invented: bool) -> Result<()> {
    let address = listener.local_addr().context("cannot read the address just opened")?;
    let token = random_hex()?;
    let setup = web::Setup {
        ledger,
        clock: Arc::new(now),
        entry_ids: Arc::new(|| random_hex().unwrap_or_default()),
        one_time_token: token.clone(),
        invented,
    };
    let state = web::AppState::new(setup).await.context("cannot read the ledger")?;
    say!("open http://{address}/enter/{token}");
    say!("the link signs in once, on this machine only; stop with Ctrl-C");
    web::serve(listener, state).await.context("the server stopped")
}
