//! One answer: from what was typed to its place in the fact, and back.

use std::fmt::Display;
use std::str::FromStr;

use jiff::Timestamp;
use jiff::civil::{Date, DateTime};
use jiff::tz::{AmbiguousOffset, Offset, TimeZone};
use program::State;
use program::check::is_of_our_time;
use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;
use substance::Catalogue;

use super::{Ask, Input, Written, points};
use crate::fields::Fields;
use crate::named::{self, Thing};
use crate::wording;

/// The words for a level that nobody measured.
const NOT_KNOWN: &str = "not known";

/// What an answer is read against.
#[derive(Clone, Copy)]
pub(super) struct Reading<'a> {
    pub(super) state: &'a State,
    pub(super) zone: &'a TimeZone,
    pub(super) now: Timestamp,
}

impl Written {
    /// What `T` reads and writes.
    pub(super) const fn as_<T>() -> Self
    where
        T: FromStr + Display + Serialize + DeserializeOwned,
        T::Err: ToString,
    {
        Self { read: read::<T>, write: write::<T> }
    }
}

fn read<T: FromStr + Serialize>(text: &str) -> Result<Value, String>
where
    T::Err: ToString,
{
    let value: T = text.parse().map_err(|why: T::Err| why.to_string())?;
    serde_json::to_value(value).map_err(|why| why.to_string())
}

/// As a person writes it, where that reads back to the same value; else as it is kept.
fn write<T>(value: &Value) -> Option<String>
where
    T: FromStr + Display + Serialize + DeserializeOwned,
    T::Err: ToString,
{
    let shown = serde_json::from_value::<T>(value.clone()).ok()?.to_string();
    match (read::<T>(&shown), value) {
        (Ok(again), _) if again == *value => Some(shown),
        (_, Value::String(kept)) => Some(kept.clone()),
        _ => Some(shown),
    }
}

/// Reads the answer to `ask`. `None` where nothing was answered or it cannot be read, which is then
/// told beside the field.
pub(super) fn answer(ask: &Ask, fields: &mut Fields, against: Reading<'_>) -> Option<Value> {
    match ask.input {
        Input::Many(options) => return Some(many(ask, fields, options)),
        Input::Flag => return Some(Value::Bool(fields.get(ask.path) == "yes")),
        Input::Points => return points::answers(ask, fields, against.state),
        Input::Moment if ask.needed && fields.get(ask.path).is_empty() => {
            return serde_json::to_value(against.now).ok();
        }
        _ => {}
    }
    let text = match ask.needed {
        true => fields.need(ask.path, &missing(ask))?,
        false => fields.filled(ask.path)?.to_owned(),
    };
    match ask.input {
        Input::Known(thing) => {
            named::find(against.state, fields, ask.path, thing).map(Value::String)
        }
        Input::Several(thing) => several(ask, (fields, &text), against.state, thing),
        _ => match typed(ask, &text, against) {
            Ok(value) => Some(value),
            Err(why) => {
                fields.refuse(ask.path, why);
                None
            }
        },
    }
}

/// Each thing of a list, by id or name.
fn several(
    ask: &Ask,
    (fields, text): (&mut Fields, &str),
    state: &State,
    thing: Thing,
) -> Option<Value> {
    let named = text.split(',').map(str::trim).filter(|name| !name.is_empty());
    let mut found = Vec::new();
    for name in named {
        let mut one = Fields::default();
        one.or_set(ask.path, name);
        match named::find(state, &mut one, ask.path, thing) {
            Some(id) => found.push(id),
            None => fields.refuse(ask.path, one.why_wrong(ask.path).unwrap_or_default()),
        }
    }
    fields.why_wrong(ask.path).is_none().then(|| found.into())
}

/// What is said beside a field that must not stay empty.
pub(super) fn missing(ask: &Ask) -> String {
    let what = match ask.input {
        Input::Choice(_) | Input::YesNo => "choose one".to_owned(),
        Input::Known(thing) | Input::Several(thing) => thing.ask().to_owned(),
        _ => "this is missing".to_owned(),
    };
    match ask.example {
        "" => what,
        example => format!("{what}\nwrite it like {example}"),
    }
}

fn typed(ask: &Ask, text: &str, against: Reading<'_>) -> Result<Value, String> {
    let read = |why: serde_json::Error| program::case::plain_words(&why.to_string());
    match ask.input {
        Input::Choice(options) => {
            let known = options.iter().any(|(value, _)| *value == text);
            known.then(|| text.into()).ok_or_else(|| "choose one of the list".to_owned())
        }
        Input::YesNo => match text {
            "yes" => Ok(true.into()),
            "no" => Ok(false.into()),
            _ => Err("choose yes or no".to_owned()),
        },
        Input::Words => {
            let words = text.split([',', ';']).map(str::trim).filter(|word| !word.is_empty());
            Ok(words.collect::<Vec<_>>().into())
        }
        Input::Whole(most) => whole(text, most),
        Input::Day => match text.parse::<Date>() {
            Ok(day) if is_of_our_time(day) => serde_json::to_value(day).map_err(read),
            Ok(day) => Err(not_of_our_time(day)),
            Err(_) => Err("this is not a date\nwrite it like 2026-11-25".to_owned()),
        },
        Input::Moment => {
            local(text, against.zone).and_then(|at| serde_json::to_value(at).map_err(read))
        }
        Input::Written(written) | Input::Lines(written) => (written.read)(text),
        Input::Level(_) if text.eq_ignore_ascii_case(NOT_KNOWN) => Ok(Value::Null),
        Input::Level(written) => (written.read)(text),
        Input::Substance => match Catalogue::builtin().find(text) {
            Ok(substance) => serde_json::to_value(substance.cas()).map_err(read),
            Err(why) => Err(why.to_string()),
        },
        _ => Ok(text.into()),
    }
}

