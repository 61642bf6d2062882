//! A plant with more things than fit on one page.

use axum::http::StatusCode;
use program::{Fact, PersonId};

use crate::plant::{Browser, at, received, site};

/// The plant of the other tests, with 120 respirators and 450 wearers more.
async fn full() -> Browser {
    let browser = Browser::inside().await;
    let mut entries = Vec::new();
    for number in 0..120 {
        let tag = format!("X-{number:03}");
        entries.push(at("2026-02-01T08:00:00Z", &format!("in-{number}"), received(&tag)));
    }
    for number in 0..450 {
        let wearer = PersonId::new(format!("many-{number:03}"));
        let fact = Fact::WearerEnrolled { wearer, name: format!("Extra {number:03}") };
        entries.push(at("2026-02-01T09:00:00Z", &format!("on-{number}"), fact));
    }
    browser.ledger.append(&site(), &entries).await.unwrap();
    browser
}

fn rows(page: &str) -> usize {
    page.matches("scope=\"row\"").count()
}

/// The address of the link with these words.
fn link(page: &str, words: &str) -> Option<String> {
    let before = page.split(&format!(">{words}</a>")).next().filter(|text| *text != page)?;
    let address = before.rsplit("href=\"").next()?.split('"').next()?;
    Some(address.replace("&#38;", "&").replace("&amp;", "&"))
}

#[tokio::test]
async fn a_long_list_is_read_page_by_page_and_each_thing_stands_on_one() {
    let browser = full().await;
    let (mut address, mut tags, mut pages) = ("/respirators".to_owned(), Vec::new(), 0);
    loop {
        let page = browser.get(&address).await.text;
        let own = page.split("class=\"tag\"><a href=\"/respirators/").skip(1);
        tags.extend(own.filter_map(|rest| rest.split('"').next()).map(str::to_owned));
        assert!(rows(&page) <= 48);
        // Each page offers the labels of its own respirators.
        let sheet = browser.get(&link(&page, "Sheet 1").unwrap()).await.text;
        assert!(sheet.contains(&tags[pages * 48]), "{address}");
        pages += 1;
        match link(&page, "Next page") {
            Some(next) => address = next,
            None => break,
        }
    }
    assert_eq!(pages, 3);
    assert_eq!(tags.len(), 122);
    assert!(tags.is_sorted());
    assert_eq!(
        link(&browser.get(&address).await.text, "From the beginning").unwrap(),
        "/respirators?site=&q="
    );
}

#[tokio::test]
async fn a_search_finds_what_no_page_shows_and_keeps_the_site() {
    let browser = full().await;
    let page = browser.get("/respirators?q=x-11").await.text;
    assert_eq!(rows(&page), 10);
    assert!(link(&page, "Next page").is_none());
    let page = browser.get("/wearers?q=extra&site=north").await.text;
    assert_eq!(rows(&page), 48);
    let next = link(&page, "Next page").unwrap();
    assert!(next.starts_with("/wearers?site=north&q=extra&after="), "{next}");
    assert_eq!(rows(&browser.get("/wearers?q=no+such").await.text), 0);
}

#[tokio::test]
async fn who_stands_in_no_list_behind_a_field_is_found_by_what_is_typed() {
    let browser = full().await;
    let page = browser.get("/wear?tag=x-007&wearer=extra+449&task=drums").await.text;
    assert!(!page.contains("<datalist id=\"wearers\">"), "450 names are no help");
    assert!(page.contains("<datalist id=\"respirators\">"));
    assert!(page.contains("Stop") && page.contains("Extra 449"), "{page}");
    let page = browser.get("/wear?tag=X-007&wearer=Extra+4499&task=drums").await.text;
    assert!(page.contains("did you mean Extra 449"), "{page}");
    let page = browser.get("/respirators/X-0O7").await;
    assert_eq!(page.status, StatusCode::NOT_FOUND);
    assert!(page.text.contains("X-007"), "{}", page.text);
}

