//! `docs/care-states.svg` is drawn from the machine itself. Run with `BREATHWORTHY_WRITE=1` to draw
//! it anew.
//!
//! Where a box or an arrow lies is told here; which arrows there are, and what stands at them, is
//! asked of the machine. A step that has no arrow is told in words under the picture.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::fs;
use std::path::Path;

use rulebook::care::{Event, Stage};

use crate::truth::{WEARERS, beginnings};

/// Every step between two stages, with the events that take it.
type Steps = BTreeMap<(Stage, Stage), BTreeSet<&'static str>>;

fn steps() -> Steps {
    let events = Event::all(&WEARERS);
    let mut steps = Steps::new();
    let mut seen: BTreeSet<_> = beginnings().into_iter().map(|(care, _)| care).collect();
    let mut open: Vec<_> = seen.iter().cloned().collect();
    while let Some(care) = open.pop() {
        for event in &events {
            let Ok(next) = care.step(event) else { continue };
            if care.stage() != next.stage() {
                steps.entry((care.stage(), next.stage())).or_default().insert(event.words());
            }
            if seen.insert(next.clone()) {
                open.push(next);
            }
        }
    }
    steps
}

/// The middle of the box of a stage.
fn place(stage: Stage) -> (i32, i32) {
    match stage {
        Stage::Received => (110, 150),
        Stage::Ready => (410, 150),
        Stage::Issued => (700, 150),
        Stage::AwaitingCare => (1010, 150),
        Stage::TakenApart => (1010, 330),
        Stage::Washed => (800, 330),
        Stage::Disinfected => (680, 450),
        Stage::Rinsed => (560, 330),
        Stage::Dried => (350, 330),
        Stage::Reassembled => (110, 330),
        Stage::Held => (1010, 600),
        Stage::InRepair => (760, 600),
        Stage::Repaired => (510, 600),
        Stage::Tested => (260, 600),
        Stage::Retired => (110, 700),
    }
}

const HALF_WIDTH: i32 = 76;
const HALF_HEIGHT: i32 = 24;

