//! The certificate that is shown to phones. It names this machine's name and the private addresses that it has or had; it is
//! made again when another address comes or its days run out, and stays otherwise: a browser in which somebody went past the
//! warning remembers this very certificate.

use super::failure::failed;
use super::root::{Root, called, lasting, later, yesterday};
use crate::world;
use jiff::ToSpan;
use jiff::civil::Date;
use rcgen::{CertificateParams, ExtendedKeyUsagePurpose, KeyPair, KeyUsagePurpose, SanType};
use rustls::crypto::ring::sign::any_ecdsa_type;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use rustls::sign::CertifiedKey;
use std::net::IpAddr;
use std::path::Path;
use std::sync::Arc;
use toml_edit::{Array, DocumentMut, value};
use truing::problem::Problem;

const FILE: &str = "network-leaf.toml";
const HEAD: &str =
    "# The certificate that phones are shown, and its key. It is made again where it is missing.\n";
/// Phones take no certificate that lasts longer than 398 days (from memory, the rule for public ones; those of a root that
/// somebody installed may last longer on some).
const LASTS_DAYS: i32 = 396;
/// It is made again so many days before its end.
const MADE_AGAIN_DAYS: i32 = 30;
/// Addresses of other networks stay in it, up to so many: coming home must not change it.
const MOST_ADDRESSES: usize = 16;

/// The certificate with its key, and what it names.
pub struct Leaf {
    /// As it is shown.
    pub shown: Arc<CertifiedKey>,
    /// The addresses that it names.
    pub addresses: Vec<IpAddr>,
    until: Date,
}

impl Leaf {
    /// One that names these addresses now: the one that is kept, where it does, or another.
    pub fn of(root: &Root, folder: &Path, now: &[IpAddr]) -> Result<Self, Box<Problem>> {
        let path = folder.join(FILE);
        let kept = world::stamp(&path).and_then(|_| Self::read(root, &path));
        let before = match kept {
            Some(kept) if kept.is_good_for(now) => return Ok(kept),
            Some(kept) => kept.addresses,
            None => Vec::new(),
        };
        let (leaf, text) = Self::new(root, &joined(now, &before))?;
        world::remove(&path);
        // One that cannot be kept is shown all the same, until the program ends.
        let _ = world::write_new_private(&path, text.as_bytes());
        Ok(leaf)
    }

    /// Whether it names all of these, and lasts.
    pub fn is_good_for(&self, now: &[IpAddr]) -> bool {
        let limit = yesterday().and_then(|day| later(day, MADE_AGAIN_DAYS.days()));
        now.iter().all(|address| self.addresses.contains(address))
            && limit.is_ok_and(|limit| self.until > limit)
    }

    fn read(root: &Root, path: &Path) -> Option<Self> {
        let document: DocumentMut = world::read_text(path).ok()?.parse().ok()?;
        let text = |key: &str| document.get(key)?.as_str();
        let addresses = document.get("addresses")?.as_array()?.iter();
        let addresses = addresses.map(|one| one.as_str()?.parse().ok()).collect::<Option<_>>()?;
        // A leaf of another root is none of ours.
        (text("root")? == root.fingerprint()).then_some(())?;
        let shown = certified(root, text("certificate")?, text("key")?).ok()?;
        Some(Self { shown, addresses, until: text("until")?.parse().ok()? })
    }

    fn new(root: &Root, addresses: &[IpAddr]) -> Result<(Self, String), Box<Problem>> {
        let key = KeyPair::generate().map_err(|error| failed("a key for this machine", &error))?;
        let from = yesterday()?;
        let until = later(from, LASTS_DAYS.days())?;
        let mut parameters = parameters(root, addresses)?;
        lasting(&mut parameters, from, until);
        let made = parameters.signed_by(&key, &root.issuer()?);
        let made = made.map_err(|error| failed("a certificate for this machine", &error))?;
        let (certificate, key) = (made.pem(), key.serialize_pem());
        let mut document = DocumentMut::new();
        document["root"] = value(root.fingerprint());
        document["until"] = value(until.to_string());
        document["addresses"] = value(addresses.iter().map(ToString::to_string).collect::<Array>());
        document["certificate"] = value(&certificate);
        document["key"] = value(&key);
        let shown = certified(root, &certificate, &key)?;
        Ok((Self { shown, addresses: addresses.to_vec(), until }, format!("{HEAD}{document}")))
    }
}

fn parameters(root: &Root, addresses: &[IpAddr]) -> Result<CertificateParams, Box<Problem>> {
    let parameters = CertificateParams::new(vec![root.host()]);
    let mut parameters = parameters.map_err(|error| failed("a name for this machine", &error))?;
    parameters.distinguished_name = called(&root.host());
    parameters.subject_alt_names.extend(addresses.iter().copied().map(SanType::IpAddress));
    parameters.key_usages = vec![KeyUsagePurpose::DigitalSignature];
    parameters.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
    parameters.use_authority_key_identifier_extension = true;
    Ok(parameters)
}

/// Those of now, and of before as many as there is room for.
fn joined(now: &[IpAddr], before: &[IpAddr]) -> Vec<IpAddr> {
    let others = before.iter().filter(|address| !now.contains(address));
    now.iter().chain(others).copied().take(MOST_ADDRESSES.max(now.len())).collect()
}

/// As it is shown: with its root behind it, so that a person who looks at it in a browser can compare the fingerprint.
fn certified(root: &Root, certificate: &str, key: &str) -> Result<Arc<CertifiedKey>, Box<Problem>> {
    let certificate = CertificateDer::from_pem_slice(certificate.as_bytes());
    let certificate = certificate.map_err(|error| failed("a certificate", &error))?;
    let key = PrivateKeyDer::from_pem_slice(key.as_bytes()).map_err(|error| failed("a key", &error))?;
    let key = any_ecdsa_type(&key).map_err(|error| failed("a key", &error))?;
    Ok(Arc::new(CertifiedKey::new(vec![certificate, root.certificate.clone()], key)))
}
