//! Every form, filled in with its own examples.

use std::collections::BTreeMap;

use jiff::Timestamp;
use program::{Entry, EntryId, Fact, PersonId, SiteId, State};
use serde_json::Value;

use super::input::box_name;
use super::*;
use crate::telling;

/// The kinds of fact that the program knows, as it names them itself.
fn kinds() -> Vec<String> {
    let asked = serde_json::json!({ "kind": "none such" });
    let said = serde_json::from_value::<Fact>(asked).unwrap_err().to_string();
    let named = said.split('`').skip(3).step_by(2);
    named.map(str::to_owned).collect()
}

#[test]
fn every_kind_of_fact_has_a_form() {
    let kinds = kinds();
    assert!(kinds.len() > 25, "{kinds:?}");
    let mut latest: BTreeMap<&str, u32> = BTreeMap::new();
    for kind in &kinds {
        let (path, version) = kind.split_once('.').unwrap();
        let known = latest.entry(path).or_default();
        *known = version.parse::<u32>().unwrap().max(*known);
    }
    let named: Vec<String> =
        latest.iter().map(|(path, version)| format!("{path}.{version}")).collect();
    let with_form: Vec<&str> = forms::all().map(|form| form.kind).collect();
    for kind in &named {
        assert!(with_form.contains(&kind.as_str()), "there is no form for `{kind}`");
    }
    for kind in with_form {
        assert!(named.iter().any(|known| known == kind), "`{kind}` is no kind of fact");
    }
}

/// Forms filled in one after the other, each in the ledger that the ones before it have made.
struct Bench {
    state: State,
    made: Vec<(Thing, String)>,
    entries: u32,
}

impl Bench {
    fn now() -> Timestamp {
        "2026-11-25T15:00:00Z".parse().unwrap()
    }

    /// The example of the form, with another answer to one of its choices.
    fn example(&self, form: &EntryForm, other: Option<(&str, &str)>) -> Fields {
        let answer = |ask: &Ask| match other {
            Some((path, value)) if path == ask.path => value,
            _ => ask.example,
        };
        let mut fields = Fields::default();
        // What gives pause is read.
        fields.or_set(DESPITE, "yes");
        for ask in form.fields {
            let led = form.fields.iter().find_map(|choice| {
                let rest = ask.path.strip_prefix(choice.path)?.strip_prefix('.')?;
                Some((choice, rest.split('.').next().unwrap()))
            });
            if led.is_some_and(|(choice, next)| answer(choice) != next) {
                continue;
            }
            match ask.input {
                // What is taken from a box is a filtering facepiece.
                Input::Known(Thing::Model)
                    if ask.path == "item.facepieces.model" || form.kind == "facepiece-taken.1" =>
                {
                    fields.or_set(ask.path, FACEPIECE);
                }
                Input::Known(Thing::Unit)
                    if ["battery-checked.1", "powered-flow-checked.1"].contains(&form.kind) =>
                {
                    fields.or_set(ask.path, BLOWER);
                }
                // Who stands outside is not inside.
                Input::Several(_) if form.kind == "standby-posted.1" && ask.path == "inside" => {}
                Input::Several(thing) | Input::Known(thing)
                    if !ask.needed && self.made.iter().all(|(own, _)| *own != thing) => {}
                Input::Known(thing) | Input::Several(thing) => {
                    let known = self.made.iter().find(|(own, _)| *own == thing);
                    let (_, id) = known.unwrap_or_else(|| panic!("no {thing:?} was made before"));
                    fields.or_set(ask.path, id);
                }
                Input::Points => {
                    for point in points::asked(&self.state, &fields).unwrap() {
                        fields.or_set(&points::name(ask, &point.id), "pass");
                    }
                }
                Input::Many(options) => {
                    fields.or_set(&box_name(ask, options.first().unwrap().0), "yes");
                }
                _ => fields.or_set(ask.path, answer(ask)),
            }
        }
        fields
    }

    fn tell(&self, form: &EntryForm, fields: &mut Fields, before: Option<&Entry>) -> Told {
        let told = told(form, fields, (&self.state, Self::now()), before);
        told.unwrap_or_else(|| panic!("{}: {fields:?}", form.kind))
    }

    /// Keeps what the form at `path` says when it is filled in with its examples.
    fn record(&mut self, path: &str) -> Entry {
        let form = forms::at(path).unwrap();
        let told = self.tell(form, &mut self.example(form, None), None);
        self.keep(form, told)
    }

    fn keep(&mut self, form: &EntryForm, told: Told) -> Entry {
        self.entries += 1;
        let entry = Entry {
            id: EntryId::new(format!("e-{}", self.entries)),
            site: told.site,
            happened: told.happened,
            // One after the other: of two at one instant nobody could tell which came last.
            entered: Self::now() + jiff::SignedDuration::from_millis(self.entries.into()),
            by: PersonId::new("p"),
            device: "bench".to_owned(),
            corrects: None,
            fact: told.fact,
        };
        self.state.apply(&entry);
        for (id, fact) in [("facepiece", facepiece(&entry.fact)), ("blower", blower(&entry.fact))] {
            if let Some(fact) = fact {
                self.entries += 1;
                let id = EntryId::new(format!("{id}-{}", self.entries));
                self.state.apply(&Entry { id, fact, ..entry.clone() });
            }
        }
        let kept = serde_json::to_value(&entry.fact).unwrap();
        for ask in form.fields {
            if let Input::New(thing) | Input::NewOrKnown(thing) = ask.input {
                let id = kept.get(ask.path).and_then(Value::as_str);
                self.made.push((thing, id.unwrap_or(entry.site.as_str()).to_owned()));
            }
        }
        entry
    }
}

