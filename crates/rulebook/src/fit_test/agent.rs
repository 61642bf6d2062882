//! What a test by taste or smell is done with, and for how long it serves once it is made.

use std::fmt;

use jiff::civil::{Date, DateTime};
use jiff::{SignedDuration, Span};
use serde::{Deserialize, Serialize};

use super::protocol::protocol;
use super::rules::AGENT_RENEWED;
use crate::Finding;

/// What is made up, or rinsed and filled, anew for tests by taste or smell.
///
/// Source: 29 CFR 1910.134 App. A Part I.B.2(a)(3) and (5), B.3(a)(14), B.4(a)(14).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FitAgent {
    /// Isoamyl acetate in water, from which the odour test solution is made.
    StockSolution,
    /// The weak solution in the odour jar.
    OdourSolution,
    /// A nebuliser with a solution of saccharin.
    SaccharinNebuliser,
    /// A nebuliser with a solution of denatonium benzoate.
    BitterNebuliser,
}

/// Why what tests by taste or smell are done with is to be within its time, for every rule that asks it.
pub(crate) const WHY_FRESH: &str = "An old solution is weaker or stronger than it should be, and a \
     nebuliser that was not rinsed clogs: then nothing is noticed whatever the fit.";

/// Where that stands for all of them together.
pub(crate) const CITED: &str =
    "29 CFR 1910.134 App. A Part I.B.2(a)(3), B.2(a)(5), B.3(a)(14), B.4(a)(14)";

/// How long the stock solution serves, in days: it is made at least weekly.
const STOCK_DAYS: i64 = 7;

/// How long a filling of a nebuliser serves where another half of the day has begun.
const NEBULISER: SignedDuration = SignedDuration::from_hours(4);

impl FitAgent {
    /// Every one.
    pub const ALL: [Self; 4] =
        [Self::StockSolution, Self::OdourSolution, Self::SaccharinNebuliser, Self::BitterNebuliser];

    /// What a protocol is done with.
    #[must_use]
    pub fn of_protocol(id: &str) -> &'static [Self] {
        match protocol(id).map_or("", |known| known.id.as_str()) {
            "QLFT-IAA" => &[Self::StockSolution, Self::OdourSolution],
            "QLFT-SAC" => &[Self::SaccharinNebuliser],
            "QLFT-BIT" => &[Self::BitterNebuliser],
            _ => &[],
        }
    }

    /// Where that stands.
    #[must_use]
    pub const fn citation(self) -> &'static str {
        match self {
            Self::StockSolution => "29 CFR 1910.134 App. A Part I.B.2(a)(3)",
            Self::OdourSolution => "29 CFR 1910.134 App. A Part I.B.2(a)(5)",
            Self::SaccharinNebuliser => "29 CFR 1910.134 App. A Part I.B.3(a)(14)",
            Self::BitterNebuliser => "29 CFR 1910.134 App. A Part I.B.4(a)(14)",
        }
    }

    /// How long it serves, in words.
    #[must_use]
    pub const fn term(self) -> &'static str {
        match self {
            Self::StockSolution => "is made fresh at least weekly",
            Self::OdourSolution => "serves for one day",
            Self::SaccharinNebuliser | Self::BitterNebuliser => {
                "is rinsed and filled again each morning and afternoon, or every four hours"
            }
        }
    }

    /// The last day on which what was made on `made` may serve.
    #[must_use]
    pub fn last_day(self, made: Date) -> Date {
        match self {
            Self::StockSolution => {
                made.checked_add(Span::new().days(STOCK_DAYS)).unwrap_or(Date::MAX)
            }
            Self::OdourSolution | Self::SaccharinNebuliser | Self::BitterNebuliser => made,
        }
    }

    /// That a bottle or nebuliser with the tag `item`, made ready on `made`, is past its time on `day`.
    #[must_use]
    pub fn past(self, (item, made): (&str, Date), day: Date, entry: &str) -> Option<Finding> {
        let until = self.last_day(made);
        let finding = Finding::stop(&AGENT_RENEWED).with("item", item).with("agent", self);
        let finding = finding.with("until", until).with("term", self.term());
        let finding = finding.citing(self.citation()).resting_on(entry).after(until);
        (until < day).then_some(finding)
    }

    /// Whether what was made at `made` serves at `at`, both on the clock of the site and so long `apart`: not
    /// before it was made, nor past its time.
    #[must_use]
    pub fn serves(self, made: DateTime, at: DateTime, apart: SignedDuration) -> bool {
        let afternoon = |when: DateTime| 12 <= when.hour();
        let same_half = afternoon(made) == afternoon(at);
        let nebuliser = matches!(self, Self::SaccharinNebuliser | Self::BitterNebuliser);
        let fresh = !nebuliser || same_half || apart <= NEBULISER;
        !apart.is_negative() && at.date() <= self.last_day(made.date()) && fresh
    }
}

impl fmt::Display for FitAgent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::StockSolution => "isoamyl acetate stock solution",
            Self::OdourSolution => "odour test solution",
            Self::SaccharinNebuliser => "nebuliser with saccharin",
            Self::BitterNebuliser => "nebuliser with the bitter agent",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: 29 CFR 1910.134 App. A Part I.B.2(a)(3) and (5), B.3(a)(14), B.4(a)(14); days by hand.
    #[test]
    fn each_serves_for_its_own_time() {
        use FitAgent::{BitterNebuliser, OdourSolution, SaccharinNebuliser, StockSolution};
        for (agent, made, when, serves) in [
            (StockSolution, "2026-05-04T09:00", "2026-05-11T17:00", true),
            (StockSolution, "2026-05-04T09:00", "2026-05-12T07:00", false),
            (OdourSolution, "2026-05-04T07:00", "2026-05-04T18:00", true),
            (OdourSolution, "2026-05-04T23:50", "2026-05-05T00:10", false),
            (SaccharinNebuliser, "2026-05-04T07:00", "2026-05-04T11:50", true),
            (SaccharinNebuliser, "2026-05-04T09:30", "2026-05-04T13:30", true),
            (SaccharinNebuliser, "2026-05-04T09:30", "2026-05-04T13:31", false),
            (BitterNebuliser, "2026-05-04T12:30", "2026-05-04T17:30", true),
            (BitterNebuliser, "2026-05-04T07:00", "2026-05-04T12:10", false),
            (BitterNebuliser, "2026-05-03T16:00", "2026-05-04T16:00", false),
            // Nothing serves before it is made.
            (StockSolution, "2026-05-04T09:00", "2026-05-04T08:59", false),
            (BitterNebuliser, "2026-05-04T09:00", "2026-05-04T08:59", false),
        ] {
            let [made, when] = [made, when].map(|text| text.parse::<DateTime>().unwrap());
            let apart = made.duration_until(when);
            assert_eq!(agent.serves(made, when, apart), serves, "{agent} {made} {when}");
        }
    }

    #[test]
    fn each_protocol_by_taste_or_smell_knows_what_it_is_done_with() {
        let asked = crate::fit_test::protocols().iter();
        let asked = asked.filter(|one| !FitAgent::of_protocol(&one.id).is_empty());
        let ids: Vec<&str> = asked.map(|one| one.id.as_str()).collect();
        assert_eq!(ids, ["QLFT-IAA", "QLFT-SAC", "QLFT-BIT"]);
        // However its id was written, as long as a test by it is judged.
        assert_eq!(FitAgent::of_protocol(" qlft-sac"), [FitAgent::SaccharinNebuliser]);
    }
}
