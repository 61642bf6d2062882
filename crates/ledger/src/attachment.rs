//! Pictures and papers beside the entries: each kept once, under the hash of its bytes.

use std::fmt;

use thiserror::Error;

use crate::hash::Hash;
use crate::store::{AppendError, KeptAttachment, ReadError, Store, Writing};

/// The most bytes of one attachment: 5 MiB, which a photo of a telephone stays below.
pub const MOST_BYTES: usize = 5 * 1024 * 1024;

/// What an attachment may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MediaType {
    /// A photo.
    Jpeg,
    /// A picture.
    Png,
    /// A picture.
    WebP,
    /// A paper.
    Pdf,
}

impl MediaType {
    const ALL: [Self; 4] = [Self::Jpeg, Self::Png, Self::WebP, Self::Pdf];

    /// The type that the first bytes show, whatever the sender says.
    ///
    /// Source: the signatures of JPEG (ITU T.81, marker SOI), PNG (W3C PNG, 5.2), WebP (RFC 9649,
    /// 2.4) and PDF (ISO 32000, 7.5.2); values from memory.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Option<Self> {
        let webp = bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP");
        Self::ALL.into_iter().find(|kind| match kind {
            Self::Jpeg => bytes.starts_with(b"\xff\xd8\xff"),
            Self::Png => bytes.starts_with(b"\x89PNG\r\n\x1a\n"),
            Self::WebP => webp,
            Self::Pdf => bytes.starts_with(b"%PDF-"),
        })
    }

    /// Its registered name, such as `image/png`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Jpeg => "image/jpeg",
            Self::Png => "image/png",
            Self::WebP => "image/webp",
            Self::Pdf => "application/pdf",
        }
    }
}

impl fmt::Display for MediaType {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// A picture or a paper as it is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attachment {
    /// What it is.
    pub media_type: MediaType,
    /// Its bytes, as they came.
    pub bytes: Vec<u8>,
}

/// Why something was not attached.
#[derive(Debug, Error)]
pub enum AttachError {
    /// It is too large.
    #[error(
        "the attachment has {0} bytes, at most {MOST_BYTES} are kept\n  make the picture smaller and attach it again"
    )]
    TooLarge(usize),
    /// It is none of the types that are kept.
    #[error(
        "the attachment is neither JPEG, PNG, WebP nor PDF\n  attach a picture or a paper of one of these types"
    )]
    UnknownType,
    /// It is another type than was said.
    #[error(
        "the attachment was sent as `{said}`, but its bytes are {found}\n  send it as what it is"
    )]
    OtherType {
        /// What was said.
        said: String,
        /// What it is.
        found: MediaType,
    },
    /// It could not be written.
    #[error(transparent)]
    Write(#[from] AppendError),
}

/// Keeps `bytes`; attached twice, they are kept once.
pub(crate) async fn attach(
    store: &impl Store,
    bytes: &[u8],
    said: &str,
) -> Result<Hash, AttachError> {
    if bytes.len() > MOST_BYTES {
        return Err(AttachError::TooLarge(bytes.len()));
    }
    let found = MediaType::of(bytes).ok_or(AttachError::UnknownType)?;
    if found.name() != said {
        return Err(AttachError::OtherType { said: said.to_owned(), found });
    }
    let hash = Hash::of(bytes);
    let kept = KeptAttachment {
        hash: hash.as_bytes().to_vec(),
        media_type: said.to_owned(),
        bytes: bytes.to_vec(),
    };
    let mut writing = store.begin().await.map_err(AppendError::from)?;
    writing.attach(&kept).await.map_err(AppendError::from)?;
    writing.commit().await.map_err(AppendError::from)?;
    Ok(hash)
}

/// The attachment with this hash, if it is kept and stands as it came.
pub(crate) async fn find(store: &impl Store, hash: &Hash) -> Result<Option<Attachment>, ReadError> {
    let Some(kept) = store.attachment(hash).await? else { return Ok(None) };
    match kept.check() {
        Some((_, media_type)) => Ok(Some(Attachment { media_type, bytes: kept.bytes })),
        None => Err(ReadError::ChangedAttachment { hash: *hash }),
    }
}

impl KeptAttachment {
    /// Its hash and its type, if it stands as it came.
    pub(crate) fn check(&self) -> Option<(Hash, MediaType)> {
        let hash = Hash::of(&self.bytes);
        let media_type = MediaType::of(&self.bytes)?;
        let stands = self.hash == hash.as_bytes()
            && self.media_type == media_type.name()
            && self.bytes.len() <= MOST_BYTES;
        stands.then_some((hash, media_type))
    }

    /// The name under which it is kept, for a message.
    pub(crate) fn shown(&self) -> String {
        self.hash.iter().map(|byte| format!("{byte:02x}")).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_type_is_told_by_the_first_bytes() {
        for (bytes, kind) in [
            (b"\xff\xd8\xff\xe0".as_slice(), Some(MediaType::Jpeg)),
            (b"\x89PNG\r\n\x1a\n", Some(MediaType::Png)),
            (b"RIFF\0\0\0\0WEBPVP8 ", Some(MediaType::WebP)),
            (b"%PDF-1.7\n", Some(MediaType::Pdf)),
            (b"RIFF\0\0\0\0WAVE", None),
            (b"GIF89a", None),
            (b"", None),
        ] {
            assert_eq!(MediaType::of(bytes), kind, "{bytes:?}");
        }
    }
}
