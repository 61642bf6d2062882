//! What can be brought, and the columns of each.

use serde::Serialize;

use super::kinds::{
    clearances, cylinders, element_types, fit_tests, models, respirators, stock, tasks, training,
    wearers,
};
use super::known::Known;
use super::row::{Draft, Row};

/// A kind of list that can be brought.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// People who wear.
    Wearers,
    /// Models of respirator.
    Models,
    /// Respirators with a tag.
    Respirators,
    /// Kinds of cartridge, canister or filter.
    ElementTypes,
    /// Cylinders of breathing air.
    Cylinders,
    /// Tasks.
    Tasks,
    /// Recommendations of a health professional.
    Clearances,
    /// Trainings.
    Training,
    /// Fit tests.
    FitTests,
    /// Boxes of elements, filtering facepieces and supplies.
    Stock,
}

/// One of our columns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Field {
    /// Its name.
    pub name: &'static str,
    /// Other heads under which it is found.
    pub also: &'static [&'static str],
    /// Whether every row must fill it.
    pub needed: bool,
    /// What stands in it.
    pub holds: &'static str,
}

impl Field {
    pub(super) const fn needed(
        name: &'static str,
        also: &'static [&'static str],
        holds: &'static str,
    ) -> Self {
        Self { name, also, needed: true, holds }
    }

    pub(super) const fn may(
        name: &'static str,
        also: &'static [&'static str],
        holds: &'static str,
    ) -> Self {
        Self { name, also, needed: false, holds }
    }
}

/// Why a word is no kind.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{asked}` is nothing that can be brought\n  write one of: {}", Kind::ALL.map(Kind::word).join(", "))]
pub struct NotAKind {
    asked: String,
}

impl Kind {
    /// Every kind, in the order in which lists are best brought: what is named stands before what
    /// names it.
    pub const ALL: [Self; 10] = [
        Self::Wearers,
        Self::ElementTypes,
        Self::Models,
        Self::Respirators,
        Self::Cylinders,
        Self::Tasks,
        Self::Clearances,
        Self::Training,
        Self::FitTests,
        Self::Stock,
    ];

    /// Its word in a command or an address.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Wearers => "wearers",
            Self::Models => "models",
            Self::Respirators => "respirators",
            Self::ElementTypes => "element-types",
            Self::Cylinders => "cylinders",
            Self::Tasks => "tasks",
            Self::Clearances => "clearances",
            Self::Training => "training",
            Self::FitTests => "fit-tests",
            Self::Stock => "stock",
        }
    }

    /// What it lists, in words.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::Wearers => "Wearers",
            Self::Models => "Models of respirator",
            Self::Respirators => "Respirators",
            Self::ElementTypes => "Kinds of cartridge, canister and filter",
            Self::Cylinders => "Cylinders",
            Self::Tasks => "Tasks",
            Self::Clearances => "Medical clearances",
            Self::Training => "Training",
            Self::FitTests => "Fit tests",
            Self::Stock => "Boxes in stock",
        }
    }

    /// Its columns.
    #[must_use]
    pub const fn fields(self) -> &'static [Field] {
        match self {
            Self::Wearers => wearers::FIELDS,
            Self::Models => models::FIELDS,
            Self::Respirators => respirators::FIELDS,
            Self::ElementTypes => element_types::FIELDS,
            Self::Cylinders => cylinders::FIELDS,
            Self::Tasks => tasks::FIELDS,
            Self::Clearances => clearances::FIELDS,
            Self::Training => training::FIELDS,
            Self::FitTests => fit_tests::FIELDS,
            Self::Stock => stock::FIELDS,
        }
    }

    /// What a row says; none where the row was refused for something.
    pub(super) fn read(self, row: &mut Row<'_>, known: &Known<'_>) -> Option<Draft> {
        match self {
            Self::Wearers => wearers::read(row),
            Self::Models => models::read(row, known),
            Self::Respirators => respirators::read(row, known),
            Self::ElementTypes => element_types::read(row),
            Self::Cylinders => cylinders::read(row),
            Self::Tasks => tasks::read(row),
            Self::Clearances => clearances::read(row, known),
            Self::Training => training::read(row, known),
            Self::FitTests => fit_tests::read(row, known),
            Self::Stock => stock::read(row, known),
        }
    }
}

impl std::str::FromStr for Kind {
    type Err = NotAKind;

    fn from_str(text: &str) -> Result<Self, NotAKind> {
        let asked = text.trim().to_lowercase().replace([' ', '_'], "-");
        let found = Self::ALL.into_iter().find(|kind| kind.word() == asked);
        found.ok_or_else(|| NotAKind { asked: text.to_owned() })
    }
}