const FACEPIECE: &str = "ff";

const BLOWER: &str = "blower";

/// Beside what was listed and received first, a powered unit.
fn blower(fact: &Fact) -> Option<Fact> {
    let mut beside = fact.clone();
    match &mut beside {
        Fact::ModelListed { model, device, approved_elements, .. } => {
            *model = program::ModelId::new(BLOWER);
            device.air_source = rulebook::AirSource::PoweredAirPurifying;
            approved_elements.clear();
        }
        Fact::UnitReceived { model, unit, serial, .. } => {
            BLOWER.clone_into(serial);
            *model = program::ModelId::new(BLOWER);
            *unit = program::UnitId::new(BLOWER);
        }
        _ => return None,
    }
    Some(beside)
}

/// Beside the model that was listed first, a filtering facepiece.
fn facepiece(fact: &Fact) -> Option<Fact> {
    let mut listed = fact.clone();
    let Fact::ModelListed { model, device, approved_elements, .. } = &mut listed else {
        return None;
    };
    *model = program::ModelId::new(FACEPIECE);
    device.filtering_facepiece = true;
    approved_elements.clear();
    Some(listed)
}

/// What else must be said with an answer of the listing of a model, so that there is such a model.
fn with_it(value: &str) -> &'static [(&'static str, &'static str)] {
    match value {
        "helmet-or-hood" | "loose-fitting" => &[("device.air_source", "powered-air-purifying")],
        "self-contained-demand" | "self-contained-pressure-demand" => {
            &[("device.facepiece", "full-facepiece"), ("approved_elements", "")]
        }
        "own-converted" | "own-with-adapter" => &[("model", BLOWER), ("unit", BLOWER)],
        "surrogate" | "probed-surrogate" | "air-on" => &[("model", BLOWER), ("unit", "")],
        _ if value.starts_with("supplied-air") => &[("device.facepiece", "full-facepiece")],
        _ => &[],
    }
}

#[test]
fn each_form_filled_in_with_its_examples_is_its_fact_and_reads_back_as_it_was_typed() {
    let mut bench = Bench { state: State::default(), made: Vec::new(), entries: 0 };
    for form in forms::all() {
        if form.kind == "issued.1" {
            bench.record("inspected");
        }
        let entry = bench.record(form.path());
        let sentence = telling::told(&bench.state, &entry);
        assert!(!sentence.is_empty(), "{} has no sentence", form.kind);
        assert!(!spoken(form, &entry, &bench.state).is_empty(), "{} says nothing", form.kind);
        let mut again = filled(form, &entry, &bench.state);
        again.or_set(DESPITE, "yes");
        let told = bench.tell(form, &mut again, Some(&entry));
        assert_eq!(told.fact, entry.fact, "{}", form.kind);
        assert_eq!(told.happened, entry.happened, "{}", form.kind);
    }
    for form in forms::all() {
        for ask in form.fields {
            let Input::Choice(options) = ask.input else { continue };
            for (value, _) in options {
                let mut fields = bench.example(form, Some((ask.path, value)));
                // Things of these names are there already.
                for new in form.fields.iter().filter(|ask| matches!(ask.input, Input::New(_))) {
                    fields.set(new.path, "another");
                }
                with_it(value).iter().for_each(|(path, answer)| fields.set(path, *answer));
                bench.tell(form, &mut fields, None);
            }
        }
    }
}

#[test]
fn a_form_that_is_sent_empty_names_every_field_that_is_needed_and_what_to_write() {
    let mut bench = Bench { state: State::default(), made: Vec::new(), entries: 0 };
    let opened = forms::at("site-opened").unwrap();
    let told = bench.tell(opened, &mut bench.example(opened, None), None);
    bench.keep(opened, told);
    for form in forms::all() {
        let mut fields = Fields::default();
        let now = Bench::now();
        assert!(super::told(form, &mut fields, (&bench.state, now), None).is_none());
        for ask in form.fields.iter().filter(|ask| ask.needed && ask.group.is_none()) {
            let led = form.fields.iter().any(|choice| {
                ask.path.strip_prefix(choice.path).is_some_and(|rest| rest.starts_with('.'))
            });
            let quiet = matches!(
                ask.input,
                Input::Many(_) | Input::Flag | Input::Moment | Input::NewOrKnown(_)
            ) || led;
            let quiet = quiet || matches!(ask.input, Input::Known(Thing::Site));
            assert!(quiet || fields.why_wrong(ask.path).is_some(), "{}: {}", form.kind, ask.path);
        }
    }
}

