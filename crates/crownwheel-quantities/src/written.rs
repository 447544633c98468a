//! Assumed values as a build would write them, in the units that the answer is shown in.

use crate::{Unit, Units};

impl Units {
    /// A value or a half width as a build writes it (`0.52 m`, `± 0.03 m`), in these units; what is
    /// no number with a metric unit of ours stays as it is. Five digits are kept.
    #[must_use]
    pub fn written(self, metric: &str) -> String {
        if self == Units::Metric {
            return metric.to_owned();
        }
        let (sign, rest) = match metric.strip_prefix("± ") {
            Some(rest) => ("± ", rest),
            None => ("", metric),
        };
        let Some((number, symbol)) = rest.split_once(' ') else { return metric.to_owned() };
        match (number.parse::<f64>(), unit_of(symbol)) {
            (Ok(number), Some(unit)) if self.symbol(unit) != Units::Metric.symbol(unit) => {
                let is_value = sign.is_empty();
                let value =
                    if is_value { self.value(number, unit) } else { self.difference(number, unit) };
                format!("{sign}{} {}", five_digits(value), self.symbol(unit))
            }
            _ => metric.to_owned(),
        }
    }
}

fn unit_of(symbol: &str) -> Option<Unit> {
    if symbol == "m2" { Some(Unit::M2) } else { Unit::of_symbol(symbol) }
}

/// Five significant digits, without zeros at the end.
fn five_digits(value: f64) -> String {
    let places = (0..8_usize)
        .find(|places| value.abs() * libm::pow(10_f64, count(*places)) >= 1e4)
        .unwrap_or(8);
    let text = format!("{value:.places$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

fn count(places: usize) -> f64 {
    f64::from(u8::try_from(places).unwrap_or(u8::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_masses_and_temperatures_are_written_in_us_units() {
        for (metric, us) in [
            ("0 m", "0 ft"),
            ("0.73652 m", "2.4164 ft"),
            ("± 3.048 m", "± 10 ft"),
            ("118 kg", "260.15 lb"),
            ("20 °C", "68 °F"),
            ("± 5 °C", "± 9 °F"),
            ("1.0131 m2", "10.905 sq ft"),
            ("0.4 N m", "0.29502 lbf ft"),
        ] {
            assert_eq!(Units::Us.written(metric), us);
            assert_eq!(Units::Metric.written(metric), metric);
        }
    }

    #[test]
    fn everything_else_stays_as_it_is() {
        for text in [
            "0.05",
            "± 8 %",
            "25 min",
            "12 W/K",
            "true",
            "",
            "as it is",
            "230 V x 10 A",
            "1000 J/(kg K)",
        ] {
            assert_eq!(Units::Us.written(text), text);
        }
    }
}
