//! What a shop keeps for itself on its device; targets from elsewhere; copies; files out and in.

use std::path::Path;
use std::sync::Arc;

use fallaway::text::Phrase;
use fallaway::text::messages::errors;

use crate::error::field;
use crate::given::small;
use crate::mirror::mirror;
use crate::numbers::count;
use crate::voice::{self, say};
use crate::{
    EntryId, FallawayError, Instrument, InstrumentId, Moment, Quantity, Result, Setup, SetupId,
    StringChange, StringPlace, StringSpec, VisitId, Workshop, WriteOptions,
};

/// Whose an instrument is, and how to reach them. On this device only.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Customer {
    /// A name, or a role: 1 to 120 characters.
    pub name: String,
    /// Telephone, address, hours: at most 500 characters.
    #[uniffi(default = "")]
    pub contact: String,
}

impl From<fallaway::Customer> for Customer {
    fn from(customer: fallaway::Customer) -> Self {
        Self { name: customer.name, contact: customer.contact }
    }
}

impl From<Customer> for fallaway::Customer {
    fn from(customer: Customer) -> Self {
        Self { name: customer.name, contact: customer.contact }
    }
}

/// An amount of money.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Money {
    /// Hundredths, so that sums are exact.
    pub hundredths: u64,
    /// What the currency is called, such as "EUR"; empty if that was not said.
    #[uniffi(default = "")]
    pub currency: String,
}

impl From<fallaway::Money> for Money {
    fn from(money: fallaway::Money) -> Self {
        Self { hundredths: money.hundredths, currency: money.currency }
    }
}

impl From<Money> for fallaway::Money {
    fn from(money: Money) -> Self {
        Self { hundredths: money.hundredths, currency: money.currency }
    }
}

/// A part that a job needed.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct JobPart {
    /// What: 1 to 200 characters.
    pub what: String,
    /// What it costs; `None` if that was not said.
    #[uniffi(default = None)]
    pub price: Option<Money>,
}

/// A piece of work on an instrument. On this device only.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Job {
    /// What is to be done, in the words of the shop: 1 to 500 characters.
    pub what: String,
    /// When it was taken in.
    pub begun: Moment,
    /// Its number on this instrument, from 1; 0 for one that is new.
    #[uniffi(default = 0)]
    pub number: u32,
    /// What it waits for: a part, an answer.
    #[uniffi(default = None)]
    pub waits_for: Option<String>,
    /// When it is to be ready.
    #[uniffi(default = None)]
    pub due: Option<Moment>,
    /// When it was done; `None` while it is open.
    #[uniffi(default = None)]
    pub done: Option<Moment>,
    /// Minutes of work that went into it.
    #[uniffi(default = 0)]
    pub minutes: u32,
    /// Parts that went in.
    #[uniffi(default = [])]
    pub parts: Vec<JobPart>,
    /// What the work costs, the parts not counted.
    #[uniffi(default = None)]
    pub price: Option<Money>,
    /// The visit in which it was done, if in one.
    #[uniffi(default = None)]
    pub visit: Option<VisitId>,
}

impl From<fallaway::Job> for Job {
    fn from(job: fallaway::Job) -> Self {
        let part = |part: fallaway::JobPart| JobPart {
            what: part.what,
            price: part.price.map(Money::from),
        };
        Self {
            what: job.what,
            begun: job.begun.into(),
            number: job.number,
            waits_for: job.waits_for,
            due: job.due.map(Moment::from),
            done: job.done.map(Moment::from),
            minutes: job.minutes,
            parts: job.parts.into_iter().map(part).collect(),
            price: job.price.map(Money::from),
            visit: job.visit.map(VisitId),
        }
    }
}

impl Job {
    fn typed(self) -> Result<fallaway::Job> {
        let part = |part: JobPart| fallaway::JobPart {
            what: part.what,
            price: part.price.map(fallaway::Money::from),
        };
        Ok(fallaway::Job {
            number: self.number,
            what: self.what,
            begun: self.begun.typed()?,
            waits_for: self.waits_for,
            due: self.due.map(Moment::typed).transpose()?,
            done: self.done.map(Moment::typed).transpose()?,
            minutes: self.minutes,
            parts: self.parts.into_iter().map(part).collect(),
            price: self.price.map(fallaway::Money::from),
            visit: self.visit.map(|visit| visit.0),
        })
    }
}

