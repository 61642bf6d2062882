//! Answers as lines for a terminal.

use rulebook::{Decision, Finding};

/// The verdict, large.
pub fn verdict(decision: Decision) -> &'static str {
    match decision {
        Decision::Allowed => "MAY WEAR",
        Decision::Stop => "STOP",
    }
}

/// Each finding with its remedy and citation.
pub fn findings(findings: &[Finding]) {
    for finding in findings {
        say!("  {:<8} {}", finding.severity.to_string(), finding.text());
        say!("           do: {}", finding.remedy());
        say!("           {} [{}]", finding.citation(), finding.rule.id);
    }
}

/// Minutes as a person says them.
pub fn minutes(minutes: f64) -> String {
    if !minutes.is_finite() {
        "never reached".to_owned()
    } else if minutes >= 120.0 {
        format!("{minutes:.0} min ({:.1} h)", minutes / 60.0)
    } else {
        format!("{minutes:.1} min")
    }
}
