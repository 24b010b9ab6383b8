//! The vehicle file after a write: what is stored now, the writes left, and what was stored when earlier evidence was taken.

use super::edit::{Refused, not_toml, nth};
use super::folder::Garage;
use super::mounted;
use super::names::{Slug, TRUCK_FILE};
use jiff::civil::Date;
use toml_edit::{ArrayOfTables, DocumentMut, InlineTable, Item, Table, TableLike, value};
use truing::describe::adjuster::{Adjuster, AdjusterKind};
use truing::describe::vehicle::Vehicle;
use truing::problem::{Problem, Problems};
use truing::record::Hash;

/// A write that was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// The adjuster, as it is called.
    pub adjuster: String,
    /// What was stored before.
    pub from: String,
    /// What is stored now.
    pub to: String,
    /// The day.
    pub date: Date,
    /// What the odometer showed, with its unit.
    pub odometer: Option<String>,
    /// Writes left afterwards, where the record says so; else one fewer than the file says.
    pub writes_left: Option<i64>,
}

impl Garage {
    /// Calls a truck something else, if its file is still the version with hash `from`.
    pub fn rename(&self, slug: &Slug, from: Hash, name: &str) -> Result<(), Refused> {
        self.edit(slug, from, |document| {
            replace(document.as_table_mut(), "name", value(name));
            Ok(())
        })
    }
}

/// The text of a vehicle file once writes were made, one after the other.
pub fn followed(text: &str, writes: &[Written]) -> Result<String, Problems> {
    let mut text = text.to_string();
    for written in writes {
        let (vehicle, problems) = Vehicle::read(TRUCK_FILE, &text);
        let vehicle = vehicle.ok_or(problems)?;
        let mut document: DocumentMut = text.parse().map_err(|error| vec![not_toml(&error)])?;
        follow(&mut document, &vehicle, written)?;
        text = document.to_string();
    }
    Ok(text)
}

fn follow(document: &mut DocumentMut, vehicle: &Vehicle, written: &Written) -> Result<(), Problems> {
    let place = vehicle.adjusters.iter().position(|adjuster| adjuster.called() == written.adjuster);
    let Some((place, adjuster)) = place.and_then(|place| Some((place, vehicle.adjusters.get(place)?))) else {
        let known: Vec<&str> = vehicle.adjusters.iter().map(Adjuster::called).collect();
        return Err(Problem::error("adjuster", known.join(", "), format!("`{}`", written.adjuster)).into());
    };
    say_settings_then(document, vehicle);
    if matches!(adjuster.kind, AdjusterKind::Tires(_)) {
        mounted::mount(document, vehicle, &written.to);
    } else if let Some(table) = nth(document, "adjuster", place) {
        set_present(table, adjuster, written);
    }
    add(document, adjuster, written);
    Ok(())
}

/// Evidence that shows an indicated value belongs to the setting it was read with: once there is a write, each piece
/// must say so.
fn say_settings_then(document: &mut DocumentMut, vehicle: &Vehicle) {
    for (place, evidence) in vehicle.evidence.iter().enumerate() {
        let then = |adjuster: &Adjuster| vehicle.setting_then(evidence, adjuster).map(|set| set.to_string());
        let said = match vehicle.adjusters.as_slice() {
            _ if !evidence.settings.is_empty() || !evidence.kind.shows_indicated() => None,
            [only] => then(only).map(value),
            several => {
                let mut all = InlineTable::new();
                for adjuster in several {
                    if let Some(then) = then(adjuster) {
                        all.insert(adjuster.called(), then.into());
                    }
                }
                (!all.is_empty()).then(|| value(all))
            }
        };
        if let (Some(said), Some(table)) = (said, nth(document, "evidence", place)) {
            table.insert("setting", said);
        }
    }
}

