use jiff::civil::Date;

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
    /// Whether it keeps out what does harm and keeps facepieces in shape.
    pub protected: bool,
    /// Whether it is at hand in an emergency, and marked.
    pub for_emergencies: bool,
    /// Where that stands.
    pub at: At,
}

impl Thing for StoragePlace {
    fn begin(entry: &Entry) -> Option<Self> {
        let Fact::PlaceListed { name, protected, for_emergencies, .. } = &entry.fact else {
            return None;
        };
        Some(Self {
            site: entry.site.clone(),
            name: name.clone(),
            protected: *protected,
            for_emergencies: *for_emergencies,
            at: At::first(entry),
        })
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
    /// Where that stands.
    pub at: At,
}

impl Thing for Stock {
    fn begin(entry: &Entry) -> Option<Self> {
        let Fact::StockReceived { item, lot, count, shelf_life_until, .. } = &entry.fact else {
            return None;
        };
        Some(Self {
            site: entry.site.clone(),
            item: item.clone(),
            lot: lot.clone(),
            received: *count,
            left: *count,
            shelf_life_until: *shelf_life_until,
            at: At::first(entry),
        })
    }

    fn add(&mut self, entry: &Entry) {
        match &entry.fact {
            Fact::StockCounted { count, .. } => self.left = *count,
            Fact::FacepieceTaken { .. } => self.left = self.left.saturating_sub(1),
            _ => {}
        }
    }
}
