//! Units of answers, how many digits they are worth, and the one place where they are converted.
//!
//! Answers hold metric numbers. [`Units`] says in which units they are shown: sentences, tables,
//! figures and JSON all ask [`Units`], so a factor stands once, in `Unit::look`.

use crownwheel::constants::METRE_PER_INCH as M_PER_IN;
use serde::Serialize;

/// Metres in a foot. Exact (international yard and pound agreement, 1959).
const M_PER_FT: f64 = 0.3048;

/// Kilograms in a pound. Exact (international yard and pound agreement, 1959).
const KG_PER_LB: f64 = 0.453_592_37;

/// Kilometres in a mile. Exact.
const KM_PER_MILE: f64 = crownwheel::constants::METRE_PER_MILE / 1000.0;

/// Metres a second in a mile an hour. Exact.
const MPS_PER_MPH: f64 = crownwheel::constants::METRE_PER_MILE / 3600.0;

/// Newtons in a pound-force. Exact: pound times standard gravity.
const N_PER_LBF: f64 = KG_PER_LB * crownwheel::constants::STANDARD_GRAVITY_MPS2;

/// Newton metres in a pound-force foot. Exact: pound times standard gravity times foot.
const NM_PER_LBF_FT: f64 = KG_PER_LB * crownwheel::constants::STANDARD_GRAVITY_MPS2 * M_PER_FT;

/// The units that answers are shown in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Units {
    /// Kilogram, metre, km/h, Wh/km, °C.
    #[default]
    Metric,
    /// Pound, foot, mile, mph, Wh/mile, °F.
    Us,
}

/// Unit of a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Unit {
    /// A pure number, or text.
    None,
    /// Kilogram.
    Kg,
    /// Kilometre.
    Km,
    /// Metre.
    M,
    /// Millimetre.
    Mm,
    /// Square metre.
    M2,
    /// Kilometre per hour.
    Kmh,
    /// Second.
    S,
    /// Turns per minute.
    Rpm,
    /// Newton metre.
    Nm,
    /// Newton.
    N,
    /// Newton for a metre per second.
    NPerMps,
    /// Newton for a metre per second, squared.
    NPerMps2,
    /// Metre per second squared.
    Mps2,
    /// Watt-hour per kilometre.
    WhPerKm,
    /// Kilowatt-hour.
    Kwh,
    /// Kilowatt.
    Kw,
    /// Watt.
    W,
    /// Volt.
    V,
    /// Ampere.
    A,
    /// Hertz.
    Hz,
    /// Per cent.
    Pct,
    /// Degree Celsius.
    Degc,
    /// Kilogram per cubic metre.
    Kgpm3,
}

/// How a unit is written: behind keys, behind numbers, and with how many decimals.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Look {
    /// End of keys, without the underscore; empty for a pure number.
    pub suffix: &'static str,
    /// Symbol as shown; empty for a pure number.
    pub symbol: &'static str,
    /// Decimals that are worth showing, unless a column knows better.
    pub decimals: usize,
    /// Shown is `metric · per_metric + offset`.
    per_metric: f64,
    offset: f64,
}

impl Look {
    const fn same(suffix: &'static str, symbol: &'static str, decimals: usize) -> Look {
        Look { suffix, symbol, decimals, per_metric: 1.0, offset: 0.0 }
    }

    /// `size`: how many of the metric unit make one of this.
    const fn of_size(
        suffix: &'static str,
        symbol: &'static str,
        decimals: usize,
        size: f64,
    ) -> Look {
        Look { suffix, symbol, decimals, per_metric: 1.0 / size, offset: 0.0 }
    }
}

impl Unit {
    /// All units, longest suffix first, so that the first that fits the end of a key is the right one.
    pub const BY_SUFFIX: [Unit; 23] = [
        Unit::NPerMps2,
        Unit::NPerMps,
        Unit::WhPerKm,
        Unit::Kgpm3,
        Unit::Mps2,
        Unit::Degc,
        Unit::Rpm,
        Unit::Kmh,
        Unit::Kwh,
        Unit::Pct,
        Unit::Mm,
        Unit::M2,
        Unit::Kg,
        Unit::Km,
        Unit::Nm,
        Unit::Kw,
        Unit::Hz,
        Unit::M,
        Unit::N,
        Unit::S,
        Unit::V,
        Unit::A,
        Unit::W,
    ];

