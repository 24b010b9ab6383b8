//! A sheet read back as a tree by a strict parser: whatever is not well-formed fails here.

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

/// An element, or a piece of text under an empty name.
#[derive(Debug, Default)]
pub struct Node {
    pub name: String,
    pub attributes: Vec<(String, String)>,
    pub children: Vec<Node>,
    words: String,
}

impl Node {
    pub fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str())
    }

    /// This element and all below it, in reading order.
    pub fn every(&self) -> Vec<&Node> {
        std::iter::once(self).chain(self.children.iter().flat_map(Node::every)).collect()
    }

    pub fn all(&self, name: &str) -> Vec<&Node> {
        self.every().into_iter().filter(|node| node.name == name).collect()
    }

    pub fn text(&self) -> String {
        self.every().into_iter().map(|node| node.words.as_str()).collect()
    }
}

pub fn parse(text: &str) -> Node {
    let mut reader = Reader::from_str(text);
    reader.config_mut().check_end_names = true;
    let mut open = vec![Node::default()];
    loop {
        match reader.read_event().expect("well-formed markup") {
            Event::Start(start) => open.push(element(&start)),
            Event::Empty(start) => add(&mut open, element(&start)),
            Event::End(_) => {
                let node = open.pop().expect("an open element");
                add(&mut open, node);
            }
            Event::Text(words) => add(&mut open, piece(words.to_string())),
            Event::GeneralRef(name) => add(&mut open, piece(unescaped(&format!("&{};", &*name)))),
            Event::Eof => break,
            Event::DocType(_) => {}
            other => panic!("unexpected in a sheet: {other:?}"),
        }
    }
    assert_eq!(open.len(), 1, "an element was left open");
    open.remove(0)
}

fn add(open: &mut [Node], node: Node) {
    open.last_mut().expect("the root").children.push(node);
}

fn piece(words: String) -> Node {
    Node { words, ..Node::default() }
}

fn unescaped(text: &str) -> String {
    quick_xml::escape::unescape(text).expect("known references only").into_owned()
}

fn element(start: &BytesStart) -> Node {
    let attributes = start.attributes().map(|attribute| {
        let attribute = attribute.expect("well-formed attributes");
        assert!(!attribute.value.contains('<'), "an angle in an attribute");
        (attribute.key.as_ref().to_string(), unescaped(&attribute.value))
    });
    Node { name: start.name().as_ref().to_string(), attributes: attributes.collect(), ..Node::default() }
}
