//! From rows to a log: the clock is followed, repeated and backward times are put right, and the
//! memory stays bounded.

use super::ReadOptions;
use super::stamp::DAY_S;
use crate::log::{Clock, Log, Part, Quantity};
use crate::repairs::{RepairKind, Repairs};

/// Values of a row, by the place of their quantity; NaN is missing.
pub(super) type Values = [f64; Quantity::ALL.len()];

/// A row without values.
pub(super) const NO_VALUES: Values = [f64::NAN; Quantity::ALL.len()];

/// Rows behind the clock that are taken for a clock that starts again; fewer are stray rows.
const ROWS_OF_RESTART: usize = 5;

/// Parts that are told apart; a column that changes more often is no column of runs.
const MOST_PARTS: usize = 10_000;

/// Times of two parts that count as one, s: a double keeps a date to less than that.
const SAME_TIME_S: f64 = 1e-5;

/// By this much clocks are set for summer and winter, s.
const SET_BY_S: f64 = 3600.0;

/// How far from an hour, beside the usual step, such a setting may be, s.
const SET_WITHIN_S: f64 = 3.0;

/// The same where the steps are long, s.
const MOST_WITHIN_S: f64 = 60.0;

/// Rows behind the last among which late ones are put in their place.
const LATE_ROWS: usize = 4096;

/// A gap this much longer than the steps beside it has room for a late row.
const ROOM_FOR_ROW: f64 = 1.5;

/// Within this many seconds of midnight a clock that counts the seconds of the day starts again.
const NEAR_MIDNIGHT_S: f64 = 3600.0;

/// One row as read.
#[derive(Clone, Copy, Debug)]
pub(super) struct Row {
    pub(super) line: usize,
    /// Seconds on its clock, NaN if it has none.
    pub(super) time_s: f64,
    pub(super) values: Values,
}

/// Takes rows and makes the log.
#[derive(Debug)]
pub(super) struct Builder {
    pub(super) log: Log,
    pub(super) as_route: bool,
    /// Heading and line of the speed, if its unit is not known.
    pub(super) speed_without_unit: Option<(String, usize)>,
    /// Metres per second in one of the unit in which the speed is stated.
    pub(super) speed_unit_mps: f64,
    /// Rows that were given, usable or not.
    pub(super) rows_seen: u64,
    most_rows: usize,
    first_s: Option<f64>,
    /// What is added to the times of the file, for midnights and settings of the clock, s.
    added_s: f64,
    current: Option<MeanRow>,
    behind: Vec<Row>,
    labels: [String; 2],
    new_part: NewPart,
    stride: u32,
    bundle: Option<MeanRow>,
}

/// Why the next row begins a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum NewPart {
    No,
    Yes,
    ClockRestarted,
}

/// Several rows as their mean.
#[derive(Clone, Copy, Debug)]
struct MeanRow {
    row: Row,
    count: u32,
}

impl MeanRow {
    fn add(&mut self, other: &Row) {
        self.count += 1;
        let share = 1.0 / f64::from(self.count);
        self.row.time_s += (other.time_s - self.row.time_s) * share;
        for (mean, value) in self.row.values.iter_mut().zip(other.values) {
            if mean.is_nan() {
                *mean = value;
            } else if !value.is_nan() {
                *mean += (value - *mean) * share;
            }
        }
    }
}

impl Builder {
    pub(super) fn new(name: &str, options: &ReadOptions) -> Self {
        let log = Log {
            name: name.to_owned(),
            clock: Clock::None,
            time_s: Vec::new(),
            start_unix_s: None,
            line: Vec::new(),
            parts: Vec::new(),
            repairs: Repairs::default(),
            notes: Vec::new(),
            columns: [const { None }; Quantity::ALL.len()],
        };
        Self {
            log,
            as_route: options.as_route,
            speed_without_unit: None,
            speed_unit_mps: 1.0,
            rows_seen: 0,
            most_rows: options.most_rows.max(2),
            first_s: None,
            added_s: 0.0,
            current: None,
            behind: Vec::new(),
            labels: [String::new(), String::new()],
            new_part: NewPart::Yes,
            stride: 1,
            bundle: None,
        }
    }

