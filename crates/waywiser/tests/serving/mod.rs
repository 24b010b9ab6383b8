//! The program serving a garage of its own, asked by plain sockets: no library between the test and the bytes.

#![allow(dead_code, reason = "each test that takes this file in uses another part of it")]

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// Nothing here takes longer, on a busy machine either.
const PATIENCE: Duration = Duration::from_secs(60);

/// A server that ends with the test.
pub struct Served {
    child: Child,
    pub address: String,
    pub garage: PathBuf,
}

/// An answer.
pub struct Said {
    pub status: u16,
    pub body: String,
}

impl Said {
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.body).unwrap_or_else(|error| panic!("{error}: {}", self.body))
    }
}

impl Served {
    /// Starts it in an empty garage.
    pub fn start(name: &str) -> Self {
        let garage = Path::new(env!("CARGO_TARGET_TMPDIR")).join("serving").join(name);
        let _ = std::fs::remove_dir_all(&garage);
        let mut command = Command::new(env!("CARGO_BIN_EXE_waywiser"));
        command.args(["serve", "--address", "127.0.0.1:0", "--no-browser", "--garage"]).arg(&garage);
        let mut child = command.stdout(Stdio::piped()).spawn().unwrap();
        let mut first = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut first).unwrap();
        let address =
            first.split("http://").nth(1).and_then(|rest| rest.split('/').next()).unwrap().to_string();
        Self { child, address, garage }
    }

    /// Asks once; a failure of the connection is an error to be counted.
    pub fn try_ask(
        &self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: &[u8],
    ) -> std::io::Result<Said> {
        let mut stream = TcpStream::connect(&self.address)?;
        stream.set_read_timeout(Some(PATIENCE))?;
        let mut head = format!("{method} {path} HTTP/1.1\r\nhost: {}\r\nconnection: close\r\n", self.address);
        for (name, value) in headers {
            head += &format!("{name}: {value}\r\n");
        }
        head += &format!("content-length: {}\r\n\r\n", body.len());
        stream.write_all(head.as_bytes())?;
        stream.write_all(body)?;
        let mut bytes = Vec::new();
        stream.read_to_end(&mut bytes)?;
        let text = String::from_utf8_lossy(&bytes);
        let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
        let status = head.split(' ').nth(1).and_then(|code| code.parse().ok()).unwrap_or(0);
        let chunked = head.to_ascii_lowercase().contains("transfer-encoding: chunked");
        Ok(Said { status, body: if chunked { unchunked(body) } else { body.to_string() } })
    }

    /// Interrupts it as Ctrl+C does; how it ended, where it did so in time.
    pub fn interrupt(&mut self, patience: Duration) -> Option<std::process::ExitStatus> {
        let told = Command::new("kill").args(["-INT", &self.child.id().to_string()]).status().unwrap();
        assert!(told.success());
        let since = std::time::Instant::now();
        while since.elapsed() < patience {
            if let Some(status) = self.child.try_wait().unwrap() {
                return Some(status);
            }
            std::thread::sleep(Duration::from_millis(10));
        }
        None
    }

    pub fn get(&self, path: &str) -> Said {
        self.try_ask("GET", path, &[], b"").unwrap()
    }

    /// A change as a program makes it.
    pub fn change(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &[u8]) -> Said {
        let headers = [&[("waywiser-client", "test")], headers].concat();
        self.try_ask(method, path, &headers, body).unwrap()
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn unchunked(mut rest: &str) -> String {
    let mut whole = String::new();
    while let Some((size, after)) = rest.split_once("\r\n") {
        let Ok(size @ 1..) = usize::from_str_radix(size.trim(), 16) else { break };
        whole.push_str(&after[..size]);
        rest = &after[size + 2..];
    }
    whole
}

/// A file of the sample truck.
pub fn sample(name: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/demo").join(name)).unwrap()
}

/// Adds the sample truck by the interface, and tells its address.
pub fn add_sample(served: &Served) -> String {
    let added = served.change("POST", "/api/v1/trucks", &[], &sample("truck.toml"));
    assert_eq!(added.status, 200, "{}", added.body);
    let truck = format!("/api/v1/trucks/{}", added.json()["slug"].as_str().unwrap());
    for name in ["drive.gpx", "drive-log.csv", "after.gpx", "after-log.csv"] {
        let laid = served.change("POST", &format!("{truck}/files?name={name}"), &[], &sample(name));
        assert_eq!((laid.status, laid.json()["name"].as_str()), (200, Some(name)), "{}", laid.body);
    }
    truck
}
