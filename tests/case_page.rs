//! `docs/case-file.md` lists every key of a case file. Its words are those of the code that reads them,
//! its keys and ranges what that code refuses. Run with `BREATHWORTHY_WRITE=1` to write it anew.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot read its own data must fail"
)]

use std::fmt::Write;
use std::fs;
use std::path::Path;

use program::case::WrittenCase;
use program::life::{End, LifeMethod, compute};
use quantity::*;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use sorbent::{DEFAULT_GRANULE_CM, Spread};

const PARTS: &str = include_str!("../crates/program/src/case/parts.rs");
const REACTION: &str = include_str!("../crates/program/src/case/reaction.rs");
const SEGMENT: &str = include_str!("../crates/program/src/case/segment.rs");

/// A table of a case file: its heading there, the struct that reads it, and what is said of it.
const TABLES: [(&str, &str, &str); 13] = [
    ("", "Case", "At the top, before any table."),
    ("[cartridge]", "CartridgePart", "The elements: their bed, or what they are certified for."),
    ("[respirator]", "RespiratorPart", "The respirator that carries them."),
    ("[air]", "AirPart", "The air of the place."),
    ("[[contaminant]]", "ContaminantPart", "One table for each thing in the air."),
    ("[end]", "EndPart", "At what level at the outlet the life ends."),
    ("[work]", "WorkPart", "How long the elements are worn."),
    ("[place]", "PlacePart", "What a selection asks beside the air."),
    (
        "[[segment]]",
        "SegmentPart",
        "One table for each stretch of a shift that is not steady, in order.",
    ),
    (
        "[uncertainty]",
        "UncertaintyPart",
        "How sure the inputs are: standard deviations as parts of the values.",
    ),
    (
        "[uncertainty.correlation]",
        "CorrelationPart",
        "How the errors of a calibration go together, as it printed them.",
    ),
    (
        "[[reaction]]",
        "ReactionPart",
        "One table for each gas held by reaction on which a laboratory report was calibrated, as it printed them. `[cartridge]` needs `elements` then.",
    ),
    (
        "[reuse]",
        "ReuseAccepted",
        "Who accepts that elements against a low-boiling vapour are worn again.",
    ),
];

/// One key as the code declares it.
struct Key {
    name: String,
    /// Its type, without what says that it may be left out and where it stands.
    of: String,
    words: String,
    needed: bool,
}

/// The keys of a struct, from its source.
fn keys(of: &str) -> Vec<Key> {
    let head = format!("pub struct {of} {{\n");
    let source =
        [PARTS, SEGMENT, REACTION].into_iter().find_map(|text| text.split_once(&head)).unwrap().1;
    let body = source.split_once("\n}\n").unwrap().0;
    let (mut words, mut defaulted, mut keys) = (String::new(), false, Vec::new());
    for line in body.lines().map(str::trim) {
        if let Some(said) = line.strip_prefix("/// ") {
            write!(words, "{said} ").unwrap();
        } else if line.starts_with("#[serde(default") {
            defaulted = true;
        } else if let Some((name, of)) = line.strip_prefix("pub ").and_then(|l| l.split_once(": "))
        {
            let of = of.trim_end_matches(',');
            let inner = |of: &str, around: &str| {
                of.strip_prefix(around)
                    .map_or(of.to_owned(), |of| of.trim_end_matches('>').to_owned())
            };
            let needed = !defaulted && !of.starts_with("Option<");
            let of = if of.starts_with("BTreeMap") {
                of.to_owned()
            } else {
                inner(&inner(of, "Option<"), "Spanned<")
            };
            keys.push(Key { name: name.to_owned(), of, words: words.trim().to_owned(), needed });
            (words, defaulted) = (String::new(), false);
        }
    }
    keys
}

impl Key {
    /// Whether it is a table of its own.
    fn is_table(&self) -> bool {
        self.of.ends_with("Part") || self.of.starts_with("Vec<") || self.of == "ReuseAccepted"
    }

    /// What it means, and what counts where it is left out.
    fn meaning(&self) -> (String, Option<String>) {
        let Some((before, after)) = self.words.split_once(" where it is left out") else {
            return (self.words.trim_end_matches('.').to_owned(), None);
        };
        let (meaning, left_out) =
            before.rsplit_once("; ").or_else(|| before.rsplit_once(". ")).unwrap();
        let after = after.trim_end_matches('.');
        (meaning.to_owned(), Some(format!("{}{after}", left_out.trim_end_matches(','))))
    }
}

/// Units and bounds of a quantity, from what it accepts and refuses.
macro_rules! quantity_words {
    ($of:expr; $($kind:ident)+) => {
        match $of {
            $(stringify!($kind) => {
                let units = $kind::accepted_units();
                let first = units.split(", ").next().unwrap();
                let QuantityError::OutOfBounds { lowest, highest, unit, .. } =
                    format!("1e300 {first}").parse::<$kind>().unwrap_err()
                else {
                    panic!("{units}")
                };
                Some((units, format!("{lowest} to {highest} {unit}")))
            })+
            _ => None,
        }
    };
}

