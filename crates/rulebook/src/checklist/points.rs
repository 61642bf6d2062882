use std::sync::OnceLock;

use serde::{Deserialize, Serialize};

use crate::table::{Row, TableError, loud, read_table};
use crate::{AirSource, Authority, Device, Facepiece};

/// When an inspection is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Occasion {
    /// Before a use.
    BeforeUse,
    /// While cleaning.
    AtCleaning,
    /// The monthly round of emergency and self-contained sets.
    Monthly,
}

impl Occasion {
    /// Every occasion.
    pub const ALL: [Self; 3] = [Self::BeforeUse, Self::AtCleaning, Self::Monthly];

    fn read(word: &str) -> Option<Self> {
        Some(match word {
            "before-use" => Self::BeforeUse,
            "at-cleaning" => Self::AtCleaning,
            "monthly" => Self::Monthly,
            _ => return None,
        })
    }
}

/// The respirators that a point is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
enum Group {
    Every,
    NotFilteringFacepiece,
    FilteringFacepiece,
    FullFacepiece,
    AirPurifying,
    WithElements,
    Powered,
    BringsAir,
    Airline,
    SelfContained,
    Emergency,
}

impl Group {
    fn read(word: &str) -> Option<Self> {
        Some(match word {
            "every" => Self::Every,
            "not-filtering-facepiece" => Self::NotFilteringFacepiece,
            "filtering-facepiece" => Self::FilteringFacepiece,
            "full-facepiece" => Self::FullFacepiece,
            "air-purifying" => Self::AirPurifying,
            "with-elements" => Self::WithElements,
            "powered" => Self::Powered,
            "brings-air" => Self::BringsAir,
            "airline" => Self::Airline,
            "self-contained" => Self::SelfContained,
            "emergency" => Self::Emergency,
            _ => return None,
        })
    }

    fn holds(self, device: &Device, emergency: bool) -> bool {
        let source = device.air_source;
        let carries_air = source.is_self_contained() || device.auxiliary_self_contained;
        match self {
            Self::Every => true,
            Self::NotFilteringFacepiece => !device.filtering_facepiece,
            Self::FilteringFacepiece => device.filtering_facepiece,
            Self::FullFacepiece => device.facepiece == Facepiece::FullFacepiece,
            Self::AirPurifying => source == AirSource::AirPurifying && !device.filtering_facepiece,
            Self::WithElements => source.purifies_air() && !device.filtering_facepiece,
            Self::Powered => source == AirSource::PoweredAirPurifying,
            Self::BringsAir => !source.purifies_air(),
            Self::Airline => source.comes_by_line(),
            Self::SelfContained => carries_air,
            Self::Emergency => emergency,
        }
    }
}

/// One point of a checklist: a row of `data/inspection_points.csv`.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Point {
    /// Its id, kept in records for ever.
    pub id: String,
    /// The part that is looked at.
    pub looks_at: String,
    /// The question.
    pub asks: String,
    /// Whether it may be answered with "not applicable".
    pub may_not_apply: bool,
    /// Paragraph.
    pub citation: String,
    /// Whether that paragraph was read.
    pub authority: Authority,
    #[serde(skip)]
    group: Group,
    #[serde(skip)]
    occasions: Vec<Occasion>,
}

/// The points of an inspection of `device` on `occasion`, in the order in which they are looked at.
///
/// Source: 29 CFR 1910.134(h)(3)(ii)-(iii), with the paragraph of each point beside it.
#[must_use]
pub fn points(device: &Device, emergency: bool, occasion: Occasion) -> Vec<&'static Point> {
    let asked = |point: &&Point| {
        point.occasions.contains(&occasion) && point.group.holds(device, emergency)
    };
    all().iter().filter(asked).collect()
}

/// The point with this id, on whatever occasion it is looked at.
#[must_use]
pub fn point(id: &str) -> Option<&'static Point> {
    all().iter().find(|point| point.id == id)
}

fn all() -> &'static [Point] {
    static ROWS: OnceLock<Vec<Point>> = OnceLock::new();
    ROWS.get_or_init(|| {
        let text = include_str!("../../../../data/inspection_points.csv");
        loud(read_table("inspection_points.csv", text, read))
    })
}

fn read(row: &Row<'_>) -> Result<Point, TableError> {
    let group = row.text("group")?;
    let group = Group::read(group)
        .ok_or_else(|| row.broken("group", &format!("`{group}` is no known group")))?;
    let occasion = |word: &str| {
        Occasion::read(word)
            .ok_or_else(|| row.broken("occasions", &format!("`{word}` is no known occasion")))
    };
    let occasions: Vec<Occasion> =
        row.words("occasions")?.into_iter().map(occasion).collect::<Result<_, _>>()?;
    if occasions.is_empty() {
        return Err(row.broken("occasions", "the cell is empty"));
    }
    let authority = match row.text("basis")? {
        "read" => Authority::Read,
        "memory" => Authority::Memory,
        "practice" => Authority::CommonPractice,
        other => return Err(row.broken("basis", &format!("`{other}` is no known basis"))),
    };
    let may_not_apply = match row.text("may_not_apply")? {
        "yes" => true,
        "no" => false,
        other => {
            return Err(row.broken("may_not_apply", &format!("`{other}` is neither yes nor no")));
        }
    };
    Ok(Point {
        id: row.required("id")?,
        looks_at: row.required("looks_at")?,
        asks: row.required("asks")?,
        may_not_apply,
        citation: row.required("citation")?,
        authority,
        group,
        occasions,
    })
}
