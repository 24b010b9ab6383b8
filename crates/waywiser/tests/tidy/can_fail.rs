//! Each check on a small tree that breaks its rule.

use super::*;

const LATER: &str = "crates/truing/src/measure/drive/fit.rs";

#[test]
fn lengths() {
    let long = "// line\n".repeat(401);
    let reasoned = format!("//! Long because it is a table.\n{long}");
    let inside = format!("fn big(x: [u8; 2])\n{{{}}}\nfn next();", "    // }\n".repeat(60));
    let tree = Tree::of(&[("a.rs", &long), ("b.rs", &reasoned), ("c.rs", &inside), ("d.csv", &long)]);
    let sizes: Vec<(String, usize)> =
        length::over_limit(&tree).into_iter().map(|(key, (lines, _))| (key, lines)).collect();
    assert_eq!(sizes, [("lines of a.rs".to_string(), 401), ("lines of fn big in c.rs".to_string(), 62)]);
    let just = format!("fn big() {{{}}}", "\n".repeat(59));
    assert!(length::over_limit(&Tree::of(&[("e.rs", &just)])).is_empty());
}

#[test]
fn ratchets() {
    let found = ratchet::Sizes::from([("a".to_string(), (70, "halve it"))]);
    check(&ratchet::check(&found, "# why\n\n70 a\n"), &[]);
    check(&ratchet::check(&found, "65 a"), &["a: grew from 65 to 70; halve it"]);
    check(&ratchet::check(&found, "80 a"), &["a: shrank to 70"]);
    check(&ratchet::check(&found, ""), &["a: 70 is over the limit; halve it"]);
    check(&ratchet::check(&found, "70 a\n90 b"), &["b: no longer needed"]);
}

fn stage(path: &str, text: &str, expected: &[&str]) {
    check(&stages::check(&Tree::of(&[(path, text)])), expected);
}

#[test]
fn stage_order() {
    stage(LATER, "use crate::choose::Choice;", &["fit.rs:1: `crate::choose::Choice`: `measure` may not"]);
    stage(LATER, "\nfn f() { crate::report::word() }", &["fit.rs:2: `crate::report::word`"]);
    stage(LATER, "use crate::{describe::A, problem::{P, Q}, set::{B, C}};", &["set::B", "set::C"]);
    stage(LATER, "use super::super::super::prove::A;", &["`measure` may not use `prove`"]);
    stage(LATER, "mod tests { use super::super::super::super::prove::A; }", &["`prove`"]);
    stage(LATER, "use crate::*;", &["`*` has no place"]);
    stage(LATER, "use crate::elsewhere::A;", &["`elsewhere` has no place in the order"]);
    stage(LATER, "use crate::simulate::Plan;", &["`measure` may not use `simulate`"]);
    stage("crates/truing/src/rules/band.rs", "use crate::logs::A; use crate::describe::B;", &["`describe`"]);
    stage("crates/truing/src/simulate.rs", "use crate::logs::A; use crate::problem::B;", &["`problem`"]);
    let fine = "use crate::describe::A; use crate::logs::B; use super::super::fusion::C; // crate::set\n\
                #[cfg(test)] mod tests { use crate::simulate::D; const E: &str = \"crate::set::F\"; }";
    stage(LATER, fine, &[]);
}

#[test]
fn floor_order() {
    let floor = |path: &str, text: &str, expected: &[&str]| {
        check(&floors::check(&Tree::of(&[(&format!("crates/waywiser/src/{path}"), text)])), expected);
    };
    floor(
        "page/set/mod.rs",
        "use crate::cli::set::A;",
        &["page/set/mod.rs:1: `crate::cli::set::A`: `page` may not use `cli`"],
    );
    floor(
        "work/load.rs",
        "\nfn f() { crate::garage::B::at() }",
        &["load.rs:2: `crate::garage::B::at`: `work` may not use `garage`"],
    );
    floor(
        "garage/known.rs",
        "use super::super::page::A; use crate::{page::B, work::C};",
        &["`page`", "`page`"],
    );
    floor("work/load.rs", "use super::super::cli::A;", &["`cli`"]);
    floor("world.rs", "use crate::ledger::A; use crate::sound;", &["`world` may not use `ledger`"]);
    floor("ledger/mod.rs", "use crate::chart::A;", &["`ledger` may not use `chart`"]);
    floor("attic.rs", "use crate::world::A;", &["`attic` is on no floor"]);
    floor(
        "page/mod.rs",
        "use crate::attic::A; use crate::*;",
        &["`attic` is on no floor", "`*` is on no floor"],
    );
    floor(
        "cli/mod.rs",
        "use crate::page::A; use crate::world; // crate::main\n#[cfg(test)] mod t { use crate::b::C; }",
        &[],
    );
    floor("page/tests/flags.rs", "use crate::cli::commands;", &[]);
}

