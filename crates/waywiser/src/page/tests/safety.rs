//! Who may ask, what may be sent, and that nothing of this machine shows.

use super::Visitor;
use super::visitor::{HOST, Said};
use crate::garage::Slug;
use axum::body::Body;
use axum::http::{Request, header};

/// Asks for the garage with these headers.
fn ask(visitor: &Visitor, headers: &[(&str, &str)]) -> Said {
    let request =
        headers.iter().fold(Request::get("/"), |request, (name, value)| request.header(*name, *value));
    visitor.send(request.body(Body::empty()).unwrap())
}

#[test]
fn only_our_own_names_are_answered() {
    let visitor = Visitor::new();
    let check = |host: &str, status: u16| {
        ask(&visitor, &[("host", host)]).is(status);
    };
    check(HOST, 200);
    check("localhost:7171", 200);
    check("LOCALHOST:7171", 200);
    check("[::1]:7171", 200);
    for foreign in [
        "evil.example",
        "evil.example:7171",
        "127.0.0.1",
        "127.0.0.1:80",
        "localhost:7172",
        "127.0.0.1:7171.evil.example",
        "",
    ] {
        check(foreign, 403);
    }
    ask(&visitor, &[]).is(403);
    ask(&visitor, &[("host", HOST), ("host", "evil.example")]).is(403);
    let absolute =
        Request::get("http://evil.example/").header(header::HOST, HOST).body(Body::empty()).unwrap();
    visitor.send(absolute).is(403);
}

#[test]
fn changes_come_from_this_page_alone() {
    let visitor = Visitor::new();
    let token = visitor.token();
    let post = |headers: &[(&str, &str)], token: &str| {
        let request = Request::post("/sample").header(header::HOST, HOST);
        let request = headers.iter().fold(request, |request, (name, value)| request.header(*name, *value));
        visitor.send(request.body(Body::from(format!("token={token}"))).unwrap())
    };
    let ours = "http://127.0.0.1:7171";
    for headers in [
        &[("origin", "http://evil.example")][..],
        &[("origin", "null")],
        &[("origin", "https://127.0.0.1:7171")],
        &[("origin", "http://localhost:7171")],
        &[("origin", ours), ("sec-fetch-site", "cross-site")],
        &[("sec-fetch-site", "same-site")],
        &[("sec-fetch-site", "none")],
    ] {
        post(headers, &token).is(403).has(&["Not from this page"]);
    }
    post(&[("origin", ours)], "").is(403);
    post(&[("origin", ours)], &token[1..]).is(403);
    post(&[("origin", ours)], &"0".repeat(token.len())).is(403);
    assert!(visitor.app.garage.slugs().is_empty(), "nothing was changed");
    post(&[("origin", ours), ("sec-fetch-site", "same-origin")], &token).is(303);
    // A program on this machine says no origin; it needs the token all the same.
    post(&[], &token).is(303);
    assert_eq!(visitor.app.garage.slugs().len(), 2);
}

#[test]
fn another_site_makes_nobody_look_anything_up() {
    let (visitor, slug) = Visitor::with_sample();
    let ask = |address: &str, site: &str| {
        let request = Request::get(address).header(header::HOST, HOST).header("sec-fetch-site", site);
        visitor.send(request.body(Body::empty()).unwrap())
    };
    for address in ["/", "/record.jsonl", &format!("/trucks/{slug}/papers/job-sheet.pdf"), "/api/v1/trucks"] {
        for site in ["cross-site", "same-site", "something new"] {
            ask(address, site).is(403).has(&["Asked for by another site"]);
        }
    }
    ask("/", "same-origin").is(200);
    ask("/", "none").is(200);
    // From the page of the refusal one click leads on.
    ask("/", "cross-site").has(&["href=\"/\""]);
}

#[test]
fn where_others_can_ask_only_the_key_opens() {
    let key = "0123456789abcdef0123456789abcdef";
    let mut visitor = Visitor::new();
    visitor.locked_with(key);
    let ask = |address: &str, headers: &[(&str, &str)]| {
        let request = Request::get(address).header(header::HOST, HOST);
        let request = headers.iter().fold(request, |request, (name, value)| request.header(*name, *value));
        visitor.send(request.body(Body::empty()).unwrap())
    };
    let cookie = format!("other=1; waywiser-key={key}");
    for address in
        ["/", "/record", "/static/page.css", "/api/v1/trucks", "/?key=", &format!("/?key={}", &key[1..])]
    {
        ask(address, &[]).is(401).has(&["key"]);
        ask(address, &[("cookie", "waywiser-key=0123456789abcdef0123456789abcdee")]).is(401);
        ask(address, &[("authorization", "Bearer ")]).is(401);
    }
    ask("/", &[("cookie", &cookie)]).is(200);
    ask("/api/v1/trucks", &[("authorization", &format!("Bearer {key}"))]).is(200);
    let opened = ask(&format!("/?key={key}"), &[]);
    opened.is(303);
    assert_eq!(opened.location(), "/");
    let kept = opened.headers[header::SET_COOKIE].to_str().unwrap();
    assert!(kept.starts_with(&format!("waywiser-key={key};")), "{kept}");
    assert!(kept.contains("HttpOnly") && kept.contains("SameSite=Strict"), "{kept}");
}

#[test]
fn files_without_the_token_never_reach_the_disk() {
    let (visitor, slug) = Visitor::with_sample();
    let before = crate::world::files_in(&visitor.app.garage.truck_folder(&slug));
    let address = format!("/trucks/{slug}/files");
    visitor.upload(&address, "", &[("x.gpx", b"<gpx>")]).is(403);
    visitor.upload(&address, "wrong", &[("x.gpx", b"<gpx>")]).is(403);
    assert_eq!(crate::world::files_in(&visitor.app.garage.truck_folder(&slug)), before);
}

