use jiff::tz::TimeZone;
use rulebook::{Device, Elements};

use super::At;
use super::log::Thing;
use crate::entry::{BedSpec, Entry, Fact};

/// One site.
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    /// Its name.
    pub name: String,
    /// Its time zone as it was written.
    pub time_zone_name: String,
    /// Its time zone, where the name is one.
    pub time_zone: Option<TimeZone>,
    /// Where that stands.
    pub at: At,
}

impl Thing for Site {
    fn begin(entry: &Entry) -> Option<Self> {
        let Fact::SiteOpened { name, time_zone } = &entry.fact else { return None };
        Some(Self {
            name: name.clone(),
            time_zone_name: time_zone.clone(),
            time_zone: TimeZone::get(time_zone).ok(),
            at: At::first(entry),
        })
    }

    fn add(&mut self, _: &Entry) {}
}

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
    /// Where that stands.
    pub at: At,
}

impl Thing for Model {
    fn begin(entry: &Entry) -> Option<Self> {
        let Fact::ModelListed { name, device, sizes, approval, .. } = &entry.fact else {
            return None;
        };
        Some(Self {
            name: name.clone(),
            device: device.clone(),
            sizes: sizes.clone(),
            approval: approval.clone(),
            at: At::first(entry),
        })
    }

    fn add(&mut self, _: &Entry) {}
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
    /// Where that stands.
    pub at: At,
}

impl Thing for ElementType {
    fn begin(entry: &Entry) -> Option<Self> {
        let Fact::ElementTypeListed { name, elements, count, bed, .. } = &entry.fact else {
            return None;
        };
        Some(Self {
            name: name.clone(),
            elements: elements.clone(),
            count: *count,
            bed: bed.clone(),
            at: At::first(entry),
        })
    }

    fn add(&mut self, _: &Entry) {}
}

impl At {
    /// Where `entry` stands, for a thing of one entry.
    pub(super) fn first(entry: &Entry) -> Self {
        Self::step(entry, 0)
    }

    /// Where `entry` stands, as the given step of a fold.
    pub(super) fn step(entry: &Entry, step: u32) -> Self {
        Self { entry: entry.id.clone(), when: entry.happened, step }
    }
}
