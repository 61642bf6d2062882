//! `docs/rules.md` is generated from the rulebook. Run with `BREATHWORTHY_WRITE=1` to write it anew.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

use std::collections::BTreeMap;
use std::fmt::Write;
use std::fs;
use std::path::Path;

use rulebook::{Authority, Rule, all_rules};

fn page() -> String {
    let mut page = String::from(
        "# The rules\n\nGenerated from the rulebook by `tests/rule_page.rs`. Each rule is visited for \
every answer it applies to; none hides another.\n",
    );
    let mut groups: BTreeMap<&str, Vec<&Rule>> = BTreeMap::new();
    for rule in all_rules() {
        groups.entry(rule.id.split_once('.').unwrap().0).or_default().push(rule);
    }
    for (group, rules) in groups {
        writeln!(page, "\n## {group}\n\n| rule | asks | why | citation | says | puts it right |")
            .unwrap();
        page.push_str("| --- | --- | --- | --- | --- | --- |\n");
        for rule in rules {
            let authority = match rule.authority {
                Authority::Read => "",
                Authority::Memory => " (value from memory, unconfirmed)",
                Authority::CommonPractice => " (common practice)",
                Authority::Necessity => " (no answer without it)",
            };
            let cells = [rule.id, rule.asks, rule.why, rule.citation, rule.says, rule.remedy];
            let [id, asks, why, citation, says, remedy] =
                cells.map(|cell| cell.replace('|', "\\|"));
            writeln!(
                page,
                "| `{id}` | {asks} | {why} | {citation}{authority} | {says} | {remedy} |"
            )
            .unwrap();
        }
    }
    page
}

#[test]
fn the_rule_page_is_current() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/rules.md");
    if std::env::var_os("BREATHWORTHY_WRITE").is_some() {
        fs::write(&path, page()).unwrap();
    }
    let kept = fs::read_to_string(&path).unwrap_or_default();
    assert!(
        kept == page(),
        "docs/rules.md is old: run BREATHWORTHY_WRITE=1 cargo test --test rule_page"
    );
}

#[test]
fn every_rule_has_all_its_parts_and_an_id_of_its_own() {
    let mut seen = BTreeMap::new();
    for rule in all_rules() {
        for part in [rule.id, rule.asks, rule.why, rule.citation, rule.says, rule.remedy] {
            assert!(!part.trim().is_empty(), "a part of `{}` is empty", rule.id);
        }
        assert!(rule.id.contains('.'), "`{}` has no group", rule.id);
        assert!(seen.insert(rule.id, ()).is_none(), "`{}` stands twice", rule.id);
    }
    assert!(seen.len() > 40);
}
