/// Something that happens to a set. `P` is how a wearer is named.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Event<P> {
    /// Given to a wearer.
    Issued {
        /// To whom.
        to: P,
    },
    /// Worn.
    Worn {
        /// By whom.
        by: P,
    },
    /// Snatched from its place in an emergency, worn and put down.
    EmergencyUse {
        /// By whom.
        by: P,
    },
    /// Given back.
    Returned {
        /// By whom.
        by: P,
    },
    /// Taken apart.
    TakenApart,
    /// Washed.
    Washed {
        /// Whether the cleaner disinfects as well, and was left on for its time.
        disinfects: bool,
    },
    /// Disinfected in a bath of its own.
    Disinfected {
        /// Whether it stayed in for the full contact time.
        long_enough: bool,
    },
    /// Rinsed.
    Rinsed,
    /// Dried.
    Dried,
    /// Put together.
    Reassembled,
    /// Inspected.
    Inspected {
        /// Whether every point passed.
        passed: bool,
    },
    /// Taken out of service.
    Held,
    /// A repair was begun, here or with the maker.
    RepairBegun,
    /// Repaired or adjusted.
    Repaired {
        /// Whether by a person with current repair training.
        by_trained: bool,
    },
    /// Tried for function and tightness.
    Tested {
        /// Whether all of it works.
        passed: bool,
    },
    /// Released to service.
    Released {
        /// Whether by a person with current repair training.
        by_trained: bool,
    },
    /// Thrown away or taken off the books.
    Retired,
    /// Cartridges, canisters, filters, cylinder or battery changed.
    ElementsChanged,
}

impl<P: Clone> Event<P> {
    /// Every event that can happen with these wearers.
    #[must_use]
    pub fn all(wearers: &[P]) -> Vec<Self> {
        let by_one = |by: &P| {
            let by = by.clone();
            [
                Self::Issued { to: by.clone() },
                Self::Worn { by: by.clone() },
                Self::EmergencyUse { by: by.clone() },
                Self::Returned { by },
            ]
        };
        let either = |yes: bool| {
            [
                Self::Washed { disinfects: yes },
                Self::Disinfected { long_enough: yes },
                Self::Inspected { passed: yes },
                Self::Repaired { by_trained: yes },
                Self::Tested { passed: yes },
                Self::Released { by_trained: yes },
            ]
        };
        let plain = [
            Self::TakenApart,
            Self::Rinsed,
            Self::Dried,
            Self::Reassembled,
            Self::Held,
            Self::RepairBegun,
            Self::Retired,
            Self::ElementsChanged,
        ];
        let two_sided = [true, false].into_iter().flat_map(either);
        wearers.iter().flat_map(by_one).chain(two_sided).chain(plain).collect()
    }
}

impl<P> Event<P> {
    /// What was meant, as a past participle, whether or not it came about.
    #[must_use]
    pub(super) const fn plain_words(&self) -> &'static str {
        match self {
            Self::Washed { .. } => "washed",
            Self::Disinfected { .. } => "disinfected",
            Self::Inspected { .. } => "inspected",
            Self::Tested { .. } => "tested",
            other => other.words(),
        }
    }

    /// What is wrong where the set is not in the hands it should be in.
    pub(super) const fn without_having_it(&self) -> &'static str {
        match self {
            Self::Issued { .. } => "somebody has it and did not give it back",
            Self::Returned { .. } => "the person who gave it back did not have it",
            _ => "the person who wore it did not have it",
        }
    }

    /// What happened, as a past participle.
    #[must_use]
    pub const fn words(&self) -> &'static str {
        match self {
            Self::Issued { .. } => "issued",
            Self::Worn { .. } => "worn",
            Self::EmergencyUse { .. } => "used in an emergency",
            Self::Returned { .. } => "given back",
            Self::TakenApart => "taken apart",
            Self::Washed { disinfects: false } => "washed",
            Self::Washed { disinfects: true } => "washed with a cleaner that disinfects",
            Self::Disinfected { long_enough: true } => "disinfected",
            Self::Disinfected { long_enough: false } => "disinfected too briefly",
            Self::Rinsed => "rinsed",
            Self::Dried => "dried",
            Self::Reassembled => "reassembled",
            Self::Inspected { passed: true } => "inspected and passed",
            Self::Inspected { passed: false } => "inspected and failed",
            Self::Held => "held",
            Self::RepairBegun => "taken into repair",
            Self::Repaired { by_trained: true } => "repaired",
            Self::Repaired { by_trained: false } => "repaired by an untrained person",
            Self::Tested { passed: true } => "tested and passed",
            Self::Tested { passed: false } => "tested and failed",
            Self::Released { by_trained: true } => "released",
            Self::Released { by_trained: false } => "released by an untrained person",
            Self::Retired => "retired",
            Self::ElementsChanged => "given other elements",
        }
    }
}
