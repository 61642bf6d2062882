//! Ids are types, so that the wrong one is a compile error. A copy of one costs next to nothing,
//! because every entry, thing and finding names some.

use std::fmt;

use serde::{Deserialize, Serialize};
use smol_str::SmolStr;

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident)+) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(SmolStr);

        impl $name {
            /// The id with this text, kept as given but for surrounding white space.
            #[must_use]
            pub fn new(text: impl AsRef<str>) -> Self {
                Self(SmolStr::new(text.as_ref().trim()))
            }

            /// The text of the id.
            #[must_use]
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
    )+};
}

ids! {
    /// One entry, named by the client that made it, so that a retry adds nothing twice.
    EntryId
    /// One site: one chain of entries.
    SiteId
    /// One person who wears, cares, supervises or decides.
    PersonId
    /// One model of respirator.
    ModelId
    /// One respirator that can be held in the hand: the tag on it.
    UnitId
    /// One kind of cartridge, canister or filter.
    ElementTypeId
    /// One task done at a site.
    TaskId
    /// One cylinder of breathing air: the tag on it.
    CylinderId
    /// One supply of breathing air.
    SupplyId
    /// One place where respirators are kept.
    PlaceId
    /// One box or lot of what is used up.
    StockId
    /// One group of people who are exposed alike.
    GroupId
    /// One instrument for fit tests, or one kit for those by taste, smell or irritation.
    InstrumentId
    /// One thing to be put right.
    ActionId
}
