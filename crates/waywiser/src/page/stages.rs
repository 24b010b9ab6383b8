//! The six stages in the head of a page, each with how it stands.

use super::addresses::Stage;
use crate::garage::Truck;
use maud::{Markup, html};
use truing::report::answers::path::{PathFacts, StageStanding};

/// The stages of a truck; the page that is shown belongs to one of them.
pub fn all(truck: &Truck, now: Option<Stage>, facts: Option<&PathFacts>) -> Markup {
    let standings = facts.map(PathFacts::standings);
    html! {
        nav class="stages" aria-label="Stages" {
            ol {
                @for (index, stage) in Stage::ALL.into_iter().enumerate() {
                    @let standing = standings.map(|all| all[index]);
                    li {
                        a class=[standing.map(class)] href=(stage.of(&truck.slug)) aria-current=[(now == Some(stage)).then_some("page")] {
                            span class="named" { (stage.name()) }
                            @if let Some(standing) = standing {
                                " " span class="stands" aria-hidden="true" { (sign(standing)) }
                                small { (standing.says()) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn class(standing: StageStanding) -> &'static str {
    match standing {
        StageStanding::Done => "done",
        StageStanding::Next => "next",
        StageStanding::Missing => "missing",
        StageStanding::HeldBack => "held",
    }
}

fn sign(standing: StageStanding) -> &'static str {
    match standing {
        StageStanding::Done => "\u{2713}",
        StageStanding::Next => "\u{2192}",
        StageStanding::Missing => "",
        StageStanding::HeldBack => "!",
    }
}
