//! Lists of a workplace become entries: each row's fate, and nothing twice. The files of
//! `tests/data/bring` are invented; `make.py` beside them makes them.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

use jiff::Timestamp;
use program::bring::{Ask, BringError, Choices, DateOrder, Fate, Kind, Preview, Table, preview};
use program::{
    Entry, EntryId, Fact, FitMethod, ModelId, PersonId, SiteId, State, StockItem, TrainingTopic,
};
use rulebook::{AirSource, Device, Facepiece};

const WEARERS: &[u8] = include_bytes!("../../../tests/data/bring/wearers.csv");
const RESPIRATORS: &[u8] = include_bytes!("../../../tests/data/bring/respirators.csv");
const TRAINING: &[u8] = include_bytes!("../../../tests/data/bring/training.csv");
const FIT_TESTS: &[u8] = include_bytes!("../../../tests/data/bring/fit-tests.xlsx");

fn now() -> Timestamp {
    "2026-03-02T10:00:00Z".parse().unwrap()
}

fn entry(id: &str, site: &str, fact: Fact) -> Entry {
    let when: Timestamp = "2025-01-01T08:00:00Z".parse().unwrap();
    Entry {
        id: EntryId::new(id),
        site: SiteId::new(site),
        happened: when,
        entered: when,
        by: PersonId::new("cy"),
        device: "desk".to_owned(),
        corrects: None,
        fact,
    }
}

/// Two sites, a half mask in three sizes, and two people.
fn plant() -> State {
    let opened = |name: &str| Fact::SiteOpened {
        name: name.to_owned(),
        time_zone: "Europe/Madrid".to_owned(),
    };
    let device = Device {
        air_source: AirSource::AirPurifying,
        facepiece: Facepiece::HalfMask,
        filtering_facepiece: false,
        escape_only: false,
        auxiliary_self_contained: false,
        maker_shows_factor_1000: false,
        rated_minutes: None,
    };
    let listed = Fact::ModelListed {
        model: ModelId::new("half-a"),
        name: "Half mask A".to_owned(),
        device,
        sizes: ["S", "M", "L"].map(str::to_owned).to_vec(),
        approval: "invented 1".to_owned(),
        approved_elements: Vec::new(),
        approved_cylinders: Vec::new(),
    };
    let enrolled = |id: &str, name: &str| Fact::WearerEnrolled {
        wearer: PersonId::new(id),
        name: name.to_owned(),
    };
    State::from_entries(&[
        entry("s1", "north", opened("North")),
        entry("s2", "south", opened("South")),
        entry("m1", "north", listed),
        entry("p1", "north", enrolled("1001", "Birch Quail")),
        entry("p2", "north", enrolled("1002", "Cedar Bittern")),
        entry("p3", "south", enrolled("2001", "Yew Stork")),
    ])
}

fn try_bring(
    state: &State,
    kind: Kind,
    bytes: &[u8],
    choices: &Choices,
) -> Result<Preview, BringError> {
    let (site, by) = (SiteId::new("north"), PersonId::new("cy"));
    let table = Table::read(bytes, None).unwrap();
    let ask =
        Ask { kind, table: &table, choices, site: &site, now: now(), by: &by, device: "desk" };
    preview(state, &ask)
}

fn bring(state: &State, kind: Kind, bytes: &[u8]) -> Preview {
    try_bring(state, kind, bytes, &Choices::default()).unwrap()
}

fn every_row(values: &[(&str, &str)]) -> Choices {
    let every_row = values.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect();
    Choices { every_row, ..Choices::default() }
}

/// Line and fate of each row: `new`, `known: because`, or `refused: column: why`.
fn fates(preview: &Preview) -> Vec<String> {
    let fate = |fate: &Fate| match fate {
        Fate::New(_) => "new".to_owned(),
        Fate::Known { because } => format!("known: {because}"),
        Fate::Refused(all) => {
            assert!(all.iter().all(|one| !one.remedy.is_empty()), "{all:?}");
            let said: Vec<String> =
                all.iter().map(|one| format!("{}: {}", one.column, one.why)).collect();
            format!("refused: {}", said.join(" / "))
        }
    };
    preview.rows.iter().map(|row| format!("{} {}", row.line, fate(&row.fate))).collect()
}

