use axum::http::{StatusCode, header};
use program::{Clearance, Fact, FitMethod, ModelId, PersonId, TrainingTopic};

use crate::plant::{Browser, at, site};

/// The id that came with a form.
fn entry_of(page: &str) -> String {
    let at = page.find("name=\"entry\" value=\"").unwrap() + "name=\"entry\" value=\"".len();
    page[at..].split('"').next().unwrap().to_owned()
}

#[tokio::test]
async fn a_form_sent_twice_is_one_entry() {
    let browser = Browser::inside().await;
    let before = browser.count().await;
    let entry = entry_of(&browser.get("/record/held?unit=HM-001").await.text);
    let fields = [("entry", entry.as_str()), ("unit", "HM-001"), ("why", "valve sticks")];
    for _ in 0..2 {
        let answer = browser.post("/record/held", &fields).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
        let to = answer.headers.get(header::LOCATION).unwrap().to_str().unwrap().to_owned();
        let page = browser.get(&to).await.text;
        assert!(
            page.contains("Recorded.") && page.contains("this set is held: valve sticks"),
            "{page}"
        );
    }
    assert_eq!(browser.count().await, before + 1);
    let other = [("entry", entry.as_str()), ("unit", "HM-001"), ("why", "something else")];
    assert_eq!(browser.post("/record/held", &other).await.status, StatusCode::CONFLICT);
    assert_eq!(browser.count().await, before + 1);
}

#[tokio::test]
async fn a_hold_stops_the_next_check_and_a_release_ends_it() {
    let browser = Browser::inside().await;
    let check = "/wear?tag=HM-001&wearer=w-1&task=drums&planned=60+min";
    assert!(browser.get(check).await.text.contains("May wear"));
    let held =
        [("entry", "h-1"), ("unit", "hm-001"), ("why", "torn"), ("when", "2026-11-25T15:50")];
    browser.post("/record/held", &held).await;
    assert!(browser.get(check).await.text.contains("this set is held: torn"));
    browser
        .post(
            "/record/released",
            &[("entry", "r-1"), ("unit", "HM-001"), ("by", "w-2"), ("done", "new strap")],
        )
        .await;
    let page = browser.get(check).await.text;
    assert!(!page.contains("this set is held"), "{page}");
}

#[tokio::test]
async fn a_smell_is_reported_and_the_set_is_held_in_one_batch() {
    let browser = Browser::inside().await;
    let before = browser.count().await;
    let fields = [
        ("entry", "s-1"),
        ("unit", "HM-001"),
        ("wearer", "w-1"),
        ("task", "drums"),
        ("sign", "smell"),
    ];
    for _ in 0..2 {
        assert_eq!(
            browser.post("/record/breakthrough-sensed", &fields).await.status,
            StatusCode::SEE_OTHER
        );
    }
    assert_eq!(browser.count().await, before + 2);
    let page = browser.get("/respirators/HM-001").await.text;
    assert!(page.contains("this set is held: a smell was noticed inside it"), "{page}");
}