#[test]
fn an_answer_that_does_not_go_with_a_choice_is_refused() {
    let mut bench = Bench { state: State::default(), made: Vec::new(), entries: 0 };
    for path in ["site-opened", "wearer-enrolled"] {
        let form = forms::at(path).unwrap();
        let told = bench.tell(form, &mut bench.example(form, None), None);
        bench.keep(form, told);
    }
    let form = forms::at("clearance-given").unwrap();
    let mut fields = bench.example(form, None);
    fields.set("clearance.cleared-for.limits", "no airline");
    fields.set("clearance", "cleared");
    assert!(told(form, &mut fields, (&bench.state, Bench::now()), None).is_none());
    let why = fields.why_wrong("clearance.cleared-for.limits").unwrap();
    assert!(why.contains("does not go with"), "{why}");
    let form = forms::at("stock-received").unwrap();
    let mut fields = Fields::default();
    fields.set("item", "supplies");
    assert!(told(form, &mut fields, (&bench.state, Bench::now()), None).is_none());
    assert!(fields.why_wrong("item.supplies").is_some());
    assert!(fields.why_wrong("item.elements").is_none());
}

#[test]
fn an_id_in_use_is_refused_and_one_made_of_a_name_is_new() {
    let mut bench = Bench { state: State::default(), made: Vec::new(), entries: 0 };
    let form = forms::at("site-opened").unwrap();
    for expected in ["north-yard", "north-yard-2"] {
        let told = bench.tell(form, &mut bench.example(form, None), None);
        assert_eq!(told.site, SiteId::new(expected));
        bench.keep(form, told);
    }
    let mut fields = bench.example(form, None);
    fields.set(SITE, "north-yard");
    assert!(told(form, &mut fields, (&bench.state, Bench::now()), None).is_none());
    assert!(fields.why_wrong(SITE).unwrap().contains("already"));
}

/// A ledger in which the forms at `paths` were filled in with their examples.
fn bench_with(paths: &[&str]) -> Bench {
    let mut bench = Bench { state: State::default(), made: Vec::new(), entries: 0 };
    for path in paths {
        bench.record(path);
    }
    bench
}

#[test]
fn an_unfit_set_is_not_issued_whatever_is_answered_nor_by_a_correction() {
    let listed =
        ["site-opened", "model-listed", "element-type-listed", "unit-received", "wearer-enrolled"];
    let mut bench = bench_with(&listed);
    let form = forms::at("issued").unwrap();
    let refused = |bench: &Bench, (when, before): (&str, Option<&Entry>)| {
        // The example says yes to every warning.
        let mut fields = bench.example(form, None);
        fields.set("when", when);
        let told = told(form, &mut fields, (&bench.state, Bench::now()), before);
        assert_eq!(told.is_none(), fields.why_wrong("unit").is_some(), "{fields:?}");
        fields.why_wrong("unit").map(str::to_owned)
    };
    assert!(refused(&bench, ("", None)).unwrap().contains("inspect"));
    bench.record("inspected");
    assert_eq!(refused(&bench, ("", None)), None);
    let before_received = refused(&bench, ("2026-11-25T08:00", None));
    assert_eq!(before_received, None, "of what was not received then nothing is known");
    let issued = bench.record("issued");
    assert_eq!(refused(&bench, ("", Some(&issued))), None, "it was in order then");
    assert!(refused(&bench, ("", None)).unwrap().contains("has it"), "it is in hands now");
    bench.record("held");
    assert!(refused(&bench, ("", None)).unwrap().contains("released"));
    assert!(refused(&bench, ("", Some(&issued))).unwrap().contains("released"));
    bench.record("retired");
    assert!(refused(&bench, ("", None)).unwrap().contains("retired"));
}

#[test]
fn what_is_not_shown_to_disinfect_is_asked_about_until_the_maker_approves_it() {
    let listed = ["site-opened", "model-listed", "element-type-listed", "unit-received"];
    let mut bench = bench_with(&listed);
    let asks = |bench: &Bench, agent: &str| {
        let form = forms::at("disinfected").unwrap();
        let mut fields = bench.example(form, None);
        fields.set(DESPITE, "");
        fields.set("agent", agent);
        told(form, &mut fields, (&bench.state, Bench::now()), None).is_none()
    };
    assert!(!asks(&bench, "hypochlorite, 50 ppm") && asks(&bench, "hypochlorite, 5 ppm"));
    assert!(asks(&bench, "bleach") && asks(&bench, "hypochlorite, 5 %"));
    assert!(asks(&bench, "hypochlorite, 1000 ppm") && !asks(&bench, "iodine, 100 ppm"));
    assert!(asks(&bench, "Quaternary bath salts, 400 ppm"));
    let noted = forms::at("maker-instructions-noted").unwrap();
    let noted_as = bench.tell(noted, &mut bench.example(noted, None), None);
    bench.keep(noted, noted_as);
    assert!(!asks(&bench, "Quaternary bath salts, 400 ppm") && asks(&bench, "vinegar"));
}

