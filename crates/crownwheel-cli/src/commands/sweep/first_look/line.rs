//! A line of a first look: an option with every digit, and a check that shows whether it is as it was
//! written.

use std::sync::Arc;

use crownwheel_answers::csv_text;
use crownwheel_answers::sweep::{Answers, DemandMet};
use crownwheel_answers::text::clean;
use crownwheel_answers::{Band, OptionAnswer};
use crownwheel_quantities::Demand;
use crownwheel_sweep::result::Choices;
use crownwheel_sweep::sweep::{OptionLook, Plan};
use csv::StringRecord;
use sha2::{Digest, Sha256};

use crate::subject::hex;

/// Values of one answer.
const OF_ANSWER: [&str; 5] = ["nominal", "p10", "p50", "p90", "standard_error"];
/// Values of one demand.
const OF_DEMAND: [&str; 3] = ["probability", "standard_error", "met"];
/// Values before demands and answers, of an option that can be built.
const BEFORE: [&str; 7] =
    ["option", "scatter", "reason", "worlds", "all_demands", "all_demands_error", "meets_all"];

/// Bytes of a check: a line that was changed passes once in 2^64.
const CHECK_BYTES: usize = 8;

/// How far quantiles may be out of order, relative: they are sums, and round.
const ROUNDING: f64 = 1e-9;

/// Longest text of a cell in a message.
const LONGEST_SHOWN: usize = 40;

/// Heads of the columns.
pub(super) fn columns(plan: &Plan<'_>) -> Vec<String> {
    let mut columns: Vec<String> = vec!["check".to_owned()];
    columns.extend(BEFORE.map(str::to_owned));
    for demand in plan.demands {
        columns.extend(OF_DEMAND.map(|value| format!("{}.{value}", demand.name.key())));
    }
    for name in plan.course.names().iter() {
        columns.extend(OF_ANSWER.map(|value| clean(&format!("{}.{value}", name.key()))));
    }
    columns
}

/// Checks of the lines below one heading: a line of another sweep or of another part has another.
#[derive(Clone)]
pub(super) struct Seal(Sha256);

impl Seal {
    pub(super) fn new(heading: &str) -> Self {
        Self(Sha256::new().chain_update(heading))
    }

    fn of(&self, row: &str) -> String {
        hex(&self.0.clone().chain_update(row).finalize()[..CHECK_BYTES])
    }

    /// The line of an option.
    pub(super) fn line(&self, looked: &OptionLook) -> String {
        self.sealed(csv_text::records([fields(looked)]).trim_end_matches('\n'))
    }

    /// A line of these values, with its check.
    pub(super) fn sealed(&self, row: &str) -> String {
        format!("{},{row}\n", self.of(row))
    }
}

/// What is wrong with a line.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Fault {
    /// Column, counted from 1, and its head.
    pub(super) column: Option<(usize, String)>,
    /// What is wrong.
    pub(super) what: String,
}

impl Fault {
    pub(super) fn of_line(what: impl Into<String>) -> Self {
        Self { column: None, what: what.into() }
    }
}

/// The option of a line, if the line is as it was written and makes sense.
pub(super) fn read(
    bytes: &[u8],
    seal: &Seal,
    columns: &[String],
    plan: &Plan<'_>,
) -> Result<OptionLook, Fault> {
    let line = std::str::from_utf8(bytes).map_err(|_| Fault::of_line("it is not UTF-8 text"))?;
    let (check, row) = line
        .split_once(',')
        .ok_or_else(|| Fault::of_line("it has one column, and no check of the others"))?;
    let cells = Cells { record: &record(row)?, columns };
    // What is nonsense says more than that it was changed.
    let looked = looked(plan, &cells)?;
    if check == seal.of(row) {
        return Ok(looked);
    }
    Err(Fault {
        column: Some((1, columns[0].clone())),
        what: "the line is not as it was written".to_owned(),
    })
}