#[test]
fn every_answer_says_what_a_browser_may_do() {
    let visitor = Visitor::new();
    for address in ["/", "/nowhere", "/static/nothing", "/trucks/none/describe"] {
        let said = visitor.get(address);
        let header = |name: &str| said.headers.get(name).map_or("", |value| value.to_str().unwrap());
        let policy = header("content-security-policy");
        for rule in ["default-src 'none'", "frame-ancestors 'none'", "base-uri 'none'", "form-action 'self'"]
        {
            assert!(policy.contains(rule), "{address}: {policy}");
        }
        assert!(!policy.contains("unsafe"), "{policy}");
        assert_eq!(header("x-content-type-options"), "nosniff");
        // `no-referrer` would make a browser hide its origin from us, too.
        assert_eq!(header("referrer-policy"), "same-origin");
    }
    let sheet = super::super::assets::address("page.css");
    let said = visitor.get(sheet);
    assert!(said.headers["cache-control"].to_str().unwrap().contains("immutable"));
}

#[test]
fn too_much_is_refused_with_a_word() {
    let visitor = Visitor::new();
    let long = "a".repeat(600 << 10);
    visitor.post("/add", &[("name", &long)]).is(413).has(&["512 KB", "To the garage"]);
    let declared = Visitor::form("/add", &[]).header(header::CONTENT_LENGTH, (600u64 << 20).to_string());
    visitor.send(declared.body(Body::empty()).unwrap()).is(413).has(&["512 MB"]);
}

#[test]
fn what_was_typed_stays_text() {
    let name = "<script>alert(1)</script>\"'&<b>";
    let visitor = Visitor::new();
    let said = visitor.post("/add", &[("name", name), ("size", "LT265/75R16")]);
    said.is(303);
    for address in ["/", said.location(), &said.location().replace("describe", "measure")] {
        let page = visitor.get_patiently(address);
        page.is(200).lacks(&["<script>alert", "<b>"]).has(&["&lt;script&gt;alert(1)&lt;/script&gt;"]);
    }
    let wrong = visitor.post("/add", &[("name", "x"), ("size", "<img src=x>")]);
    wrong.is(422).lacks(&["<img"]).has(&["&lt;img"]);
}

#[test]
fn names_lead_nowhere_else() {
    let (visitor, slug) = Visitor::with_sample();
    for address in [
        "/trucks/..%2f..%2fetc/describe",
        "/trucks/%2e%2e/describe",
        "/trucks/a%00b/measure",
        "/static/..%2f..%2fCargo.toml",
    ] {
        visitor.get(address).is(404);
    }
    let address = format!("/trucks/{slug}/files");
    let token = visitor.token();
    visitor
        .upload(
            &address,
            &token,
            &[("../../../escaped.txt", b"x"), ("truck.toml", b"x"), ("/etc/passwd", b"x")],
        )
        .is(303);
    let files = crate::world::files_in(&visitor.app.garage.truck_folder(&slug));
    for name in ["escaped.txt", "file-truck.toml", "passwd"] {
        assert!(files.iter().any(|file| file == name), "{name} in {files:?}");
    }
    assert_eq!(visitor.app.garage.slugs(), std::slice::from_ref(&slug));
    // A vehicle file that names a file elsewhere does not make the page tell what is there.
    let text = "[tire]\nsize = \"LT265/75R16\"\n[[evidence]]\nkind = \"drive\"\ntrack = \"../../record.sqlite\"\nholds = [\"30 mph\"]\n";
    let other: Slug = visitor.app.garage.add("other", text, &[]).unwrap();
    let said = visitor.get_patiently(&format!("/trucks/{other}/measure"));
    let folder = visitor.app.garage.folder().display().to_string();
    said.has(&["the name of a file beside it"]).lacks(&[&folder]);
}

#[test]
fn errors_have_a_way_on_and_no_path() {
    let (visitor, slug) = Visitor::with(
        "lost",
        "[[evidence]]\nkind = \"drive\"\ntrack = \"gone.gpx\"\nholds = [\"30 mph\"]\n",
        &[],
    );
    let folder = visitor.app.garage.folder().display().to_string();
    for page in ["describe", "measure", "evidence/0", "evidence/7", "nothing"] {
        let said = visitor.get_patiently(&format!("/trucks/{slug}/{page}"));
        said.lacks(&[&folder]);
        assert!(said.body.contains("href=\"/"), "a way on from {page}");
    }
    visitor.get_patiently(&format!("/trucks/{slug}/measure")).has(&[
        "gone.gpx",
        "no such file",
        "Take it out",
    ]);
}

#[test]
fn no_page_asks_anybody_else() {
    let (visitor, slug) = Visitor::with_sample();
    for address in [
        "/",
        "/add",
        "/settings",
        "/batch",
        "/bench?counts=8000&speeds=60+mph&lasting=1+s",
        "/record",
        "/tire?size=LT285%2F75R16",
        "/rules",
        "/manual",
        "/manual/method",
        &format!("/trucks/{slug}/set"),
        &format!("/trucks/{slug}/record"),
        &format!("/trucks/{slug}/describe"),
        &format!("/trucks/{slug}/measure"),
        &format!("/trucks/{slug}/evidence/1"),
        &format!("/trucks/{slug}/new/evidence/rollout"),
    ] {
        let said = visitor.get_patiently(address);
        let links =
            said.body.split(['"', ' ', '\'']).filter(|word| word.contains("://") || word.starts_with("//"));
        let foreign: Vec<&str> = links.filter(|link| !link.contains("www.w3.org/2000/svg")).collect();
        assert!(foreign.is_empty(), "{address}: {foreign:?}");
        said.lacks(&["style=\"", "<style", " onclick", "javascript:"]);
    }
}