#[track_caller]
fn check(preview: &Preview, expected: &[&str]) {
    let found = fates(preview);
    assert_eq!(found.len(), expected.len(), "{found:#?}");
    for (found, expected) in found.iter().zip(expected) {
        assert!(found.starts_with(expected), "{found} does not begin with {expected}");
    }
}

fn with(state: &State, entries: &[Entry]) -> State {
    let mut state = state.clone();
    entries.iter().for_each(|entry| state.apply(entry));
    state
}

#[test]
fn wearers_with_semicolons_and_a_mark_of_byte_order_are_read_row_by_row() {
    let state = plant();
    let found = bring(&state, Kind::Wearers, WEARERS);
    check(
        &found,
        &[
            "2 known: it is listed already",
            "3 known: it is listed already",
            "4 refused: name: the name is empty",
            "5 refused: Start date: `01/04/2025` can be read as 2025-04-01 and as 2025-01-04",
            "6 known: row 3 says the same",
            "7 new",
        ],
    );
    assert!(found.rows[0].understood.contains(&("first name", "Birch".to_owned())));
    assert_eq!(found.left_aside(), ["Department"]);
    let entries = found.entries();
    let Fact::WearerEnrolled { wearer, name } = &entries[0].fact else { panic!("{entries:?}") };
    assert_eq!((wearer.as_str(), name.as_str()), ("1005", "Öre Wäxwing"));
    // The day begins an hour or two before midnight of Greenwich.
    assert_eq!(entries[0].happened.to_string(), "2025-05-01T22:00:00Z");
}

#[test]
fn respirators_need_a_listed_model_a_size_it_has_and_a_plain_yes_or_no() {
    let found = bring(&plant(), Kind::Respirators, RESPIRATORS);
    check(
        &found,
        &[
            "2 new",
            "3 new",
            "4 refused: Mask size: Half mask A does not come in the size `XL`",
            "5 refused: Model name: `Half mask Z` is not known here",
            "6 refused: Pool: it is not told / In service since: 2031-01-15",
        ],
    );
    assert_eq!(found.left_aside(), ["Locker"]);
    let Fact::UnitReceived { size, shared, serial, .. } = &found.entries()[1].fact else {
        panic!("no respirator")
    };
    assert_eq!((size.as_str(), *shared, serial.as_str()), ("M", true, ""));
}

#[test]
fn fit_tests_of_a_workbook_are_read_with_its_dates() {
    let found = bring(&plant(), Kind::FitTests, FIT_TESTS);
    check(
        &found,
        &[
            "2 new",
            "3 new",
            "4 new",
            "5 new",
            "6 refused: Test date: 46057 is a bare number",
            "7 refused: Test date: `04/02/2026` can be read as 2026-02-04 and as 2026-04-02",
            "8 refused: Factor: a qualitative test gives no factor",
            "9 refused: Factor: it is empty",
            "11 refused: Factor: its formula came to #DIV/0!",
            "12 refused: Beard: it is not told",
        ],
    );
    assert_eq!(found.left_aside(), ["Tester"]);
    let entries = found.entries();
    let Fact::FitTested { wearer, method, passed, hair_in_seal, .. } = &entries[0].fact else {
        panic!("no fit test")
    };
    assert_eq!((wearer.as_str(), *passed, *hair_in_seal), ("1001", true, false));
    assert_eq!(*method, FitMethod::Quantitative { fit_factor: 412.5 });
    // 14:30 and 15:15 at the site, one hour ahead in winter: the pass came after the failure.
    let times: Vec<String> = entries.iter().map(|entry| entry.happened.to_string()).collect();
    assert_eq!(times[1..3], ["2026-02-03T13:30:00Z", "2026-02-03T14:15:00Z"]);
    let state = with(&plant(), &entries);
    let wearer = state.wearer(&PersonId::new("1002")).unwrap();
    assert!(wearer.fit_test(&ModelId::new("half-a"), "M").unwrap().passed);
}

