use std::net::SocketAddr;
use std::path::PathBuf;

use anyhow::{Context, Result};
use clap::Args;
use tokio::net::TcpListener;

use super::{Outcome, now, open_existing, random_hex, runtime};

#[derive(Args)]
pub struct Arguments {
    /// The ledger
    #[arg(long)]
    ledger: PathBuf,
    /// Where to listen; only an address of this machine alone is accepted
    #[arg(long, default_value = "127.0.0.1:8600")]
    listen: SocketAddr,
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    web::loopback_only(arguments.listen)?;
    runtime()?.block_on(async {
        let ledger = open_existing(&arguments.ledger).await?;
        serve(ledger, arguments.listen, false).await
    })?;
    Ok(Outcome::Done)
}

/// Serves `ledger` until the process is told to stop, and prints the address with the one-time
/// link that signs in.
pub async fn serve(ledger: ledger::Ledger, listen: SocketAddr, invented: bool) -> Result<()> {
    let listener = TcpListener::bind(listen).await.with_context(|| {
        format!(
            "cannot listen on {listen}; another program may use that port, try --listen 127.0.0.1:0"
        )
    })?;
    let address = listener.local_addr().context("cannot read the address just opened")?;
    let token = random_hex()?;
    let setup = web::Setup {
        ledger,
        clock: std::sync::Arc::new(now),
        entry_ids: std::sync::Arc::new(|| random_hex().unwrap_or_default()),
        one_time_token: token.clone(),
        invented,
    };
    let state = web::AppState::new(setup).await.context("cannot read the ledger")?;
    println!("open http://{address}/enter/{token}");
    println!("the link signs in once, on this machine only; stop with Ctrl-C");
    web::serve(listener, state).await.context("the server stopped")
}