    fn metric(self) -> Look {
        match self {
            Unit::None => Look::same("", "", 2),
            Unit::Kg => Look::same("kg", "kg", 1),
            Unit::Km => Look::same("km", "km", 0),
            Unit::M => Look::same("m", "m", 2),
            Unit::Mm => Look::same("mm", "mm", 0),
            Unit::M2 => Look::same("m2", "m²", 3),
            Unit::Kmh => Look::same("kmh", "km/h", 0),
            Unit::S => Look::same("s", "s", 0),
            Unit::Rpm => Look::same("rpm", "rpm", 0),
            Unit::Nm => Look::same("nm", "N m", 1),
            Unit::N => Look::same("n", "N", 0),
            Unit::NPerMps => Look::same("n_per_mps", "N/(m/s)", 2),
            Unit::NPerMps2 => Look::same("n_per_mps2", "N/(m/s)²", 4),
            Unit::Mps2 => Look::same("mps2", "m/s²", 2),
            Unit::WhPerKm => Look::same("wh_per_km", "Wh/km", 0),
            Unit::Kwh => Look::same("kwh", "kWh", 1),
            Unit::Kw => Look::same("kw", "kW", 1),
            Unit::W => Look::same("w", "W", 0),
            Unit::V => Look::same("v", "V", 1),
            Unit::A => Look::same("a", "A", 0),
            Unit::Hz => Look::same("hz", "Hz", 2),
            Unit::Pct => Look::same("pct", "%", 1),
            Unit::Degc => Look::same("degc", "°C", 0),
            Unit::Kgpm3 => Look::same("kgpm3", "kg/m³", 3),
        }
    }

    /// How the unit looks in a system of units. What both systems share stays as it is.
    pub fn look(self, units: Units) -> Look {
        if units == Units::Metric {
            return self.metric();
        }
        match self {
            Unit::Kg => Look::of_size("lb", "lb", 1, KG_PER_LB),
            Unit::Km => Look::of_size("miles", "miles", 0, KM_PER_MILE),
            Unit::M => Look::of_size("ft", "ft", 2, M_PER_FT),
            Unit::Mm => Look::of_size("in", "in", 2, M_PER_IN * 1000.0),
            Unit::M2 => Look::of_size("ft2", "sq ft", 2, M_PER_FT * M_PER_FT),
            Unit::Kmh => Look::of_size("mph", "mph", 0, KM_PER_MILE),
            Unit::Nm => Look::of_size("lbf_ft", "lbf ft", 1, NM_PER_LBF_FT),
            Unit::N => Look::of_size("lbf", "lbf", 0, N_PER_LBF),
            Unit::NPerMps => Look::of_size("lbf_per_mph", "lbf/mph", 2, N_PER_LBF / MPS_PER_MPH),
            Unit::NPerMps2 => {
                let size = N_PER_LBF / (MPS_PER_MPH * MPS_PER_MPH);
                Look::of_size("lbf_per_mph2", "lbf/mph²", 4, size)
            }
            Unit::Mps2 => Look::of_size("ftps2", "ft/s²", 1, M_PER_FT),
            Unit::WhPerKm => Look::of_size("wh_per_mile", "Wh/mile", 0, 1.0 / KM_PER_MILE),
            Unit::Degc => Look { offset: 32.0, ..Look::of_size("degf", "°F", 0, 1.0 / 1.8) },
            Unit::Kgpm3 => {
                let size = KG_PER_LB / (M_PER_FT * M_PER_FT * M_PER_FT);
                Look::of_size("lb_per_ft3", "lb/cu ft", 4, size)
            }
            _ => self.metric(),
        }
    }

    /// The unit of a metric symbol.
    #[must_use]
    pub fn of_symbol(symbol: &str) -> Option<Unit> {
        Unit::BY_SUFFIX.into_iter().find(|unit| unit.metric().symbol == symbol)
    }

    /// The unit that the end of a key names, also before `_se`, a standard error. `None`: the key
    /// ends in no unit.
    pub fn of_key(key: &str) -> Option<Unit> {
        let key = key.strip_suffix(STANDARD_ERROR).unwrap_or(key);
        Unit::BY_SUFFIX.into_iter().find(|unit| stem(key, unit.metric().suffix).is_some())
    }
}

/// End of the keys of standard errors.
pub const STANDARD_ERROR: &str = "_se";

/// The key without its unit and the underscore before it. A key may also be nothing but a unit.
pub fn stem<'a>(key: &'a str, suffix: &str) -> Option<&'a str> {
    let stem = key.strip_suffix(suffix)?;
    stem.strip_suffix('_').filter(|rest| !rest.is_empty())
}

impl Units {
    /// A metric value in these units.
    #[must_use]
    pub fn value(self, metric: f64, unit: Unit) -> f64 {
        let look = unit.look(self);
        // What stays as it is keeps its bits.
        if look == unit.metric() { metric } else { metric * look.per_metric + look.offset }
    }

    /// A metric difference of two values in these units: it has no zero point.
    #[must_use]
    pub fn difference(self, metric: f64, unit: Unit) -> f64 {
        self.value(metric, unit) - self.value(0.0, unit)
    }