#[test]
fn an_inspection_that_names_another_serial_number_is_asked_about() {
    let bench =
        bench_with(&["site-opened", "model-listed", "element-type-listed", "unit-received"]);
    let form = forms::at("inspected").unwrap();
    let own = bench.state.units().next().unwrap().1.serial.clone();
    let why = |serial: &str| {
        let mut fields = bench.example(form, None);
        fields.set(DESPITE, "");
        fields.set("serial", serial);
        let _ = told(form, &mut fields, (&bench.state, Bench::now()), None);
        fields.why_wrong(DESPITE).map(str::to_owned)
    };
    assert_eq!(why(&own), None);
    let why = why("s-9999").unwrap();
    assert!(
        why.contains("s-9999") && why.contains(&own) && why.contains("does not count"),
        "{why}"
    );
}

#[test]
fn a_correction_that_would_put_a_set_back_is_asked_about() {
    let listed = ["site-opened", "model-listed", "element-type-listed", "unit-received"];
    let mut bench = bench_with(&listed);
    let form = forms::at("repair-tested").unwrap();
    let mut fields = bench.example(form, None);
    fields.set("passed", "no");
    let failed = bench.tell(form, &mut fields, None);
    let failed = bench.keep(form, failed);
    let corrected = |passed: &str, read: &str| {
        let mut fields = bench.example(form, None);
        fields.set("passed", passed);
        fields.set(DESPITE, read);
        let told = told(form, &mut fields, (&bench.state, Bench::now()), Some(&failed));
        told.map(|_| String::new()).or_else(|| fields.why_wrong(DESPITE).map(str::to_owned))
    };
    assert_eq!(corrected("no", "").unwrap(), "");
    assert!(corrected("yes", "").unwrap().contains("current repair training"));
    assert_eq!(corrected("yes", "yes").unwrap(), "");
}

#[test]
fn a_fit_test_of_which_the_outcome_alone_is_known_is_put_right_as_that() {
    let mut bench =
        bench_with(&["site-opened", "element-type-listed", "model-listed", "wearer-enrolled"]);
    let form = forms::of_kind("fit-tested.1").unwrap();
    for method in ["qualitative", "quantitative"] {
        let mut fields = bench.example(form, Some(("method", method)));
        let told = bench.tell(form, &mut fields, None);
        assert!(matches!(told.fact, Fact::FitTested { .. }), "{:?}", told.fact);
        let entry = bench.keep(form, told);
        let mut again = filled(form, &entry, &bench.state);
        assert_eq!(bench.tell(form, &mut again, Some(&entry)).fact, entry.fact);
        again.set("seal_note", "dentures");
        let told = bench.tell(form, &mut again, Some(&entry));
        let Fact::FitTested { seal_note, method: how, passed, .. } = told.fact else { panic!() };
        assert_eq!((seal_note.as_str(), passed), ("dentures", true));
        let known = program::FitMethod::Quantitative { fit_factor: 250.0 };
        assert_eq!(how == known, method == "quantitative", "{how:?}");
    }
    let mut fields = bench.example(form, None);
    fields.set("method.quantitative.fit_factor", "0.5");
    assert!(told(form, &mut fields, (&bench.state, Bench::now()), None).is_none());
}

// Source: 29 CFR 1910.134(f)(8), App. A Part I.B.4(a)(14) and I.C.4.
#[test]
fn a_fit_test_that_cannot_count_is_told_before_it_is_recorded() {
    let listed = ["site-opened", "element-type-listed", "model-listed", "unit-received"];
    let mut bench = bench_with(&listed);
    bench.record("wearer-enrolled");
    bench.record("role-given");
    for path in ["instrument-listed", "instrument-calibrated", "instrument-checked"] {
        bench.record(path);
    }
    let form = forms::at("fit-tested").unwrap();
    let pause = |answers: &[(&str, &str)]| {
        let mut fields = bench.example(form, None);
        fields.set(DESPITE, "");
        answers.iter().for_each(|(path, answer)| fields.set(path, *answer));
        let told = told(form, &mut fields, (&bench.state, Bench::now()), None);
        assert_eq!(told.is_none(), fields.why_wrong(DESPITE).is_some(), "{fields:?}");
        fields.why_wrong(DESPITE).map(str::to_owned).unwrap_or_default()
    };
    assert_eq!(pause(&[]), "");
    let unnamed = pause(&[("instrument", "")]);
    assert!(unnamed.contains("does not say which particle counter"), "{unnamed}");
    let other = pause(&[("record.protocol", "QNFT-CNP"), ("record.exercises", "1: factor 600")]);
    assert!(other.contains("asks for a held-vacuum instrument"), "{other}");
    let other = pause(&[("record.protocol", "QNFT-CNC-MOD-FFR")]);
    assert!(other.contains("is not for a half mask") && other.contains("fit test"), "{other}");
    let other = pause(&[("record.facepiece", "full-facepiece")]);
    assert!(other.contains("run as for a full facepiece"), "{other}");
    let powered = [("model", BLOWER), ("unit", ""), ("tested_as", "air-on")];
    assert!(pause(&powered).contains("with its air on"), "{}", pause(&powered));
    let probed = [("model", BLOWER), ("unit", ""), ("tested_as", "probed-surrogate")];
    assert_eq!(pause(&probed), "");
    let tasted = |filled: &str| {
        pause(&[
            ("record.protocol", "QLFT-BIT"),
            ("record.exercises", "1: not noticed"),
            ("record.made.nebuliser", filled),
            ("instrument", ""),
        ])
    };
    // It is four in the afternoon at the site.
    assert!(tasted("").contains("does not say when"), "{}", tasted(""));
    assert!(tasted("2026-11-25T08:00").contains("past its time"));
    assert!(!tasted("2026-11-25T13:00").contains("bitter agent"));
}

