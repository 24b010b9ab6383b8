//! Files that come in: each is streamed to the disk, and of a form nothing is taken before its token.

use super::app::{App, Shared, work};
use super::error::PageError;
use super::form::{LARGEST_FORM_BYTES, TOKEN, check_token, too_large};
use super::read_on::{LARGEST_UPLOAD_BYTES, next, read_on, read_on_parts};
use crate::garage::{Slug, kept_name, numbered};
use crate::work::asked::Inputs;
use crate::world::{self, Arrival, Scratch};
use axum::body::Body;
use axum::extract::Multipart;
use axum::extract::multipart::{Field, MultipartError, MultipartRejection};
use axum::http::StatusCode;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use truing::problem::{Problem, Problems};

/// Bytes gathered before they go to the disk in one piece.
const PIECE_BYTES: usize = 1 << 20;
/// Most files in one go: drives of some years, each with its log.
const MOST_FILES: usize = 2000;
/// How many names are tried for a file.
const MOST_TRIES: usize = 1000;

/// Where files are laid.
#[derive(Clone)]
pub enum Place {
    /// Beside the vehicle file of a truck, to stay.
    Beside(Slug),
    /// In a folder of their own, to be looked at once.
    Apart(Arc<Scratch>),
}

/// What a form with files sent.
#[derive(Default)]
pub struct Received {
    /// What was typed, by the names of the fields.
    pub fields: BTreeMap<String, String>,
    /// Each file's field, and the name under which it was laid down.
    pub files: Vec<(String, String)>,
}

impl Received {
    /// The name under which the file of a field was laid down. A name that was only typed is no file: nothing of this machine
    /// is read but what was sent.
    pub fn file(&self, name: &str) -> Option<&str> {
        self.files.iter().find(|(field, _)| field == name).map(|(_, file)| file.as_str())
    }

    /// What the form asks for, its files in the folder in which they were laid down.
    pub fn asked<T: Inputs>(&self, folder: &Path) -> Result<T, Problems> {
        let text = |name: &str| self.fields.get(name).map(String::as_str);
        let asked = T::from_fields(|name| {
            if T::file_names().any(|file| file == name) { self.file(name) } else { text(name) }
        })?;
        Ok(asked.lying(|name| folder.join(name)))
    }
}

/// Who sends a form with files.
#[derive(Copy, Clone, PartialEq, Eq)]
pub enum Sender {
    /// A form of a page, which carries our token before everything else.
    Form,
    /// A program, whose header was looked at already.
    Program,
}

impl Place {
    /// A new folder to look at files in.
    pub fn apart(app: &App) -> Result<Self, PageError> {
        let scratch = Scratch::inside(app.garage.folder());
        let scratch = scratch.map_err(|problem| app.garage.shown(problem))?;
        Ok(Self::Apart(Arc::new(scratch)))
    }

    fn arrival(&self, app: &App) -> Result<Arrival, Problems> {
        match self {
            Self::Beside(slug) => app.garage.arrival(slug),
            Self::Apart(scratch) => {
                Arrival::beside(&scratch.path().join("file")).map_err(|problem| app.garage.shown(problem))
            }
        }
    }

    fn settle(&self, app: &App, name: &str, arrival: Arrival) -> Result<String, Problems> {
        match self {
            Self::Beside(slug) => app.garage.keep_file(slug, name, arrival),
            Self::Apart(scratch) => {
                let problem = |problem: Box<Problem>| app.garage.shown(problem);
                // A folder that was sent whole keeps its shape: files of one drive lie in one folder.
                let mut parts: Vec<String> = name.split(['/', '\\']).map(kept_name).collect();
                let file = parts.pop().unwrap_or_default();
                let folder: PathBuf = parts.iter().collect();
                if !parts.is_empty() {
                    world::make_folder(&scratch.path().join(&folder)).map_err(problem)?;
                }
                let names = (1..=MOST_TRIES).map(|number| folder.join(numbered(&file, number)));
                let free = |name: &PathBuf| world::stamp(&scratch.path().join(name)).is_none();
                let name = names.clone().find(free).unwrap_or_else(|| folder.join(&file));
                arrival.become_file_unsynced(&scratch.path().join(&name)).map_err(problem)?;
                Ok(name.display().to_string())
            }
        }
    }
}

/// A form with files, where what was sent is one.
pub type FormSent = Result<Multipart, MultipartRejection>;

/// Takes a form with files in. Where something is wrong, the rest is read all the same, so that the answer arrives.
pub async fn received(
    app: &Shared,
    place: &Place,
    sender: Sender,
    form: FormSent,
) -> Result<Received, PageError> {
    let mut parts = form.map_err(|_| no_form())?;
    let found = part_by_part(app, place, sender, &mut parts).await;
    if found.is_err() {
        read_on_parts(&mut parts).await;
    }
    found
}

