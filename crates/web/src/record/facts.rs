//! A whole form: from what was typed to a fact, and back.

use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};
use program::care::{against_issue_told, undoes};
use program::check::check_fact;
use program::due::against_fit_test;
use program::{Entry, Fact, SiteId, State, UnitId};
use serde_json::{Map, Value};

use super::input::{self, Reading, answer, typed_again};
use super::{Ask, DESPITE, EntryForm, Input, forms};
use crate::fields::Fields;
use crate::named::{self, Thing};
use crate::pages::record::kind;
use crate::{telling, wording};

/// How far a clock of a phone may run ahead.
const CLOCKS_DIFFER: SignedDuration = SignedDuration::from_mins(5);

/// The field that asks for the site where no thing of the form tells it.
pub(crate) const SITE: &str = "at-site";

/// An entry that is already kept: the same form sent before, or the one that is put right.
pub(crate) type Before<'e> = Option<&'e Entry>;

/// What a form tells.
pub(crate) struct Told {
    pub(crate) site: SiteId,
    pub(crate) happened: Timestamp,
    pub(crate) fact: Fact,
}

/// Reads the form. `None` where something is wrong, which is then told beside its field.
pub(crate) fn told(
    form: &EntryForm,
    fields: &mut Fields,
    (state, now): (&State, Timestamp),
    before: Before<'_>,
) -> Option<Told> {
    let kept = before.and_then(|entry| serde_json::to_value(&entry.fact).ok());
    let site = site(form, fields, state, before);
    let zone = site.as_ref().map_or(TimeZone::UTC, |site| telling::zone(state, site));
    let happened = happened(fields, now, (&zone, before));
    let mut fact = Map::new();
    fact.insert("kind".to_owned(), form.kind.into());
    let against = Reading { state, zone: &zone, now };
    for ask in form.fields.iter().filter(|ask| ask.path != SITE) {
        let open = ask.group.is_some_and(|group| is_open(form, fields, group.path));
        if open || leads_elsewhere(form, ask, fields) {
            continue;
        }
        let before = kept.as_ref().and_then(|kept| at(kept, ask.path));
        let value = match ask.input {
            Input::New(thing) => new_id(ask, fields, (state, thing), before).map(Value::String),
            Input::NewOrKnown(thing) => {
                known_or_new(ask, fields, (state, thing), before.is_some()).map(Value::String)
            }
            _ => answer(ask, fields, against),
        };
        if let Some(value) = value {
            put(&mut fact, ask.path, value);
        }
    }
    let site = site?;
    if fields.has_errors() {
        return None;
    }
    let Ok(fact) = serde_json::from_value::<Fact>(Value::Object(open_ends(form, fact))) else {
        // Every field was read, so what is wrong lies between them.
        let first = form.fields.first().map_or(SITE, |ask| ask.path);
        let why = "these answers do not make one record together\nlook at each of them again";
        fields.refuse(first, why);
        return None;
    };
    let told = Told { site, happened: happened?, fact };
    may_be_recorded(form, fields, state, (before, &told));
    if !fields.has_errors() {
        let warnings = warnings(form, fields, (state, &told), before);
        warn(fields, &warnings);
    }
    (!fields.has_errors()).then_some(told)
}

