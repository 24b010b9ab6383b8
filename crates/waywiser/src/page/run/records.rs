//! Records of a drive, handed over by the run page: the garage says which it awaits, and takes each once.

use crate::garage::{NotTaken, RunId, Slug};
use crate::page::api::ApiError;
use crate::page::app::{App, Shared, work};
use crate::page::error::PageError;
use crate::page::read_on::{next, read_on};
use crate::unpack::gunzipped;
use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Json, Response};
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use truing::logs::run::is_record;

/// Bytes of one body of records at most.
const JSON_BODY_BYTES: usize = 512 << 10;
/// Letters of one record at most; a note is the longest.
const LONGEST_RECORD: usize = 4096;
/// Records in one body at most.
const MOST_RECORDS: usize = 2000;

/// Records, the first of which has the number `first`.
#[derive(Deserialize)]
struct Sent<'b> {
    truck: String,
    first: usize,
    #[serde(borrow)]
    records: Vec<&'b RawValue>,
}

/// That no more come.
#[derive(Deserialize)]
struct End {
    truck: String,
    count: usize,
}

/// The number of the record that is awaited next.
#[derive(Serialize)]
struct Awaited {
    next: usize,
}

/// What a drive became that is whole.
#[derive(Serialize)]
struct Became {
    records: usize,
    file: String,
}

/// Why records were not taken, with the number of the one that is awaited.
#[derive(Serialize)]
struct Conflict {
    error: &'static str,
    says: String,
    next: usize,
    /// Whether sending from `next` on settles it.
    goes_on: bool,
}

/// What is answered: JSON, in any case.
type Answered = Result<Response, ApiError>;

pub async fn awaited(State(app): State<Shared>, Path(run): Path<String>) -> Answered {
    let run = run_of(&run)?;
    let taken = work(&app, move |app| Ok(app.garage.next_record(&run))).await?;
    answered(taken.map(|next| Awaited { next }))
}

pub async fn take(
    State(app): State<Shared>,
    Path(run): Path<String>,
    headers: HeaderMap,
    body: Body,
) -> Answered {
    let run = run_of(&run)?;
    let body = json_body(&headers, body).await?;
    let taken = work(&app, move |app| {
        let sent: Sent<'_> = serde_json::from_slice(&body).map_err(|error| unreadable(&error))?;
        let records = sound(&sent)?;
        let truck = truck_of(app, &sent.truck)?;
        Ok(app.garage.take_records(&run, &truck, sent.first, &records))
    });
    answered(taken.await?.map(|next| Awaited { next }))
}

pub async fn end(
    State(app): State<Shared>,
    Path(run): Path<String>,
    headers: HeaderMap,
    body: Body,
) -> Answered {
    let run = run_of(&run)?;
    let body = json_body(&headers, body).await?;
    let ended = work(&app, move |app| {
        let end: End = serde_json::from_slice(&body).map_err(|error| unreadable(&error))?;
        let truck = truck_of(app, &end.truck)?;
        Ok(app.garage.end_run(&run, &truck, end.count))
    });
    answered(ended.await?.map(|ended| Became { records: ended.records, file: ended.file }))
}

fn answered<T: Serialize>(taken: Result<T, NotTaken>) -> Answered {
    match taken {
        Ok(taken) => Ok(Json(taken).into_response()),
        Err(wrong) => refused(wrong),
    }
}

