//! One file a command, each with its arguments, its run and its words.

pub mod air;
pub mod backup;
pub mod bath;
pub mod bring;
pub mod calibrate;
pub mod demo;
pub mod due;
pub mod export;
pub mod exposure;
pub mod fit;
pub mod forecast;
pub mod import;
pub mod life;
pub mod rebuild;
pub mod restore;
pub mod seal;
pub mod select;
pub mod serve;
pub mod verify;
pub mod wear;
pub mod what_if;

mod named;
mod words;

use std::io::ErrorKind;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::RecvTimeoutError;
use std::time::Duration;

use anyhow::{Context, Result, anyhow, bail};
use clap::Args;
use jiff::Timestamp;
use ledger::{Copied, Ledger, OpenError, Target};
use program::State;
use program::case::WrittenCase;
use serde::Serialize;
use sorbent::Progress;

use crate::say;

/// What a command came to, where its input was right.
pub enum Outcome {
    /// Allowed, or computed.
    Done,
    /// The verdict is stop, or what was looked at does not hold.
    Stop,
}

/// Reads a case file; a refusal names the file, the line and the key.
fn read_case(path: &Path) -> Result<WrittenCase> {
    let text = read_text(path, "case file")?;
    WrittenCase::read(&text).with_context(|| path.display().to_string())
}

/// Reads a text file; `what` says what it is to whom it is missing.
fn read_text(path: &Path, what: &str) -> Result<String> {
    String::from_utf8(read_bytes(path, what)?).map_err(|_| {
        anyhow!("the {what} {} is not text in UTF-8\n  save it as UTF-8", path.display())
    })
}

/// Reads a file.
fn read_bytes(path: &Path, what: &str) -> Result<Vec<u8>> {
    std::fs::read(path).map_err(|error| unread(path, what, &error))
}

/// Why a file was not read, and what puts it right.
fn unread(path: &Path, what: &str, error: &std::io::Error) -> anyhow::Error {
    let shown = path.display();
    match error.kind() {
        ErrorKind::NotFound => anyhow!(
            "there is no {what} {shown}\n  check its name; a path is looked for from the folder in which the command runs"
        ),
        ErrorKind::IsADirectory => {
            anyhow!("{shown} is a folder and no {what}\n  name a file in it")
        }
        ErrorKind::PermissionDenied => {
            anyhow!("the {what} {shown} may not be read\n  allow reading it, or copy it")
        }
        _ => anyhow!("the {what} {shown} cannot be read: {error}"),
    }
}

/// The device that the entries of a command name.
const DEVICE: &str = "command";

/// Reads an instant; a refusal says how one is written.
fn instant(text: &str) -> Result<Timestamp, String> {
    text.parse().map_err(|_| {
        "write the day, the time and the offset, such as 2026-11-25T08:00:00Z or 2026-11-25T08:00:00+01:00; left out, it means now"
            .to_owned()
    })
}

/// Runs `work`; after a second, says on standard error how far it is, and again as it comes on.
pub fn waiting<T: Send>(work: impl FnOnce(&Arc<Progress>) -> T + Send) -> T {
    let progress = Arc::new(Progress::default());
    let (ready, done) = std::sync::mpsc::channel::<()>();
    std::thread::scope(|scope| {
        let watched = Arc::clone(&progress);
        scope.spawn(move || {
            let mut seconds = 0_u32;
            // The sender is dropped when the work is done, which ends the wait.
            while done.recv_timeout(Duration::from_secs(1)) == Err(RecvTimeoutError::Timeout) {
                seconds = seconds.saturating_add(1);
                match watched.made() {
                    (_, 0) => say::progress(format_args!("working for {seconds} s")),
                    (made, all) => say::progress(format_args!("{made} of {all} samples")),
                }
            }
            say::end_progress();
        });
        let result = work(&progress);
        drop(ready);
        result
    })
}

/// Which ledger: every command that asks or fills one takes it by the same two options.
#[derive(Args)]
#[group(multiple = false)]
pub struct LedgerArguments {
    /// The ledger, kept in a file
    #[arg(long, value_name = "FILE")]
    ledger: Option<PathBuf>,
    /// The ledger, kept in a database of a PostgreSQL server, such as
    /// postgres://keeper@host/plant; a password is better given in PGPASSWORD or ~/.pgpass
    #[arg(long, value_name = "URL", value_parser = server)]
    database_url: Option<Target>,
}