#[test]
fn a_second_bringing_adds_nothing() {
    for (kind, bytes) in
        [(Kind::Wearers, WEARERS), (Kind::Respirators, RESPIRATORS), (Kind::FitTests, FIT_TESTS)]
    {
        let state = plant();
        let first = bring(&state, kind, bytes);
        assert_eq!(first.entries(), bring(&state, kind, bytes).entries());
        assert!(!first.entries().is_empty());
        let again = bring(&with(&state, &first.entries()), kind, bytes);
        assert_eq!(again.entries(), [], "{kind:?}");
        assert_eq!(again.counts().2, first.counts().2, "{kind:?}");
        assert_ne!(again.mark(), first.mark(), "{kind:?}");
    }
}

#[test]
fn a_row_that_was_brought_and_corrected_since_is_not_brought_again() {
    let state = plant();
    let mut fix = bring(&state, Kind::Wearers, WEARERS).entries().remove(0);
    let state = with(&state, std::slice::from_ref(&fix));
    fix.corrects = Some(fix.id.clone());
    fix.id = EntryId::new("fix");
    fix.fact =
        Fact::WearerEnrolled { wearer: PersonId::new("1005"), name: "Ore Waxwing".to_owned() };
    let again = bring(&with(&state, &[fix]), Kind::Wearers, WEARERS);
    assert!(fates(&again)[5].starts_with("7 known: it was brought before, and corrected by `fix`"));
}

#[test]
fn days_first_are_read_when_that_is_said() {
    let choices = Choices { dates: Some(DateOrder::Dmy), ..Choices::default() };
    let found = try_bring(&plant(), Kind::Training, TRAINING, &choices).unwrap();
    check(
        &found,
        &[
            "2 new",
            "3 refused: date: row 4 says otherwise of the same: understood",
            "4 refused: date: row 3 says otherwise of the same: understood",
            "5 refused: Employee: `Heron Nobody` is not known here",
        ],
    );
    let entries = found.entries();
    assert!(matches!(
        &entries[0].fact,
        Fact::Trained { wearer, topic: TrainingTopic::Wear, understood: true } if wearer.as_str() == "1001"
    ));
    assert_eq!(entries[0].happened.to_string(), "2026-02-04T23:00:00Z");
}

#[test]
fn an_imported_pass_never_stands_beside_an_undated_failure_of_the_same_day() {
    let test = |passed| {
        format!(
            "wearer,model,size,date,method,passed,hair in seal\n1001,half-a,M,2026-02-03,qualitative,{passed},no\n"
        )
    };
    let state = plant();
    let failed = bring(&state, Kind::FitTests, test("fail").as_bytes()).entries();
    let state = with(&state, &failed);
    let passed = bring(&state, Kind::FitTests, test("pass").as_bytes());
    check(&passed, &["2 refused: date: of that day something else is kept"]);
    let timed = test("pass").replace("date,", "date,time,").replace("-03,", "-03,14:00,");
    check(&bring(&state, Kind::FitTests, timed.as_bytes()), &["2 new"]);
}

#[test]
fn what_bears_on_safety_is_told_in_a_column_or_for_every_row_and_never_assumed() {
    let table = b"tag,model,size\nH-1,half-a,M\n";
    let error = try_bring(&plant(), Kind::Respirators, table, &Choices::default()).unwrap_err();
    assert!(error.to_string().contains("no column fills `shared`, `emergency`"), "{error}");
    let choices = every_row(&[("shared", "no"), ("Emergency use", "no")]);
    check(&try_bring(&plant(), Kind::Respirators, table, &choices).unwrap(), &["2 new"]);
    let choices = every_row(&[("tag", "H-1"), ("shared", "no"), ("emergency", "no")]);
    let error = try_bring(&plant(), Kind::Respirators, table, &choices).unwrap_err();
    assert!(error.to_string().contains("both the value `H-1` for every row and"), "{error}");
}

#[test]
fn pass_and_fail_are_results_and_never_stand_for_hair_or_its_absence() {
    let table = b"wearer,model,size,date,method,passed,hair in seal\n1001,half-a,M,2026-02-03,qualitative,x,no\n1001,half-a,M,2026-02-04,qualitative,pass,fail\n";
    check(
        &bring(&plant(), Kind::FitTests, table),
        &["2 refused: passed: `x` says neither", "3 refused: hair in seal: `fail` says neither"],
    );
}