async fn part_by_part(
    app: &Shared,
    place: &Place,
    sender: Sender,
    parts: &mut Multipart,
) -> Result<Received, PageError> {
    let (mut received, mut is_ours) = (Received::default(), sender == Sender::Program);
    while let Some(part) = parts.next_field().await.map_err(|error| truncated(&error))? {
        let name = part.name().unwrap_or_default().to_string();
        let file = part.file_name().map(str::to_string);
        if name == TOKEN && file.is_none() {
            check_token(app, &text(part).await?)?;
            is_ours = true;
            continue;
        }
        // The token comes first: nothing of a foreign form reaches the disk.
        if !is_ours {
            check_token(app, "")?;
        }
        match file {
            Some(file) if file.is_empty() => {}
            Some(file) => {
                enough(received.files.len())?;
                received.files.push((name, laid_down(app, place, &file, part).await?));
            }
            None => drop(received.fields.insert(name, text(part).await?)),
        }
    }
    if !is_ours {
        check_token(app, "")?;
    }
    Ok(received)
}

fn no_form() -> PageError {
    let problem = Problem::error("the body", "a form with files (multipart/form-data)", "something else");
    let hint = "With curl: -F files=@drive.gpx.";
    PageError::unusable(problem.hint(hint))
}

fn enough(files: usize) -> Result<(), PageError> {
    if files < MOST_FILES {
        return Ok(());
    }
    let says = format!(
        "At most {MOST_FILES} files are taken at once. Send the others after these, or packed in a zip."
    );
    Err(PageError::new(StatusCode::PAYLOAD_TOO_LARGE, "Those are too many", &says))
}

/// Streams one file to the disk; what breaks off leaves nothing behind.
async fn laid_down(
    app: &Shared,
    place: &Place,
    name: &str,
    mut part: Field<'_>,
) -> Result<String, PageError> {
    let mut coming = Coming::new(app, place).await?;
    while let Some(bytes) = part.chunk().await.map_err(|error| truncated(&error))? {
        coming.take(app, &bytes).await?;
    }
    coming.settle(app, place, name).await
}

/// The same of a whole body that is one file.
pub async fn body_laid_down(
    app: &Shared,
    place: &Place,
    name: &str,
    mut body: Body,
) -> Result<String, PageError> {
    let mut coming = Coming::new(app, place).await?;
    while let Some(bytes) = next(&mut body).await {
        let bytes = bytes.map_err(|_| not_whole())?;
        if coming.bytes + bytes.len() as u64 > LARGEST_UPLOAD_BYTES {
            read_on(body).await;
            return Err(too_large(LARGEST_UPLOAD_BYTES));
        }
        coming.take(app, &bytes).await?;
    }
    coming.settle(app, place, name).await
}

/// A file on its way in, gathered piece by piece.
struct Coming {
    arrival: Option<Arrival>,
    piece: Vec<u8>,
    bytes: u64,
}

impl Coming {
    async fn new(app: &Shared, place: &Place) -> Result<Self, PageError> {
        let place = place.clone();
        let arrival = work(app, move |app| Ok(place.arrival(app)?)).await?;
        Ok(Self { arrival: Some(arrival), piece: Vec::new(), bytes: 0 })
    }

    async fn take(&mut self, app: &Shared, bytes: &[u8]) -> Result<(), PageError> {
        self.piece.extend_from_slice(bytes);
        self.bytes += bytes.len() as u64;
        if self.piece.len() >= PIECE_BYTES { self.write_out(app).await } else { Ok(()) }
    }

    async fn write_out(&mut self, app: &Shared) -> Result<(), PageError> {
        let (piece, Some(mut arrival)) = (std::mem::take(&mut self.piece), self.arrival.take()) else {
            return Ok(());
        };
        let taken = work(app, move |app| {
            arrival.take(&piece).map_err(|problem| app.garage.shown(problem))?;
            Ok(arrival)
        });
        self.arrival = Some(taken.await?);
        Ok(())
    }

    async fn settle(mut self, app: &Shared, place: &Place, name: &str) -> Result<String, PageError> {
        self.write_out(app).await?;
        let (place, name) = (place.clone(), name.to_string());
        let Some(arrival) = self.arrival else { return Err(not_whole()) };
        work(app, move |app| Ok(place.settle(app, &name, arrival)?)).await
    }
}

async fn text(mut part: Field<'_>) -> Result<String, PageError> {
    let mut bytes = Vec::new();
    while let Some(more) = part.chunk().await.map_err(|error| truncated(&error))? {
        bytes.extend_from_slice(&more);
        if bytes.len() > LARGEST_FORM_BYTES {
            return Err(too_large(LARGEST_FORM_BYTES as u64));
        }
    }
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn truncated(error: &MultipartError) -> PageError {
    match error.status() {
        StatusCode::PAYLOAD_TOO_LARGE => too_large(LARGEST_UPLOAD_BYTES),
        _ => not_whole(),
    }
}

fn not_whole() -> PageError {
    let says = "What was sent was cut off on its way. Nothing of the last file was kept. Send it again.";
    PageError::new(StatusCode::BAD_REQUEST, "The files did not arrive whole", says)
}
