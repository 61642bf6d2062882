//! Pieces that several pages share, each a template of its own, so that it escapes what it is given.

use askama::Template;
use rulebook::{Authority, Decision, Finding, Severity};

use crate::fields::Fields;

/// A field to type into, with its label, hint and what is wrong.
#[derive(Template)]
#[template(path = "parts/field.html")]
pub(crate) struct Field {
    name: String,
    label: String,
    hint: &'static str,
    value: String,
    error: Option<String>,
    list: &'static str,
    kind: &'static str,
    example: &'static str,
    required: bool,
}

impl Field {
    /// A text field that shows what `fields` holds under `name`.
    pub(crate) fn text(fields: &Fields, name: &'static str, label: &'static str) -> Self {
        Self::named(fields, name, label)
    }

    /// The same where name and words come from data.
    pub(crate) fn named(fields: &Fields, name: &str, label: &str) -> Self {
        Self {
            name: name.to_owned(),
            label: label.to_owned(),
            hint: "",
            value: fields.get(name).to_owned(),
            error: fields.why_wrong(name).map(str::to_owned),
            list: "",
            kind: "text",
            example: "",
            required: false,
        }
    }

    /// A line under the label.
    pub(crate) fn hint(self, hint: &'static str) -> Self {
        Self { hint, ..self }
    }

    /// Offers the values of the list with this id.
    pub(crate) fn list(self, list: &'static str) -> Self {
        Self { list, ..self }
    }

    /// Another kind of input: `search`, `datetime-local`; `lines` or `few-lines`.
    pub(crate) fn kind(self, kind: &'static str) -> Self {
        Self { kind, ..self }
    }

    /// Shows an answer that is right where there is no other line under the label.
    pub(crate) fn such_as(self, example: &'static str) -> Self {
        Self { example, ..self }
    }

    /// How many lines it shows at once; none for an input of one line.
    fn rows(&self) -> Option<u8> {
        match self.kind {
            "lines" => Some(9),
            "few-lines" => Some(3),
            _ => None,
        }
    }

    /// Must be filled in.
    pub(crate) fn required(self) -> Self {
        Self { required: true, ..self }
    }
}

/// A field to choose from few values.
#[derive(Template)]
#[template(path = "parts/choice.html")]
pub(crate) struct Choice {
    name: String,
    label: String,
    hint: &'static str,
    error: Option<String>,
    options: Vec<(String, String, bool)>,
}

impl Choice {
    /// The choice among `options`, each a value and its words; what `fields` holds is chosen.
    pub(crate) fn of<'a>(
        fields: &Fields,
        (name, label): (&'static str, &'static str),
        options: impl IntoIterator<Item = (&'a str, &'a str)>,
    ) -> Self {
        Self::named(fields, name, label, options)
    }

    /// The same where name and words come from data.
    pub(crate) fn named<'a>(
        fields: &Fields,
        name: &str,
        label: &str,
        options: impl IntoIterator<Item = (&'a str, &'a str)>,
    ) -> Self {
        let chosen = fields.get(name);
        let options = options
            .into_iter()
            .map(|(value, words)| (value.to_owned(), words.to_owned(), value == chosen))
            .collect();
        let error = fields.why_wrong(name).map(str::to_owned);
        let (name, label) = (name.to_owned(), label.to_owned());
        Self { name, label, hint: "", error, options }
    }

    /// A line under the label.
    pub(crate) fn hint(self, hint: &'static str) -> Self {
        Self { hint, ..self }
    }
}

/// Boxes to tick, any of them.
#[derive(Template)]
#[template(path = "parts/boxes.html")]
pub(crate) struct Boxes {
    name: &'static str,
    label: &'static str,
    hint: &'static str,
    error: Option<String>,
    options: Vec<(String, String, bool)>,
}

impl Boxes {
    /// The boxes, each with its own name, its words and whether it is ticked.
    pub(crate) fn of(
        fields: &Fields,
        (name, label): (&'static str, &'static str),
        options: Vec<(String, String, bool)>,
    ) -> Self {
        let error = fields.why_wrong(name).map(str::to_owned);
        Self { name, label, hint: "", error, options }
    }

    /// A line under the label.
    pub(crate) fn hint(self, hint: &'static str) -> Self {
        Self { hint, ..self }
    }
}

/// The decision, large: a word and a shape, so that colour is never alone.
#[derive(Template)]
#[template(path = "parts/verdict.html")]
pub(crate) struct Verdict {
    pub(crate) allowed: bool,
    pub(crate) word: &'static str,
    pub(crate) line: String,
}

impl Verdict {
    /// The verdict on a wear.
    pub(crate) fn on_wear(decision: Decision, line: String) -> Self {
        match decision {
            Decision::Allowed => Self { allowed: true, word: "May wear", line },
            Decision::Stop => Self { allowed: false, word: "Stop", line },
        }
    }
}

/// The findings of an answer, those that stop first.
#[derive(Template)]
#[template(path = "parts/findings.html")]
pub(crate) struct Findings {
    groups: Vec<Group>,
}

struct Group {
    heading: &'static str,
    findings: Vec<FindingView>,
}

struct FindingView {
    id: &'static str,
    class: &'static str,
    word: &'static str,
    text: String,
    remedy: String,
    citation: String,
    memory: &'static str,
    evidence: Vec<String>,
}

impl Findings {
    /// Every finding, grouped by what it means.
    pub(crate) fn of(findings: &[Finding]) -> Self {
        let groups = [
            (Severity::Stop, "Why not, and what puts it right"),
            (Severity::Caution, "Take care"),
            (Severity::Note, "Good to know"),
        ];
        let groups = groups.map(|(severity, heading)| Group {
            heading,
            findings: findings
                .iter()
                .filter(|finding| finding.severity == severity)
                .map(FindingView::of)
                .collect(),
        });
        Self { groups: groups.into_iter().filter(|group| !group.findings.is_empty()).collect() }
    }
}

impl FindingView {
    fn of(finding: &Finding) -> Self {
        let (class, word) = match finding.severity {
            Severity::Stop => ("stop", "Stop"),
            Severity::Caution => ("caution", "Caution"),
            Severity::Note => ("note", "Note"),
        };
        let memory = match finding.rule.authority {
            // Where nothing is cited, the citation says so itself.
            Authority::Read | Authority::Necessity | Authority::CommonPractice => "",
            Authority::Memory => "cited from memory: confirm before relying on it",
        };
        Self {
            id: finding.rule.id,
            class,
            word,
            text: finding.text(),
            remedy: finding.remedy(),
            citation: finding.citation().to_owned(),
            memory,
            evidence: finding.evidence.clone(),
        }
    }
}