#[test]
fn a_column_is_used_as_it_was_said() {
    let table = b"Nr,Wer,Name\n7,Ash Crake,Crake\n";
    let error = try_bring(&plant(), Kind::Wearers, table, &Choices::default()).unwrap_err();
    assert!(error.to_string().contains("no column fills `id`"), "{error}");
    let chosen = |pairs: &[&str]| {
        let columns = pairs.iter().map(|pair| Choices::pair(pair).unwrap()).collect();
        let choices = Choices { columns, ..Choices::default() };
        try_bring(&plant(), Kind::Wearers, table, &choices)
    };
    let found = chosen(&["nr = ID", "Wer=name"]).unwrap();
    let entries = found.entries();
    assert!(matches!(&entries[0].fact, Fact::WearerEnrolled { name, .. } if name == "Ash Crake"));
    assert_eq!(found.left_aside(), ["Name"]);
    for (pairs, said) in [
        (["Nr=id", "Who=name"], "no column `Who`"),
        (["Nr=id", "Wer=nickname"], "`nickname` is no field of wearers"),
        (["Nr=id", "Wer=id"], "would fill `id`"),
    ] {
        let error = chosen(&pairs).unwrap_err().to_string();
        assert!(error.contains(said), "{error}");
    }
    assert!(Choices::pair("Nr").is_err());
    let twice = b"id,badge,name\n1,2,Ash\n";
    let error = try_bring(&plant(), Kind::Wearers, twice, &Choices::default()).unwrap_err();
    assert!(error.to_string().contains("both the column `id` and the column `badge`"), "{error}");
}

#[test]
fn things_of_another_site_and_names_that_are_taken_are_refused() {
    let state = plant();
    let table = b"id,name\n1001,Birch Quayle\n2001,Yew Stork\n9,Yew\n9,Yow\n";
    check(
        &bring(&state, Kind::Wearers, table),
        &[
            "2 refused: id: it is listed already and differs in: name",
            "3 refused: id: a wearer of this name belongs to the site `south`",
            "4 refused: id: row 5 says otherwise of the same: name",
            "5 refused: id: row 4 says otherwise of the same: name",
        ],
    );
    let table = b"wearer,topic,date,understood\n2001,wear,2026-02-02,yes\n";
    check(
        &bring(&state, Kind::Training, table),
        &["2 refused: wearer: `2001` belongs to the site `south`"],
    );
}

#[test]
fn a_name_that_two_people_share_is_not_guessed() {
    let twin =
        Fact::WearerEnrolled { wearer: PersonId::new("1009"), name: "Birch  quail".to_owned() };
    let state = with(&plant(), &[entry("p9", "north", twin)]);
    let table = b"wearer,topic,date,understood\nbirch quail,wear,2026-02-02,yes\n";
    check(
        &bring(&state, Kind::Training, table),
        &["2 refused: wearer: several are called `birch quail`"],
    );
}

#[test]
fn times_that_the_clock_shows_twice_or_never_are_refused() {
    let table = b"wearer,topic,date,understood\n1001,wear,2025-10-26 02:30,yes\n1001,care,2025-03-30 02:30,yes\n1001,repair,2025-03-30,yes\n";
    check(
        &bring(&plant(), Kind::Training, table),
        &["2 refused: date: the clock", "3 refused: date: the clock", "4 new"],
    );
}

#[test]
fn a_clearance_with_limits_is_never_brought_as_one_without() {
    let table = "wearer;date;clearance;air sources;limits;until
1001;2026-01-10;cleared;;no heavy work;2027-01-10
1001;2026-01-11;cleared for some;;no heavy work;
1001;2026-01-12;cleared for some;powered;no heavy work;
1002;2026-01-12;not cleared;;;
1002;2026-01-13;cleared;;;2025-01-13
1002;2026-01-14;maybe;;;
";
    let found = bring(&plant(), Kind::Clearances, table.as_bytes());
    check(
        &found,
        &[
            "2 refused: clearance: it is cleared without limits, and limits stand beside it",
            "3 refused: air sources: it is cleared for some, and which is not told",
            "4 new",
            "5 new",
            "6 refused: until: it ends before it was given",
            "7 refused: clearance: `maybe` is none of the words known here",
        ],
    );
}

