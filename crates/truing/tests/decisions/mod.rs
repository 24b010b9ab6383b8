//! The decision cases of `data/decisions.toml`, for every face.

/// One case.
pub struct Case {
    pub name: String,
    /// The vehicle file.
    pub file: String,
    /// What is to be advised.
    pub advice: String,
    /// A kind of reason that is given.
    pub reason: String,
    /// A kind of reason that is not.
    pub not: Option<String>,
    /// What is odd, and the slip that is named, where it is to be checked.
    pub odd: Option<String>,
    pub slip: Option<String>,
    /// The measurement that is proposed.
    pub measures: Option<String>,
}

/// All cases.
pub fn cases() -> Vec<Case> {
    let data: toml::Table = include_str!("../data/decisions.toml").parse().expect("the cases are TOML");
    let parts = data["parts"].as_table().expect("a table of parts");
    let cases = data["case"].as_array().expect("a list of cases");
    let case = |it: &toml::Value| {
        let said = |key: &str| it.get(key).map(|value| value.as_str().expect("a text").to_string());
        let must = |key: &str| said(key).unwrap_or_else(|| panic!("{key} in {it}"));
        let named = it["parts"].as_array().expect("a list of parts").iter();
        let texts = named.map(|name| parts[name.as_str().expect("a name")].as_str().expect("a text"));
        let body = sorted(&(texts.collect::<String>() + &said("more").unwrap_or_default()));
        let body = with_settings(&body);
        Case {
            file: format!("name = \"The half-ton in question\"\n{body}"),
            name: must("name"),
            advice: must("advice"),
            reason: must("reason"),
            not: said("not"),
            odd: said("odd"),
            slip: said("slip"),
            measures: said("measures"),
        }
    };
    cases.iter().map(case).collect()
}

/// Where writes are counted each measurement of something shown says what was stored then, which is what is stored now.
fn with_settings(text: &str) -> String {
    let mut pieces = text.split("[[evidence]]\n");
    let first = pieces.next().unwrap_or_default();
    if !text.contains("writes_left") {
        return text.into();
    }
    let shows = |piece: &str| {
        ["odometer-distance", "hold", "drive", "timed-mile"]
            .iter()
            .any(|kind| piece.contains(&format!("kind = \"{kind}\"")))
    };
    let said = |piece: &str| match shows(piece) && !piece.contains("setting = ") {
        true => format!("[[evidence]]\nsetting = \"8.20\"\n{piece}"),
        false => format!("[[evidence]]\n{piece}"),
    };
    first.to_string() + &pieces.map(said).collect::<String>()
}

/// A `[use]` that stands in two parts is one section.
fn sorted(text: &str) -> String {
    let Some((first, after)) = text.split_once("[use]\n") else { return text.into() };
    match after.split_once("[use]\n") {
        Some((between, more)) => format!("{first}[use]\n{more}{between}"),
        None => text.into(),
    }
}

/// Whether the answer of `choose` as JSON is what a case asks for.
pub fn check(case: &Case, answer: &serde_json::Value) -> Result<(), String> {
    let all = answer["reasons"].as_array().ok_or("no reasons")?;
    let kinds: Vec<&str> = all.iter().filter_map(|reason| reason["kind"].as_str()).collect();
    let wrong = |what: &str| {
        Err(format!("{}: {what}; {} {kinds:?} {}", case.name, answer["advice"], answer["checks"]))
    };
    if answer["advice"] != case.advice.as_str() {
        return wrong("another advice");
    }
    if !kinds.contains(&case.reason.as_str()) {
        return wrong("the reason is missing");
    }
    if case.not.as_ref().is_some_and(|not| kinds.contains(&not.as_str())) {
        return wrong("a reason too many");
    }
    let among = |path: &str, wanted: &str| {
        let checks = answer["checks"].as_array().into_iter().flatten();
        checks.into_iter().any(|check| check[path]["kind"] == wanted)
    };
    if case.odd.as_ref().is_some_and(|odd| !among("odd", odd)) {
        return wrong("another oddity");
    }
    if case.slip.as_ref().is_some_and(|slip| !among("slip", slip)) {
        return wrong("another slip");
    }
    let measures = &answer["measure"]["kind"];
    if case.measures.as_ref().is_some_and(|kind| measures != kind.as_str()) {
        return wrong("another measurement");
    }
    Ok(())
}
