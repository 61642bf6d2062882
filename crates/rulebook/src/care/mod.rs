//! The care of one set: in which stage it stands, and what may happen to it next.
//!
//! Knows nothing of dates, stores and screens. [`Care::step`] says whether something may be done
//! next, for the form where it is done; [`Care::record`] takes it in although it was not allowed,
//! for a history in which it happened, and then leaves the set on the safe side.
//!
//! Source: 29 CFR 1910.134(h)(1), (h)(3), (h)(4) and App. B-2.

mod event;
mod forbidden;
mod kind;
pub(crate) mod rules;
mod step;

pub use event::Event;
pub use kind::{Keeping, Kind, Stage, UsedBy};
pub use rules::{IN_HANDS, UNDONE, rules};

/// One set in its care. `P` is how a wearer is named.
///
/// Two invariants hold in every history, also in one with forbidden steps, and are tested over all
/// that can be reached:
/// INVARIANT (in service): a set that is ready or issued failed no inspection and is not held since
/// its last release.
/// INVARIANT (clean): a shared, emergency or test set that is ready was disinfected after its last
/// wearer; an issued one was worn since by nobody but its holder.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Care<P> {
    kind: Kind,
    stage: Stage,
    holder: Option<P>,
    used_by: UsedBy<P>,
    out_of_service: bool,
}

impl<P: Clone + Eq> Care<P> {
    /// A set that came new from its maker: nobody wore it, and it is to be inspected.
    #[must_use]
    pub fn received_new(kind: Kind) -> Self {
        let (holder, used_by) = (None, UsedBy::Nobody);
        Self { kind, stage: Stage::Received, holder, used_by, out_of_service: false }
    }

    /// A set that somebody may have worn before it came: it counts as worn by others.
    #[must_use]
    pub fn received_used(kind: Kind) -> Self {
        let (holder, used_by) = (None, UsedBy::Several);
        Self { kind, stage: Stage::AwaitingCare, holder, used_by, out_of_service: false }
    }

    /// How it is kept and what it is.
    #[must_use]
    pub fn kind(&self) -> Kind {
        self.kind
    }

    /// Where it stands.
    #[must_use]
    pub fn stage(&self) -> Stage {
        self.stage
    }

    /// In whose hands it is.
    #[must_use]
    pub fn holder(&self) -> Option<&P> {
        self.holder.as_ref()
    }

    /// Who used it since it was last disinfected.
    #[must_use]
    pub fn used_by(&self) -> &UsedBy<P> {
        &self.used_by
    }

    /// Whether it failed, was held or is repaired, and was not released since.
    #[must_use]
    pub fn is_out_of_service(&self) -> bool {
        self.out_of_service
    }

    /// Whether it must be disinfected before anybody wears it again.
    ///
    /// Source: 29 CFR 1910.134(h)(1)(i)-(iv). A set of one wearer is cleaned as often as needed,
    /// which its inspection judges.
    #[must_use]
    pub fn must_be_disinfected(&self) -> bool {
        match &self.used_by {
            UsedBy::Nobody => false,
            UsedBy::Only(_) => self.kind.keeping != Keeping::OneWearer,
            UsedBy::Several => true,
        }
    }
}