#[test]
fn circles_are_found() {
    let of = |files: &[(&str, &str)], expected: &[&str]| {
        let files: Vec<(String, &str)> =
            files.iter().map(|(path, text)| (format!("crates/waywiser/src/{path}"), *text)).collect();
        let files: Vec<(&str, &str)> = files.iter().map(|(path, text)| (path.as_str(), *text)).collect();
        check(&floors::circles(&Tree::of(&files)), expected);
    };
    let (a, b) = (("a/mod.rs", "mod b; mod c; pub use b::B; struct A;"), ("a/b.rs", "pub struct B;"));
    let of_two = ["src/a/b.rs: in a circle through crates/waywiser/src/a/c.rs;", "src/a/c.rs: in a circle"];
    of(&[a, b, ("a/c.rs", "use super::B; use super::b::B;")], &[]);
    of(&[a, ("a/b.rs", "use super::c::C; pub struct B;"), ("a/c.rs", "use super::B;")], &of_two);
    of(&[a, ("a/b.rs", "fn f() { crate::a::c::g() }"), ("a/c.rs", "use crate::a::b::{self};")], &of_two);
    of(
        &[("a/mod.rs", "use b::B; pub struct A;"), ("a/b.rs", "use super::A;")],
        &["src/a/b.rs: in a circle through crates/waywiser/src/a/mod.rs;", "src/a/mod.rs: in a circle"],
    );
    of(
        &[
            ("a.rs", "use crate::d::D;"),
            ("d.rs", "use crate::e;"),
            ("e.rs", "use crate::a;"),
            ("g.rs", "use crate::a;"),
        ],
        &["src/a.rs: in a circle", "src/d.rs: in a circle", "src/e.rs: in a circle"],
    );
    of(
        &[
            ("a.rs", "use crate::d::D; use std::d::E;"),
            ("d.rs", "// crate::a\n#[cfg(test)] mod t { use crate::a; }"),
        ],
        &[],
    );
    of(
        &[("a.rs", "mod t { use super::super::d::D; }"), ("d.rs", "use super::a::A;")],
        &["src/a.rs: in a circle", "src/d.rs: in a circle"],
    );
}

fn ban(path: &str, text: &str, expected: &[&str]) {
    let found: Vec<String> = bans::banned(&Tree::of(&[(path, text)]))
        .into_iter()
        .map(|(key, (count, instead))| format!("{count} {key}: {instead}"))
        .collect();
    check(&found, expected);
}

#[test]
fn bans_hold() {
    ban(LATER, "a.unwrap(); b.unwrap();", &["2 uses of .unwrap() in crates/truing/src/measure"]);
    ban(LATER, "fn f() { todo!() } #[cfg(test)] mod t { dbg!(1) }", &["1 uses of dbg!", "1 uses of todo!"]);
    ban(LATER, "use std::collections::HashMap; println!()", &["BTreeMap", "println!"]);
    ban(LATER, "let m = 1609.344; panic!()", &["1609.344", "panic!"]);
    ban("crates/metrology/src/a.rs", "fn f(x: f32) {}", &["f32"]);
    ban("crates/metrology/src/quantity.rs", "const M: f64 = 1609.344;", &[]);
    ban("crates/truing/tests/a.rs", "a.unwrap(); b(1609.344)", &[]);
    ban("crates/truing/benches/a.rs", "a.unwrap(); println!()", &[]);
    ban("crates/metrology/examples/a.rs", "println!(); panic!(); dbg!(x)", &["1 uses of dbg!"]);
    ban(LATER, "a.unwrap_or(2); debug_assert!(x); // panic!\n#[cfg(test)] mod t { a.unwrap() }", &[]);
}

fn reach(path: &str, text: &str, expected: &[&str]) {
    check(&bans::world(&Tree::of(&[(path, text)])), expected);
}

#[test]
fn doors_are_watched() {
    reach(LATER, "use std::{fmt, fs, io::Read};", &["`std::fs`: no input", "`std::io::Read`"]);
    reach(LATER, "use std::time::*; use std::os;", &["`std::time::*`", "`std::os`"]);
    reach(LATER, "fn f() { std::env::var(\"A\"); }", &["`std::env::var`"]);
    reach("crates/metrology/src/a.rs", "use std::process::Command;", &["std::process"]);
    reach("crates/waywiser/src/cli/a.rs", "use std::fs; use std::time::Instant;", &["`std::fs`", "Instant"]);
    reach("crates/waywiser/src/cli/a.rs", "use std::process::ExitCode; use std::time::Duration;", &[]);
    reach("crates/waywiser/src/world.rs", "use std::fs;", &[]);
    reach(LATER, "use std::fmt::Write; // std::fs\nconst A: &str = \"std::fs::read\";", &[]);
}