#[test]
fn what_a_fit_test_of_a_facepiece_fed_with_air_lacks_is_asked_beside_its_question() {
    let listed = ["site-opened", "element-type-listed", "model-listed", "unit-received"];
    let mut bench = bench_with(&listed);
    bench.record("wearer-enrolled");
    bench.record("role-given");
    let form = forms::at("fit-tested").unwrap();
    let why = |answers: &[(&str, &str)], path: &str| {
        let mut fields = bench.example(form, None);
        answers.iter().for_each(|(path, answer)| fields.set(path, *answer));
        assert!(told(form, &mut fields, (&bench.state, Bench::now()), None).is_none());
        fields.why_wrong(path).map(str::to_owned).unwrap_or_default()
    };
    assert!(why(&[("model", BLOWER)], "tested_as").contains("fed with air"));
    let own = [("model", BLOWER), ("unit", ""), ("tested_as", "own-with-adapter")];
    assert!(why(&own, "unit").contains("put back"), "{}", why(&own, "unit"));
    assert!(why(&[("tested_as", "surrogate")], "tested_as").contains("not fed with air"));
}

#[test]
fn a_site_may_ask_everything_more_often_that_is_asked_by_the_calendar() {
    let rows = rulebook::interval::intervals().iter();
    let rows: Vec<(&str, &str)> = rows.map(|row| (row.rule.as_str(), row.asks.as_str())).collect();
    assert_eq!(forms::desk::ASKED, rows);
}

#[test]
fn sizes_are_split_at_commas_and_semicolons() {
    let bench = bench_with(&["site-opened"]);
    let form = forms::at("model-listed").unwrap();
    let mut fields = bench.example(form, None);
    fields.set("sizes", "S; M, L;");
    let told = bench.tell(form, &mut fields, None);
    let program::Fact::ModelListed { sizes, .. } = told.fact else { panic!("another fact") };
    assert_eq!(sizes, ["S", "M", "L"]);
}

#[test]
fn only_who_runs_the_program_accepts_reuse_without_a_word() {
    let mut bench = bench_with(&[
        "site-opened",
        "model-listed",
        "element-type-listed",
        "task-described",
        "role-given",
    ]);
    let form = forms::at("reuse-accepted").unwrap();
    let asks = |bench: &Bench| {
        let mut fields = bench.example(form, None);
        fields.set(DESPITE, "");
        let told = told(form, &mut fields, (&bench.state, Bench::now()), None);
        assert_eq!(told.is_none(), fields.why_wrong(DESPITE).is_some(), "{fields:?}");
        told.is_none()
    };
    assert!(asks(&bench), "a repairer");
    let role = forms::at("role-given").unwrap();
    let told = bench.tell(role, &mut bench.example(role, Some(("role", "administrator"))), None);
    bench.keep(role, told);
    assert!(!asks(&bench));
}

#[test]
fn a_second_wearer_of_one_name_is_asked_about_and_then_told_apart() {
    let mut bench = bench_with(&["site-opened", "wearer-enrolled"]);
    let form = forms::at("wearer-enrolled").unwrap();
    let mut fields = bench.example(form, None);
    fields.set(DESPITE, "");
    assert!(told(form, &mut fields, (&bench.state, Bench::now()), None).is_none());
    assert!(fields.why_wrong(DESPITE).unwrap().contains("`alder-finch`"));
    let once = telling::person(&bench.state, &PersonId::new("alder-finch"));
    assert_eq!(once, "Alder Finch");
    let told = bench.tell(form, &mut bench.example(form, None), None);
    bench.keep(form, told);
    for (id, name) in [
        ("alder-finch", "Alder Finch (alder-finch)"),
        ("alder-finch-2", "Alder Finch (alder-finch-2)"),
    ] {
        assert_eq!(telling::person(&bench.state, &PersonId::new(id)), name);
    }
}

/// Asserts that a form filled in so is refused at `field`, in such words.
fn refused(path: &str, answers: &[(&str, &str)], field: &str, words: &str) {
    let bench = bench_with(&[
        "site-opened",
        "model-listed",
        "element-type-listed",
        "unit-received",
        "task-described",
    ]);
    let form = forms::at(path).unwrap();
    let mut fields = bench.example(form, None);
    answers.iter().for_each(|(name, answer)| fields.set(name, *answer));
    assert!(told(form, &mut fields, (&bench.state, Bench::now()), None).is_none(), "{path}");
    let why = fields.why_wrong(field).unwrap_or_else(|| panic!("{path}: {fields:?}"));
    assert!(why.contains(words) && why.contains('\n'), "{why}");
    assert!(!why.contains("expected u"), "{why}");
}