/// The words of a choice, from the refusal of another.
fn choice<T: DeserializeOwned>() -> String {
    #[derive(Debug, Deserialize)]
    #[expect(dead_code, reason = "read to be refused")]
    struct One<T> {
        it: T,
    }
    let said = toml::from_str::<One<T>>("it = \"?\"").err().unwrap().to_string();
    let said = said.rsplit_once("expected").unwrap().1;
    said.split('`')
        .skip(1)
        .step_by(2)
        .map(|word| format!("`{word}`"))
        .collect::<Vec<_>>()
        .join(", ")
}

/// In what a key is written, and within which bounds.
fn written(key: &Key) -> (String, String) {
    let plain = |written: &str, range: &str| (written.to_owned(), range.to_owned());
    let quantity = quantity_words!(key.of.as_str(); Grams SquareCm GramsPerCm3 Centimetres Cm3PerGram
        KilojoulesPerMol RelHumidity LitrePerMin LitrePerGramMin MgPerM3 Celsius Kilopascal Minutes OxygenPercent Percent);
    if let Some((units, range)) = quantity {
        return (format!("number and unit: {units}"), range);
    }
    match key.of.as_str() {
        "Concentration" => {
            plain(&format!("number and unit: {}", Concentration::accepted_units()), "0 or more")
        }
        "WrittenLevel" => plain(
            &format!("number and unit: {}; or `unknown`", Concentration::accepted_units()),
            "more than 0",
        ),
        "Penetration" => plain(
            &format!("part in %, or number and unit: {}", Concentration::accepted_units()),
            "more than 0",
        ),
        "bool" => plain("true or false", ""),
        "String" => plain("text", ""),
        "i64" | "u8" => plain("whole number", ""),
        "f64" => plain("number", "-1 to 1"),
        "jiff::civil::Date" => plain("a day such as \"2026-11-25\"", ""),
        "WrittenMethod" => (choice::<program::case::WrittenMethod>(), String::new()),
        "Mask" => (choice::<program::case::Mask>(), String::new()),
        "Storage" => (choice::<program::case::Storage>(), String::new()),
        "WorkRate" => (choice::<program::WorkRate>(), String::new()),
        "AirSource" => (choice::<rulebook::AirSource>(), String::new()),
        "Facepiece" => (choice::<rulebook::Facepiece>(), String::new()),
        "Mounting" => (choice::<rulebook::Mounting>(), String::new()),
        "AirborneForm" => (choice::<rulebook::AirborneForm>(), String::new()),
        "Purpose" => (choice::<rulebook::Purpose>(), String::new()),
        "Handling" => (choice::<rulebook::Handling>(), String::new()),
        "OneOrMany" => {
            (format!("one or a list of: {}", choice::<rulebook::ElementKind>()), String::new())
        }
        "FilterClass" => plain("letter and number, such as N95, R95 or P100", ""),
        "BTreeMap<String, Spanned<f64>>" => plain("table: name or registry number = number", ""),
        "BTreeMap<String, Spanned<WrittenLevel>>" => {
            plain("table: name or registry number = level", "0 or more")
        }
        other => panic!("nothing says how `{other}` is written"),
    }
}

/// A case that is refused for what stands in one line.
fn refused(line: (&str, &str)) -> String {
    let good = "[cartridge]\nelements = 2\nsorbent_mass = \"26 g\"\nbed_area = \"38.5 cm2\"\nbulk_density = \"0.44 g/cm3\"\nmicropore_volume = \"0.454 cm3/g\"\n\n[air]\nflow = \"40 L/min\"\ntemperature = \"22 degC\"\nrelative_humidity = \"50 %\"\n\n[[contaminant]]\nname = \"toluene\"\nconcentration = \"200 ppm\"\n\n[work]\nwear = \"4 h\"\n";
    let (table, text) = line;
    let key = text.split(['=', '.']).next().unwrap().trim();
    let kept = good.lines().filter(|line| !line.starts_with(&format!("{key} =")));
    let mut case = String::new();
    for line in kept {
        writeln!(case, "{line}").unwrap();
        if line == table {
            writeln!(case, "{text}").unwrap();
        }
    }
    let refused = compute(&WrittenCase::read(&case).unwrap(), LifeMethod::Full).unwrap_err();
    assert_eq!(refused.key, key, "{refused}");
    refused.message
}

