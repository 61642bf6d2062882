//! Why a ledger could not be opened; the same words for a file and for a server.

use sqlx::SqlSafeStr;
use sqlx::migrate::{MigrateError, Migration, MigrationType, Migrator};
use thiserror::Error;

use crate::refusal::Refusal;
use crate::target::Target;

/// Why a ledger could not be opened.
#[derive(Debug, Error)]
pub enum OpenError {
    /// The file or its folder may not be written, or the user of the database may not.
    #[error(
        "the ledger `{target}` may not be written\n  allow writing: to the file and to its folder, or to the user of the database"
    )]
    ReadOnly {
        /// The ledger.
        target: Target,
    },
    /// The file or the database belongs to another program.
    #[error(
        "`{target}` is not a ledger of this program\n  name another, or one that does not exist yet or is empty"
    )]
    NotALedger {
        /// The file or database.
        target: Target,
    },
    /// A newer version of this program wrote the ledger.
    #[error(
        "the ledger `{target}` was written by a newer version (schema {found}, this version knows {known})\n  update this program; nothing was changed"
    )]
    NewerSchema {
        /// The ledger.
        target: Target,
        /// The schema in it.
        found: i64,
        /// The newest schema known here.
        known: i64,
    },
    /// An older version of this program wrote the ledger, which may only be read here.
    #[error(
        "the ledger `{target}` was written by an older version (schema {found}, the oldest that is read as it stands is {oldest})\n  copy it to where it may be written and open the copy"
    )]
    OlderSchema {
        /// The ledger.
        target: Target,
        /// The schema in it.
        found: i64,
        /// The oldest schema that is read as it stands.
        oldest: i64,
    },
    /// The server does not keep what it acknowledges.
    #[error(
        "the server of `{target}` runs with `{setting} = {value}`, and would lose entries it said are kept\n  set it to `{wanted}` and try again"
    )]
    NotDurable {
        /// The ledger.
        target: Target,
        /// The setting of the server.
        setting: &'static str,
        /// What it is.
        value: String,
        /// What it must be.
        wanted: &'static str,
    },
    /// The file or the database cannot be made or opened at all.
    #[error(
        "the ledger `{target}` cannot be opened: {source}\n  check that the folder exists and is not a file, or that the server runs and the database is made (createdb)"
    )]
    Unreachable {
        /// The ledger.
        target: Target,
        /// What the database said.
        source: sqlx::Error,
    },
    /// The schema could not be brought up to date.
    #[error("the ledger `{target}` could not be brought up to date: {source}")]
    Migration {
        /// The ledger.
        target: Target,
        /// What the database said.
        source: MigrateError,
    },
}

impl OpenError {
    /// What a refusal of the database means for the one who opens `target`.
    pub(crate) fn explain(target: &Target, error: sqlx::Error) -> Self {
        let target = target.clone();
        match Refusal::of(&error) {
            Some(Refusal::ReadOnly) => Self::ReadOnly { target },
            Some(Refusal::NotADatabase) => Self::NotALedger { target },
            _ => Self::Unreachable { target, source: error },
        }
    }

    /// The same for a migration.
    pub(crate) fn explain_migration(target: &Target, error: MigrateError) -> Self {
        match error {
            MigrateError::Execute(error) | MigrateError::ExecuteMigration(error, _) => {
                Self::explain(target, error)
            }
            source => Self::Migration { target: target.clone(), source },
        }
    }
}

/// The first schema with all that [`crate::Ledger::open_to_read`] reads: entries and attachments.
pub(crate) const OLDEST_READ: i64 = 3;

/// The migrations of one database, each with its number, its name and its text.
///
/// They are listed by hand and not by the macro of the driver, which would build the driver and
/// SQLite a second time for the compiler's own use.
pub(crate) fn migrator(files: &[(i64, &'static str, &'static str)]) -> Migrator {
    let migration = |(version, name, sql): &(i64, &'static str, &'static str)| {
        let kind = MigrationType::Simple;
        Migration::new(*version, (*name).into(), kind, (*sql).into_sql_str(), false)
    };
    Migrator::with_migrations(files.iter().map(migration).collect())
}

/// The newest schema that `migrator` knows.
pub(crate) fn newest(migrator: &Migrator) -> i64 {
    migrator.iter().map(|migration| migration.version).max().unwrap_or_default()
}
