//! A trip as a cycle file that other commands read.

use std::fmt::Write as _;

use crownwheel::constants::KMH_PER_MPS;
use crownwheel_answers::text::clean;

use super::Trip;

/// What the rows of a cycle file go by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CycleAxis {
    /// `time_s,speed_kmh,grade_pct`.
    Time,
    /// `distance_m,speed_kmh,elevation_m,stop_s`.
    Distance,
}

/// Shortest distance between rows by distance, m.
const ROW_M: f64 = 5.0;
/// Shorter moves between two stops are part of the stop, m.
const SHORTEST_MOVE_M: f64 = 1.0;

/// A row by distance.
#[derive(Clone, Copy, Debug)]
struct DistanceRow {
    row: usize,
    stop_s: f64,
}

impl Trip {
    /// The cycle file, with what was repaired as comment lines.
    #[must_use]
    pub fn cycle_csv(&self, along: CycleAxis) -> String {
        let mut out = String::new();
        self.write_head(&mut out);
        match along {
            CycleAxis::Time => self.write_by_time(&mut out),
            CycleAxis::Distance => self.write_by_distance(&mut out),
        }
        out
    }

    fn write_head(&self, out: &mut String) {
        let name = clean(&self.name);
        // Writing to a `String` cannot fail.
        let _ = writeln!(
            out,
            "# {name}: {:.3} km in {:.0} s, made from a log.",
            self.length_m() / 1000.0,
            self.duration_s()
        );
        if let (Some(raw_m), Some(climb_m)) = (self.climb_raw_m, self.climb_m) {
            let _ = writeln!(
                out,
                "# Uphill {climb_m:.0} m; {raw_m:.0} m before heights were smoothed."
            );
        }
        for repair in self.repairs.iter() {
            let times = match repair.count {
                1 => "once".to_owned(),
                count => format!("{count} times"),
            };
            let _ = writeln!(out, "# Repaired {times}: {}.", repair.kind.words());
        }
    }

    fn write_by_time(&self, out: &mut String) {
        let grade = self.grade_frac();
        out.push_str(if grade.is_some() {
            "time_s,speed_kmh,grade_pct\n"
        } else {
            "time_s,speed_kmh\n"
        });
        for i in 0..self.time_s.len() {
            let _ = write!(out, "{:.3},{:.3}", self.time_s[i], self.speed_mps[i] * KMH_PER_MPS);
            if let Some(grade) = &grade {
                let _ = write!(out, ",{:.3}", 100.0 * grade[i]);
            }
            out.push('\n');
        }
    }

    fn write_by_distance(&self, out: &mut String) {
        let height_m = self.elevation_m.as_ref();
        out.push_str(if height_m.is_some() {
            "distance_m,speed_kmh,elevation_m,stop_s\n"
        } else {
            "distance_m,speed_kmh,stop_s\n"
        });
        for place in self.places() {
            let DistanceRow { row, stop_s } = place;
            let _ =
                write!(out, "{:.2},{:.3}", self.distance_m[row], self.speed_mps[row] * KMH_PER_MPS);
            if let Some(height_m) = height_m {
                let _ = write!(out, ",{:.2}", height_m[row]);
            }
            let _ = writeln!(out, ",{stop_s:.1}");
        }
    }

    /// Rows at least a few metres apart, and each stop as one row.
    fn places(&self) -> Vec<DistanceRow> {
        let mut places: Vec<DistanceRow> = Vec::new();
        let mut row = 0;
        while row < self.time_s.len() {
            let end = self.end_of_stand(row);
            if end > row {
                let stop_s = self.time_s[end - 1] - self.time_s[row];
                self.add_stop(&mut places, row, stop_s);
                row = end;
                continue;
            }
            let far = places
                .last()
                .is_none_or(|last| self.distance_m[row] - self.distance_m[last.row] >= ROW_M);
            if far {
                places.push(DistanceRow { row, stop_s: 0.0 });
            }
            row += 1;
        }
        self.add_end(&mut places);
        places
    }

    /// First row after `row` that moves; `row` itself if it moves.
    fn end_of_stand(&self, row: usize) -> usize {
        let moves = |i: usize| self.speed_mps[i] * KMH_PER_MPS >= 0.0005;
        (row..self.time_s.len()).find(|i| moves(*i)).unwrap_or(self.time_s.len())
    }

    fn add_stop(&self, places: &mut Vec<DistanceRow>, row: usize, stop_s: f64) {
        let way_from = |last: &DistanceRow| self.distance_m[row] - self.distance_m[last.row];
        let stands = |last: &DistanceRow| self.end_of_stand(last.row) > last.row;
        // A row just before the stop would make the last metre a second one.
        while places.last().is_some_and(|last| !stands(last) && way_from(last) < SHORTEST_MOVE_M) {
            places.pop();
        }
        match places.last_mut() {
            Some(last) if stands(last) && way_from(last) < SHORTEST_MOVE_M => last.stop_s += stop_s,
            Some(last) if stands(last) => {
                // A short move between two stops needs a row that moves: its fastest.
                let from = last.row;
                let faster =
                    |a: &usize, b: &usize| self.speed_mps[*a].total_cmp(&self.speed_mps[*b]);
                if let Some(between) = (from + 1..row).max_by(faster) {
                    places.push(DistanceRow { row: between, stop_s: 0.0 });
                }
                places.push(DistanceRow { row, stop_s });
            }
            _ => places.push(DistanceRow { row, stop_s }),
        }
    }

    /// The last row of the trip, if it is not there yet.
    fn add_end(&self, places: &mut Vec<DistanceRow>) {
        let row = self.time_s.len().saturating_sub(1);
        let Some(last) = places.last() else { return };
        if self.distance_m[row] - self.distance_m[last.row] >= SHORTEST_MOVE_M {
            places.push(DistanceRow { row, stop_s: 0.0 });
        }
    }
}