#[tokio::test]
async fn a_wear_counts_and_is_kept_at_the_time_of_the_site() {
    let browser = Browser::inside().await;
    let fields = [
        ("entry", "w-entry"),
        ("unit", "HM-001"),
        ("wearer", "w-1"),
        ("task", "drums"),
        ("time", "45"),
        ("when", "2026-11-25T15:30"),
    ];
    let answer = browser.post("/record/worn", &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    let all = browser.ledger.read(None, 0).await.unwrap();
    let kept = &all.last().unwrap().entry;
    // The site lies in Madrid, one hour ahead in winter.
    assert_eq!(kept.happened.to_string(), "2026-11-25T14:30:00Z");
    assert!(matches!(&kept.fact, Fact::Worn { time, .. } if time.as_min() == 45.0));
    let page = browser.get("/respirators/HM-001").await.text;
    assert!(page.contains("45 min in 1 wear"), "{page}");
}

#[tokio::test]
async fn a_form_with_mistakes_comes_back_as_it_was_typed_and_records_nothing() {
    let browser = Browser::inside().await;
    let before = browser.count().await;
    let fields = [
        ("entry", "kept-id"),
        ("unit", "HM-9"),
        ("wearer", "w-1"),
        ("task", "drums"),
        ("time", "-3"),
        ("when", "2027-01-01T10:00"),
    ];
    let answer = browser.post("/record/worn", &fields).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    for kept in
        ["value=\"HM-9\"", "value=\"-3\"", "value=\"kept-id\"", "value=\"2027-01-01T10:00\""]
    {
        assert!(answer.text.contains(kept), "{kept} is not in {}", answer.text);
    }
    for said in ["no respirator has the tag", "outside 0", "this lies ahead"] {
        assert!(answer.text.contains(said), "{said} is not in {}", answer.text);
    }
    assert_eq!(browser.count().await, before);
}

#[tokio::test]
async fn a_reading_is_recorded_or_said_to_be_unknown() {
    let browser = Browser::inside().await;
    let known = [
        ("entry", "m-1"),
        ("task", "drums"),
        ("cas", "xylene"),
        ("concentration", "30 ppm"),
        ("form", "vapour"),
        ("method", "badge"),
    ];
    let answer = browser.post("/record/reading-taken", &known).await;
    assert!(
        answer.status == StatusCode::SEE_OTHER || answer.text.contains("did you mean"),
        "{}",
        answer.text
    );
    let unknown = [
        ("entry", "m-2"),
        ("task", "drums"),
        ("cas", "108-88-3"),
        ("concentration", "not known"),
        ("form", "vapour"),
        ("method", "smelled in the hall"),
    ];
    assert_eq!(browser.post("/record/reading-taken", &unknown).await.status, StatusCode::SEE_OTHER);
    let page = browser.get("/").await.text;
    assert!(page.contains("the level of Toluene is not known"), "{page}");
    let bare = [
        ("entry", "m-3"),
        ("task", "drums"),
        ("cas", "toluene"),
        ("concentration", "30"),
        ("form", "vapour"),
        ("method", "badge"),
    ];
    let answer = browser.post("/record/reading-taken", &bare).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.text.contains("has no unit"), "{}", answer.text);
}

#[tokio::test]
async fn another_program_that_adds_to_the_ledger_is_seen_at_the_next_look() {
    let browser = Browser::inside().await;
    let mut other = browser.ledger.read(None, 0).await.unwrap().remove(14).entry;
    other.id = program::EntryId::new("from-elsewhere");
    other.fact = Fact::Held { unit: program::UnitId::new("HM-001"), why: "elsewhere".to_owned() };
    browser.ledger.append(&other.site.clone(), &[other]).await.unwrap();
    assert!(browser.get("/respirators/HM-001").await.text.contains("held: elsewhere"));
}

#[tokio::test]
async fn a_correction_counts_and_both_stay_visible() {
    let browser = Browser::inside().await;
    browser.post("/record/held", &[("entry", "h-1"), ("unit", "HM-001"), ("why", "torn")]).await;
    let form = browser.get("/entries/h-1/correct").await.text;
    for filled in ["value=\"HM-001\"", "value=\"torn\"", "value=\"2026-11-25T16:00\""] {
        assert!(form.contains(filled), "{filled} is not in {form}");
    }
    let fields = [
        ("entry", "h-2"),
        ("unit", "HM-001"),
        ("why", "valve sticks"),
        ("when", "2026-11-25T16:00"),
    ];
    for _ in 0..2 {
        let answer = browser.post("/entries/h-1/correct", &fields).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    }
    let all = browser.ledger.read(None, 0).await.unwrap();
    let kept = &all.last().unwrap().entry;
    assert_eq!(kept.corrects, Some(program::EntryId::new("h-1")));
    assert_eq!(kept.happened, crate::plant::now());
    let page = browser.get("/respirators/HM-001").await.text;
    for said in ["this set is held: valve sticks", "Held back: torn", "corrected by a later entry"]
    {
        assert!(page.contains(said), "{said} is not in {page}");
    }
    assert!(browser.get("/entries/h-1").await.text.contains("/entries/h-2"));
}

#[tokio::test]
async fn a_second_correction_of_one_entry_continues_the_chain() {
    let browser = Browser::inside().await;
    let of_hold = |entry, why| [("entry", entry), ("unit", "HM-001"), ("why", why)];
    browser.post("/record/held", &of_hold("h-1", "torn")).await;
    browser.post("/entries/h-1/correct", &of_hold("h-2", "valve sticks")).await;
    let answer = browser.get("/entries/h-1/correct").await;
    assert_eq!(answer.headers.get(header::LOCATION).unwrap(), "/entries/h-2/correct");
    // A form that was opened before the first correction came.
    let answer = browser.post("/entries/h-1/correct", &of_hold("h-3", "strap torn")).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    for said in
        ["meanwhile this was put right", "/entries/h-2/correct", "strap torn", "valve sticks"]
    {
        assert!(answer.text.contains(said), "{said} is not in {}", answer.text);
    }
    let answer = browser.post("/entries/h-2/correct", &of_hold("h-3", "strap torn")).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    let page = browser.get("/respirators/HM-001").await.text;
    assert!(page.contains("this set is held: strap torn"), "{page}");
    assert!(!page.contains("in more than one way"), "{page}");
    // The first correction sent once more is kept already.
    let again = browser.post("/entries/h-1/correct", &of_hold("h-2", "valve sticks")).await;
    assert_eq!(again.status, StatusCode::SEE_OTHER, "{}", again.text);
}

