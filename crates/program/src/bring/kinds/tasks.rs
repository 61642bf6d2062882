use std::str::FromStr;

use quantity::{Celsius, Kilopascal, Minutes, OxygenPercent, RelHumidity};

use super::super::kind::Field;
use super::super::row::{Draft, Row};
use crate::entry::{Fact, TaskSegment, TaskSpec, WorkRate};
use crate::ids::TaskId;

pub(in super::super) const FIELDS: &[Field] = &[
    Field::needed(
        "id",
        &["task", "task id", "code", "short name"],
        "a short name; it stays for good",
    ),
    Field::needed("name", &["task name", "description", "job"], "its name"),
    Field::needed("wear per shift", &["wear", "planned wear", "time in the air"], "such as 4 h"),
    Field::needed("work rate", &["workload", "effort"], "light, moderate or heavy"),
    Field::needed("temperature", &["air temperature"], "such as 22 degC or 72 degF"),
    Field::needed("relative humidity", &["humidity", "rh"], "such as 50 %"),
    Field::needed("pressure", &["air pressure", "barometric pressure"], "such as 101.3 kPa"),
    Field::may(
        "usual shift",
        &["segments", "work pattern"],
        "its segments with semicolons between, such as 45 min, on, 150 %; 30 min, off, sealed; empty where all of the wear is alike",
    ),
    Field::may("oxygen", &["o2"], "such as 20.9 %; empty where it was not measured"),
    Field::may(
        "oil aerosol",
        &["oil", "oil mist"],
        "whether there is oil in the air; empty where unknown",
    ),
    Field::may(
        "irritates eyes",
        &["eye irritation"],
        "whether it irritates the eyes; empty where unknown",
    ),
    Field::needed(
        "immediately dangerous",
        &["idlh", "immediately dangerous to life or health"],
        "whether the site has declared the place so",
    ),
    Field::needed(
        "atmosphere unknown",
        &["unknown atmosphere"],
        "whether what is in the air is not known",
    ),
    Field::may(
        "interior fire",
        &["interior structural fire", "structural firefighting"],
        "whether a fire is fought inside a structure; empty where none is",
    ),
    Field::may(
        "standby outside",
        &["people outside", "attendants"],
        "how many stand by outside at least, where the site asks for more than the rules",
    ),
    Field::needed(
        "voluntary",
        &["voluntary use", "by choice"],
        "whether no respirator is needed and one is worn by choice",
    ),
];

const WORK_RATES: &[(&[&str], WorkRate)] = &[
    (&["light"], WorkRate::Light),
    (&["moderate", "medium"], WorkRate::Moderate),
    (&["heavy", "hard"], WorkRate::Heavy),
];

/// The segments of a usual shift in one cell.
struct Segments(Vec<TaskSegment>);

impl FromStr for Segments {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        TaskSegment::read_all(text).map(Self)
    }
}

pub(in super::super) fn read(row: &mut Row<'_>) -> Option<Draft> {
    let (id, name) = (row.needed("id"), row.needed("name"));
    let wear_per_shift = row.read_needed::<Minutes>("wear per shift");
    let work_rate = row.choice("work rate", WORK_RATES);
    let temperature = row.read_needed::<Celsius>("temperature");
    let relative_humidity = row.read_needed::<RelHumidity>("relative humidity");
    let pressure = row.read_needed::<Kilopascal>("pressure");
    let told = row.is_filled("usual shift");
    let segments = row.read::<Segments>("usual shift");
    let oxygen = row.read::<OxygenPercent>("oxygen");
    let (oil_aerosol, irritates_eyes) =
        (row.flag_if_told("oil aerosol"), row.flag_if_told("irritates eyes"));
    let immediately_dangerous = row.flag("immediately dangerous");
    let atmosphere_unknown = row.flag("atmosphere unknown");
    let interior_fire = row.flag_if_told("interior fire");
    let more = row.is_filled("standby outside");
    let standby_outside = row.read::<u8>("standby outside");
    let voluntary = row.flag("voluntary");
    // A shift that was not read is no shift without segments, nor is a number that was not read none.
    if told && segments.is_none() || more && standby_outside.is_none() {
        return None;
    }
    let spec = TaskSpec {
        name: name?,
        wear_per_shift: wear_per_shift?,
        work_rate: work_rate?,
        temperature: temperature?,
        relative_humidity: relative_humidity?,
        pressure: pressure?,
        oxygen,
        oil_aerosol,
        irritates_eyes,
        immediately_dangerous: immediately_dangerous?,
        atmosphere_unknown: atmosphere_unknown?,
        interior_fire: interior_fire == Some(true),
        standby_outside,
        voluntary: voluntary?,
    };
    let task = TaskId::new(id?);
    let fact = match segments {
        None => Fact::TaskDescribed { task, spec },
        Some(Segments(segments)) => Fact::TaskDescribedBySegments { task, spec, segments },
    };
    Some(Draft { fact, when: None })
}
