//! The setting of the day, where it is asked for.

use super::problems_of;

#[track_caller]
fn check(text: &str, expected: &str) {
    assert_eq!(problems_of(text), [format!("truck.toml, {expected}")], "for\n{text}");
}

/// With few writes a value that was stored meanwhile, and only changed in `present`, would be taken for the one of the day.
#[test]
fn counted_writes_ask_for_the_setting_of_the_day() {
    let constant = |more: &str| {
        format!(
            "kind = \"stepped-constant\"\nmin = \"4.00\"\nmax = \"12.00\"\nstep = \"0.01\"\nbuttons = [\"up\"]\n{more}"
        )
    };
    let hold = "[[evidence]]\nkind = \"hold\"\nindicated = \"60 mph\"\ntrue = \"57.5 mph\"\nread_from = \"driver\"\n";
    let ring = "[[adjuster]]\nkind = \"tone-ring\"\nteeth = [92, 96]\npresent = 96\n";
    let counted = constant("present = \"8.15\"\nwrites_left = 3\n");
    let asked = |line: usize, add: &str| {
        format!(
            "line {line}, [[evidence]] setting: expected the setting in force then, since writes are counted; found nothing. \
             Add `{add}` if 8.15 was stored then as it is now, else the value that was: with few writes a wrong one costs a write"
        )
    };
    check(&format!("[adjuster]\n{counted}{hold}"), &asked(9, "setting = \"8.15\""));
    let both = format!("{ring}[[adjuster]]\nname = \"module\"\n{counted}");
    check(&format!("{both}{hold}"), &asked(14, "setting = { \"module\" = \"8.15\" }"));
    // The setting of something else does not say it.
    check(
        &format!("{both}{hold}setting = {{ tone-ring = 96 }}\n"),
        &asked(14, "setting = { \"module\" = \"8.15\" }"),
    );
    let unlimited = constant("present = \"8.15\"\n");
    let rollout = "[[evidence]]\nkind = \"rollout\"\nturns = 5\nlength = \"42 ft 11 in\"\n";
    for right in [
        format!("[adjuster]\n{counted}{hold}setting = \"8.41\"\n"),
        format!("{both}{hold}setting = {{ module = \"8.41\" }}\n"),
        // Nothing is shown by it; nothing is counted; nothing is known that could be taken for it.
        format!("[adjuster]\n{counted}{rollout}"),
        format!("[adjuster]\n{unlimited}{hold}"),
        format!("[adjuster]\n{}{hold}", constant("writes_left = 3\n")),
    ] {
        assert_eq!(problems_of(&right), Vec::<String>::new(), "{right}");
    }
}
