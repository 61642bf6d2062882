//! A form as it is sent, with a photo wherever one was chosen. Each photo is kept at once and the
//! form goes on with its hash, so that a form which comes back need not be given it again.

use axum::extract::multipart::{Field, Multipart, MultipartError};
use axum::extract::{DefaultBodyLimit, FromRequest, Request};
use axum::http::StatusCode;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use ledger::{AttachError, Hash, MOST_BYTES, MediaType};

use crate::app::AppState;
use crate::fields::Fields;
use crate::guard::LONGEST_BODY_BYTES;
use crate::shell::PageError;

/// The most that a form with photos may hold: one of the largest at each of the points of the
/// longest inspection, which are sixteen, and what is typed.
const LONGEST_BYTES: usize = 17 * MOST_BYTES;

/// The name of the field in which a photo of `what` is chosen.
pub(crate) fn chosen(what: &str) -> String {
    format!("{what}~photo")
}

/// The name of the field that holds the hash of the photo of `what`.
pub(crate) fn kept(what: &str) -> String {
    format!("{what}~picture")
}

/// Whether a field of this name has to do with a photo.
pub(crate) fn is_of_photo(name: &str) -> bool {
    name.ends_with("~photo") || name.ends_with("~picture")
}

/// The fields of a form. Every photo that they name by its hash is in the ledger; what became of one
/// that could not be kept is told beside its field.
pub(crate) struct Filled(pub(crate) Fields);

impl FromRequest<AppState> for Filled {
    type Rejection = Response;

    async fn from_request(mut request: Request, app: &AppState) -> Result<Self, Response> {
        let kind = request.headers().get(CONTENT_TYPE).map(|kind| kind.as_bytes());
        let fields = if kind.is_some_and(|kind| kind.starts_with(b"multipart/form-data")) {
            DefaultBodyLimit::max(LONGEST_BYTES).apply(&mut request);
            let parts = Multipart::from_request(request, app).await;
            let parts = parts.map_err(IntoResponse::into_response)?;
            receive(app, parts).await.map_err(IntoResponse::into_response)?
        } else {
            Fields::from_request(request, app).await?
        };
        found(app, fields).await.map(Self).map_err(IntoResponse::into_response)
    }
}

/// Reads the parts of the form, and keeps each photo as it comes.
async fn receive(app: &AppState, mut parts: Multipart) -> Result<Fields, PageError> {
    let (mut typed, mut photos, mut letters) = (Vec::new(), Vec::new(), 0_usize);
    while let Some(part) = parts.next_field().await.map_err(broken)? {
        let name = part.name().unwrap_or_default().to_owned();
        let named_file = part.file_name().is_some_and(|file| !file.is_empty());
        match name.strip_suffix("~photo").map(str::to_owned) {
            Some(what) => {
                let (bytes, length) = read(part, MOST_BYTES).await.map_err(broken)?;
                // Where nothing was chosen, a browser sends an empty file without a name.
                if named_file || length > 0 {
                    photos.push((what, keep(app, &bytes, length).await?));
                }
            }
            None => {
                let (bytes, length) = read(part, LONGEST_BODY_BYTES).await.map_err(broken)?;
                letters = letters.saturating_add(length);
                if letters > LONGEST_BODY_BYTES {
                    return Err(too_large());
                }
                typed.push((name, String::from_utf8_lossy(&bytes).into_owned()));
            }
        }
    }
    let mut fields = Fields::from_pairs(typed);
    for (what, photo) in photos {
        match photo {
            Ok(hash) => fields.set(&kept(&what), hash.to_string()),
            Err(why) => fields.refuse(&chosen(&what), why),
        }
    }
    Ok(fields)
}

/// The bytes of a part and how many there are. One that is longer than `most` is read to its end, so
/// that what comes after it is read as well, and its bytes are let go.
async fn read(mut part: Field<'_>, most: usize) -> Result<(Vec<u8>, usize), MultipartError> {
    let (mut bytes, mut length) = (Vec::new(), 0_usize);
    while let Some(piece) = part.chunk().await? {
        length = length.saturating_add(piece.len());
        if length <= most {
            bytes.extend_from_slice(&piece);
        }
    }
    Ok((bytes, length))
}

/// The hash of the photo in the ledger, or why it is not there.
async fn keep(
    app: &AppState,
    bytes: &[u8],
    length: usize,
) -> Result<Result<Hash, String>, PageError> {
    if length > MOST_BYTES {
        let kib = length.div_ceil(1024);
        let most = MOST_BYTES / 1024;
        return Ok(Err(format!(
            "this photo has {kib} kB, at most {most} kB are kept\ntake it at a smaller size, and choose it again"
        )));
    }
    let other = "this is no photo in JPEG, PNG or WebP\ntake it with the camera, or save it as JPEG, and choose it again";
    if MediaType::of(bytes).is_none_or(|kind| kind == MediaType::Pdf) {
        return Ok(Err(other.to_owned()));
    }
    match app.keep_picture(bytes).await {
        Ok(hash) => Ok(Ok(hash)),
        Err(AttachError::Write(error)) => Err(error.into()),
        Err(error) => Ok(Err(error.to_string())),
    }
}

/// The fields without the photos that are named and not kept; that is told beside each.
async fn found(app: &AppState, mut fields: Fields) -> Result<Fields, PageError> {
    let named = fields.starting_with("").filter_map(|(name, hash)| {
        let what = name.strip_suffix("~picture").filter(|_| !hash.is_empty())?;
        Some((what.to_owned(), hash.to_owned()))
    });
    for (what, hash) in named.collect::<Vec<_>>() {
        let known = match hash.parse::<Hash>() {
            Ok(hash) => app.picture(&hash).await?.map(|_| hash.to_string()),
            Err(_) => None,
        };
        if known.is_none() {
            fields.refuse(&chosen(&what), "this photo is not in the ledger\nchoose it again");
        }
        fields.set(&kept(&what), known.unwrap_or_default());
    }
    Ok(fields)
}

fn broken(error: MultipartError) -> PageError {
    if error.status() == StatusCode::PAYLOAD_TOO_LARGE {
        return too_large();
    }
    PageError::NotUnderstood(
        "The form did not arrive whole. Nothing was recorded. Go back and send it once more."
            .to_owned(),
    )
}

fn too_large() -> PageError {
    let most = LONGEST_BYTES / (1024 * 1024);
    PageError::TooLarge(format!(
        "This form with its photos is larger than {most} MB. Nothing was recorded. Go back and choose fewer or smaller photos."
    ))
}
