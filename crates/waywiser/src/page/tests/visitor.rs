//! Somebody with a browser, in a garage of their own.

#[path = "../../../tests/multipart/mod.rs"]
mod multipart;

use super::super::app::{App, Shared};
use super::super::hosts::Hosts;
use super::super::routes;
use crate::garage::{Garage, Slug};
use axum::Router;
use axum::body::Body;
use axum::http::{HeaderMap, Request, StatusCode, header};
use axum::response::Response;
use http_body_util::BodyExt;
use tower::ServiceExt;

pub const HOST: &str = "127.0.0.1:7171";
const ORIGIN: &str = "http://127.0.0.1:7171";

/// What came back.
pub struct Said {
    pub status: StatusCode,
    pub headers: HeaderMap,
    /// As it reads: a space that does not break is a space.
    pub body: String,
}

impl Said {
    /// Fails unless each of these stands in the page.
    #[track_caller]
    pub fn has(&self, pieces: &[&str]) -> &Self {
        for piece in pieces {
            assert!(self.body.contains(piece), "no {piece:?} in {} {}", self.status, self.body);
        }
        self
    }

    /// Fails if one of these stands in the page.
    #[track_caller]
    pub fn lacks(&self, pieces: &[&str]) -> &Self {
        for piece in pieces {
            assert!(!self.body.contains(piece), "{piece:?} in {}", self.body);
        }
        self
    }

    #[track_caller]
    pub fn is(&self, status: u16) -> &Self {
        assert_eq!(self.status.as_u16(), status, "{}", self.body);
        self
    }

    pub fn location(&self) -> &str {
        self.headers.get(header::LOCATION).map_or("", |location| location.to_str().unwrap())
    }

    /// The form that asks for a field, alone.
    #[track_caller]
    pub fn form_with(&self, field: &str) -> Self {
        let asks = format!("id=\"{field}\"");
        let mut forms = self.body.split("<form").filter_map(|after| after.split("</form>").next());
        let form = forms.find(|form| form.contains(&asks));
        let body = form.unwrap_or_else(|| panic!("no form asks for {field} in {}", self.body)).to_string();
        Self { status: self.status, headers: self.headers.clone(), body }
    }

    /// The value of a hidden field, by its name; the last one of that name.
    pub fn hidden(&self, name: &str) -> String {
        let mark = format!("name=\"{name}\" value=\"");
        let after = self.body.rsplit_once(&mark).unwrap_or_else(|| panic!("no {name} in {}", self.body)).1;
        after.split('"').next().unwrap().to_string()
    }
}

/// A browser's window on a garage.
pub struct Visitor {
    pub app: Shared,
    router: Router,
    runtime: tokio::runtime::Runtime,
    /// Whether the garage stays when the visitor leaves.
    stays: bool,
}

impl Visitor {
    pub fn new() -> Self {
        let mut visitor = Self::at(crate::world::folder_for_a_test("page"));
        visitor.stays = false;
        visitor
    }

    /// A window on a garage that is there, and stays.
    pub fn at(folder: std::path::PathBuf) -> Self {
        Self::of(Garage::at(folder))
    }

    /// The same of a garage that is open already.
    pub fn of(garage: Garage) -> Self {
        let app = App::new(garage, Hosts::new(HOST.parse().unwrap())).unwrap();
        let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build();
        Self { router: routes::router(app.clone()), app, runtime: runtime.unwrap(), stays: true }
    }

    /// From now on only for whoever has this key.
    pub fn locked_with(&mut self, key: &str) {
        let hosts = Hosts::new(HOST.parse().unwrap()).with_key(Some(key.to_string()));
        let app = App::new(Garage::at(self.app.garage.folder().to_path_buf()), hosts).unwrap();
        (self.router, self.app) = (routes::router(app.clone()), app);
    }

    /// The same with one truck.
    pub fn with(name: &str, text: &str, files: &[(&str, &[u8])]) -> (Self, Slug) {
        let visitor = Self::new();
        let slug = visitor.app.garage.add(name, text, files).unwrap();
        (visitor, slug)
    }

    /// The same with the sample truck.
    pub fn with_sample() -> (Self, Slug) {
        let [(_, text), files @ ..] = &crate::work::sample::FILES;
        Self::with("sample", std::str::from_utf8(text).unwrap(), files)
    }

    pub fn send(&self, request: Request<Body>) -> Said {
        let answer = self.runtime.block_on(self.router.clone().oneshot(request)).unwrap();
        self.said(answer)
    }