    /// The log has this column; rows that were taken before lack it.
    pub(super) fn has(&mut self, quantity: Quantity) {
        let rows = self.log.len();
        self.log.columns[quantity.place()].get_or_insert_with(|| vec![f64::NAN; rows]);
    }

    pub(super) fn count(&mut self, kind: RepairKind, count: u64) {
        self.log.repairs.add(kind, count);
    }

    /// What follows is a part of its own on the same clock.
    pub(super) fn break_part(&mut self) {
        if self.log.parts.len() < MOST_PARTS {
            self.commit_current();
            self.give_up_behind();
            self.flush_bundle();
            if self.new_part == NewPart::No {
                self.new_part = NewPart::Yes;
            }
        }
    }

    /// Run and direction of the rows that follow, as written.
    pub(super) fn label(&mut self, run: &str, direction: &str) {
        if self.labels[0] != run || self.labels[1] != direction {
            self.break_part();
            self.labels = [run, direction].map(|text| text.chars().take(60).collect());
            self.new_part = NewPart::Yes;
        }
    }

    /// Takes a row.
    pub(super) fn push(&mut self, mut row: Row) {
        self.rows_seen += 1;
        if !self.keeps_fix(&mut row) {
            return;
        }
        if self.as_route {
            row.time_s = 0.0;
            self.commit(&MeanRow { row, count: 1 });
        } else if row.time_s.is_nan() {
            self.count(RepairKind::WithoutTime, 1);
        } else {
            self.follow(row);
        }
    }

    /// Receivers write zeros before they have a lock; without anything else such a row is no row.
    fn keeps_fix(&mut self, row: &mut Row) -> bool {
        let (lat, lon) = (Quantity::Latitude.place(), Quantity::Longitude.place());
        let zero = row.values[lat].abs() < 1e-6 && row.values[lon].abs() < 1e-6;
        if !zero {
            return true;
        }
        self.count(RepairKind::ZeroFixes, 1);
        row.values[lat] = f64::NAN;
        row.values[lon] = f64::NAN;
        row.values[Quantity::Elevation.place()] = f64::NAN;
        let speed = row.values[Quantity::Speed.place()];
        let electric = row.values[Quantity::Voltage.place()];
        speed.abs() > 0.0 || electric.is_finite()
    }

    /// Puts a row with a time where it belongs.
    fn follow(&mut self, mut row: Row) {
        row.time_s += self.added_s;
        let Some(now_s) = self.current.as_ref().map(|current| current.row.time_s) else {
            self.start_with(row);
            return;
        };
        if self.is_past_midnight(now_s, row.time_s) {
            self.add_to_clock(DAY_S, RepairKind::MidnightWraps, &mut row);
        } else if self.was_set_forward(now_s, &row) {
            self.add_to_clock(-SET_BY_S, RepairKind::ClockSet, &mut row);
        }
        let step_s = row.time_s - now_s;
        if step_s > 0.0 {
            self.commit_current();
            self.give_up_behind();
            self.current = Some(MeanRow { row, count: 1 });
        } else if step_s < 0.0 {
            self.fall_behind(row);
        } else {
            self.merge(&row);
        }
    }

    fn add_to_clock(&mut self, seconds: f64, kind: RepairKind, row: &mut Row) {
        self.added_s += seconds;
        row.time_s += seconds;
        self.count(kind, 1);
    }

    /// The last step between the rows that were taken, s.
    fn step_s(&self) -> f64 {
        match self.log.time_s.as_slice() {
            [.., before, last] => last - before,
            _ => 0.0,
        }
    }

    /// Whether a difference to the next row is an hour and a step.
    fn is_an_hour_off(&self, off_s: f64) -> bool {
        let clock = matches!(self.log.clock, Clock::OfDay | Clock::Stamp);
        let within_s = (2.0 * self.step_s()).clamp(SET_WITHIN_S, MOST_WITHIN_S);
        clock && (off_s - SET_BY_S).abs() < within_s
    }

