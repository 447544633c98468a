//! A trip driven once by a build in its worlds.

use std::num::NonZeroUsize;
use std::path::Path;
use std::sync::Arc;

use crownwheel_files::{Build, Set, load};
use crownwheel_quantities::{NamedCycle, Question, rows};
use crownwheel_sweep::Worlds;
use crownwheel_sweep::conditioning::{modelled, predicted};
use crownwheel_sweep::course::Course;
use crownwheel_sweep::single::SEED;
use crownwheel_sweep::trips::trip_sd;
use crownwheel_sweep::worlds::USUAL_SCREENED;

use super::log::Measured;

/// What is known of the loads in the cabin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Loads {
    /// Nothing: a cabin is assumed.
    Blind,
    /// The mean of heater and air conditioning was measured.
    Known,
}

/// What a build says of one trip, world by world, Wh/km.
#[derive(Clone, Debug)]
pub struct Predicted {
    /// As the model says.
    pub modelled: Vec<f64>,
    /// As a trip of its own.
    pub driven: Vec<f64>,
    /// Relative standard deviation from trip to trip.
    pub trip_sd: f64,
}

/// The build of a folder or file as it was on a trip.
///
/// # Errors
/// What is wrong with the build, in words.
pub fn build_on(path: &Path, trip: &Measured, loads: Loads) -> Result<Build, String> {
    let file = if path.is_dir() { path.join("build.toml") } else { path.to_owned() };
    let plain = load(&file, &[]).map_err(|report| report.to_string())?;
    let day = plain.days.first().map(|day| day.name.key()).ok_or("the build has no day")?;
    let set = |key: String, value: String| Set { key, value: format!("\"{value}\"") };
    let mut sets = vec![
        set(format!("day.{day}.temperature"), format!("{} °C", trip.outside_c)),
        set(format!("day.{day}.pack_temperature"), format!("{} °C", trip.pack_c)),
    ];
    if loads == Loads::Known {
        sets.push(set(format!("day.{day}.extra_load"), format!("{} W", trip.loads_w.max(0.0))));
        sets.push(set("cabin.kind".to_owned(), "none".to_owned()));
    }
    load(&file, &sets).map_err(|report| report.to_string())
}

/// Drives a trip once in every world.
///
/// # Errors
/// The car cannot be, in words.
pub fn predict(build: &Build, trip: &Measured, worlds: NonZeroUsize) -> Result<Predicted, String> {
    let days = build.day_models();
    let day = days.first().map(|day| &day.day.name).ok_or("the build has no day")?;
    let name: Arc<str> = Arc::from(trip.name.as_str());
    let question = Question::of(&rows::ROUTE_USE)
        .on_cycle(Arc::clone(&name))
        .on_day(day)
        .from_pct(trip.charge_pct);
    let cycle = NamedCycle { name, cycle: trip.cycle.clone() };
    let course = Course::new(vec![question], &[], vec![cycle], days, Vec::new())
        .map_err(|missing| format!("nothing gives `{}`", missing.key))?;
    let (worlds, model) = (Worlds::new(SEED, worlds, USUAL_SCREENED), build.model());
    let said = |error: crownwheel::spec::SpecError| error.to_string();
    Ok(Predicted {
        modelled: modelled(&course, &worlds, &model).map_err(said)?.remove(0),
        driven: predicted(&course, &worlds, &model).map_err(said)?.remove(0),
        trip_sd: trip_sd(model.car.model.trip_sd, trip.cycle.distance_m()),
    })
}
