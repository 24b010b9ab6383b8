//! The chain as a picture: one link under the other, from the road up to the needle.

use super::super::app::App;
use super::super::fields;
use super::super::parts::{Ask, Part, part_form, table};
use crate::garage::Truck;
use maud::{Markup, html};
use toml_edit::DocumentMut;
use truing::describe::chain::{Effect, Link, LinkId, Standing};
use truing::describe::vehicle::Vehicle;
use truing::report::answers::description::{DescriptionReport, LinkReport};

/// The whole chain, each link with the form that changes it.
pub fn drawn(app: &App, truck: &Truck, vehicle: &Vehicle, report: &DescriptionReport) -> Markup {
    let units = app.garage.settings().units;
    let document: DocumentMut = truck.text.parse().unwrap_or_default();
    html! {
        ol class="chain" {
            li class="link end" { (picture(Drawn::Road, Standing::Known)) div class="what" { strong { "The road" } " one true " (units.by_road("mile", "kilometre")) } }
            @for link in &report.chain {
                li class={ "link " (link.standing.word()) } {
                    (picture(Drawn::Link(link.id), link.standing))
                    div class="what" {
                        (says(link))
                        @if let Some(asked) = asked(link.id, vehicle, &document) {
                            details {
                                summary { "Change" span class="unseen" { " the " (link.name) } }
                                (part_form(app, truck, &asked.ask(), units))
                            }
                        }
                    }
                }
            }
            @if let (Some(fed), Ok(part)) = (report.fed(), Part::new("chain", 0)) {
                li class="link end" {
                    (picture(Drawn::Others, Standing::Known))
                    div class="what" {
                        strong { "Others on the signal" } " " (fed)
                        details {
                            summary { "Change" span class="unseen" { " who else reads the signal" } }
                            (part_form(app, truck, &Ask { only: &["also_feeds", "others_read"], ..Ask::all(&part, None) }, units))
                        }
                    }
                }
            }
            li class="link end" { (picture(Drawn::Shown, Standing::Known)) div class="what" { strong { "What is shown" } " " (units.by_road("miles and miles per hour", "kilometres and km/h")) } }
        }
    }
}

fn says(link: &LinkReport) -> Markup {
    let sign = if link.effect == Effect::Divides { "\u{f7}" } else { "\u{d7}" };
    let standing = link.standing.word();
    html! {
        strong { (fields::capitalised(&link.name)) }
        @if link.standing != Standing::Unknown {
            span class="factor" {
                span aria-hidden="true" { (sign) " " }
                span class="unseen" { (link.effect.word()) " by " }
                (link.shown)
            }
        }
        span class={ "standing " (standing) } { (mark(link.standing)) " " (standing) }
    }
}

/// A sign beside the word, so that the eye finds it; the word says it.
fn mark(standing: Standing) -> Markup {
    let sign = match standing {
        Standing::Known => "\u{25a0}",
        Standing::Measured => "\u{25c6}",
        Standing::Assumed => "\u{25a1}",
        Standing::Unknown => "?",
    };
    html! { span aria-hidden="true" { (sign) } }
}

/// Where a link stands in the file.
struct LinkPlace {
    part: Part,
    only: &'static [&'static str],
    kind: Option<&'static truing::describe::Variant>,
}

impl LinkPlace {
    fn ask(&self) -> Ask<'_> {
        Ask { only: self.only, ..Ask::all(&self.part, self.kind) }
    }
}

fn asked(link: LinkId, vehicle: &Vehicle, document: &DocumentMut) -> Option<LinkPlace> {
    let of = |section: &str, index: usize, only: &'static [&'static str]| {
        Some(LinkPlace { part: Part::new(section, index).ok()?, only, kind: None })
    };
    let mounted = vehicle.tires.iter().position(|set| set.mounted).unwrap_or(0);
    let has_head = document.contains_key("head");
    match link {
        LinkId::Tire => of(
            "tire",
            mounted,
            &["size", "published_revs_per_mile", "diameter", "tread_depth", "tread_depth_new"],
        ),
        LinkId::Between(Link::Axle) => of("chain", 0, &["sensor_at", "axle_ratio"]),
        LinkId::Between(Link::Gears) => of("chain", 0, &["drive_gear", "driven_gear", "transport"]),
        LinkId::Between(Link::Ring | Link::Sensor) => {
            of("chain", 0, &["sensor_at", "ring_teeth", "counts_per_turn"])
        }
        LinkId::Between(Link::Conditioner) => of("chain", 0, &["conditioner"]),
        LinkId::Between(Link::Adapter) => None,
        LinkId::Assumed(None) => adjuster(document),
        LinkId::Assumed(Some(0)) | LinkId::Needle(0) if has_head => of("head", 0, &[]),
        LinkId::Assumed(Some(place)) | LinkId::Needle(place) => {
            of("reader", place - usize::from(has_head), &[])
        }
    }
}