/// Refuses what cannot be so, beside the question that it is about.
fn may_be_recorded(
    form: &EntryForm,
    fields: &mut Fields,
    state: &State,
    (before, told): (Before<'_>, &Told),
) {
    if let Some(Err((path, why))) = form.check.map(|check| check(&told.fact)) {
        fields.refuse(path, why);
    }
    let problems = check_fact(state, (&told.site, told.happened), &told.fact).err();
    for problem in problems.into_iter().flatten() {
        let asked = form.fields.iter().any(|ask| ask.path == problem.field);
        let first = form.fields.first().map_or(SITE, |ask| ask.path);
        let path = if asked || problem.field == "when" { problem.field } else { first };
        fields.refuse(path, format!("{}\n{}", problem.what, problem.remedy));
    }
    if let Some(finding) = against_issue_told(state, (told.happened, &told.fact), before) {
        let worn = "where it was worn all the same, record that wear: it is kept, and the respirator stays stopped";
        fields.refuse("unit", format!("{}\n{}\n{worn}", finding.text(), finding.remedy()));
    }
}

/// What should give pause: what the form finds, what the cylinder says and why a fit test cannot count; in a correction also that it
/// undoes what took a respirator out of service. The same form sent again is not asked again.
fn warnings(
    form: &EntryForm,
    fields: &Fields,
    (state, told): (&State, &Told),
    before: Before<'_>,
) -> Vec<String> {
    let Some(before) = before else { return of_new(form, state, told) };
    if before.id.as_str() == fields.get("entry") {
        return Vec::new();
    }
    let undoes = undoes(&before.fact, &told.fact).then(|| {
        "that entry took the respirator out of service, and a correction alone does not put it back: it stays out unless the correction is by a person with current repair training\nhave such a person test and release it, or correct the entry".to_owned()
    });
    let stood = as_it_stood(state, before, told.happened);
    undoes.into_iter().chain(of_new(form, &stood, told)).collect()
}

/// The state at an instant without an entry and whatever puts that right. What makes a thing known, and
/// what a maker asks, counts whenever that was.
fn as_it_stood(state: &State, without: &Entry, at: Timestamp) -> State {
    let trees = state.corrections();
    let own = trees.iter().find(|tree| tree.iter().any(|entry| entry.id == without.id));
    let is_own = |entry: &Entry| {
        entry.id == without.id || own.is_some_and(|tree| tree.iter().any(|one| one.id == entry.id))
    };
    let counted = state.entries().filter(|entry| state.counts(&entry.id) && !is_own(entry));
    let counted = counted.filter(|entry| entry.happened <= at || makes_known(&entry.fact));
    let mut stood = State::default();
    for entry in counted {
        stood.take(Entry { corrects: None, ..entry.clone() });
    }
    stood
}

/// Whether a fact makes a thing known, or tells of a model what its maker asks.
fn makes_known(fact: &Fact) -> bool {
    let new = |ask: &Ask| matches!(ask.input, Input::New(_) | Input::NewOrKnown(_));
    forms::of_kind(&kind(fact)).is_some_and(|form| {
        form.about().is_some_and(|(thing, _)| thing == Thing::Model) || form.fields.iter().any(new)
    })
}

/// What should give pause in an entry that puts nothing right.
fn of_new(form: &EntryForm, state: &State, told: &Told) -> Vec<String> {
    let of_form = form.warn.and_then(|warn| warn(state, &told.fact));
    let of_cylinder = program::supply::gives_pause(state, told.happened, &told.fact)
        .map(|finding| format!("{}\n{}", finding.text(), finding.remedy()));
    // A fit test that cannot count is told before somebody is sent away with it.
    let of_test = against_fit_test(state, (&told.site, told.happened), &told.fact);
    let of_test = of_test.iter().map(|found| format!("{}\n{}", found.text(), found.remedy()));
    let found = of_form.into_iter().chain(of_cylinder).chain(of_test);
    found.chain(before_received(state, told)).collect()
}

/// Asks for a word where something should give pause.
fn warn(fields: &mut Fields, warnings: &[String]) {
    if !warnings.is_empty() && fields.get(DESPITE) != "yes" {
        fields.refuse(DESPITE, warnings.join("\n"));
    }
}

/// What happened to a respirator on a day before it was received.
fn before_received(state: &State, told: &Told) -> Option<String> {
    let fact = serde_json::to_value(&told.fact).ok()?;
    let unit = UnitId::new(fact.get("unit")?.as_str()?);
    let day = |when| state.day_at(&told.site, when);
    let received = day(state.unit(&unit)?.received.when);
    (day(told.happened) < received).then(|| {
        format!(
            "this lies before {received}, the day on which `{unit}` was received\nlook at the day"
        )
    })
}

/// Whether nothing was answered of a group.
fn is_open(form: &EntryForm, fields: &Fields, group: &str) -> bool {
    let own = form.fields.iter().filter(|ask| ask.group.is_some_and(|own| own.path == group));
    own.into_iter().all(|ask| fields.filled(ask.path).is_none())
}

/// The answer of an optional question that was left open is the absence of one.
fn open_ends(form: &EntryForm, mut fact: Map<String, Value>) -> Map<String, Value> {
    for ask in form.fields.iter().filter(|ask| ask.path != SITE) {
        let path = ask.group.map_or(ask.path, |group| group.path);
        let whole = Value::Object(fact.clone());
        let elsewhere = led(form, ask).is_some_and(|(choice, next)| {
            at(&whole, choice.path).and_then(|chosen| chosen.get(next)).is_none()
        });
        if !elsewhere && at(&whole, path).is_none() {
            insert(&mut fact, path, absent_value(ask));
        }
    }
    fact
}

fn absent_value(ask: &Ask) -> Value {
    match (ask.input, ask.group) {
        (Input::Text, None) => Value::String(String::new()),
        (Input::Words | Input::Several(_) | Input::Lines(_), None) => Value::Array(Vec::new()),
        _ => Value::Null,
    }
}

/// The choice that leads to `ask`, and the value that it must have.
fn led<'f>(form: &'f EntryForm, ask: &Ask) -> Option<(&'f Ask, &'static str)> {
    form.fields.iter().filter(|other| matches!(other.input, Input::Choice(_))).find_map(|choice| {
        let rest = ask.path.strip_prefix(choice.path)?.strip_prefix('.')?;
        Some((choice, rest.split('.').next()?))
    })
}

