//! What becomes of each row.

use jiff::Timestamp;
use rulebook::wearer::fit_factor;
use serde::Serialize;
use sha2::{Digest, Sha256};

use super::columns::ColumnUse;
use super::kind::Kind;
use super::row::{Draft, Refusal};
use crate::entry::{Entry, Fact, FitMethod};
use crate::ids::{EntryId, SiteId};
use crate::state::State;

/// Every row of a table and what becomes of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Preview {
    /// What was brought.
    pub kind: Kind,
    /// To which site.
    pub site: SiteId,
    /// Each column, also those that are left aside.
    pub columns: Vec<ColumnUse>,
    /// Each value that was given for every row.
    pub every_row: Vec<(String, String)>,
    /// Each row, in the order of the table.
    pub rows: Vec<RowFate>,
}

/// One row and what becomes of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RowFate {
    /// Its line in the file.
    pub line: usize,
    /// Each field that it fills, as it was understood.
    pub understood: Vec<(&'static str, String)>,
    /// What a new row will stand in the way of.
    pub stands_against: Vec<String>,
    /// What becomes of it.
    pub fate: Fate,
}

/// What becomes of a row.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fate {
    /// It adds this entry.
    New(Box<Entry>),
    /// It says what is known already, and adds nothing.
    Known {
        /// Where it is known from.
        because: String,
    },
    /// It adds nothing, for these reasons.
    Refused(Vec<Refusal>),
}

/// What a new entry will stand in the way of: a measured fit that was brought as passed, and is too low.
pub(super) fn stands_against(state: &State, fate: &Fate) -> Vec<String> {
    let Fate::New(entry) = fate else { return Vec::new() };
    let Fact::FitTested { model, method: FitMethod::Quantitative { fit_factor }, .. } = &entry.fact
    else {
        return Vec::new();
    };
    let Some(model) = state.model(model) else { return Vec::new() };
    let least = fit_factor::least(model.device.facepiece);
    let too_low = model.device.facepiece.is_tight_fitting() && *fit_factor < least;
    let words = format!(
        "the fit factor {fit_factor} is below {least}, which a {} needs ({}): whatever was said of the result, nobody may wear it by this test",
        model.device.facepiece,
        fit_factor::RULE.citation
    );
    too_low.then_some(words).into_iter().collect()
}

impl Preview {
    /// The entries that the rows add.
    #[must_use]
    pub fn entries(&self) -> Vec<Entry> {
        let new = self.rows.iter().filter_map(|row| match &row.fate {
            Fate::New(entry) => Some(entry.as_ref().clone()),
            Fate::Known { .. } | Fate::Refused(_) => None,
        });
        new.collect()
    }

    /// How many rows are new, known and refused.
    #[must_use]
    pub fn counts(&self) -> (usize, usize, usize) {
        self.rows.iter().fold((0, 0, 0), |(new, known, refused), row| match row.fate {
            Fate::New(_) => (new + 1, known, refused),
            Fate::Known { .. } => (new, known + 1, refused),
            Fate::Refused(_) => (new, known, refused + 1),
        })
    }

    /// The columns that fill nothing.
    #[must_use]
    pub fn left_aside(&self) -> Vec<&str> {
        let aside = self.columns.iter().filter(|column| column.fills.is_none());
        aside.map(|column| column.head.as_str()).collect()
    }

    /// A mark of what would be written: the same for the same new entries, another for any others.
    /// Who confirms a preview sends it back, so that what is written is what was shown.
    #[must_use]
    pub fn mark(&self) -> String {
        let mut hash = Sha256::new();
        for entry in self.entries() {
            hash.update(entry.id.as_str());
            hash.update([0]);
        }
        hex(&hash.finalize())
    }
}

/// The id of what `draft` says at `site`: the same for the same fact, whoever brings it and when, so
/// that a second bringing adds nothing. It is long enough (128 bits) that no two facts meet in one.
pub(super) fn entry_id(site: &SiteId, draft: &Draft) -> EntryId {
    let when = draft.when.map(|when| when.at);
    let told = (site, &draft.fact, when.map(Timestamp::as_microsecond));
    let mut hash = Sha256::new();
    hash.update("brought.1\0");
    // A fact is plain data: it can always be written as text.
    hash.update(serde_json::to_string(&told).unwrap_or_else(|_| format!("{told:?}")));
    let digest = hex(&hash.finalize());
    EntryId::new(format!("brought-{}", digest.get(..32).unwrap_or(&digest)))
}

/// A mark of the bytes of a list: the same for the same bytes, another for any others (SHA-256).
#[must_use]
pub fn content_mark(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// What two facts of one kind say differently, by the names of their parts.
pub(super) fn differences(one: &Fact, other: &Fact) -> Vec<String> {
    let parts = |fact| match serde_json::to_value(fact) {
        Ok(serde_json::Value::Object(parts)) => parts,
        _ => serde_json::Map::new(),
    };
    let (one, other) = (parts(one), parts(other));
    let names: std::collections::BTreeSet<&String> = one.keys().chain(other.keys()).collect();
    let differ = names.into_iter().filter(|name| one.get(*name) != other.get(*name));
    differ.map(|name| name.replace('_', " ")).collect()
}
