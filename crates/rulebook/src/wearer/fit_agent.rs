//! Rule `fit.agent-fresh`: was what a fit test by taste or smell was done with within its time?

use super::WearerFacts;
use crate::fit_test::{CITED, FitAgent, WHY_FRESH};
use crate::{Authority, Finding, Rule};

/// What a fit test was done with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AgentUsed {
    /// What.
    pub agent: FitAgent,
    /// Whether it served at the time of the test; none where it is not written when it was made.
    pub served: Option<bool>,
}

/// # What it asks
/// Was what a fit test by taste or smell was done with within its time?
/// # Why
/// An old solution is weaker or stronger than it should be, and a nebuliser that was not rinsed clogs: then
/// nothing is noticed whatever the fit.
/// # Citation
/// 29 CFR 1910.134 App. A Part I.B.2(a)(3), B.2(a)(5), B.3(a)(14), B.4(a)(14).
/// # Example that passes
/// Tested by saccharin at 10:00 from a nebuliser filled at 08:00.
/// # Example that stops
/// Tested at 13:00 from a nebuliser filled at 08:00.
/// # Remedy
/// Fit test again with fresh solution; where the time was written wrongly, have the administrator of the
/// program correct the entry.
/// # Limits
/// Where it is not written when it was made, this is a caution: the screening shows that the wearer noticed
/// the agent. Asked of tests that were written down with their protocol.
pub static RULE: Rule = Rule {
    id: "fit.agent-fresh",
    asks: "Was what a fit test by taste or smell was done with within its time?",
    why: WHY_FRESH,
    citation: CITED,
    authority: Authority::Read,
    says: "the fit test of {wearer} with {model} size {size} {why}",
    remedy: "fit test {model} size {size} for {wearer} again with fresh agent; where the times were \
             written wrongly or left out, the administrator of the program may correct the entry",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &WearerFacts<'_>) -> Option<Finding> {
    let test = facts.tight_fit_test()?;
    let of = |served: Option<bool>| test.agents.iter().find(|used| used.served == served);
    let (finding, used, why) = if let Some(used) = of(Some(false)) {
        (Finding::stop(&RULE), used, "was done with what was past its time")
    } else {
        let used = of(None)?;
        (Finding::caution(&RULE), used, "does not say when this was made ready")
    };
    let why = format!("{why}: the {} {}", used.agent, used.agent.term());
    let finding = finding.with("wearer", facts.wearer).with("model", facts.model);
    let finding = finding.with("size", facts.size).with("why", why);
    Some(finding.citing(used.agent.citation()).resting_on(test.entry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Severity;
    use crate::wearer::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        use FitAgent::{OdourSolution, StockSolution};
        for (stock, odour, expected) in [
            (Some(true), Some(true), None),
            (Some(true), Some(false), Some(Severity::Stop)),
            (Some(false), None, Some(Severity::Stop)),
            (None, Some(true), Some(Severity::Caution)),
        ] {
            let change = |facts: &mut WearerFacts<'static>| {
                let used = [(StockSolution, stock), (OdourSolution, odour)];
                let used = used.map(|(agent, served)| AgentUsed { agent, served });
                sample::fit_test(facts).agents = used.to_vec();
                assert_eq!(check(facts).map(|found| found.severity), expected);
            };
            sample::check(change, check, expected.map(|_| "fit.agent-fresh"));
        }
    }
}
