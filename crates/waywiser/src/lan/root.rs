//! The root of this machine's certificates, made once. It can vouch for this machine's name and for private addresses, and for
//! nothing else: whoever stole its key could not pretend to be any other site.

use super::digits::digits;
use super::failure::failed;
use super::near::PRIVATE;
use crate::world;
use jiff::ToSpan;
use jiff::civil::Date;
use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DistinguishedName, DnType, GeneralSubtree, IsCa, Issuer,
    KeyPair, KeyUsagePurpose, NameConstraints,
};
use rustls::pki_types::CertificateDer;
use rustls::pki_types::pem::PemObject;
use std::path::{Path, PathBuf};
use toml_edit::{DocumentMut, value};
use truing::problem::{Problem, Problems};
use truing::record::Hash;

const FILE: &str = "network-root.toml";
const HEAD: &str = "# The root of this machine's certificates, for phones in the same network. Whoever has its key can pretend to a phone that\n\
    # trusts this root to be this machine, and nothing else. Delete the file to begin again; every phone has to be let in again then.\n";
/// The root is trusted by hand on each phone; nobody does that each year (judgement).
const LASTS_YEARS: i32 = 10;

/// A root with its key.
pub struct Root {
    name: String,
    /// The certificate.
    pub certificate: CertificateDer<'static>,
    key: KeyPair,
}

impl Root {
    /// The one of a garage, made where there is none.
    pub fn of(folder: &Path) -> Result<Self, Problems> {
        let path = file(folder);
        if world::stamp(&path).is_some() {
            return Ok(Self::read(&path)?);
        }
        let (root, text) = Self::new()?;
        let made =
            world::make_folders(folder).and_then(|()| world::write_new_private(&path, text.as_bytes()));
        match made {
            Ok(()) => Ok(root),
            // Another program made one meanwhile.
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => Ok(Self::read(&path)?),
            Err(error) => {
                let found = error.to_string();
                let problem =
                    Problem::error(path.display().to_string(), "a place that can be written to", found);
                Err(problem
                    .hint("See whether the disk is full or the folder belongs to somebody else.")
                    .into())
            }
        }
    }

    fn read(path: &Path) -> Result<Self, Box<Problem>> {
        let text = world::read_text(path)?;
        let read = || {
            let document: DocumentMut = text.parse().ok()?;
            let text = |key: &str| document.get(key)?.as_str();
            let certificate = CertificateDer::from_pem_slice(text("certificate")?.as_bytes()).ok()?;
            let key = KeyPair::from_pem(text("key")?).ok()?;
            Some(Self { name: text("name")?.to_string(), certificate, key })
        };
        read().ok_or_else(|| {
            // What was found is not told: it may be most of the key.
            let problem = Problem::error(path.display().to_string(), "name, certificate and key", "something else");
            Box::new(problem.hint(
                "The file is damaged. Put your copy in its place, or delete it: another root is made then, and every phone \
                 has to be let in again.",
            ))
        })
    }

    /// Another one, and the file that keeps it.
    fn new() -> Result<(Self, String), Box<Problem>> {
        let name = new_name()?;
        let key = KeyPair::generate().map_err(|error| failed("a key for this machine", &error))?;
        let certificate = parameters(&name)?.self_signed(&key);
        let certificate = certificate.map_err(|error| failed("a root for this machine", &error))?;
        let mut document = DocumentMut::new();
        document["name"] = value(&name);
        document["certificate"] = value(certificate.pem());
        document["key"] = value(key.serialize_pem());
        let certificate = certificate.der().clone();
        Ok((Self { name, certificate, key }, format!("{HEAD}{document}")))
    }

    /// The name of this machine in its network, without `.local`.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The same as phones ask for it (RFC 6762, section 3).
    pub fn host(&self) -> String {
        host(&self.name)
    }

    /// The fingerprint by which a person tells this root from another: SHA-256 of the certificate, in pairs of digits.
    pub fn fingerprint(&self) -> String {
        let hash = Hash::new(&self.certificate);
        let pairs: Vec<String> = hash.bytes().iter().map(|byte| format!("{byte:02X}")).collect();
        pairs.join(":")
    }

    /// What signs in its name.
    pub fn issuer(&self) -> Result<Issuer<'static, &KeyPair>, Box<Problem>> {
        Ok(Issuer::new(parameters(&self.name)?, &self.key))
    }
}

fn host(name: &str) -> String {
    format!("{name}.local")
}

/// Where the root of a garage lies.
pub fn file(folder: &Path) -> PathBuf {
    folder.join(FILE)
}

/// A name that no other machine of the network is likely to have.
fn new_name() -> Result<String, Box<Problem>> {
    let secret = world::secret()?;
    Ok(format!("waywiser-{}", digits(secret.get(..2).unwrap_or_default())))
}

fn parameters(name: &str) -> Result<CertificateParams, Box<Problem>> {
    let mut parameters = CertificateParams::default();
    parameters.distinguished_name = called(&format!("waywiser root of {name}"));
    parameters.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    parameters.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    let ranges = PRIVATE
        .map(|(address, length)| GeneralSubtree::IpAddress(CidrSubnet::from_addr_prefix(address, length)));
    let permitted_subtrees = [GeneralSubtree::DnsName(host(name))].into_iter().chain(ranges).collect();
    parameters.name_constraints = Some(NameConstraints { permitted_subtrees, excluded_subtrees: Vec::new() });
    let from = yesterday()?;
    lasting(&mut parameters, from, later(from, LASTS_YEARS.years())?);
    Ok(parameters)
}

/// A name of a certificate that is not looked up, only read.
pub fn called(name: &str) -> DistinguishedName {
    let mut called = DistinguishedName::new();
    called.push(DnType::CommonName, name);
    called
}

/// The day before this one: a phone's clock may be behind.
pub fn yesterday() -> Result<Date, Box<Problem>> {
    let today = jiff::tz::Offset::UTC.to_datetime(world::now()).date();
    today.yesterday().map_err(|error| failed("a day that a calendar holds", &error))
}

/// A day that is so much later.
pub fn later(day: Date, span: jiff::Span) -> Result<Date, Box<Problem>> {
    day.checked_add(span).map_err(|error| failed("a day that a calendar holds", &error))
}

/// From the beginning of one day to that of another (UTC).
pub fn lasting(parameters: &mut CertificateParams, from: Date, until: Date) {
    let midnight = |day: Date| {
        let [month, day_of_month] = [day.month(), day.day()].map(i8::unsigned_abs);
        rcgen::date_time_ymd(day.year().into(), month, day_of_month)
    };
    (parameters.not_before, parameters.not_after) = (midnight(from), midnight(until));
}