#[test]
fn models_element_types_cylinders_tasks_and_boxes_come_the_same_way() {
    let mut state = plant();
    let models =
        "id,name,air source,facepiece,filtering facepiece,escape only,rated minutes,sizes,approval
n95-a,Filtering facepiece A,air-purifying,half mask,yes,no,,S; M,invented 1
scba-a,Self-contained A,\"Self-contained, pressure-demand\",full facepiece,no,no,30,M,invented 2
odd,Odd,powered,hood,yes,no,,M,invented 3
";
    let found = bring(&state, Kind::Models, models.as_bytes());
    check(&found, &["2 new", "3 new", "4 refused: filtering facepiece"]);
    state = with(&state, &found.entries());
    let elements = "id,name,against,filter,mounting,count,sorbent mass (g),bed area,bulk density,granule,micropore volume
ov-1,Vapour cartridge,organic vapour; acid gas,P100,cartridge,2,40,38.5 cm2,0.44 g/cm3,0.11 cm,0.454 cm3/g
ov-2,Vapour cartridge B,organic vapor,,cartridge,2,40,,,,
x,Nothing,,,cartridge,2,,,,,
";
    let found = bring(&state, Kind::ElementTypes, elements.as_bytes());
    check(&found, &["2 new", "3 refused: sorbent mass (g): only a part", "4 refused: against"]);
    state = with(&state, &found.entries());
    let cylinders = "tag,serial,marking,rated pressure (kPa),water volume,made,requalified
C-1,s1,cy02,31000,6.8 L,2024-05,2024-05
C-2,s2,CY99,31000,6.8 L,2024-05,2023-05
";
    let found = bring(&state, Kind::Cylinders, cylinders.as_bytes());
    check(&found, &["2 new", "3 refused: marking: `CY99` is no row"]);
    let tasks = "id,name,wear per shift,work rate,temperature (degC),relative humidity,pressure,oxygen,immediately dangerous,atmosphere unknown,voluntary
t-1,Spraying,4 h,moderate,22,50 %,101.3 kPa,20.9 %,no,no,no
t-2,Spraying,4,moderate,22,50 %,101.3 kPa,,no,no,no
";
    let found = bring(&state, Kind::Tasks, tasks.as_bytes());
    check(&found, &["2 new", "3 refused: wear per shift: time `4` has no unit"]);
    let stock = "box,element type,model,size,supplies,lot,count,expires
b-1,ov-1,,,,L7,60,2028-01-31
b-2,,n95-a,m,,L8,20,
b-3,,,,Cleaner,,4,
b-4,ov-1,n95-a,M,,,4,
";
    let found = bring(&state, Kind::Stock, stock.as_bytes());
    check(&found, &["2 new", "3 new", "4 new", "5 refused: supplies: what is in the box"]);
    let entries = found.entries();
    assert!(matches!(
        &entries[1].fact,
        Fact::StockReceived { item: StockItem::Facepieces { size, .. }, count: 20, .. } if size == "M"
    ));
}

#[test]
fn models_that_cannot_be_and_shared_facepieces_are_refused_and_approved_elements_are_named() {
    let mut state = plant();
    let elements = "id,name,filter,mounting,count
p100,Particle filter,P100,cartridge,2
body,Body of a facepiece,N95,cartridge,1
";
    let found = bring(&state, Kind::ElementTypes, elements.as_bytes());
    state = with(&state, &found.entries());
    let models = "id,name,air source,facepiece,filtering facepiece,escape only,rated minutes,factor 1000 shown,sizes,approval,approved elements
a,A,air-purifying,half mask,no,no,,,M,invented 4,p100; Body of a facepiece
b,B,air-purifying,half mask,no,no,30,,M,invented 4,
c,C,powered,quarter mask,no,no,,,M,invented 4,
d,D,air-purifying,full facepiece,no,no,,yes,M,invented 4,
e,E,air-purifying,half mask,no,no,,,M,invented 4,p200
ff,F,air-purifying,half mask,yes,no,,,M,invented 4,body
";
    let found = bring(&state, Kind::Models, models.as_bytes());
    check(
        &found,
        &[
            "2 new",
            "3 refused: rated minutes: a unit that carries no air",
            "4 refused: facepiece: the table of protection factors",
            "5 refused: maker shows factor 1000: the table has no factor of 1000",
            "6 refused: approved elements: `p200` is not known here",
            "7 new",
        ],
    );
    let entries = found.entries();
    let Fact::ModelListed { approved_elements, .. } = &entries[0].fact else { panic!() };
    assert_eq!(approved_elements.len(), 2);
    state = with(&state, &entries);
    let sets = "tag,model,size,shared,emergency\nF-1,ff,M,yes,no\nF-2,ff,M,no,no\n";
    let found = bring(&state, Kind::Respirators, sets.as_bytes());
    check(&found, &["2 refused: shared: a filtering facepiece has one wearer only", "3 new"]);
}

