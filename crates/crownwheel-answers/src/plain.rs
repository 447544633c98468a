//! The answer in a sentence, made from its own numbers.

use std::collections::BTreeSet;

use crate::unit::digits;
use crate::words::{capital, count_word};
use crate::{
    CheckAnswer, CycleResult, LoadCase, RangeAnswer, RouteResult, Trip, Unit, WeighAnswer,
    WeighCase,
};

/// A load that is over a limit in one case.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Overload {
    /// The case.
    pub case: LoadCase,
    /// What carries the load, `the rear axle`.
    pub carrier: &'static str,
    /// What limits it, `its plate`.
    pub limit: &'static str,
    /// Load, kg.
    pub load_kg: f64,
    /// By how much it is over, kg.
    pub over_kg: f64,
}

/// A carrier with its load and what is left to its limit.
struct Margin {
    carrier: &'static str,
    limit: &'static str,
    load_kg: f64,
    left_kg: Option<f64>,
}

fn margins(case: &WeighCase) -> [Margin; 5] {
    let margin = |carrier, limit, load_kg, left_kg| Margin { carrier, limit, load_kg, left_kg };
    [
        margin("the front axle", "its plate", case.front_axle_kg, case.front_plate_margin_kg),
        margin("the rear axle", "its plate", case.rear_axle_kg, case.rear_plate_margin_kg),
        margin("the whole car", "the gross mass on the plate", case.mass_kg, case.gross_margin_kg),
        margin(
            "the front tyres",
            "their load index",
            case.front_axle_kg,
            case.front_tyre_margin_kg,
        ),
        margin("the rear tyres", "their load index", case.rear_axle_kg, case.rear_tyre_margin_kg),
    ]
}

/// `is`, or `are` of several tyres.
fn is_or_are(carrier: &str) -> &'static str {
    if carrier.ends_with("tyres") { "are" } else { "is" }
}

impl WeighAnswer {
    /// Every load over its limit, case by case.
    #[must_use]
    pub fn overloads(&self) -> Vec<Overload> {
        let in_case = |case: &WeighCase| {
            margins(case)
                .into_iter()
                .filter_map(|m| {
                    let over_kg = -m.left_kg?;
                    // A tenth of the shown digit: at gross the mass equals its limit by construction.
                    (over_kg > 0.01).then_some(Overload {
                        case: case.case,
                        carrier: m.carrier,
                        limit: m.limit,
                        load_kg: m.load_kg,
                        over_kg,
                    })
                })
                .collect::<Vec<_>>()
        };
        self.cases.iter().flat_map(in_case).collect()
    }

    /// How the car is loaded in a case, in words: `four up and loaded to gross mass`.
    #[must_use]
    pub fn phrase(&self, case: LoadCase) -> String {
        match case {
            LoadCase::AsOnScales => "as on the scales".to_owned(),
            LoadCase::ConvertedEmpty => "converted and empty".to_owned(),
            LoadCase::DriverOnly => "with the driver only".to_owned(),
            LoadCase::EverySeat => format!("{} up", count_word(self.seats)),
            LoadCase::AtGross => format!("{} up and loaded to gross mass", count_word(self.seats)),
        }
    }

    /// Is every limit kept, which one is not, and what does the empty car weigh.
    #[must_use]
    pub fn plain_line(&self) -> String {
        let verdict = match self.overloads().iter().max_by(|a, b| a.over_kg.total_cmp(&b.over_kg)) {
            Some(worst) => self.overload_sentence(worst),
            None => self.margin_sentence(),
        };
        match self.case(LoadCase::ConvertedEmpty) {
            Some(empty) => format!(
                "{verdict} Converted and empty the car weighs {}, {} of it on the front axle.",
                self.units.text(empty.mass_kg, Unit::Kg),
                self.units.text(empty.front_pct, Unit::Pct)
            ),
            None => verdict,
        }
    }