#[tokio::test]
async fn a_set_after_a_doubtful_bath_is_issued_only_once_the_warning_was_read() {
    let browser = Browser::inside().await;
    let sent = |path: &'static str, fields: Vec<(&'static str, &'static str)>| {
        let browser = &browser;
        async move {
            let fields: Vec<(&str, &str)> =
                [("unit", "HM-001")].into_iter().chain(fields).collect();
            browser.post(&format!("/record/{path}"), &fields).await
        }
    };
    let at = |entry, when| vec![("entry", entry), ("when", when)];
    let with = |mut fields: Vec<(&'static str, &'static str)>, more: &[_]| {
        fields.extend_from_slice(more);
        fields
    };
    let returned = with(at("b-1", "2026-11-25T09:00"), &[("wearer", "w-1")]);
    assert_eq!(sent("returned", returned).await.status, StatusCode::SEE_OTHER);
    assert_eq!(sent("cleaned", at("b-2", "2026-11-25T09:10")).await.status, StatusCode::SEE_OTHER);
    let bath = at("b-3", "2026-11-25T09:20");
    let weak = [("agent", "bath salts, 400 ppm"), ("contact", "1 min")];
    let answer = sent("disinfected", with(bath.clone(), &weak)).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    for said in
        ["nothing shows that", "1 min in contact is too short", "at 50 ppm or a little more"]
    {
        assert!(answer.text.contains(said), "{said} is not in {}", answer.text);
    }
    let salts = [("agent", "bath salts, 400 ppm"), ("contact", "2 min"), ("despite", "yes")];
    assert_eq!(sent("disinfected", with(bath, &salts)).await.status, StatusCode::SEE_OTHER);
    let (occasion, passed) = (program::InspectionOccasion::BeforeUse, true);
    let unit = program::UnitId::new("HM-001");
    let fact = Fact::Inspected { unit, occasion, passed, found: String::new() };
    let looked = crate::plant::at("2026-11-25T08:30:00Z", "b-4", fact);
    browser.ledger.append(&site(), &[looked]).await.unwrap();
    let issue = |entry, wearer| vec![("entry", entry), ("wearer", wearer)];
    let answer = sent("issued", issue("b-5", "w-2")).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", answer.text);
    let said = "after Birch Wren used it the set was disinfected with `bath salts, 400 ppm`";
    assert!(answer.text.contains(said), "{}", answer.text);
    // To the one who used it before it may go back.
    assert_eq!(sent("issued", issue("b-6", "w-1")).await.status, StatusCode::SEE_OTHER);
    let noted = Fact::MakerInstructionsNoted {
        model: ModelId::new("half"),
        parts: Vec::new(),
        forbidden_cleaners: Vec::new(),
        approved_disinfectants: vec!["bath salts".to_owned()],
        stands_in: "manual".to_owned(),
    };
    let noted = crate::plant::at("2026-11-25T08:00:00Z", "noted", noted);
    browser.ledger.append(&site(), &[noted]).await.unwrap();
    let page = browser.get("/respirators/HM-001").await.text;
    assert!(!page.contains("which nothing shows to disinfect"), "{page}");
}

#[tokio::test]
async fn a_part_given_by_name_asks_whether_the_one_of_that_name_is_meant() {
    let browser = Browser::inside().await;
    let of = |entry, more: &[(&'static str, &'static str)]| {
        let own =
            [("entry", entry), ("name", "birch wren"), ("role", "issuer"), ("shown", "course")];
        own.into_iter().chain(more.iter().copied()).collect::<Vec<_>>()
    };
    let answer = browser.post("/record/role-given", &of("p-1", &[])).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.text.contains("is known already as `w-1`"), "{}", answer.text);
    let answer = browser.post("/record/role-given", &of("p-1", &[("despite", "yes")])).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    // Another of that name, by a number of its own; then nobody can know who is meant.
    let answer = browser.post("/record/role-given", &of("p-2", &[("person", "w-9")])).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    let answer = browser.post("/record/role-given", &of("p-3", &[("despite", "yes")])).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.text.contains("type one of w-1, w-9"), "{}", answer.text);
    // The number in other capitals is the same person.
    let answer = browser.post("/record/role-given", &of("p-4", &[("person", "W-9")])).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    let all = browser.ledger.read(None, 0).await.unwrap();
    let last = &all.last().unwrap().entry.fact;
    assert!(matches!(last, Fact::RoleGiven { person, .. } if person.as_str() == "w-9"), "{last:?}");
}

