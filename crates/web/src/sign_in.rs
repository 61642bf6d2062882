//! Sign-in by a link that works once, and the sessions it opens. Sessions live in memory: a restart
//! ends them all.

use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};

use axum::extract::{Path, Request, State};
use axum::http::header::{COOKIE, SET_COOKIE};
use axum::http::{HeaderMap, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use jiff::{SignedDuration, Timestamp};
use ledger::Hash;

use crate::app::AppState;
use crate::pages::signed_out;

/// A shift and its overtime.
const SESSION: SignedDuration = SignedDuration::from_hours(12);

const COOKIE_NAME: &str = "breathworthy";

/// The open sessions, and the link while it was not used. Tokens are kept as hashes, so that a look
/// into memory or a core file opens nothing.
pub(crate) struct Door {
    link: Mutex<Option<Hash>>,
    sessions: Mutex<HashMap<Hash, Timestamp>>,
}

impl Door {
    /// A door that the link with `token` opens once; an empty token opens nothing.
    pub(crate) fn new(token: &str) -> Self {
        let link = (!token.is_empty()).then(|| Hash::of(token.as_bytes()));
        Self { link: Mutex::new(link), sessions: Mutex::default() }
    }

    /// Takes the link if `token` is the right one.
    fn take_link(&self, token: &str) -> bool {
        let mut link = self.link.lock().unwrap_or_else(PoisonError::into_inner);
        let right = link.is_some_and(|kept| same(kept, Hash::of(token.as_bytes())));
        if right {
            *link = None;
        }
        right
    }

    fn open(&self, secret: &str, now: Timestamp) {
        let ends = now.saturating_add(SESSION).unwrap_or(now);
        let mut sessions = self.sessions.lock().unwrap_or_else(PoisonError::into_inner);
        sessions.retain(|_, ends| now < *ends);
        sessions.insert(Hash::of(secret.as_bytes()), ends);
    }

    fn knows(&self, secret: &str, now: Timestamp) -> bool {
        let sessions = self.sessions.lock().unwrap_or_else(PoisonError::into_inner);
        sessions.get(&Hash::of(secret.as_bytes())).is_some_and(|ends| now < *ends)
    }

    fn close(&self, secret: &str) {
        let mut sessions = self.sessions.lock().unwrap_or_else(PoisonError::into_inner);
        sessions.remove(&Hash::of(secret.as_bytes()));
    }
}

/// Compares every byte whatever the first ones say, so that the time taken tells nothing.
fn same(one: Hash, other: Hash) -> bool {
    let bytes = one.as_bytes().iter().zip(other.as_bytes());
    bytes.fold(0, |difference, (a, b)| difference | (a ^ b)) == 0
}

/// `GET /enter/{token}`: opens a session and goes to the first page. A look at the headers alone
/// must not use up the link.
pub(crate) async fn enter(
    State(app): State<AppState>,
    method: Method,
    Path(token): Path<String>,
) -> Response {
    if method != Method::GET || !app.door().take_link(&token) {
        return signed_out(StatusCode::UNAUTHORIZED);
    }
    let secret = app.new_secret();
    app.door().open(&secret, app.now());
    let seconds = SESSION.as_secs();
    let cookie =
        format!("{COOKIE_NAME}={secret}; HttpOnly; SameSite=Lax; Path=/; Max-Age={seconds}");
    ([(SET_COOKIE, cookie)], Redirect::to("/")).into_response()
}

/// `POST /leave`: ends the session.
pub(crate) async fn leave(State(app): State<AppState>, headers: HeaderMap) -> Response {
    if let Some(secret) = session_cookie(&headers) {
        app.door().close(secret);
    }
    let gone = format!("{COOKIE_NAME}=; HttpOnly; SameSite=Lax; Path=/; Max-Age=0");
    ([(SET_COOKIE, gone)], signed_out(StatusCode::OK)).into_response()
}

/// Lets only those with an open session through.
pub(crate) async fn session_only(
    State(app): State<AppState>,
    request: Request,
    next: Next,
) -> Response {
    let known =
        session_cookie(request.headers()).is_some_and(|secret| app.door().knows(secret, app.now()));
    if known { next.run(request).await } else { signed_out(StatusCode::UNAUTHORIZED) }
}

fn session_cookie(headers: &HeaderMap) -> Option<&str> {
    headers
        .get_all(COOKIE)
        .iter()
        .filter_map(|header| header.to_str().ok())
        .flat_map(|header| header.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find_map(|(name, value)| (name == COOKIE_NAME).then_some(value))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(hours: i64) -> Timestamp {
        Timestamp::from_second(hours * 3600).unwrap()
    }

    #[test]
    fn a_link_opens_once_and_only_with_its_whole_token() {
        let door = Door::new("right");
        assert!(!door.take_link("wrong") && !door.take_link("righ") && !door.take_link(""));
        assert!(door.take_link("right"));
        assert!(!door.take_link("right"));
        assert!(!Door::new("").take_link(""));
    }

    #[test]
    fn a_session_ends_with_the_shift_or_when_it_is_left() {
        let door = Door::new("link");
        door.open("secret", at(0));
        assert!(door.knows("secret", at(11)) && !door.knows("secret", at(12)));
        assert!(!door.knows("other", at(1)));
        door.close("secret");
        assert!(!door.knows("secret", at(1)));
    }

    #[test]
    fn the_session_is_found_among_other_cookies() {
        let mut headers = HeaderMap::new();
        headers.insert(COOKIE, "a=b; breathworthy=s3; c=d".parse().unwrap());
        assert_eq!(session_cookie(&headers), Some("s3"));
    }
}