    /// A car that drives on as it did an hour ago has not paused: its clock was set.
    fn was_set_forward(&self, now_s: f64, row: &Row) -> bool {
        let Some(current) = &self.current else { return false };
        let place = Quantity::Speed.place();
        let (before, after) = (current.row.values[place], row.values[place]);
        let drives_on = before > 3.0 && (after - before).abs() < 3.0;
        drives_on && self.is_an_hour_off(row.time_s - now_s)
    }

    fn start_with(&mut self, row: Row) {
        if self.first_s.is_none() {
            self.first_s = Some(row.time_s);
        }
        let before_s = self.log.time_s.last().map(|last| last + self.first_s.unwrap_or_default());
        let since_s = before_s.map_or(f64::INFINITY, |before| row.time_s - before);
        if since_s.abs() < SAME_TIME_S {
            // Receivers begin a part with the last point of the one before.
            self.count(RepairKind::DuplicateTimes, 1);
            return;
        }
        if self.new_part == NewPart::Yes && since_s < 0.0 {
            self.new_part = NewPart::ClockRestarted;
        }
        self.current = Some(MeanRow { row, count: 1 });
    }

    fn is_past_midnight(&self, now_s: f64, then_s: f64) -> bool {
        let fell = now_s - then_s > 0.5 * DAY_S;
        match self.log.clock {
            Clock::OfDay => fell,
            Clock::Elapsed => {
                let (now, then) = (now_s - self.added_s, then_s - self.added_s);
                fell && now <= DAY_S && now > DAY_S - NEAR_MIDNIGHT_S && then < NEAR_MIDNIGHT_S
            }
            Clock::None | Clock::Stamp => false,
        }
    }

    /// A row with the time of the one before.
    fn merge(&mut self, row: &Row) {
        let Some(current) = &mut self.current else { return };
        let same = current.row.values.iter().zip(row.values).all(|(old, new)| is_same(*old, new));
        if same {
            self.count(RepairKind::DuplicateTimes, 1);
        } else {
            current.add(row);
            self.count(RepairKind::SeveralInOneSecond, 1);
        }
    }

    /// A row behind the clock: it may stand in the file twice, one alone is late or stray, several in
    /// order are a clock that was set or starts again, or show that the row before was ahead of its
    /// time.
    fn fall_behind(&mut self, row: Row) {
        if self.stands_there(&row) {
            self.count(RepairKind::RepeatedRows, 1);
            return;
        }
        if self.put_in_place(&row) {
            return;
        }
        if self.behind.last().is_some_and(|last| row.time_s <= last.time_s) {
            self.count(RepairKind::BackwardTimes, 1);
            return;
        }
        self.behind.push(row);
        if self.behind.len() < ROWS_OF_RESTART {
            return;
        }
        let rows = std::mem::take(&mut self.behind);
        let added_s = self.added_s;
        self.place_clock(&rows);
        for row in rows {
            self.follow(Row { time_s: row.time_s - added_s, ..row });
        }
    }

    /// Says what several rows behind the clock are.
    fn place_clock(&mut self, rows: &[Row]) {
        let first_s = self.first_s.unwrap_or_default();
        let committed_s = self.log.time_s.last().map(|last| last + first_s);
        let now_s = self.current.as_ref().map_or(f64::NAN, |current| current.row.time_s);
        if self.is_an_hour_off(now_s - rows[0].time_s) {
            self.added_s += SET_BY_S;
            self.count(RepairKind::ClockSet, 1);
        } else if committed_s.is_some_and(|before| rows[0].time_s > before) {
            self.count(RepairKind::ForwardTimes, 1);
            self.current = None;
        } else {
            self.count(RepairKind::ClockRestarts, 1);
            self.commit_current();
            self.flush_bundle();
            self.new_part = NewPart::ClockRestarted;
        }
    }

    /// The last rows of the part, among which a row behind the clock may belong; none of a log that
    /// is thinned.
    fn recent(&self) -> std::ops::Range<usize> {
        match self.log.parts.last() {
            Some(part) if self.stride == 1 && self.new_part == NewPart::No => {
                part.rows.start.max(part.rows.end.saturating_sub(LATE_ROWS))..part.rows.end
            }
            _ => 0..0,
        }
    }

