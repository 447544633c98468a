//! Every repair by name, with its count.

use std::collections::BTreeMap;

/// Declares the kinds once: variant, name in JSON, words for people.
macro_rules! kinds {
    ($($(#[$doc:meta])* $kind:ident $name:literal $words:literal;)*) => {
        /// What was repaired.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[non_exhaustive]
        pub enum RepairKind {
            $($(#[$doc])* $kind,)*
        }

        impl RepairKind {
            /// All kinds, in the order in which they are listed.
            pub const ALL: &'static [RepairKind] = &[$(RepairKind::$kind,)*];

            /// Short name for programs, `duplicate_times`.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(RepairKind::$kind => $name,)* }
            }

            /// What was done, for people.
            #[must_use]
            pub const fn words(self) -> &'static str {
                match self { $(RepairKind::$kind => $words,)* }
            }
        }
    };
}

kinds! {
    /// A byte order mark before the text.
    ByteOrderMark "byte_order_mark" "a byte order mark before the text was skipped";
    /// Text in UTF-16.
    Utf16 "utf16" "text in UTF-16 was read";
    /// Lines that end in carriage returns.
    CarriageReturns "carriage_returns" "lines that end in a carriage return were read as lines";
    /// Bytes that are no UTF-8 text.
    NotUtf8 "not_utf8" "lines with bytes that are not UTF-8: the bytes were read as Latin-1";
    /// Zero bytes, as a logger leaves that lost power.
    ZeroBytes "zero_bytes" "lines with zero bytes: the bytes were left out";
    /// Lines too long to be a row.
    OverlongLines "overlong_lines" "lines too long to be a row were left out";
    /// A `sep=` line.
    SepLine "sep_line" "a line that only names the separator was obeyed";
    /// Lines before the heading.
    LinesBeforeHeading "lines_before_heading" "lines before the heading were skipped";
    /// A row of units below the heading.
    UnitsRow "units_row" "a row of units below the heading was obeyed";
    /// Comment lines.
    CommentLines "comment_lines" "comment lines were skipped";
    /// The heading again.
    RepeatedHeadings "repeated_headings" "the heading stood again between the rows and was skipped";
    /// Another heading between the rows.
    HeadingsChange "headings_change" "another heading stood between the rows: columns follow it from there on";
    /// Rows with one cell more than the heading.
    UnnamedColumn "unnamed_column" "rows have one cell more than the heading: it was taken as a column without a name";
    /// Rows that end in a separator with nothing after it.
    TrailingSeparators "trailing_separators" "rows that end in a separator: the empty cell was left out";
    /// Rows with more or fewer cells than the heading.
    OtherColumnCount "other_column_count" "rows with more or fewer cells than the heading: known columns were kept";
    /// Decimal commas.
    DecimalCommas "decimal_commas" "decimal commas were read as decimal points";
    /// Marks between thousands.
    ThousandsMarks "thousands_marks" "marks between thousands were left out";
    /// Units behind numbers, in cells.
    UnitsInCells "units_in_cells" "units behind the numbers in the cells were obeyed";
    /// Cells that say that there is no value: `NaN`, `--`, `OFF`.
    NoValueCells "no_value_cells" "cells that say there is no value (NaN, --, OFF and the like) count as missing";
    /// Cells that are no number.
    UnreadableCells "unreadable_cells" "cells that are no number count as missing";
    /// Positions in degrees and minutes.
    DegreesMinutes "degrees_minutes" "positions in degrees and minutes were read as such";
    /// Heights of zero, as receivers write before they know theirs.
    ZeroHeights "zero_heights" "heights of zero next to quite other heights (no height yet) count as missing";
    /// The columns of volts and amperes were swapped.
    VoltsAmperesSwapped "volts_amperes_swapped" "the columns of volts and amperes hold each other's readings: they were read swapped";
    /// Amperes that lag behind the speed.
    AmperesLate "amperes_late" "seconds by which the amperes lag behind the speed: they were moved";
    /// The unit of the speed is another one than its heading says.
    SpeedUnitCorrected "speed_unit_corrected" "the speed does not fit the way in the unit of its heading but in another one, which was taken";
    /// Numbers that no car can have.
    ImpossibleValues "impossible_values" "values that no car or place can have count as missing";
    /// The unit of the speed was found by comparison with the fixes.
    SpeedUnitFound "speed_unit_found" "the heading of the speed has no unit; it was found by comparison with the distance between fixes";
    /// The unit of the time was found from its steps.
    TimeUnitFound "time_unit_found" "the heading of the time has no unit; it was found from the steps";
    /// Stamps without a zone.
    StampsWithoutZone "stamps_without_zone" "stamps without a zone were taken as one clock";
    /// Rows or points without a time.
    WithoutTime "without_time" "rows or points without a time were left out";
    /// Two rows of the same time and values.
    DuplicateTimes "duplicate_times" "rows that repeat the one before were left out";
    /// Several points in one second, or with one stamp.
    SeveralInOneSecond "several_in_one_second" "points with the same stamp were averaged into one";
    /// Rows that stand behind later ones.
    LateRows "late_rows" "rows that stand behind later ones were put in their place";
    /// Rows that stand in the file twice.
    RepeatedRows "repeated_rows" "rows that stand in the file twice were left out";
    /// The clock was set by an hour.
    ClockSet "clock_set" "the clock was set by an hour: the time goes on";
    /// Rows that go back in time.
    BackwardTimes "backward_times" "rows that go back in time were left out";
    /// Rows with a time far ahead of their neighbours.
    ForwardTimes "forward_times" "rows with a time far ahead of the rows that follow were left out";
    /// The time of day, or milliseconds of the day, went over midnight.
    MidnightWraps "midnight_wraps" "the time of day went over midnight: a day was added";
    /// The clock starts again.
    ClockRestarts "clock_restarts" "the clock starts again: what follows is a part of its own";
    /// Zero fixes, as receivers write before the first lock.
    ZeroFixes "zero_fixes" "fixes at zero latitude and longitude (no lock yet) count as missing";
    /// Rows merged to keep the memory bounded.
    Thinned "thinned" "rows were averaged with their neighbours, because the log is very long";
    /// The file ends in the middle of something.
    CutOff "cut_off" "the file ends in the middle; what stands before was used";
    /// Positions that jump away.
    PositionSpikes "position_spikes" "fixes that jump away from their neighbours were left out";
    /// Rows in which the receiver stood and the car did not.
    FrozenRows "frozen_rows" "rows that repeat a fix or say 0 km/h, from which the car jumps away, were taken as a gap";
    /// Changes of speed that no car does.
    HardChanges "hard_changes" "changes of speed that are harder than a car's were spread over the seconds around, with the same way";
    /// Speeds that jump away.
    SpeedSpikes "speed_spikes" "speeds that jump away from their neighbours were replaced by a straight line";
    /// Height that moved while the car stood.
    HeightDrift "height_drift" "stops in which the height drifts: what follows was moved back";
    /// Heights that jump away.
    ElevationSpikes "elevation_spikes" "heights that jump away from their neighbours were left out";
    /// Points without a height.
    MissingElevation "missing_elevation" "points without a height got it from their neighbours, by distance";
    /// Points without a speed.
    MissingSpeed "missing_speed" "points without a speed got it from their neighbours, by time";
    /// Wandering fixes and creeping speeds of a car that stands.
    StandstillJitter "standstill_jitter" "points with wandering fixes or creeping speed of a standing car were set to standing";
    /// Gaps and tunnels.
    Gaps "gaps" "gaps without data were bridged between the points at their ends";
    /// Long pauses.
    Pauses "pauses" "long pauses without data and without way were shortened to ten seconds";
    /// Gaps in which nobody knows what the car did.
    LongGaps "long_gaps" "gaps of over an hour, or of over five minutes without fixes, were left out";
    /// Gradients steeper than any road.
    SteepGrades "steep_grades" "places steeper than any road were held at 35 %";
    /// Parts of the log that were not used.
    PartsLeftOut "parts_left_out" "parts with another clock were left out";
}

/// One kind of repair with its count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Repair {
    /// What was repaired.
    pub kind: RepairKind,
    /// How often: rows, cells or places.
    pub count: u64,
}

/// All repairs of a log.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Repairs {
    counts: BTreeMap<RepairKind, u64>,
}

