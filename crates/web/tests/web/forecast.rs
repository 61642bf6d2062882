use crate::plant::Browser;

#[tokio::test]
async fn the_forecast_says_what_is_needed_and_on_what_that_rests() {
    let browser = Browser::inside().await;
    let page = browser.get("/forecast?site=north&weeks=8").await.text;
    for part in ["North yard", "8 weeks from 2026-11-25", "Needed", "Rests on", "Method:"] {
        assert!(page.contains(part), "{part} is not in {page}");
    }
    let page = browser.get("/forecast?weeks=500").await.text;
    assert!(page.contains("500 weeks cannot be looked ahead to"), "{page}");
    assert!(page.contains("value=\"500\""), "{page}");
}
