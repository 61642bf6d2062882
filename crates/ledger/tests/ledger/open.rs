use std::fs;

use crate::sample::{Sample, raw};
use ledger::{Ledger, OpenError};
use sqlx::{Connection, Executor};

#[tokio::test]
async fn a_file_of_another_program_is_refused_and_left_as_it_is() {
    let sample = Sample::new().await;
    let text = sample.folder().join("notes.txt");
    fs::write(&text, "shopping list\n".repeat(200)).unwrap();
    let error = Ledger::open(&text).await.unwrap_err();
    assert!(matches!(error, OpenError::NotALedger { .. }), "{error}");
    assert_eq!(fs::read_to_string(&text).unwrap(), "shopping list\n".repeat(200));

    let other = sample.folder().join("other.db");
    fs::write(&other, "").unwrap();
    let mut connection = raw(&other).await;
    connection.execute("CREATE TABLE invoices (id INTEGER)").await.unwrap();
    connection.close().await.unwrap();
    let before = fs::read(&other).unwrap();
    let error = Ledger::open(&other).await.unwrap_err();
    assert!(matches!(error, OpenError::NotALedger { .. }), "{error}");
    assert_eq!(fs::read(&other).unwrap(), before);
}

#[tokio::test]
async fn an_empty_file_becomes_a_ledger() {
    let sample = Sample::new().await;
    let empty = sample.folder().join("empty.db");
    fs::write(&empty, "").unwrap();
    assert!(Ledger::open(&empty).await.unwrap().sites().await.unwrap().is_empty());
}

#[tokio::test]
async fn a_file_that_may_not_be_written_is_named() {
    let sample = Sample::new().await;
    sample.ledger.clone().close().await;
    let mut rights = fs::metadata(&sample.path).unwrap().permissions();
    rights.set_readonly(true);
    fs::set_permissions(&sample.path, rights).unwrap();
    let error = Ledger::open(&sample.path).await.unwrap_err();
    assert!(matches!(error, OpenError::ReadOnly { .. }), "{error}");
    assert!(error.to_string().contains("plant.db"), "{error}");
}

#[tokio::test]
async fn a_folder_that_does_not_exist_is_told() {
    let sample = Sample::new().await;
    let error = Ledger::open(sample.folder().join("no/such/plant.db")).await.unwrap_err();
    assert!(matches!(error, OpenError::Unreachable { .. }), "{error}");
    let error = Ledger::open(sample.folder()).await.unwrap_err();
    assert!(matches!(error, OpenError::Unreachable { .. }), "{error}");
}

#[tokio::test]
async fn a_ledger_of_a_newer_version_is_refused_with_both_numbers() {
    let sample = Sample::new().await;
    sample
        .behind_its_back(
            "INSERT INTO _sqlx_migrations (version, description, success, checksum, execution_time) \
             VALUES (900, 'later', 1, x'00', 0)",
        )
        .await
        .unwrap();
    let error = Ledger::open(&sample.path).await.unwrap_err();
    assert!(matches!(error, OpenError::NewerSchema { found: 900, known: 1, .. }), "{error}");
}
