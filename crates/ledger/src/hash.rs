use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use sha2::{Digest, Sha256};
use thiserror::Error;

/// A SHA-256 hash, written as 64 hexadecimal digits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Hash([u8; 32]);

impl Hash {
    /// What the first entry of a chain names as the one before it: 32 zero bytes.
    pub const START: Self = Self([0; 32]);

    /// The hash of `bytes`.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// The 32 bytes.
    #[must_use]
    pub const fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// The hash in these bytes; `None` unless there are 32.
    #[must_use]
    pub fn from_bytes(bytes: &[u8]) -> Option<Self> {
        bytes.try_into().ok().map(Self)
    }
}

/// A hash of many pieces in a row.
pub(crate) struct Hasher(Sha256);

impl Hasher {
    pub(crate) fn new() -> Self {
        Self(Sha256::new())
    }

    pub(crate) fn update(&mut self, bytes: &[u8]) {
        self.0.update(bytes);
    }

    pub(crate) fn finish(self) -> Hash {
        Hash(self.0.finalize().into())
    }
}

impl fmt::Display for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl fmt::Debug for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Hash({self})")
    }
}

/// A text that is not 64 hexadecimal digits.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("`{0}` is not a hash\n  write all 64 hexadecimal digits")]
pub struct NotAHash(String);

impl FromStr for Hash {
    type Err = NotAHash;

    fn from_str(text: &str) -> Result<Self, NotAHash> {
        let refused = || NotAHash(text.to_owned());
        let digit = |byte: &u8| char::from(*byte).to_digit(16).and_then(|it| u8::try_from(it).ok());
        let mut bytes = [0; 32];
        if text.len() != 2 * bytes.len() {
            return Err(refused());
        }
        for (byte, pair) in bytes.iter_mut().zip(text.as_bytes().chunks_exact(2)) {
            *byte = pair
                .iter()
                .try_fold(0, |byte, it| Some(byte * 16 + digit(it)?))
                .ok_or_else(refused)?;
        }
        Ok(Self(bytes))
    }
}

impl Serialize for Hash {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Hash {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Digits;
        impl de::Visitor<'_> for Digits {
            type Value = Hash;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("64 hexadecimal digits")
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<Hash, E> {
                text.parse().map_err(E::custom)
            }
        }
        deserializer.deserialize_str(Digits)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // FIPS 180-4 example: SHA-256 of "abc".
    #[test]
    fn the_hash_is_that_of_the_standard_and_reads_back() {
        let hash = Hash::of(b"abc");
        let text = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(hash.to_string(), text);
        assert_eq!(text.parse::<Hash>().unwrap(), hash);
        assert!("ba78".parse::<Hash>().is_err());
        assert!("zz".repeat(32).parse::<Hash>().is_err());
    }
}
