//! Choices of the vehicle file that are one word out of a fixed list.

/// A type whose values are each one word in the file.
pub trait Words: Copy + 'static {
    /// Every value with its word, in the order in which they are named to a person.
    const WORDS: &'static [(&'static str, Self)];
}

/// Makes an enum of which each value is one word: the word stands here and nowhere else.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$value_doc:meta])* $value:ident = $word:literal,)+ }) => {
        $(#[$doc])*
        #[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum $name { $($(#[$value_doc])* $value,)+ }

        impl $crate::describe::file::words::Words for $name {
            const WORDS: &'static [(&'static str, Self)] = &[$(($word, Self::$value),)+];
        }
        impl $name {
            /// The word for it in the vehicle file.
            pub fn word(self) -> &'static str {
                match self { $(Self::$value => $word,)+ }
            }
        }
        impl core::fmt::Display for $name {
            fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
                f.write_str(self.word())
            }
        }
    };
}
pub(crate) use words;

/// `a, b or c`.
pub fn or_list<'a>(words: impl IntoIterator<Item = &'a str>) -> String {
    let words: Vec<&str> = words.into_iter().collect();
    match words.split_last() {
        Some((last, [])) => (*last).to_string(),
        Some((last, rest)) => format!("{} or {last}", rest.join(", ")),
        None => String::new(),
    }
}