/// How often an instrument is looked at again. On this device only.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct Care {
    /// So many months after something was written down last: 1 to 120.
    #[uniffi(default = None)]
    pub after_months: Option<u8>,
    /// When these months of a year (1 to 12) begin.
    #[uniffi(default = [])]
    pub in_months: Vec<u16>,
}

/// A job that is open, with the instrument that it is about.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct OpenWork {
    /// The instrument that the job is about, by its id.
    pub instrument: InstrumentId,
    /// What it is called.
    pub name: String,
    /// Whose the instrument is; `None` if this device was not told.
    pub customer: Option<Customer>,
    /// What is to be done.
    pub job: Job,
}

/// An instrument that is to be looked at again.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct DueAgain {
    /// The instrument that is due, by its id.
    pub instrument: InstrumentId,
    /// What it is called.
    pub name: String,
    /// Whose the instrument is; `None` if this device was not told.
    pub customer: Option<Customer>,
    /// When something was written down last.
    pub last: Option<Moment>,
    /// Since when it is due.
    pub since: Moment,
}

mirror! {
    /// Where something was found.
    FoundIn = fallaway::FoundIn {
        /// In the name of an instrument, or what identifies it.
        Instrument,
        /// In whose it is, or how to reach them.
        Customer,
        /// In a job.
        Job,
        /// In an entry of the history.
        Entry,
        /// In the name of a setup.
        Setup,
        /// In the name of numbers of the shop.
        Spec,
        /// In the name of a string set.
        StringSet,
    }
}

/// Something that was found.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct FoundText {
    /// Of which instrument; `None` for what is kept for all.
    pub instrument: Option<InstrumentId>,
    /// What that is called.
    pub name: String,
    /// Where it stood: in a name, a job, an entry and so on.
    pub found_in: FoundIn,
    /// The text in which it was found, as a line to show.
    pub text: String,
    /// The entry, if in one.
    pub entry: Option<EntryId>,
    /// When, if it has a time.
    pub at: Option<Moment>,
}

impl From<fallaway::FoundText> for FoundText {
    fn from(found: fallaway::FoundText) -> Self {
        let (instrument, name) = found.instrument.unzip();
        Self {
            instrument: instrument.map(InstrumentId::from),
            name: name.unwrap_or_default(),
            found_in: found.found_in.into(),
            text: say(&found.text),
            entry: found.entry.map(EntryId),
            at: found.at.map(Moment::from),
        }
    }
}

/// Targets that the shop uses over and over. On this device only.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct ShopSpec {
    /// What it is called.
    pub name: String,
    /// How many targets it has.
    pub target_count: u32,
    /// Of what; `quantity_label` says each in words.
    pub quantities: Vec<Quantity>,
}

impl From<fallaway::ShopSpec> for ShopSpec {
    fn from(spec: fallaway::ShopSpec) -> Self {
        let mut quantities: Vec<Quantity> = Vec::new();
        for target in &spec.targets {
            let quantity = Quantity::from(target.quantity);
            if !quantities.contains(&quantity) {
                quantities.push(quantity);
            }
        }
        Self { target_count: count(spec.targets.len()), name: spec.name, quantities }
    }
}

/// A set of strings as it is bought. On this device only.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct StringSet {
    /// What it is called: 1 to 80 characters.
    pub name: String,
    /// Its strings, the highest first.
    pub strings: Vec<StringSpec>,
}

impl From<fallaway::StringSet> for StringSet {
    fn from(set: fallaway::StringSet) -> Self {
        Self { name: set.name, strings: set.strings.iter().map(StringSpec::from).collect() }
    }
}

impl StringSet {
    fn typed(&self) -> Result<fallaway::StringSet> {
        let strings = self.strings.iter().map(StringSpec::typed).collect::<Result<_>>()?;
        Ok(fallaway::StringSet { name: self.name.clone(), strings })
    }
}

/// Where targets come from.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Enum)]
pub enum TargetSource {
    /// A setup of another instrument of this workshop; its default one if none is named.
    Instrument {
        /// The instrument whose targets are taken.
        id: InstrumentId,
        /// Which setup of it.
        setup: Option<SetupId>,
    },
    /// Numbers of the shop.
    Spec {
        /// What they are called.
        name: String,
    },
    /// What is usual on such an instrument (common practice, no source); each target says "usual" of
    /// whom it is.
    Usual,
}

