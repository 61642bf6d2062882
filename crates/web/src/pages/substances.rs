//! What is in the air: look-up by any name or number, and all that is known of one substance.

pub(crate) mod list;
pub(crate) mod show;

use substance::{Limit, LimitKind};

use crate::wording;

/// A limit of this kind in words.
fn kind_words(kind: LimitKind) -> &'static str {
    match kind {
        LimitKind::LegalTwa => "legal, average over 8 hours",
        LimitKind::LegalCeiling => "legal, ceiling",
        LimitKind::LegalShortTerm => "legal, short time",
        LimitKind::LegalPeak => "legal, peak above the ceiling",
        LimitKind::RecommendedTwa => "recommended, average",
        LimitKind::RecommendedShortTerm => "recommended, short time",
        LimitKind::RecommendedCeiling => "recommended, ceiling",
        LimitKind::ImmediatelyDangerous => "immediately dangerous to life or health",
    }
}

/// The figure of a limit: as printed, in every unit it was printed in.
fn figure(limit: &Limit) -> String {
    let ppm = limit.ppm.map(|ppm| format!("{} ppm", wording::number(ppm.as_ppm())));
    let mass =
        limit.mg_per_m3.map(|mass| format!("{} mg/m3", wording::number(mass.as_mg_per_m3())));
    let figure = match (ppm, mass) {
        (Some(ppm), Some(mass)) => Some(format!("{ppm} ({mass})")),
        (ppm, mass) => ppm.or(mass),
    };
    figure.into_iter().chain(limit.other.clone()).collect::<Vec<_>>().join("; ")
}
