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
            Event::Text(words) => add(&mut open, piece(words.decode().expect("text").into_owned())),
            Event::GeneralRef(name) => {
                let name = name.decode().expect("a reference");
                let words = quick_xml::escape::unescape(&format!("&{name};"))
                    .expect("a known reference")
                    .into_owned();
                add(&mut open, piece(words));
            }
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

fn element(start: &BytesStart) -> Node {
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).expect("UTF-8");
    let attributes = start.attributes().map(|attribute| {
        let attribute = attribute.expect("well-formed attributes");
        let raw = text(&attribute.value);
        assert!(!raw.contains('<'), "an angle in an attribute");
        (text(attribute.key.as_ref()), quick_xml::escape::unescape(&raw).expect("escaped").into_owned())
    });
    Node { name: text(start.name().as_ref()), attributes: attributes.collect(), ..Node::default() }
}
