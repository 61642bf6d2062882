//! One file a command, each with its arguments, its run and its words.

pub mod air;
pub mod bath;
pub mod calibrate;
pub mod demo;
pub mod exposure;
pub mod fit;
pub mod life;
pub mod select;
pub mod serve;
pub mod verify;
pub mod wear;
pub mod what_if;

mod words;

use std::path::Path;
use std::sync::Arc;
use std::sync::mpsc::RecvTimeoutError;
use std::time::Duration;

use anyhow::{Context, Result, bail};
use ledger::Ledger;
use program::State;
use program::case::WrittenCase;
use serde::Serialize;
use sorbent::Progress;

/// What a command came to, where its input was right.
pub enum Outcome {
    /// Allowed, or computed.
    Done,
    /// The verdict is stop.
    Stop,
}

/// Reads a case file; a refusal names the file, the line and the key.
fn read_case(path: &Path) -> Result<WrittenCase> {
    let shown = path.display();
    let text = std::fs::read_to_string(path)
        .with_context(|| format!("cannot read the case file {shown}"))?;
    WrittenCase::read(&text).with_context(|| shown.to_string())
}

/// Runs `work`; after a second, says on standard error how far it is, and again as it comes on.
fn waiting<T: Send>(work: impl FnOnce(&Arc<Progress>) -> T + Send) -> T {
    let progress = Arc::new(Progress::default());
    let (ready, done) = std::sync::mpsc::channel::<()>();
    std::thread::scope(|scope| {
        let watched = Arc::clone(&progress);
        scope.spawn(move || {
            let mut told = false;
            // The sender is dropped when the work is done, which ends the wait.
            while done.recv_timeout(Duration::from_secs(1)) == Err(RecvTimeoutError::Timeout) {
                let (made, all) = watched.made();
                eprint!("\r{made} of {all} samples");
                told = true;
            }
            if told {
                eprintln!("\r{:30}\r", "");
            }
        });
        let result = work(&progress);
        drop(ready);
        result
    })
}

/// Opens a ledger that must be there: a mistyped path is told, not turned into an empty ledger.
async fn open_existing(path: &Path) -> Result<Ledger> {
    let shown = path.display();
    if !path.is_file() {
        bail!("there is no ledger at {shown}; `breathworthy demo` makes one to try");
    }
    Ledger::open(path).await.with_context(|| format!("cannot open the ledger {shown}"))
}

/// Folds every entry of a ledger into state.
async fn fold(ledger: &Ledger) -> Result<State> {
    let mut state = State::default();
    let mut after = 0;
    loop {
        let page = ledger.read(None, after).await.context("cannot read the ledger")?;
        let Some(last) = page.last() else { return Ok(state) };
        after = last.position;
        for stored in &page {
            state.apply(&stored.entry);
        }
    }
}

/// Prints an answer as JSON.
fn print_json(answer: &impl Serialize) -> Result<()> {
    say!("{}", serde_json::to_string_pretty(answer)?);
    Ok(())
}

/// The runtime that carries requests and the database.
fn runtime() -> Result<tokio::runtime::Runtime> {
    let mut builder = tokio::runtime::Builder::new_multi_thread();
    builder.enable_all().build().context("cannot start the threads that carry requests")
}

/// The real clock, passed to everything that must not read it for itself.
#[expect(clippy::disallowed_methods, reason = "the binary alone reads the real clock")]
pub fn now() -> jiff::Timestamp {
    jiff::Timestamp::now()
}

/// Sixteen bytes of the machine's own randomness, as text: for the one-time link and for the ids
/// of entries made in a browser form.
fn random_hex() -> Result<String> {
    let mut bytes = [0_u8; 16];
    getrandom::fill(&mut bytes).context("this machine gives no random numbers")?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}
