//! What may happen next, and where it leads.

use super::rules;
use super::{Care, Event, Stage};
use crate::{Finding, Rule};

impl<P: Clone + Eq> Care<P> {
    /// Where `event` leads; or, where it is forbidden, why and what puts it right.
    ///
    /// ```
    /// use rulebook::care::{Care, Event, Keeping, Kind, Stage};
    ///
    /// let kind = Kind { keeping: Keeping::Shared, filtering_facepiece: false };
    /// let new = Care::received_new(kind);
    /// let ready = new.step(&Event::Inspected { passed: true }).unwrap();
    /// let back = ready
    ///     .step(&Event::Issued { to: "Ada" })
    ///     .and_then(|set| set.step(&Event::Returned { by: "Ada" }))
    ///     .unwrap();
    /// assert_eq!(back.stage(), Stage::AwaitingCare);
    /// let refused = back.step(&Event::Issued { to: "Bo" }).unwrap_err();
    /// assert_eq!(refused.rule.id, "care.disinfect-first");
    /// ```
    pub fn step(&self, event: &Event<P>) -> Result<Self, Finding> {
        if self.stage == Stage::Retired {
            return Err(self.forbid(&rules::RETIRED, event));
        }
        match event {
            Event::Issued { to } => self.issue(to).map_err(|rule| self.forbid(rule, event)),
            Event::Worn { by } => self.wear(by).map_err(|rule| self.forbid(rule, event)),
            Event::EmergencyUse { by } => self.snatch(by).map_err(|rule| self.forbid(rule, event)),
            Event::Returned { by } => self.give_back(by).map_err(|rule| self.forbid(rule, event)),
            Event::TakenApart
            | Event::Washed { .. }
            | Event::Disinfected { .. }
            | Event::Rinsed
            | Event::Dried
            | Event::Reassembled => self.clean(event).map_err(|rule| self.forbid(rule, event)),
            Event::Inspected { passed: true } => Ok(self.pass_inspection()),
            Event::Inspected { passed: false } | Event::Tested { passed: false } | Event::Held => {
                Ok(self.taken_out(Stage::Held))
            }
            Event::RepairBegun => Ok(self.taken_out(Stage::InRepair)),
            Event::Repaired { by_trained: true } => Ok(self.taken_out(Stage::Repaired)),
            Event::Tested { passed: true } => {
                self.pass_test().map_err(|rule| self.forbid(rule, event))
            }
            Event::Repaired { by_trained: false } | Event::Released { by_trained: false } => {
                Err(self.forbid(&rules::REPAIR_TRAINED, event))
            }
            Event::Released { by_trained: true } => {
                self.release().map_err(|rule| self.forbid(rule, event))
            }
            Event::Retired => Ok(Self { stage: Stage::Retired, ..self.clone() }),
            Event::ElementsChanged => {
                self.change_elements().map_err(|rule| self.forbid(rule, event))
            }
        }
    }

    /// Why nobody may wear it, whoever asks: it is out of service, or lies in parts or wet.
    #[must_use]
    pub fn not_to_be_worn(&self) -> Option<Finding> {
        let rule = match (self.out_of_service, self.stage.is_in_parts()) {
            (true, _) => &rules::OUT_OF_SERVICE,
            (false, true) => &rules::ORDER,
            (false, false) => return None,
        };
        Some(Finding::stop(rule).with("stage", self.stage).with("event", "worn"))
    }

    fn forbid(&self, rule: &'static Rule, event: &Event<P>) -> Finding {
        // Why it counts for nothing is said where that is the matter.
        let told_why = [rules::CONTACT.id, rules::REPAIR_TRAINED.id].contains(&rule.id);
        let done = if told_why { event.words() } else { event.plain_words() };
        let finding = Finding::stop(rule).with("stage", self.stage).with("event", done);
        finding.with("what", event.without_having_it())
    }