/// Targets that were taken from elsewhere.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct TakenTargets {
    /// The setup with them.
    pub setup: Setup,
    /// What could not be taken: read at a fret, string or pickup that this instrument does not have.
    pub left_out: Vec<Quantity>,
    /// Strings that took the number of the string that lies as they do, for want of one with their note.
    pub by_place: Vec<StringPlace>,
}

#[uniffi::export]
impl Instrument {
    /// Whose it is and how to reach them, if this device was told.
    ///
    /// # Errors
    /// When the store cannot be read; `Closed`.
    pub fn customer(&self) -> Result<Option<Customer>> {
        Ok(self.inner().customer()?.map(Customer::from))
    }

    /// Keeps whose it is, on this device only; `None` forgets it.
    ///
    /// # Errors
    /// `BadInput` for an empty name, and for texts that are too long; when the store cannot be written;
    /// `Closed`.
    pub fn set_customer(&self, customer: Option<Customer>) -> Result<()> {
        self.voice.is_asked();
        let customer = customer.map(fallaway::Customer::from);
        Ok(self.inner().set_customer(customer.as_ref())?)
    }

    /// The jobs on it, open ones first.
    ///
    /// # Errors
    /// When the store cannot be read; `Closed`.
    pub fn jobs(&self) -> Result<Vec<Job>> {
        Ok(self.inner().jobs()?.into_iter().map(Job::from).collect())
    }

    /// Keeps a job, on this device only: a new one (number 0), which is given a number, or one that there
    /// is, as it stands now. An open job that is not tied to a visit is tied to the open one.
    ///
    /// # Errors
    /// `NotFound` for a number that no job has; `BadInput` for texts that are empty or too long; when the
    /// store cannot be written; `Closed`.
    pub fn keep_job(&self, job: Job) -> Result<Job> {
        Ok(self.inner().keep_job(&job.typed()?)?.into())
    }

    /// Forgets a job.
    ///
    /// # Errors
    /// `NotFound` for a number that no job has; when the store cannot be written; `Closed`.
    pub fn remove_job(&self, number: u32) -> Result<()> {
        Ok(self.inner().remove_job(number)?)
    }

    /// How often it is looked at again, if that was said.
    ///
    /// # Errors
    /// When the store cannot be read; `Closed`.
    pub fn care(&self) -> Result<Option<Care>> {
        let care = self.inner().care()?;
        Ok(care.map(|care| Care {
            after_months: care.after_months,
            in_months: care.in_months.into_iter().map(u16::from).collect(),
        }))
    }

    /// Keeps how often it is looked at again, on this device only; `None` forgets it.
    ///
    /// # Errors
    /// `BadInput` for months that no year has; when the store cannot be written; `Closed`.
    pub fn set_care(&self, care: Option<Care>) -> Result<()> {
        self.voice.is_asked();
        let care = care.map(|care| fallaway::Care {
            after_months: care.after_months,
            // What is no month is refused as one that is none.
            in_months: care
                .in_months
                .into_iter()
                .map(|m| u8::try_from(m).unwrap_or(u8::MAX))
                .collect(),
        });
        Ok(self.inner().set_care(care.as_ref())?)
    }

    /// Keeps the targets of a setup (the default one if none is named) for other instruments, under a name,
    /// on this device only. Numbers of this name are replaced.
    ///
    /// # Errors
    /// `NotFound` for a setup that the instrument does not have, or that has no targets; `BadInput` for a
    /// name that is empty or too long; when the store cannot be written; `Closed`.
    #[uniffi::method(default(setup = None))]
    pub fn keep_spec(&self, name: &str, setup: Option<SetupId>) -> Result<ShopSpec> {
        Ok(self.inner().keep_spec(name, setup.as_ref().map(|id| &id.0))?.into())
    }

    /// A change of all strings to those of a set, for `add_string_change`; `None` if the instrument has
    /// another number of strings.
    ///
    /// # Errors
    /// `BadInput` for a string that cannot be; when the record cannot be read; `Closed`.
    pub fn fitting(&self, set: &StringSet) -> Result<Option<StringChange>> {
        Ok(self.inner().fitting(&set.typed()?)?.as_ref().map(StringChange::from))
    }

