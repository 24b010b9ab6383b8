//! Forms: what is typed goes in with a token that only this page's own forms carry.

use super::app::{App, Shared};
use super::error::PageError;
use super::read_on::{next, read_on};
use crate::work::entry::request::OF_A_PAGE;
use axum::body::Body;
use axum::extract::{FromRequest, Request};
use axum::http::StatusCode;
use maud::{Markup, html};
use truing::problem::Problem;
use truing::record::Hash;

/// The field that carries the token.
pub const TOKEN: &str = "token";
/// The field that carries the version of the file that a form was made from.
pub const VERSION: &str = "version";
/// The field that carries the key of a request.
pub const REQUEST: &str = "request";
/// The most that a form without files may hold. The text of a long vehicle file has a tenth of it.
pub const LARGEST_FORM_BYTES: usize = 512 << 10;

/// A form that is sent to an address of ours.
pub fn form(app: &App, action: &str, body: &Markup) -> Markup {
    html! { form method="post" action=(action) { (token(app)) (body) } }
}

/// The hidden token, for forms that need other attributes.
pub fn token(app: &App) -> Markup {
    html! { input type="hidden" name=(TOKEN) value=(app.token); }
}

/// The version of the vehicle file that a form was made from.
pub fn version(hash: &Hash) -> Markup {
    html! { input type="hidden" name=(VERSION) value=(hash); }
}

/// A key for what a form asks for: sent twice, by a second click or from a page loaded again, it is one request.
pub fn request() -> Markup {
    let bytes = crate::world::secret().unwrap_or_default();
    let key: String = bytes.iter().take(8).map(|byte| format!("{byte:02x}")).collect();
    html! { input type="hidden" name=(REQUEST) value={ (OF_A_PAGE) (key) }; }
}

/// What a form sent, from this page and nobody else.
pub struct Posted(Vec<(String, String)>);

impl Posted {
    /// Fields as they were asked for in an address: they change nothing, and carry no token.
    pub fn new(fields: Vec<(String, String)>) -> Self {
        Self(fields)
    }

    /// What was typed into every field of a name, without space around it.
    pub fn all(&self, name: &str) -> impl Iterator<Item = &str> {
        self.0.iter().filter(move |(field, _)| field == name).map(|(_, value)| value.trim())
    }

    /// What was typed into a field, without space around it; empty where nothing was.
    pub fn text(&self, name: &str) -> &str {
        self.0.iter().find(|(field, _)| field == name).map_or("", |(_, value)| value.trim())
    }

    /// The same exactly as it was sent.
    pub fn whole(&self, name: &str) -> &str {
        self.0.iter().find(|(field, _)| field == name).map_or("", |(_, value)| value)
    }

    /// The fields that were filled in, but for our own.
    pub fn fields(&self) -> impl Iterator<Item = (&str, &str)> {
        let filled = self.0.iter().map(|(name, value)| (name.as_str(), value.trim()));
        filled.filter(|(name, value)| !value.is_empty() && ![TOKEN, VERSION, REQUEST].contains(name))
    }

    /// The version of the vehicle file that the form was made from.
    pub fn version(&self) -> Result<Hash, PageError> {
        Hash::read(self.text(VERSION)).map_err(|_| {
            let problem = Problem::error("the form", "the version of the file it was made from", "none");
            PageError::unusable(problem.hint("Load the page again and send the form from there."))
        })
    }
}

impl FromRequest<Shared> for Posted {
    type Rejection = PageError;

    async fn from_request(request: Request, app: &Shared) -> Result<Self, PageError> {
        let bytes = whole(request.into_body()).await?;
        let fields = serde_urlencoded::from_bytes(&bytes).map_err(|_| {
            PageError::new(
                StatusCode::BAD_REQUEST,
                "That is no form",
                "What was sent is not what a form sends.",
            )
        })?;
        let posted = Self(fields);
        check_token(app, posted.text(TOKEN))?;
        Ok(posted)
    }
}

/// All of a form that is not too large.
pub async fn whole(mut body: Body) -> Result<Vec<u8>, PageError> {
    let mut bytes = Vec::new();
    while let Some(more) = next(&mut body).await {
        let more = more.map_err(|_| {
            let says = "What was sent was cut off on its way. Nothing was changed. Send it again.";
            PageError::new(StatusCode::BAD_REQUEST, "The form did not arrive whole", says)
        })?;
        if bytes.len() + more.len() > LARGEST_FORM_BYTES {
            read_on(body).await;
            return Err(too_large(LARGEST_FORM_BYTES as u64));
        }
        bytes.extend_from_slice(&more);
    }
    Ok(bytes)
}

/// Refuses what does not carry this page's token.
pub fn check_token(app: &App, given: &str) -> Result<(), PageError> {
    if crate::world::is_same(given, &app.token) {
        return Ok(());
    }
    let says = "The form does not come from this page as it runs now: waywiser was started again since, or another site \
                sent it. Nothing was changed. Load the page again and send it from there.";
    Err(PageError::new(StatusCode::FORBIDDEN, "Not from this page", says))
}

/// The page for what is too large.
pub fn too_large(limit: u64) -> PageError {
    let shown = match limit >> 20 {
        0 => format!("{} KB", limit >> 10),
        megabytes => format!("{megabytes} MB"),
    };
    let says = format!(
        "At most {shown} are taken here. Nothing was changed. A recording can be packed (gzip or zip), or shortened to the part with the drive."
    );
    PageError::new(StatusCode::PAYLOAD_TOO_LARGE, "That is too large", &says)
}
