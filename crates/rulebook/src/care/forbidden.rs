//! A history keeps what was not allowed: it happened all the same.

use super::{Care, Event, Stage};
use crate::Finding;

impl<P: Clone + Eq> Care<P> {
    /// Takes `event` in, allowed or not. What was not allowed is told as a finding, and leaves the
    /// set on the safe side: never nearer to use than it was.
    #[must_use]
    pub fn record(&self, event: &Event<P>) -> (Self, Option<Finding>) {
        match self.step(event) {
            Ok(next) => (next, None),
            Err(finding) => (self.after_forbidden(event), Some(finding)),
        }
    }

    fn after_forbidden(&self, event: &Event<P>) -> Self {
        match event {
            // It is in those hands now, and no more in order than before.
            Event::Issued { to } => Self { holder: Some(to.clone()), ..self.in_doubt() },
            Event::Worn { by } | Event::EmergencyUse { by } => self.used(by),
            Event::Returned { by } => {
                let holder = self.holder.clone().filter(|holder| holder != by);
                Self { holder, ..self.used(by) }
            }
            _ if self.stage == Stage::Retired => self.clone(),
            Event::Repaired { by_trained: false } => self.taken_out(Stage::Held),
            Event::ElementsChanged => self.taken_out(Stage::Held),
            _ if self.kind.filtering_facepiece && event.is_cleaning() => {
                self.taken_out(Stage::Held)
            }
            _ if event.is_cleaning() => self.in_doubt(),
            _ => self.clone(),
        }
    }

    /// A set that was in order is no longer known to be.
    fn in_doubt(&self) -> Self {
        use Stage::{Issued, Ready, Reassembled, Received};
        let was_whole = matches!(self.stage, Ready | Issued | Reassembled | Received);
        Self { stage: if was_whole { Stage::AwaitingCare } else { self.stage }, ..self.clone() }
    }
}

impl<P> Event<P> {
    const fn is_cleaning(&self) -> bool {
        matches!(
            self,
            Self::TakenApart
                | Self::Washed { .. }
                | Self::Disinfected { .. }
                | Self::Rinsed
                | Self::Dried
                | Self::Reassembled
        )
    }
}