#[test]
fn what_cannot_be_so_is_told_beside_its_field_in_plain_words() {
    let shifts = [("shifts", "1000")];
    refused("schedule-adopted", &shifts, "shifts", "more than can be meant");
    refused("schedule-adopted", &[("shifts", "0")], "shifts", "does not serve 0 shifts");
    refused("unit-received", &[("unit", "HM-9"), ("size", "XXL")], "size", "does not come in");
    let never = [("every", "days"), ("every.months", ""), ("every.days", "0")];
    refused("policy-set", &never, "every.days", "can never be kept");
    let dates = [("made", "2024-03-01"), ("requalified", "2023-03-01")];
    refused("cylinder-listed", &dates, "requalified", "before it was made");
    refused("cylinder-listed", &[("marking", "CY10")], "marking", "CY09");
    let open = [
        ("marking", "CY16"),
        ("terms.every.months", ""),
        ("terms.life_ends", ""),
        ("terms.stands_in", ""),
        ("terms.confirmed", ""),
    ];
    refused("cylinder-listed", &open, "terms.every.months", "no period for CY16");
    let rare = [("marking", "CY16"), ("terms.every.months", "600")];
    refused("cylinder-listed", &rare, "terms.every.months", "tested only each 600 months");
    refused("cylinder-listed", &[("water_volume", "6.8 mL")], "water_volume", "no cylinder holds");
    refused("cylinder-listed", &[("rated", "3 bar")], "rated", "no cylinder is rated for");
}

#[test]
fn models_and_boxes_that_cannot_be_and_days_of_no_time_are_refused() {
    let model = |answers: &[(&str, &str)], field: &str, words: &str| {
        refused("model-listed", &[&[("model", "m-2")], answers].concat(), field, words);
    };
    let rated = [("device.rated_minutes", "30")];
    model(&rated, "device.rated_minutes", "carries no air has no rated time");
    let marked =
        [("device.facepiece", "full-facepiece"), ("device.maker_shows_factor_1000", "yes")];
    model(&marked, "device.maker_shows_factor_1000", "no factor of 1000 for this class");
    for (source, facepiece) in [
        ("powered-air-purifying", "quarter-mask"),
        ("self-contained-demand", "loose-fitting"),
        ("air-purifying", "loose-fitting"),
        ("supplied-air-demand", "helmet-or-hood"),
    ] {
        let class = [("device.air_source", source), ("device.facepiece", facepiece)];
        model(&class, "device.facepiece", "the table of protection factors gives none");
    }
    let shared = [("unit", "FF-9"), ("model", FACEPIECE), ("shared", "yes")];
    refused("unit-received", &shared, "shared", "one wearer only");
    let boxed = [("item.facepieces.model", "half-mask-for-two-cartridges")];
    refused("stock-received", &boxed, "item.facepieces.model", "is no filtering facepiece");
    refused("stock-received", &[("count", "1000000")], "count", "more than can be meant");
    for (year, words) in [("0001-01-01T08:00", "0001-01-01"), ("1899-05-05T08:00", "1899-05-05")] {
        refused("inspected", &[("when", year)], "when", words);
    }
    let old = [("unit", "HM-101"), ("shelf_life_until", "1899-05-05")];
    refused("elements-fitted", &old, "shelf_life_until", "no day of our time");
    // The clock of the site goes from 2 to 3 in the night of 29 March, and back in that of 25 October.
    let skipped = [("opened", "2026-03-29T02:30")];
    refused("elements-fitted", &skipped, "opened", "never shows 2026-03-29T02:30");
    let twice = [("opened", "2026-10-25T02:30")];
    refused(
        "elements-fitted",
        &twice,
        "opened",
        "02:30+02:00 for the first time, or 2026-10-25T02:30+01:00",
    );
}

#[test]
fn of_a_time_that_the_clock_shows_twice_the_offset_tells_which_is_meant() {
    let bench =
        bench_with(&["site-opened", "element-type-listed", "model-listed", "unit-received"]);
    let form = forms::at("elements-fitted").unwrap();
    let mut fields = bench.example(form, None);
    fields.set("opened", "2026-10-25T02:30");
    assert!(told(form, &mut fields, (&bench.state, Bench::now()), None).is_none());
    let drawn = draw(form, &fields, &bench.state, true).unwrap().join("");
    assert!(!drawn.contains("type=\"datetime-local\" id=\"opened\""), "{drawn}");
    for (offset, utc) in [("+02:00", "2026-10-25T00:30:00Z"), ("+01:00", "2026-10-25T01:30:00Z")] {
        let mut fields = bench.example(form, None);
        fields.set("opened", format!("2026-10-25T02:30{offset}"));
        let told = bench.tell(form, &mut fields, None);
        let Fact::ElementsFitted { opened, .. } = told.fact else { panic!("another fact") };
        assert_eq!(opened.to_string(), utc);
        let zone = jiff::tz::TimeZone::get("Europe/Madrid").unwrap();
        let typed = crate::wording::form_moment(opened, &zone);
        assert_eq!(typed, format!("2026-10-25T02:30{offset}"));
    }
}