#[tokio::test]
async fn what_is_the_number_of_one_and_the_name_of_another_is_asked_about() {
    let browser = Browser::inside().await;
    let enrolled = |id: &str, wearer: &str, name: &str| {
        let wearer = program::PersonId::new(wearer);
        let fact = Fact::WearerEnrolled { wearer, name: name.to_owned() };
        crate::plant::at("2026-02-01T08:00:00Z", id, fact)
    };
    let two = [enrolled("x-1", "rowan", "Hazel Plover"), enrolled("x-2", "w-7", "Rowan")];
    browser.ledger.append(&site(), &two).await.unwrap();
    let fields = |wearer| [("entry", "i-1"), ("wearer", wearer)];
    let answer = browser.post("/record/voluntary-information-given", &fields("Rowan")).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.text.contains("several are called `Rowan`"), "{}", answer.text);
    let answer = browser.post("/record/voluntary-information-given", &fields("rowan")).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "the number as it is: {}", answer.text);
}

#[tokio::test]
async fn an_empty_ledger_leads_to_its_first_steps_and_every_list_is_drawn() {
    let browser = Browser::at_the_start().await;
    let page = browser.get("/").await.text;
    assert!(page.contains("First steps") && page.contains("/record/site-opened"), "{page}");
    for address in [
        "/wear",
        "/respirators",
        "/wearers",
        "/tasks",
        "/record",
        "/calculate",
        "/sites",
        "/models",
        "/elements",
        "/people",
        "/cylinders",
        "/supplies",
        "/places",
        "/boxes",
        "/groups",
        "/life",
        "/bath",
        "/fit",
        "/air",
        "/exposure",
        "/record/inspected",
        "/record/unit-received",
    ] {
        assert_eq!(browser.get(address).await.status, StatusCode::OK, "{address}");
    }
    let answer = browser.post("/record/wearer-enrolled", &[("entry", "a"), ("name", "A")]).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.text.contains("open a site first"), "{}", answer.text);
}

#[tokio::test]
async fn what_is_not_there_is_told_with_the_menu() {
    let browser = Browser::inside().await;
    for address in ["/nowhere", "/entries/none", "/record/none", "/sites/nort", "/sites/x/year"] {
        let answer = browser.get(address).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{address}");
        assert!(answer.text.contains("aria-label=\"Main\""), "{address}: {}", answer.text);
    }
}

/// The values of the steps in the order in which the form offers them.
fn steps(page: &str) -> Vec<&str> {
    let choice = page.split("name=\"step\"").nth(1).unwrap().split("</select>").next().unwrap();
    let values = choice.split("<option value=\"").skip(1);
    values.filter_map(|rest| rest.split('"').next()).filter(|value| !value.is_empty()).collect()
}

