use crate::sample::{Database, Sample};
use ledger::{AttachError, Hash, MOST_BYTES, MediaType, ReadError};

on_both! {
    a_photo_is_kept_once_and_comes_back_as_it_came
    what_is_not_a_picture_or_paper_or_too_large_is_refused_by_name
    the_database_itself_refuses_to_change_an_attachment
    a_changed_attachment_is_named_by_its_hash
}

pub const PNG: &[u8] = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR";
pub const PDF: &[u8] = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n";

async fn a_photo_is_kept_once_and_comes_back_as_it_came(sample: Sample) {
    let hash = sample.ledger.attach(PNG, "image/png").await.unwrap();
    assert_eq!(hash, Hash::of(PNG));
    assert_eq!(sample.ledger.attach(PNG, "image/png").await.unwrap(), hash);
    sample.ledger.attach(PDF, "application/pdf").await.unwrap();
    let sample = sample.reopened().await;
    let kept = sample.ledger.attachment(&hash).await.unwrap().unwrap();
    assert_eq!((kept.media_type, kept.bytes.as_slice()), (MediaType::Png, PNG));
    assert_eq!(sample.ledger.attachment(&Hash::START).await.unwrap(), None);
    let found = sample.ledger.verify().await.unwrap();
    assert_eq!((found.attachments, found.stands()), (2, true));
}

async fn what_is_not_a_picture_or_paper_or_too_large_is_refused_by_name(sample: Sample) {
    let error = sample.ledger.attach(b"GIF89a", "image/gif").await.unwrap_err();
    assert!(matches!(error, AttachError::UnknownType), "{error}");
    let error = sample.ledger.attach(PNG, "image/jpeg").await.unwrap_err();
    assert!(matches!(error, AttachError::OtherType { .. }), "{error}");
    let mut large = PNG.to_vec();
    large.resize(MOST_BYTES, 7);
    let hash = sample.ledger.attach(&large, "image/png").await.unwrap();
    assert_eq!(sample.ledger.attachment(&hash).await.unwrap().unwrap().bytes, large);
    large.push(7);
    let error = sample.ledger.attach(&large, "image/png").await.unwrap_err();
    assert!(error.to_string().contains("5242881 bytes"), "{error}");
    assert_eq!(sample.ledger.verify().await.unwrap().attachments, 1);
}

async fn the_database_itself_refuses_to_change_an_attachment(sample: Sample) {
    sample.ledger.attach(PNG, "image/png").await.unwrap();
    let alone: &[(&str, &str)] = match sample.database {
        Database::Sqlite => &[(
            "INSERT OR REPLACE INTO attachments SELECT hash, 'image/jpeg', bytes FROM attachments",
            "already kept",
        )],
        Database::Postgres => &[("TRUNCATE attachments", "never deleted")],
    };
    for (sql, refusal) in [
        ("UPDATE attachments SET media_type = 'image/jpeg'", "never changed"),
        ("DELETE FROM attachments", "never deleted"),
    ]
    .iter()
    .chain(alone)
    {
        let error = sample.behind_its_back(sql).await.unwrap_err().to_string();
        assert!(error.contains(refusal), "{sql}: {error}");
    }
    assert!(sample.ledger.verify().await.unwrap().stands());
}

async fn a_changed_attachment_is_named_by_its_hash(sample: Sample) {
    let hash = sample.ledger.attach(PNG, "image/png").await.unwrap();
    sample.ledger.attach(PDF, "application/pdf").await.unwrap();
    let disarm = match sample.database {
        Database::Sqlite => "DROP TRIGGER attachments_are_never_changed",
        Database::Postgres => "ALTER TABLE attachments DISABLE TRIGGER ALL",
    };
    sample.behind_its_back(disarm).await.unwrap();
    let change = "UPDATE attachments SET bytes = hash WHERE media_type = 'image/png'";
    sample.behind_its_back(change).await.unwrap();
    let found = sample.ledger.verify().await.unwrap();
    assert_eq!(found.broken_attachment, Some(hash.to_string()));
    let error = sample.ledger.attachment(&hash).await.unwrap_err();
    assert!(matches!(error, ReadError::ChangedAttachment { .. }), "{error}");
}