    /// Where among the recent rows a time belongs.
    fn place_of(&self, time_s: f64) -> (std::ops::Range<usize>, usize, f64) {
        let rows = self.recent();
        let since_s = time_s - self.first_s.unwrap_or_default();
        let times = &self.log.time_s[rows.clone()];
        let place = rows.start + times.partition_point(|time| *time < since_s - SAME_TIME_S);
        (rows, place, since_s)
    }

    /// Whether the same row was taken already.
    fn stands_there(&self, row: &Row) -> bool {
        let (rows, place, since_s) = self.place_of(row.time_s);
        let same_value = |(column, value): (&Option<Vec<f64>>, f64)| {
            column.as_ref().is_none_or(|all| is_same(all[place], value))
        };
        rows.contains(&place)
            && (self.log.time_s[place] - since_s).abs() < SAME_TIME_S
            && self.log.columns.iter().zip(row.values).all(same_value)
    }

    /// Puts a late row between two rows with room for it.
    fn put_in_place(&mut self, row: &Row) -> bool {
        let (rows, place, since_s) = self.place_of(row.time_s);
        if place <= rows.start || place >= rows.end {
            return false;
        }
        let times = &self.log.time_s;
        let step = |to: usize| {
            let inside = rows.contains(&to) && to > rows.start;
            if inside { times[to] - times[to - 1] } else { f64::INFINITY }
        };
        let room = self.log.len() < self.most_rows
            && step(place) > ROOM_FOR_ROW * step(place - 1).min(step(place + 1));
        let taken = (times[place] - since_s).abs() < SAME_TIME_S;
        if !room || taken {
            return false;
        }
        self.log.time_s.insert(place, since_s);
        self.log.line.insert(place, line_number(row));
        for (column, value) in self.log.columns.iter_mut().zip(row.values) {
            if let Some(column) = column {
                column.insert(place, value);
            }
        }
        if let Some(part) = self.log.parts.last_mut() {
            part.rows.end += 1;
        }
        self.count(RepairKind::LateRows, 1);
        true
    }

    /// Rows behind the clock that are too few for anything else are late or stray.
    fn give_up_behind(&mut self) {
        for row in std::mem::take(&mut self.behind) {
            if !self.put_in_place(&row) {
                self.count(RepairKind::BackwardTimes, 1);
            }
        }
    }

    fn commit_current(&mut self) {
        if let Some(current) = self.current.take() {
            self.commit(&current);
        }
    }

    /// Adds a row, or bundles it with its neighbours if the log is too long.
    fn commit(&mut self, merged: &MeanRow) {
        if self.stride == 1 {
            self.append(&merged.row);
            return;
        }
        match &mut self.bundle {
            Some(bundle) => {
                bundle.add(&merged.row);
                self.count(RepairKind::Thinned, 1);
            }
            None => self.bundle = Some(MeanRow { row: merged.row, count: 1 }),
        }
        if self.bundle.is_some_and(|bundle| bundle.count >= self.stride) {
            self.flush_bundle();
        }
    }

    fn flush_bundle(&mut self) {
        if let Some(bundle) = self.bundle.take() {
            self.append(&bundle.row);
        }
    }

    fn append(&mut self, row: &Row) {
        if self.log.len() == self.most_rows {
            self.halve();
        }
        let at = self.log.len();
        if self.new_part != NewPart::No || self.log.parts.is_empty() {
            let text = |label: &String| (!label.is_empty()).then(|| label.clone());
            self.log.parts.push(Part {
                rows: at..at,
                run: text(&self.labels[0]),
                direction: text(&self.labels[1]),
                clock_restarted: self.new_part == NewPart::ClockRestarted,
            });
            self.new_part = NewPart::No;
        }
        self.log.time_s.push(row.time_s - self.first_s.unwrap_or_default());
        self.log.line.push(line_number(row));
        for (column, value) in self.log.columns.iter_mut().zip(row.values) {
            if let Some(column) = column {
                column.push(value);
            }
        }
        if let Some(part) = self.log.parts.last_mut() {
            part.rows.end = at + 1;
        }
    }

