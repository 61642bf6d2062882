//! One file a command, each with its arguments, its run and its words.

pub mod air;
pub mod bath;
pub mod bring;
pub mod demo;
pub mod exposure;
pub mod fit;
pub mod forecast;
pub mod life;
pub mod select;
pub mod serve;
pub mod verify;
pub mod wear;

mod words;

use std::path::Path;

use anyhow::{Context, Result, bail};
use ledger::Ledger;
use program::State;
use program::case::WrittenCase;
use serde::Serialize;

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
