//! The manual: its chapters and drawings, as they are built in.

use super::addresses::{MANUAL, manual};
use super::app::{Answer, Shared};
use super::error::PageError;
use super::frame::Head;
use super::frame::html as answer;
use crate::book::{self, CHAPTERS, Chapter, chapter};
use axum::Router;
use axum::extract::Path;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use maud::{Markup, PreEscaped, html};
use pulldown_cmark::{CodeBlockKind, CowStr, Event, HeadingLevel, Options, Parser, Tag, TagEnd};

/// Its addresses.
pub fn routes() -> Router<Shared> {
    Router::new()
        .route(MANUAL, get(contents))
        .route(&manual("{chapter}"), get(show))
        .route(&manual("pictures/{name}"), get(picture))
}

async fn contents() -> Answer {
    let body = html! {
        p { "In the terminal: " code { "waywiser manual" } "." }
        ul class="kinds" {
            @for chapter in CHAPTERS {
                li { a href=(manual(chapter.word)) { strong { (chapter.title) } " " span { (chapter.about) } } }
            }
        }
    };
    Ok(answer(Head::new("The manual").frame(&body)))
}

async fn show(Path(word): Path<String>) -> Answer {
    let Some(found) = chapter(&word) else {
        let says = "The chapters that there are stand in its contents.";
        return Err(PageError::new(StatusCode::NOT_FOUND, "There is no such chapter", says)
            .or("The contents of the manual", MANUAL));
    };
    let body = html! { div class="manual" { (PreEscaped(as_html(found.text))) } (beside(found)) };
    Ok(answer(Head::new(found.title).frame(&body)))
}

async fn picture(Path(name): Path<String>) -> Result<Response, PageError> {
    let found = book::picture(&name).ok_or_else(|| {
        PageError::new(
            StatusCode::NOT_FOUND,
            "There is no such picture",
            "The address may be mistyped or old.",
        )
    })?;
    Ok(([(header::CONTENT_TYPE, found.kind())], found.bytes).into_response())
}

/// The chapters before and after, and the contents.
fn beside(now: &Chapter) -> Markup {
    let at = CHAPTERS.iter().position(|chapter| chapter.word == now.word).unwrap_or(0);
    let before = at.checked_sub(1).and_then(|at| CHAPTERS.get(at));
    html! {
        p {
            @if let Some(before) = before { a class="button plain" href=(manual(before.word)) { "Before: " (before.title) } }
            a class="button plain" href=(MANUAL) { "Contents" }
            @if let Some(after) = CHAPTERS.get(at + 1) { a class="button plain" href=(manual(after.word)) { "Next: " (after.title) } }
        }
    }
}

/// A chapter without its title, with links to where the page shows what they name.
fn as_html(markdown: &str) -> String {
    let mut out = String::new();
    pulldown_cmark::html::push_html(&mut out, with_names(events(markdown)).into_iter());
    out
}

fn events(markdown: &str) -> Vec<Event<'_>> {
    let mut in_title = false;
    let mut kept = Vec::new();
    for event in Parser::new_ext(markdown, Options::ENABLE_TABLES) {
        match event {
            Event::Start(Tag::Heading { level: HeadingLevel::H1, .. }) => in_title = true,
            Event::End(TagEnd::Heading(HeadingLevel::H1)) => in_title = false,
            _ if in_title => {}
            Event::Start(Tag::Link { link_type, dest_url, title, id }) => {
                let dest_url = address(&dest_url).map_or(dest_url, CowStr::from);
                kept.push(Event::Start(Tag::Link { link_type, dest_url, title, id }));
            }
            Event::Start(Tag::Image { link_type, dest_url, title, id }) => {
                let name = dest_url.rsplit('/').next().unwrap_or_default();
                let dest_url = manual(&format!("pictures/{name}")).into();
                kept.push(Event::Start(Tag::Image { link_type, dest_url, title, id }));
            }
            Event::Start(Tag::CodeBlock(kind)) => {
                kept.extend(
                    name_of_file(&kind)
                        .map(|name| Event::Html(format!("<p class=\"hint\">{name}</p>\n").into())),
                );
                kept.push(Event::Start(Tag::CodeBlock(kind)));
            }
            other => kept.push(other),
        }
    }
    kept
}

