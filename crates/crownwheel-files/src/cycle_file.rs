//! Drive cycles as files: by time, `time_s,speed_kmh`, or by distance,
//! `distance_m,speed_kmh,elevation_m,stop_s`; with `grade_pct` or `elevation_m` if you like.

use std::path::Path;

use crownwheel::cycle::{
    Cycle, CycleError, CycleProblem, FASTEST_MPS, Grade, STEEPEST_GRADE, Samples,
};
use crownwheel::range::SHORTEST_CYCLE_M;
use crownwheel_quantities::text::shown_path;

use crate::input::{self, InputFile};
use crate::message::{Problem, ProblemKind, Report};
use crate::provider::Files;
use crate::table_csv::{CsvTable, WantedColumn};
use crate::table_rules;
use crate::units::Dimension;

/// Most rows of a cycle.
pub const MOST_ROWS: usize = 2_000_000;

const WANTED: &[WantedColumn] = &[
    WantedColumn::needed("speed", Dimension::Speed, "speed_kmh"),
    WantedColumn::extra("time", Dimension::Time, "time_s"),
    WantedColumn::extra("distance", Dimension::Length, "distance_m"),
    WantedColumn::extra("grade", Dimension::Ratio, "grade_pct"),
    WantedColumn::extra("elevation", Dimension::Length, "elevation_m"),
    WantedColumn::extra("stop", Dimension::Time, "stop_s"),
];

/// A cycle that was read.
#[derive(Clone, Debug)]
pub struct CycleFile {
    /// The checked cycle.
    pub cycle: Cycle,
    /// The file; none for a built-in cycle.
    pub input: Option<InputFile>,
    /// What was taken for granted.
    pub notes: Vec<String>,
}

/// Opens a cycle by the name in a build or on the command line: a name without a dot or a slash is
/// built in, any other is a file, looked for from `folder`.
///
/// # Errors
/// A [`Report`] if there is no such cycle or it cannot be driven.
pub fn open(name: &str, folder: &Path) -> Result<CycleFile, Report> {
    if is_builtin_name(name) {
        return match Cycle::builtin(name) {
            Ok(cycle) => Ok(CycleFile { cycle, input: None, notes: Vec::new() }),
            Err(_) => Err(unknown_builtin(name).into()),
        };
    }
    read(&folder.join(name), input::LARGEST_TABLE)
}

/// Reads a cycle file of at most `limit` bytes.
///
/// # Errors
/// A [`Report`] if it cannot be read or driven.
pub fn read(path: &Path, limit: u64) -> Result<CycleFile, Report> {
    read_from(&Files::default(), path, limit)
}

/// The same from other files than the disk's.
///
/// # Errors
/// As [`read`].
pub fn read_from(files: &Files, path: &Path, limit: u64) -> Result<CycleFile, Report> {
    let shown = shown_path(path);
    if is_gpx(path) {
        return Err(log_for_cycle(&shown).into());
    }
    let (text, input) = files.read_text(path, limit).map_err(|error| {
        let what = format!("cannot read the cycle `{shown}`: {error}");
        error.problem(&shown, what)
    })?;
    let title =
        path.file_stem().map_or_else(|| shown.clone(), |stem| stem.to_string_lossy().into_owned());
    let (cycle, notes) = parse(&shown, &title, &text)?;
    Ok(CycleFile { cycle, input: Some(input), notes })
}

/// Reads and checks the text of a cycle file. `name` is for messages, `title` names the cycle. The
/// second part of the result is what was taken for granted.
///
/// # Errors
/// A [`Report`] with the place of everything that is wrong.
pub fn parse(name: &str, title: &str, text: &str) -> Result<(Cycle, Vec<String>), Report> {
    let mut table = CsvTable::read(name, text, WANTED, MOST_ROWS)?;
    let along = along(&table)?;
    if along == "time" {
        table_rules::rising(&table, "time", "time")?;
    }
    let samples = samples(&mut table, along)?;
    let notes = table.notes().to_vec();
    let cycle = Cycle::new(title, &samples).map_err(|error| refusal(&table, along, &error))?;
    if cycle.distance_m() < SHORTEST_CYCLE_M - 1e-6 {
        return Err(too_short(&table, cycle.distance_m()).into());
    }
    Ok((cycle, notes))
}

/// Whether a name means a built-in cycle.
#[must_use]
pub fn is_builtin_name(name: &str) -> bool {
    !name.contains(['.', '/', '\\'])
}

/// Whether a file is a log of a drive, going by its name.
#[must_use]
pub fn is_gpx(path: &Path) -> bool {
    path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("gpx"))
}

fn log_for_cycle(shown: &str) -> Problem {
    let what = format!("`{shown}` is a log of a drive, and a cycle is wanted");
    Problem::file(ProblemKind::Syntax, shown, what)
        .hint(format!("clean it first: crownwheel trip {shown} -o driven.csv; `crownwheel range` drives a log once"))
}