    /// Averages neighbours of a part in pairs, which halves the rows.
    fn halve(&mut self) {
        let old = self.log.len();
        self.stride = self.stride.saturating_mul(2);
        let mut kept = 0;
        for part in &mut self.log.parts {
            let rows = part.rows.clone();
            let start = kept;
            for from in rows.clone().step_by(2) {
                let pair = from..(from + 2).min(rows.end);
                self.log.time_s[kept] = mean(&self.log.time_s[pair.clone()]);
                self.log.line[kept] = self.log.line[from];
                for column in self.log.columns.iter_mut().flatten() {
                    column[kept] = mean(&column[pair.clone()]);
                }
                kept += 1;
            }
            part.rows = start..kept;
        }
        self.log.time_s.truncate(kept);
        self.log.line.truncate(kept);
        for column in self.log.columns.iter_mut().flatten() {
            column.truncate(kept);
        }
        self.count(RepairKind::Thinned, u64::try_from(old - kept).unwrap_or(u64::MAX));
    }

    /// Ends the reading.
    pub(super) fn close(&mut self) {
        self.commit_current();
        self.give_up_behind();
        self.flush_bundle();
        if self.log.clock == Clock::Stamp {
            self.log.start_unix_s = self.first_s;
        }
    }
}

fn is_same(old: f64, new: f64) -> bool {
    old.to_bits() == new.to_bits() || (old.is_nan() && new.is_nan())
}

fn line_number(row: &Row) -> u32 {
    u32::try_from(row.line).unwrap_or(u32::MAX)
}

