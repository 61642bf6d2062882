use std::fmt;

/// For whom a set is kept, which decides how often it is cleaned and disinfected.
///
/// Source: 29 CFR 1910.134(h)(1)(i)-(iv).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Keeping {
    /// Issued to one wearer: as often as needed to be clean.
    OneWearer,
    /// Worn by several: before another wears it.
    Shared,
    /// Kept for emergencies: after each use.
    Emergency,
    /// Used in fit testing and training: after each use.
    TestOrTraining,
}

impl Keeping {
    /// Every way.
    pub const ALL: [Self; 4] =
        [Self::OneWearer, Self::Shared, Self::Emergency, Self::TestOrTraining];

    /// Whether one wear ends its use, even in the same hands.
    #[must_use]
    pub const fn is_cleaned_after_each_use(self) -> bool {
        matches!(self, Self::Emergency | Self::TestOrTraining)
    }
}

/// How a set is kept and whether it is a filtering facepiece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Kind {
    /// For whom it is kept.
    pub keeping: Keeping,
    /// Whether the facepiece is the filter itself: then it is never cleaned.
    pub filtering_facepiece: bool,
}

/// Where a set stands in its care.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// New, not inspected yet.
    Received,
    /// In order, to be issued.
    Ready,
    /// In a wearer's hands, in order.
    Issued,
    /// Used, or in doubt: care comes next.
    AwaitingCare,
    /// In parts.
    TakenApart,
    /// Washed.
    Washed,
    /// Disinfected, not rinsed yet.
    Disinfected,
    /// Rinsed.
    Rinsed,
    /// Dry.
    Dried,
    /// Put together, to be inspected.
    Reassembled,
    /// Out of service.
    Held,
    /// Under repair.
    InRepair,
    /// Repaired, to be tested.
    Repaired,
    /// Tested and found good, to be released.
    Tested,
    /// Gone for good.
    Retired,
}

impl Stage {
    /// Every stage.
    pub const ALL: [Self; 15] = [
        Self::Received,
        Self::Ready,
        Self::Issued,
        Self::AwaitingCare,
        Self::TakenApart,
        Self::Washed,
        Self::Disinfected,
        Self::Rinsed,
        Self::Dried,
        Self::Reassembled,
        Self::Held,
        Self::InRepair,
        Self::Repaired,
        Self::Tested,
        Self::Retired,
    ];

    /// Whether the set lies in parts or wet on the bench.
    #[must_use]
    pub const fn is_in_parts(self) -> bool {
        use Stage::{Disinfected, Dried, Rinsed, TakenApart, Washed};
        matches!(self, TakenApart | Washed | Disinfected | Rinsed | Dried)
    }
}

impl fmt::Display for Stage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Received => "received, not inspected yet",
            Self::Ready => "ready",
            Self::Issued => "issued",
            Self::AwaitingCare => "awaiting care",
            Self::TakenApart => "taken apart",
            Self::Washed => "washed",
            Self::Disinfected => "disinfected, to be rinsed",
            Self::Rinsed => "rinsed",
            Self::Dried => "dried",
            Self::Reassembled => "reassembled, awaiting inspection",
            Self::Held => "held",
            Self::InRepair => "in repair",
            Self::Repaired => "repaired, awaiting test",
            Self::Tested => "tested, awaiting release",
            Self::Retired => "retired",
        })
    }
}

/// Who used a set since it was last disinfected. Two are as bad as ten, so no list is kept.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum UsedBy<P> {
    /// Nobody.
    Nobody,
    /// One person.
    Only(P),
    /// Two or more, or it is not known who.
    Several,
}

impl<P: Clone + Eq> UsedBy<P> {
    /// With one more user.
    #[must_use]
    pub fn and(&self, person: &P) -> Self {
        match self {
            Self::Nobody => Self::Only(person.clone()),
            Self::Only(known) if known == person => self.clone(),
            Self::Only(_) | Self::Several => Self::Several,
        }
    }

    /// Whether nobody but `person` is among them.
    #[must_use]
    pub fn nobody_but(&self, person: &P) -> bool {
        match self {
            Self::Nobody => true,
            Self::Only(known) => known == person,
            Self::Several => false,
        }
    }
}