/// The warning of a form filled in so, where there is one.
fn warned(bench: &Bench, path: &str, answers: &[(&str, &str)]) -> Option<String> {
    let form = forms::at(path).unwrap();
    let mut fields = bench.example(form, None);
    fields.set(DESPITE, "");
    answers.iter().for_each(|(name, answer)| fields.set(name, *answer));
    let told = told(form, &mut fields, (&bench.state, Bench::now()), None);
    assert_eq!(told.is_none(), fields.why_wrong(DESPITE).is_some(), "{path}: {fields:?}");
    fields.why_wrong(DESPITE).map(str::to_owned)
}

#[test]
fn elements_that_do_not_belong_to_the_set_are_asked_about() {
    let mut bench =
        bench_with(&["site-opened", "element-type-listed", "model-listed", "unit-received"]);
    assert_eq!(warned(&bench, "elements-fitted", &[]), None);
    let form = forms::at("element-type-listed").unwrap();
    let mut fields = bench.example(form, Some(("elements.mounting", "canister-escape")));
    fields.set("element_type", "escape");
    let told = bench.tell(form, &mut fields, None);
    bench.keep(form, told);
    let said = warned(&bench, "elements-fitted", &[("element_type", "escape")]).unwrap();
    assert!(said.contains("do not go with this set"), "{said}");
    assert!(said.contains("is not shown to be approved with the elements `escape`"), "{said}");
    let form = forms::at("elements-fitted").unwrap();
    let told = bench.tell(form, &mut bench.example(form, None), None);
    bench.keep(form, told);
    let other_day = [("shelf_life_until", "2036-01-31")];
    let early = [("when", "2026-11-20T08:00"), ("opened", "2026-11-20T07:00")];
    let said = warned(&bench, "elements-fitted", &early).unwrap();
    assert!(said.contains("the day on which `HM-101` was received"), "{said}");
    let said = warned(&bench, "elements-fitted", &other_day).unwrap();
    assert!(said.contains("shelf life until 2028-01-31"), "{said}");
}

#[test]
fn more_than_a_box_holds_and_a_serial_number_in_use_are_asked_about() {
    let mut bench = bench_with(&[
        "site-opened",
        "element-type-listed",
        "model-listed",
        "unit-received",
        "wearer-enrolled",
    ]);
    let form = forms::at("stock-received").unwrap();
    let mut fields = bench.example(form, None);
    fields.set("count", "1");
    let told = bench.tell(form, &mut fields, None);
    bench.keep(form, told);
    assert_eq!(warned(&bench, "facepiece-taken", &[]), None);
    let form = forms::at("facepiece-taken").unwrap();
    let told = bench.tell(form, &mut bench.example(form, None), None);
    bench.keep(form, told);
    let said = warned(&bench, "facepiece-taken", &[("unit", "FF-002")]).unwrap();
    assert!(said.contains("`BX-001` is empty by its records: 1 came in it"), "{said}");
    let said = warned(&bench, "stock-counted", &[("count", "17")]).unwrap();
    assert!(said.contains("17 cannot be left"), "{said}");
    let twin = [("unit", "HM-102"), ("serial", "S-1001")];
    let said = warned(&bench, "unit-received", &twin).unwrap();
    assert!(said.contains("stands on `HM-101` already"), "{said}");
    let refused = |tag: &str| {
        let form = forms::at("unit-received").unwrap();
        let mut fields = bench.example(form, None);
        fields.set("unit", tag);
        fields.set("serial", "s-9");
        assert!(super::told(form, &mut fields, (&bench.state, Bench::now()), None).is_none());
        fields.why_wrong("unit").unwrap().to_owned()
    };
    assert!(refused("hm-101").contains("`HM-101` is already a respirator"));
    assert!(refused("../x").contains("does not begin like a tag"));
    assert!(refused("<b>x").contains("which no tag carries"));
}

#[test]
fn an_instrument_that_was_taken_out_of_use_is_listed_again() {
    let mut bench = bench_with(&["site-opened", "instrument-listed"]);
    let said = warned(&bench, "instrument-listed", &[]).unwrap();
    assert!(said.contains("`FT-1` is listed already and in use"), "{said}");
    bench.record("instrument-withdrawn");
    assert_eq!(warned(&bench, "instrument-listed", &[("instrument", "ft-1")]), None);
    let said = warned(&bench, "instrument-listed", &[("serial", "s-9")]).unwrap();
    assert!(said.contains("with the serial number s-2041: of another device"), "{said}");
    bench.record("instrument-listed");
    let instrument = bench.state.instrument(&program::InstrumentId::new("FT-1")).unwrap();
    assert!(!instrument.is_withdrawn());
}