/// Whether a choice was made that leads away from `ask`; what was answered all the same is refused.
fn leads_elsewhere(form: &EntryForm, ask: &Ask, fields: &mut Fields) -> bool {
    let Some((choice, next)) = led(form, ask) else { return false };
    if fields.get(choice.path) == next {
        return false;
    }
    if input::is_answered(ask, fields) {
        let other = "this does not go with what was chosen above\nempty it, or choose otherwise";
        fields.refuse(ask.path, other);
    }
    true
}

/// Puts an answer into its place; the choice on the way there becomes the object that holds it.
fn put(fact: &mut Map<String, Value>, path: &str, value: Value) {
    for (end, _) in path.match_indices('.') {
        let Some(way) = path.get(..end) else { return };
        if let Some(Value::String(chosen)) = at(&Value::Object(fact.clone()), way).cloned() {
            let inner = Map::from_iter([(chosen, Value::Object(Map::new()))]);
            insert(fact, way, Value::Object(inner));
        }
    }
    insert(fact, path, value);
}

fn insert(fact: &mut Map<String, Value>, path: &str, value: Value) {
    match path.split_once('.') {
        None => {
            fact.insert(path.to_owned(), value);
        }
        Some((first, rest)) => {
            let inner = fact.entry(first.to_owned()).or_insert_with(|| Value::Object(Map::new()));
            if let Value::Object(inner) = inner {
                insert(inner, rest, value);
            }
        }
    }
}

/// What stands at `path`.
fn at<'v>(value: &'v Value, path: &str) -> Option<&'v Value> {
    path.split('.').try_fold(value, |value, key| value.get(key))
}

/// The site in whose chain the entry stands: that of the first thing named, or the one asked for.
fn site(
    form: &EntryForm,
    fields: &mut Fields,
    state: &State,
    before: Before<'_>,
) -> Option<SiteId> {
    if let Some(before) = before {
        return Some(before.site.clone());
    }
    for ask in form.fields {
        match ask.input {
            Input::New(Thing::Site) => {
                return new_id(ask, fields, (state, Thing::Site), None).map(SiteId::new);
            }
            Input::Known(Thing::Site) => break,
            Input::Known(thing) if thing.has_site() => {
                // A needed thing that is not found is told beside its own field.
                fields.filled(ask.path)?;
                let id = named::find(state, fields, ask.path, thing)?;
                return thing.site(state, &id);
            }
            _ => {}
        }
    }
    let mut sites = state.sites().map(|(id, _)| id);
    match (sites.next(), sites.next()) {
        (Some(only), None) => Some(only.clone()),
        (None, _) => {
            let first = form.fields.first().map_or(SITE, |ask| ask.path);
            fields.refuse(first, "no site is opened yet\nopen a site first");
            None
        }
        _ => {
            fields.need(SITE, "choose the site")?;
            named::find(state, fields, SITE, Thing::Site).map(SiteId::new)
        }
    }
}

