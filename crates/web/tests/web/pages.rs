use axum::http::StatusCode;

use program::{CylinderId, ElementTypeId, Fact, ModelId, PersonId, SparePart, UnitId};
use rulebook::AirSource;

use crate::plant::{Browser, at, half_mask, received, site};

#[tokio::test]
async fn what_people_entered_cannot_become_a_part_of_the_page() {
    let browser = Browser::inside().await;
    for page in ["/", "/wearers", "/wearers/w-2", "/respirators/HM-002", "/entries/seed-6", "/wear"]
    {
        let answer = browser.get(page).await;
        assert_eq!(answer.status, StatusCode::OK, "{page}");
        assert!(!answer.text.contains("<script") && !answer.text.contains("<b>"), "{page}");
    }
    let listed = browser.get("/wearers").await.text;
    assert!(listed.contains("&#60;script&#62;") || listed.contains("&lt;script&gt;"), "{listed}");
    let asked = browser.get("/wear?tag=%3Cscript%3E&wearer=%22%3E%3Cscript%3E&task=x").await;
    assert!(!asked.text.contains("<script"), "{}", asked.text);
}

#[tokio::test]
async fn a_wearer_who_is_ready_may_wear() {
    let browser = Browser::inside().await;
    let page = browser.get("/wear?tag=hm-001&wearer=birch+wren&task=drums&planned=60+min").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.text.contains("May wear"), "{}", page.text);
    assert!(page.text.contains("rules were asked"));
}

#[tokio::test]
async fn a_held_set_stops_with_reason_citation_remedy_and_evidence() {
    let browser = Browser::inside().await;
    let page = browser.get("/wear?tag=HM-002&wearer=w-1&task=drums").await.text;
    for part in ["Stop", "this set is held: strap torn", "29 CFR 1910.134", "/entries/seed-14"] {
        assert!(page.contains(part), "{part} is not in {page}");
    }
    let verdict = page.find("class=\"word\"").unwrap();
    assert!(verdict < page.find("this set is held").unwrap());
    assert!(verdict < page.find("<form class=\"stack\"").unwrap());
}

#[tokio::test]
async fn what_was_typed_stays_when_something_is_wrong() {
    let browser = Browser::inside().await;
    let page = browser.get("/wear?tag=HM-0O1&wearer=Birch+Wrenn&task=drums&planned=90").await.text;
    for kept in ["value=\"HM-0O1\"", "value=\"Birch Wrenn\"", "value=\"drums\"", "value=\"90\""] {
        assert!(page.contains(kept), "{kept} is not in {page}");
    }
    for said in ["did you mean HM-001", "did you mean Birch Wren (w-1)", "has no unit"] {
        assert!(page.contains(said), "{said} is not in {page}");
    }
    assert!(!page.contains("class=\"verdict"));
}

#[tokio::test]
async fn a_scan_opens_the_form_with_the_tag_in_it() {
    let browser = Browser::inside().await;
    let page = browser.get("/wear?tag=HM-001").await.text;
    assert!(page.contains("value=\"HM-001\"") && !page.contains("role=\"alert\""));
}

