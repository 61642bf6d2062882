use std::fmt;

use jiff::civil::Date;
use serde::ser::SerializeStruct;
use serde::{Serialize, Serializer};

/// How far a rule's text can be trusted to be what its citation says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Authority {
    /// The cited text was read.
    Read,
    /// Known, not seen: to be confirmed by the site before it is relied upon.
    Memory,
    /// Usual in the trade; no published source is named.
    CommonPractice,
    /// A necessity of this program itself, such as a fact that no answer can do without.
    Necessity,
}

/// One rule: a question asked of the facts, in fixed parts.
///
/// `says` and `remedy` are templates; `{name}` stands for a value the finding carries.
#[derive(Debug, PartialEq)]
pub struct Rule {
    /// Stable code, words joined by dots and hyphens: `fit.in-date`.
    pub id: &'static str,
    /// The question, for a reader of the rule page.
    pub asks: &'static str,
    /// Why it is asked.
    pub why: &'static str,
    /// Paragraph of the published source.
    pub citation: &'static str,
    /// Whether that paragraph was read.
    pub authority: Authority,
    /// What is said when the rule finds something.
    pub says: &'static str,
    /// What puts it right.
    pub remedy: &'static str,
}

/// What a finding means for the wearer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// Worth knowing; nothing to do.
    Note,
    /// May go on, with care.
    Caution,
    /// May not go on.
    Stop,
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Note => "note",
            Self::Caution => "caution",
            Self::Stop => "stop",
        })
    }
}

/// What one rule found, with the data it found and the entries it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// The rule.
    pub rule: &'static Rule,
    /// What it means.
    pub severity: Severity,
    /// The values that fill the rule's templates, in the order they were given.
    pub values: Vec<(&'static str, String)>,
    /// Ids of the entries the finding rests on.
    pub evidence: Vec<String>,
    /// A paragraph nearer to the case than the rule's own, such as a row of a substance table.
    pub nearer_citation: Option<String>,
    /// The first day on which it is found, where a date decides; none where it is found on any day.
    ///
    /// INVARIANT (found for good): with the same facts, what is found on one day is found on every
    /// later day.
    pub since: Option<Date>,
}

impl Finding {
    /// A finding of `rule`, with no values yet.
    #[must_use]
    pub fn new(rule: &'static Rule, severity: Severity) -> Self {
        Self {
            rule,
            severity,
            values: Vec::new(),
            evidence: Vec::new(),
            nearer_citation: None,
            since: None,
        }
    }

    /// A finding that means stop.
    #[must_use]
    pub fn stop(rule: &'static Rule) -> Self {
        Self::new(rule, Severity::Stop)
    }

    /// A finding that asks for care.
    #[must_use]
    pub fn caution(rule: &'static Rule) -> Self {
        Self::new(rule, Severity::Caution)
    }

    /// A finding to know of.
    #[must_use]
    pub fn note(rule: &'static Rule) -> Self {
        Self::new(rule, Severity::Note)
    }

    /// Adds the value that stands for `{name}` in the rule's templates.
    #[must_use]
    pub fn with(mut self, name: &'static str, value: impl ToString) -> Self {
        self.values.push((name, value.to_string()));
        self
    }

    /// Names an entry the finding rests on.
    #[must_use]
    pub fn resting_on(mut self, entry: impl ToString) -> Self {
        self.evidence.push(entry.to_string());
        self
    }

    /// Cites a paragraph nearer to the case than the rule's own.
    #[must_use]
    pub fn citing(mut self, citation: impl ToString) -> Self {
        self.nearer_citation = Some(citation.to_string());
        self
    }

    /// Tells the last day on which all was well: found from the day after `until` on.
    #[must_use]
    pub fn after(mut self, until: Date) -> Self {
        // After the last day of the calendar no day follows on which this could be asked.
        self.since = Some(until.tomorrow().unwrap_or(until));
        self
    }

    /// The paragraph to show.
    #[must_use]
    pub fn citation(&self) -> &str {
        self.nearer_citation.as_deref().unwrap_or(self.rule.citation)
    }

    /// What was found, in words.
    #[must_use]
    pub fn text(&self) -> String {
        fill(self.rule.says, &self.values)
    }

    /// What puts it right, in words.
    #[must_use]
    pub fn remedy(&self) -> String {
        fill(self.rule.remedy, &self.values)
    }
}

/// Replaces each `{name}` by its value; a name without a value stays visible, and a test of the
/// rule that forgot it fails.
fn fill(template: &str, values: &[(&'static str, String)]) -> String {
    values.iter().fold(template.to_owned(), |text, (name, value)| {
        text.replace(&format!("{{{name}}}"), value)
    })
}

impl Serialize for Finding {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut out = serializer.serialize_struct("Finding", 7)?;
        out.serialize_field("id", self.rule.id)?;
        out.serialize_field("severity", &self.severity)?;
        out.serialize_field("citation", self.citation())?;
        out.serialize_field("authority", &self.rule.authority)?;
        out.serialize_field("text", &self.text())?;
        out.serialize_field("remedy", &self.remedy())?;
        out.serialize_field("evidence", &self.evidence)?;
        out.end()
    }
}

/// The answer that all findings together give.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Decision {
    /// No finding means stop.
    Allowed,
    /// At least one finding means stop.
    Stop,
}

/// Stop if any finding means stop; none hides another, so all are kept by the caller.
#[must_use]
pub fn decide(findings: &[Finding]) -> Decision {
    if findings.iter().any(|f| f.severity == Severity::Stop) {
        Decision::Stop
    } else {
        Decision::Allowed
    }
}
