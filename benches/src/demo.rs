//! What is measured: the demo car on its first day over WLTC 3b, and options of that car.

use std::path::{Path, PathBuf};

use crownwheel::cycle::Cycle;
use crownwheel::knob::Knob;
use crownwheel::ready::Ready;
use crownwheel::spec::CarSpec;
use crownwheel::{Car, Day};

/// Values of each knob; a million options with three knobs.
const VALUES: usize = 100;

/// A knob with its lowest and highest value, in its unit in [`crownwheel::spec`].
struct Axis {
    path: &'static str,
    from: f64,
    to: f64,
}

/// What a workshop may choose among: the final drive, what is carried, and the tyres.
const AXES: [Axis; 3] = [
    Axis { path: "driveline.axle.ratio", from: 3.5, to: 4.3 },
    Axis { path: "luggage.mass", from: 0.0, to: 60.0 },
    Axis { path: "tyres.rolling_resistance", from: 0.008, to: 0.014 },
];

/// The demo car with its day and cycle.
#[derive(Clone, Debug)]
pub struct Demo {
    /// The car.
    pub car: Car,
    /// Its first day.
    pub day: Day,
    /// WLTC class 3b, one leg a second.
    pub cycle: Cycle,
    knobs: [Knob; 3],
}

/// The demo build, in the folder of this workspace.
#[must_use]
pub fn build_file() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../data-demo/dunlin/build.toml")
}

impl Demo {
    /// Reads the demo.
    ///
    /// # Errors
    /// What is wrong with it, as text.
    pub fn load() -> Result<Demo, String> {
        let build =
            crownwheel_files::load(&build_file(), &[]).map_err(|report| report.render(false))?;
        let car = Car::new(&build.car).map_err(|error| error.to_string())?;
        let day = build.days.first().ok_or("the demo has no day")?;
        let day = Day::new(day).map_err(|error| error.to_string())?;
        let cycle = Cycle::wltc3b();
        let [a, b, c] = AXES.map(|axis| Knob::find(axis.path, car.spec()).map_err(|_| axis.path));
        let knobs = [a?, b?, c?];
        Ok(Demo { car, day, cycle, knobs })
    }

    /// An option of the demo, made ready for the day. Neighbours differ in the axle ratio.
    ///
    /// # Errors
    /// Why there is no such car, as text.
    pub fn option(&self, number: usize) -> Result<Ready, String> {
        let spec = self.option_spec(number).map_err(|error| error.to_string())?;
        let car = self.car.beside(&spec).map_err(|error| error.to_string())?;
        Ok(Ready::new(&car, &self.day))
    }

    fn option_spec(&self, number: usize) -> Result<CarSpec, crownwheel::spec::SpecError> {
        let mut spec = self.car.spec().clone();
        let mut rest = number;
        for (axis, knob) in AXES.iter().zip(self.knobs) {
            let share = count(rest % VALUES) / count(VALUES - 1);
            knob.set(&mut spec, axis.from + share * (axis.to - axis.from))?;
            rest /= VALUES;
        }
        Ok(spec)
    }

    /// Steps in the cycle.
    #[must_use]
    pub fn steps(&self) -> f64 {
        count(self.cycle.legs().len())
    }
}

/// A count as a number.
#[allow(clippy::cast_precision_loss, reason = "counts here are far below 2^52")]
pub(crate) fn count(n: usize) -> f64 {
    n as f64
}
