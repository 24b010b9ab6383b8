//! Forms that everybody fills in: what is typed as people type it goes in, and a mistake brings the same form back with
//! everything kept.

use super::Visitor;
use super::visitor::Said;
use crate::garage::Slug;

const TRUCK: &str = "name = \"The grey half-ton\"\n[tire]\nsize = \"LT265/75R16\"\n";

/// Sends a form with its own hidden fields, and what was typed.
fn send(visitor: &Visitor, slug: &Slug, part: &str, kind: &str, typed: &[(&str, &str)]) -> Said {
    let form = visitor.get(&format!("/trucks/{slug}/new/{part}/{kind}"));
    let (version, keys) = (form.is(200).hidden("version"), form.hidden("keys"));
    let mut fields = vec![("version", version.as_str()), ("keys", keys.as_str())];
    fields.extend((kind != "-").then_some(("kind", kind)));
    fields.extend(typed);
    let place = form.body.split("/part/").nth(1).unwrap().split('"').next().unwrap();
    visitor.post(&format!("/trucks/{slug}/part/{place}"), &fields)
}

/// The markup of the field of a name, up to the next field.
fn field<'p>(page: &'p str, name: &str) -> &'p str {
    let mark = format!(" name=\"{name}\"");
    let main = page.split("<main").nth(1).unwrap();
    let before = main.find(&mark).unwrap_or_else(|| panic!("no field {name} in {main}"));
    let from = main[..before].rfind("<div class=\"field").unwrap();
    main[from..].split("<div class=\"field").nth(1).unwrap()
}

/// A form that is right but for one field: it comes back with all that was typed, the message under that field in its own
/// words, the focus on it, and the truck's head and stages above.
fn mistake(form: (&str, &str), good: &[(&str, &str)], wrong: (&str, &str), says: &str) {
    let (visitor, slug) = Visitor::with("one", TRUCK, &[]);
    let mut typed: Vec<(&str, &str)> = good.iter().copied().filter(|(name, _)| *name != wrong.0).collect();
    typed.push(wrong);
    let page = send(&visitor, &slug, form.0, form.1, &typed);
    page.is(422).has(&[
        "Nothing was changed yet.",
        "truck-name\">The grey half-ton<",
        "aria-label=\"Stages\"",
    ]);
    page.lacks(&["truck.toml", "line 1", &format!("{} =", wrong.0), "in quotes"]);
    let around = field(&page.body, wrong.0);
    let says = says.replace('"', "&quot;");
    for piece in [says.as_str(), "class=\"wrong\"", "autofocus", "-wrong "] {
        assert!(around.contains(piece), "{form:?} {wrong:?}: no {piece:?} in {around}");
    }
    for (name, value) in typed.iter().filter(|(_, value)| !value.is_empty()) {
        let value = value.replace('"', "&quot;");
        let kept = field(&page.body, name);
        let input = format!("value=\"{value}\"");
        assert!(kept.contains(&input), "{form:?}: {name} lost {value:?}: {kept}");
    }
    let text = &visitor.app.garage.truck(&slug).unwrap().text;
    assert_eq!(text, TRUCK, "nothing was written");
    // The same without the mistake goes in.
    send(&visitor, &slug, form.0, form.1, good).is(303);
}