fn record(row: &str) -> Result<StringRecord, Fault> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .buffer_capacity(row.len().max(1))
        .from_reader(row.as_bytes());
    let mut record = StringRecord::new();
    match reader.read_record(&mut record) {
        Ok(true) => Ok(record),
        _ => Err(Fault::of_line("it holds no values")),
    }
}

/// The values of an option, with all their digits.
fn fields(looked: &OptionLook) -> Vec<String> {
    let answer = &looked.answer;
    let mut fields = vec![
        looked.index.to_string(),
        number(looked.scatter),
        answer.reason.clone().unwrap_or_default(),
    ];
    if answer.reason.is_some() {
        return fields;
    }
    fields.extend([
        answer.worlds.to_string(),
        optional(answer.all_demands_probability),
        optional(answer.all_demands_standard_error),
        answer.meets_all.to_string(),
    ]);
    for met in &answer.demands {
        let shares = [number(met.probability), number(met.standard_error), met.met.to_string()];
        fields.extend(shares);
    }
    for (_, band) in answer.answers.iter() {
        fields.push(number(band.nominal));
        fields.extend([band.p10, band.p50, band.p90, band.standard_error].map(optional));
    }
    fields
}

/// The shortest text that is read back as the same number.
fn number(value: f64) -> String {
    format!("{value:?}")
}

fn optional(value: Option<f64>) -> String {
    value.map_or_else(String::new, number)
}

/// The values of a line behind its check, each with its column.
struct Cells<'r> {
    record: &'r StringRecord,
    columns: &'r [String],
}

impl Cells<'_> {
    fn at(&self, place: usize) -> &str {
        self.record.get(place).unwrap_or_default()
    }

    /// What is wrong with a value, with what stands there.
    fn fault(&self, place: usize, wanted: &str) -> Fault {
        let mut shown: String = clean(self.at(place)).chars().take(LONGEST_SHOWN).collect();
        if shown.is_empty() {
            shown = "nothing".to_owned();
        }
        let column = self.columns.get(place + 1).map(|head| (place + 2, head.clone()));
        Fault { column, what: format!("{shown} is not {wanted}") }
    }

    fn parsed<T: std::str::FromStr>(&self, place: usize, wanted: &str) -> Result<T, Fault> {
        self.at(place).parse().map_err(|_| self.fault(place, wanted))
    }

    fn number(&self, place: usize, wanted: &str, fits: fn(f64) -> bool) -> Result<f64, Fault> {
        let value = self.parsed(place, wanted)?;
        if fits(value) { Ok(value) } else { Err(self.fault(place, wanted)) }
    }

    /// An empty cell is no value.
    fn optional(
        &self,
        place: usize,
        read: impl Fn(&Self, usize) -> Result<f64, Fault>,
    ) -> Result<Option<f64>, Fault> {
        if self.at(place).is_empty() { Ok(None) } else { read(self, place).map(Some) }
    }

    fn share(&self, place: usize) -> Result<f64, Fault> {
        self.number(place, "a share from 0 to 1", |share| (0.0..=1.0).contains(&share))
    }

    fn error(&self, place: usize) -> Result<f64, Fault> {
        let fits = |error: f64| error.is_finite() && error >= 0.0;
        self.number(place, "a finite number of 0 or more", fits)
    }

    /// Infinite where something never ends, and not a number where nothing is known.
    fn nominal(&self, place: usize) -> Result<f64, Fault> {
        self.number(place, "a number", |_| true)
    }

    fn quantile(&self, place: usize) -> Result<f64, Fault> {
        self.number(place, "a number", |value| !value.is_nan())
    }

    fn flag(&self, place: usize) -> Result<bool, Fault> {
        self.parsed(place, "true or false")
    }
}

