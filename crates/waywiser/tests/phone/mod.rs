//! The program serving a garage to this machine and to its network, asked as the laptop's browser asks and as a phone does.

use rustls::pki_types::{CertificateDer, ServerName};
use rustls::{ClientConfig, ClientConnection, RootCertStore, StreamOwned};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::time::Duration;

/// Nothing here takes longer, on a busy machine either.
pub const PATIENCE: Duration = Duration::from_secs(60);
pub const COOKIE: &str = "__Secure-waywiser-phone";

/// A program that serves a garage to this machine and to its network, and ends with the test.
pub struct Served {
    child: Child,
    pub garage: PathBuf,
    /// Host and port for this machine.
    here: String,
    /// The name in the network.
    pub host: String,
    pub port: u16,
    pub root: Vec<u8>,
}

/// An answer.
pub struct Said {
    pub status: u16,
    pub head: String,
    pub body: Vec<u8>,
}

impl Said {
    pub fn read(mut from: impl Read) -> Self {
        let mut bytes = Vec::new();
        let ended = from.read_to_end(&mut bytes);
        assert!(ended.is_ok() || !bytes.is_empty(), "{ended:?}");
        let end = bytes.windows(4).position(|four| four == b"\r\n\r\n").unwrap_or(bytes.len());
        let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
        let status = head.split(' ').nth(1).and_then(|code| code.parse().ok()).unwrap_or(0);
        Self { status, head, body: bytes.get(end + 4..).unwrap_or_default().to_vec() }
    }

    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    #[track_caller]
    pub fn is(self, status: u16) -> Self {
        assert_eq!(self.status, status, "{}\n{}", self.head, self.text());
        self
    }

    pub fn header(&self, name: &str) -> &str {
        let line = self.head.lines().find(|line| line.to_lowercase().starts_with(&format!("{name}:")));
        line.and_then(|line| line.split_once(':')).map_or("", |(_, value)| value.trim())
    }
}

impl Served {
    pub fn start(name: &str) -> Self {
        let garage = Path::new(env!("CARGO_TARGET_TMPDIR")).join("lan").join(name);
        let _ = std::fs::remove_dir_all(&garage);
        Self::again(garage)
    }

    pub fn again(garage: PathBuf) -> Self {
        let mut command = Command::new(env!("CARGO_BIN_EXE_waywiser"));
        command.args([
            "serve",
            "--lan",
            "--port",
            "0",
            "--address",
            "127.0.0.1:0",
            "--no-browser",
            "--garage",
        ]);
        let mut child = command.arg(&garage).stdout(Stdio::piped()).spawn().unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines().map(Result::unwrap);
        let between = |line: &str, before: &str| {
            line.split(before).nth(1).and_then(|rest| rest.split('/').next()).unwrap().to_string()
        };
        let here = between(&lines.next().unwrap(), "http://");
        let named = between(&lines.next().unwrap(), "https://");
        let (host, port) = named.split_once(':').unwrap();
        let (host, port) = (host.to_string(), port.parse().unwrap());
        let mut served = Self { child, garage, here, host, port, root: Vec::new() };
        served.root = served.ask_here("GET", "/run/root.crt", "").is(200).body;
        served
    }

    /// Asks as the laptop's own browser does.
    pub fn ask_here(&self, method: &str, path: &str, body: &str) -> Said {
        let mut stream = TcpStream::connect(&self.here).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        let head = format!("{method} {path} HTTP/1.1\r\nhost: {}\r\nconnection: close\r\n", self.here);
        let length = body.len();
        stream.write_all(format!("{head}content-length: {length}\r\n\r\n{body}").as_bytes()).unwrap();
        Said::read(stream)
    }

    /// The laptop's page of phones, and its token.
    pub fn devices(&self) -> (String, String) {
        let page = self.ask_here("GET", "/devices", "").is(200).text();
        let token =
            page.split("name=\"token\" value=\"").nth(1).unwrap().split('"').next().unwrap().to_string();
        (page, token)
    }

    /// The code that the laptop shows after its button was pressed.
    pub fn code(&self) -> String {
        let (_, token) = self.devices();
        self.ask_here("POST", "/devices/let-in", &format!("token={token}")).is(303);
        let (page, _) = self.devices();
        let code = page.split("/pair#").nth(1).unwrap().split('<').next().unwrap().to_string();
        assert_eq!(code.len(), 32, "{code}");
        code
    }

    /// An encrypted line to the program as the one of this name; whether it can be had.
    pub fn line(&self, root: &[u8], name: &str) -> Result<StreamOwned<ClientConnection, TcpStream>, String> {
        let mut roots = RootCertStore::empty();
        roots.add(CertificateDer::from(root.to_vec())).unwrap();
        let provider = Arc::new(rustls::crypto::ring::default_provider());
        let config = ClientConfig::builder_with_provider(provider)
            .with_protocol_versions(&[&rustls::version::TLS13])
            .unwrap()
            .with_root_certificates(roots)
            .with_no_client_auth();
        let name = ServerName::try_from(name.to_string()).unwrap();
        let mut client = ClientConnection::new(Arc::new(config), name).unwrap();
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        while client.is_handshaking() {
            client.complete_io(&mut stream).map_err(|error| error.to_string())?;
        }
        Ok(StreamOwned::new(client, stream))
    }

    /// Asks as a phone does, under this machine's name unless a `host` stands among the headers.
    pub fn ask(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &str) -> Said {
        let mut line = self.line(&self.root, &self.host).unwrap();
        let mut head = format!("{method} {path} HTTP/1.1\r\nconnection: close\r\n");
        if headers.iter().all(|(name, _)| *name != "host") {
            head += &format!("host: {}:{}\r\n", self.host, self.port);
        }
        headers.iter().for_each(|(name, value)| head += &format!("{name}: {value}\r\n"));
        let length = body.len();
        line.write_all(format!("{head}content-length: {length}\r\n\r\n{body}").as_bytes()).unwrap();
        Said::read(line)
    }

    pub fn origin(&self) -> String {
        format!("https://{}:{}", self.host, self.port)
    }

    pub fn bring(&self, code: &str) -> Said {
        let body = format!("{{\"secret\":\"{code}\",\"name\":\"the blue one\"}}");
        self.ask("POST", "/pair", &[("origin", &self.origin()), ("sec-fetch-site", "same-origin")], &body)
    }

    /// A phone that was let in: the cookie it sends.
    pub fn phone(&self) -> String {
        let let_in = self.bring(&self.code()).is(200);
        let kept = let_in.header("set-cookie").to_string();
        for word in ["; Secure", "; HttpOnly", "; SameSite=Strict", "; Path=/run;", "Max-Age="] {
            assert!(kept.contains(word), "no {word} in {kept}");
        }
        let cookie = kept.split(';').next().unwrap().to_string();
        assert_eq!(cookie.len(), COOKIE.len() + 1 + 64, "{cookie}");
        cookie
    }

    /// What is said to a phone that asks for the list of its runs: 401 where it was not let in, and what the page gives otherwise.
    pub fn is_let_in(&self, cookie: &str) -> bool {
        self.ask("GET", "/run/nothing", &[("cookie", cookie)], "").status != 401
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
