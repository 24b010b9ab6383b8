//! Files of a trial: those that come in, and those that lie beside the truck already.

use crate::garage::Slug;
use crate::page::app::Shared;
use crate::page::error::PageError;
use crate::page::upload::{self, FormSent, Place, Sender};
use std::collections::BTreeMap;

/// The fields of an address or a form, by their names.
pub type Fields = BTreeMap<String, String>;

/// Takes a form with files in; a file's field holds the name under which it is kept.
pub async fn received(app: &Shared, slug: &Slug, parts: FormSent) -> Result<Fields, PageError> {
    let place = Place::Beside(slug.clone());
    let received = upload::received(app, &place, Sender::Form, parts).await?;
    let mut fields = received.fields;
    fields.extend(received.files);
    Ok(fields)
}
