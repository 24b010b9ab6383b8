//! Files of a trial: those that come in, and those that lie beside the truck already.

use super::Fields;
use crate::garage::{Slug, TRUCK_FILE};
use crate::page::form::{self, LARGEST_FORM_BYTES, TOKEN};
use crate::page::guard::LARGEST_UPLOAD_BYTES;
use crate::page::{App, PageError, Shared};
use crate::world;
use axum::extract::Multipart;
use axum::extract::multipart::Field;
use axum::http::StatusCode;

/// The files beside a truck's own.
pub fn beside(app: &App, slug: &Slug) -> Vec<String> {
    let found =
        world::files_under(&app.garage.truck_folder(slug)).map(|(files, _)| files).unwrap_or_default();
    let names = found.iter().filter_map(|path| path.file_name()?.to_str().map(str::to_string));
    names.filter(|name| name != TRUCK_FILE && !name.starts_with('.')).collect()
}

/// Takes a form with files in. The token stands before the files, so nothing is kept of a form from elsewhere.
pub async fn received(app: &Shared, slug: &Slug, parts: &mut Multipart) -> Result<Fields, PageError> {
    let (mut fields, mut is_ours) = (Fields::new(), false);
    while let Some(mut part) = parts.next_field().await.map_err(cut_off)? {
        let name = part.name().unwrap_or_default().to_string();
        if name == TOKEN {
            form::check_token(app, &text(&mut part).await?)?;
            is_ours = true;
            continue;
        }
        if !is_ours {
            form::check_token(app, "")?;
        }
        match (name.as_str(), part.file_name().filter(|file| !file.is_empty()).map(str::to_string)) {
            ("track" | "vehicle_log", Some(file)) => {
                fields.insert(name.clone(), kept(app, slug, &file, part).await?);
            }
            ("holds" | "odometer_start" | "odometer_end" | "odometer_read" | "rule", _) => {
                fields.insert(name.clone(), text(&mut part).await?);
            }
            _ => {}
        }
    }
    Ok(fields)
}

async fn kept(app: &Shared, slug: &Slug, name: &str, mut part: Field<'_>) -> Result<String, PageError> {
    let mut arrival = app.garage.arrival(slug)?;
    let mut taken: u64 = 0;
    while let Some(bytes) = part.chunk().await.map_err(cut_off)? {
        taken += bytes.len() as u64;
        if taken > LARGEST_UPLOAD_BYTES {
            return Err(form::too_large(LARGEST_UPLOAD_BYTES));
        }
        arrival.take(&bytes).map_err(|problem| PageError::unusable(app.garage.shown(vec![*problem])))?;
    }
    Ok(app.garage.keep_file(slug, name, arrival)?)
}

async fn text(part: &mut Field<'_>) -> Result<String, PageError> {
    let mut bytes = Vec::new();
    while let Some(more) = part.chunk().await.map_err(cut_off)? {
        bytes.extend_from_slice(&more);
        if bytes.len() > LARGEST_FORM_BYTES {
            return Err(form::too_large(LARGEST_FORM_BYTES as u64));
        }
    }
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn cut_off(error: axum::extract::multipart::MultipartError) -> PageError {
    match error.status() {
        StatusCode::PAYLOAD_TOO_LARGE => form::too_large(LARGEST_UPLOAD_BYTES),
        _ => PageError::new(
            StatusCode::BAD_REQUEST,
            "The files did not arrive whole",
            "What was sent was cut off on its way. Nothing was judged. Send the files again.",
        ),
    }
}
