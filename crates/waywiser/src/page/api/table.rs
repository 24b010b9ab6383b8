//! The table of operations: each line serves an address and describes it.

use super::schema::{Make, answers, known};
use super::taken::nothing_asked;
use crate::page::addresses::API;
use crate::page::app::Shared;
use axum::Router;
use axum::handler::Handler;
use axum::middleware::from_fn;
use axum::routing::{MethodRouter, get, post, put};
use schemars::JsonSchema;

/// What is sent with a change.
#[derive(Copy, Clone)]
pub enum Body {
    /// Nothing.
    Nothing,
    /// A JSON object.
    Json(Make),
    /// The text of a vehicle file.
    VehicleFile,
    /// The bytes of a file.
    Bytes,
    /// A form with files and the fields of a type.
    Files(Make),
}

/// What comes back.
#[derive(Copy, Clone)]
pub enum Back {
    /// A JSON object or list.
    Json(Make),
    /// A file of one of these types.
    File(&'static [&'static str]),
}

/// One operation.
pub struct Operation {
    /// `get`, `post` or `put`.
    pub method: &'static str,
    /// The address below the prefix.
    pub path: &'static str,
    /// What it does.
    pub summary: &'static str,
    /// What may stand in the query of the address.
    pub query: Option<Make>,
    /// What is sent.
    pub body: Body,
    /// What comes back.
    pub answer: Back,
    /// What stands in its head.
    pub head: &'static [InHead],
}

/// What a change may be sent with.
#[derive(Copy, Clone, PartialEq, Eq)]
pub enum InHead {
    /// The version of the vehicle file that it was made from.
    Version,
    /// A key under which it is done once.
    Key,
}

/// All operations, served and described.
#[derive(Default)]
pub struct Operations {
    /// In order.
    pub all: Vec<Operation>,
    router: Router<Shared>,
}

impl Operations {
    fn with(mut self, operation: Operation, served: MethodRouter<Shared>) -> Self {
        let asks = operation.query.is_some_and(|query| !known(query).is_empty());
        let served = if asks { served } else { served.layer(from_fn(nothing_asked)) };
        self.router = self.router.route(&format!("{API}{}", operation.path), served);
        self.all.push(operation);
        self
    }

    /// The last of them is sent with this in its head.
    pub fn sent_with(mut self, head: &'static [InHead]) -> Self {
        if let Some(last) = self.all.last_mut() {
            last.head = head;
        }
        self
    }

    /// Something to read; `Q` is what may stand in the query.
    pub fn get<Q: JsonSchema, A: JsonSchema, T: 'static, H: Handler<T, Shared>>(
        self,
        path: &'static str,
        summary: &'static str,
        handler: H,
    ) -> Self {
        let query = Some(answers::<Q>());
        let operation = Operation {
            method: "get",
            path,
            summary,
            query,
            body: Body::Nothing,
            answer: Back::Json(answers::<A>()),
            head: &[],
        };
        self.with(operation, get(handler))
    }

    /// A file to read, of one of these types; `Q` is what may stand in the query.
    pub fn get_file<Q: JsonSchema, T: 'static, H: Handler<T, Shared>>(
        self,
        path: &'static str,
        summary: &'static str,
        kinds: &'static [&'static str],
        handler: H,
    ) -> Self {
        let (query, answer) = (Some(answers::<Q>()), Back::File(kinds));
        self.with(
            Operation { method: "get", path, summary, query, body: Body::Nothing, answer, head: &[] },
            get(handler),
        )
    }

    /// A change by what is sent, which comes to an `A`.
    fn change<A: JsonSchema, T: 'static, H: Handler<T, Shared>>(
        self,
        (path, summary): (&'static str, &'static str),
        (query, body): (Option<Make>, Body),
        handler: H,
    ) -> Self {
        let answer = Back::Json(answers::<A>());
        self.with(Operation { method: "post", path, summary, query, body, answer, head: &[] }, post(handler))
    }

    /// A change that needs nothing to be sent.
    pub fn post_nothing<A: JsonSchema, T: 'static, H: Handler<T, Shared>>(
        self,
        path: &'static str,
        summary: &'static str,
        handler: H,
    ) -> Self {
        self.change::<A, _, _>((path, summary), (None, Body::Nothing), handler)
    }

    /// Files to be looked at, with the fields of `B`.
    pub fn post_files<B: JsonSchema, A: JsonSchema, T: 'static, H: Handler<T, Shared>>(
        self,
        path: &'static str,
        summary: &'static str,
        handler: H,
    ) -> Self {
        self.change::<A, _, _>((path, summary), (None, Body::Files(answers::<B>())), handler)
    }

    /// A change by a JSON object.
    pub fn post<B: JsonSchema, A: JsonSchema, T: 'static, H: Handler<T, Shared>>(
        self,
        path: &'static str,
        summary: &'static str,
        handler: H,
    ) -> Self {
        self.change::<A, _, _>((path, summary), (None, Body::Json(answers::<B>())), handler)
    }

    /// A change by the text of a vehicle file, as something new.
    pub fn post_text<A: JsonSchema, T: 'static, H: Handler<T, Shared>>(
        self,
        path: &'static str,
        summary: &'static str,
        handler: H,
    ) -> Self {
        self.change::<A, _, _>((path, summary), (None, Body::VehicleFile), handler)
    }

    /// The same in the place of one that is there.
    pub fn put_text<A: JsonSchema, T: 'static, H: Handler<T, Shared>>(
        self,
        path: &'static str,
        summary: &'static str,
        handler: H,
    ) -> Self {
        let (body, answer) = (Body::VehicleFile, Back::Json(answers::<A>()));
        self.with(
            Operation { method: "put", path, summary, query: None, body, answer, head: &[] },
            put(handler),
        )
    }

    /// A change by the bytes of a file; `Q` is what may stand in the query.
    pub fn post_bytes<Q: JsonSchema, A: JsonSchema, T: 'static, H: Handler<T, Shared>>(
        self,
        path: &'static str,
        summary: &'static str,
        handler: H,
    ) -> Self {
        self.change::<A, _, _>((path, summary), (Some(answers::<Q>()), Body::Bytes), handler)
    }

    /// What serves them.
    pub fn router(self) -> Router<Shared> {
        self.router
    }
}