#[tokio::test]
async fn things_that_are_not_there_offer_what_is_called_nearly_so() {
    let browser = Browser::inside().await;
    for (address, near) in [
        ("/respirators/HM-01", "/respirators/HM-001"),
        ("/wearers/w1", "/wearers/w-1"),
        ("/tasks/drum", "/tasks/drums"),
        ("/substances/tolune", "/substances/108-88-3"),
    ] {
        let answer = browser.get(address).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{address}");
        assert!(answer.text.contains(near), "{address}: {}", answer.text);
    }
    assert_eq!(browser.get("/entries/none").await.status, StatusCode::NOT_FOUND);
    assert_eq!(browser.get("/nowhere").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn today_says_what_needs_a_person_and_what_puts_it_right() {
    let browser = Browser::inside().await;
    let page = browser.get("/").await.text;
    for part in
        ["HM-002", "strap torn", "repaired", "/wearers/w-2", "no change schedule was adopted"]
    {
        assert!(page.contains(part), "{part} is not in {page}");
    }
}

#[tokio::test]
async fn a_task_shows_schedule_curve_and_every_class() {
    let browser = Browser::inside().await;
    let page = browser.get("/tasks/drums").await.text;
    for part in [
        "class=\"schedule\"",
        "<svg class=\"chart\"",
        "time in contaminated air",
        "lower bound",
        "Not allowed:",
        "charcoal tube",
        "Limit that governs",
    ] {
        assert!(page.contains(part), "{part} is not in {page}");
    }
}

#[tokio::test]
async fn substances_are_found_by_any_name_and_by_nearly_any() {
    let browser = Browser::inside().await;
    for asked in ["toluene", "TOLUOL", "108-88", "tolueen"] {
        let page = browser.get(&format!("/substances?q={asked}")).await.text;
        assert!(page.contains("/substances/108-88-3"), "{asked}: {page}");
    }
    let page = browser.get("/substances/108-88-3").await.text;
    for part in ["molar mass", "vapour pressure", "(used)", "read in the source"] {
        assert!(page.contains(part), "{part} is not in {page}");
    }
}

const CASE: &str = "/life?contaminant_1=toluene&concentration_1=100+ppm&elements=2\
    &sorbent_mass=26+g&bed_area=38.5+cm2&bulk_density=0.44+g%2Fcm3&micropore_volume=0.454+cm3%2Fg\
    &flow=53.3+L%2Fmin&temperature=22+degC&relative_humidity=50+%25&wear=4+h";

#[tokio::test]
async fn the_life_form_answers_in_words_first() {
    let browser = Browser::inside().await;
    let page = browser.get(CASE).await.text;
    let places =
        ["class=\"schedule\"", "lower bound at 95 %", "<svg class=\"chart\"", "<form class"]
            .map(|part| page.find(part).unwrap_or_else(|| panic!("{part} is not in {page}")));
    assert!(places.is_sorted(), "{places:?}");
    assert!(page.contains("concentration = &#34;100 ppm&#34;"), "{page}");
}

#[tokio::test]
async fn mistakes_in_the_life_form_stand_beside_their_fields() {
    let browser = Browser::inside().await;
    let wrong = CASE
        .replace("temperature=22+degC", "temperature=22")
        .replace("elements=2", "elements=two")
        .replace("&bed_area=38.5+cm2", "")
        .replace("toluene", "tolune");
    let page = browser.get(&wrong).await.text;
    for (field, said) in [("temperature", "has no unit"), ("elements", "not a whole number")] {
        let at = page.find(&format!("id=\"e-{field}\"")).unwrap_or_else(|| panic!("{field}"));
        assert!(page[at..at + 400].contains(said), "{field}");
    }
    assert!(page.contains("value=\"22\"") && page.contains("value=\"tolune\""));

    let half_a_bed = CASE.replace("&bed_area=38.5+cm2", "");
    let page = browser.get(&half_a_bed).await.text;
    assert!(page.contains("id=\"e-bed_area\""), "{page}");
    let misspelt = CASE.replace("toluene", "tolune");
    let page = browser.get(&misspelt).await.text;
    assert!(page.contains("id=\"e-contaminant_1\"") && page.contains("did you mean"), "{page}");
}

/// The gauge is held against the rating with which the cylinder was listed, not against one typed with
/// the reading; and what is wrong with the set is due on its page.
#[tokio::test]
async fn the_page_of_a_self_contained_set_says_of_its_cylinder_what_the_rules_say() {
    let browser = Browser::inside().await;
    let mut model = half_mask();
    if let Fact::ModelListed { model, device, .. } = &mut model {
        *model = ModelId::new("carried");
        device.air_source = AirSource::SelfContainedPressureDemand;
        device.rated_minutes = Some(30);
    }
    let mut set = received("SC-1");
    if let Fact::UnitReceived { model, .. } = &mut set {
        *model = ModelId::new("carried");
    }
    let (cylinder, unit) = (CylinderId::new("CY-1"), UnitId::new("SC-1"));
    let listed = Fact::CylinderListed {
        cylinder: cylinder.clone(),
        serial: "c-1".to_owned(),
        marking: "CY02".to_owned(),
        rated: "31000 kPa".parse().unwrap(),
        water_volume: "6.8 L".parse().unwrap(),
        made: "2025-03-01".parse().unwrap(),
        requalified: "2025-03-01".parse().unwrap(),
        terms: None,
        part: String::new(),
    };
    let mounted = Fact::CylinderMounted { cylinder, unit: unit.clone() };
    let (rated, read) = ("20000 kPa".parse().unwrap(), "19500 kPa".parse().unwrap());
    let read = Fact::CylinderRead { unit, rated, read };
    let facts = [model, set, listed, mounted, read].into_iter().enumerate();
    let entry = |(n, fact)| at(&format!("2026-11-24T08:0{n}:00Z"), &format!("sc-{n}"), fact);
    let entries: Vec<program::Entry> = facts.map(entry).collect();
    browser.ledger.append(&site(), &entries).await.unwrap();
    let page = browser.get("/respirators/SC-1").await.text;
    assert!(page.contains("62 % of its rated pressure of 310 bar"), "{page}");
    assert!(page.contains("19500 kPa of 31000 kPa") && !page.contains("98 %"), "{page}");
    assert!(page.contains("no test of the air of this set is on record"), "{page}");
}

/// What `due` tells of a wearer for the respirator in hand, the page and the list of wearers tell too.
#[tokio::test]
async fn wearers_are_told_what_is_due_for_the_respirators_in_their_hands() {
    let browser = Browser::inside().await;
    let fit = "has no fit test with Half mask size L";
    for page in ["/", "/wearers", "/wearers/w-1"] {
        assert!(!browser.get(page).await.text.contains(fit), "{page}");
    }
    let mut larger = received("HM-003");
    if let Fact::UnitReceived { size, .. } = &mut larger {
        *size = "L".to_owned();
    }
    let issued = Fact::Issued { unit: UnitId::new("HM-003"), wearer: PersonId::new("w-1") };
    let entries = [
        at("2026-11-24T08:00:00Z", "larger", larger),
        at("2026-11-25T08:00:00Z", "larger-issued", issued),
    ];
    browser.ledger.append(&site(), &entries).await.unwrap();
    for page in ["/", "/wearers", "/wearers/w-1"] {
        let text = browser.get(page).await.text;
        assert!(text.contains(fit), "{page}: {text}");
        // What is wrong with the respirator itself is not the wearer's.
        assert!(page == "/" || !text.contains("strap torn"), "{page}: {text}");
    }
}

#[tokio::test]
async fn the_page_of_a_model_says_all_that_was_entered_of_it() {
    let browser = Browser::inside().await;
    let page = browser.get("/models/half").await.text;
    assert!(page.contains("What its maker asks") && page.contains("not noted"), "{page}");
    let mut model = half_mask();
    if let Fact::ModelListed { model, device, approved_elements, approved_cylinders, .. } =
        &mut model
    {
        *model = ModelId::new("carried");
        device.air_source = AirSource::SelfContainedPressureDemand;
        approved_elements.push(ElementTypeId::new("ov"));
        approved_cylinders.push("P-4530".to_owned());
    }
    let noted = Fact::MakerInstructionsNoted {
        model: ModelId::new("carried"),
        parts: vec![SparePart { number: "P1".to_owned(), name: "head strap".to_owned() }],
        forbidden_cleaners: vec!["acetone".to_owned()],
        approved_disinfectants: vec!["bath salts".to_owned()],
        stands_in: "manual, page 7".to_owned(),
    };
    let entries = [
        at("2026-11-24T08:00:00Z", "carried", model),
        at("2026-11-24T08:01:00Z", "carried-asks", noted),
    ];
    browser.ledger.append(&site(), &entries).await.unwrap();
    let page = browser.get("/models/carried").await.text;
    let all =
        ["Organic vapour cartridge", "P-4530", "head strap", "acetone", "bath salts", "page 7"];
    for said in all {
        assert!(page.contains(said), "{said}: {page}");
    }
}

#[tokio::test]
async fn a_beard_seen_at_the_door_stops_until_it_is_recorded_as_gone() {
    let browser = Browser::inside().await;
    let check = "/wear?tag=HM-001&wearer=w-1&task=drums&planned=60+min";
    for (entry, there, when, stops) in
        [("f-1", "yes", "2026-11-25T15:50", true), ("f-2", "no", "2026-11-25T15:55", false)]
    {
        let fields = [("entry", entry), ("wearer", "w-1"), ("there", there), ("when", when)];
        let answer = browser.post("/record/seal-hair-seen", &fields).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
        let text = browser.get(check).await.text;
        assert_eq!(text.contains("hair was seen on Birch Wren"), stops, "{text}");
        let today = browser.get("/").await.text;
        assert_eq!(today.contains("hair was seen on Birch Wren"), stops, "{today}");
    }
}
