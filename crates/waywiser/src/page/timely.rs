//! A body that has to come in time: whoever sends a byte now and then must not hold a place for ever.

use axum::body::{Body, Bytes, HttpBody};
use hyper::body::{Frame, SizeHint};
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;
use tokio::time::{Instant, Sleep, sleep};

/// How long a request may take to come in.
#[derive(Copy, Clone, Debug)]
pub struct Limits {
    /// For its head, and between two requests.
    pub head: Duration,
    /// Between two pieces of its body.
    pub idle: Duration,
    /// For all of its body.
    pub body: Duration,
}

impl Default for Limits {
    /// An hour is 512 MB at 1.2 Mbit/s; the others are judgement.
    fn default() -> Self {
        let seconds = Duration::from_secs;
        Self { head: seconds(10), idle: seconds(30), body: seconds(3600) }
    }
}

/// A body within limits.
pub struct Timely {
    inner: Body,
    limits: Limits,
    idle: Pin<Box<Sleep>>,
    whole: Pin<Box<Sleep>>,
}

impl Timely {
    /// The same body, from now on.
    pub fn body(inner: Body, limits: Limits) -> Body {
        let (idle, whole) = (Box::pin(sleep(limits.idle)), Box::pin(sleep(limits.body)));
        Body::new(Self { inner, limits, idle, whole })
    }
}

impl HttpBody for Timely {
    type Data = Bytes;
    type Error = axum::Error;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, axum::Error>>> {
        let is_over = self.whole.as_mut().poll(context).is_ready();
        let frame = Pin::new(&mut self.inner).poll_frame(context);
        if frame.is_ready() && !is_over {
            let next = Instant::now() + self.limits.idle;
            self.idle.as_mut().reset(next);
            return frame;
        }
        match is_over || self.idle.as_mut().poll(context).is_ready() {
            true => Poll::Ready(Some(Err(axum::Error::new("the body did not come in time")))),
            false => Poll::Pending,
        }
    }

    fn is_end_stream(&self) -> bool {
        self.inner.is_end_stream()
    }

    fn size_hint(&self) -> SizeHint {
        self.inner.size_hint()
    }
}