    /// An answer, read whole.
    pub fn said(&self, answer: Response) -> Said {
        self.runtime.block_on(async {
            let (head, body) = answer.into_parts();
            let bytes = body.collect().await.unwrap().to_bytes();
            Said {
                status: head.status,
                headers: head.headers,
                body: String::from_utf8_lossy(&bytes).replace('\u{a0}', " "),
            }
        })
    }

    pub fn get(&self, address: &str) -> Said {
        let address = address.split('#').next().unwrap();
        self.send(Request::get(address).header(header::HOST, HOST).body(Body::empty()).unwrap())
    }

    /// How many bytes an address takes on its way to a browser.
    pub fn get_packed(&self, address: &str) -> usize {
        let asked =
            Request::get(address).header(header::HOST, HOST).header(header::ACCEPT_ENCODING, "gzip, br");
        let answer = self.runtime.block_on(self.router.clone().oneshot(asked.body(Body::empty()).unwrap()));
        let answer = answer.unwrap();
        assert_eq!(answer.status(), StatusCode::OK, "{address}");
        self.runtime.block_on(answer.into_body().collect()).unwrap().to_bytes().len()
    }

    /// A page whose files may still be read is asked for again, as a browser does.
    pub fn get_patiently(&self, address: &str) -> Said {
        for _ in 0..200 {
            let said = self.get(address);
            if !said.body.contains("http-equiv=\"refresh\"") {
                return said;
            }
            std::thread::sleep(std::time::Duration::from_millis(50));
        }
        panic!("{address} is never ready");
    }

    pub fn token(&self) -> String {
        self.get("/add").hidden("token")
    }

    /// Sends a form with the page's own token.
    pub fn post(&self, address: &str, fields: &[(&str, &str)]) -> Said {
        let token = self.token();
        let mut all = vec![("token", token.as_str())];
        all.extend(fields);
        self.send(
            Self::form(address, &all).body(Body::from(serde_urlencoded::to_string(&all).unwrap())).unwrap(),
        )
    }

    pub fn form(address: &str, _fields: &[(&str, &str)]) -> axum::http::request::Builder {
        Request::post(address)
            .header(header::HOST, HOST)
            .header(header::ORIGIN, ORIGIN)
            .header("sec-fetch-site", "same-origin")
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
    }

    /// Sends files as a form with files does.
    pub fn upload(&self, address: &str, token: &str, files: &[(&str, &[u8])]) -> Said {
        let named: Vec<_> = files.iter().map(|(file, bytes)| ("files", *file, *bytes)).collect();
        self.upload_as(address, token, &named)
    }

    /// The same, each file in a field of its own.
    pub fn upload_as(&self, address: &str, token: &str, files: &[(&str, &str, &[u8])]) -> Said {
        let request = Request::post(address).header(header::HOST, HOST).header(header::ORIGIN, ORIGIN);
        self.send_parts(request, &[("token", token)], files)
    }

    /// The same with fields that were typed, and the page's own token.
    pub fn upload_with(&self, address: &str, fields: &[(&str, &str)], files: &[(&str, &str, &[u8])]) -> Said {
        let request = Request::post(address).header(header::HOST, HOST).header(header::ORIGIN, ORIGIN);
        let token = self.token();
        self.send_parts(request, &[&[("token", token.as_str())], fields].concat(), files)
    }

    /// Sends fields and files as a program does.
    pub fn program(&self, address: &str, fields: &[(&str, &str)], files: &[(&str, &str, &[u8])]) -> Said {
        let request = Request::post(address).header(header::HOST, HOST).header("waywiser-client", "test");
        self.send_parts(request, fields, files)
    }

    /// Sends what a program sends, with headers of its own.
    pub fn program_with(&self, method: &str, address: &str, headers: &[(&str, &str)], body: &[u8]) -> Said {
        let mut request = Request::builder().method(method).uri(address);
        request = request.header(header::HOST, HOST).header("waywiser-client", "test");
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        self.send(request.body(Body::from(body.to_vec())).unwrap())
    }

    /// Sends JSON as a program does.
    pub fn program_json(&self, address: &str, json: &str) -> Said {
        let request = Request::post(address).header(header::HOST, HOST).header("waywiser-client", "test");
        self.send(request.body(Body::from(json.to_string())).unwrap())
    }

    fn send_parts(
        &self,
        request: axum::http::request::Builder,
        fields: &[(&str, &str)],
        files: &[(&str, &str, &[u8])],
    ) -> Said {
        let (kind, body) = multipart::form(fields, files);
        self.send(request.header(header::CONTENT_TYPE, kind).body(Body::from(body)).unwrap())
    }
}

impl Drop for Visitor {
    fn drop(&mut self) {
        if !self.stays {
            crate::world::clear_away(self.app.garage.folder());
        }
    }
}