#[test]
fn a_fit_factor_below_the_pass_mark_is_told_though_the_list_says_pass() {
    let tests = "wearer,model,size,date,method,fit factor,passed,hair in seal
1001,half-a,M,2026-02-02,quantitative,50,pass,no
1002,half-a,M,2026-02-02,quantitative,100,pass,no
";
    let found = bring(&plant(), Kind::FitTests, tests.as_bytes());
    check(&found, &["2 new", "3 new"]);
    let told = &found.rows[0].stands_against;
    assert!(told[0].contains("50 is below 100") && told[0].contains("(f)(7)"), "{told:?}");
    assert!(found.rows[1].stands_against.is_empty());
}

// Source of the protocols: 29 CFR 1910.134 App. A Part I.C.3 to C.5 and (f)(5).
#[test]
fn rows_of_fit_tests_that_cannot_be_are_refused_by_name() {
    let tests = "wearer,model,size,date,method,fit factor,passed,hair in seal
9999,half-a,M,2026-02-02,qualitative,,pass,no
1001,half-z,M,2026-02-02,qualitative,,pass,no
1001,half-a,XL,2026-02-02,qualitative,,pass,no
1001,half-a,M,2026-13-02,qualitative,,pass,no
1001,half-a,M,2026-02-02,by feeling,,pass,no
1001,half-a,M,2026-02-02,qualitative,250,pass,no
1001,half-a,M,2026-02-02,quantitative,,pass,no
1001,half-a,M,2026-02-02,quantitative,0.5,pass,no
1001,half-a,M,2026-02-02,QNFT-CNC-MOD-FFR,250,pass,no
1001,half-a,M,2026-02-02,QNFT-CNC,250,pass,
1001,half-a,M,2026-02-02,QNFT-CNC,250,pass,no
";
    let found = bring(&plant(), Kind::FitTests, tests.as_bytes());
    let expected = [
        "2 refused: wearer: ",
        "3 refused: model: ",
        "4 refused: size: ",
        "5 refused: date: ",
        "6 refused: method: ",
        "7 refused: fit factor: a qualitative test gives no factor",
        "8 refused: fit factor: ",
        "9 refused: fit factor: ",
        "10 refused: method: ",
        "11 refused: hair in seal: ",
        "12 new",
    ];
    check(&found, &expected);
    assert_eq!(found.entries().len(), 1);
}

