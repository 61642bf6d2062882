//! How a fact is read: by its kind, which stands first wherever a fact was written, so that nothing
//! of it is kept aside until the kind is known.

use std::borrow::Cow;
use std::fmt;

use serde::de::value::{MapAccessDeserializer, MapDeserializer};
use serde::de::{
    Deserialize, DeserializeSeed, Deserializer, EnumAccess, Error, IgnoredAny, IntoDeserializer,
    MapAccess, VariantAccess, Visitor,
};
use serde_json::Value;

use super::fact::{Fact, Untagged};

/// Where its kind stands among the parts of a fact.
const KIND: &str = "kind";

impl<'de> Deserialize<'de> for Fact {
    fn deserialize<D: Deserializer<'de>>(fact: D) -> Result<Self, D::Error> {
        fact.deserialize_map(Parts)
    }
}

struct Parts;

impl<'de> Visitor<'de> for Parts {
    type Value = Fact;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a fact with its kind")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut parts: A) -> Result<Fact, A::Error> {
        match parts.next_key()? {
            Some(Name(name)) if name == KIND => Untagged::deserialize(Rest(parts)),
            Some(Name(first)) => in_any_order(first.into_owned(), parts),
            None => Err(A::Error::missing_field(KIND)),
        }
    }
}

/// Reads a fact whose kind does not stand first, as where a form made it.
fn in_any_order<'de, A: MapAccess<'de>>(first: String, mut parts: A) -> Result<Fact, A::Error> {
    let mut all = vec![(first, parts.next_value::<Value>()?)];
    while let Some(part) = parts.next_entry()? {
        all.push(part);
    }
    let kind = all.iter().position(|(name, _)| name == KIND);
    all.swap(0, kind.ok_or_else(|| A::Error::missing_field(KIND))?);
    let mut parts = MapDeserializer::<_, serde_json::Error>::new(all.into_iter());
    let read = parts.next_key::<IgnoredAny>().and_then(|_| Untagged::deserialize(Rest(parts)));
    read.map_err(A::Error::custom)
}

/// The name of a part.
struct Name<'de>(Cow<'de, str>);

impl<'de> Deserialize<'de> for Name<'de> {
    fn deserialize<D: Deserializer<'de>>(name: D) -> Result<Self, D::Error> {
        struct Text;

        impl<'de> Visitor<'de> for Text {
            type Value = Name<'de>;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("the name of a part")
            }

            fn visit_borrowed_str<E>(self, name: &'de str) -> Result<Name<'de>, E> {
                Ok(Name(name.into()))
            }

            fn visit_str<E>(self, name: &str) -> Result<Name<'de>, E> {
                Ok(Name(name.to_owned().into()))
            }
        }

        name.deserialize_identifier(Text)
    }
}

/// What stands after the name of the kind.
struct Rest<A>(A);

impl<'de, A: MapAccess<'de>> Deserializer<'de> for Rest<A> {
    type Error = A::Error;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, A::Error> {
        visitor.visit_enum(self)
    }

    serde::forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf option
        unit unit_struct newtype_struct seq tuple tuple_struct map struct enum identifier
        ignored_any
    }
}

/// The parts beside the kind.
impl<'de, A: MapAccess<'de>> MapAccess<'de> for Rest<A> {
    type Error = A::Error;

    fn next_key_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, A::Error> {
        match self.0.next_key()? {
            Some(Name(name)) if name == KIND => Err(A::Error::duplicate_field(KIND)),
            Some(Name(name)) => seed.deserialize(name.into_deserializer()).map(Some),
            None => Ok(None),
        }
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, A::Error> {
        self.0.next_value_seed(seed)
    }
}

impl<'de, A: MapAccess<'de>> EnumAccess<'de> for Rest<A> {
    type Error = A::Error;
    type Variant = Self;

    fn variant_seed<S: DeserializeSeed<'de>>(
        mut self,
        kind: S,
    ) -> Result<(S::Value, Self), A::Error> {
        Ok((self.0.next_value_seed(kind)?, self))
    }
}

impl<'de, A: MapAccess<'de>> VariantAccess<'de> for Rest<A> {
    type Error = A::Error;

    fn struct_variant<V: Visitor<'de>>(
        self,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, A::Error> {
        visitor.visit_map(self)
    }

    fn newtype_variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, A::Error> {
        seed.deserialize(MapAccessDeserializer::new(self))
    }

    fn unit_variant(self) -> Result<(), A::Error> {
        IgnoredAny.visit_map(self).map(|_| ())
    }

    fn tuple_variant<V: Visitor<'de>>(self, _: usize, visitor: V) -> Result<V::Value, A::Error> {
        visitor.visit_map(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::UnitId;

    fn read(text: &str) -> Result<Fact, String> {
        serde_json::from_str(text).map_err(|error| error.to_string())
    }

    #[test]
    fn the_parts_of_a_fact_stand_in_any_order() {
        let held = Fact::Held { unit: UnitId::new("HM-1"), why: "torn".into() };
        for text in [
            r#"{"kind":"held.1","unit":"HM-1","why":"torn"}"#,
            r#"{"kind":"held.1","why":"t\u006frn","unit":"HM-1","more":[1]}"#,
            r#"{"unit":"HM-1","kind":"held.1","why":"torn"}"#,
            r#"{"why":"torn","more":null,"unit":"HM-1","kind":"held.1"}"#,
        ] {
            assert_eq!(read(text).as_ref(), Ok(&held), "{text}");
        }
    }

    #[test]
    fn what_is_no_fact_is_refused() {
        for (text, why) in [
            (r#"{}"#, "missing field `kind`"),
            (r#"{"unit":"HM-1","why":"torn"}"#, "missing field `kind`"),
            (r#"{"kind":"held.1","unit":"HM-1"}"#, "missing field `why`"),
            (r#"{"unit":"HM-1","kind":"held.1"}"#, "missing field `why`"),
            (r#"{"kind":"held.0","unit":"HM-1"}"#, "unknown variant `held.0`, expected one of"),
            (r#"{"kind":"cleaned.1","unit":"a","unit":"b"}"#, "duplicate field `unit`"),
            (r#"{"kind":"cleaned.1","unit":"a","kind":"held.1"}"#, "duplicate field `kind`"),
            (r#"{"unit":"a","kind":"cleaned.1","kind":"held.1"}"#, "duplicate field `kind`"),
            (r#"["held.1","HM-1","torn"]"#, "invalid type: sequence, expected a fact"),
        ] {
            let said = read(text).unwrap_err();
            assert!(said.starts_with(why), "{text}: {said}");
        }
    }
}