#[tokio::test]
async fn a_step_of_cleaning_offers_what_comes_next_and_tells_what_the_maker_forbids() {
    let browser = Browser::inside().await;
    let noted = Fact::MakerInstructionsNoted {
        model: ModelId::new("half"),
        parts: Vec::new(),
        forbidden_cleaners: vec!["acetone".to_owned(), "iodine".to_owned()],
        approved_disinfectants: vec![],
        stands_in: "manual, page 4".to_owned(),
    };
    let noted = at("2026-02-01T08:00:00Z", "noted", noted);
    browser.ledger.append(&site(), &[noted]).await.unwrap();
    let form = browser.get("/record/care-step-done?unit=hm-001").await.text;
    for said in ["HM-001: issued. Next: taken apart", "forbids: acetone, iodine (manual, page 4)"] {
        assert!(form.contains(said), "{said} is not in {form}");
    }
    assert_eq!(steps(&form), ["taken-apart", "washed", "rinsed", "dried", "reassembled"]);
    let step = |entry, more: &[(&'static str, &'static str)]| {
        let mut fields = vec![("entry", entry), ("unit", "HM-001")];
        fields.extend(more);
        fields
    };
    let apart = step("c-1", &[("step", "taken-apart")]);
    assert_eq!(browser.post("/record/care-step-done", &apart).await.status, StatusCode::SEE_OTHER);
    let form = browser.get("/record/care-step-done?unit=HM-001").await.text;
    // A set that nobody wore may be put together again without a wash.
    assert_eq!(steps(&form), ["washed", "reassembled", "taken-apart", "rinsed", "dried"]);
    assert!(form.contains("taken apart. Next: washed, or reassembled."), "{form}");
    let washed = step(
        "c-2",
        &[("step", "washed"), ("step.washed.cleaner", "Acetone"), ("step.washed.water", "40 degC")],
    );
    assert_eq!(browser.post("/record/care-step-done", &washed).await.status, StatusCode::SEE_OTHER);
    let bath = step("c-3", &[("agent", "iodine, 50 ppm"), ("contact", "2 min")]);
    assert_eq!(browser.post("/record/disinfected", &bath).await.status, StatusCode::SEE_OTHER);
    for page in ["/", "/due/care", "/respirators/HM-001"] {
        let page = browser.get(page).await.text;
        for said in ["the maker forbids Acetone", "the maker forbids iodine"] {
            assert!(page.contains(said), "{said} is not in {page}");
        }
    }
    let page = browser.get("/respirators/HM-001").await.text;
    assert!(page.contains("disinfected, to be rinsed. Next: rinsed."), "{page}");
}

#[tokio::test]
async fn the_record_of_a_year_says_what_did_not_pass() {
    let browser = Browser::inside().await;
    let address = "/sites/north/year?year=2026";
    let wearer = PersonId::new("w-1");
    let told = |text: &str| -> Vec<String> {
        let row = text.split("data-label=\"").skip(1).take(3);
        row.map(|cell| cell.split('>').nth(1).unwrap().split('<').next().unwrap().to_owned())
            .collect()
    };
    let before = told(&browser.get(address).await.text);
    assert!(before.iter().all(|cell| !cell.contains(':')), "{before:?}");
    let failed = Fact::FitTested {
        wearer: wearer.clone(),
        model: ModelId::new("half"),
        size: "M".to_owned(),
        method: FitMethod::Qualitative,
        passed: false,
        hair_in_seal: false,
        seal_note: String::new(),
    };
    let clearance = Clearance::NotCleared;
    let refused = Fact::ClearanceGiven { wearer: wearer.clone(), clearance, until: None };
    let trained = Fact::Trained { wearer, topic: TrainingTopic::Wear, understood: false };
    let all = [("f", failed), ("c", refused), ("t", trained)];
    let entries: Vec<_> =
        all.into_iter().map(|(id, fact)| at("2026-11-24T10:00:00Z", id, fact)).collect();
    browser.ledger.append(&site(), &entries).await.unwrap();
    let after = told(&browser.get(address).await.text);
    for (cell, lacks) in after.iter().zip(["FAILED", "NOT cleared", "not yet understood"]) {
        assert!(cell.ends_with(lacks), "{after:?}");
    }
    assert_eq!(after.len(), 3);
}

#[tokio::test]
async fn the_record_of_a_year_says_how_each_stood_on_a_day() {
    let browser = Browser::inside().await;
    let stood = async |day: &str| -> Vec<String> {
        let page = browser.get(&format!("/sites/north/year?year=2026&day={day}")).await.text;
        let cells = page.split("data-label=\"").skip(1).take(3);
        let quiet = cells.map(|cell| cell.split("class=\"quiet\">").nth(1).unwrap());
        quiet.map(|said| said.split('<').next().unwrap().to_owned()).collect()
    };
    let wearer = PersonId::new("w-1");
    let trained =
        Fact::Trained { wearer: wearer.clone(), topic: TrainingTopic::Wear, understood: true };
    let until = Some("2026-09-30".parse().unwrap());
    let cleared =
        Fact::ClearanceGiven { wearer: wearer.clone(), clearance: Clearance::Cleared, until };
    let tested = Fact::FitTested {
        wearer,
        model: ModelId::new("half"),
        size: "M".to_owned(),
        method: FitMethod::Qualitative,
        passed: true,
        hair_in_seal: false,
        seal_note: String::new(),
    };
    let all = [("f", tested), ("c", cleared), ("t", trained)];
    let entries: Vec<_> =
        all.into_iter().map(|(id, fact)| at("2026-07-01T10:00:00Z", id, fact)).collect();
    browser.ledger.append(&site(), &entries).await.unwrap();
    for (day, expected) in [
        ("2026-09-30", ["size M, until 1 Jul", ": yes, until 30 Sep", ": yes"]),
        ("2026-10-01", ["size M, until 1 Jul", ": no: ", ": yes"]),
    ] {
        let found = stood(day).await;
        for (cell, expected) in found.iter().zip(expected) {
            assert!(cell.contains(expected), "{day}: {found:?}");
        }
    }
    let before = stood("2020-01-01").await;
    assert!(before.iter().all(|cell| cell.ends_with("not enrolled yet")), "{before:?}");
}