#[test]
fn a_cylinder_out_of_service_or_too_full_gives_pause_before_its_filling_is_recorded() {
    let mut bench = bench_with(&["site-opened", "supply-listed", "air-sampled", "cylinder-listed"]);
    let asks = |bench: &Bench, path: &str, read: (&str, &str)| {
        let form = forms::at(path).unwrap();
        let mut fields = bench.example(form, None);
        fields.set(DESPITE, "");
        fields.set(read.0, read.1);
        told(form, &mut fields, (&bench.state, Bench::now()), None)
            .is_none()
            .then(|| fields.why_wrong(DESPITE).unwrap().to_owned())
    };
    assert_eq!(asks(&bench, "cylinder-filled", ("pressure", "300 bar")), None);
    let over = asks(&bench, "cylinder-filled", ("pressure", "330 bar")).unwrap();
    assert!(over.contains("let down") && !over.contains("fill the"), "{over}");
    assert!(asks(&bench, "cylinder-gauged", ("read", "330 bar")).is_some());
    let withdrawn = forms::at("cylinder-withdrawn").unwrap();
    let told_so = bench.tell(withdrawn, &mut bench.example(withdrawn, None), None);
    bench.keep(withdrawn, told_so);
    let filled = asks(&bench, "cylinder-filled", ("pressure", "300 bar")).unwrap();
    assert!(filled.contains("taken out of service"), "{filled}");
}

#[test]
fn a_cylinder_on_an_air_purifying_respirator_gives_pause() {
    let listed = ["site-opened", "model-listed", "element-type-listed", "unit-received"];
    let mut bench = bench_with(&listed);
    let cylinder = forms::at("cylinder-listed").unwrap();
    let told_of = bench.tell(cylinder, &mut bench.example(cylinder, None), None);
    bench.keep(cylinder, told_of);
    let form = forms::at("cylinder-mounted").unwrap();
    let mut fields = bench.example(form, None);
    fields.set(DESPITE, "");
    assert!(told(form, &mut fields, (&bench.state, Bench::now()), None).is_none());
    assert!(fields.why_wrong(DESPITE).unwrap().contains("carries no cylinder"));
}

#[test]
#[expect(clippy::too_many_lines, reason = "a plain list of forms")]
fn what_gives_pause_in_a_new_entry_gives_pause_in_a_correction_and_itself_is_no_reason() {
    let mut bench = bench_with(&[
        "site-opened",
        "element-type-listed",
        "model-listed",
        "unit-received",
        "wearer-enrolled",
        "stock-received",
        "supply-listed",
        "cylinder-listed",
        "inspected",
    ]);
    for (path, answers) in [
        ("unit-received", [("unit", "HM-102"), ("serial", "S-1002")]),
        ("wearer-enrolled", [("wearer", "w-2"), ("name", "Wren Alder")]),
    ] {
        let form = forms::at(path).unwrap();
        let mut fields = bench.example(form, None);
        answers.iter().for_each(|(name, answer)| fields.set(name, *answer));
        let told = bench.tell(form, &mut fields, None);
        bench.keep(form, told);
    }
    let taken =
        |of: &str| forms::at(of).unwrap().fields.iter().find(|a| a.path == "name").unwrap().example;
    for (path, fine, pause) in [
        ("elements-fitted", vec![], vec![("shelf_life_until", "2036-01-31")]),
        ("disinfected", vec![("agent", "iodine, 50 ppm")], vec![("agent", "vinegar")]),
        ("inspected", vec![("serial", "s-1001")], vec![("serial", "s-9999")]),
        ("cylinder-gauged", vec![("read", "290 bar")], vec![("read", "330 bar")]),
        ("stock-counted", vec![("count", "3")], vec![("count", "900")]),
        (
            "unit-received",
            vec![("unit", "HM-103"), ("serial", "S-1003")],
            vec![("serial", "S-1002")],
        ),
        (
            "wearer-enrolled",
            vec![("wearer", "w-3"), ("name", "Ash Reed")],
            vec![("name", taken("wearer-enrolled"))],
        ),
    ] {
        let form = forms::at(path).unwrap();
        if path == "elements-fitted" {
            // The lot is known with its day from an earlier fitting.
            let told = bench.tell(form, &mut bench.example(form, None), None);
            bench.keep(form, told);
        }
        assert_eq!(warned(&bench, path, &fine), None, "{path}");
        let mut fields = bench.example(form, None);
        fine.iter().for_each(|(name, answer)| fields.set(name, *answer));
        let told = bench.tell(form, &mut fields, None);
        let kept = bench.keep(form, told);
        let correct = |answers: &[(&str, &str)], sent_again: bool| {
            let mut fields = filled(form, &kept, &bench.state);
            answers.iter().for_each(|(name, answer)| fields.set(name, *answer));
            fields.set("entry", if sent_again { kept.id.as_str() } else { "f-1" });
            let told = super::told(form, &mut fields, (&bench.state, Bench::now()), Some(&kept));
            assert_eq!(told.is_none(), fields.why_wrong(DESPITE).is_some(), "{path}: {fields:?}");
            fields.why_wrong(DESPITE).map(str::to_owned)
        };
        assert_eq!(correct(&[], false), None, "{path}");
        let said = correct(&pause, false);
        assert!(said.is_some(), "{path} asks nothing");
        assert_eq!(correct(&pause, true), None, "{path}: the same form sent twice");
    }
}