type Typed = &'static [(&'static str, &'static str)];
/// A form, what is right in it, and mistakes: the field, what is typed there, a part of the message.
type Case = ((&'static str, &'static str), Typed, [(&'static str, &'static str, &'static str); 3]);

#[rustfmt::skip]
const MISTAKES: [Case; 8] = [
    (("adjuster", "stepped-constant"),
     &[("present", "8.20"), ("writes_left", "4"), ("min", "4.00"), ("max", "12.00"), ("step", "0.02"), ("buttons", "up")],
     [("present", "8.21", "a value from 4.00 to 12.00 in steps of 0.02; found \"8.21\""),
      ("max", "3", "more than the lowest value, 4.00"),
      ("writes_left", "few", "a whole number from 0")]),
    (("chain", "-"),
     &[("sensor_at", "transmission-output"), ("counts_per_turn", "22"), ("axle_ratio", "46/11")],
     [("axle_ratio", "46-11", "an axle ratio between 1 and 20"),
      ("counts_per_turn", "2.5", "a whole number from 1 to 1000"),
      ("axle_ratio", "0,37", "an axle ratio between 1 and 20")]),
    (("tire", "-"),
     &[("size", "LT285/75R16"), ("tread_depth", "10"), ("published_revs_per_mile", "618")],
     [("size", "LT285/75", "R (radial)"),
      ("tread_depth", "deep", "a length"),
      ("published_revs_per_mile", "-618", "a number per mile, above zero")]),
    (("evidence", "rollout"),
     &[("turns", "5"), ("lengths", "495"), ("date", "2026-05-02")],
     [("lengths", "41 2", "a length"),
      ("turns", "0", "a whole number from 1"),
      ("lengths", "", "This is needed")]),
    (("evidence", "timed-mile"),
     &[("indicated", "60"), ("seconds", "1:02.4"), ("distance", "1")],
     [("seconds", "1:72", "a time such as 62.4 or 1:02.4"),
      ("indicated", "sixty", "a speed"),
      ("seconds", "", "This is needed")]),
    (("evidence", "hold"),
     &[("indicated", "60"), ("true", "62.5")],
     [("true", "62.5 psi", "a speed"),
      ("indicated", "-60", "a number without a sign"),
      ("true", "", "This is needed")]),
    (("evidence", "odometer-distance"),
     &[("odometer_start", "128411.0"), ("odometer_end", "128420.6"), ("true", "10.0")],
     [("odometer_end", "128401.0", "more than at the start"),
      ("odometer_end", "", "This is needed"),
      ("true", "10.0 gallons", "a length in one of")]),
    (("evidence", "drive"),
     &[("track", "drive.gpx"), ("holds", "30, 45, 60")],
     [("holds", "30, fast", "a speed"),
      ("holds", "", "Fill in one of these: Steady speeds called out, in order; The truck's own log"),
      ("holds", "47,5", "one number or several")]),
];

#[test]
fn a_mistake_keeps_everything_that_was_typed() {
    for (form, good, wrong) in MISTAKES {
        for (name, typed, says) in wrong {
            mistake(form, good, (name, typed), says);
        }
    }
}

/// The owner's units, a form, what people type there, and what stands in the file for it.
type Forgiven = (&'static str, (&'static str, &'static str), Typed, &'static [&'static str]);

#[rustfmt::skip]
const FORGIVEN: [Forgiven; 7] = [
    ("us", ("adjuster", "stepped-constant"),
     &[("present", "8,000"), ("min", "1,000"), ("max", "20,000"), ("step", "1"), ("buttons", "up"), ("buttons", "down")],
     &["present = 8000", "min = 1000", "buttons = [\"up\", \"down\"]"]),
    ("metric", ("adjuster", "stepped-constant"),
     &[("present", "8,20"), ("min", "4"), ("max", "12"), ("step", "0,02"), ("buttons", "up"), ("wraps", "true")],
     &["present = \"8.20\"", "step = \"0.02\"", "wraps = true"]),
    ("us", ("evidence", "rollout"),
     &[("turns", "5"), ("lengths", "495"), ("lengths", "41'2.5\""), ("lengths", "")],
     &["lengths = [\"495 in\", \"41 ft 2.5 in\"]"]),
    ("mixed", ("evidence", "rollout"),
     &[("turns", "5"), ("lengths", "12,55")],
     &["lengths = [\"12.55 m\"]"]),
    ("us", ("evidence", "timed-mile"),
     &[("indicated", "60"), ("seconds", "1:02.4"), ("seconds", "61,8")],
     &["indicated = \"60 mph\"", "seconds = [\"62.4\", \"61.8\"]"]),
    ("us", ("evidence", "odometer-distance"),
     &[("odometer_start", "128,411"), ("odometer_end", "128421"), ("true", "10.02 +/- 0.02")],
     &["odometer_start = \"128411 mi\"", "true = \"10.02 +/- 0.02 mi\""]),
    ("us", ("tire", "-"),
     &[("size", "31x10,5"), ("tread_depth", "10")],
     &["size = \"31x10,5\"", "name = \"31x10,5\"", "name = \"LT265/75R16\"", "tread_depth = \"10/32 in\""]),
];

#[test]
fn typing_is_forgiven() {
    for (units, form, typed, written) in FORGIVEN {
        let (visitor, slug) = Visitor::with("one", TRUCK, &[]);
        visitor.post("/settings", &[("units", units)]).is(303);
        send(&visitor, &slug, form.0, form.1, typed).is(303);
        let text = visitor.app.garage.truck(&slug).unwrap().text.clone();
        for line in written {
            assert!(text.contains(line), "{line} in {text}");
        }
    }
}

#[test]
fn a_truck_is_added_with_its_mistakes_under_their_fields() {
    let visitor = Visitor::new();
    let check = |name: &str, size: &str, wrong: &str, says: &str| {
        let page = visitor.post("/add", &[("name", name), ("size", size)]);
        page.is(422).has(&[&format!("value=\"{name}\""), &format!("value=\"{size}\"")]);
        let around = field(&page.body, wrong);
        assert!(around.contains(says) && around.contains("autofocus"), "{around}");
    };
    check("The grey half-ton", "LT265/75", "size", "R (radial)");
    check("The grey half-ton", "a big one", "size", "a tire size such as");
    check("", "LT265/75R16", "name", "a name");
    visitor.post("/add", &[("name", "Short"), ("size", "31x10.5")]).is(303);
}

/// What is typed is worked out by the server, in the owner's units, and nothing is kept of it.
#[test]
fn what_a_form_would_come_to_is_shown_before_it_is_sent() {
    let (visitor, slug) = Visitor::with("one", TRUCK, &[]);
    let says = |address: &str| {
        let said = visitor.get(address);
        let json: serde_json::Value = serde_json::from_str(&said.is(200).body).unwrap();
        json["says"].as_str().map(str::to_string)
    };
    let tire = says("/preview/tire?size=LT265%2F75R16").unwrap();
    assert!(tire.starts_with("LT265/75R16, radial: 65") && tire.contains("revolutions per mile"), "{tire}");
    assert_eq!(says("/preview/tire?size=LT265"), None);
    // Five turns of the size are 40 ft 2 3/4 in (see the report).
    let rollout =
        says(&format!("/trucks/{slug}/preview/rollout?turns=5&lengths=40+ft+2+3%2F4+in&lengths=482.9"))
            .unwrap();
    assert!(rollout.contains("what the size allows"), "{rollout}");
    let short = says(&format!("/trucks/{slug}/preview/rollout?turns=4&lengths=482.9")).unwrap();
    assert!(short.contains("far off"), "{short}");
    assert_eq!(says(&format!("/trucks/{slug}/preview/rollout?turns=5&lengths=")), None);
    visitor.post("/settings", &[("units", "metric")]).is(303);
    assert!(says("/preview/tire?size=LT265%2F75R16").unwrap().contains("per km"));
    let form = visitor.get(&format!("/trucks/{slug}/new/evidence/rollout"));
    form.has(&["data-preview=\"/trucks/one/preview/rollout\"", "data-fields=\"turns lengths\"", "live.js"]);
}

#[test]
fn a_module_can_begin_from_a_shape() {
    let (visitor, slug) = Visitor::with("one", TRUCK, &[]);
    let plain = visitor.get(&format!("/trucks/{slug}/new/adjuster/stepped-constant"));
    let shapes: Vec<String> = plain
        .body
        .split("href=\"")
        .filter_map(|rest| {
            let address = rest.split('"').next()?;
            address.contains("stepped-constant?").then(|| address.replace("&amp;", "&"))
        })
        .collect();
    assert!(shapes.len() >= 3, "{shapes:?}");
    for shape in shapes {
        let form = visitor.get(&shape);
        for name in ["min", "max", "step"] {
            assert!(!field(form.is(200).body.as_str(), name).contains("value=\"\""), "{shape} {name}");
        }
        assert!(field(&form.body, "buttons").contains(" checked"), "{shape}");
    }
}

/// A value that is already in the file, and of which nothing is said in the form, stays as it was written.
#[test]
fn what_a_form_cannot_show_stays() {
    let text = "name = \"One\"\n[use]\nreserve = 1\n[use.rule]\nover_percent = 4 # ours\n";
    let (visitor, slug) = Visitor::with("one", text, &[]);
    let version = visitor.app.garage.truck(&slug).unwrap().hash.to_string();
    let fields = [("version", version.as_str()), ("keys", "reserve rule"), ("reserve", "2"), ("rule", "")];
    visitor.post(&format!("/trucks/{slug}/part/use/0"), &fields).is(303);
    let now = visitor.app.garage.truck(&slug).unwrap().text.clone();
    assert_eq!(now, text.replace("reserve = 1", "reserve = 2"));
}

/// What is odd in a file that is in use is said in the words of the forms: no key, no bracket, no line.
#[test]
fn what_is_odd_is_said_in_the_words_of_the_forms() {
    let text = "name = \"One\"\n[[tire]]\nname = \"summer\"\nsize = \"LT265/75R16\"\n[[tire]]\nname = \"winter\"\nsize = \"LT245/75R17\"\n\
                [chain]\nsensor_at = \"axle-ring\"\nring_teeth = 96\nalso_feeds = [\"cruise\"]\n[adjuster]\nkind = \"free-constant\"\n\
                unit = \"pulses-per-mile\"\nmin = 1000\nmax = 99999\npresent = 62000\n[[evidence]]\nkind = \"hold\"\nindicated = \"60 mph\"\ntrue = \"58 mph\"\n";
    let (visitor, slug) = Visitor::with("one", text, &[]);
    let page = visitor.get_patiently(&format!("/trucks/{slug}/measure"));
    page.has(&[
        "Evidence 1, Which set of tires was on",
        "Evidence 1, Where whoever read the dial sat",
        "Before the dial",
        "Chain, Which signal do the others read?",
    ]);
    let told =
        page.body.split("class=\"problems\"").nth(1).and_then(|rest| rest.split("</ul>").next()).unwrap();
    for key in ["[", "read_from", "others_read", "`", "truck.toml", "line "] {
        assert!(!told.contains(key), "{key} in {told}");
    }
}

#[test]
fn a_module_after_its_measurements_asks_whether_they_were_taken_with_its_value() {
    let (visitor, slug) = Visitor::with("one", TRUCK, &[]);
    let module = [
        ("present", "8.20"),
        ("writes_left", "4"),
        ("min", "4.00"),
        ("max", "12.00"),
        ("step", "0.02"),
        ("buttons", "up"),
    ];
    let asks = "What you measured so far was measured with the value that is stored now";
    let form = || visitor.get(&format!("/trucks/{slug}/new/adjuster/stepped-constant"));
    form().lacks(&[asks]);
    // A tape says nothing of what is shown, and needs no setting.
    send(
        &visitor,
        &slug,
        "evidence",
        "rollout",
        &[("turns", "5"), ("lengths", "495"), ("date", "2026-05-02")],
    )
    .is(303);
    form().lacks(&[asks]);
    send(&visitor, &slug, "evidence", "hold", &[("indicated", "60"), ("true", "62.5")]).is(303);
    form().has(&[asks]);
    // Without a tick it is asked; with one the form goes in, and the file says it.
    send(&visitor, &slug, "adjuster", "stepped-constant", &module).is(422).has(&[asks, "value=\"8.20\""]);
    let ticked: Vec<(&str, &str)> = module.into_iter().chain([("stored_then", "yes")]).collect();
    send(&visitor, &slug, "adjuster", "stepped-constant", &ticked).is(303);
    let truck = visitor.app.garage.truck(&slug).unwrap();
    let evidence = &truck.vehicle.as_ref().unwrap().evidence;
    assert!(evidence[0].settings.is_empty());
    assert_eq!(evidence[1].settings[0].1.to_string(), "8.20");
}
