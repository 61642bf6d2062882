//! What a person typed, kept as typed until it is understood.

use std::collections::BTreeMap;
use std::str::FromStr;

use axum::Form;
use axum::extract::{FromRequest, FromRequestParts, Query, Request};
use axum::http::request::Parts;
use axum::http::{Method, StatusCode};
use axum::response::{IntoResponse, Response};

/// The fields of a form, by name, and what is wrong with them. A field that was not sent is empty.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Fields {
    typed: BTreeMap<String, String>,
    wrong: BTreeMap<String, String>,
}

impl Fields {
    /// The fields with these names and values.
    #[cfg(test)]
    pub(crate) fn of<const N: usize>(pairs: [(&str, &str); N]) -> Self {
        let typed = pairs.map(|(name, value)| (name.to_owned(), value.to_owned()));
        Self { typed: typed.into(), wrong: BTreeMap::new() }
    }

    /// The fields of a form that carries a file as well.
    pub(crate) fn from_pairs(pairs: Vec<(String, String)>) -> Self {
        Self { typed: pairs.into_iter().collect(), wrong: BTreeMap::new() }
    }

    /// What was typed, without the white space around it.
    pub(crate) fn get(&self, name: &str) -> &str {
        self.typed.get(name).map_or("", |value| value.trim())
    }

    /// What was typed, if anything was.
    pub(crate) fn filled(&self, name: &str) -> Option<&str> {
        Some(self.get(name)).filter(|value| !value.is_empty())
    }

    /// Whether nothing was typed or sent at all.
    pub(crate) fn is_blank(&self) -> bool {
        self.typed.values().all(|value| value.trim().is_empty())
    }

    /// The fields whose names start so, and what was typed.
    pub(crate) fn starting_with<'a>(
        &'a self,
        start: &'a str,
    ) -> impl Iterator<Item = (&'a str, &'a str)> {
        let all = self.typed.iter().filter(move |(name, _)| name.starts_with(start));
        all.map(|(name, value)| (name.as_str(), value.trim()))
    }

    /// Fills in a field that was left empty.
    pub(crate) fn or_set(&mut self, name: &str, value: impl Into<String>) {
        if self.get(name).is_empty() {
            self.typed.insert(name.to_owned(), value.into());
        }
    }

    /// Fills in a field whatever it held.
    pub(crate) fn set(&mut self, name: &str, value: impl Into<String>) {
        self.typed.insert(name.to_owned(), value.into());
    }

    /// Says what is wrong with a field; the first word stands.
    pub(crate) fn refuse(&mut self, name: &str, why: impl Into<String>) {
        self.wrong.entry(name.to_owned()).or_insert_with(|| why.into());
    }

    /// What is wrong with a field, if anything is.
    pub(crate) fn why_wrong(&self, name: &str) -> Option<&str> {
        self.wrong.get(name).map(String::as_str)
    }

    /// Whether anything is wrong.
    pub(crate) fn has_errors(&self) -> bool {
        !self.wrong.is_empty()
    }

    /// How many fields are wrong.
    pub(crate) fn errors(&self) -> usize {
        self.wrong.len()
    }

    /// Reads a field that must be filled; otherwise says so beside it.
    pub(crate) fn need(&mut self, name: &str, ask: &str) -> Option<String> {
        let value = self.filled(name).map(str::to_owned);
        if value.is_none() {
            self.refuse(name, ask);
        }
        value
    }

    /// Reads a field that may stay empty; what cannot be read is told beside it.
    pub(crate) fn read<T>(&mut self, name: &str) -> Option<T>
    where
        T: FromStr,
        T::Err: ToString,
    {
        match self.filled(name)?.parse() {
            Ok(value) => Some(value),
            Err(why) => {
                let why: T::Err = why;
                self.refuse(name, why.to_string());
                None
            }
        }
    }
}

impl<S: Send + Sync> FromRequest<S> for Fields {
    type Rejection = Response;

    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        type Pairs = Vec<(String, String)>;
        let pairs = if request.method() == Method::POST {
            Form::<Pairs>::from_request(request, state)
                .await
                .map(|Form(pairs)| pairs)
                .map_err(IntoResponse::into_response)?
        } else {
            let mut parts: Parts = request.into_parts().0;
            Query::<Pairs>::from_request_parts(&mut parts, state)
                .await
                .map(|Query(pairs)| pairs)
                .map_err(|_| {
                    (StatusCode::BAD_REQUEST, "The address cannot be read.\n").into_response()
                })?
        };
        Ok(Self { typed: pairs.into_iter().collect(), wrong: BTreeMap::new() })
    }
}
