use program::{ElementTypeId, EntryId, Fact, UnitId};

use crate::plant::Browser;

#[tokio::test]
async fn the_forecast_says_what_is_needed_and_on_what_that_rests() {
    let browser = Browser::inside().await;
    let page = browser.get("/forecast?site=north&weeks=8").await.text;
    for part in ["North yard", "8 weeks from 2026-11-25", "Nothing is on record"] {
        assert!(page.contains(part), "{part} is not in {page}");
    }
    let mut entry = browser.ledger.read(None, 0).await.unwrap().remove(0).entry;
    entry.id = EntryId::new("earlier");
    entry.happened = "2026-11-10T08:00:00Z".parse().unwrap();
    entry.fact = Fact::ElementsFitted {
        unit: UnitId::new("HM-001"),
        element_type: ElementTypeId::new("ov"),
        lot: "lot-0".to_owned(),
        shelf_life_until: "2028-01-01".parse().unwrap(),
        opened: entry.happened,
    };
    browser.ledger.append(&entry.site.clone(), &[entry]).await.unwrap();
    let page = browser.get("/forecast?site=north&weeks=6").await.text;
    // One set of two in three weeks.
    for part in ["3 past weeks", "Organic vapour cartridge", ">4<", "no stock is kept", "Method:"] {
        assert!(page.contains(part), "{part} is not in {page}");
    }
    let page = browser.get("/forecast?weeks=500").await.text;
    assert!(page.contains("500 weeks cannot be looked ahead to"), "{page}");
    assert!(page.contains("value=\"500\""), "{page}");
}