    /// An overload as a sentence.
    #[must_use]
    pub fn overload_sentence(&self, o: &Overload) -> String {
        format!(
            "{} {} {} at {}, {} over {}.",
            capital(&self.phrase(o.case)),
            o.carrier,
            is_or_are(o.carrier),
            self.units.text(o.load_kg, Unit::Kg),
            self.units.text(o.over_kg, Unit::Kg),
            o.limit
        )
    }

    /// The case, if it was computed.
    #[must_use]
    pub fn case(&self, case: LoadCase) -> Option<&WeighCase> {
        self.cases.iter().find(|c| c.case == case)
    }

    /// What may still be put over each axle with the driver aboard, in plain words.
    #[must_use]
    pub fn payload_sentence(&self) -> Option<String> {
        let driver = self.case(LoadCase::DriverOnly)?;
        let (front, rear) = (driver.front_payload_left_kg?, driver.rear_payload_left_kg?);
        Some(format!(
            "With the driver aboard there is room for {} more over the front axle or {} over the rear axle before a limit is reached.",
            self.units.text_to(front, Unit::Kg, 0),
            self.units.text_to(rear, Unit::Kg, 0)
        ))
    }

    /// The limit that is closest, when all are kept, as a sentence.
    #[must_use]
    pub fn margin_sentence(&self) -> String {
        let all = self.cases.iter().flat_map(|case| {
            margins(case)
                .into_iter()
                // At gross the car is loaded until it reaches the gross mass.
                .filter(move |m| !(case.case == LoadCase::AtGross && m.carrier == "the whole car"))
                .filter_map(move |m| m.left_kg.map(|left| (left, case.case, m.carrier, m.limit)))
        });
        match all.min_by(|a, b| a.0.total_cmp(&b.0)) {
            Some((left, case, carrier, limit)) => format!(
                "Every axle stays under its limits; the closest {} {carrier} {}, {} under {limit}.",
                is_or_are(carrier),
                self.phrase(case),
                self.units.text(left, Unit::Kg)
            ),
            None => {
                "No plate and no tyre load index are given, so no limit was checked.".to_owned()
            }
        }
    }
}

impl CheckAnswer {
    /// What the car is, in a sentence.
    #[must_use]
    pub fn plain_line(&self) -> String {
        let concerns = match self.warnings.len() {
            0 => "nothing to warn of".to_owned(),
            1 => "one warning".to_owned(),
            n => format!("{n} warnings"),
        };
        format!(
            "{} is understood: {} with the driver, overall ratio {}, {} usable of a {} pack at {} full; {} values assumed, {concerns}.",
            self.car,
            self.units.text(self.mass_kg, Unit::Kg),
            digits(self.overall_ratio, 2),
            self.units.text(self.pack_usable_kwh, Unit::Kwh),
            self.units.text(self.pack_energy_kwh, Unit::Kwh),
            self.units.text_to(self.pack_full_voltage_v, Unit::V, 0),
            self.assumed.len(),
        )
    }
}

/// Trips that a first line names one by one.
const NAMED_TRIPS: usize = 2;

impl RangeAnswer {
    /// How far the car goes: on the trips that are demanded, else on the build's own, else on all.
    #[must_use]
    pub fn plain_line(&self) -> String {
        let mut trips = self.headline();
        trips.sort_by(|a, b| b.keeps_up_km.middle().total_cmp(&a.keeps_up_km.middle()));
        let many = trips.len() > NAMED_TRIPS;
        if many {
            trips = [trips.first(), trips.last()].into_iter().flatten().copied().collect();
        }
        let [first, others @ ..] = trips.as_slice() else { return self.routes_or_steady() };
        let join = if many { ", down to " } else { ", and " };
        let reserve = self.units.text_to(self.reserve_pct, Unit::Pct, 0);
        let mut line = format!("From full {}", self.trip(first));
        let mut kept = first.with_reserve().distance(self.units);
        for other in others {
            line.push_str(&format!("{join}{}", self.trip(other)));
            kept = format!("{kept}, and {}", other.with_reserve().distance(self.units));
        }
        let ends = |r: &CycleResult| r.range_km.middle().is_finite();
        if trips.iter().all(|r| ends(r)) {
            line.push_str(&format!("; with {reserve} kept back {kept}"));
        }
        line.push('.');
        if !self.routes.is_empty() {
            line = format!("{} {line}", self.routes_line());
        }
        let behind = self.cannot_follow();
        if !behind.is_empty() {
            line.push_str(&format!(" Even when full the car cannot follow {}.", behind.join(", ")));
        }
        line
    }

