//! Rule `program.consulted`: were the wearers asked within the interval of the site, on fit,
//! selection, use and maintenance?

use jiff::civil::Date;

use super::{ProgramFacts, Topic};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Were the wearers asked within the interval of the site, on fit, selection, use and
/// maintenance?
/// # Why
/// Who wears it all day knows first what is wrong with it.
/// # Citation
/// 29 CFR 1910.134(l)(2)(i)-(iv).
/// # Example that passes
/// Asked on all four this year.
/// # Example that stops
/// Asked on fit only.
/// # Remedy
/// Ask wearers on fit, right selection, proper use and maintenance; record and put right what
/// they say.
/// # Limits
/// The paragraph asks for it regularly; the site's own interval is taken, and a year where it has
/// none.
pub static RULE: Rule = Rule {
    id: "program.consulted",
    asks: "Were the wearers asked within the interval of the site, on fit, selection, use and \
           maintenance?",
    why: "Who wears it all day knows first what is wrong with it.",
    citation: "29 CFR 1910.134(l)(2)(i)-(iv)",
    authority: Authority::Read,
    says: "{state}",
    remedy: "ask wearers on fit, right selection, proper use and maintenance; record and put right \
             what they say",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &ProgramFacts<'_>) -> Option<Finding> {
    let finding = Finding::stop(&RULE);
    let until = |topic: &Topic| {
        let asked = facts.consulted.iter().filter(|asked| asked.topics.contains(topic));
        let latest = asked.map(|asked| asked.day).max();
        latest.map(|day| facts.consultation_counts.last_day(day))
    };
    let lacks = Topic::ALL.iter().map(|topic| (topic, until(topic)));
    let lacks = lacks.filter(|(_, until)| until.is_none_or(|until| until < facts.day));
    let lacks: Vec<(&Topic, Option<Date>)> = lacks.collect();
    // The list is what it is since the day after the last topic joined it.
    let since = lacks.iter().map(|(_, until)| *until).max()?;
    let lacks: Vec<&str> = lacks.iter().map(|(topic, _)| topic.words()).collect();
    let state = format!("the wearers were not asked in time on {}", lacks.join(", "));
    let finding = finding.with("state", state);
    let finding = facts.consulted.iter().fold(finding, |f, asked| f.resting_on(asked.entry));
    Some(match since {
        Some(until) => finding.after(until),
        None => finding,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn the_examples_of_the_doc_hold() {
        crate::site::sample::check(
            |facts| facts.consulted.clear(),
            check,
            Some("program.consulted"),
        );
        crate::site::sample::check(
            |facts| facts.consulted[0].topics.truncate(3),
            check,
            Some("program.consulted"),
        );
        crate::site::sample::check(
            |facts| facts.day = date(2027, 2, 2),
            check,
            Some("program.consulted"),
        );
    }
}
