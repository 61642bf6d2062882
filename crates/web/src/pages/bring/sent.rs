//! What a form with a file sends.

use axum::extract::Multipart;
use program::bring::{Choices, DateOrder};

use crate::fields::Fields;
use crate::shell::PageError;

/// The fields of the form and the list itself.
pub(super) struct Sent {
    pub(super) fields: Fields,
    /// The bytes of the list: a file just chosen, else text just pasted, else what came along from
    /// the look before.
    pub(super) content: Vec<u8>,
}

impl Sent {
    /// A form without a list.
    pub(super) fn of(fields: Fields) -> Self {
        Self { fields, content: Vec::new() }
    }

    /// What was said beside the list: a line of each text field for each choice.
    pub(super) fn choices(&self) -> Result<Choices, String> {
        let pairs = |name: &str| {
            let lines = self.fields.get(name).lines().map(str::trim);
            let lines = lines.filter(|line| !line.is_empty());
            lines.map(Choices::pair).collect::<Result<Vec<_>, _>>().map_err(|e| e.to_string())
        };
        let dates = self.fields.filled("dates").map(str::parse::<DateOrder>).transpose()?;
        Ok(Choices { dates, columns: pairs("columns")?, every_row: pairs("every_row")? })
    }

    /// The list as text that any form can carry.
    pub(super) fn as_hex(&self) -> String {
        self.content.iter().map(|byte| format!("{byte:02x}")).collect()
    }
}

/// Reads the parts of the form.
pub(super) async fn receive(mut multipart: Multipart) -> Result<Sent, PageError> {
    let broken = |_| {
        PageError::NotUnderstood(
            "The list did not arrive whole, or is larger than 4 MB. Send it again, or bring it in parts."
                .to_owned(),
        )
    };
    let mut pairs = Vec::new();
    let (mut chosen, mut carried) = (Vec::new(), Vec::new());
    while let Some(part) = multipart.next_field().await.map_err(broken)? {
        let name = part.name().unwrap_or_default().to_owned();
        let bytes = part.bytes().await.map_err(broken)?;
        match name.as_str() {
            "file" => chosen = bytes.to_vec(),
            "content" => carried = of_hex(&bytes),
            _ => pairs.push((name, String::from_utf8_lossy(&bytes).into_owned())),
        }
    }
    let fields = Fields::from_pairs(pairs);
    let pasted = fields.filled("pasted").map(|text| text.as_bytes().to_vec());
    let chosen = Some(chosen).filter(|bytes| !bytes.is_empty());
    let content = chosen.or(pasted).unwrap_or(carried);
    Ok(Sent { fields, content })
}

/// Bytes from two digits each; what is no such digit ends them, and the mark of the content tells.
fn of_hex(text: &[u8]) -> Vec<u8> {
    let digits = text.iter().map_while(|byte| char::from(*byte).to_digit(16));
    let digits: Vec<u8> = digits.filter_map(|digit| u8::try_from(digit).ok()).collect();
    let (pairs, _) = digits.as_chunks::<2>();
    pairs.iter().map(|[high, low]| high << 4 | low).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_comes_back_from_the_form_as_it_was() {
        let content: Vec<u8> = (0..=255).collect();
        let sent = Sent { fields: Fields::default(), content: content.clone() };
        assert_eq!(of_hex(sent.as_hex().as_bytes()), content);
        assert_eq!(of_hex(b"41zz42"), b"A");
    }
}
