//! A phone in the network, asked by a client of its own over an encrypted line: who is let in, by what, and what nobody reaches.
#![cfg(all(unix, feature = "lan"))]
#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "what is tested are a program and its files"
)]

mod phone;

use phone::{COOKIE, PATIENCE, Said, Served};
use std::io::Write;
use std::net::TcpStream;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::Command;

#[test]
fn a_line_is_encrypted_by_this_machines_root_and_has_its_name() {
    let served = Served::start("line");
    assert!(served.host.starts_with("waywiser-") && served.host.ends_with(".local"), "{}", served.host);
    served.ask("GET", "/pair", &[], "").is(200);
    for other in ["localhost", "example.org", "waywiser-zzzz.local"] {
        assert!(served.line(&served.root, other).is_err_and(|error| error.contains("NotValidForName") || error.contains("not valid for name")), "{other}");
    }
    let elsewhere = Served::start("line-elsewhere");
    assert!(
        elsewhere.line(&served.root, &elsewhere.host).is_err(),
        "another garage's root vouches for nothing here"
    );
    // Another start has the same name, root and certificate.
    let shown = |served: &Served| {
        served.line(&served.root, &served.host).unwrap().conn.peer_certificates().unwrap()[0].to_vec()
    };
    let (root, host, leaf, garage) =
        (served.root.clone(), served.host.clone(), shown(&served), served.garage.clone());
    drop(served);
    let again = Served::again(garage);
    assert_eq!((&again.root, &again.host, shown(&again)), (&root, &host, leaf));
    assert_eq!(again.ask("GET", "/run/root.crt", &[], "").is(200).body, root);
}

#[test]
fn nothing_is_answered_in_the_plain() {
    let served = Served::start("plain");
    let mut stream = TcpStream::connect(("127.0.0.1", served.port)).unwrap();
    stream.set_read_timeout(Some(PATIENCE)).unwrap();
    write!(stream, "GET /run HTTP/1.1\r\nhost: {}:{}\r\n\r\n", served.host, served.port).unwrap();
    let said = Said::read(stream).is(400);
    let told = said.text();
    assert!(told.contains("not encrypted") && told.contains(&format!("{}/run", served.origin())), "{told}");
}

#[test]
fn keys_and_phones_are_for_their_owner_alone() {
    let served = Served::start("files");
    let cookie = served.phone();
    let key = cookie.split('=').nth(1).unwrap();
    for name in ["network-root.toml", "network-leaf.toml", "network-phones.toml"] {
        let path = served.garage.join(name);
        assert_eq!(std::fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o600, "{name}");
        assert!(!std::fs::read_to_string(&path).unwrap().contains(key), "the key stands in {name}");
    }
    for path in ["/run/root.crt", "/run/network-root.toml", "/run/root.key"] {
        let given = served.ask("GET", path, &[("cookie", &cookie)], "");
        assert!(!given.text().contains("PRIVATE"), "{path}");
    }
}

#[test]
fn a_code_lets_one_phone_in_once() {
    let served = Served::start("once");
    let code = served.code();
    served.bring(&code).is(200);
    let again = served.bring(&code).is(403);
    assert!(again.text().contains("was used") && again.header("set-cookie").is_empty(), "{}", again.text());
    // The laptop's page shows the phone, and the code no longer.
    let (page, _) = served.devices();
    assert!(page.contains("the blue one") && !page.contains("/pair#"), "{page}");
    let fingerprint = page.split("<code>").nth(1).unwrap().split('<').next().unwrap();
    assert_eq!((fingerprint.len(), fingerprint.matches(':').count()), (95, 31), "{fingerprint}");
}

#[test]
fn the_sixth_attempt_is_refused_though_it_is_right() {
    let served = Served::start("sixth");
    let code = served.code();
    for left in [4, 3, 2, 1] {
        let said = served.bring(&"0".repeat(32)).is(403).text();
        assert!(said.contains(&format!("{left} of 5")), "{said}");
    }
    served.bring("").is(403);
    let said = served.bring(&code).is(403).text();
    assert!(said.contains("Too many"), "{said}");
    // Without a code, whatever is tried is refused, and what is no code at all too.
    let closed = Served::start("closed");
    for guess in 0..50 {
        closed.bring(&format!("{guess:032x}")).is(403);
    }
    for body in ["", "{}", "[]", "{\"secret\":1,\"name\":\"\"}", &"x".repeat(2000)] {
        closed.ask("POST", "/pair", &[], body).is(400);
    }
    assert!(closed.devices().0.contains("None yet"));
}

#[test]
fn a_key_opens_until_it_is_taken_away() {
    let served = Served::start("revoked");
    let cookie = served.phone();
    let other = served.phone();
    assert!(served.is_let_in(&cookie) && served.is_let_in(&other));
    assert!(served.is_let_in(&format!("theme=dark; {cookie}")));
    let short = &cookie[..cookie.len() - 1];
    for wrong in
        ["", "a=b", &format!("{COOKIE}="), short, &format!("{cookie}0"), &cookie.replace("__Secure-", "")]
    {
        assert!(!served.is_let_in(wrong), "{wrong}");
    }
    for guess in 0..50 {
        assert!(!served.is_let_in(&format!("{COOKIE}={guess:064x}")));
    }
    let (page, token) = served.devices();
    // The newest stands first.
    let id = page.split("/devices/").filter_map(|rest| rest.split_once("/revoke")).last().unwrap().0;
    served.ask_here("POST", &format!("/devices/{id}/revoke"), "token=wrong").is(403);
    assert!(served.is_let_in(&cookie));
    served.ask_here("POST", &format!("/devices/{id}/revoke"), &format!("token={token}")).is(303);
    served.ask_here("POST", "/devices/none/revoke", &format!("token={token}")).is(404);
    assert!(!served.is_let_in(&cookie) && served.is_let_in(&other), "the first is out, and no other");
    assert!(served.devices().0.contains("Its key was taken away"));
}