    /// The whole record as JSON for people and programs, with the bytes out of which
    /// `Workshop.import_record` makes it anew. It is not sealed: whoever has it reads it.
    ///
    /// # Errors
    /// When the record cannot be read; `Closed`.
    pub fn export(&self) -> Result<Vec<u8>> {
        Ok(self.inner().export()?)
    }

    /// Every reading that was not crossed out as comma-separated values, a row each, which `import_table`
    /// reads back.
    ///
    /// # Errors
    /// When the record cannot be read; `Closed`.
    pub fn export_table(&self) -> Result<String> {
        Ok(self.inner().export_table()?)
    }
}

#[uniffi::export]
impl Workshop {
    /// Founds the record of an instrument with another number of courses (a string or a pair each) or of
    /// frets than the starting point has.
    ///
    /// # Errors
    /// As `add_instrument`; `BadInput` for more courses or frets than an instrument may have.
    #[uniffi::method(default(courses = None, frets = None))]
    pub fn add_sized_instrument(
        &self,
        template: &str,
        name: &str,
        courses: Option<u32>,
        frets: Option<u32>,
    ) -> Result<Arc<Instrument>> {
        self.voice.is_asked();
        let courses = courses.map(|courses| small(field("strings"), courses)).transpose()?;
        let frets = frets.map(|frets| small(field("frets"), frets)).transpose()?;
        let added = self.inner().add_sized_instrument(template, name, courses, frets)?;
        Ok(Instrument::of(&self.voice, added))
    }

    /// Founds the record of an instrument like another: its facts and setups, not its history and people.
    ///
    /// # Errors
    /// `NotFound`; `BadInput` for a name that is empty, too long or taken; when the store cannot be written;
    /// `Closed`.
    pub fn copy_instrument(&self, id: InstrumentId, name: &str) -> Result<Arc<Instrument>> {
        let other = self.inner().instrument(id.0)?;
        Ok(Instrument::of(&self.voice, self.inner().copy_instrument(&other, name)?))
    }

    /// Takes targets from elsewhere into the setup of an instrument that has this name, which is made if
    /// there is none, in one step. A string takes the number of the string with its note, or else of the one
    /// that lies as it does.
    ///
    /// # Errors
    /// `NotFound` if there are no targets, and for what is not there; `NotAllowed`; when the store cannot be
    /// written; `Closed`.
    #[uniffi::method(default(options = None))]
    pub fn targets_from(
        &self,
        instrument: InstrumentId,
        name: &str,
        source: TargetSource,
        options: Option<WriteOptions>,
    ) -> Result<TakenTargets> {
        let into = self.inner().instrument(instrument.0)?;
        let options = crate::write_options::typed(options)?;
        let taken = match source {
            TargetSource::Usual => into.targets_from(name, fallaway::TargetSource::Usual, options),
            TargetSource::Spec { name: numbers } => {
                let spec = self.inner().spec_named(&numbers)?;
                into.targets_from(name, fallaway::TargetSource::Spec(&spec), options)
            }
            TargetSource::Instrument { id, setup: named } => {
                let other = self.inner().instrument(id.0)?;
                let named = named.as_ref().map(|id| &id.0);
                let source = fallaway::TargetSource::Instrument(&other, named);
                into.targets_from(name, source, options)
            }
        }?;
        Ok(TakenTargets {
            setup: taken.setup.into(),
            left_out: taken.left_out.into_iter().map(Quantity::from).collect(),
            by_place: taken.by_place.into_iter().map(StringPlace::from).collect(),
        })
    }

    /// The open jobs of all instruments that were not put away: those with a day first, by the day.
    ///
    /// # Errors
    /// When the store cannot be read; `Closed`.
    pub fn open_work(&self) -> Result<Vec<OpenWork>> {
        let open = self.inner().open_work()?.into_iter().map(|one| OpenWork {
            instrument: one.instrument.into(),
            name: one.name,
            customer: one.customer.map(Customer::from),
            job: one.job.into(),
        });
        Ok(open.collect())
    }

