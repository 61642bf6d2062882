//! The protocols as their table gives them.

use std::sync::OnceLock;

use serde::Serialize;

use super::{FitError, Mask};
use crate::table::{Row, TableError, loud, read_table};
use crate::{Device, ElementKind, Elements};

/// Whether a protocol gives a number or a yes and no.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TestKind {
    /// By taste, smell or irritation.
    Qualitative,
    /// By a measured fit factor.
    Quantitative,
}

/// Whether a protocol serves a facepiece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Allowed {
    /// It does.
    Yes,
    /// It does under the condition that stands beside it.
    Only,
    /// It does not.
    No,
}

/// Whether a protocol serves a respirator with the elements that it takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Suits {
    /// It does.
    Yes,
    /// It does under this condition, and the listing does not tell whether that holds.
    Unknown(String),
    /// It does not, for this reason.
    No(String),
}

/// What a protocol says of one facepiece: a row of `data/fit_protocol_facepieces.csv`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Allowance {
    /// The facepiece.
    pub mask: Mask,
    /// Whether it is served.
    pub allowed: Allowed,
    /// The condition or the reason; empty where there is none.
    pub condition: String,
    /// Paragraph.
    pub citation: String,
    /// Whether the paragraph says it, or it is inferred from what the test needs.
    pub inferred: bool,
}

/// One exercise of a protocol: a row of `data/fit_protocols.csv`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Exercise {
    /// Its place, from 1.
    pub number: u8,
    /// What the wearer does.
    pub name: String,
    /// How long; none where no time is printed.
    pub seconds: Option<f64>,
    /// What is measured or watched meanwhile.
    pub measurement: String,
    /// Whether it counts in the overall fit factor; always so where there is none to compute.
    pub counts: bool,
    /// Paragraph.
    pub citation: String,
}

/// A fit-test protocol.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Protocol {
    /// Stable id, such as `QNFT-CNC`.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Whether it gives a number.
    pub kind: TestKind,
    /// What is tasted, smelled or counted.
    pub agent: String,
    /// How the agent is made up and what must be fitted.
    pub recipe: String,
    /// Which respirators it is for, in words.
    pub allowed_for: String,
    /// What it says of each facepiece.
    pub facepieces: Vec<Allowance>,
    /// Least overall fit factor of a half mask.
    pub least_half: Option<f64>,
    /// Least overall fit factor of a full facepiece.
    pub least_full: Option<f64>,
    /// What passing is, in words.
    pub pass_rule: String,
    /// How the overall fit factor comes about, in words.
    pub overall_rule: String,
    /// The exercises, in their order.
    pub exercises: Vec<Exercise>,
    /// Paragraph.
    pub citation: String,
}

impl Protocol {
    /// The exercise of this number.
    #[must_use]
    pub fn exercise(&self, number: u8) -> Option<&Exercise> {
        self.exercises.iter().find(|exercise| exercise.number == number)
    }

    /// What the protocol says of a facepiece.
    #[must_use]
    pub fn allowance(&self, mask: Mask) -> Option<&Allowance> {
        self.facepieces.iter().find(|allowance| allowance.mask == mask)
    }

    /// Least overall fit factor of a facepiece; none for a test without a number. A quarter mask
    /// and a filtering facepiece are held to the mark of a half mask.
    #[must_use]
    pub fn least(&self, mask: Mask) -> Option<f64> {
        match mask {
            Mask::FullFacepiece => self.least_full,
            Mask::QuarterMask | Mask::HalfMask | Mask::FilteringFacepiece => self.least_half,
        }
    }

    /// Whether the protocol serves `device`, which takes the kinds of element `approved`; none where
    /// they are not known. A filtering facepiece is made of them.
    ///
    /// Source: `data/fit_protocol_facepieces.csv`; that isoamyl acetate needs organic vapour cartridges,
    /// irritant smoke and a generated aerosol filters of class P100 or HEPA: 29 CFR 1910.134 App. A
    /// Part I.B.2, B.5 and C.2.
    #[must_use]
    pub fn suits(&self, device: &Device, approved: Option<&[&Elements]>) -> Suits {
        let Some(mask) = Mask::of(device) else { return Suits::Yes };
        let allowance = self.allowance(mask);
        if let Some(allowance) = allowance.filter(|one| one.allowed == Allowed::No) {
            let why = &allowance.condition;
            return Suits::No(format!("{} is not for a {mask}: {why}", self.name));
        }
        // A facepiece that brings its air is tested with elements that it does not wear otherwise.
        let Some(needed) = self.needs().filter(|_| device.air_source.purifies_air()) else {
            return Suits::Yes;
        };
        let Some(approved) = approved else {
            return Suits::Unknown(format!("with {} fitted", needed.words()));
        };
        let mut served = approved.iter().map(|elements| needed.is_met_by(elements));
        let met = if device.filtering_facepiece {
            !approved.is_empty() && served.all(|met| met)
        } else {
            served.any(|met| met)
        };
        if met {
            return Suits::Yes;
        }
        let lacks = if device.filtering_facepiece { "is made of none" } else { "takes none" };
        Suits::No(format!("{} needs {}, and this model {lacks}", self.name, needed.words()))
    }