impl Repairs {
    /// Adds to the count of a kind; nothing if `count` is 0.
    pub fn add(&mut self, kind: RepairKind, count: u64) {
        if count > 0 {
            *self.counts.entry(kind).or_default() += count;
        }
    }

    /// Count of a kind, 0 if it was not needed.
    #[must_use]
    pub fn count(&self, kind: RepairKind) -> u64 {
        self.counts.get(&kind).copied().unwrap_or_default()
    }

    /// Every repair that was done, in the order of [`RepairKind::ALL`].
    pub fn iter(&self) -> impl Iterator<Item = Repair> + '_ {
        self.counts.iter().map(|(kind, count)| Repair { kind: *kind, count: *count })
    }

    /// Whether nothing was repaired.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.counts.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn repairs_add_up_and_come_in_order() {
        let mut repairs = Repairs::default();
        repairs.add(RepairKind::Gaps, 2);
        repairs.add(RepairKind::SepLine, 1);
        repairs.add(RepairKind::Gaps, 3);
        repairs.add(RepairKind::Pauses, 0);
        let all: Vec<(&str, u64)> = repairs.iter().map(|r| (r.kind.name(), r.count)).collect();
        assert_eq!(all, [("sep_line", 1), ("gaps", 5)]);
        assert_eq!(repairs.count(RepairKind::Pauses), 0);
    }

    #[test]
    fn names_and_words_stand_once() {
        for (i, kind) in RepairKind::ALL.iter().enumerate() {
            assert!(
                kind.name()
                    .bytes()
                    .all(|b| b.is_ascii_lowercase() || matches!(b, b'_' | b'8' | b'1' | b'6'))
            );
            for other in &RepairKind::ALL[i + 1..] {
                assert_ne!(kind.name(), other.name());
                assert_ne!(kind.words(), other.words());
            }
        }
    }
}