/// The file that a block shows, where it is one: what stands behind its language.
fn name_of_file(kind: &CodeBlockKind<'_>) -> Option<String> {
    let CodeBlockKind::Fenced(kind) = kind else { return None };
    kind.split_once(' ').map(|(_, name)| html! { (name) }.into_string())
}

/// Where the page shows what a chapter links to; none for an address of elsewhere.
fn address(link: &str) -> Option<String> {
    let (file, place) = link.split_once('#').map_or((link, None), |(file, place)| (file, Some(place)));
    if file.is_empty() || file.contains("://") {
        return None;
    }
    let name = file.rsplit('/').next()?.strip_suffix(".md")?;
    let address = if name == "README" { MANUAL.to_string() } else { manual(name) };
    Some(match place {
        Some(place) => format!("{address}#{place}"),
        None => address,
    })
}

/// Gives each heading the name that a link to it says: its words in small letters with a stroke between.
fn with_names(events: Vec<Event<'_>>) -> Vec<Event<'_>> {
    let mut named = Vec::with_capacity(events.len());
    for at in 0..events.len() {
        let mut event = events[at].clone();
        if let Event::Start(Tag::Heading { id, .. }) = &mut event {
            let inside =
                events[at + 1..].iter().take_while(|one| !matches!(one, Event::End(TagEnd::Heading(_))));
            let said: String = inside
                .filter_map(|one| match one {
                    Event::Text(text) | Event::Code(text) => Some(text.as_ref()),
                    _ => None,
                })
                .collect();
            *id = Some(name_of(&said).into());
        }
        named.push(event);
    }
    named
}

/// As the usual viewers of such files name headings.
fn name_of(heading: &str) -> String {
    let kept = heading.to_lowercase();
    kept.chars()
        .filter(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_'))
        .collect::<String>()
        .replace(' ', "-")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::PICTURES;

    /// What stands between `before` and the next quotation mark, each time.
    fn all<'h>(html: &'h str, before: &str) -> Vec<&'h str> {
        html.split(before).skip(1).filter_map(|rest| rest.split('"').next()).collect()
    }

    #[test]
    fn every_link_leads_somewhere_and_every_picture_is_there() {
        let pages: Vec<(String, String)> =
            CHAPTERS.iter().map(|one| (manual(one.word), as_html(one.text))).collect();
        let mut pictures = Vec::new();
        for (own, html) in &pages {
            for link in all(html, "href=\"").into_iter().filter(|link| !link.starts_with("https://")) {
                let (page, place) = link.split_once('#').unwrap_or((link, ""));
                let page = if page.is_empty() { own } else { page };
                let Some((_, there)) = pages.iter().find(|(address, _)| address == page) else {
                    assert_eq!((page, place), (MANUAL, ""), "{own}: {link} leads nowhere");
                    continue;
                };
                let is_there = place.is_empty() || there.contains(&format!("id=\"{place}\""));
                assert!(is_there, "{own}: {link} leads to no heading");
            }
            for picture in all(html, "src=\"") {
                let name = picture.strip_prefix("/manual/pictures/").unwrap();
                assert!(book::picture(name).is_some(), "{own}: {picture}");
                pictures.push(name);
            }
        }
        let unused = PICTURES.iter().find(|one| !pictures.contains(&one.name)).map(|one| one.name);
        assert_eq!(unused, None, "a picture that no chapter shows");
    }

    #[test]
    fn links_and_headings_become_those_of_the_page() {
        let check = |link: &str, expected: Option<&str>| assert_eq!(address(link).as_deref(), expected);
        check("measure-well.md#the-rollout", Some("/manual/measure-well#the-rollout"));
        check("../glossary.md", Some("/manual/glossary"));
        check("README.md", Some("/manual"));
        check("#here", None);
        check("https://example.org/a.md", None);
        assert_eq!(name_of("What if: no GPS?"), "what-if-no-gps");
        let html = as_html("```toml mine.toml\na = 1\n```\n");
        assert!(html.starts_with("<p class=\"hint\">mine.toml</p>\n<pre>"), "{html}");
        let html = as_html("# Title\n\n## The `[tire]` part\n\n[on](set.md)\n");
        assert_eq!(
            html,
            "<h2 id=\"the-tire-part\">The <code>[tire]</code> part</h2>\n<p><a href=\"/manual/set\">on</a></p>\n"
        );
    }
}