fn refused(wrong: NotTaken) -> Answered {
    let conflict = |next, goes_on, says: &str| {
        let error = "The laptop does not take these records";
        let answer = Conflict { error, says: says.into(), next, goes_on };
        Ok((StatusCode::CONFLICT, Json(answer)).into_response())
    };
    match wrong {
        NotTaken::Different(at) => {
            let says = format!(
                "Record {at} is here already and says something else. Nothing was changed. Save this drive as a file and \
                 send it on the Measure page."
            );
            conflict(at, false, &says)
        }
        NotTaken::Hole(next) => {
            conflict(next, true, &format!("Records before these are missing here. Record {next} is awaited."))
        }
        NotTaken::Whole(next) => {
            let says = format!(
                "The laptop has {next} records of this drive, which is more than there are said to be. Nothing was changed. \
                 Save this drive as a file and send it on the Measure page."
            );
            conflict(next, false, &says)
        }
        NotTaken::OtherTruck => {
            conflict(0, false, "This drive came in for another truck. Nothing was changed.")
        }
        NotTaken::Unknown => conflict(0, true, "No record of this drive is here. Record 0 is awaited."),
        NotTaken::TooLarge => Err(too_large("A drive of at most 16 MB is taken, a day and a night of it.")),
        NotTaken::TooMany => {
            let says =
                "Fifty drives of this truck wait to be whole. Keep what came of them, on its Measure page.";
            Err(PageError::new(StatusCode::TOO_MANY_REQUESTS, "Too many drives are open", says).into())
        }
        NotTaken::Problems(problems) => {
            let mut error = PageError::unusable(problems);
            error.status = StatusCode::INSUFFICIENT_STORAGE;
            error.title = "The laptop could not keep these records".into();
            error.says =
                "Nothing of what was sent last was confirmed. The phone keeps it and sends it again.".into();
            Err(error.into())
        }
    }
}

fn too_large(says: &str) -> ApiError {
    PageError::new(StatusCode::PAYLOAD_TOO_LARGE, "That is too large", says).into()
}

fn run_of(text: &str) -> Result<RunId, PageError> {
    RunId::read(text).ok_or_else(|| {
        let says = "A drive is called by 32 hexadecimal digits, as the run page makes them.";
        PageError::new(StatusCode::NOT_FOUND, "There is no such drive", says)
    })
}

fn truck_of(app: &App, name: &str) -> Result<Slug, PageError> {
    app.truck(name).map(|truck| truck.slug.clone())
}

/// All of a body that says it is JSON, which a form of another site cannot.
async fn json_body(headers: &HeaderMap, mut body: Body) -> Result<Vec<u8>, ApiError> {
    let kind = headers.get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok());
    if !kind.is_some_and(|kind| kind.starts_with("application/json")) {
        read_on(body).await;
        let says = "Records are sent as application/json.";
        return Err(PageError::new(StatusCode::UNSUPPORTED_MEDIA_TYPE, "Not in this way", says).into());
    }
    let mut bytes = Vec::new();
    while let Some(more) = next(&mut body).await {
        let more = more.map_err(|_| {
            let says = "What was sent was cut off on its way. Nothing of it was taken.";
            PageError::new(StatusCode::BAD_REQUEST, "It did not arrive whole", says)
        })?;
        if bytes.len() + more.len() > JSON_BODY_BYTES {
            read_on(body).await;
            return Err(too_large("At most 512 KB of records are taken at once."));
        }
        bytes.extend_from_slice(&more);
    }
    match headers.get(header::CONTENT_ENCODING) {
        None => Ok(bytes),
        Some(_) => gunzipped(&bytes, JSON_BODY_BYTES as u64).ok_or_else(|| {
            too_large("Records come plain, or packed by gzip; at most 512 KB of them are taken at once.")
        }),
    }
}

fn unreadable(error: &serde_json::Error) -> PageError {
    let says = format!("What was sent is not what the run page sends: {error}. Nothing of it was taken.");
    PageError::new(StatusCode::UNPROCESSABLE_ENTITY, "That cannot be read", &says)
}

/// The records as they stand in the body, each a line of its own.
fn sound(sent: &Sent<'_>) -> Result<Vec<String>, PageError> {
    if sent.records.len() > MOST_RECORDS {
        let says = format!("At most {MOST_RECORDS} records are taken at once.");
        return Err(PageError::new(StatusCode::PAYLOAD_TOO_LARGE, "Those are too many", &says));
    }
    let is_sound = |place: usize, text: &str| {
        text.len() <= LONGEST_RECORD
            && !text.contains(['\n', '\r'])
            && is_record(text, sent.first + place == 0)
    };
    let wrong = sent.records.iter().enumerate().find(|(place, record)| !is_sound(*place, record.get()));
    if let Some((place, _)) = wrong {
        let says = format!(
            "Record {} is no record of a drive in one line; the first one says that a drive starts. Nothing was taken.",
            sent.first.saturating_add(place)
        );
        return Err(PageError::new(StatusCode::UNPROCESSABLE_ENTITY, "That is no record", &says));
    }
    Ok(sent.records.iter().map(|record| record.get().to_string()).collect())
}