fn whole(text: &str, most: u32) -> Result<Value, String> {
    if !text.bytes().all(|byte| byte.is_ascii_digit()) {
        return Err(format!("`{text}` is not a whole number\nwrite digits alone"));
    }
    let read = text.parse::<u32>().ok().filter(|number| *number <= most);
    read.map(Value::from)
        .ok_or_else(|| format!("`{text}` is more than can be meant\nwrite a number up to {most}"))
}

fn not_of_our_time(day: Date) -> String {
    format!("{day} is no day of our time\nlook at the year")
}

/// The instant of a written local time. One that the clock shows never is refused; of one that it shows
/// twice it is asked which is meant, by its offset.
pub(super) fn local(text: &str, zone: &TimeZone) -> Result<Timestamp, String> {
    let no_time = || "this is not a date and a time\nwrite it like 2026-11-25T14:05".to_owned();
    let local = text.parse::<DateTime>().map_err(|_| no_time())?;
    if !is_of_our_time(local.date()) {
        return Err(not_of_our_time(local.date()));
    }
    if let Ok(at) = text.parse::<Timestamp>() {
        return Ok(at);
    }
    let shown = local.strftime("%Y-%m-%dT%H:%M");
    let clock = zone.to_ambiguous_timestamp(local);
    match clock.offset() {
        AmbiguousOffset::Unambiguous { .. } => clock.unambiguous().map_err(|_| no_time()),
        AmbiguousOffset::Gap { .. } => Err(format!(
            "the clock of the site never shows {shown}: it is set forward then\nwrite what the clock showed"
        )),
        AmbiguousOffset::Fold { before, after } => Err(format!(
            "the clock of the site shows {shown} {SHOWN_TWICE}: it is set back then\nwrite {shown}{} for the first time, or {shown}{} for the second",
            written(before),
            written(after)
        )),
    }
}

/// In what is said of a time that the clock shows twice.
pub(super) const SHOWN_TWICE: &str = "twice";

/// An offset from universal time, such as -05:00.
fn written(offset: Offset) -> String {
    let minutes = offset.seconds() / 60;
    let sign = if minutes < 0 { '-' } else { '+' };
    format!("{sign}{:02}:{:02}", minutes.abs() / 60, minutes.abs() % 60)
}

fn many(ask: &Ask, fields: &Fields, options: &[(&str, &str)]) -> Value {
    let chosen = options.iter().filter(|(value, _)| fields.get(&box_name(ask, value)) == "yes");
    chosen.map(|(value, _)| *value).collect::<Vec<_>>().into()
}

/// Whether anything was typed or ticked.
pub(super) fn is_answered(ask: &Ask, fields: &Fields) -> bool {
    match ask.input {
        Input::Many(options) => many(ask, fields, options) != Value::Array(Vec::new()),
        Input::Flag => fields.get(ask.path) == "yes",
        _ => fields.filled(ask.path).is_some(),
    }
}

/// The name of one box of several.
pub(super) fn box_name(ask: &Ask, value: &str) -> String {
    format!("{}~{value}", ask.path)
}

/// What a person would have typed for `value`: names of fields and texts.
pub(super) fn typed_again(ask: &Ask, value: &Value, zone: &TimeZone) -> Vec<(String, String)> {
    let one = |text: String| vec![(ask.path.to_owned(), text)];
    match (ask.input, value) {
        (Input::Many(_), Value::Array(chosen)) => {
            let names = chosen.iter().filter_map(Value::as_str);
            names.map(|value| (box_name(ask, value), "yes".to_owned())).collect()
        }
        (Input::Level(_), Value::Null) => one(NOT_KNOWN.to_owned()),
        (_, Value::Null) => Vec::new(),
        (Input::Points, Value::Array(found)) => points::typed_again(ask, found),
        (Input::YesNo | Input::Flag, Value::Bool(yes)) => {
            one(if *yes { "yes" } else { "no" }.to_owned())
        }
        (Input::Words | Input::Several(_), Value::Array(words)) => {
            one(words.iter().filter_map(Value::as_str).collect::<Vec<_>>().join(", "))
        }
        (Input::Written(written) | Input::Level(written) | Input::Lines(written), value) => {
            (written.write)(value).map(one).unwrap_or_default()
        }
        (Input::Moment, Value::String(at)) => {
            at.parse().map(|at| one(wording::form_moment(at, zone))).unwrap_or_default()
        }
        // A choice that became the object it leads to.
        (Input::Choice(_), Value::Object(inner)) => {
            inner.keys().next().cloned().map(one).unwrap_or_default()
        }
        (_, Value::String(text)) => one(text.clone()),
        (_, other) => one(other.to_string()),
    }
}
