//! All substances, found by number, name or synonym.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use crate::cas::body_and_digit;
use crate::limit;
use crate::table::{TableError, rows};
use crate::{Cas, Limit, Substance};

const TABLE: &str = "substances.csv";
const TEXT: &str = include_str!("../../../data/substances.csv");
/// How many near names a miss offers.
const OFFERED: usize = 3;

/// Every substance of the compiled-in tables.
#[derive(Debug, Clone)]
pub struct Catalogue {
    by_cas: BTreeMap<Cas, Substance>,
    by_name: BTreeMap<String, Cas>,
    limits_without_cas: Vec<Limit>,
}

/// No substance has that number or name.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("no substance is called `{asked}`{}", offer(.near))]
pub struct NotFound {
    /// What was asked for.
    pub asked: String,
    /// Names that are spelled nearly so, the nearest first.
    pub near: Vec<String>,
}

fn offer(near: &[String]) -> String {
    if near.is_empty() {
        return "\n  try its registry number, as on the safety data sheet".to_owned();
    }
    format!("\n  did you mean {}?", near.join(", or "))
}

impl Catalogue {
    /// The catalogue of the compiled-in tables.
    #[must_use]
    pub fn builtin() -> &'static Self {
        static BUILTIN: OnceLock<Catalogue> = OnceLock::new();
        // INVARIANT (sound tables): the tables are part of the program and a test reads every row,
        // so that a broken one never leaves the workshop; if it did, silence would be worse.
        BUILTIN.get_or_init(|| Self::read().unwrap_or_else(|error| panic!("{error}")))
    }

    /// Reads the compiled-in tables; an error names table, row and column.
    pub fn read() -> Result<Self, TableError> {
        let mut by_cas: BTreeMap<Cas, Substance> =
            rows(TABLE, TEXT, Substance::read)?.into_iter().map(|s| (s.cas(), s)).collect();
        let mut limits_without_cas = Vec::new();
        for (cas, limit) in limit::read_all()? {
            match cas {
                None => limits_without_cas.push(limit),
                Some(cas) => match by_cas.get_mut(&cas) {
                    Some(substance) => substance.limits.push(limit),
                    None => return Err(no_substance(cas, &limit)),
                },
            }
        }
        for (member, group) in limit::groups()? {
            let shared = by_cas.get(&group).map(|group| group.limits.clone()).unwrap_or_default();
            if let Some(member) = by_cas.get_mut(&member).filter(|m| m.limits.is_empty()) {
                member.limits = shared;
            }
        }
        let by_name = names(&by_cas)?;
        Ok(Self { by_cas, by_name, limits_without_cas })
    }

    /// The substance with this number.
    #[must_use]
    pub fn get(&self, cas: Cas) -> Option<&Substance> {
        self.by_cas.get(&cas)
    }

    /// The substance with this number, name or synonym; capitals, spaces and hyphens do not matter.
    ///
    /// A miss offers the names spelled most nearly so, or the number with its check digit put right.
    pub fn find(&self, text: &str) -> Result<&Substance, NotFound> {
        if let Some(found) = text.parse().ok().and_then(|cas| self.get(cas)) {
            return Ok(found);
        }
        self.by_name
            .get(&plain(text))
            .and_then(|cas| self.get(*cas))
            .ok_or_else(|| NotFound { asked: text.trim().to_owned(), near: self.near(text) })
    }

    /// At most `limit` substances whose number, name or synonym has `text` in it; names that start with
    /// it first, then shorter names first. Without any such, those spelled nearly so.
    #[must_use]
    pub fn search(&self, text: &str, limit: usize) -> Vec<&Substance> {
        let wanted = plain(text);
        if wanted.is_empty() {
            return Vec::new();
        }
        let mut hits: Vec<_> = self
            .by_name
            .iter()
            .filter(|(name, _)| name.contains(&wanted))
            .map(|(name, cas)| ((!name.starts_with(&wanted), name.len(), name.as_str()), *cas))
            .collect();
        hits.extend(self.by_cas.keys().filter_map(|cas| {
            cas.to_string().starts_with(text.trim()).then_some(((false, 0, ""), *cas))
        }));
        hits.sort_unstable();
        let mut found: Vec<&Substance> = Vec::new();
        let near = if hits.is_empty() { self.nearest(&wanted) } else { Vec::new() };
        for cas in hits.into_iter().map(|(_, cas)| cas).chain(near) {
            if found.len() < limit && !found.iter().any(|s| s.cas() == cas) {
                found.extend(self.get(cas));
            }
        }
        found
    }

    /// Every substance, by rising number.
    pub fn iter(&self) -> impl Iterator<Item = &Substance> {
        self.by_cas.values()
    }

    /// Limits of lines that carry no number: dusts and groups of compounds; the line is in `variant`.
    #[must_use]
    pub fn limits_without_cas(&self) -> &[Limit] {
        &self.limits_without_cas
    }

    fn near(&self, text: &str) -> Vec<String> {
        if let Some((body, _)) = body_and_digit(text.trim()) {
            let right = self.get(Cas::from_body(body));
            return right.map(|s| format!("{} ({})", s.cas(), s.name())).into_iter().collect();
        }
        let found = self.nearest(&plain(text));
        found.into_iter().filter_map(|cas| Some(self.get(cas)?.name().to_owned())).collect()
    }

    /// The few substances with a name within a third of its letters of `wanted`, the nearest first.
    fn nearest(&self, wanted: &str) -> Vec<Cas> {
        let allowed = (wanted.chars().count() / 3).max(1);
        let mut scored: Vec<_> = self
            .by_name
            .iter()
            .map(|(name, cas)| (strsim::damerau_levenshtein(wanted, name), name.len(), *cas))
            .filter(|(distance, _, _)| *distance <= allowed)
            .collect();
        scored.sort_unstable();
        let mut found: Vec<Cas> = Vec::new();
        for (_, _, cas) in scored {
            if found.len() < OFFERED && !found.contains(&cas) {
                found.push(cas);
            }
        }
        found
    }
}

/// Letters and digits alone, in lower case.
fn plain(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// Every name and synonym; two substances of one name are a contradiction.
fn names(by_cas: &BTreeMap<Cas, Substance>) -> Result<BTreeMap<String, Cas>, TableError> {
    let mut by_name = BTreeMap::new();
    for substance in by_cas.values() {
        let names = std::iter::once(substance.name())
            .chain(substance.synonyms().iter().map(String::as_str));
        for name in names {
            let other = by_name.insert(plain(name), substance.cas());
            if let Some(other) = other.filter(|other| *other != substance.cas()) {
                return Err(TableError {
                    table: TABLE,
                    row: substance.cas().to_string(),
                    column: "synonyms".to_owned(),
                    value: name.to_owned(),
                    reason: format!("{other} has this name as well"),
                });
            }
        }
    }
    // "Xylene (mixed isomers)" answers to "xylene" as well, where nothing else is called so.
    for substance in by_cas.values() {
        if let Some((short, _)) = substance.name().split_once(" (") {
            by_name.entry(plain(short)).or_insert(substance.cas());
        }
    }
    Ok(by_name)
}

fn no_substance(cas: Cas, limit: &Limit) -> TableError {
    TableError {
        table: "exposure_limits.csv",
        row: limit.row.clone(),
        column: "cas".to_owned(),
        value: cas.to_string(),
        reason: "substances.csv has no such number".to_owned(),
    }
}
