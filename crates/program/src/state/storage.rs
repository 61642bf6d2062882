use jiff::civil::Date;
use rulebook::fit_test::FitAgent;
use rulebook::storage::Harm;

use super::At;
use super::log::Thing;
use crate::entry::{Entry, Fact, StockItem};
use crate::ids::SiteId;

/// A place where respirators are kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoragePlace {
    /// The site that listed it.
    pub site: SiteId,
    /// Its name.
    pub name: String,
    /// What it does not keep out.
    pub lacks: Vec<Harm>,
    /// Whether facepieces and exhalation valves keep their shape in it.
    pub keeps_shape: bool,
    /// Whether it is within reach of the work area.
    pub within_reach: bool,
    /// Whether it is plainly marked as holding sets for emergencies.
    pub marked: bool,
    /// Where that stands.
    pub at: At,
}

impl Thing for StoragePlace {
    fn begin(entry: &Entry) -> Option<Self> {
        let (site, at) = (entry.site.clone(), At::first(entry));
        match &entry.fact {
            // It was asked in two questions once: of one that said no, nothing is known to be kept.
            Fact::PlaceListed { name, protected, for_emergencies, .. } => Some(Self {
                site,
                name: name.clone(),
                lacks: if *protected { Vec::new() } else { Harm::ALL.to_vec() },
                keeps_shape: *protected,
                within_reach: *for_emergencies,
                marked: *for_emergencies,
                at,
            }),
            Fact::PlaceDescribed { name, keeps_out, keeps_shape, within_reach, marked, .. } => {
                let lacks = Harm::ALL.into_iter().filter(|harm| !keeps_out.contains(harm));
                Some(Self {
                    site,
                    name: name.clone(),
                    lacks: lacks.collect(),
                    keeps_shape: *keeps_shape,
                    within_reach: *within_reach,
                    marked: *marked,
                    at,
                })
            }
            _ => None,
        }
    }

    fn add(&mut self, _: &Entry) {}
}

/// A box or lot of what is used up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stock {
    /// The site that received it.
    pub site: SiteId,
    /// What is in it.
    pub item: StockItem,
    /// The maker's lot.
    pub lot: String,
    /// How many came.
    pub received: u32,
    /// How many should be left: what was counted last, less what was taken since.
    pub left: u32,
    /// Last day of its shelf life, if it ends.
    pub shelf_life_until: Option<Date>,
    /// What it was made up or filled for, in fit tests, and when last.
    pub prepared: Option<(FitAgent, At)>,
    /// Where that stands.
    pub at: At,
}

impl Thing for Stock {
    fn begin(entry: &Entry) -> Option<Self> {
        let at = At::first(entry);
        match &entry.fact {
            Fact::StockReceived { item, lot, count, shelf_life_until, .. } => Some(Self {
                site: entry.site.clone(),
                item: item.clone(),
                lot: lot.clone(),
                received: *count,
                left: *count,
                shelf_life_until: *shelf_life_until,
                prepared: None,
                at,
            }),
            Fact::FitAgentPrepared { agent, .. } => Some(Self {
                site: entry.site.clone(),
                item: StockItem::Supplies(agent.to_string()),
                lot: String::new(),
                received: 1,
                left: 1,
                shelf_life_until: None,
                prepared: Some((*agent, at.clone())),
                at,
            }),
            _ => None,
        }
    }

    fn add(&mut self, entry: &Entry) {
        match &entry.fact {
            // What a bottle holds that is filled again is what was put into it last.
            Fact::FitAgentPrepared { agent, .. } => {
                self.left = self.left.max(1);
                self.prepared = Some((*agent, At::first(entry)));
            }
            Fact::StockCounted { count, .. } => self.left = *count,
            Fact::FacepieceTaken { .. } => self.left = self.left.saturating_sub(1),
            _ => {}
        }
    }
}
