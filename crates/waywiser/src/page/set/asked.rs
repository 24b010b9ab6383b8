//! What of a truck's steps is asked for, and what is shown of them.

use crate::page::addresses::encoded;
use crate::page::papers::Wanted;
use maud::{Markup, html};
use truing::report::answers::steps::StepsReport;
use truing::report::answers::stored::StoredReport;
use truing::report::explanation::origin::Origin;
use truing::units::Units;

/// What the page is made of.
pub struct SetView<'a> {
    /// The steps.
    pub steps: &'a StepsReport,
    /// What the module shows after the confirming press, where that was said.
    pub stored: Option<&'a StoredReport>,
    /// What these steps depend on, as fields of the address: the value asked for, what the display showed.
    pub asked: &'a SetQuery,
    /// Address of the truck's pages.
    pub truck: &'a str,
    /// The truck's state in the record, which tells an old count from a new one.
    pub state: &'a str,
    /// The last reading of the odometer in the record.
    pub odometer: Option<&'a str>,
    /// Where the value to store comes from.
    pub origins: &'a [Origin],
    /// The form for the owner's own routine.
    pub routine: &'a Markup,
    /// What can be set on the truck, each as files call it and as people do.
    pub adjusters: &'a [(&'a str, &'a str)],
    /// The units that the owner thinks in.
    pub units: Units,
    /// What can be had on paper.
    pub papers: &'a Markup,
    /// What every form that changes something carries.
    pub proof_of_origin: &'a Markup,
}

/// What was asked for in the address.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SetQuery {
    /// The value to store instead of the advised one.
    pub to: Option<String>,
    /// Which adjuster it is for.
    pub adjuster: Option<String>,
    /// Said again, where the truck would read worse with it than now.
    pub even_if_worse: Option<String>,
    /// What the display showed when it was planned again.
    pub shows: Option<String>,
    /// Steps a second that a held button makes.
    pub repeat: Option<String>,
    /// Seconds until it goes on by itself.
    pub repeat_after: Option<String>,
    /// Why it is stored although something is to be checked first.
    pub despite: Option<String>,
    /// The rule to keep, where not the truck's own.
    pub rule: Option<String>,
    /// Writes to keep, where not as the truck's file says.
    pub reserve: Option<String>,
    /// The screen, counted from 1; 0 is the list of all.
    pub screen: usize,
    /// Presses made on it.
    pub pressed: usize,
    /// What the module shows after the confirming press.
    pub stored: Option<String>,
    /// Writes left, as it says then.
    pub left: Option<String>,
}

impl SetQuery {
    /// The same on another screen.
    pub fn at(&self, screen: usize, pressed: usize) -> Self {
        Self { screen, pressed, stored: None, left: None, ..self.clone() }
    }

    /// The list of all steps.
    pub fn at_the_start(&self) -> Self {
        Self { shows: None, ..self.at(0, 0) }
    }

    /// The same before it was said what is stored now.
    pub fn unread(&self) -> Self {
        self.at(self.screen, 0)
    }

    /// As hidden fields of a form, but for those that it asks for.
    pub fn hidden_but(&self, asked: &[&str]) -> Markup {
        html! {
            @for (name, value) in self.fields() {
                @if !asked.contains(&name) { input type="hidden" name=(name) value=(value); }
            }
        }
    }

    /// What the job sheet is asked for, so that the paper is what the page shows.
    pub fn on_paper(&self) -> Wanted {
        let Self { to, adjuster, even_if_worse, shows, repeat, repeat_after, despite, rule, reserve, .. } =
            self.clone();
        Wanted {
            to,
            adjuster,
            even_if_worse,
            shows,
            repeat,
            repeat_after,
            despite,
            rule,
            reserve,
            ..Wanted::default()
        }
    }

    /// By what it was chosen, as hidden fields of a form that asks for other steps.
    pub fn hidden_wish(&self) -> Markup {
        html! {
            @if let Some(rule) = &self.rule { input type="hidden" name="rule" value=(rule); }
            @if let Some(reserve) = &self.reserve { input type="hidden" name="reserve" value=(reserve); }
        }
    }

    /// The same as before the display was looked at.
    pub fn without_shows(&self) -> Self {
        Self { shows: None, pressed: 0, ..self.clone() }
    }

    fn fields(&self) -> Vec<(&'static str, String)> {
        let text = |name, value: &Option<String>| value.clone().map(|value| (name, value));
        let number = |name, value: usize| (value > 0).then(|| (name, value.to_string()));
        let fields = [
            text("to", &self.to),
            text("adjuster", &self.adjuster),
            text("even_if_worse", &self.even_if_worse),
            text("shows", &self.shows),
            text("repeat", &self.repeat),
            text("repeat_after", &self.repeat_after),
            text("despite", &self.despite),
            text("rule", &self.rule),
            text("reserve", &self.reserve),
            number("screen", self.screen),
            number("pressed", self.pressed),
            text("stored", &self.stored),
            text("left", &self.left),
        ];
        fields.into_iter().flatten().collect()
    }

    /// As an address below the truck's.
    pub fn address(&self, truck: &str) -> String {
        let fields: Vec<String> =
            self.fields().iter().map(|(name, value)| format!("{name}={}", encoded(value))).collect();
        // On a phone the head takes half the screen: a step begins under it.
        let place = if self.screen > 0 { "#step" } else { "" };
        format!("{truck}/set{}{}{place}", if fields.is_empty() { "" } else { "?" }, fields.join("&"))
    }
}

pub(super) fn to_next(shown: &SetView, says: &str) -> Markup {
    html! {
        div class="ways" {
            a class="button" href=(shown.asked.at(shown.asked.screen + 1, 0).address(shown.truck)) { (says) }
        }
    }
}