#[test]
fn words_are_found() {
    let of = |path: &str, text: &str| words::of_vehicles(&Tree::of(&[(path, text)]));
    check(
        &of("crates/metrology/src/a.rs", "/// Two axles,\n/// one Tire."),
        &["a.rs:1: `axles`", "a.rs:2: `Tire`"],
    );
    check(&of("crates/metrology/src/a.rs", "entire scar, attires"), &[]);
    check(&of("crates/truing/src/a.rs", "axle"), &[]);
    let retired = |path: &str| words::retired(&Tree::of(&[(path, "/// Nil,\nfn stray_bytes() {} vanilla")]));
    for path in ["crates/truing/src/a.rs", "crates/waywiser/src/a.rs", "docs/a.md"] {
        check(&retired(path), &[":1: `Nil`: write zero", ":2: `stray`: write outlier"]);
    }
    check(&retired("crates/metrology/tests/a.json"), &[]);
    let left = |text: &str| words::left_over(&Tree::of(&[("README.md", text)]));
    check(&left("a TODO: b\nin /tmp/x"), &["README.md:1: `TODO`", "README.md:2: `/tmp/`"]);
    check(&left("https://example.org/work/a, MASTODON, $HOME/home"), &[]);
}

#[test]
fn flags_are_found() {
    let of = |path: &str, text: &str| flags::check(&Tree::of(&[(path, text)]));
    check(&of(LATER, "const A: &str =\n\"say --channel\";"), &["fit.rs:2: a flag"]);
    for floor in ["garage", "ledger", "page", "paper", "work", "world"] {
        let path = format!("crates/waywiser/src/{floor}/a.rs");
        check(&of(&path, "f(\"--link\", \"--{name}\")"), &["a.rs:1: a flag", "a.rs:1: a flag"]);
    }
    check(&of("crates/waywiser/src/work/asked.rs", "f(\"--{name}\")"), &[]);
    let fine = "// --a\nfn f() { x--y; \"-- b --- --\" } #[cfg(test)] mod tests { const A: &str = \"--a\"; }";
    check(&of(LATER, fine), &[]);
    check(&of("crates/waywiser/src/cli/a.rs", "\"--a\""), &[]);
}

#[test]
fn sentences_are_found() {
    let of = |path: &str, text: &str| sentences::check(&Tree::of(&[(path, text)]));
    let choice = "crates/truing/src/choose/a.rs";
    check(&of(choice, "f();\nlet a = \"Leave it.\";"), &["a.rs:2: a sentence"]);
    check(&of(choice, "format!(\"Store {x}. Then go\"); r#\"With {y:.0} %.\"#"), &["a.rs:1", "a.rs:1"]);
    let fine = "// Leave it.\nf(\"add a section\", \"4.00\", \".\"); #[cfg(test)] mod tests { const A: &str = \"Leave it.\"; }";
    check(&of(choice, fine), &[]);
    check(&of("crates/truing/src/report/a.rs", "\"Leave it.\""), &[]);
}

#[test]
fn labels_that_decide_are_found() {
    let of = |text: &str| labels::check(&Tree::of(&[("crates/waywiser/src/page/a.rs", text)]));
    check(&of("if table.caption == \"Fuel\" {}"), &["a.rs:1: `.caption` decides by its words"]);
    check(&of("\na.caption.starts_with(b); c.standing.as_str() != \"d\""), &["a.rs:2", "`.standing`"]);
    check(&of("match link.standing.as_str() { \"set\" => 1 }"), &["`.standing`"]);
    check(&of("report.headline().contains(\"write\")"), &["`.headline`"]);
    check(
        &of("a.standing == Standing::Known; f(b.caption); c.found.is_empty(); a.hints.contains(\"b\")"),
        &[],
    );
    check(&of("#[cfg(test)] mod tests { fn f() { a.caption == \"b\" } } // a.caption == \"b\""), &[]);
}

#[test]
fn sources_are_compared() {
    let (csv, list) = ("a/tests/data/x.csv", "a/tests/data/SOURCES.md");
    let of = |files: &[(&str, &str)]| sources::check(&Tree::of(files));
    check(&of(&[(csv, ""), (list, "`x.csv`: ours; `z/far.csv` there")]), &[]);
    check(&of(&[(csv, ""), (list, "x.csv")]), &["a/tests/data/x.csv: not named in"]);
    check(&of(&[(csv, ""), (list, "`x.csv`, `y.csv`")]), &["names `y.csv`, which is not there"]);
    check(&of(&[(csv, ""), (list, "`x.csv`, `../z.csv`")]), &["names `../z.csv`"]);
    check(&of(&[(csv, "")]), &["no SOURCES.md beside it"]);
    check(
        &of(&[("examples/a/b.toml", ""), ("examples/SOURCES.md", "`a/b.toml`, `a/c.toml`")]),
        &["`a/c.toml`"],
    );
}

