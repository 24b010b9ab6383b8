//! The markup that nearly all of a track is made of, in the words of the XML library and quicker than it.
//!
//! Tags and the text between them need no more than a search for their ends. Everything else (comments, CDATA, processing
//! instructions, document types, references, and whatever is cut or damaged) is the library's.

use quick_xml::events::{BytesEnd, BytesStart, BytesText, Event};
use quick_xml::parser::{ElementParser, Parser};

/// White space of XML (XML 1.0, production 3).
const WHITE_SPACE: [char; 4] = [' ', '\t', '\r', '\n'];

/// The event that begins at `at`, and where it ends; `None` where the library has to look.
pub(super) fn event(text: &str, at: usize) -> Option<(Event<'_>, usize)> {
    let rest = text.get(at..)?;
    if !rest.starts_with('<') {
        let length = memchr::memchr2(b'<', b'&', rest.as_bytes()).unwrap_or(rest.len());
        return (length > 0).then(|| (Event::Text(BytesText::from_escaped(&rest[..length])), at + length));
    }
    if matches!(rest.as_bytes().get(1), Some(b'!' | b'?')) {
        return None;
    }
    let end = ElementParser::Outside.feed(rest.as_bytes())?;
    Some((tag(&rest[1..end]), at + end + 1))
}

/// A tag by what stands between its angle brackets.
fn tag(inside: &str) -> Event<'_> {
    if let Some(name) = inside.strip_prefix('/') {
        let trimmed = name.trim_end_matches(WHITE_SPACE);
        return Event::End(BytesEnd::new(if trimmed.is_empty() { name } else { trimmed }));
    }
    let element = |inside| BytesStart::from_content(inside, name_bytes(inside));
    match inside.strip_suffix('/') {
        Some(inside) => Event::Empty(element(inside)),
        None => Event::Start(element(inside)),
    }
}

fn name_bytes(inside: &str) -> usize {
    inside.bytes().position(|byte| WHITE_SPACE.contains(&char::from(byte))).unwrap_or(inside.len())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use quick_xml::Reader;

    /// The library's event at the start of a text and where it ends.
    fn of_the_library(text: &str) -> Option<(Event<'_>, usize)> {
        let mut reader = Reader::from_str(text);
        let config = reader.config_mut();
        (config.check_end_names, config.allow_unmatched_ends, config.allow_dangling_amp) =
            (false, true, true);
        let event = reader.read_event().ok()?;
        Some((event, reader.buffer_position() as usize))
    }

    fn check(text: &str) {
        if let Some(found) = event(text, 0) {
            assert_eq!(Some(found), of_the_library(text), "{text}");
        }
    }

    #[test]
    fn what_it_takes_on() {
        for text in
            ["<trkpt lat=\"1\" lon='>'>", "</ele >", "</ >", "<a/>", "<>", "< a>", "</>", "12.5<", "x"]
        {
            assert!(event(text, 0).is_some(), "{text}");
            check(text);
        }
        for text in ["", "<", "<a", "<a b='>", "<!-- -->", "<?xml?>", "&amp;", "</a"] {
            assert!(event(text, 0).is_none(), "{text}");
        }
    }

    proptest! {
        #[test]
        fn events_are_those_of_the_library(text in "[<>/ab:'\"= &;!?\n\t\u{e9}]{0,12}") {
            check(&text);
        }
    }
}