/// A name that no built-in cycle has.
pub(crate) fn unknown_builtin(name: &str) -> Problem {
    let names = crownwheel::cycle::BUILTIN_NAMES.join(", ");
    let what = format!("there is no built-in cycle `{}`", crate::message::printable(name));
    Problem::file(ProblemKind::UnknownKey, name, what)
        .allowed(names)
        .hint("the name of a cycle file has a dot in it, as in moor-round.csv")
}

/// What the rows go along: time or distance.
fn along(table: &CsvTable<'_>) -> Result<&'static str, Report> {
    let has = |name: &str| table.column(name).is_some();
    let problem =
        |what: &str, hint: &str| Err(table.table_problem(what.to_owned()).hint(hint).into());
    match (has("time"), has("distance")) {
        (true, true) => {
            problem("the table has both time and distance", "keep the one that the driver follows")
        }
        (false, false) => problem(
            "the table has neither time nor distance",
            "name the columns time_s,speed_kmh or distance_m,speed_kmh,stop_s",
        ),
        _ if has("grade") && has("elevation") => {
            problem("the table has both grade and elevation", "keep the one that was measured")
        }
        (true, false) if has("stop") => problem(
            "the table goes by time and has a column of stops",
            "by time a stop is rows with speed 0; leave the column out",
        ),
        (true, false) => Ok("time"),
        (false, true) => Ok("distance"),
    }
}

fn samples(table: &mut CsvTable<'_>, along: &str) -> Result<Samples, Report> {
    let rows = table.row_count();
    let grade = match (table.take("grade"), table.take("elevation")) {
        (Some(grade), _) => Grade::Frac(grade),
        (None, Some(elevation_m)) => Grade::Elevation(elevation_m),
        (None, None) => Grade::Flat,
    };
    let speed_mps = table.take("speed").unwrap_or_default();
    if along == "time" {
        return Ok(Samples::ByTime {
            time_s: table.take("time").unwrap_or_default(),
            speed_mps,
            grade,
        });
    }
    let stop_s = table.take("stop").unwrap_or_else(|| vec![0.0; rows]);
    Ok(Samples::ByDistance {
        distance_m: table.take("distance").unwrap_or_default(),
        speed_mps,
        stop_s,
        grade,
    })
}

fn too_short(table: &CsvTable<'_>, length_m: f64) -> Problem {
    table
        .table_problem(format!("the cycle is {length_m:.0} m long"))
        .allowed(format!("at least {SHORTEST_CYCLE_M:.0} m"))
        .hint("a shorter way has no range; look at the units in the heading")
}

/// The core's refusal, with its place in the file, in the file's units, and a way out.
fn refusal(table: &CsvTable<'_>, along: &str, error: &CycleError) -> Report {
    let steepest = |name| table.in_its_unit(name, STEEPEST_GRADE);
    let written = |name| table.as_written(error.row, name);
    let (column, what, allowed, hint) = match error.problem {
        CycleProblem::TooFewSamples | CycleProblem::UnequalLengths => {
            let what = "a cycle needs at least two rows".to_owned();
            return table.table_problem(what).hint("write a row for each second").into();
        }
        CycleProblem::NoDistance => {
            let hint = "at least one row must have a speed above 0";
            return table.table_problem(error.problem.to_string()).hint(hint).into();
        }
        CycleProblem::SpeedOutOfRange { .. } => (
            "speed",
            format!("the speed is {}", written("speed")),
            format!("0 to {}", table.in_its_unit("speed", FASTEST_MPS)),
            "look at the unit in the heading",
        ),
        CycleProblem::StandsOverDistance => (
            "speed",
            "the speed is 0 in this row and in the one before, and there is a distance between them"
                .to_owned(),
            "a speed above 0 in one of both rows".to_owned(),
            "a stop stands in the column stop_s",
        ),
        CycleProblem::StopOutOfPlace { .. } => (
            "stop",
            format!("the stop is {} where the speed is {}", written("stop"), written("speed")),
            "0 s or more, and 0 where the speed is not 0".to_owned(),
            "slow down to 0 before the stop",
        ),
        CycleProblem::TooSteep { .. } => (
            "grade",
            format!("the grade is {}", written("grade")),
            format!("-{0} to {0}", steepest("grade")),
            "look at the unit in the heading, and for jumps",
        ),
        CycleProblem::RisesTooMuch { rise_m, length_m } => (
            "elevation",
            format!(
                "the height is {}, and changes by {} over {} of road",
                written("elevation"),
                table.in_its_unit("elevation", rise_m),
                table.in_its_unit("elevation", length_m)
            ),
            "at most as much height as road below it".to_owned(),
            "look at the unit in the heading, and for jumps",
        ),
        CycleProblem::TooLong => (
            along,
            error.problem.to_string(),
            "three weeks of driving".to_owned(),
            "look at the unit in the heading, and for jumps",
        ),
        _ => (
            along,
            format!("{along} does not rise from the row before to this one"),
            "more than in the row before".to_owned(),
            "sort the rows and leave repeated ones out",
        ),
    };
    table.cell_problem(error.row, column, what).allowed(allowed).hint(hint).into()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cycle(text: &str) -> Cycle {
        parse("c.csv", "c", text).unwrap().0
    }

    fn refused(text: &str) -> String {
        parse("c.csv", "c", text).unwrap_err().to_string()
    }

    #[test]
    fn speeds_in_every_unit_are_one_cycle() {
        let kmh = cycle("time_s,speed_kmh\n0,0\n10,36\n20,0\n");
        assert!((kmh.distance_m() - 100.0).abs() < 1e-9);
        assert!((kmh.duration_s() - 20.0).abs() < 1e-9);
        let mph = cycle("time_s,speed_mph\n0,0\n10,22.369362920544\n20,0\n");
        assert!((mph.distance_m() - 100.0).abs() < 1e-9);
        let mps = cycle("time_min;speed_mps;phase\n0;0;town\n0,1;0;town\n1;10;town\n");
        assert!((mps.duration_s() - 60.0).abs() < 1e-9);
    }

    #[test]
    fn a_cycle_by_distance_has_stops_and_hills() {
        let cycle = cycle(
            "distance_m,speed_kmh,elevation_m,stop_s\n0,0,100,5\n100,36,105,0\n200,0,105,0\n",
        );
        assert!((cycle.distance_m() - 200.0).abs() < 0.2);
        assert!((cycle.duration_s() - 45.0).abs() < 1e-6);
        assert!((cycle.climb_m() - 5.0).abs() < 0.1);
    }

    #[test]
    fn time_that_goes_back_is_shown() {
        insta::assert_snapshot!(refused("time_s,speed_kmh\n0,0\n10,36\n9,30\n"), @r"
        error: time does not rise from the row before to this one
         --> c.csv:4:1
          |
        4 | 9,30
          | ^ allowed is more than in the row before
          |
          = help: sort the rows and leave repeated ones out

        1 error
        ");
    }

    #[test]
    fn cycles_that_nobody_can_drive_are_refused() {
        for (text, word) in [
            ("time_s,distance_m,speed_kmh\n0,0,0\n", "both time and distance"),
            ("speed_kmh\n0\n", "neither time nor distance"),
            ("time_s,speed_kmh,grade_pct,elevation_m\n0,0,0,0\n", "both grade and elevation"),
            ("time_s,speed_kmh,stop_s\n0,0,0\n", "a column of stops"),
            ("time_s,speed_kmh\n0,0\n1,-5\n", "c.csv:3:3"),
            ("time_s,speed_kmh\n0,0\n1,900\n", "c.csv:3:3"),
            ("time_s,speed_kmh\n0,0\n1,500\n", "the speed is 500 km/h"),
            ("time_s,speed_kmh\n0,0\n1,500\n", "allowed is 0 to 360 km/h"),
            ("time_s,speed_mph\n0,0\n1,500\n", "the speed is 500 mph"),
            ("time_s,speed_mph\n0,0\n1,500\n", "allowed is 0 to 223.7 mph"),
            ("time_s,speed_kmh,grade_pct\n0,9,0\n1,9,200\n", "the grade is 200 %"),
            ("time_s,speed_kmh,grade_pct\n0,9,0\n1,9,1e308\n", "allowed is -100 % to 100 %"),
            ("distance_m,speed_kmh,elevation_m\n0,9,0\n1,9,5\n", "changes by 5 m over 1 m"),
            ("distance_ft,speed_mph,elevation_ft\n0,9,0\n1,9,5\n", "changes by 5 ft over 1 ft"),
            ("distance_m,speed_kmh,stop_s\n0,9,0\n9,9,5\n", "the stop is 5 s where the speed is 9"),
            ("distance_m,speed_kmh\n0,10\n50,10\n40,10\n", "c.csv:4:1"),
            ("distance_m,speed_kmh\n0,0\n50,0\n", "0 in this row and in the one before"),
            ("time_s,speed_kmh\n0,0\n1,0\n", "no distance"),
            ("time_s,speed_kmh\n0,0\n", "at least two rows"),
            ("time_s,speed_kmh\n0,9\n1e17,9\n", "c.csv:3:1"),
            ("time_s,speed_kmh\n0,9\n1e17,9\n", "three weeks"),
            ("distance_km,speed_kmh\n0,9\n1e306,9\n", "`1e306` is too large"),
            ("distance_m,speed_kmh,elevation_m\n0,9,0\n1,9,5\n", "c.csv:3:5"),
        ] {
            let message = refused(text);
            assert!(message.contains(word), "{message}");
        }
    }

    #[test]
    fn names_without_a_dot_are_built_in() {
        let here = Path::new(".");
        assert_eq!(open("udds", here).unwrap().cycle.name(), "udds");
        let unknown = open("uds", here).unwrap_err().to_string();
        assert!(
            unknown.contains("no built-in cycle `uds`") && unknown.contains("hwfet"),
            "{unknown}"
        );
        let missing = open("no-such.csv", here).unwrap_err().to_string();
        assert!(missing.contains("no such file"), "{missing}");
        let folder = tempfile::tempdir().unwrap();
        assert!(read(folder.path(), 10).unwrap_err().to_string().contains("a folder"));
    }
}