#[tokio::test]
async fn a_new_thing_is_not_given_the_id_of_one_that_is_there() {
    let browser = full().await;
    // Ids that stand near the one that is made, and before it.
    for (entry, id) in
        [("d1", "big-vega-a"), ("d2", "big-vega-b"), ("d3", "a-vega"), ("d4", "b-vega")]
    {
        let fields = [("entry", entry), ("name", "Other"), ("wearer", id), ("despite", "yes")];
        let answer = browser.post("/record/wearer-enrolled", &fields).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    }
    let named = ["a1", "a2", "a3", "a4", "a5", "a6", "a7"].map(|entry| (entry, "Extra 007"));
    let vega = ["v1", "v2", "v3", "v4", "v5", "v6", "v7"].map(|entry| (entry, "Vega"));
    for (entry, name) in named.into_iter().chain(vega) {
        let mut fields = vec![("entry", entry), ("name", name), ("wearer", "")];
        if entry == "v1" {
            let answer = browser.post("/record/wearer-enrolled", &fields).await;
            assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
            continue;
        }
        let asked = browser.post("/record/wearer-enrolled", &fields).await;
        assert_eq!(asked.status, StatusCode::UNPROCESSABLE_ENTITY, "the name is used twice");
        fields.push(("despite", "yes"));
        let answer = browser.post("/record/wearer-enrolled", &fields).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    }
    let page = browser.get("/wearers?q=extra-007").await.text;
    assert_eq!(rows(&page), 7, "seven people of one name, each with an id: {page}");
    let page = browser.get("/wearers?q=Vega").await.text;
    assert_eq!(rows(&page), 7 + 4, "seven of the name, and four with it in their ids: {page}");
    let fields = [("entry", "a4"), ("name", "Another"), ("wearer", "many-007")];
    let answer = browser.post("/record/wearer-enrolled", &fields).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.text.contains("is already a wearer"), "{}", answer.text);
}

#[tokio::test]
async fn what_is_due_is_counted_on_the_first_page_and_told_on_pages_of_its_own() {
    let browser = full().await;
    let today = browser.get("/").await.text;
    assert!(today.contains("Medical clearances<span class=\"count\">452</span>"), "{today}");
    let mut address = link(&today, "All 452").unwrap();
    assert_eq!(address, "/due/clearances");
    let (mut lines, mut pages) = (0, 0);
    loop {
        let page = browser.get(&address).await.text;
        lines += page.matches("class=\"remedy\"").count();
        pages += 1;
        match link(&page, "Next page") {
            Some(next) => address = next,
            None => break,
        }
    }
    assert_eq!((lines, pages), (452, 10));
    assert_eq!(browser.get("/due/nothing").await.status, StatusCode::NOT_FOUND);
    let none = browser.get("/due/sensed").await.text;
    assert!(none.contains("Nothing of this kind is due here"), "{none}");
}

#[tokio::test]
async fn the_record_of_a_year_stays_short_and_leads_on_to_each_part_in_full() {
    let browser = full().await;
    let year = browser.get("/sites/north/year?year=2026").await;
    assert!(year.text.len() < 100_000, "{} bytes", year.text.len());
    assert!(year.text.contains("What is new or gone?<span class=\"count\">578</span>"));
    let all = link(&year.text, "All 452 wearers").unwrap();
    let wearers = browser.get(&all).await.text;
    assert_eq!(rows(&wearers), 400);
    assert_eq!(rows(&browser.get(&link(&wearers, "Next page").unwrap()).await.text), 52);
    let mut address = link(&year.text, "All 578 entries, to read or to print").unwrap();
    let mut lines = 0;
    loop {
        let page = browser.get(&address).await.text;
        lines += page.matches("entered by").count();
        match link(&page, "Next page") {
            Some(next) => address = next,
            None => break,
        }
    }
    assert_eq!(lines, 578);
    let wrong = browser.get("/sites/north/year?year=2026&part=99").await;
    assert_eq!(wrong.status, StatusCode::NOT_FOUND);
}