fn set_present(table: &mut dyn TableLike, adjuster: &Adjuster, written: &Written) {
    let to = written.to.as_str();
    let whole = matches!(adjuster.kind, AdjusterKind::ToneRing(_) | AdjusterKind::FreeConstant(_));
    let present = to.parse::<i64>().ok().filter(|_| whole).map_or_else(|| value(to), value);
    replace(table, "present", present);
    if let Some(left) = adjuster.writes_left {
        let left = written.writes_left.unwrap_or_else(|| i64::from(left.saturating_sub(1)));
        replace(table, "writes_left", value(left));
    }
    // It was what the module showed of the earlier value.
    if let AdjusterKind::SteppedConstant(it) = &adjuster.kind
        && let Some(shown) = it.display.as_ref()
    {
        let plain = if shown.contains('.') { to.to_string() } else { to.replace('.', "") };
        replace(table, "display", value(plain));
    }
}

/// Puts another value in the place of one, and keeps the remark behind it.
fn replace(table: &mut dyn TableLike, key: &str, item: Item) {
    let remark = table.get(key).and_then(Item::as_value).map(|before| before.decor().clone());
    table.insert(key, item);
    if let (Some(remark), Some(now)) = (remark, table.get_mut(key).and_then(Item::as_value_mut)) {
        *now.decor_mut() = remark;
    }
}

fn add(document: &mut DocumentMut, adjuster: &Adjuster, written: &Written) {
    let mut table = Table::new();
    if let Ok(date) = written.date.to_string().parse::<toml_edit::Datetime>() {
        table.insert("date", value(date));
    }
    table.insert("from", value(&written.from));
    table.insert("to", value(&written.to));
    if let Some(name) = &adjuster.name {
        table.insert("adjuster", value(name));
    }
    if let Some(odometer) = &written.odometer {
        table.insert("odometer", value(odometer));
    }
    let section = document.entry("written").or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
    if let Some(tables) = section.as_array_of_tables_mut() {
        tables.push(table);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "name = \"One\"\n\n[tire]\nsize = \"LT265/75R16\"\n\n[adjuster] # the module\nkind = \"stepped-constant\"\ncounts_per_mile_per_unit = 5000\nmin = \"4.00\"\nmax = \"12.00\"\nstep = \"0.02\"\nbuttons = [\"up\"]\nwraps = true\npresent = \"8.20\" # read twice\nwrites_left = 4\ndisplay = \"820\"\n\n[[evidence]]\nkind = \"rollout\"\nturns = 5\nlength = \"40 ft 3 1/2 in\"\n\n[[evidence]]\nkind = \"odometer-distance\"\nindicated = \"9.6 mi\"\ntrue = \"10.0 mi\"\n";

    #[test]
    fn the_file_follows_a_write() {
        let vehicle = Vehicle::read("truck.toml", TEXT).0.unwrap();
        let mut document: DocumentMut = TEXT.parse().unwrap();
        let written = Written {
            adjuster: vehicle.adjusters[0].called().into(),
            from: "8.20".into(),
            to: "7.86".into(),
            date: "2026-05-09".parse().unwrap(),
            odometer: Some("128411.0 mi".into()),
            writes_left: None,
        };
        follow(&mut document, &vehicle, &written).unwrap();
        let text = document.to_string();
        let expected = TEXT
            .replace("present = \"8.20\"", "present = \"7.86\"")
            .replace("writes_left = 4", "writes_left = 3")
            .replace("\"820\"", "\"786\"")
            + "setting = \"8.20\"\n\n[[written]]\ndate = 2026-05-09\nfrom = \"8.20\"\nto = \"7.86\"\nodometer = \"128411.0 mi\"\n";
        assert_eq!(text, expected);
        let (after, problems) = Vehicle::read("truck.toml", &text);
        assert_eq!(problems, []);
        assert_eq!(after.unwrap().adjusters[0].present().unwrap().to_string(), "7.86");
    }

    #[test]
    fn an_adjuster_that_is_not_there_is_told() {
        let vehicle = Vehicle::read("truck.toml", TEXT).0.unwrap();
        let mut document: DocumentMut = TEXT.parse().unwrap();
        let date = "2026-05-09".parse().unwrap();
        let (from, to) = ("1".into(), "2".into());
        let other = Written { adjuster: "ring".into(), from, to, date, odometer: None, writes_left: None };
        assert!(follow(&mut document, &vehicle, &other).is_err());
        assert_eq!(document.to_string(), TEXT);
    }
}
