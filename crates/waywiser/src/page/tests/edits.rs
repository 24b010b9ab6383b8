//! Forms that change a truck: what they write, and that two tabs lose nothing.

use super::Visitor;

const TEXT: &str =
    "# My truck\nname = \"The grey half-ton\" # since 2019\n\n[tire]\nsize = \"LT265/75R16\" # all-terrain\n";

fn text(visitor: &Visitor, slug: &crate::garage::Slug) -> String {
    visitor.app.garage.truck(slug).unwrap().text.clone()
}

#[test]
fn a_link_is_changed_where_it_stands() {
    let (visitor, slug) = Visitor::with("one", TEXT, &[]);
    let page = visitor.get_patiently(&format!("/trucks/{slug}/describe"));
    page.is(200).has(&["Tire", "LT265/75R16", &format!("action=\"/trucks/{slug}/part/tire/0\"")]);
    let version = page.hidden("version");
    let fields = [
        ("version", version.as_str()),
        ("keys", "size tread_depth"),
        ("size", "LT285/75R16"),
        ("tread_depth", "10/32 in"),
    ];
    visitor.post(&format!("/trucks/{slug}/part/tire/0"), &fields).is(303);
    let expected =
        TEXT.replace("LT265", "LT285").replace("all-terrain\n", "all-terrain\ntread_depth = \"10/32 in\"\n");
    assert_eq!(text(&visitor, &slug), expected);
}

#[test]
fn of_two_tabs_the_second_is_told_and_loses_nothing() {
    let (visitor, slug) = Visitor::with("two", TEXT, &[]);
    let address = format!("/trucks/{slug}/part/tire/0");
    let version = visitor.get_patiently(&format!("/trucks/{slug}/describe")).hidden("version");
    let change = |version: &str, key: &str, value: &str| {
        visitor.post(&address, &[("version", version), ("keys", key), (key, value)])
    };
    change(&version, "size", "LT285/75R16").is(303);
    let told = change(&version, "published_revs_per_mile", "655");
    told.is(409).has(&["The file has changed meanwhile", "LT285/75R16", "published_revs_per_mile = 655"]);
    assert!(!text(&visitor, &slug).contains("655"), "nothing was overwritten");
    // The page offers to make the change on the file as it is now.
    let again = [
        ("version", told.hidden("version")),
        ("keys", told.hidden("keys")),
        ("published_revs_per_mile", told.hidden("published_revs_per_mile")),
    ];
    let again: Vec<(&str, &str)> = again.iter().map(|(name, value)| (*name, value.as_str())).collect();
    visitor.post(&address, &again).is(303);
    let both = text(&visitor, &slug);
    assert!(both.contains("LT285") && both.contains("655") && both.contains("# all-terrain"), "{both}");
}

#[test]
fn evidence_comes_and_goes() {
    let (visitor, slug) = Visitor::with("three", TEXT, &[]);
    let form = visitor.get(&format!("/trucks/{slug}/new/evidence/rollout"));
    form.is(200).has(&["Chock the wheels", "name=\"turns\"", "name=\"lengths\"", "Add</button>"]);
    let (version, keys) = (form.hidden("version"), form.hidden("keys"));
    let fields = [
        ("version", version.as_str()),
        ("keys", keys.as_str()),
        ("kind", "rollout"),
        ("turns", "5"),
        ("lengths", "41 ft 3 in, 41 ft 2 1/2 in"),
    ];
    visitor.post(&format!("/trucks/{slug}/part/evidence/0"), &fields).is(303);
    assert!(
        text(&visitor, &slug).contains("lengths = [\"41 ft 3 in\", \"41 ft 2 1/2 in\"]"),
        "{}",
        text(&visitor, &slug)
    );
    let page = visitor.get_patiently(&format!("/trucks/{slug}/measure"));
    page.has(&["What each piece of evidence says", "rollout, 5 turns, 2 tries", "Take it out"]);
    let version = page.hidden("version");
    visitor.post(&format!("/trucks/{slug}/part/evidence/0/remove"), &[("version", &version)]).is(303);
    assert_eq!(text(&visitor, &slug), TEXT);
}

#[test]
fn what_cannot_be_is_not_written() {
    let (visitor, slug) = Visitor::with("four", TEXT, &[]);
    let version = visitor.get_patiently(&format!("/trucks/{slug}/describe")).hidden("version");
    let post = |section: &str, fields: &[(&str, &str)]| {
        let mut all = vec![("version", version.as_str())];
        all.extend(fields);
        visitor.post(&format!("/trucks/{slug}/part/{section}"), &all)
    };
    post("tire/0", &[("keys", "size"), ("size", "a big one")])
        .is(422)
        .has(&["a big one", "Nothing was changed"]);
    post("evidence/0", &[("kind", "hearsay")]).is(422);
    post("evidence/5", &[("kind", "published"), ("keys", "revs_per_mile"), ("revs_per_mile", "655")]).is(422);
    post("engine/0", &[]).is(404);
    visitor
        .post(&format!("/trucks/{slug}/part/tire/0"), &[("keys", "size"), ("size", "LT285/75R16")])
        .is(422);
    assert_eq!(text(&visitor, &slug), TEXT);
}

#[test]
fn a_bare_number_takes_the_owners_unit_where_it_can_only_be_one() {
    let (visitor, slug) = Visitor::with("five", TEXT, &[]);
    let add = |index: usize| {
        let version = visitor.app.garage.truck(&slug).unwrap().hash.to_string();
        let fields = [
            ("version", version.as_str()),
            ("keys", "indicated true"),
            ("kind", "hold"),
            ("indicated", "60"),
            ("true", "58.1"),
        ];
        visitor.post(&format!("/trucks/{slug}/part/evidence/{index}"), &fields).is(303);
    };
    add(0);
    visitor.post("/settings", &[("units", "metric")]).is(303);
    add(1);
    let text = text(&visitor, &slug);
    for piece in ["\"60 mph\"", "\"58.1 mph\"", "\"60 km/h\"", "\"58.1 km/h\""] {
        assert!(text.contains(piece), "{piece} in {text}");
    }
}