/// Mean of the numbers that are there; NaN if there are none.
fn mean(values: &[f64]) -> f64 {
    let there = values.iter().filter(|value| !value.is_nan());
    let (sum, count) = there.fold((0.0, 0_u32), |(sum, count), value| (sum + value, count + 1));
    if count == 0 { f64::NAN } else { sum / f64::from(count) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn builder(clock: Clock, most_rows: usize) -> Builder {
        let mut builder = Builder::new("x", &ReadOptions { most_rows, ..ReadOptions::default() });
        builder.log.clock = clock;
        builder.has(Quantity::Speed);
        builder
    }

    fn fed(clock: Clock, rows: &[(f64, f64)]) -> Log {
        let mut builder = builder(clock, 1000);
        for (line, (time_s, speed)) in rows.iter().enumerate() {
            let mut values = NO_VALUES;
            values[Quantity::Speed.place()] = *speed;
            builder.push(Row { line: line + 1, time_s: *time_s, values });
        }
        builder.close();
        builder.log
    }

    fn counts(log: &Log) -> Vec<(&'static str, u64)> {
        log.repairs.iter().map(|repair| (repair.kind.name(), repair.count)).collect()
    }

    #[test]
    fn equal_times_are_merged_and_stray_rows_left_out() {
        let rows =
            [(5.0, 1.0), (5.0, 1.0), (6.0, 2.0), (6.0, 4.0), (6.0, 6.0), (4.0, 9.0), (7.0, 5.0)];
        let log = fed(Clock::Elapsed, &rows);
        assert_eq!(log.time_s, [0.0, 1.0, 2.0]);
        assert_eq!(log.speed_mps().unwrap(), [1.0, 4.0, 5.0]);
        let expected =
            [("duplicate_times", 1), ("several_in_one_second", 2), ("backward_times", 1)];
        assert_eq!(counts(&log), expected);
    }

    #[test]
    fn midnight_adds_a_day() {
        let log = fed(Clock::OfDay, &[(86_398.0, 1.0), (86_399.0, 1.0), (0.0, 1.0), (1.0, 2.0)]);
        assert_eq!(log.time_s, [0.0, 1.0, 2.0, 3.0]);
        let ms_of_day = fed(Clock::Elapsed, &[(86_399.0, 1.0), (0.5, 1.0)]);
        assert_eq!(ms_of_day.time_s, [0.0, 1.5]);
        assert_eq!(counts(&ms_of_day), [("midnight_wraps", 1)]);
    }

    #[test]
    fn a_clock_that_starts_again_begins_a_part() {
        let run = |speed: f64| (0..8).map(move |i| (f64::from(i), speed));
        let rows: Vec<(f64, f64)> = run(3.0).chain(run(4.0)).collect();
        let log = fed(Clock::Elapsed, &rows);
        assert_eq!(log.parts.len(), 2);
        assert_eq!(log.parts[1].rows, 8..16);
        assert!(log.parts[1].clock_restarted && !log.parts[0].clock_restarted);
        assert_eq!(counts(&log), [("clock_restarts", 1)]);
    }

    #[test]
    fn a_block_that_stands_there_twice_is_left_out() {
        let row = |i: i32| (f64::from(i), f64::from(i % 7));
        let rows: Vec<(f64, f64)> = (0..30).chain(10..30).chain(30..40).map(row).collect();
        let log = fed(Clock::Elapsed, &rows);
        assert_eq!((log.len(), log.parts.len()), (40, 1));
        // The last row before the block is not yet taken: it repeats the one before.
        assert_eq!(counts(&log), [("duplicate_times", 1), ("repeated_rows", 19)]);
    }

    #[test]
    fn late_rows_are_put_in_their_place() {
        let order = [0, 1, 2, 4, 3, 5, 6, 13, 14, 15, 16, 7, 8, 9, 10, 11, 12, 17, 18];
        let rows: Vec<(f64, f64)> =
            order.iter().map(|i| (f64::from(*i), 2.0 * f64::from(*i))).collect();
        let log = fed(Clock::Elapsed, &rows);
        assert_eq!(log.time_s, (0..19).map(f64::from).collect::<Vec<f64>>());
        assert!(
            log.speed_mps().unwrap().iter().zip(&log.time_s).all(|(v, t)| is_same(*v, 2.0 * t))
        );
        assert_eq!(counts(&log), [("late_rows", 7)]);
    }

    #[test]
    fn a_clock_that_is_set_by_an_hour_goes_on() {
        for set_s in [-3600.0, 3600.0] {
            let row = |i: i32| (50_000.0 + f64::from(i) + if i < 20 { 0.0 } else { set_s }, 9.0);
            let rows: Vec<(f64, f64)> = (0..40).map(row).collect();
            let log = fed(Clock::OfDay, &rows);
            assert_eq!(log.time_s, (0..40).map(f64::from).collect::<Vec<f64>>());
            assert_eq!(counts(&log), [("clock_set", 1)]);
        }
    }

    #[test]
    fn one_row_far_ahead_does_not_break_the_log() {
        let mut rows: Vec<(f64, f64)> = (0..20).map(|i| (f64::from(i), 3.0)).collect();
        rows[7].0 = 1e9;
        let log = fed(Clock::Stamp, &rows);
        assert_eq!((log.len(), log.parts.len()), (19, 1));
        assert_eq!(counts(&log), [("forward_times", 1)]);
    }

    #[test]
    fn a_long_log_is_thinned_to_bounded_memory() {
        let mut builder = builder(Clock::Elapsed, 100);
        for line in 0..10_000_u32 {
            let mut values = NO_VALUES;
            values[Quantity::Speed.place()] = f64::from(line);
            builder.push(Row { line: 1, time_s: f64::from(line), values });
        }
        builder.close();
        let log = builder.log;
        assert!(log.len() <= 100 && log.len() >= 50, "{}", log.len());
        let mean = mean(log.speed_mps().unwrap());
        assert!((mean - 4999.5).abs() < 100.0, "{mean}");
        assert!(log.time_s.windows(2).all(|pair| pair[0] < pair[1]));
        let thinned = log.repairs.count(RepairKind::Thinned);
        assert_eq!(thinned + u64::try_from(log.len()).unwrap(), 10_000);
    }

    #[test]
    fn labels_part_the_log() {
        let mut builder = builder(Clock::Elapsed, 100);
        for (run, time_s) in [("1", 0.0), ("1", 1.0), ("2", 0.0), ("2", 1.0)] {
            builder.label(run, "north");
            builder.push(Row { line: 1, time_s, values: [1.0; Quantity::ALL.len()] });
        }
        builder.close();
        let runs: Vec<_> = builder.log.parts.iter().map(|part| part.run.as_deref()).collect();
        assert_eq!(runs, [Some("1"), Some("2")]);
        assert!(builder.log.parts[1].clock_restarted);
        assert_eq!(builder.log.parts[1].direction.as_deref(), Some("north"));
    }
}
