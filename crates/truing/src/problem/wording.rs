//! Text that refers to fields, so that each face can call them by its own names.

use super::field::{Field, Named};
use serde::{Serialize, Serializer};

#[derive(Clone, Debug, PartialEq)]
enum Piece {
    Text(String),
    Field(Named),
}

/// A text with references to fields. Shown as it is, it names them in plain words; serialised, by their keys.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wording(Vec<Piece>);

impl Wording {
    /// Adds text.
    pub fn text(mut self, text: impl Into<String>) -> Self {
        self.0.push(Piece::Text(text.into()));
        self
    }

    /// Adds the name of a field.
    pub fn field(mut self, field: impl Into<Named>) -> Self {
        self.0.push(Piece::Field(field.into()));
        self
    }

    /// Whether it says nothing.
    pub fn is_empty(&self) -> bool {
        self.0.iter().all(|piece| matches!(piece, Piece::Text(text) if text.is_empty()))
    }

    /// The text, with fields called as `name` says.
    pub fn named_by(&self, name: impl Fn(&Named) -> String) -> String {
        let one = |piece: &Piece| match piece {
            Piece::Text(text) => text.clone(),
            Piece::Field(named) => name(named),
        };
        self.0.iter().map(one).collect()
    }

    /// The same with `change` made to its text; names of fields stay.
    pub fn map_text(self, change: impl Fn(String) -> String) -> Self {
        let one = |piece| match piece {
            Piece::Text(text) => Piece::Text(change(text)),
            field @ Piece::Field(_) => field,
        };
        Self(self.0.into_iter().map(one).collect())
    }

    /// The same where fields are keys of the vehicle file.
    pub fn by_keys(mut self) -> Self {
        for piece in &mut self.0 {
            if let Piece::Field(named) = piece {
                named.is_key = true;
            }
        }
        self
    }

    /// Whether a text stands in it, as shown.
    pub fn contains(&self, text: &str) -> bool {
        self.to_string().contains(text)
    }
}

impl From<String> for Wording {
    fn from(text: String) -> Self {
        Self(vec![Piece::Text(text)])
    }
}

impl From<&str> for Wording {
    fn from(text: &str) -> Self {
        Self::from(text.to_owned())
    }
}

impl From<&String> for Wording {
    fn from(text: &String) -> Self {
        Self::from(text.clone())
    }
}

impl From<Field> for Wording {
    fn from(field: Field) -> Self {
        Self::default().field(field)
    }
}

impl PartialEq<str> for Wording {
    fn eq(&self, text: &str) -> bool {
        self.to_string().as_str().eq(text)
    }
}

impl PartialEq<&str> for Wording {
    fn eq(&self, text: &&str) -> bool {
        *self == **text
    }
}

impl core::fmt::Display for Wording {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.write_str(&self.named_by(Named::as_words))
    }
}

impl Serialize for Wording {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.named_by(Named::as_key))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_field_has_the_name_that_is_asked_for() {
        let wording = Wording::from("say ").field(Field::TrackColumns.such_as("lat=..., lon=...")).text(".");
        assert_eq!(wording, "say track columns \"lat=..., lon=...\".");
        assert_eq!(
            serde_json::to_value(&wording).unwrap(),
            serde_json::json!("say track_columns = \"lat=..., lon=...\".")
        );
        assert_eq!(wording.named_by(|named| named.field.key().to_uppercase()), "say TRACK_COLUMNS.");
        let upper = wording.map_text(|text| text.to_uppercase());
        assert_eq!(upper, "SAY track columns \"lat=..., lon=...\".");
        let teeth = Wording::default().field(Field::RingTeeth.such_as("96"));
        assert_eq!(serde_json::to_value(&teeth).unwrap(), serde_json::json!("ring_teeth = 96"));
        assert!(Wording::default().is_empty() && !teeth.is_empty());
    }
}