#[test]
fn dead_files_are_found() {
    let with = |text: &str, more: &[(&str, &str)]| {
        dead::check(&Tree::of(&[&[("crates/a/src/lib.rs", text)], more].concat()))
    };
    let (flat, folder) = (("crates/a/src/b.rs", "mod c;"), ("crates/a/src/b/c.rs", ""));
    check(&with("mod b;", &[flat, folder]), &[]);
    check(&with("// mod b;", &[flat, folder]), &["src/b.rs: no `mod`", "src/b/c.rs: no `mod`"]);
    check(
        &with(
            "mod d { mod e; }\n#[path = \"f.rs\"]\nmod g;",
            &[("crates/a/src/d/e.rs", ""), ("crates/a/src/f.rs", "")],
        ),
        &[],
    );
    check(&with("mod f;\n#[path = \"g.rs\"]\nmod h;", &[("crates/a/src/h.rs", "")]), &["h.rs: no `mod`"]);
    check(
        &with("include_str!(\"a.txt\")", &[("crates/a/src/a.txt", ""), ("crates/a/src/b.txt", "")]),
        &["b.txt: no code"],
    );
    let migration = |name: &str| dead::migrations(&Tree::of(&[(&format!("crates/a/migrations/{name}"), "")]));
    check(&migration("2026-11-25-first-entries.sql"), &[]);
    for name in ["first.sql", "2026-11-25.sql", "2026-11-25-.sql", "20261125-first.sql"] {
        check(&migration(name), &["name it by its day"]);
    }
}

#[test]
fn heads_of_folders() {
    let of = |files: &[&str]| {
        let files: Vec<(&str, &str)> = files.iter().map(|file| (*file, "")).collect();
        dead::folders(&Tree::of(&files))
    };
    check(&of(&["crates/a/src/b/mod.rs", "crates/a/src/b/c.rs"]), &[]);
    check(&of(&["crates/a/src/b.rs", "crates/a/src/b/c.rs"]), &["b.rs: stands beside its folder"]);
    check(&of(&["crates/a/src/b/mod.rs"]), &["a folder for one file"]);
}

#[test]
fn claims_are_followed() {
    let of = |row: &str| {
        let test = ("a/b.rs", "#[test]\n#[ignore]\nfn holds() {}\nfn helps() {}");
        trust::check(&Tree::of(&[
            ("docs/trust.md", &format!("| Asked | Done | Shown by |\n|---|---|---|\n{row}")),
            test,
        ]))
    };
    check(&of("| a | `b` | `a/b.rs: holds`, `a/b.rs: *` |"), &[]);
    check(&of("| a | b | `a/b.rs: helps`, `a/b.rs: gone` |"), &["no test `helps`", "no test `gone`"]);
    check(&of("| a | b | `a/c.rs: holds` |"), &["`a/c.rs` is not there"]);
    check(&of("| a | b | c |"), &["no test in `| a | b | c |`"]);
    check(&trust::check(&Tree::of(&[])), &["docs/trust.md: not there"]);
}

#[test]
fn maps_are_compared() {
    let of = |map: &str, style: &str| {
        let files = [
            ("ARCHITECTURE.md", map),
            ("STYLE.md", style),
            ("crates/a/src/lib.rs", ""),
            ("crates/a/src/b.rs", ""),
            ("crates/a/src/c/d.rs", ""),
        ];
        pages::check(&Tree::of(&files))
    };
    let of = |rows: &str, style: &str| of(&format!("### `crates/a`: first\n|---|---|\n{rows}"), style);
    let whole = "| `b.rs` | one |\n| `c` | `x` two |\n| `lib.rs` | three |";
    check(&of(whole, "a"), &[]);
    check(&of("| b | `b` |\n| `c` | two |", "a"), &["no row for b of a"]);
    check(&of("| `b` | one |", ""), &["STYLE.md: not there", "no row for c of a"]);
    check(&of(whole, &"\n".repeat(151)), &["STYLE.md: 151 lines, 150 at most"]);
    check(&of(&format!("{whole}\n| `d` | gone |"), "a"), &["a row for d of a, which is not there"]);
    check(&of(&format!("{whole}\n### Around\n| `d` | no module |"), "a"), &[]);
}

#[test]
fn code_is_told_from_text() {
    let blanked = |text: &str, expected: &str| assert_eq!(code::code_of(text), expected, "{text}");
    blanked("a /* b /* c */ d */ e // f\ng", "a                   e     \ng");
    blanked(r#"a "b\"c" d"#, "a        d");
    blanked("a r#\"b\"c\"# d", "a          d");
    blanked("fn f<'a>(x: &'a str) { '\"' }", "fn f<'a>(x: &'a str) {     }");
    blanked("['\\'', 'é', 'x']", "[    ,     ,    ]");
}
