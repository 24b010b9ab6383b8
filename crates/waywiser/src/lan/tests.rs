//! What the certificates vouch for and what they do not, asked of the library that browsers' peers use, and of OpenSSL from
//! outside.

use super::leaf::Leaf;
use super::root::{Root, lasting, later, yesterday};
use crate::world;
use jiff::ToSpan;
use rcgen::{CertificateParams, KeyPair, SanType};
use rustls::RootCertStore;
use rustls::client::WebPkiServerVerifier;
use rustls::client::danger::ServerCertVerifier;
use rustls::pki_types::{CertificateDer, ServerName, UnixTime};
use std::io::Write;
use std::net::IpAddr;
use std::process::{Command, Stdio};
use std::sync::Arc;
use std::time::Duration;

/// What a client that trusts the root says of a certificate under a name, so many days from now.
fn said(root: &Root, certificate: &CertificateDer<'_>, name: &str, days: u64) -> Result<(), String> {
    let mut roots = RootCertStore::empty();
    roots.add(root.certificate.clone()).unwrap();
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let verifier = WebPkiServerVerifier::builder_with_provider(Arc::new(roots), provider).build().unwrap();
    let name = ServerName::try_from(name.to_string()).unwrap();
    let then = UnixTime::since_unix_epoch(Duration::from_secs(
        u64::try_from(world::now().as_second()).unwrap() + days * 86_400,
    ));
    let said = verifier.verify_server_cert(certificate, &[], &name, &[], then);
    said.map(|_| ()).map_err(|error| format!("{error:?}"))
}

fn addresses(of: &[&str]) -> Vec<IpAddr> {
    of.iter().map(|address| address.parse().unwrap()).collect()
}

#[test]
fn the_leaf_is_taken_under_its_names_and_no_other() {
    let folder = world::folder_for_a_test("leaf");
    let root = Root::of(&folder).unwrap();
    let leaf = Leaf::of(&root, &folder, &addresses(&["192.168.7.9", "10.1.2.3"])).unwrap();
    let shown = &leaf.shown.cert[0];
    for name in [root.host().as_str(), "192.168.7.9", "10.1.2.3"] {
        assert_eq!(said(&root, shown, name, 0), Ok(()), "{name}");
        assert_eq!(said(&root, shown, name, 390), Ok(()), "{name} later");
        assert!(
            said(&root, shown, name, 398).is_err_and(|error| error.contains("Expired")),
            "{name} at its end"
        );
    }
    for name in ["localhost", "waywiser-0000.example", "192.168.7.8", "127.0.0.1"] {
        assert!(said(&root, shown, name, 0).is_err_and(|error| error.contains("NotValidForName")), "{name}");
    }
    let other = Root::of(&world::folder_for_a_test("leaf-other")).unwrap();
    assert!(said(&other, shown, &root.host(), 0).is_err(), "another machine's root vouches for nothing here");
}

#[test]
fn whoever_has_the_roots_key_can_pretend_to_be_nobody_else() {
    let root = Root::of(&world::folder_for_a_test("constrained")).unwrap();
    let forged = |names: Vec<String>, address: Option<&str>| {
        let mut parameters = CertificateParams::new(names).unwrap();
        parameters
            .subject_alt_names
            .extend(address.map(|address| SanType::IpAddress(address.parse().unwrap())));
        let from = yesterday().unwrap();
        lasting(&mut parameters, from, later(from, 100.days()).unwrap());
        let key = KeyPair::generate().unwrap();
        parameters.signed_by(&key, &root.issuer().unwrap()).unwrap().der().clone()
    };
    let is_refused = |said: Result<(), String>| said.is_err_and(|error| error.contains("NameConstraint"));
    assert!(is_refused(said(&root, &forged(vec!["example.org".into()], None), "example.org", 0)));
    assert!(is_refused(said(&root, &forged(vec!["other.local".into()], None), "other.local", 0)));
    for address in ["192.0.2.7", "172.32.0.1", "2001:db8::1"] {
        assert!(is_refused(said(&root, &forged(vec![], Some(address)), address, 0)), "{address}");
    }
    // The same way signs what it may.
    for address in ["172.31.0.1", "169.254.1.1", "fd00::1"] {
        assert_eq!(said(&root, &forged(vec![], Some(address)), address, 0), Ok(()), "{address}");
    }
}

