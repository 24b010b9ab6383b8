//! This machine's name in its network, so that a phone finds it whatever its address is today (RFC 6762, RFC 6763).

use mdns_sd::{IfKind, ServiceDaemon, ServiceInfo};
use std::net::IpAddr;
use std::time::Duration;

/// What is announced, of our own.
const SERVICE: &str = "_waywiser._tcp.local.";
/// How long saying goodbye may take.
const GOODBYE: Duration = Duration::from_millis(300);

/// A name that is answered for, on a thread of its own, until this is dropped.
pub struct Announced {
    daemon: ServiceDaemon,
    name: String,
    port: u16,
}

impl Announced {
    /// Answers for a name from now on; none where this machine cannot.
    pub fn new(name: &str, port: u16) -> Option<Self> {
        let daemon = ServiceDaemon::new().ok()?;
        // Nothing listens there.
        let _ = daemon.disable_interface(IfKind::IPv6);
        Some(Self { daemon, name: name.to_string(), port })
    }

    /// From now on the name has these addresses. Whether that could be said.
    pub fn with(&self, addresses: &[IpAddr]) -> bool {
        let addresses: Vec<String> = addresses.iter().map(ToString::to_string).collect();
        let host = format!("{}.local.", self.name);
        let service =
            ServiceInfo::new(SERVICE, &self.name, &host, addresses.join(",").as_str(), self.port, None);
        service.and_then(|service| self.daemon.register(service)).is_ok()
    }
}

impl Drop for Announced {
    fn drop(&mut self) {
        if let Ok(ended) = self.daemon.shutdown() {
            let _ = ended.recv_timeout(GOODBYE);
        }
    }
}