/// Bounds narrower than those of the quantity, read from the refusal of what lies outside of them.
fn narrower(table: &str, key: &str) -> Option<String> {
    let line = match (table, key) {
        ("[cartridge]", "elements") => "elements = 99",
        ("[cartridge]", "bulk_density") => "bulk_density = \"3 g/cm3\"",
        ("[cartridge]", "reference_energy") => "reference_energy = \"99 kJ/mol\"",
        ("[cartridge]", "rate_factor") => "rate_factor = 999.0",
        ("[cartridge]", "affinity") => "affinity.toluene = 9.0",
        ("[cartridge]", "packing") => "packing.toluene = 9.0",
        ("[work]", "shifts_before_change") => "shifts_before_change = 999",
        ("[work]", "wear") => "wear = \"30 h\"",
        _ => return None,
    };
    let said = refused((table, line));
    if key == "wear" {
        assert!(said.contains("more than 0 min and no more than a day"), "{said}");
        return Some("more than 0 min, no more than a day".to_owned());
    }
    let words: Vec<&str> = said.split_whitespace().map(|word| word.trim_matches(',')).collect();
    let to = words.iter().position(|word| *word == "to").unwrap();
    let unit = words.get(to + 2).filter(|unit| unit.contains('/')).map_or("", |unit| unit);
    Some(format!("{} to {} {unit}", words[to - 1], words[to + 1]).trim().to_owned())
}

/// What counts where a key is left out, where the code and not the words tell it.
fn default(table: &str, key: &str) -> Option<String> {
    let usual = Spread::USUAL;
    let percent = |part: f64| Some(format!("{} %", (part * 1e6).round() / 1e4));
    match (table, key) {
        ("[cartridge]", "granule") => Some(format!("{DEFAULT_GRANULE_CM} cm")),
        ("[air]", "pressure") => {
            let case = "[air]\ntemperature = \"20 degC\"\n";
            Some(WrittenCase::read(case).unwrap().case.air.pressure.to_string())
        }
        ("[end]", "part_of_limit") => match End::default() {
            End::PartOfLimit(part) => percent(part),
            End::Penetration(other) => Some(other.to_string()),
        },
        ("[uncertainty]", "concentration") => percent(usual.concentration),
        ("[uncertainty]", "flow") => percent(usual.flow),
        ("[uncertainty]", "sorbent_mass") => percent(usual.sorbent_mass),
        ("[uncertainty]", "micropore_volume") => percent(usual.micropore_volume),
        ("[uncertainty]", "reference_energy") => percent(usual.reference_energy),
        ("[uncertainty]", "rate") => percent(usual.rate),
        ("[uncertainty]", "temperature") => Some(format!("{} K", usual.temperature_k)),
        ("[uncertainty]", "relative_humidity") => percent(usual.humidity),
        ("[uncertainty]", "bed_area") => percent(usual.bed_area),
        ("[uncertainty]", "bulk_density") => percent(usual.bulk_density),
        ("[uncertainty]", "granule") => percent(usual.granule),
        ("[uncertainty]", "pressure") => percent(usual.pressure),
        _ => None,
    }
}

const HEAD: &str = "# The case file

Generated from the code that reads it by `tests/case_page.rs`. `breathworthy life`, `what-if` and
`select` read a case from a text file in TOML: keys with values, in tables with a heading in brackets.
A quantity is written with its unit, in quotes, such as `flow = \"40 L/min\"`; a bare number is refused.
Examples stand in [cases](cases). A life comes of `[air]`, at least one `[[contaminant]]` and a
`[cartridge]`; the other tables may be left out.
";

fn page() -> String {
    let mut page = String::from(HEAD);
    for (heading, of, says) in TABLES {
        let title = if heading.is_empty() {
            "Before the tables".to_owned()
        } else {
            format!("`{heading}`")
        };
        write!(page, "\n## {title}\n\n{says}\n\n").unwrap();
        page.push_str("| key | what it is | written as | range | left out |\n| --- | --- | --- | --- | --- |\n");
        for key in keys(of).iter().filter(|key| !key.is_table()) {
            let (meaning, told) = key.meaning();
            let (written, range) = written(key);
            let range = narrower(heading, &key.name).unwrap_or(range);
            let left_out = match default(heading, &key.name).or(told) {
                Some(told) => told,
                None if key.needed => "needed".to_owned(),
                None if meaning.contains("need") => "see there".to_owned(),
                None => "not told".to_owned(),
            };
            writeln!(page, "| `{}` | {meaning} | {written} | {range} | {left_out} |", key.name)
                .unwrap();
        }
    }
    page
}

#[test]
fn the_page_of_case_files_is_current() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/case-file.md");
    if std::env::var_os("BREATHWORTHY_WRITE").is_some() {
        fs::write(&path, page()).unwrap();
    }
    let kept = fs::read_to_string(&path).unwrap_or_default();
    assert!(
        kept == page(),
        "docs/case-file.md is old: run BREATHWORTHY_WRITE=1 cargo test --test case_page"
    );
}

/// What stands in the page is what the reader takes, key by key.
#[test]
fn the_keys_of_each_table_are_those_that_the_reader_takes() {
    for (heading, of, _) in TABLES {
        let own: Vec<String> = keys(of).into_iter().map(|key| key.name).collect();
        let text = format!("{heading}\nno_such_key = 1\n");
        let said = WrittenCase::read(&text).unwrap_err().to_string();
        let (_, known) = said.split_once("write one of: ").unwrap_or_else(|| panic!("{said}"));
        let known: Vec<&str> = known.split(", ").collect();
        assert_eq!(own, known, "{heading}");
    }
}