    /// Symbol as shown, empty for a pure number.
    #[must_use]
    pub fn symbol(self, unit: Unit) -> &'static str {
        unit.look(self).symbol
    }

    /// The digits of a metric value in these units, without the unit.
    #[must_use]
    pub fn digits(self, metric: f64, unit: Unit, decimals: usize) -> String {
        digits(self.value(metric, unit), decimals)
    }

    /// A metric value with its unit, in the digits that it is worth: `1180.0 kg`, `2601.5 lb`.
    #[must_use]
    pub fn text(self, metric: f64, unit: Unit) -> String {
        self.text_to(metric, unit, unit.look(self).decimals)
    }

    /// As [`Units::text`], with a chosen count of decimals.
    #[must_use]
    pub fn text_to(self, metric: f64, unit: Unit, decimals: usize) -> String {
        self.with_symbol(self.digits(metric, unit, decimals), unit)
    }

    /// Digits with the symbol of their unit behind, if it has one.
    #[must_use]
    pub fn with_symbol(self, digits: String, unit: Unit) -> String {
        match self.symbol(unit) {
            "" => digits,
            symbol => format!("{digits} {symbol}"),
        }
    }

    /// The speed that cars are timed to from a standstill, km/h: 100 km/h or 60 mph.
    #[must_use]
    pub fn usual_sprint_kmh(self) -> f64 {
        match self {
            Units::Metric => 100.0,
            Units::Us => 60.0 * KM_PER_MILE,
        }
    }

    /// The four steady speeds that every range answer shows, km/h: round numbers in these units.
    #[must_use]
    pub fn steady_speeds_kmh(self) -> [f64; 4] {
        match self {
            Units::Metric => [50.0, 80.0, 100.0, 112.0],
            Units::Us => [30.0, 50.0, 60.0, 70.0].map(|mph| mph * KM_PER_MILE),
        }
    }
}

/// A number with a fixed count of decimals, a dash when it is missing; never `-0`.
#[must_use]
pub fn digits(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return MISSING.to_owned();
    }
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.to_owned(),
        _ => text,
    }
}

/// What stands for a missing value in text.
pub const MISSING: &str = "–";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_never_show_minus_zero_or_invent_a_number() {
        assert_eq!(digits(-0.04, 1), "0.0");
        assert_eq!(digits(-0.06, 1), "-0.1");
        assert_eq!(digits(f64::NAN, 1), "–");
        assert_eq!(digits(f64::INFINITY, 0), "–");
    }

    #[test]
    fn units_follow_their_number() {
        assert_eq!(Units::Metric.text(851.26, Unit::Kg), "851.3 kg");
        assert_eq!(Units::Metric.text(118.4, Unit::Km), "118 km");
        assert_eq!(Units::Metric.text_to(4.22, Unit::None, 2), "4.22");
        assert_eq!(Units::Us.text(1180.0, Unit::Kg), "2601.5 lb");
    }

    #[test]
    fn round_numbers_convert_exactly() {
        let pairs = [
            (Unit::Kg, 453.592_37, 1000.0),
            (Unit::Km, 160.934_4, 100.0),
            (Unit::M, 3.048, 10.0),
            (Unit::Mm, 25.4, 1.0),
            (Unit::M2, 0.092_903_04, 1.0),
            (Unit::Kmh, 112.654_08, 70.0),
            (Unit::Nm, 135.581_794_833_140_04, 100.0),
            (Unit::N, 444.822_161_526_05, 100.0),
            (Unit::NPerMps, 9.950_388_366_277_066, 1.0),
            (Unit::NPerMps2, 22.258_384_856_561_083, 1.0),
            (Unit::Mps2, 0.304_8, 1.0),
            (Unit::WhPerKm, 100.0, 160.934_4),
            (Unit::Degc, 100.0, 212.0),
            (Unit::Degc, -40.0, -40.0),
            (Unit::Kgpm3, 16.018_463_373_960_14, 1.0),
        ];
        for (unit, metric, us) in pairs {
            let got = Units::Us.value(metric, unit);
            assert!((got - us).abs() <= 1e-12 * us.abs(), "{unit:?}: {got} for {us}");
        }
    }

    #[test]
    fn what_both_systems_share_keeps_its_bits() {
        for unit in [Unit::S, Unit::Rpm, Unit::Kwh, Unit::Kw, Unit::V, Unit::Pct, Unit::None] {
            assert_eq!(Units::Us.value(0.1 + 0.2, unit).to_bits(), (0.1_f64 + 0.2).to_bits());
            assert_eq!(Units::Us.symbol(unit), Units::Metric.symbol(unit));
        }
    }

    #[test]
    fn a_key_names_its_unit_by_its_longest_end() {
        assert_eq!(Unit::of_key("use_wh_per_km"), Some(Unit::WhPerKm));
        assert_eq!(Unit::of_key("range_km"), Some(Unit::Km));
        assert_eq!(Unit::of_key("f2_n_per_mps2"), Some(Unit::NPerMps2));
        assert_eq!(Unit::of_key("f1_n_per_mps_se"), Some(Unit::NPerMps));
        assert_eq!(Unit::of_key("front_sag_mm"), Some(Unit::Mm));
        assert_eq!(Unit::of_key("pack_full_voltage_v"), Some(Unit::V));
        assert_eq!(Unit::of_key("air_density_kgpm3"), Some(Unit::Kgpm3));
        for none in ["seats", "dcdc", "plain", "rolling", "km", "_km", "motor torque"] {
            assert_eq!(Unit::of_key(none), None, "{none}");
        }
        let lengths: Vec<usize> =
            Unit::BY_SUFFIX.iter().map(|unit| unit.metric().suffix.len()).collect();
        assert!(lengths.windows(2).all(|pair| pair[0] >= pair[1]), "{lengths:?}");
    }
}
