use super::super::kind::Field;
use super::super::known::Known;
use super::super::row::{Draft, Row};
use super::models::air_sources;
use super::{TIME, WEARER};
use crate::entry::{Clearance, Fact};

pub(in super::super) const FIELDS: &[Field] = &[
    WEARER,
    Field::needed(
        "date",
        &["given", "date given", "clearance date", "cleared on", "examined", "evaluation date"],
        "the day of the written recommendation",
    ),
    TIME,
    Field::needed(
        "clearance",
        &["recommendation", "medical clearance", "status", "result"],
        "cleared, cleared for some, or not cleared; nothing else medical",
    ),
    Field::may(
        "air sources",
        &["cleared for", "respirator types", "allowed"],
        "the air sources allowed where some are, split by semicolons",
    ),
    Field::may(
        "limits",
        &["restrictions", "limitations"],
        "further limits as written; no medical data",
    ),
    Field::may(
        "until",
        &["expires", "expiry", "expiry date", "valid until", "due", "next due"],
        "the last day it holds, if it ends",
    ),
    Field::may(
        "professional",
        &["health professional", "physician", "doctor", "examiner", "evaluated by"],
        "the licensed health professional who made it",
    ),
    Field::may(
        "copy given",
        &["copy", "copy to worker", "worker has a copy"],
        "yes where it states that the worker was given a copy",
    ),
];

#[derive(Clone, Copy, PartialEq)]
enum Word {
    Cleared,
    Some,
    NotCleared,
}

const WORDS: &[(&[&str], Word)] = &[
    (&["cleared", "yes", "fit", "approved", "pass", "passed"], Word::Cleared),
    (&["cleared for some", "cleared with limits", "limited", "restricted"], Word::Some),
    (&["not cleared", "no", "unfit", "not approved", "fail", "failed"], Word::NotCleared),
];

pub(in super::super) fn read(row: &mut Row<'_>, known: &Known<'_>) -> Option<Draft> {
    let wearer = known.wearer(row);
    let when = row.when("date");
    let word = row.choice("clearance", WORDS);
    let mut sources = Vec::new();
    // A comma stands within the name of a source, and so splits none.
    for name in row.text("air sources").unwrap_or_default().split(';').map(str::trim) {
        if !name.is_empty() {
            sources.extend(row.choose("air sources", name, air_sources()));
        }
    }
    let limits = row.text("limits").unwrap_or_default();
    let until = row.day("until");
    let clearance = match word? {
        Word::Some if sources.is_empty() => {
            row.refuse(
                "air sources",
                "it is cleared for some, and which is not told",
                "name the air sources allowed, such as air-purifying",
            );
            return None;
        }
        Word::Some => Clearance::ClearedFor { air_sources: sources, limits },
        Word::Cleared if !limits.is_empty() || !sources.is_empty() => {
            row.refuse(
                "clearance",
                "it is cleared without limits, and limits stand beside it",
                "write cleared for some, and the air sources allowed",
            );
            return None;
        }
        Word::Cleared => Clearance::Cleared,
        Word::NotCleared => Clearance::NotCleared,
    };
    let when = when?;
    if until.is_some_and(|until| until < when.day) {
        row.refuse("until", "it ends before it was given", "look at both days");
    }
    let professional = row.text("professional").unwrap_or_default();
    let copy_given = row.flag_if_told("copy given").unwrap_or(false);
    let wearer = wearer?;
    Some(Draft {
        fact: Fact::ClearanceWritten { wearer, professional, clearance, until, copy_given },
        when: Some(when),
    })
}