    /// The results that the first line is about.
    fn headline(&self) -> Vec<&CycleResult> {
        let of = |trip: Trip| self.results.iter().filter(move |it| it.trip == trip);
        [Trip::Demanded, Trip::Own, Trip::Standard]
            .into_iter()
            .map(|trip| of(trip).collect::<Vec<_>>())
            .find(|trips| !trips.is_empty())
            .unwrap_or_default()
    }

    /// `104 km (102 to 106) on moor-round (winter), 85 km asked for`.
    fn trip(&self, r: &CycleResult) -> String {
        let (units, place) = (self.units, format!("on {} ({})", r.cycle, r.day));
        let asked = r.demanded_km.map_or_else(String::new, |km| {
            format!(", {} asked for", units.text_to(km, Unit::Km, 0))
        });
        let (up, range) = (r.keeps_up_km, r.range_km);
        let km = if range.middle().is_finite() && up.middle() < 0.995 * range.middle() {
            let range = units.text_to(range.middle(), Unit::Km, 0);
            format!("it keeps up for {} of {range}", up.distance(units))
        } else if range.middle().is_infinite() {
            "the pack does not empty".to_owned()
        } else {
            range.distance(units)
        };
        format!("{km} {place}{asked}")
    }

    /// Cycles that the car cannot follow from full, with the days unless it is on every day.
    fn cannot_follow(&self) -> Vec<String> {
        let mut cycles: Vec<&str> = self.results.iter().map(|r| r.cycle.as_str()).collect();
        let mut seen = BTreeSet::new();
        cycles.retain(|cycle| seen.insert(*cycle));
        let name = |cycle: &str| {
            let of_cycle = || self.results.iter().filter(|r| r.cycle == cycle);
            let days: Vec<String> = of_cycle()
                .filter(|r| r.cannot_follow_when_full)
                .map(|r| r.day.to_string())
                .collect();
            match days.len() {
                0 => None,
                n if n == of_cycle().count() => Some(cycle.to_owned()),
                _ => Some(format!("{cycle} ({})", days.join(", "))),
            }
        };
        cycles.into_iter().filter_map(name).collect()
    }

    fn routes_or_steady(&self) -> String {
        if self.routes.is_empty() { self.steady_line() } else { self.routes_line() }
    }

    /// What is left behind every route that is driven once.
    fn routes_line(&self) -> String {
        let mut routes: Vec<&RouteResult> = self.routes.iter().collect();
        routes.sort_by(|a, b| b.charge_left_pct.middle().total_cmp(&a.charge_left_pct.middle()));
        if routes.len() > NAMED_TRIPS {
            routes = [routes.first(), routes.last()].into_iter().flatten().copied().collect();
        }
        let each: Vec<String> = routes.iter().map(|it| it.sentence(self.units)).collect();
        format!("{}.", capital(&each.join("; ")))
    }

    fn steady_line(&self) -> String {
        let held = self.steady.iter().filter(|s| s.held);
        match held.max_by(|a, b| a.keeps_up_km.middle().total_cmp(&b.keeps_up_km.middle())) {
            Some(s) => format!(
                "From full {} at a steady {} on the {} day.",
                s.keeps_up_km.distance(self.units),
                self.units.text(s.speed_kmh, Unit::Kmh),
                s.day
            ),
            None => "No range was asked for.".to_owned(),
        }
    }
}
