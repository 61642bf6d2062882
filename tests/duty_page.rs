//! `docs/duties.md` is generated from the list of duties and says where each is served. What it names
//! must exist: rules, tests, pages, entries and commands. Run with `BREATHWORTHY_WRITE=1` to write it
//! anew.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

use std::collections::BTreeSet;
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use rulebook::Authority;
use rulebook::duties::{self, Duty};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn source(path: &str) -> String {
    fs::read_to_string(root().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// The texts in double quotes that follow `before` in a source.
fn quoted_after(text: &str, before: &str) -> BTreeSet<String> {
    let parts = text.split(before).skip(1);
    parts.filter_map(|part| part.split('"').next()).map(str::to_owned).collect()
}

fn page() -> String {
    let all = duties::all();
    let unserved = all.iter().filter(|duty| duty.not_for_a_tool.is_some()).count();
    let by_hand = all.iter().filter(|duty| is_by_hand_alone(duty)).count();
    let mut page = format!(
        "# The duties\n\nGenerated from `data/duties.csv` and `data/duty_places.csv` by \
`tests/duty_page.rs`, which fails where a rule, a test, a page, a command or a form that is named \
here does not exist, and where none of the tests of a duty is about a rule of it. Paragraphs are of 29 CFR 1910.134 where no other is named.\n\n\
Of {} duties, {} have a rule of their own or a record, {by_hand} are shown by a person (who looked, \
how, until when), and {unserved} are not for a tool. \
An entry is recorded at `/record/` and the name of its kind.\n\n| duty | paragraph | what | rules | where | \
tests |\n| --- | --- | --- | --- | --- | --- |\n",
        all.len(),
        all.len() - unserved - by_hand,
    );
    for duty in all {
        let doubt = match duty.authority {
            Authority::Memory => "; from memory, unconfirmed",
            _ => "",
        };
        let what = format!("{} ({}{doubt})", duty.duty.trim_end_matches('.'), duty.who);
        let citation = duty.citation.replace("29 CFR 1910.134", "");
        let served = match &duty.not_for_a_tool {
            Some(reason) => format!("| not for a tool: {reason} | | |"),
            None => format!(
                "| {} | {} | {} |",
                listed(&duty.rules, |rule| format!("`{rule}`")),
                listed(&duty.places, told),
                listed(&duty.tests, named),
            ),
        };
        let (id, citation, what) = (&duty.id, cell(citation.trim()), cell(&what));
        writeln!(page, "| {id} | {citation} | {what} {served}").unwrap();
    }
    page
}

fn is_by_hand_alone(duty: &Duty) -> bool {
    duty.is_shown_by_a_person() && duty.rules.len() == 1
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}

fn listed(words: &[String], tell: impl Fn(&str) -> String) -> String {
    words.iter().map(|word| tell(word)).collect::<Vec<_>>().join(", ")
}

/// A test by its folder and file, and what it says.
fn named(test: &str) -> String {
    let (file, name) = test.split_once('#').unwrap();
    let parts: Vec<&str> = file.trim_end_matches(".rs").rsplit('/').take(2).collect();
    format!("{}/{}: {}", parts[1], parts[0], name.replace('_', " "))
}

fn told(place: &str) -> String {
    match place.split_once(':').unwrap() {
        ("record", kind) => format!("entry `{kind}`"),
        (kind, name) => format!("{kind} `{name}`"),
    }
}

/// What stands behind `kind:` in the places of all duties, each with its duty.
fn places(kind: &str) -> Vec<(&'static str, &'static str)> {
    let of_duty = |duty: &'static Duty| duty.places.iter().map(|place| (duty.id.as_str(), place));
    let named = duties::all().iter().flat_map(of_duty);
    named
        .filter_map(|(id, place)| Some((id, place.strip_prefix(kind)?.strip_prefix(':')?)))
        .collect()
}

#[test]
fn the_page_of_duties_is_current() {
    let path = root().join("docs/duties.md");
    if std::env::var_os("BREATHWORTHY_WRITE").is_some() {
        fs::write(&path, page()).unwrap();
    }
    let kept = fs::read_to_string(&path).unwrap_or_default();
    assert!(
        kept == page(),
        "docs/duties.md is old: run BREATHWORTHY_WRITE=1 cargo test --test duty_page"
    );
}

#[test]
fn no_duty_is_missing_and_each_has_a_place_or_a_reason() {
    let text = source("data/duties.csv");
    let rows = text.lines().filter(|line| line.starts_with('D')).count();
    assert_eq!((duties::all().len(), rows), (244, 244));
    let page = page();
    for duty in duties::all() {
        assert!(page.contains(&format!("\n| {} |", duty.id)), "{} is not on the page", duty.id);
        let served = !duty.places.is_empty() && !duty.tests.is_empty();
        assert!(served != duty.not_for_a_tool.is_some(), "{}", duty.id);
        for place in &duty.places {
            let kind = place.split_once(':').map(|(kind, _)| kind);
            assert!(matches!(kind, Some("page" | "record" | "command")), "{}: {place}", duty.id);
        }
    }
}

#[test]
fn every_rule_that_a_duty_names_exists() {
    let known: BTreeSet<&str> = rulebook::all_rules().iter().map(|rule| rule.id).collect();
    for duty in duties::all() {
        for rule in &duty.rules {
            assert!(known.contains(rule.as_str()), "{}: there is no rule `{rule}`", duty.id);
        }
    }
}

#[test]
fn every_test_that_a_duty_names_exists() {
    for duty in duties::all() {
        for test in &duty.tests {
            let (file, name) = test.split_once('#').unwrap();
            let found = source(file).contains(&format!("fn {name}("));
            assert!(found, "{}: there is no test `{name}` in {file}", duty.id);
        }
    }
}

/// A test is about a rule where its file names it; the cases of verdicts stand in a file of their own.
#[test]
fn every_rule_that_a_duty_names_is_shown_by_one_of_its_tests() {
    let cases = source("crates/program/tests/support/cases.rs");
    for duty in duties::all() {
        let files: BTreeSet<&str> =
            duty.tests.iter().filter_map(|test| Some(test.split_once('#')?.0)).collect();
        let mut text: String = files.iter().map(|file| source(file)).collect();
        if duty
            .tests
            .iter()
            .any(|test| test.ends_with("#each_case_gives_its_decision_and_its_findings"))
        {
            text += &cases;
        }
        for rule in &duty.rules {
            let named = text.contains(&format!("\"{rule}\""));
            assert!(named, "{}: none of its tests is about `{rule}`", duty.id);
        }
    }
}

/// The kinds of entry for which there is a form, without the number of their version.
fn forms() -> BTreeSet<String> {
    let files = fs::read_dir(root().join("crates/web/src/record/forms")).unwrap();
    let texts = files.map(|file| fs::read_to_string(file.unwrap().path()).unwrap());
    let kinds = texts.flat_map(|text| quoted_after(&text, "kind: \""));
    kinds.map(|kind| kind.rsplit_once('.').unwrap().0.to_owned()).collect()
}

#[test]
fn every_page_and_form_that_a_duty_names_exists() {
    let routes = quoted_after(&source("crates/web/src/pages.rs"), ".route(\"");
    let forms = forms();
    assert!(routes.len() > 10 && forms.len() > 50, "routes and forms were not found");
    assert!(routes.contains("/record/{kind}"), "forms have no page");
    for (duty, page) in places("page") {
        assert!(routes.contains(page), "{duty}: there is no page `{page}`");
    }
    for (duty, kind) in places("record") {
        assert!(forms.contains(kind), "{duty}: there is no form for `{kind}`");
    }
}

#[test]
fn every_command_that_a_duty_names_exists() {
    let help = Command::new(env!("CARGO_BIN_EXE_breathworthy")).arg("help").output().unwrap();
    let help = String::from_utf8(help.stdout).unwrap();
    let known: BTreeSet<&str> = help
        .lines()
        .filter_map(|line| line.strip_prefix("  ")?.split(' ').next())
        .filter(|word| !word.is_empty())
        .collect();
    for (duty, command) in places("command") {
        assert!(known.contains(command), "{duty}: there is no command `{command}`");
    }
}