#[test]
fn a_calibration_is_read_from_its_column_and_only_with_its_bed() {
    let lines = "[cartridge]
micropore_volume = \"0.454 cm3/g\"
reference_energy = \"17.5 kJ/mol\"
rate_factor = 0.4

[uncertainty]
micropore_volume = \"2.5 %\"
reference_energy = \"3 %\"
rate = \"12 %\"
correlation = { volume_energy = -0.5, volume_rate = 0.1, energy_rate = 0, report = 'L-7, 2026-03-04' }
";
    let calibration = lines.replace('"', "\"\"");
    let head = "id,name,against,mounting,count,sorbent mass (g),bed area,bulk density,granule,micropore volume,calibration\n";
    let bed = "40,38.5 cm2,0.44 g/cm3,0.11 cm,0.454 cm3/g";
    let row = |id: &str, bed: &str, calibration: &str| {
        format!("{id},Cartridge {id},organic vapour,cartridge,2,{bed},\"{calibration}\"\n")
    };
    let rows = [
        row("ov-1", bed, &calibration),
        row("ov-2", ",,,,", &calibration),
        row("ov-3", bed, "as printed"),
        row("ov-4", bed, ""),
    ];
    let table = format!("{head}{}", rows.concat());
    let found = bring(&plant(), Kind::ElementTypes, table.as_bytes());
    let told: Vec<String> =
        fates(&found).iter().map(|fate| fate.chars().take(60).collect()).collect();
    assert_eq!(told.len(), 4, "{told:?}");
    assert!(told[1].contains("calibration: a calibration without its"), "{told:?}");
    assert!(told[2].contains("refused: calibration: "), "{told:?}");
    let entries = found.entries();
    let calibrated = entries.iter().map(|entry| match &entry.fact {
        Fact::ElementTypeListed { bed: Some(bed), .. } => bed.calibrated.as_ref(),
        other => panic!("{other:?}"),
    });
    let calibrated: Vec<bool> = calibrated.map(|one| one.is_some()).collect();
    assert_eq!(calibrated, [true, false], "{told:?}");
}

#[test]
fn a_row_longer_than_the_header_is_refused() {
    let table = b"id,name\n7,Ash,Crake\n";
    check(&bring(&plant(), Kind::Wearers, table), &["2 refused: row: the row is longer"]);
}

#[test]
fn each_kind_has_fields_of_different_names_found_under_different_heads() {
    for kind in Kind::ALL {
        let plain = |text: &str| text.replace(' ', "").to_lowercase();
        let mut heads: Vec<String> = Vec::new();
        for field in kind.fields() {
            let own = std::iter::once(&field.name).chain(field.also);
            heads.extend(own.map(|head| plain(head)));
        }
        let before = heads.len();
        heads.sort();
        heads.dedup();
        assert_eq!(before, heads.len(), "{kind:?}");
        assert_eq!(kind.word().parse::<Kind>().unwrap(), kind);
    }
}

#[test]
fn a_name_in_other_capitals_is_told_as_that() {
    check(
        &bring(&plant(), Kind::Wearers, b"id,name\nnew1,Ann\nNEW1,Ann\nnew2,Jo\n"),
        &[
            "2 refused: id: row 3 writes the name `new1` as `NEW1`",
            "3 refused: id: row 2 writes the name `NEW1` as `new1`",
            "4 new",
        ],
    );
    let first = bring(&plant(), Kind::Wearers, b"id,name\nnew1,Ann\n");
    let again = bring(&with(&plant(), &first.entries()), Kind::Wearers, b"id,name\nNEW1,Ann\n");
    check(&again, &["2 refused: id: `NEW1` is listed already as `new1`"]);
}

#[test]
fn a_title_above_the_heads_is_passed_over() {
    let table = b"Fit tests of 2026\n\nwearer;model;size;date;method;fit factor;passed;hair in seal\n1001;half-a;M;1 Feb 2026;quantitative;250;P;no\n1001;half-a;M;2026-2-2;quantitative;1,200;pass;no\n1001;half-a;M;2026-02-04;quantitative;many;F;no\n";
    check(
        &bring(&plant(), Kind::FitTests, table),
        &[
            "4 new",
            "5 refused: fit factor: `1,200` holds a comma",
            "6 refused: fit factor: `many` is no number that",
        ],
    );
}

#[test]
fn ten_thousand_rows_are_read_against_ten_thousand_known() {
    let mut table = String::from("id,name\n");
    for number in 0..10_000 {
        table += &format!("n-{number},Person {number}\n");
    }
    let state = plant();
    let found = bring(&state, Kind::Wearers, table.as_bytes());
    assert_eq!(found.counts(), (10_000, 0, 0));
    let state = with(&state, &found.entries());
    assert_eq!(bring(&state, Kind::Wearers, table.as_bytes()).counts(), (0, 10_000, 0));
    let mut table = String::from("wearer,topic,date,understood\n");
    for number in 0..10_000 {
        table += &format!("Person {number},wear,2026-02-02,yes\n");
    }
    assert_eq!(bring(&state, Kind::Training, table.as_bytes()).counts(), (10_000, 0, 0));
}