#[tokio::test]
async fn one_tag_in_two_spellings_is_refused_and_one_serial_number_on_two_is_asked_about() {
    let browser = Browser::inside().await;
    let receive = async |entry: &str, tag: &str, serial: &str| {
        let fields = [
            ("entry", entry),
            ("unit", tag),
            ("model", "half"),
            ("size", "M"),
            ("serial", serial),
            ("shared", "no"),
            ("emergency", "no"),
        ];
        browser.post("/record/unit-received", &fields).await
    };
    let twin = receive("t-1", "hm-001", "s-77").await;
    assert!(twin.text.contains("is already a respirator"), "{}", twin.text);
    assert_eq!(receive("t-2", "HM-777", "s-77").await.status, StatusCode::SEE_OTHER);
    let same = receive("t-3", "HM-778", "S-77").await;
    assert!(same.text.contains("stands on `HM-777` already"), "{}", same.text);
    assert_eq!(receive("t-4", "HM-778", "s-78").await.status, StatusCode::SEE_OTHER);
}

/// The usual shift is typed in lines, kept where it is wrong, and told on the page of the task with the life
/// that follows; the record before it is put right by the same form.
#[tokio::test]
async fn a_task_tells_its_usual_shift_in_segments() {
    let browser = Browser::inside().await;
    let form = browser.get("/entries/seed-7/correct").await;
    assert_eq!(form.status, StatusCode::OK, "{}", form.text);
    assert!(form.text.contains("name=\"segments\""), "{}", form.text);
    let fields = |lines: &'static str, wear: &'static str| {
        [
            ("spec.name", "Drum filling"),
            ("spec.wear_per_shift", wear),
            ("spec.work_rate", "moderate"),
            ("spec.temperature", "22 degC"),
            ("spec.relative_humidity", "45 %"),
            ("spec.pressure", "101.325 kPa"),
            ("spec.oxygen", "20.9 %"),
            ("spec.oil_aerosol", "no"),
            ("spec.irritates_eyes", "no"),
            ("segments", lines),
            ("when", "2026-01-05T09:00"),
        ]
    };
    for (lines, wear, said) in [
        ("1 h, sideways", "1 h", "segment 1: `sideways` is not read"),
        ("1 h, off, sealed", "1 h", "the mask is on in no segment"),
        ("1 h, on, acetone 5 ppm", "1 h", "Acetone was not found in the air of this task"),
        ("1 h, on", "2 h", "make the two agree"),
    ] {
        let mut asked = fields(lines, wear).to_vec();
        asked.push(("entry", "t-0"));
        let answer = browser.post("/entries/seed-7/correct", &asked).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{lines}");
        assert!(answer.text.contains(said), "{said} is not in {}", answer.text);
        assert!(answer.text.contains(lines), "what was typed is lost: {}", answer.text);
    }
    let lines = "30 min, on, 200 %, heavy\n20 min, off, sealed\n1 h, on, 40 %";
    let mut asked = fields(lines, "90 min").to_vec();
    asked.push(("entry", "t-1"));
    let answer = browser.post("/entries/seed-7/correct", &asked).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    let kept = browser.ledger.read(None, 0).await.unwrap().pop().unwrap().entry;
    let Fact::TaskDescribedBySegments { segments, .. } = kept.fact else { panic!("another fact") };
    assert_eq!(segments.len(), 3);
    let page = browser.get("/tasks/drums").await.text;
    for part in [
        "The usual shift</h2>",
        "200 % of the readings",
        "off, elements sealed",
        "heavy work",
        "at its worst moment",
        "<svg class=\"chart\"",
        "120 ppm",
        ", in 3 segments",
    ] {
        assert!(page.contains(part), "{part} is not in {page}");
    }
    let again = browser.get("/entries/t-1/correct").await.text;
    assert!(again.contains("20 min, off, sealed"), "{again}");
}
