//! What is true of a set, kept apart from the machine and by plainer means.

use rulebook::care::{Care, Event, Keeping, Kind};

/// Two wearers are enough: a third is to a set what the second is.
pub const WEARERS: [u8; 2] = [0, 1];

/// What happened to a set, as far as it bears on who may wear it.
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Truth {
    /// Who used it since it was last disinfected in order.
    pub users: Vec<u8>,
    /// It failed, was held or repaired, and no trained person released it since.
    pub out: bool,
    /// It was retired.
    pub retired: bool,
    /// An inspection passed since it was last put together or received.
    pub inspected: bool,
}

impl Truth {
    pub fn of_received_used() -> Self {
        Self { users: WEARERS.to_vec(), ..Self::default() }
    }

    /// `accepted` tells whether the machine allowed the event; what it forbade puts nothing right.
    pub fn after(&self, event: &Event<u8>, accepted: bool) -> Self {
        let mut next = self.clone();
        match event {
            Event::Worn { by } | Event::EmergencyUse { by } | Event::Returned { by } => {
                next.users.push(*by);
                next.users.sort_unstable();
                next.users.dedup();
            }
            Event::Disinfected { long_enough: true } | Event::Washed { disinfects: true } => {
                if accepted {
                    next.users.clear();
                }
                next.inspected = false;
            }
            Event::TakenApart | Event::Washed { .. } | Event::Disinfected { .. } => {
                next.inspected = false;
            }
            Event::Inspected { passed } => {
                next.inspected = *passed;
                next.out |= !passed;
            }
            Event::Held | Event::RepairBegun | Event::Repaired { .. } => next.out = true,
            Event::Tested { passed: false } => next.out = true,
            Event::Released { by_trained: true } if accepted => {
                next.out = false;
                next.inspected = false;
            }
            Event::Retired => next.retired = true,
            _ => {}
        }
        next
    }

    /// Whether a set of this kind may be given to `wearer`.
    pub fn may_be_issued(&self, kind: Kind, wearer: u8) -> bool {
        let others = self.users.iter().any(|user| *user != wearer);
        let kept_for_several = kind.keeping != Keeping::OneWearer;
        let clean = !others && (self.users.is_empty() || !kept_for_several);
        clean && !self.out && !self.retired && self.inspected
    }
}

/// Every way in which a set is kept, and both kinds of facepiece.
pub fn kinds() -> Vec<Kind> {
    let both =
        |keeping| [true, false].map(|filtering_facepiece| Kind { keeping, filtering_facepiece });
    Keeping::ALL.into_iter().flat_map(both).collect()
}

/// A new set and a used one of each kind, with what is true of them.
pub fn beginnings() -> Vec<(Care<u8>, Truth)> {
    let both = |kind| {
        [
            (Care::received_new(kind), Truth::default()),
            (Care::received_used(kind), Truth::of_received_used()),
        ]
    };
    kinds().into_iter().flat_map(both).collect()
}