    /// The instruments that are due again, the longest first.
    ///
    /// # Errors
    /// As `open_work`.
    pub fn due_again(&self) -> Result<Vec<DueAgain>> {
        let due = self.inner().due_again()?.into_iter().map(|one| DueAgain {
            instrument: one.instrument.into(),
            name: one.name,
            customer: one.customer.map(Customer::from),
            last: one.last.map(Moment::from),
            since: one.since.into(),
        });
        Ok(due.collect())
    }

    /// Looks for a text in all that this device keeps: names, customers, jobs, histories in the language
    /// that was set, setups, numbers and string sets of the shop.
    ///
    /// # Errors
    /// When a record cannot be read; `Closed`.
    pub fn search(&self, text: &str) -> Result<Vec<FoundText>> {
        let found = self.inner().search(text, voice::voice())?;
        Ok(found.into_iter().map(FoundText::from).collect())
    }

    /// The numbers of the shop, by name.
    ///
    /// # Errors
    /// When the store cannot be read; `Closed`.
    pub fn specs(&self) -> Result<Vec<ShopSpec>> {
        Ok(self.inner().specs()?.into_iter().map(ShopSpec::from).collect())
    }

    /// Forgets numbers of the shop. Targets that came from them stay.
    ///
    /// # Errors
    /// `NotFound`; when the store cannot be written; `Closed`.
    pub fn remove_spec(&self, name: &str) -> Result<()> {
        Ok(self.inner().remove_spec(name)?)
    }

    /// The string sets of the shop, by name.
    ///
    /// # Errors
    /// When the store cannot be read; `Closed`.
    pub fn string_sets(&self) -> Result<Vec<StringSet>> {
        Ok(self.inner().string_sets()?.into_iter().map(StringSet::from).collect())
    }

    /// Keeps a set, on this device only. One of this name is replaced.
    ///
    /// # Errors
    /// `BadInput` for a name that is empty or too long, and for a gauge or weight that no string has; when
    /// the store cannot be written; `Closed`.
    pub fn keep_string_set(&self, set: &StringSet) -> Result<()> {
        Ok(self.inner().keep_string_set(&set.typed()?)?)
    }

    /// Forgets a set. What was fitted stays as it was written down.
    ///
    /// # Errors
    /// `NotFound`; when the store cannot be written; `Closed`.
    pub fn remove_string_set(&self, name: &str) -> Result<()> {
        Ok(self.inner().remove_string_set(name)?)
    }

    /// Founds a record out of what `Instrument.export` wrote. It is a record of its own: who shared the
    /// first one does not share it. `name` is what it is called; `None` as in the file.
    ///
    /// # Errors
    /// `BadInput` for what is no such file, or one of a newer version, and for a name that is taken; when the
    /// store cannot be written; `Closed`.
    #[uniffi::method(default(name = None))]
    pub fn import_record(&self, file: &[u8], name: Option<String>) -> Result<Arc<Instrument>> {
        Ok(Instrument::of(&self.voice, self.inner().import_record(file, name.as_deref())?))
    }
}

/// Reads an amount of money: `80`, `12.50 EUR`, `12,50 EUR`.
///
/// # Errors
/// `BadInput` for anything else.
#[uniffi::export]
pub fn read_money(text: &str) -> Result<Money> {
    voice::elsewhere();
    fallaway::Money::read(text).map(Money::from).ok_or_else(|| {
        let examples = "80, 12.50 EUR";
        let accepted = fallaway::Accepted::like(examples).said(Phrase::written(examples));
        FallawayError::bad_input(&field("price"), &errors::no_price(text.to_owned()), accepted)
    })
}

/// Writes everything that the folder of a workshop keeps to one file, not sealed; the device's secrets are
/// not in it. The workshop may be open meanwhile. A file that is there is replaced.
///
/// # Errors
/// `BadInput` for a folder without a workshop; `Storage`, `Full`.
#[uniffi::export]
pub fn back_up(folder: &str, file: &str) -> Result<()> {
    Ok(fallaway::Workshop::back_up(Path::new(folder), Path::new(file))?)
}

/// Makes the workshop of a folder that has none out of such a file.
///
/// # Errors
/// `BadInput` if there is a workshop in the folder; `Storage` for a file that `back_up` did not write.
#[uniffi::export]
pub fn restore(file: &str, folder: &str) -> Result<()> {
    Ok(fallaway::Workshop::restore(Path::new(file), Path::new(folder))?)
}
