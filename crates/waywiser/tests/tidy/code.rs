//! As much of Rust's grammar as the checks need: what is code and what is comment, text or test; where blocks end;
//! which paths are named. Every function keeps places: byte 100 of the result is byte 100 of the file.

use std::ops::Range;

/// The text with comments and literals blanked out.
pub fn code_of(text: &str) -> String {
    let bytes = text.as_bytes();
    let mut code = bytes.to_vec();
    let mut at = 0;
    while at < bytes.len() {
        let end = comment_end(bytes, at).or_else(|| literal_end(bytes, at));
        if let Some(end) = end {
            blank(&mut code[at..end.min(bytes.len())]);
        }
        at = end.unwrap_or(at + 1);
    }
    String::from_utf8(code).expect("whole characters were blanked")
}

/// Where the literals stand that are texts or characters.
pub fn texts(text: &str) -> Vec<Range<usize>> {
    let bytes = text.as_bytes();
    let (mut at, mut found) = (0, Vec::new());
    while at < bytes.len() {
        at = comment_end(bytes, at).unwrap_or_else(|| match literal_end(bytes, at) {
            Some(end) => {
                found.push(at..end.min(bytes.len()));
                end
            }
            None => at + 1,
        });
    }
    found
}

/// The code with everything under `#[cfg(test)]` blanked out.
pub fn without_tests(code: &str) -> String {
    const MARK: &str = "#[cfg(test)]";
    let mut kept = code.as_bytes().to_vec();
    for (start, _) in code.match_indices(MARK) {
        let item = start + MARK.len();
        let end = code[item..].find(['{', ';']).map_or(code.len(), |offset| block_end(code, item + offset));
        blank(&mut kept[start..end]);
    }
    String::from_utf8(kept).expect("whole characters were blanked")
}

/// The place after the bracket that closes the one at `open`; after `open` itself when it is no bracket.
pub fn block_end(code: &str, open: usize) -> usize {
    let mut depth = 0_i32;
    for (offset, byte) in code.bytes().skip(open).enumerate() {
        match byte {
            b'{' | b'(' | b'[' => depth += 1,
            b'}' | b')' | b']' => depth -= 1,
            _ => {}
        }
        if depth <= 0 {
            return open + offset + 1;
        }
    }
    code.len()
}

/// Every place where a keyword stands before a name, with that name.
pub fn named_after<'a>(code: &'a str, keyword: &str) -> Vec<(usize, &'a str)> {
    let is_found = |&at: &usize| !is_word(code, at.wrapping_sub(1)) && !is_word(code, at + keyword.len());
    let name_at = |at: usize| {
        let rest = code[at + keyword.len()..].trim_start();
        let rest = rest.strip_prefix("r#").unwrap_or(rest);
        (at, &rest[..rest.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(rest.len())])
    };
    let found = code.match_indices(keyword).map(|(at, _)| at).filter(is_found).map(name_at);
    found.filter(|(_, name)| !name.is_empty()).collect()
}

/// The inline modules (`mod tests { ... }`): name, start, end.
pub fn inline_modules(code: &str) -> Vec<(&str, usize, usize)> {
    named_after(code, "mod")
        .into_iter()
        .filter_map(|(at, name)| {
            let open = at + code[at..].find(['{', ';'])?;
            code[open..].starts_with('{').then(|| (name, at, block_end(code, open)))
        })
        .collect()
}

/// Every path of two names or more, groups taken apart: `use std::{fs, io::Read};` gives `std::fs` and
/// `std::io::Read`, each with the place where it starts.
pub fn paths(code: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < code.len() {
        if is_word(code, at) {
            let names = Names { code, start: at };
            at = names.read(at, "", &mut found);
        } else {
            at += 1;
        }
    }
    found
}

struct Names<'a> {
    code: &'a str,
    start: usize,
}

