//! Tests by taste, smell or irritation.

use serde::Serialize;

use super::{FitError, Mask, Protocol, TestKind, check_numbers, facepiece_finding, rules};
use crate::{Finding, Severity};

/// What the wearer reported during one exercise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Response {
    /// The number of the exercise in the protocol.
    pub exercise: u8,
    /// Whether the agent was tasted, smelled or felt, or made the wearer cough.
    pub noticed: bool,
}

/// A fit test by taste, smell or irritation.
#[derive(Debug, Clone, PartialEq)]
pub struct QualitativeTest {
    /// The protocol.
    pub protocol: &'static Protocol,
    /// The facepiece.
    pub mask: Mask,
    /// Whether the wearer noticed the weak agent in the screening before.
    pub screening_passed: Option<bool>,
    /// Whether the agent was shown to be there afterwards: by breaking the seal, or by the second
    /// sensitivity check with the same tube of smoke.
    pub agent_proved: Option<bool>,
    /// The exercises done, in any order.
    pub responses: Vec<Response>,
}

/// What a qualitative test came to.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct QualitativeAnswer {
    /// The method in words, as the protocol has it.
    pub method: &'static str,
    /// Id of the protocol.
    pub protocol: &'static str,
    /// Its name.
    pub name: &'static str,
    /// The facepiece.
    pub facepiece: Mask,
    /// Whether it passed.
    pub passed: bool,
    /// The exercises that are missing.
    pub missing: Vec<String>,
    /// What was reported.
    pub responses: Vec<Response>,
    /// Everything found.
    pub findings: Vec<Finding>,
    /// Where the method comes from.
    pub sources: Vec<String>,
}

/// The answer to a test by taste, smell or irritation.
///
/// Refuses a quantitative protocol and an exercise that stands twice or that the protocol lacks.
/// What was not done is no refusal but a finding that means stop.
///
/// Source: 29 CFR 1910.134 App. A Part I.A and B.
pub fn judge(test: &QualitativeTest) -> Result<QualitativeAnswer, FitError> {
    let protocol = test.protocol;
    if protocol.kind != TestKind::Qualitative {
        return Err(FitError::WrongKind {
            protocol: protocol.id.clone(),
            is: "a test by a measured fit factor",
            given: "what the wearer noticed",
            hint: "give the counts or the fit factor of each exercise",
        });
    }
    check_numbers(protocol, test.responses.iter().map(|r| r.exercise))?;
    let done = |number: u8| test.responses.iter().any(|response| response.exercise == number);
    let lacking = protocol.exercises.iter().filter(|exercise| !done(exercise.number));
    let missing: Vec<String> = lacking.map(|e| format!("{} ({})", e.number, e.name)).collect();
    let findings = findings(test, &missing);
    Ok(QualitativeAnswer {
        method: &protocol.pass_rule,
        protocol: &protocol.id,
        name: &protocol.name,
        facepiece: test.mask,
        passed: findings.iter().all(|finding| finding.severity != Severity::Stop),
        missing,
        responses: test.responses.clone(),
        findings,
        sources: vec![format!("{} (data/fit_protocols.csv, read)", protocol.citation)],
    })
}

fn findings(test: &QualitativeTest, missing: &[String]) -> Vec<Finding> {
    let protocol = test.protocol;
    let mut findings: Vec<Finding> = facepiece_finding(protocol, test.mask).into_iter().collect();
    if test.screening_passed != Some(true) {
        let state = match test.screening_passed {
            Some(_) => "the wearer did not notice the agent in the screening",
            None => "no screening is recorded",
        };
        findings.push(Finding::stop(&rules::SCREENING).with("state", state));
    }
    if !missing.is_empty() {
        let finding = Finding::stop(&rules::EXERCISES_MISSING);
        findings.push(finding.with("missing", missing.join(", ")));
    }
    for response in test.responses.iter().filter(|response| response.noticed) {
        let finding = Finding::stop(&rules::NOTICED).with("exercise", response.exercise);
        findings.push(finding.with("agent", &protocol.agent));
    }
    if proves_agent(protocol) && test.agent_proved != Some(true) {
        let state = match test.agent_proved {
            Some(_) => "the agent was not noticed afterwards, so nothing shows that it was there",
            None => "it is not recorded that the agent was shown to be there",
        };
        findings.push(Finding::stop(&rules::AGENT_PROVED).with("state", state));
    }
    findings.into_iter().map(|finding| cited(finding, protocol)).collect()
}

/// Whether the pass rule asks for a proof afterwards that the agent was there.
///
/// Source: 29 CFR 1910.134 App. A Part I.B.2 (break the seal) and B.5 (second check).
fn proves_agent(protocol: &Protocol) -> bool {
    matches!(protocol.id.as_str(), "QLFT-IAA" | "QLFT-SMOKE")
}

fn cited(finding: Finding, protocol: &Protocol) -> Finding {
    if finding.nearer_citation.is_some() { finding } else { finding.citing(&protocol.citation) }
}