/// An arrow: its steps, its path and where its words begin.
struct Arrow(Stage, Stage, &'static str, (i32, i32));

fn arrows() -> Vec<Arrow> {
    use Stage::{
        AwaitingCare, Disinfected, Dried, Held, InRepair, Issued, Ready, Reassembled, Received,
        Repaired, Rinsed, TakenApart, Tested, Washed,
    };
    vec![
        Arrow(Received, Ready, "M186 150 H324", (260, 138)),
        Arrow(Ready, Issued, "M486 150 H614", (553, 138)),
        Arrow(Issued, AwaitingCare, "M776 150 H924", (853, 138)),
        Arrow(Ready, AwaitingCare, "M410 126 V70 H1010 V116", (700, 60)),
        Arrow(AwaitingCare, Ready, "M960 174 V222 H440 V184", (700, 214)),
        Arrow(AwaitingCare, TakenApart, "M1010 174 V296", (1054, 250)),
        Arrow(TakenApart, Washed, "M934 330 H886", (907, 318)),
        Arrow(TakenApart, Disinfected, "M1010 354 V450 H766", (890, 440)),
        Arrow(Washed, Rinsed, "M724 330 H646", (682, 318)),
        Arrow(Washed, Disinfected, "M790 354 L726 418", (800, 396)),
        Arrow(Rinsed, Disinfected, "M560 354 V450 H594", (512, 440)),
        Arrow(Disinfected, Rinsed, "M660 426 L600 362", (660, 386)),
        Arrow(Rinsed, Dried, "M484 330 H436", (457, 318)),
        Arrow(Dried, Reassembled, "M274 330 H196", (232, 318)),
        Arrow(Reassembled, Ready, "M110 306 V240 H380 V184", (245, 232)),
        Arrow(Held, InRepair, "M934 600 H846", (886, 568)),
        Arrow(InRepair, Repaired, "M684 600 H596", (636, 568)),
        Arrow(Repaired, Tested, "M434 600 H346", (386, 568)),
        Arrow(Held, Tested, "M1010 624 V664 H280 V634", (655, 680)),
        Arrow(Tested, Reassembled, "M184 600 H110 V364", (147, 588)),
        Arrow(Tested, AwaitingCare, "M240 624 V710 H1140 V150 H1096", (700, 726)),
    ]
}

/// Events that lead to one stage from every other, with the arrow from the box that says so.
fn from_everywhere() -> Vec<Arrow> {
    vec![
        Arrow(Stage::Retired, Stage::Held, "M1010 524 V566", (1010, 512)),
        Arrow(Stage::Retired, Stage::Retired, "M110 652 V666", (110, 644)),
    ]
}

fn lines(out: &mut String, at: (i32, i32), lines: &[&str], class: &str) {
    let above = i32::try_from(lines.len()).unwrap() - 1;
    for (nth, line) in lines.iter().enumerate() {
        let y = at.1 - 15 * (above - i32::try_from(nth).unwrap());
        writeln!(out, r#"<text class="{class}" x="{}" y="{y}">{line}</text>"#, at.0).unwrap();
    }
}

fn draw_box(out: &mut String, stage: Stage) {
    let (x, y) = place(stage);
    let class = match stage {
        Stage::Received | Stage::Ready | Stage::Issued => "service",
        Stage::Held | Stage::InRepair | Stage::Repaired | Stage::Tested => "out",
        Stage::Retired => "end",
        _ => "bench",
    };
    let (left, top) = (x - HALF_WIDTH, y - HALF_HEIGHT);
    let (width, height) = (2 * HALF_WIDTH, 2 * HALF_HEIGHT);
    writeln!(
        out,
        r#"<rect class="{class}" x="{left}" y="{top}" width="{width}" height="{height}" rx="8"/>"#
    )
    .unwrap();
    let name = stage.to_string();
    match name.split_once(", ") {
        Some((what, then)) => {
            lines(out, (x, y - 2), &[what], "stage");
            lines(out, (x, y + 14), &[then], "then");
        }
        None => lines(out, (x, y + 5), &[name.as_str()], "stage"),
    }
}

fn draw_arrow(out: &mut String, path: &str, at: (i32, i32), words: &[&str]) {
    writeln!(out, r#"<path d="{path}" marker-end="url(#tip)"/>"#).unwrap();
    lines(out, at, words, "event");
}

fn short(stage: Stage) -> String {
    let name = stage.to_string();
    name.split_once(", ").map_or(name.clone(), |(what, _)| what.to_owned())
}

/// The picture: boxes, arrows, and in words what has no arrow.
fn picture() -> String {
    let mut left = steps();
    let mut body = String::new();
    let others = || Stage::ALL.into_iter().filter(|stage| *stage != Stage::Retired);
    for Arrow(_, to, path, at) in from_everywhere() {
        // An event is common to all when it leads to this stage from all that are not in it.
        let from: Vec<Stage> = others().filter(|from| *from != to).collect();
        let of = |from: &Stage| left.get(&(*from, to)).cloned().unwrap_or_default();
        let common =
            from.iter().map(of).reduce(|a, b| a.intersection(&b).copied().collect()).unwrap();
        let drawn: Vec<&str> = common.iter().copied().collect();
        assert!(!drawn.is_empty(), "nothing leads to {to} from everywhere");
        for stage in from {
            left.entry((stage, to)).and_modify(|words| words.retain(|word| !common.contains(word)));
        }
        draw_arrow(&mut body, path, at, &["from every stage:", &drawn.join(", ")]);
    }
    for Arrow(from, to, path, at) in arrows() {
        let words = left.remove(&(from, to)).unwrap_or_default();
        assert!(!words.is_empty(), "no step leads from {from} to {to}");
        draw_arrow(&mut body, path, at, &words.into_iter().collect::<Vec<_>>());
    }
    Stage::ALL.into_iter().for_each(|stage| draw_box(&mut body, stage));
    frame(&body, &words_of(&left))
}

/// What has no arrow: each event and where it leads, with where it leads from.
fn words_of(left: &Steps) -> Vec<String> {
    let mut grouped: BTreeMap<(&str, Stage), Vec<String>> = BTreeMap::new();
    for ((from, to), words) in left {
        for word in words {
            grouped.entry((word, *to)).or_default().push(short(*from));
        }
    }
    let told = |((event, to), from): ((&str, Stage), Vec<String>)| {
        format!("{event}: from {} to {}", from.join(", "), short(to))
    };
    grouped.into_iter().map(told).collect()
}

fn frame(body: &str, words: &[String]) -> String {
    let height = 800 + 18 * words.len();
    let mut out = format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1180 {height}" font-family="sans-serif" role="img" aria-labelledby="title">
<title id="title">The care of a respirator: its stages, and the events that lead from one to the next</title>
<style>
.stage {{ font-size: 15px; font-weight: 600; text-anchor: middle }}
.then, .event {{ font-size: 12px; text-anchor: middle }}
.event {{ fill: #333; paint-order: stroke; stroke: #fff; stroke-width: 4px }}
.note {{ font-size: 13px; fill: #333 }}
.heading {{ font-size: 20px; font-weight: 600 }}
rect {{ stroke-width: 1.5 }}
.service {{ fill: #e3f2e1; stroke: #2e6b2a }}
.bench {{ fill: #e2edf7; stroke: #23557f }}
.out {{ fill: #fbe6d8; stroke: #9a4312 }}
.end {{ fill: #e8e8e8; stroke: #555 }}
path {{ fill: none; stroke: #444; stroke-width: 1.5 }}
#tip path {{ fill: #444; stroke: none }}
</style>
<defs><marker id="tip" viewBox="0 0 10 10" refX="2" refY="5" markerWidth="7" markerHeight="7" orient="auto"><path d="M0 0 L10 5 L0 10 z"/></marker></defs>
<rect width="1180" height="{height}" fill="#fff"/>
<text class="heading" x="34" y="34">The care of a respirator</text>
"##
    );
    out.push_str(body);
    let mut y = 768;
    let first = "Steps without an arrow (an event that leaves a set in its stage is not shown; a \
                 filtering facepiece is never taken apart, washed or disinfected):";
    for line in [first].into_iter().chain(words.iter().map(String::as_str)) {
        writeln!(out, r#"<text class="note" x="34" y="{y}">{line}</text>"#).unwrap();
        y += 18;
    }
    out.push_str("</svg>\n");
    out
}

#[test]
fn the_picture_of_care_is_current() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/care-states.svg");
    if std::env::var_os("BREATHWORTHY_WRITE").is_some() {
        fs::write(&path, picture()).unwrap();
    }
    let kept = fs::read_to_string(&path).unwrap_or_default();
    assert!(
        kept == picture(),
        "docs/care-states.svg is old: run BREATHWORTHY_WRITE=1 cargo test -p rulebook --test care"
    );
}
