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
use crownwheel_sweep::worlds::USUAL_SCREENED;

use super::log::MeasuredTrip;

/// What is known of the loads in the cabin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Loads {
    /// Nothing: a cabin is assumed.
    Blind,
    /// The mean of heater and air conditioning was measured.
    Known,
    /// The build has no cabin: the log has heater and air conditioning, or nothing does.
    Nothing,
}

/// What a model says of one trip, world by world, as measured facts are held against it.
#[derive(Clone, Debug)]
pub struct Modelled {
    /// Use, Wh/km.
    pub values: Vec<f64>,
    /// Relative standard deviation from trip to trip.
    pub trip_sd: f64,
}

/// The build of a folder or file as it was on a trip.
///
/// # Errors
/// What is wrong with the build, in words.
pub fn build_on(path: &Path, trip: &MeasuredTrip, loads: Loads) -> Result<Build, String> {
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
    }
    if loads != Loads::Blind {
        sets.push(set("cabin.kind".to_owned(), "none".to_owned()));
    }
    load(&file, &sets).map_err(|report| report.to_string())
}

/// Use on a trip that is driven once in every world, each on a trip of its own, Wh/km.
///
/// # Errors
/// The car cannot be, in words.
pub fn driven(build: &Build, trip: &MeasuredTrip, count: NonZeroUsize) -> Result<Vec<f64>, String> {
    let (course, worlds) = (course(build, trip)?, worlds(count));
    let values = predicted(&course, &worlds, &build.model());
    Ok(values.map_err(|error| error.to_string())?.remove(0))
}

/// The same without what differs from trip to trip.
///
/// # Errors
/// The car cannot be, in words.
pub fn as_modelled(
    build: &Build,
    trip: &MeasuredTrip,
    count: NonZeroUsize,
) -> Result<Modelled, String> {
    let (course, worlds, model) = (course(build, trip)?, worlds(count), build.model());
    let values = modelled(&course, &worlds, &model).map_err(|error| error.to_string())?.remove(0);
    Ok(Modelled { values, trip_sd: model.car.model.trip_sd_over(trip.cycle.distance_m()) })
}

fn worlds(count: NonZeroUsize) -> Worlds {
    Worlds::new(SEED, count, USUAL_SCREENED)
}

/// The one question: what the trip takes.
fn course(build: &Build, trip: &MeasuredTrip) -> Result<Course, String> {
    let days = build.day_models();
    let day = days.first().map(|day| day.day.name.clone()).ok_or("the build has no day")?;
    let name: Arc<str> = Arc::from(trip.name.as_str());
    let question = Question::of(&rows::ROUTE_USE)
        .on_cycle(Arc::clone(&name))
        .on_day(day)
        .from_pct(trip.charge_pct);
    let cycle = NamedCycle { name, cycle: trip.cycle.clone() };
    Course::new(vec![question], &[], vec![cycle], days, Vec::new())
        .map_err(|missing| format!("nothing gives `{}`", missing.key))
}