/// The option of a line.
fn looked(plan: &Plan<'_>, cells: &Cells<'_>) -> Result<OptionLook, Fault> {
    let count = plan.space.len();
    let index: u128 = cells.parsed(0, "the number of an option")?;
    let scatter = cells.error(1)?;
    let option = plan
        .space
        .unchecked(index)
        .filter(|_| index < count)
        .ok_or_else(|| cells.fault(0, &format!("the number of one of {count} options")))?;
    let choices = Choices::of(&option.choices);
    let reason = cells.at(2);
    let wanted = if reason.is_empty() { cells.columns.len() - 1 } else { 3 };
    if cells.record.len() != wanted {
        let what = format!("it has {} columns, not {}", cells.record.len() + 1, wanted + 1);
        return Err(Fault::of_line(what));
    }
    if !reason.is_empty() {
        let answer = OptionAnswer {
            price: option.price,
            ..OptionAnswer::impossible(option.id, choices, reason.to_owned())
        };
        return Ok(OptionLook::told(index, answer, scatter));
    }
    let first_of_answers = BEFORE.len() + plan.demands.len() * OF_DEMAND.len();
    let places = (0..plan.course.names().len()).map(|i| first_of_answers + i * OF_ANSWER.len());
    let bands = places.map(|place| band(cells, place)).collect::<Result<Vec<_>, _>>()?;
    let demands = demands(plan, cells)?;
    let answer = OptionAnswer {
        id: option.id,
        choices,
        answers: Answers::new(Arc::clone(plan.course.names()), bands),
        meets_all: meets_all(cells, &demands)?,
        demands,
        all_demands_probability: cells.optional(4, Cells::share)?,
        all_demands_standard_error: cells.optional(5, Cells::error)?,
        non_dominated: None,
        price: option.price,
        worlds: worlds(plan, cells)?,
        reason: None,
    };
    Ok(OptionLook::told(index, answer, scatter))
}

fn worlds(plan: &Plan<'_>, cells: &Cells<'_>) -> Result<usize, Fault> {
    let (place, wanted) = (3, plan.first_worlds());
    let words = format!("the number of worlds, {wanted}");
    let worlds = cells.parsed(place, &words)?;
    if worlds == wanted { Ok(worlds) } else { Err(cells.fault(place, &words)) }
}

fn meets_all(cells: &Cells<'_>, demands: &[DemandMet]) -> Result<bool, Fault> {
    let (place, meets_all) = (6, demands.iter().all(|met| met.met));
    if cells.flag(place)? == meets_all {
        return Ok(meets_all);
    }
    Err(cells.fault(place, "what its demands say"))
}

fn demands(plan: &Plan<'_>, cells: &Cells<'_>) -> Result<Vec<DemandMet>, Fault> {
    let one = |(i, demand): (usize, &Demand)| {
        let place = BEFORE.len() + i * OF_DEMAND.len();
        let probability = cells.share(place)?;
        let met = cells.flag(place + 2)?;
        if demand.sure_frac.is_some_and(|sure| met != (probability >= sure)) {
            return Err(cells.fault(place + 2, "what its share says"));
        }
        Ok(DemandMet {
            name: demand.name.clone(),
            probability,
            standard_error: cells.error(place + 1)?,
            sure: demand.sure_frac,
            met,
        })
    };
    plan.demands.iter().enumerate().map(one).collect()
}

fn band(cells: &Cells<'_>, place: usize) -> Result<Band, Fault> {
    let quantile = |i: usize| cells.optional(place + i, Cells::quantile);
    let band = Band {
        nominal: cells.nominal(place)?,
        p10: quantile(1)?,
        p50: quantile(2)?,
        p90: quantile(3)?,
        standard_error: cells.optional(place + 4, Cells::error)?,
    };
    let in_order = |low: Option<f64>, high: Option<f64>| match (low, high) {
        (Some(low), Some(high)) => low <= high || low <= high + ROUNDING * low.abs(),
        (None, None) => true,
        _ => false,
    };
    for (i, low, high) in [(2, band.p10, band.p50), (3, band.p50, band.p90)] {
        if !in_order(low, high) {
            return Err(cells.fault(place + i, "at least what one column before it says"));
        }
    }
    Ok(band)
}