impl Names<'_> {
    /// Reads the names from `at` on, behind those of `prefix`; returns the place behind them.
    fn read(&self, mut at: usize, prefix: &str, found: &mut Vec<(usize, String)>) -> usize {
        let mut name = prefix.to_string();
        loop {
            let end = word_end(self.code, at);
            name.push_str(&self.code[at..end]);
            at = space_end(self.code, end);
            if !self.code[at..].starts_with("::") {
                break;
            }
            name.push_str("::");
            at = space_end(self.code, at + 2);
            if self.code[at..].starts_with('{') {
                return self.read_group(at, &name, found);
            }
            if !is_word(self.code, at) {
                name.push_str(if self.code[at..].starts_with('*') { "*" } else { "" });
                break;
            }
        }
        if name.contains("::") {
            found.push((self.start, name));
        }
        at
    }

    fn read_group(&self, open: usize, prefix: &str, found: &mut Vec<(usize, String)>) -> usize {
        let end = block_end(self.code, open);
        let mut at = open + 1;
        while at < end {
            if is_word(self.code, at) {
                at = self.read(at, prefix, found);
                at += self.code[at..end].find(',').unwrap_or(end - at);
            } else {
                if self.code[at..].starts_with('*') {
                    found.push((self.start, format!("{prefix}*")));
                }
                at += 1;
            }
        }
        end
    }
}

fn is_word(code: &str, at: usize) -> bool {
    code.as_bytes().get(at).is_some_and(|&byte| byte.is_ascii_alphanumeric() || byte == b'_' || byte >= 0x80)
}

fn word_end(code: &str, at: usize) -> usize {
    (at..code.len()).find(|&place| !is_word(code, place)).unwrap_or(code.len())
}

fn space_end(code: &str, at: usize) -> usize {
    code.len() - code[at..].trim_start().len()
}

fn blank(bytes: &mut [u8]) {
    bytes.iter_mut().filter(|byte| **byte != b'\n').for_each(|byte| *byte = b' ');
}

/// The end of the comment that starts here, if one does.
fn comment_end(bytes: &[u8], at: usize) -> Option<usize> {
    let rest = &bytes[at..];
    if rest.starts_with(b"//") {
        return Some(at + rest.iter().position(|&byte| byte == b'\n').unwrap_or(rest.len()));
    }
    if !rest.starts_with(b"/*") {
        return None;
    }
    let (mut depth, mut place) = (0, at);
    while place < bytes.len() {
        let step = match &bytes[place..] {
            [b'/', b'*', ..] => 1,
            [b'*', b'/', ..] => -1,
            _ => 0,
        };
        depth += step;
        place += if step == 0 { 1 } else { 2 };
        if depth == 0 {
            break;
        }
    }
    Some(place)
}

/// The end of the text or character that starts here, if one does.
fn literal_end(bytes: &[u8], at: usize) -> Option<usize> {
    match bytes[at] {
        b'"' => Some(quoted_end(bytes, at + 1)),
        b'r' if at == 0 || !bytes[at - 1].is_ascii_alphanumeric() || bytes[at - 1] == b'b' => {
            let marks = bytes[at + 1..].iter().take_while(|&&byte| byte == b'#').count();
            let inside = at + 1 + marks;
            (bytes.get(inside) == Some(&b'"')).then(|| raw_end(bytes, inside + 1, marks))
        }
        b'\'' => character_end(bytes, at),
        _ => None,
    }
}

fn quoted_end(bytes: &[u8], mut at: usize) -> usize {
    while at < bytes.len() && bytes[at] != b'"' {
        at += if bytes[at] == b'\\' { 2 } else { 1 };
    }
    at + 1
}

fn raw_end(bytes: &[u8], inside: usize, marks: usize) -> usize {
    let close: Vec<u8> = [b'"'].into_iter().chain(std::iter::repeat_n(b'#', marks)).collect();
    let offset = bytes[inside..].windows(close.len()).position(|window| window == close);
    offset.map_or(bytes.len(), |offset| inside + offset + close.len())
}

/// `'a'`, `'\n'` and `'é'` are characters, `'a` alone is a lifetime.
fn character_end(bytes: &[u8], at: usize) -> Option<usize> {
    if bytes.get(at + 1) == Some(&b'\\') {
        let close = bytes.get(at + 3..)?.iter().position(|&byte| byte == b'\'')?;
        return Some(at + 3 + close + 1);
    }
    let close = (at + 2..at + 6).find(|&place| bytes.get(place).is_none_or(|&byte| byte < 0x80))?;
    (bytes.get(close) == Some(&b'\'')).then_some(close + 1)
}
