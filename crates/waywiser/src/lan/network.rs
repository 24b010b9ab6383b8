//! All that a phone in the network meets: the root, the certificate of today, the name, and who is let in.

use super::announced::Announced;
use super::leaf::Leaf;
use super::near;
use super::pairing::{NotLetIn, Pairing};
use super::phones::{Phone, Phones};
use super::root::Root;
use crate::world;
use jiff::Timestamp;
use rustls::server::{ClientHello, ResolvesServerCert};
use rustls::sign::CertifiedKey;
use std::net::IpAddr;
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock, PoisonError, RwLock};
use truing::problem::{Problem, Problems};

/// This machine as its network sees it.
pub struct Network {
    folder: PathBuf,
    port: u16,
    root: Root,
    leaf: RwLock<Leaf>,
    now: RwLock<Vec<IpAddr>>,
    announced: OnceLock<Option<Announced>>,
    pairing: Pairing,
    phones: Phones,
}

impl std::fmt::Debug for Network {
    fn fmt(&self, to: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        to.debug_struct("Network").field("host", &self.host()).finish_non_exhaustive()
    }
}

impl Network {
    /// That of a garage, on a port; what is missing is made.
    pub fn of(folder: &Path, port: u16) -> Result<Self, Problems> {
        let now = near::own();
        let root = Root::of(folder)?;
        let leaf = RwLock::new(Leaf::of(&root, folder, &now)?);
        let (phones, pairing) = (Phones::of(folder)?, Pairing::default());
        let announced = OnceLock::new();
        Ok(Self {
            folder: folder.to_path_buf(),
            port,
            root,
            leaf,
            now: RwLock::new(now),
            announced,
            pairing,
            phones,
        })
    }

    /// Begins to answer for its name. Whether it can be found by it.
    pub fn announce(&self) -> bool {
        let announced = self.announced.get_or_init(|| Announced::new(self.root.name(), self.port));
        let now = self.addresses();
        announced.as_ref().is_some_and(|announced| now.is_empty() || announced.with(&now))
    }

    /// Looks whether this machine has other addresses by now, or another certificate is due.
    pub fn look_again(&self) {
        let now = near::own();
        if !self.leaf.read().unwrap_or_else(PoisonError::into_inner).is_good_for(&now)
            && let Ok(leaf) = Leaf::of(&self.root, &self.folder, &now)
        {
            *self.leaf.write().unwrap_or_else(PoisonError::into_inner) = leaf;
        }
        if now != self.addresses() {
            *self.now.write().unwrap_or_else(PoisonError::into_inner) = now;
            self.announce();
        }
    }

    /// The private addresses that it has now.
    pub fn addresses(&self) -> Vec<IpAddr> {
        self.now.read().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Its name in the network.
    pub fn host(&self) -> String {
        self.root.host()
    }

    /// Where it is to be asked by its name; nothing after the port.
    pub fn origin(&self) -> String {
        format!("https://{}:{}", self.host(), self.port)
    }

    /// The same by each address that it has now.
    pub fn origins_by_address(&self) -> Vec<String> {
        self.addresses().iter().map(|address| format!("https://{address}:{}", self.port)).collect()
    }

    /// Whether this is how it may be asked for.
    pub fn is_called(&self, host: &str) -> bool {
        let Some((name, port)) = host.rsplit_once(':') else { return false };
        let is_own =
            |name: &str| name.parse().is_ok_and(|address: IpAddr| self.addresses().contains(&address));
        port == self.port.to_string() && (name.eq_ignore_ascii_case(&self.host()) || is_own(name))
    }

    /// The root's certificate, which anybody may have.
    pub fn root_certificate(&self) -> &[u8] {
        &self.root.certificate
    }

    /// The root's fingerprint.
    pub fn fingerprint(&self) -> String {
        self.root.fingerprint()
    }

    /// Opens a code for one phone.
    pub fn open_code(&self) -> Result<(), Box<Problem>> {
        self.pairing.open(world::now())
    }

    /// The code that is open, and until when.
    pub fn code(&self) -> Option<(String, Timestamp)> {
        self.pairing.shown(world::now())
    }

    /// Lets a phone in that brings the code; its key.
    pub fn let_in(&self, secret: &str, name: &str) -> Result<Result<String, NotLetIn>, Problems> {
        let now = world::now();
        match self.pairing.take(secret, now) {
            Ok(()) => self.phones.add(name, now).map(Ok),
            Err(not) => Ok(Err(not)),
        }
    }

    /// Whether a key is that of a phone that may come.
    pub fn admits(&self, key: &str) -> bool {
        self.phones.admits(key, world::now())
    }

    /// All phones, the newest first.
    pub fn phones(&self) -> Vec<Phone> {
        self.phones.all()
    }

    /// Takes the key of a phone away; whether there is such a phone.
    pub fn revoke(&self, id: &str) -> Result<bool, Box<Problem>> {
        self.phones.revoke(id, world::now())
    }
}

/// What it is shown with, whoever asks: by address no name is said at all (RFC 6066, section 3).
#[derive(Debug)]
pub struct Shown(pub Arc<Network>);

impl ResolvesServerCert for Shown {
    fn resolve(&self, _hello: ClientHello<'_>) -> Option<Arc<CertifiedKey>> {
        Some(self.0.leaf.read().unwrap_or_else(PoisonError::into_inner).shown.clone())
    }
}
