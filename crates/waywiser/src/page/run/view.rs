//! What the run page shows. It is the same for everybody and every truck, so that it can be kept; the script fills it in.

use maud::{DOCTYPE, Markup, html};

/// What is to be ticked before the truck moves: its name for the script, and what it says.
const CHECKS: [(&str, &str); 5] = [
    ("passenger", "I am a passenger. The driver never touches this phone and watches the road."),
    ("belts", "Belts are on. The phone sees the sky and hides nothing from the driver."),
    ("tires", "The tires are warm from ten minutes of driving, and had their pressure cold."),
    ("road", "An open, dry road with little traffic; every speed to be held is legal by true speed."),
    (
        "law",
        "Local law lets a passenger use this here. It comes first, with the vehicle's own service literature.",
    ),
];

/// What must be so before a drive starts, by the name the script knows it by.
const GATE: [(&str, &str); 5] = [
    ("fix", "A precise place"),
    ("speed", "A speed"),
    ("awake", "The screen stays on"),
    ("kept", "The phone keeps what is recorded"),
    ("alone", "Open in one place only"),
];

/// The whole page.
pub fn page() -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { "Record a drive \u{2013} waywiser" }
                link rel="icon" href="data:,";
                link rel="stylesheet" href="/run/run.css";
                script src="/run/app.js" defer {}
            }
            body {
                header { p { a href="/" { "Garage" } " " strong id="truck" {} } }
                main {
                    noscript { p class="caution" { "Recording needs scripts." } }
                    div id="told" role="status" {}
                    (before())
                    (running())
                    (review())
                    (correcting())
                }
            }
        }
    }
}

fn before() -> Markup {
    html! {
        section id="before" hidden {
            h1 { "Before you drive" }
            ul id="trucks" class="list" {}
            ul id="earlier" class="list" {}
            div id="set-up" hidden {
                div id="held" class="caution" role="note" hidden {}
                div id="dark" class="caution" role="note" hidden {}
                h2 { "Tick what is so" }
                @for (name, says) in CHECKS {
                    label class="tick" { input type="checkbox" name="check" value=(name); span { (says) } }
                }
                h2 { "The phone" }
                ul id="gate" class="list" {
                    @for (name, says) in GATE {
                        li id={ "gate-" (name) } class="not" { strong { span class="stands" { "not yet" } " " (says) } p {} }
                    }
                }
                label for="odometer" { "The odometer turns next to" }
                input id="odometer" type="text" inputmode="decimal" autocomplete="off" aria-describedby="odometer-hint";
                p id="odometer-hint" class="hint" { "With its last digit, as 128412.7. Leave it out to mark the dial alone." }
                button id="start" class="main" disabled { "Start" }
                p id="waits" class="hint" {}
            }
        }
    }
}

fn running() -> Markup {
    html! {
        section id="running" hidden {
            h1 class="unseen" { "Recording" }
            p class="speed" { span id="speed" { "\u{2013}" } " " small id="speed-unit" {} }
            p class="facts" { span id="distance" {} span id="quality" {} span id="count" {} }
            button id="hold" class="main" {}
            div class="steps" role="group" aria-label="What the needle shows" {
                button id="less" aria-label="Needle: one less" { "\u{2212}" }
                div id="speeds" class="chips" {}
                button id="more" aria-label="Needle: one more" { "+" }
            }
            button id="turned" class="main" {}
            div class="steps" role="group" aria-label="What the odometer turns to" {
                button id="back" aria-label="Odometer: one less" { "\u{2212}" }
                button id="correct" { "Correct" }
                button id="on" aria-label="Odometer: one more" { "+" }
            }
            p id="missing" {}
            p id="last" class="hint" {}
            div class="steps" { button id="note" { "Note" } button id="stop" { "Stop" } }
        }
    }
}

fn review() -> Markup {
    html! {
        section id="review" hidden {
            h1 { "This drive" }
            p id="sums" {}
            ul id="marks" class="list" {}
            progress id="sent" max="1" value="0" aria-label="Handed over so far" hidden {}
            p id="handing" class="hint" {}
            button id="hand" class="main" { "Hand over to the laptop" }
            button id="save" { "Save as a file" }
            button id="again" { "Go on with this drive" }
            button id="delete" hidden { "Delete it from this phone" }
            button id="leave" { "Back" }
        }
    }
}

fn correcting() -> Markup {
    html! {
        dialog id="asked" {
            form method="dialog" {
                label for="typed" id="asks" {}
                input id="typed" type="text" autocomplete="off";
                div class="steps" { button value="no" formnovalidate { "Cancel" } button value="yes" { "Keep it" } }
            }
        }
    }
}