#[test]
fn the_leaf_stays_until_another_address_comes() {
    let folder = world::folder_for_a_test("leaf-stays");
    let root = Root::of(&folder).unwrap();
    let at = |of: &[&str]| Leaf::of(&root, &folder, &addresses(of)).unwrap();
    let first = at(&["192.168.7.9"]);
    assert_eq!(at(&["192.168.7.9"]).shown.cert, first.shown.cert);
    assert_eq!(at(&[]).shown.cert, first.shown.cert, "between two networks");
    let second = at(&["172.20.10.2"]);
    assert_ne!(second.shown.cert, first.shown.cert);
    assert_eq!(second.addresses, addresses(&["172.20.10.2", "192.168.7.9"]));
    assert_eq!(at(&["192.168.7.9"]).shown.cert, second.shown.cert, "coming home changes nothing");
    let again = Root::of(&folder).unwrap();
    assert_eq!((again.certificate.clone(), again.host()), (root.certificate.clone(), root.host()));
    // A leaf of another root is made again.
    world::remove(&folder.join("network-root.toml"));
    let other = Root::of(&folder).unwrap();
    assert_ne!(other.fingerprint(), root.fingerprint());
    let leaf = Leaf::of(&other, &folder, &addresses(&["192.168.7.9"])).unwrap();
    assert_eq!(said(&other, &leaf.shown.cert[0], &other.host(), 0), Ok(()));
}

#[test]
fn a_damaged_root_is_told_and_its_key_is_not() {
    let folder = world::folder_for_a_test("root-damaged");
    Root::of(&folder).unwrap();
    let path = super::root::file(&folder);
    let text = world::read_text(&path).unwrap().replace("BEGIN CERTIFICATE", "BEGIN SOMETHING");
    let key = text.split("PRIVATE KEY-----").nth(1).unwrap().trim()[..20].to_string();
    world::write(&path, text.as_bytes(), true).unwrap();
    let told = Root::of(&folder).err().unwrap().to_string();
    assert!(told.contains("damaged") && !told.contains(&key), "{told}");
}

/// What OpenSSL says of a certificate; none where there is no OpenSSL.
fn openssl(certificate: &CertificateDer<'_>, more: &[&str]) -> Option<(bool, String)> {
    let mut command = Command::new("openssl");
    let asked = command.args(["x509", "-inform", "DER", "-noout"]).args(more);
    let spawned = asked.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null()).spawn();
    let Ok(mut child) = spawned else {
        eprintln!("skipped: there is no openssl here, so nothing was looked at from outside");
        return None;
    };
    child.stdin.take().unwrap().write_all(certificate).unwrap();
    let ended = child.wait_with_output().unwrap();
    Some((ended.status.success(), String::from_utf8(ended.stdout).unwrap()))
}

#[test]
fn certificates_looked_at_from_outside() {
    let folder = world::folder_for_a_test("openssl");
    let root = Root::of(&folder).unwrap();
    let leaf = Leaf::of(&root, &folder, &addresses(&["192.168.7.9"])).unwrap();
    let shown = &leaf.shown.cert[0];
    let Some((_, text)) = openssl(&root.certificate, &["-text"]) else { return };
    let host = format!("DNS:{}", root.host());
    for piece in [
        "prime256v1",
        "CA:TRUE, pathlen:0",
        "Certificate Sign",
        "X509v3 Name Constraints: critical",
        "Permitted:",
        &host,
        "IP:10.0.0.0/255.0.0.0",
        "IP:172.16.0.0/255.240.0.0",
        "IP:192.168.0.0/255.255.0.0",
        "IP:169.254.0.0/255.255.0.0",
    ] {
        assert!(text.contains(piece), "no {piece} in {text}");
    }
    assert!(text.contains("IP:FC00:") && !text.contains("Excluded:"), "{text}");
    let (_, text) = openssl(shown, &["-text"]).unwrap();
    for piece in ["prime256v1", &format!("{host}, IP Address:192.168.7.9"), "TLS Web Server Authentication"] {
        assert!(text.contains(piece), "no {piece} in {text}");
    }
    assert!(!text.contains("CA:TRUE"), "{text}");
    let lasts = |days: u32| openssl(shown, &["-checkend", &(days * 86_400).to_string()]).unwrap().0;
    assert!(lasts(390) && !lasts(397), "at most 397 days");
    let (_, printed) = openssl(&root.certificate, &["-fingerprint", "-sha256"]).unwrap();
    assert!(printed.contains(&root.fingerprint()), "{printed}");
}
