//! What the codes mean with which the two databases refuse.

use sqlx::postgres::PgDatabaseError;

/// A refusal that a person can do something about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Refusal {
    /// There is no room on the disk.
    Full,
    /// Writing is not allowed.
    ReadOnly,
    /// The disk reports an error.
    Disk,
    /// The file is something else than a database.
    NotADatabase,
}

impl Refusal {
    /// The refusal in `error`, where it is one of these.
    ///
    /// Source: the result codes of SQLite (the low byte is the primary one) and the error codes of
    /// PostgreSQL 15, appendix A.
    pub(crate) fn of(error: &sqlx::Error) -> Option<Self> {
        let database = error.as_database_error()?;
        let code = database.code()?;
        if database.try_downcast_ref::<PgDatabaseError>().is_some() {
            return match code.as_ref() {
                "53100" => Some(Self::Full),
                "25006" | "42501" => Some(Self::ReadOnly),
                "58030" => Some(Self::Disk),
                _ => None,
            };
        }
        match code.parse::<i32>().ok()? & 0xff {
            3 | 8 => Some(Self::ReadOnly),
            10 => Some(Self::Disk),
            13 => Some(Self::Full),
            26 => Some(Self::NotADatabase),
            _ => None,
        }
    }
}