    /// What must be fitted so that the agent comes in by the seal alone.
    fn needs(&self) -> Option<Needed> {
        match self.id.as_str() {
            "QLFT-IAA" => Some(Needed::OrganicVapour),
            "QLFT-SMOKE" | "QNFT-GEN" => Some(Needed::HighEfficiency),
            _ => None,
        }
    }

    /// Whether the protocol measures leakage under a held vacuum, so that there is nothing to count.
    #[must_use]
    pub fn counts_nothing(&self) -> bool {
        self.id.starts_with("QNFT-CNP")
    }

    /// Whether the paragraph itself prints the formula of the overall fit factor.
    #[must_use]
    pub fn prints_formula(&self) -> bool {
        matches!(self.id.as_str(), "QNFT-GEN" | "QNFT-CNP-REDON")
    }
}

/// What a protocol needs fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Needed {
    OrganicVapour,
    HighEfficiency,
}

impl Needed {
    const fn words(self) -> &'static str {
        match self {
            Self::OrganicVapour => "organic vapour cartridges",
            Self::HighEfficiency => "filters of class P100 or HEPA",
        }
    }

    fn is_met_by(self, elements: &Elements) -> bool {
        match self {
            Self::OrganicVapour => elements.against.contains(&ElementKind::OrganicVapour),
            Self::HighEfficiency => {
                elements.filter.is_some_and(|filter| filter.is_high_efficiency())
            }
        }
    }
}

/// Every protocol, in the order of the table.
#[must_use]
pub fn protocols() -> &'static [Protocol] {
    static ROWS: OnceLock<Vec<Protocol>> = OnceLock::new();
    ROWS.get_or_init(|| loud(read_protocols()))
}

/// The protocol of this id; refuses an id that is not in the table, with the ids that are.
pub fn protocol(id: &str) -> Result<&'static Protocol, FitError> {
    let asked = id.trim();
    protocols().iter().find(|known| known.id.eq_ignore_ascii_case(asked)).ok_or_else(|| {
        let known = protocols().iter().map(|p| p.id.as_str()).collect::<Vec<_>>().join(", ");
        FitError::UnknownProtocol { asked: asked.to_owned(), known }
    })
}

fn read_protocols() -> Result<Vec<Protocol>, TableError> {
    let text = include_str!("../../../../data/fit_protocols.csv");
    let rows =
        read_table("fit_protocols.csv", text, |row| Ok((read_head(row)?, read_exercise(row)?)))?;
    let mut protocols: Vec<Protocol> = Vec::new();
    for (head, exercise) in rows {
        match protocols.last_mut() {
            Some(last) if last.id == head.id => last.exercises.push(exercise),
            _ => protocols.push(Protocol { exercises: vec![exercise], ..head }),
        }
    }
    let text = include_str!("../../../../data/fit_protocol_facepieces.csv");
    let allowances = read_table("fit_protocol_facepieces.csv", text, read_allowance)?;
    for (id, allowance) in allowances {
        if let Some(protocol) = protocols.iter_mut().find(|protocol| protocol.id == id) {
            protocol.facepieces.push(allowance);
        }
    }
    Ok(protocols)
}

fn read_head(row: &Row<'_>) -> Result<Protocol, TableError> {
    let kind = match row.text("test_kind")? {
        "QLFT" => TestKind::Qualitative,
        "QNFT" => TestKind::Quantitative,
        other => return Err(row.broken("test_kind", &format!("`{other}` is no known kind"))),
    };
    Ok(Protocol {
        id: row.required("protocol_id")?,
        name: row.required("protocol")?,
        kind,
        agent: row.required("agent")?,
        recipe: row.required("agent_recipe_and_filters")?,
        allowed_for: row.required("allowed_for")?,
        facepieces: Vec::new(),
        least_half: row.number("min_fit_factor_half")?,
        least_full: row.number("min_fit_factor_full")?,
        pass_rule: row.required("pass_rule")?,
        overall_rule: row.required("overall_fit_factor")?,
        exercises: Vec::new(),
        citation: row.required("citation")?,
    })
}

fn read_exercise(row: &Row<'_>) -> Result<Exercise, TableError> {
    let order = row.text("exercise_order")?;
    let number = order.parse().map_err(|_| row.broken("exercise_order", "not a whole number"))?;
    let counts = match row.text("counts_in_overall")? {
        "yes" | "n/a" => true,
        "no" => false,
        other => {
            return Err(row.broken("counts_in_overall", &format!("`{other}` is not yes or no")));
        }
    };
    Ok(Exercise {
        number,
        name: row.required("exercise")?,
        seconds: row.number("duration_s")?,
        measurement: row.required("measurement")?,
        counts,
        citation: row.required("exercise_citation")?,
    })
}

fn read_allowance(row: &Row<'_>) -> Result<(String, Allowance), TableError> {
    let mask = Mask::read(row.text("facepiece")?)
        .ok_or_else(|| row.broken("facepiece", "no known facepiece"))?;
    let allowed = match row.text("allowed")? {
        "yes" => Allowed::Yes,
        "only" => Allowed::Only,
        "no" => Allowed::No,
        other => return Err(row.broken("allowed", &format!("`{other}` is not yes, only or no"))),
    };
    let allowance = Allowance {
        mask,
        allowed,
        condition: row.owned("condition")?,
        citation: row.required("citation")?,
        inferred: row.text("basis")? == "inferred",
    };
    Ok((row.required("protocol_id")?, allowance))
}