#[test]
fn another_site_changes_nothing() {
    let served = Served::start("foreign");
    let (code, own) = (served.code(), served.origin());
    let body = format!("{{\"secret\":\"{code}\",\"name\":\"\"}}");
    let plain = own.replace("https", "http");
    for headers in [
        &[("origin", "https://evil.example")][..],
        &[("origin", "null")],
        &[("origin", &plain)],
        &[("origin", "https://127.0.0.1:7172")],
        &[("origin", &own), ("sec-fetch-site", "cross-site")],
        &[("sec-fetch-site", "same-site")],
        &[("sec-fetch-site", "none")],
    ] {
        let said = served.ask("POST", "/pair", headers, &body).is(403);
        assert!(said.text().contains("Another site"), "{}", said.text());
    }
    served.ask("GET", "/pair", &[("sec-fetch-site", "cross-site")], "").is(403);
    served.ask("GET", "/pair", &[("sec-fetch-site", "none")], "").is(200);
    let cookie = served.phone();
    served
        .ask("POST", "/run/records/one", &[("cookie", &cookie), ("origin", "https://evil.example")], "{}")
        .is(403);
    let port = served.port;
    for host in [
        "evil.example",
        "localhost",
        "127.0.0.1",
        &served.host,
        &format!("127.0.0.1:{port}"),
        &format!("{}:1", served.host),
    ] {
        served.ask("GET", "/pair", &[("host", host)], "").is(403);
    }
}

#[test]
fn a_phone_reaches_the_drive_and_nothing_of_the_garage() {
    let served = Served::start("garage");
    let cookie = served.phone();
    let (_, token) = served.devices();
    let kept = [("cookie", cookie.as_str())];
    for path in [
        "/",
        "/record",
        "/record.jsonl",
        "/devices",
        "/settings",
        "/manual",
        "/add",
        "/tire?size=LT265%2F75R16",
        "/api/v1/trucks",
        "/api/v1/openapi.json",
        "/trucks/sample/describe",
        "/trucks/sample/measure",
        "/static/page.css",
        "/runs",
        "/running",
        "/pairs",
        "/run/../record",
        "/run/%2e%2e/record",
        "//record",
        "/RUN",
    ] {
        let said = served.ask("GET", path, &kept, "");
        assert!(said.status == 404 || said.status == 400, "{path}: {}", said.status);
        assert!(!said.text().contains("href=\"/trucks"), "{path}");
    }
    let form = format!("token={token}");
    for path in ["/sample", "/devices/let-in", "/settings", "/api/v1/trucks", "/trucks/sample/record", "/add"]
    {
        served.ask("POST", path, &kept, &form).is(404);
    }
    assert!(served.ask_here("GET", "/api/v1/trucks", "").is(200).text().contains("[]"), "nothing was added");
    // Without a key, the page for the drive is as far away as everything else.
    for path in ["/run", "/run/app.js", "/run/worker.js", "/run/needs", "/run/records/one"] {
        served.ask("GET", path, &[], "").is(401);
    }
    let large = (5u64 << 20).to_string();
    let mut line = served.line(&served.root, &served.host).unwrap();
    write!(line, "POST /run/records/one HTTP/1.1\r\nhost: {}:{}\r\ncookie: {cookie}\r\ncontent-length: {large}\r\nconnection: close\r\n\r\n", served.host, served.port).unwrap();
    Said::read(line).is(413);
    let said = served.ask("GET", "/run/nothing", &kept, "");
    let permitted = said.header("permissions-policy");
    assert!(
        permitted.contains("geolocation=(self)") && permitted.contains("screen-wake-lock=(self)"),
        "{permitted}"
    );
    assert!(said.header("content-security-policy").contains("default-src 'none'"));
    let said = served.ask("GET", "/pair", &[], "");
    assert!(said.header("permissions-policy").contains("geolocation=()"), "{}", said.head);
}

#[test]
fn other_addresses_are_refused_whatever_is_said() {
    let run = |words: &[&str]| {
        let garage = Path::new(env!("CARGO_TARGET_TMPDIR")).join("lan").join("refused");
        let mut command = Command::new(env!("CARGO_BIN_EXE_waywiser"));
        let ended =
            command.args(["serve", "--no-browser", "--garage"]).arg(garage).args(words).output().unwrap();
        (ended.status.code(), String::from_utf8(ended.stderr).unwrap())
    };
    let (code, told) = run(&["--address", "192.0.2.7:7171"]);
    assert_eq!(code, Some(1));
    assert!(told.contains("--lan") && told.contains("read and change everything"), "{told}");
    let (code, told) = run(&["--address", "192.0.2.7:7171", "--lan"]);
    assert_eq!(code, Some(1));
    assert!(told.contains("stays on this machine"), "{told}");
    assert_eq!(run(&["--lan", "--with-key"]).0, Some(2));
    assert_eq!(run(&["--port", "7173"]).0, Some(2));
}
