//! A number and its unit on one line, on the whole page: in what is read, and in nothing that is typed or run.

use crate::paper::together::units_together;

/// Elements whose text stays as it is.
const AS_IT_IS: [&str; 8] = ["pre", "textarea", "script", "style", "code", "title", "option", "svg"];

/// The page with the spaces between numbers and their units unbroken.
pub fn unbroken(page: &str) -> String {
    let mut out = String::with_capacity(page.len());
    let (mut rest, mut inside) = (page, None);
    while let Some(at) = rest.find('<') {
        let (text, from_tag) = rest.split_at(at);
        match inside {
            None => out.push_str(&units_together(text)),
            Some(_) => out.push_str(text),
        }
        let end = from_tag.find('>').map_or(from_tag.len(), |end| end + 1);
        let (tag, after) = from_tag.split_at(end);
        out.push_str(tag);
        inside = match inside {
            None => AS_IT_IS.into_iter().find(|name| opens(tag, name)),
            Some(name) if tag.strip_prefix("</").is_some_and(|tag| tag.starts_with(name)) => None,
            still => still,
        };
        rest = after;
    }
    out.push_str(&units_together(rest));
    out
}

fn opens(tag: &str, name: &str) -> bool {
    let after = tag.strip_prefix('<').and_then(|tag| tag.strip_prefix(name));
    after.is_some_and(|after| after.starts_with(['>', ' ', '\n']))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_read_keeps_together_and_what_is_typed_stays() {
        let check = |page: &str, expected: &str| assert_eq!(unbroken(page).replace('\u{a0}', "~"), expected);
        check("<p>leaves \u{b1} 0.4 %, 30 min</p>", "<p>leaves \u{b1}~0.4~%, 30~min</p>");
        check("<input value=\"5 mi\"><b>5 mi</b>", "<input value=\"5 mi\"><b>5~mi</b>");
        check(
            "<pre tabindex=\"0\">5 mi <b>5 mi</b></pre>5 mi",
            "<pre tabindex=\"0\">5 mi <b>5 mi</b></pre>5~mi",
        );
        check("<present>5 mi</present>", "<present>5~mi</present>");
        check("5 mi <", "5~mi <");
    }
}