/// A URL of a server, refused where it would name a file.
fn server(text: &str) -> Result<Target, String> {
    match text.parse() {
        Ok(target @ Target::Server(_)) => Ok(target),
        _ => Err("write postgres://user@host/database; a file is named with --ledger".to_owned()),
    }
}

impl LedgerArguments {
    fn target(&self) -> Result<Target> {
        match (&self.ledger, &self.database_url) {
            (Some(path), _) => Ok(Target::File(path.clone())),
            (None, Some(server)) => Ok(server.clone()),
            (None, None) => bail!("name the ledger with --ledger FILE or --database-url URL"),
        }
    }

    /// Opens a ledger that must be there: a mistyped path is told, not turned into an empty ledger.
    async fn open(&self) -> Result<Ledger> {
        if let Some(path) = self.ledger.as_ref().filter(|path| !path.is_file()) {
            bail!(
                "there is no ledger at {}; `breathworthy serve --new` makes an empty one, `breathworthy demo` one to try",
                path.display()
            );
        }
        self.open_or_make().await
    }

    /// Opens a ledger that must be there and of which only the entries are read: one that may not be
    /// written, such as a copy in an archive, is read as it stands.
    async fn open_to_read(&self) -> Result<Ledger> {
        match self.open().await {
            Ok(ledger) => Ok(ledger),
            Err(refused) => self.shut(refused).await,
        }
    }

    /// Opens a ledger that must be there and is only asked. One that may not be written answers where all
    /// was derived from its entries while it still might.
    async fn open_to_ask(&self) -> Result<Ledger> {
        let refused = match self.open().await {
            Ok(ledger) => return Ok(ledger),
            Err(refused) => refused,
        };
        let ledger = self.shut(refused).await?;
        // A ledger of an older version has nowhere to tell it.
        if ledger.is_derived().await.unwrap_or(false) {
            return Ok(ledger);
        }
        bail!(
            "the ledger {} may not be written, and not all that answers rest on was derived from its entries\n  copy it to where it may be written and ask the copy",
            self.target()?
        )
    }

    /// The ledger that may not be written, as it stands, where that is why it was refused.
    async fn shut(&self, refused: anyhow::Error) -> Result<Ledger> {
        let shut = match refused.downcast_ref::<OpenError>() {
            Some(OpenError::ReadOnly { .. }) => true,
            // A folder that may not be written is told by a file that cannot be opened.
            Some(OpenError::Unreachable { target: Target::File(_), .. }) => true,
            _ => false,
        };
        if shut && let Ok(ledger) = Ledger::open_to_read(self.target()?).await {
            return Ok(ledger);
        }
        Err(refused)
    }

    /// Fills a ledger, which is made where there is none; one that was made for what was then refused is
    /// taken away again.
    async fn fill<T>(&self, fill: impl AsyncFnOnce(&Ledger) -> Result<T>) -> Result<T> {
        let made = self.ledger.as_ref().filter(|path| !path.exists());
        let ledger = self.open_or_make().await?;
        let filled = fill(&ledger).await;
        ledger.close().await;
        if let (Err(_), Some(path)) = (&filled, made) {
            for beside in ["", "-wal", "-shm"] {
                let mut name = path.as_os_str().to_owned();
                name.push(beside);
                // What is left of an empty ledger does no harm.
                let _ = std::fs::remove_file(name);
            }
        }
        filled
    }

    /// Opens a ledger, and makes it where there is none.
    async fn open_or_make(&self) -> Result<Ledger> {
        let target = self.target()?;
        Ledger::open(&target).await.with_context(|| format!("cannot open the ledger {target}"))
    }
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

/// What a copy added, and where its chains end.
fn print_copied(copied: &Copied) {
    say!(
        "{} entries added, {} already kept, {} attachments added",
        copied.added,
        copied.already_known,
        copied.attachments_added
    );
    for chain in &copied.kept {
        say!("  {chain}");
    }
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
