//! Under which names the page may be asked for.

use std::net::SocketAddr;

/// The names under which this page may be asked for, and the key that whoever asks needs where other machines can.
#[derive(Clone)]
pub struct Hosts {
    names: Vec<String>,
    pub(super) key: Option<String>,
}

impl Hosts {
    /// Those of an address the server listens at.
    pub fn new(address: SocketAddr) -> Self {
        let port = address.port();
        let mut names = vec![address.to_string()];
        if address.ip().is_loopback() {
            names.extend(["127.0.0.1", "localhost", "[::1]"].map(|name| format!("{name}:{port}")));
        }
        if port == 80 {
            let bare: Vec<String> =
                names.iter().filter_map(|name| name.strip_suffix(":80")).map(str::to_string).collect();
            names.extend(bare);
        }
        Self { names, key: None }
    }

    /// The same, for whoever has this key.
    #[must_use]
    pub fn with_key(self, key: Option<String>) -> Self {
        Self { key, ..self }
    }

    /// Whether this is one of them.
    pub(super) fn hold(&self, host: &str) -> bool {
        self.names.iter().any(|name| name.eq_ignore_ascii_case(host))
    }
}
