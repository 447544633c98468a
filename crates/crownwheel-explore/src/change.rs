//! By how much a number differs from the unmoved build's, in the digits that are shown.

use crownwheel_answers::unit::digits;
use crownwheel_answers::{Cell, Table, Unit, Units};

/// How numbers of a kind are shown.
#[derive(Clone, Copy, Debug)]
pub(crate) struct NumberFormat {
    pub(crate) units: Units,
    pub(crate) unit: Unit,
    pub(crate) decimals: usize,
}

impl NumberFormat {
    /// `171 km, 7 less`; the number alone where there is nothing to compare with, or nothing changed.
    pub(crate) fn against(self, now: f64, before: Option<f64>) -> String {
        let text = self.units.text_to(now, self.unit, self.decimals);
        match before.and_then(|before| self.change(now, before)) {
            Some(change) => format!("{text}, {change}"),
            None => text,
        }
    }

    /// `7 less`, as the shown numbers differ. `None`: they do not, or one of them is not known.
    fn change(self, now: f64, before: f64) -> Option<String> {
        let shown = |value: f64| self.units.digits(value, self.unit, self.decimals);
        change(&shown(now), &shown(before))
    }
}

/// `7 less`, of two numbers as they are shown. `None`: they are the same, or no numbers.
fn change(now: &str, before: &str) -> Option<String> {
    let by = now.parse::<f64>().ok()? - before.parse::<f64>().ok()?;
    let decimals = now.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let much = digits(by.abs(), decimals);
    let nothing = much.chars().all(|c| matches!(c, '0' | '.'));
    (!nothing).then(|| format!("{much} {}", if by > 0.0 { "more" } else { "less" }))
}

/// A table with what changed in each cell, where its rows are those of the table before.
pub(crate) fn changed(now: &Table, before: &Table) -> Table {
    let (shown, old) = (now.grid(), before.grid());
    let mut table = now.clone();
    if shown.head != old.head {
        return table;
    }
    for (column, right) in table.columns.iter_mut().zip(&shown.right) {
        column.right = *right;
    }
    for (place, row) in table.rows.iter_mut().enumerate() {
        let (now, Some(old)) = (&shown.rows[place], old.rows.get(place)) else { continue };
        if now.first() != old.first() {
            continue;
        }
        for ((cell, now), old) in row.iter_mut().zip(now).zip(old) {
            let (now, old) = (&now.text, &old.text);
            if now != old && now.parse::<f64>().is_ok() && old.parse::<f64>().is_ok() {
                *cell =
                    Cell::Text(change(now, old).map_or(now.clone(), |by| format!("{now}, {by}")));
            } else if now != old {
                *cell = Cell::Text(word(now, Some(old)));
            }
        }
    }
    table
}

/// A word that changed: `motor speed, was supply voltage`; of `pack empty first, after 49 min` only what
/// differs is said again.
pub(crate) fn word(now: &str, before: Option<&str>) -> String {
    let Some(before) = before.filter(|before| *before != now) else { return now.to_owned() };
    let was = match (now.split_once(", "), before.split_once(", ")) {
        (Some((same, _)), Some((start, rest))) if same == start => rest,
        _ => before,
    };
    format!("{now}, was {was}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_is_that_of_the_numbers_on_the_page() {
        let km = NumberFormat { units: Units::Metric, unit: Unit::Km, decimals: 0 };
        assert_eq!(km.against(170.6, Some(178.4)), "171 km, 7 less");
        assert_eq!(km.against(178.4, Some(170.6)), "178 km, 7 more");
        assert_eq!(km.against(170.6, Some(170.9)), "171 km");
        assert_eq!(km.against(170.6, None), "171 km");
        assert_eq!(km.against(f64::NAN, Some(3.0)), "– km");
        let miles = NumberFormat { units: Units::Us, ..km };
        assert_eq!(miles.against(160.934_4, Some(144.840_96)), "100 miles, 10 more");
        let kg = NumberFormat { units: Units::Metric, unit: Unit::Kg, decimals: 1 };
        assert_eq!(kg.against(-3.25, Some(4.0)), "-3.2 kg, 7.2 less");
    }

    #[test]
    fn a_word_says_what_it_was() {
        assert_eq!(word("heat", Some("grip")), "heat, was grip");
        assert_eq!(word("heat", Some("heat")), "heat");
        assert_eq!(word("heat", None), "heat");
        let empty = |min: u32| format!("pack empty first, after {min} min");
        assert_eq!(
            word(&empty(49), Some(&empty(48))),
            "pack empty first, after 49 min, was after 48 min"
        );
        assert_eq!(
            word(&empty(49), Some("motor cuts back")),
            "pack empty first, after 49 min, was motor cuts back"
        );
    }
}
