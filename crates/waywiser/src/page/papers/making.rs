//! Papers out of what is known of a truck: the words of each, and the sheets.

use super::wanted::{Choice, Wanted};
use crate::garage::{Known, Units};
use crate::page::answers;
use crate::page::app::App;
use crate::page::error::PageError;
use crate::paper::SheetInfo;
use crate::paper::sheet::{About, Code, Paper};
use crate::work::paper::{Kind, SOFTWARE, about, day_of, job_of, sheet_of, sizes_of, today, written};
use jiff::civil::Date;
use truing::choose::compare_tires;
use truing::problem::Problems;
use truing::record::Expected;
use truing::report::answers::record_head::RecordHead;
use truing::report::answers::tire_choice::TireChoice;
use truing::report::document::Document;
use truing::report::papers::door_frame::DoorFrameNote;
use truing::report::papers::job::last_day;
use truing::report::papers::life::LifeReport;
use truing::report::papers::speed_card::SpeedCard;

/// What a paper is made of.
pub struct Maker<'a> {
    app: &'a App,
    known: &'a Known,
    units: Units,
    choice: Choice,
}

/// What a paper says, and the last day of which it speaks.
type Words = (Document, Option<Date>);
type Outcome<T> = Result<T, Problems>;

impl<'a> Maker<'a> {
    /// For a truck, as it is wanted.
    pub fn new(app: &'a App, known: &'a Known, wanted: &Wanted) -> Result<Self, PageError> {
        Ok(Self { app, known, units: app.garage.settings().units, choice: wanted.choice()? })
    }

    /// On sheets.
    pub fn pdf(&self, kind: Kind) -> Outcome<Vec<u8>> {
        match kind {
            Kind::Job => self.job(),
            Kind::SpeedCard => {
                let about = self.about(kind, self.measured());
                written(|press| press.speed_card(&self.card(), Some(self.paper()), &about))
            }
            Kind::DoorFrame => {
                let note = self.note()?;
                let about = self.about(kind, day_of(note.last_day.as_deref()));
                written(|press| press.door_frame(&note, Some(self.paper()), &about))
            }
            Kind::Tires | Kind::History => {
                let (document, day) = self.document(kind)?;
                let about = self.about(kind, day);
                written(|press| press.document(&document, self.paper(), &about))
            }
        }
    }

    /// In words, tables and pictures.
    pub fn document(&self, kind: Kind) -> Outcome<Words> {
        match kind {
            Kind::Job => {
                let Known { loaded, estimate, .. } = self.known;
                let choice = self.known.choice().clone()?;
                Ok((sheet_of(loaded, estimate, &choice, self.units)?, self.measured()))
            }
            Kind::SpeedCard => Ok((self.card().document(), self.measured())),
            Kind::Tires => self.tires(),
            Kind::History => self.history(),
            Kind::DoorFrame => {
                let note = self.note()?;
                Ok((note.document(), day_of(note.last_day.as_deref())))
            }
        }
    }

    fn job(&self) -> Outcome<Vec<u8>> {
        let Known { truck, loaded, estimate, .. } = self.known;
        let choice = self.known.choice().clone()?;
        let sheet = job_of(loaded, estimate, &choice, self.units)?;
        let code = match &self.choice.link {
            Some(link) => Code::Link(link.clone()),
            None => Code::File(truck.text.clone()),
        };
        let about = self.about(Kind::Job, self.measured());
        written(|press| press.job(&sheet, Some(&code), self.paper(), &about))
    }

    fn card(&self) -> SpeedCard {
        let Known { loaded, estimate, .. } = self.known;
        SpeedCard::new(&loaded.vehicle, estimate, &self.choice.gears, self.units)
    }

    fn tires(&self) -> Outcome<Words> {
        let Known { loaded, estimate, .. } = self.known;
        let vehicle = &loaded.vehicle;
        let sizes = [sizes_of(vehicle), self.choice.tires.clone()].concat();
        let compared = compare_tires(&loaded.source, vehicle, estimate, &sizes);
        let compared = compared?;
        let setting = vehicle.adjusters.first().and_then(|one| one.present()).map(|set| set.to_string());
        Ok((TireChoice::new(&vehicle.name, setting, &compared, self.units).document(), self.measured()))
    }

    fn history(&self) -> Outcome<Words> {
        let entries = answers::entries(self.app, &self.known.truck)?;
        let checked = answers::check_report(self.app, &Expected::default(), false)?;
        let whole = (checked.entries, checked.head.as_str(), checked.ok);
        let report = LifeReport::new(&self.known.truck.name, &entries, whole, self.units);
        let mut document = report.document();
        if let Some(record) = self.record() {
            record.put_on(&mut document);
        }
        Ok((document, day_of(report.last_day.as_deref())))
    }

    fn note(&self) -> Outcome<DoorFrameNote> {
        let entries = answers::entries(self.app, &self.known.truck)?;
        Ok(DoorFrameNote::new(&self.known.truck.name, &entries))
    }

    fn measured(&self) -> Option<Date> {
        last_day(&self.known.loaded.vehicle)
    }

    /// Who thinks in kilometres has A4 in the printer.
    fn paper(&self) -> Paper {
        let usual = if self.units == Units::Metric { Paper::A4 } else { Paper::Letter };
        self.choice.paper.unwrap_or(usual)
    }

    fn about(&self, kind: Kind, date: Option<Date>) -> About {
        let about = about(kind, &self.known.truck.name, self.choice.date.or(date));
        About { record: self.record(), ..about }
    }

    /// What the file says of itself.
    pub fn info(&self, day: Option<Date>) -> SheetInfo {
        let day = self.choice.date.or(day).map(|day| day.to_string());
        let made_on = day.unwrap_or_else(today);
        SheetInfo { made_on, software: SOFTWARE.into(), record: self.record() }
    }

    /// How far the record goes, where it was begun and can be read.
    fn record(&self) -> Option<RecordHead> {
        answers::ledger(self.app).ok().flatten()?.reaches().ok().flatten()
    }
}
