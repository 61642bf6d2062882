use rulebook::bath::vouches;
use rulebook::is_blank;

use rulebook::unit::{cylinder_approved, elements_approved};
use rulebook::{Device, Elements, Finding};

use super::At;
use super::log::Thing;
use crate::entry::{BedSpec, Entry, Fact, SparePart};
use crate::ids::ElementTypeId;
use crate::reaction::CalibratedReactions;

/// One model of respirator.
#[derive(Debug, Clone, PartialEq)]
pub struct Model {
    /// Its name in plain words.
    pub name: String,
    /// What it is, in the terms of the rules.
    pub device: Device,
    /// The sizes it comes in.
    pub sizes: Vec<String>,
    /// Its approval number.
    pub approval: String,
    /// The kinds of element that its approval label names; of a filtering facepiece the one that it is
    /// made of. Empty where none were named.
    pub approved_elements: Vec<ElementTypeId>,
    /// The part numbers of the cylinders that its approval names. Empty where none were named.
    pub approved_cylinders: Vec<String>,
    /// What the maker asks, where it was noted.
    pub instructions: Option<Instructions>,
    /// Where its maker's own seal check was shown to be as good as the printed ones.
    pub seal_check_shown: Option<At>,
    /// Where that stands.
    pub at: At,
}

/// What the maker asks of a model.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Instructions {
    /// The parts approved for it.
    pub parts: Vec<SparePart>,
    /// Cleaners and disinfectants that the maker forbids.
    pub forbidden_cleaners: Vec<String>,
    /// Disinfectants that the maker recommends or approves.
    pub approved_disinfectants: Vec<String>,
    /// Where that stands in the maker's papers.
    pub stands_in: String,
    /// Where that stands here.
    pub at: At,
}

impl Model {
    /// What stands against elements of this kind on a set of this model: that its listing does not name
    /// them.
    #[must_use]
    pub fn against_elements(&self, kind: &ElementTypeId) -> Option<Finding> {
        let own_filter = self.device.filtering_facepiece;
        elements_approved::found(&self.name, kind.as_str(), &self.named_elements(), own_filter)
    }

    /// The kinds of element that its listing names.
    pub(crate) fn named_elements(&self) -> Vec<&str> {
        self.approved_elements.iter().map(ElementTypeId::as_str).collect()
    }

    /// What stands against a cylinder of this tag and part number on a set of this model: that its
    /// approval does not name it.
    #[must_use]
    pub fn against_cylinder(&self, cylinder: (&str, &str)) -> Option<Finding> {
        let carries = self.device.carries_cylinder();
        let found = cylinder_approved::found(&self.name, cylinder, &self.named_cylinders());
        found.filter(|_| carries)
    }

    /// The part numbers of the cylinders that its approval names.
    pub(crate) fn named_cylinders(&self) -> Vec<&str> {
        self.approved_cylinders.iter().map(String::as_str).collect()
    }

    /// Whether its maker is on record as recommending or approving a disinfectant of this name.
    #[must_use]
    pub fn approves_disinfectant(&self, agent: &str) -> bool {
        let listed = self.instructions.iter().flat_map(|said| &said.approved_disinfectants);
        listed.into_iter().any(|listed| vouches(listed, agent))
    }
}

impl Thing for Model {
    fn begin(entry: &Entry) -> Option<Self> {
        let Fact::ModelListed {
            name,
            device,
            sizes,
            approval,
            approved_elements,
            approved_cylinders,
            ..
        } = &entry.fact
        else {
            return None;
        };
        Some(Self {
            name: name.clone(),
            device: device.clone(),
            sizes: sizes.clone(),
            approval: approval.clone(),
            approved_elements: approved_elements.clone(),
            approved_cylinders: approved_cylinders.clone(),
            instructions: None,
            seal_check_shown: None,
            at: At::first(entry),
        })
    }

    fn add(&mut self, entry: &Entry) {
        let at = At::first(entry);
        match &entry.fact {
            Fact::MakerInstructionsNoted {
                parts,
                forbidden_cleaners,
                approved_disinfectants,
                stands_in,
                ..
            } => {
                self.instructions = Some(Instructions {
                    parts: parts.clone(),
                    forbidden_cleaners: forbidden_cleaners.clone(),
                    approved_disinfectants: approved_disinfectants.clone(),
                    stands_in: stands_in.clone(),
                    at,
                });
            }
            // Words without the showing show nothing.
            Fact::MakersSealCheckShown { how, .. } if !is_blank(how) => {
                self.seal_check_shown = Some(at);
            }
            _ => {}
        }
    }
}

/// One kind of cartridge, canister or filter.
#[derive(Debug, Clone, PartialEq)]
pub struct ElementType {
    /// Its name in plain words.
    pub name: String,
    /// What it is certified against.
    pub elements: Elements,
    /// How many of it a unit carries.
    pub count: u8,
    /// Its bed, where it is known.
    pub bed: Option<BedSpec>,
    /// The gases that it holds by reaction on which a report was calibrated.
    pub reactions: CalibratedReactions,
    /// Where that stands.
    pub at: At,
}

impl Thing for ElementType {
    fn begin(entry: &Entry) -> Option<Self> {
        let Fact::ElementTypeListed { name, elements, count, bed, reactions, .. } = &entry.fact
        else {
            return None;
        };
        Some(Self {
            name: name.clone(),
            elements: elements.clone(),
            count: *count,
            bed: bed.clone(),
            reactions: reactions.clone(),
            at: At::first(entry),
        })
    }

    fn add(&mut self, _: &Entry) {}
}

impl At {
    /// Where `entry` stands, for a thing of one entry.
    pub(crate) fn first(entry: &Entry) -> Self {
        Self::step(entry, 0)
    }

    /// Where `entry` stands, as the given step of a fold.
    pub(super) fn step(entry: &Entry, step: u32) -> Self {
        Self { entry: entry.id.clone(), when: entry.happened, step }
    }
}
