//! Reading on when the answer is clear already.
//!
//! A browser shows an answer only after it has sent all it has to send. Where a server stops reading before, the
//! connection breaks, and nobody learns why nothing was taken. So the rest is read and dropped, up to a bound.

use axum::body::{Body, Bytes, HttpBody};
use axum::extract::Multipart;
use std::pin::Pin;
use std::time::Duration;

/// The most that is taken in one request: an hour's recording of a wire, or a dozen long drives.
pub const LARGEST_UPLOAD_BYTES: u64 = 512 << 20;
/// What is larger than this is not read on: somebody fills the line.
const MOST_BYTES: u64 = 8 * LARGEST_UPLOAD_BYTES;
/// Nor what takes longer.
const LONGEST: Duration = Duration::from_secs(60);

/// The next bytes of a body; none at its end.
pub async fn next(body: &mut Body) -> Option<Result<Bytes, axum::Error>> {
    loop {
        let frame = std::future::poll_fn(|context| Pin::new(&mut *body).poll_frame(context)).await?;
        match frame.map(|frame| frame.into_data()) {
            Ok(Ok(bytes)) => return Some(Ok(bytes)),
            // Something that is no data, at the end of it.
            Ok(Err(_)) => {}
            Err(error) => return Some(Err(error)),
        }
    }
}

/// Reads the rest of a body.
pub async fn read_on(mut body: Body) {
    if body.size_hint().lower() > MOST_BYTES {
        return;
    }
    let mut left = MOST_BYTES;
    let reading = async {
        while let Some(Ok(bytes)) = next(&mut body).await {
            left = left.saturating_sub(bytes.len() as u64);
            if left == 0 {
                break;
            }
        }
    };
    // Too late is no matter: the answer is given all the same.
    let _ = tokio::time::timeout(LONGEST, reading).await;
}

/// Reads the rest of a form with files.
pub async fn read_on_parts(parts: &mut Multipart) {
    let reading = async {
        while let Ok(Some(mut part)) = parts.next_field().await {
            while let Ok(Some(_)) = part.chunk().await {}
        }
    };
    let _ = tokio::time::timeout(LONGEST, reading).await;
}
