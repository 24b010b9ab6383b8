//! What an input can be asked for by: the one list of names that problems refer to, whatever a face calls them.

/// Something that is said to the program in a field of its own. A face has its own word for it: a flag of the command
/// line, the label of a form, a key of a file.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Field {
    /// The columns of a track.
    TrackColumns,
    /// The columns of the vehicle's own log.
    VehicleColumns,
    /// Where the speed stands in a log of a CAN bus.
    CanSignal,
    /// The file that describes the signals of a CAN bus.
    Dbc,
    /// The name of a signal in that file.
    Signal,
    /// Steady speeds that were called out.
    Holds,
    /// The odometer at the start of a drive.
    OdometerStart,
    /// The odometer at its end.
    OdometerEnd,
    /// How both were read.
    OdometerRead,
    /// Where whoever called out the speeds sat.
    ReadFrom,
    /// The channel of a recording.
    Channel,
    /// The turns made during a recording.
    Turns,
    /// The distance travelled during a recording.
    Distance,
    /// To the nearest what it was measured.
    MeasuredToNearest,
    /// Counts per length that a signal is to give.
    Counts,
    /// One steady speed of a signal.
    Speed,
    /// Several steady speeds of a signal.
    Speeds,
    /// The speed that a sweep begins with.
    FirstSpeed,
    /// The speed that a sweep ends with.
    LastSpeed,
    /// How long each speed lasts.
    Lasting,
    /// The share of full scale of a sound.
    Level,
    /// The samples per second of a sound.
    Rate,
    /// How many teeth a ring has.
    RingTeeth,
    /// The tooth that is not there.
    MissingTooth,
    /// Where a way starts.
    From,
    /// Where a way ends.
    To,
    /// The folder of the garage.
    Garage,
    /// The file that is written.
    Out,
    /// The address that the page is served at.
    Address,
    /// Whether whoever asks the page needs a key.
    WithKey,
    /// Whether phones in the same network reach the page for a drive.
    Lan,
    /// The port at which they do.
    Port,
    /// That a value is meant although it reads worse than what is stored.
    EvenIfWorse,
    /// What the odometer shows, in an entry of the record.
    Odometer,
    /// What the odometer showed that was replaced.
    OdometerBefore,
    /// What an entry of the record is about.
    EntryText,
    /// The value of an entry of the record.
    EntryValue,
    /// Any other field of an entry, by its name.
    EntryField,
    /// The day on which something was done that is entered later.
    DoneOn,
    /// Why an entry is right though it looks odd.
    Sure,
    /// That a vehicle is one the record does not hold yet.
    NewVehicle,
    /// A key of the vehicle file: the section's name, and its own.
    Key(&'static str, &'static str),
}

impl Field {
    /// All but the keys of the vehicle file, which have a table of their own.
    pub const ALL: [Self; 41] = [
        Self::TrackColumns,
        Self::VehicleColumns,
        Self::CanSignal,
        Self::Dbc,
        Self::Signal,
        Self::Holds,
        Self::OdometerStart,
        Self::OdometerEnd,
        Self::OdometerRead,
        Self::ReadFrom,
        Self::Channel,
        Self::Turns,
        Self::Distance,
        Self::MeasuredToNearest,
        Self::Counts,
        Self::Speed,
        Self::Speeds,
        Self::FirstSpeed,
        Self::LastSpeed,
        Self::Lasting,
        Self::Level,
        Self::Rate,
        Self::RingTeeth,
        Self::MissingTooth,
        Self::From,
        Self::To,
        Self::Garage,
        Self::Out,
        Self::Address,
        Self::WithKey,
        Self::Lan,
        Self::Port,
        Self::EvenIfWorse,
        Self::Odometer,
        Self::OdometerBefore,
        Self::EntryText,
        Self::EntryValue,
        Self::EntryField,
        Self::DoneOn,
        Self::Sure,
        Self::NewVehicle,
    ];

    /// Its name in files and in what programs send.
    pub fn key(self) -> &'static str {
        match self {
            Self::TrackColumns => "track_columns",
            Self::VehicleColumns => "vehicle_columns",
            Self::CanSignal => "can_signal",
            Self::Dbc => "dbc",
            Self::Signal => "signal",
            Self::Holds => "holds",
            Self::OdometerStart => "odometer_start",
            Self::OdometerEnd => "odometer_end",
            Self::OdometerRead => "odometer_read",
            Self::ReadFrom => "read_from",
            Self::Channel => "channel",
            Self::Turns => "turns",
            Self::Distance => "distance",
            Self::MeasuredToNearest => "measured_to_nearest",
            Self::Counts => "counts",
            Self::Speed => "speed",
            Self::Speeds => "speeds",
            Self::Lasting => "lasting",
            Self::Level => "level",
            Self::Rate => "rate",
            Self::RingTeeth => "ring_teeth",
            Self::MissingTooth => "missing_tooth",
            Self::FirstSpeed | Self::From => "from",
            Self::LastSpeed | Self::To => "to",
            Self::Garage => "garage",
            Self::Out => "out",
            Self::Address => "address",
            Self::WithKey => "with_key",
            Self::Lan => "lan",
            Self::Port => "port",
            Self::EvenIfWorse => "even_if_worse",
            Self::Odometer => "odometer",
            Self::OdometerBefore => "odometer_before",
            Self::EntryText => "text",
            Self::EntryValue => "value",
            Self::EntryField => "field",
            Self::DoneOn => "done_on",
            Self::Sure => "sure",
            Self::NewVehicle => "new_vehicle",
            Self::Key(_, key) => key,
        }
    }

    /// The field, to be filled in like this.
    pub fn such_as(self, example: impl Into<String>) -> Named {
        Named { example: Some(example.into()), ..Named::from(self) }
    }
}

/// A field as a text names it, with what may be said in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Named {
    /// Which one.
    pub field: Field,
    /// What may be said in it.
    pub example: Option<String>,
    /// Whether it is asked for by a key of the vehicle file, rather than where the work was asked for.
    pub is_key: bool,
}

impl Named {
    /// As a line of a vehicle file has it: the key, and the example as a value.
    pub fn as_key(&self) -> String {
        if matches!(self.field, Field::Key(..)) {
            return format!("`{}`", self.as_line());
        }
        self.as_line()
    }

    fn as_line(&self) -> String {
        match &self.example {
            None => self.field.key().to_owned(),
            Some(table) if table.starts_with('{') => format!("{} = {table}", self.field.key()),
            Some(number) if number.bytes().all(|digit| digit.is_ascii_digit()) => {
                format!("{} = {number}", self.field.key())
            }
            Some(text) => format!("{} = \"{text}\"", self.field.key()),
        }
    }

    /// In plain words, for what belongs to no face.
    pub fn as_words(&self) -> String {
        if matches!(self.field, Field::Key(..)) {
            return self.as_key();
        }
        let words = self.field.key().replace('_', " ");
        match &self.example {
            None => words,
            Some(example) => format!("{words} \"{example}\""),
        }
    }
}

impl From<Field> for Named {
    fn from(field: Field) -> Self {
        Self { field, example: None, is_key: matches!(field, Field::Key(..)) }
    }
}
