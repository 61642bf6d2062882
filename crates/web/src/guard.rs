//! What stands before every page: whom the browser may be, and what it may do with the answer.

use axum::Router;
use axum::extract::{DefaultBodyLimit, Request};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, HOST, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderName, HeaderValue, StatusCode};
use axum::middleware::{Next, from_fn};
use axum::response::{IntoResponse, Response};
use tower_http::csrf::CsrfLayer;
use tower_http::limit::RequestBodyLimitLayer;
use tower_http::set_header::SetResponseHeaderLayer;

/// The longest form anyone fills in, with room to spare.
pub(crate) const LONGEST_BODY_BYTES: usize = 64 * 1024;

/// The longest form that carries a list: 4 MB, twice as long where it is carried on in digits.
const LONGEST_LIST_BYTES: usize = 9 * 1024 * 1024;

/// What the browser is told with every answer. The referrer stays within the site and is not
/// dropped altogether: without one, older browsers send `Origin: null` with our own forms.
const HEADERS: [(HeaderName, &str); 4] = [
    (
        CONTENT_SECURITY_POLICY,
        "default-src 'none'; style-src 'self'; img-src 'self'; form-action 'self'; \
         base-uri 'none'; frame-ancestors 'none'",
    ),
    (X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (REFERRER_POLICY, "same-origin"),
    (CACHE_CONTROL, "private, no-cache"),
];

/// Puts the guards before `pages`, before `lists`, which take longer forms, and before `forms`, which
/// take photos and count those themselves; the first one met is the last one named.
pub(crate) fn guarded(pages: Router, lists: Router, forms: Router) -> Router {
    let lists = lists
        .layer(DefaultBodyLimit::disable())
        .layer(RequestBodyLimitLayer::new(LONGEST_LIST_BYTES));
    let inside = pages
        .layer(RequestBodyLimitLayer::new(LONGEST_BODY_BYTES))
        .merge(lists)
        .merge(forms.layer(DefaultBodyLimit::max(LONGEST_BODY_BYTES)))
        .layer(CsrfLayer::new())
        .layer(from_fn(own_name_only));
    HEADERS.into_iter().fold(inside, |router, (name, value)| {
        router.layer(SetResponseHeaderLayer::overriding(name, HeaderValue::from_static(value)))
    })
}

/// Refuses a request that names another host than this machine: a foreign page whose name was made
/// to point here (DNS rebinding) still sends its own name.
async fn own_name_only(request: Request, next: Next) -> Response {
    let named = match request.uri().authority() {
        Some(authority) => Some(authority.as_str()),
        None => request.headers().get(HOST).and_then(|host| host.to_str().ok()),
    };
    if named.is_some_and(is_own_name) {
        next.run(request).await
    } else {
        let said = "This server answers to localhost, 127.0.0.1 and [::1] only.\n";
        (StatusCode::MISDIRECTED_REQUEST, said).into_response()
    }
}

fn is_own_name(host: &str) -> bool {
    let name = match host.rsplit_once(':') {
        Some((name, port)) if port.bytes().all(|byte| byte.is_ascii_digit()) => name,
        _ => host,
    };
    ["localhost", "127.0.0.1", "[::1]"].iter().any(|own| name.eq_ignore_ascii_case(own))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_this_machine_are_known_with_and_without_a_port() {
        for own in ["localhost", "LOCALHOST:8080", "127.0.0.1:1", "[::1]", "[::1]:8080"] {
            assert!(is_own_name(own), "{own}");
        }
        for foreign in ["plant.example", "localhost.plant.example:80", "127.0.0.1.x", "", "[::2]"] {
            assert!(!is_own_name(foreign), "{foreign}");
        }
    }
}
