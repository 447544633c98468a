//! A build, asked as the command line asks it: a file read once, and answers with their bands.
//!
//! ```no_run
//! use crownwheel_answers::Build;
//!
//! let build = Build::open("my-car")?;
//! let answer = build.range().cycle("udds").day("mild").answer()?;
//! println!("{}", answer.plain);
//! let lighter = build.set("pack.modules_in_series", "8")?;
//! println!("{}", lighter.weigh().plain);
//! # Ok::<(), crownwheel_answers::build::AskError>(())
//! ```

mod answer;
mod ask;
mod asked;
mod bands;
mod error;
mod job;
mod loaded;
mod sweep;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crownwheel_files::{BuildText, FileProvider, Files, Set};

use crate::{GaugesAnswer, Units, WeighAnswer};

pub use answer::Answer;
pub use ask::{ChargeAsk, CheckAsk, PullAsk, RangeAsk};
pub use bands::{AskedWorlds, Bands};
pub use error::{AskError, AskErrorKind};
pub use job::Job;
pub use loaded::{
    LoadedBuild, Named, USUAL_CYCLES, asked, assumed_for, days, demanded_cycles, each_once, hash,
    hex, of_build, open_cycles, own_cycles, trip, typed,
};
pub use sweep::{Progress, SweepAsk};

/// A build that was read and checked; a copy costs nothing.
#[derive(Clone, Debug)]
pub struct Build {
    source: Arc<Source>,
    sets: Vec<String>,
    units: Units,
    loaded: Arc<LoadedBuild>,
}

/// Where a build is from.
#[derive(Clone, Debug)]
enum Source {
    Path(PathBuf),
    Text(String, Files),
}

/// What a build that stands in no file is called.
const GIVEN: &str = "the text";

impl Build {
    /// Reads a build; a folder means its `build.toml`.
    ///
    /// # Errors
    /// Everything that is wrong with it and its tables.
    pub fn open(path: impl AsRef<Path>) -> Result<Build, AskError> {
        Build::read(Arc::new(Source::Path(path.as_ref().to_owned())), Vec::new(), Units::Metric)
    }

    /// A build from a text, and the files that it names from `files`: [`Disk`](crownwheel_files::Disk) for those of the
    /// current folder, a map of paths and bytes for what a program holds itself.
    ///
    /// ```
    /// use std::collections::BTreeMap;
    /// use crownwheel_answers::Build;
    ///
    /// let files = BTreeMap::from([("motor-curve.csv".into(), b"speed [rpm]".to_vec())]);
    /// let wrong = Build::from_text("format = 1\n[car]\nwheelbase = \"3 kg\"\n", files).unwrap_err();
    /// assert!(wrong.to_string().contains("`car.wheelbase`"), "{wrong}");
    /// ```
    ///
    /// # Errors
    /// As [`Build::open`].
    pub fn from_text(text: &str, files: impl FileProvider + 'static) -> Result<Build, AskError> {
        let source = Source::Text(text.to_owned(), Files::new(files));
        Build::read(Arc::new(source), Vec::new(), Units::Metric)
    }

    /// The same build with one key set over it, as `--set KEY=VALUE` does.
    ///
    /// # Errors
    /// A key that there is not, with the nearest; a value that it does not allow.
    pub fn set(&self, key: &str, value: &str) -> Result<Build, AskError> {
        let sets = self.sets.iter().cloned().chain([format!("{key}={value}")]).collect();
        Build::read(Arc::clone(&self.source), sets, self.units)
    }

    /// The same build with answers in other units.
    ///
    /// # Errors
    /// None that [`Build::open`] did not have.
    pub fn in_units(&self, units: Units) -> Result<Build, AskError> {
        let loaded = Arc::new(of_build(self.loaded.build.clone(), units, &self.sets)?);
        Ok(Build { units, loaded, ..self.clone() })
    }

    fn read(source: Arc<Source>, sets: Vec<String>, units: Units) -> Result<Build, AskError> {
        let typed: Option<Vec<Set>> = sets.iter().map(|text| Set::parse(text)).collect();
        let typed = typed.ok_or_else(|| AskError::asked("a key and a value are wanted"))?;
        let text = match &*source {
            Source::Path(path) => BuildText::open(path, &typed)?,
            Source::Text(text, files) => BuildText::given(files, GIVEN, text.as_bytes(), &typed)?,
        };
        let loaded = Arc::new(of_build(text.build()?, units, &sets)?);
        Ok(Build { source, sets, units, loaded })
    }

    /// The build as it was read.
    #[must_use]
    pub fn read_build(&self) -> &crownwheel_files::Build {
        &self.loaded.build
    }

    /// Corner weights before and after.
    #[must_use]
    pub fn weigh(&self) -> Answer<WeighAnswer> {
        Answer::new(self.loaded.weigh(), self.units)
    }

    /// What the old gauges read.
    #[must_use]
    pub fn gauges(&self) -> Answer<GaugesAnswer> {
        Answer::new(self.loaded.gauges(), self.units)
    }

    /// What was understood, what is assumed, and what a line would narrow.
    #[must_use]
    pub fn check(&self) -> CheckAsk {
        CheckAsk::of(self)
    }

    /// Use and range.
    #[must_use]
    pub fn range(&self) -> RangeAsk {
        RangeAsk::of(self)
    }

    /// Pull, times, hills and heat.
    #[must_use]
    pub fn pull(&self) -> PullAsk {
        PullAsk::of(self)
    }

    /// Charging at each supply.
    #[must_use]
    pub fn charge(&self) -> ChargeAsk {
        ChargeAsk::of(self)
    }

    /// Options side by side, all values of all keys crossed.
    #[must_use]
    pub fn sweep(&self) -> SweepAsk {
        SweepAsk::of(self)
    }

    /// A copy that may be asked.
    fn loaded(&self) -> LoadedBuild {
        LoadedBuild::clone(&self.loaded)
    }
}