    /// Whether it may come into the hands of `person` without being disinfected first.
    fn clean_enough_for(&self, person: &P) -> Result<(), &'static Rule> {
        if !self.must_be_disinfected() && self.used_by.nobody_but(person) {
            Ok(())
        } else if self.kind.filtering_facepiece {
            Err(&rules::FILTERING_FACEPIECE_ONE_WEARER)
        } else {
            Err(&rules::DISINFECT_FIRST)
        }
    }

    /// The rule that keeps a set of this stage out of use.
    fn not_in_order(&self) -> &'static Rule {
        if self.out_of_service {
            &rules::OUT_OF_SERVICE
        } else if self.must_be_disinfected() {
            &rules::DISINFECT_FIRST
        } else if self.stage.is_in_parts() {
            &rules::ORDER
        } else {
            &rules::INSPECT_FIRST
        }
    }

    fn issue(&self, to: &P) -> Result<Self, &'static Rule> {
        if self.stage != Stage::Ready {
            let held = self.holder.is_some() && self.stage == Stage::Issued;
            return Err(if held { &rules::IN_HANDS } else { self.not_in_order() });
        }
        if self.holder.is_some() {
            return Err(&rules::IN_HANDS);
        }
        self.clean_enough_for(to)?;
        Ok(Self { stage: Stage::Issued, holder: Some(to.clone()), ..self.clone() })
    }

    fn wear(&self, by: &P) -> Result<Self, &'static Rule> {
        if self.stage != Stage::Issued && self.stage != Stage::Ready {
            return Err(self.not_in_order());
        }
        if self.stage == Stage::Ready || self.holder.as_ref() != Some(by) {
            return Err(&rules::IN_HANDS);
        }
        let ends = self.kind.keeping.is_cleaned_after_each_use();
        let stage = if ends { Stage::AwaitingCare } else { Stage::Issued };
        Ok(Self { stage, used_by: self.used_by.and(by), ..self.clone() })
    }

    fn snatch(&self, by: &P) -> Result<Self, &'static Rule> {
        match (self.stage, self.holder.as_ref()) {
            (Stage::Ready, None) => self.clean_enough_for(by)?,
            (Stage::Issued, Some(holder)) if holder == by => {}
            (Stage::Ready | Stage::Issued, _) => return Err(&rules::IN_HANDS),
            _ => return Err(self.not_in_order()),
        }
        let used_by = self.used_by.and(by);
        Ok(Self { stage: Stage::AwaitingCare, holder: None, used_by, ..self.clone() })
    }

    /// What was given back may have been worn, so that it counts as used.
    fn give_back(&self, by: &P) -> Result<Self, &'static Rule> {
        if self.holder.as_ref() != Some(by) {
            return Err(&rules::IN_HANDS);
        }
        Ok(Self { holder: None, ..self.used(by) })
    }

    fn clean(&self, event: &Event<P>) -> Result<Self, &'static Rule> {
        use Stage::{
            AwaitingCare, Disinfected, Dried, Held, Issued, Ready, Reassembled, Received, Repaired,
            Rinsed, TakenApart, Tested, Washed,
        };
        if self.kind.filtering_facepiece {
            return Err(&rules::FILTERING_FACEPIECE_CLEANED);
        }
        let stage = match (event, self.stage) {
            (
                Event::TakenApart,
                Received | Ready | Issued | AwaitingCare | Reassembled | Held | Repaired | Tested,
            ) => TakenApart,
            (Event::Washed { disinfects: false }, TakenApart) => Washed,
            (Event::Washed { disinfects: true }, TakenApart) => Disinfected,
            (Event::Disinfected { long_enough }, Washed | Rinsed | Dried) => {
                if !long_enough {
                    return Err(&rules::CONTACT);
                }
                Disinfected
            }
            (Event::Rinsed, Washed | Disinfected) => Rinsed,
            (Event::Dried, Rinsed) => Dried,
            (Event::Reassembled, TakenApart | Dried) => Reassembled,
            _ => return Err(&rules::ORDER),
        };
        // INVARIANT (clean): no used set of several wearers comes out of the bath undisinfected.
        if matches!(stage, Dried | Reassembled) && self.must_be_disinfected() {
            return Err(&rules::DISINFECT_FIRST);
        }
        let mut next = Self { stage, ..self.clone() };
        if stage == Disinfected {
            next.used_by = super::UsedBy::Nobody;
        }
        Ok(next)
    }

    /// A set that passes goes home: to its holder, or to the shelf. A pass releases nothing.
    fn pass_inspection(&self) -> Self {
        let waits =
            matches!(self.stage, Stage::Received | Stage::Reassembled | Stage::AwaitingCare);
        let clean = !self.must_be_disinfected();
        let home = match &self.holder {
            Some(holder) if self.used_by.nobody_but(holder) => Stage::Issued,
            Some(_) => self.stage,
            None => Stage::Ready,
        };
        let goes = waits && clean && !self.out_of_service;
        Self { stage: if goes { home } else { self.stage }, ..self.clone() }
    }

    pub(super) fn taken_out(&self, stage: Stage) -> Self {
        Self { stage, out_of_service: true, ..self.clone() }
    }

    fn pass_test(&self) -> Result<Self, &'static Rule> {
        if self.stage.is_in_parts() {
            return Err(&rules::ORDER);
        }
        let stage = if self.out_of_service { Stage::Tested } else { self.stage };
        Ok(Self { stage, ..self.clone() })
    }

    /// A released set is still to be inspected, and cleaned first where somebody used it.
    fn release(&self) -> Result<Self, &'static Rule> {
        if self.stage != Stage::Tested {
            return Err(&rules::TEST_FIRST);
        }
        let used = self.used_by != super::UsedBy::Nobody;
        let stage = if used { Stage::AwaitingCare } else { Stage::Reassembled };
        Ok(Self { stage, out_of_service: false, ..self.clone() })
    }

    fn change_elements(&self) -> Result<Self, &'static Rule> {
        if self.kind.filtering_facepiece {
            return Err(&rules::NO_ELEMENTS);
        }
        let stage = if self.stage == Stage::Ready { Stage::Reassembled } else { self.stage };
        Ok(Self { stage, ..self.clone() })
    }

    /// Used by one more person, and so due for care; a held set stays held, and one that lay in parts
    /// is not whole because somebody wore it.
    pub(super) fn used(&self, by: &P) -> Self {
        let stage = match self.stage {
            Stage::Retired => Stage::Retired,
            _ if self.out_of_service => Stage::Held,
            _ if self.stage.is_in_parts() => self.stage,
            _ => Stage::AwaitingCare,
        };
        Self { stage, used_by: self.used_by.and(by), ..self.clone() }
    }
}