/// Without a reader of its own, what is assumed for a mile is what is stored.
fn adjuster(document: &DocumentMut) -> Option<LinkPlace> {
    let part = Part::new("adjuster", 0).ok()?;
    let word = table(document, &part)?.get("kind").map(fields::text_of)?;
    let kind = fields::variant(part.section, &word);
    Some(LinkPlace { part, only: &["present", "display", "writes_left"], kind })
}

/// What is drawn: an end of the chain or a link of it.
#[derive(Copy, Clone)]
enum Drawn {
    Road,
    Link(LinkId),
    Others,
    Shown,
}

/// A link as a drawing; its outline says how well it is known, as the words beside it do.
fn picture(drawn: Drawn, standing: Standing) -> Markup {
    let dash = match standing {
        Standing::Assumed => Some("6 4"),
        Standing::Unknown => Some("2 4"),
        Standing::Known | Standing::Measured => None,
    };
    let doubled = standing == Standing::Measured;
    html! {
        svg class="picture" viewBox="0 0 64 64" width="64" height="64" aria-hidden="true" fill="none" stroke="currentColor"
            stroke-width="3" stroke-linecap="round" {
            rect x="3" y="3" width="58" height="58" rx="6" stroke-dasharray=[dash] {}
            @if doubled { rect x="8" y="8" width="48" height="48" rx="3" stroke-width="1.5" {} }
            (inside(drawn))
        }
    }
}