/// The moment in the field `when`; now where it is empty, and that of the entry put right where it
/// was left as it is.
fn happened(
    fields: &mut Fields,
    now: Timestamp,
    (zone, before): (&TimeZone, Before<'_>),
) -> Option<Timestamp> {
    let text = fields.get("when");
    if let Some(before) = before
        && (text.is_empty() || text == wording::form_moment(before.happened, zone))
    {
        return Some(before.happened);
    }
    if text.is_empty() {
        return Some(now);
    }
    match input::local(text, zone) {
        Ok(at) if at > now.saturating_add(CLOCKS_DIFFER).unwrap_or(now) => {
            fields.refuse("when", "this lies ahead\nrecord what has happened");
            None
        }
        Ok(at) => Some(at),
        Err(why) => {
            fields.refuse("when", why);
            None
        }
    }
}

/// The id of a new thing: as typed, or made of its name. One that is in use names another thing,
/// unless it is that of `before`.
fn new_id(
    ask: &Ask,
    fields: &mut Fields,
    (state, thing): (&State, Thing),
    before: Option<&Value>,
) -> Option<String> {
    let before = before.and_then(Value::as_str);
    let Some(typed) = fields.filled(ask.path).map(str::to_owned) else {
        if let Some(before) = before {
            return Some(before.to_owned());
        }
        let name = ["name", "spec.name"].into_iter().find_map(|path| fields.filled(path));
        let made = slug(name.unwrap_or_default(), |id| thing.knows(state, id));
        if made.is_none() {
            fields.refuse(ask.path, input::missing(ask));
        }
        return made;
    };
    if before == Some(&typed) {
        return Some(typed);
    }
    let all = thing.all(state);
    let twin = all.iter().map(|(id, _)| id).find(|id| named::is_same(id, &typed));
    let why = match twin {
        Some(twin) => {
            let one = thing.one();
            let a = if one.starts_with(['a', 'e', 'i']) { "an" } else { "a" };
            format!("`{twin}` is already {a} {one}\nchoose another, or correct its entry")
        }
        None => match program::check::sound_id(&typed) {
            Ok(()) => return Some(typed),
            Err(why) => why,
        },
    };
    fields.refuse(ask.path, why);
    None
}

/// The id of a thing that is there, or of a new one. Where a name stands for the id of one that is there,
/// it is asked whether that one is meant.
fn known_or_new(
    ask: &Ask,
    fields: &mut Fields,
    (state, thing): (&State, Thing),
    asked_before: bool,
) -> Option<String> {
    let all = thing.all(state);
    if let Some(typed) = fields.filled(ask.path).map(str::to_owned) {
        if thing.knows(state, &typed) {
            return Some(typed);
        }
        let alike: Vec<&str> =
            all.iter().map(|(id, _)| id.as_str()).filter(|id| named::is_same(id, &typed)).collect();
        return match alike.as_slice() {
            [] => match program::check::sound_id(&typed) {
                Ok(()) => Some(typed),
                Err(why) => {
                    fields.refuse(ask.path, why);
                    None
                }
            },
            [one] => Some((*one).to_owned()),
            several => {
                fields.refuse(ask.path, named::several(&typed, several));
                None
            }
        };
    }
    let name = fields.get("name").to_owned();
    let same = all.iter().filter(|(_, own)| named::is_same(own, &name));
    let same: Vec<&str> = same.map(|(id, _)| id.as_str()).collect();
    match same.as_slice() {
        [] => slug(&name, |id| thing.knows(state, id)),
        [one] => {
            if !asked_before && fields.get(DESPITE) != "yes" {
                let words = format!(
                    "{name} is known already as `{one}`: this is recorded of that {}\nwhere another is meant, write a number of its own below",
                    thing.one()
                );
                fields.refuse(DESPITE, words);
            }
            Some((*one).to_owned())
        }
        several => {
            fields.refuse(ask.path, named::several(&name, several));
            None
        }
    }
}

/// A short id made of a name: small letters and digits, and a number where it is taken.
pub(super) fn slug(name: &str, taken: impl Fn(&str) -> bool) -> Option<String> {
    let letters = name.chars().flat_map(char::to_lowercase);
    let plain: String =
        letters.map(|letter| if letter.is_alphanumeric() { letter } else { ' ' }).collect();
    let plain = plain.split_whitespace().collect::<Vec<_>>().join("-");
    if plain.is_empty() {
        return None;
    }
    if !taken(&plain) {
        return Some(plain);
    }
    (2_u32..).map(|number| format!("{plain}-{number}")).find(|id| !taken(id))
}

/// The form as it would have been filled in for `entry`.
pub(crate) fn filled(form: &EntryForm, entry: &Entry, state: &State) -> Fields {
    let zone = telling::zone(state, &entry.site);
    let fact = serde_json::to_value(&entry.fact).unwrap_or_default();
    let mut fields = Fields::default();
    fields.or_set("when", wording::form_moment(entry.happened, &zone));
    for ask in form.fields {
        let value = at(&fact, ask.path);
        for (name, text) in value.into_iter().flat_map(|value| typed_again(ask, value, &zone)) {
            fields.or_set(&name, text);
        }
    }
    fields
}