fn inside(drawn: Drawn) -> Markup {
    match drawn {
        Drawn::Road => html! { path d="M14 50 26 16 M50 50 38 16 M32 50v-6 M32 38v-5 M32 27v-4" {} },
        Drawn::Link(LinkId::Tire) => {
            html! { circle cx="32" cy="32" r="18" {} circle cx="32" cy="32" r="9" {} }
        }
        Drawn::Link(LinkId::Between(Link::Axle)) => {
            html! { path d="M14 32h36 M14 24v16 M50 24v16" {} circle cx="32" cy="32" r="7" {} }
        }
        Drawn::Link(LinkId::Between(Link::Gears)) => {
            html! { circle cx="25" cy="36" r="10" stroke-dasharray="4 3" {} circle cx="42" cy="24" r="7" stroke-dasharray="4 3" {} }
        }
        Drawn::Link(LinkId::Between(Link::Ring)) => {
            html! { circle cx="32" cy="32" r="16" stroke-width="6" stroke-dasharray="4 4.4" stroke-linecap="butt" {} circle cx="32" cy="32" r="9" {} }
        }
        Drawn::Link(LinkId::Between(Link::Sensor)) => html! { path d="M16 40h10v-16h12v16h10" {} },
        Drawn::Link(LinkId::Between(Link::Conditioner)) => {
            html! { path d="M14 40v-14h6v14h6v-14h6v14 M36 40v-14h3v14h3v-14h3v14h3v-14h3" {} }
        }
        Drawn::Link(LinkId::Between(Link::Adapter)) => {
            html! { path d="M12 32h12 M40 32h12" {} rect x="24" y="24" width="16" height="16" {} }
        }
        Drawn::Others => html! { path d="M12 32h14 M26 32 46 18 M26 32h24 M26 32 46 46" {} },
        Drawn::Link(LinkId::Needle(_)) | Drawn::Shown => {
            html! { path d="M15 42a18 18 0 0 1 34 0 M32 42 43 26" {} }
        }
        Drawn::Link(LinkId::Assumed(_)) => {
            html! { rect x="17" y="20" width="30" height="24" {} path d="M24 20v-5 M32 20v-5 M40 20v-5 M24 49v-5 M32 49v-5 M40 49v-5" {} }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::tests::visitor::Visitor;

    /// Every kind of link: a cable with its gears, an adapter and a head, a wire with two readers, and no reader at all.
    const TRUCKS: [&str; 3] = [
        r#"
[chain]
sensor_at = "transmission-output"
transport = "cable"
drive_gear = 8
driven_gear = 20
axle_ratio = "41/11"
[head]
needle = "analog"
[adjuster]
kind = "cable-adapter"
ratios = ["1/1", "1/2"]
present = "1/2"
"#,
        r#"
[chain]
sensor_at = "transmission-output"
ring_teeth = 40
conditioner = "1/2"
axle_ratio = "41/11"
[[reader]]
name = "dial"
counts_per_mile = 4000
needle = "analog"
[[reader]]
name = "transmission"
counts_per_mile = 8000
"#,
        r#"
[chain]
sensor_at = "transmission-output"
counts_per_turn = 8
axle_ratio = "41/11"
[adjuster]
kind = "free-constant"
unit = "pulses-per-mile"
min = 4000
max = 12000
present = 8000
"#,
    ];

    /// Who else reads stands in the chain with the signal it reads, as the report says it.
    #[test]
    fn the_picture_says_which_signal_the_others_read() {
        let shown = |said: &str| {
            let text = format!("name = \"A\"\n[tire]\nsize = \"LT265/75R16\"\n{}", TRUCKS[2]);
            let text = text.replace("[adjuster]", &format!("{said}[adjuster]"));
            let (visitor, slug) = Visitor::with("A", &text, &[]);
            let known = visitor.app.garage.known(&slug).unwrap();
            let units = visitor.app.garage.settings().units;
            let report = DescriptionReport::new(&known.loaded.vehicle, &known.described, Vec::new(), units);
            drawn(&visitor.app, &known.truck, &known.loaded.vehicle, &report).into_string()
        };
        let fed = "also_feeds = [\"transmission\"]\n";
        for (said, expected) in [
            ("others_read = \"sensor\"\n", "leaves that alone"),
            ("others_read = \"module\"\n", "changes that too"),
            ("", "not known which"),
        ] {
            let page = shown(&format!("{fed}{said}"));
            assert!(page.contains("Read by transmission too") && page.contains(expected), "{page}");
        }
        assert!(!shown("").contains("Others on the signal"));
    }

    #[test]
    fn other_names_for_the_links_change_no_picture_and_no_form() {
        let mut kinds = Vec::new();
        for truck in TRUCKS {
            let text = format!("name = \"A\"\n[tire]\nsize = \"LT265/75R16\"\n{truck}");
            let (visitor, slug) = Visitor::with("A", &text, &[]);
            let known = visitor.app.garage.known(&slug).unwrap();
            let (vehicle, units) = (&known.loaded.vehicle, visitor.app.garage.settings().units);
            let mut report = DescriptionReport::new(vehicle, &known.described, Vec::new(), units);
            let drawn = |report: &DescriptionReport| {
                drawn(&visitor.app, &known.truck, vehicle, report).into_string().to_lowercase()
            };
            kinds.extend(report.chain.iter().map(|link| link.id));
            let mut before = drawn(&report);
            for (place, link) in report.chain.iter_mut().enumerate() {
                let other = format!("link{place}");
                before = before
                    .replace(&format!("<strong>{}</strong>", link.name), &format!("<strong>{other}</strong>"))
                    .replace(
                        &format!("unseen\"> the {}</span>", link.name),
                        &format!("unseen\"> the {other}</span>"),
                    );
                link.name = other;
            }
            assert!(before.contains("<strong>link0</strong>") && before.contains("<form"), "{before}");
            assert_eq!(drawn(&report), before);
        }
        let between = [Link::Axle, Link::Gears, Link::Ring, Link::Sensor, Link::Conditioner, Link::Adapter];
        let others = [LinkId::Tire, LinkId::Assumed(None), LinkId::Assumed(Some(1)), LinkId::Needle(0)];
        let all = between.map(LinkId::Between).into_iter().chain(others);
        all.for_each(|link| assert!(kinds.contains(&link), "{link:?} of {kinds:?}"));
    }
}
