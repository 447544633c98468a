//! What heats cabin and pack on a cold day, and what a pause between two short trips leaves of warmth.

use crate::car::Car;
use crate::day::Day;
use crate::tyre::TYRE_TIME_CONSTANT_S;

/// Heaters of a car on a day; all 0 where nothing is to be heated.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Heating {
    pub(crate) cabin_max_w: f64,
    /// `UA (T_set - T_air) / COP`, at most the highest power.
    pub(crate) cabin_hold_w: f64,
    pub(crate) cabin_performance: f64,
    pub(crate) pack_w: f64,
    pub(crate) pack_below_k: f64,
}

impl Heating {
    pub(crate) fn of(car: &Car, day: &Day) -> Heating {
        let mut heating = Heating { cabin_performance: 1.0, ..Heating::default() };
        let colder_k = car.cabin_below_k(day);
        if let Some(cabin) = car.spec().cabin.filter(|_| colder_k > 0.0) {
            let hold_w = cabin.conductance_wpk * colder_k / cabin.performance;
            heating.cabin_max_w = cabin.max_w;
            heating.cabin_hold_w = hold_w.min(cabin.max_w);
            heating.cabin_performance = cabin.performance;
        }
        if let Some(heater) = car.spec().pack.heater {
            (heating.pack_w, heating.pack_below_k) = (heater.power_w, heater.only_below_k);
        }
        heating
    }
}

impl Car {
    /// By how much the air is colder than the cabin is to be, K; 0 where nothing heats it.
    fn cabin_below_k(&self, day: &Day) -> f64 {
        let set_k = self.spec().cabin.filter(|_| !day.spec().cabin_off).map(|cabin| cabin.set_k);
        set_k.map_or(0.0, |set_k| (set_k - day.air().temperature_k).max(0.0))
    }

    /// Heat that a cold cabin has to be warmed with, J: `C (T_set - T_air)`.
    pub(crate) fn cabin_j(&self, day: &Day) -> f64 {
        let heat_capacity_jpk = self.spec().cabin.map_or(0.0, |cabin| cabin.heat_capacity_jpk);
        heat_capacity_jpk * self.cabin_below_k(day)
    }
}

/// What a pause leaves: shares of what is above the air, by the exponential of the pause over each time constant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Parked {
    /// Way of a trip, m; endless where trips are not short.
    pub(crate) length_m: f64,
    pub(crate) heat: f64,
    pub(crate) long_heat: f64,
    pub(crate) oil: f64,
    pub(crate) pack: f64,
    pub(crate) tyre: f64,
    /// Heat that the cabin has to be warmed with again, J.
    pub(crate) cabin_j: f64,
}

impl Parked {
    pub(crate) fn of(car: &Car, day: &Day) -> Parked {
        let Some(trips) = day.spec().short_trips else { return Parked::NEVER };
        let spec = car.spec();
        let left = |time_constant_s: f64| libm::exp(-trips.pause_s / time_constant_s);
        let heat = car.heat.as_ref();
        let cabin_s = spec.cabin.map_or(1.0, |it| it.heat_capacity_jpk / it.conductance_wpk);
        Parked {
            length_m: trips.length_m,
            heat: heat.map_or(0.0, |heat| left(heat.time_constant_s)),
            long_heat: heat.and_then(|heat| heat.long_time_constant_s).map_or(0.0, left),
            oil: left(spec.driveline.oil_time_constant_s),
            pack: left(spec.pack.heat_capacity_jpk() / spec.pack.conductance_wpk),
            tyre: left(TYRE_TIME_CONSTANT_S),
            cabin_j: car.cabin_j(day) * (1.0 - left(cabin_s)),
        }
    }

    const NEVER: Parked = Parked {
        length_m: f64::MAX,
        heat: 1.0,
        long_heat: 1.0,
        oil: 1.0,
        pack: 1.0,
        tyre: 1.0,
        cabin_j: 0.0,
    };
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cycle::{Cycle, Grade, Samples};
    use crate::example::{mild_day, small_saloon};
    use crate::range::{once, range};
    use crate::spec::{CabinSpec, CarSpec, DaySpec, PackHeaterSpec, ShortTrips};

    const CABIN: CabinSpec = CabinSpec {
        set_k: 293.15,
        conductance_wpk: 80.0,
        heat_capacity_jpk: 60e3,
        max_w: 3e3,
        performance: 1.0,
    };

    fn freezing() -> DaySpec {
        DaySpec { temperature_k: 273.15, ..mild_day() }
    }

    /// Steady, for so many seconds.
    fn driven_for(seconds: u32) -> Cycle {
        let time_s: Vec<f64> = (0..=seconds).map(f64::from).collect();
        let speed_mps = vec![15.0; time_s.len()];
        let samples = Samples::ByTime { time_s, speed_mps, grade: Grade::Flat };
        Cycle::new("steady", &samples).unwrap()
    }

    fn ancillaries_wh(spec: &CarSpec, day: &DaySpec, seconds: u32) -> f64 {
        let (car, day) = (Car::new(spec).unwrap(), Day::new(day).unwrap());
        let hour = driven_for(seconds);
        once(&car, &day, &hour, 0.9).balance.sum.ancillaries_j / 3_600.0
    }

    /// At 0 °C the cabin takes 3 kW until 60 kJ/K times 20 K are in, 400 s, and then 80 W/K times 20 K.
    #[test]
    fn a_cold_cabin_is_warmed_at_full_power_and_then_held() {
        let cold = small_saloon();
        let heated = CarSpec { cabin: Some(CABIN), ..cold.clone() };
        let taken = |seconds| {
            ancillaries_wh(&heated, &freezing(), seconds)
                - ancillaries_wh(&cold, &freezing(), seconds)
        };
        assert!((taken(240) - 3_000.0 * 240.0 / 3_600.0).abs() < 1e-6);
        let whole_wh = (3_000.0 * 400.0 + 1_600.0 * 3_200.0) / 3_600.0;
        assert!((taken(3_600) - whole_wh).abs() < 1.0, "{} {whole_wh}", taken(3_600));
        let off = DaySpec { cabin_off: true, ..freezing() };
        let more = ancillaries_wh(&heated, &off, 600) - ancillaries_wh(&cold, &off, 600);
        assert!(more.abs() < 1e-9, "{more}");
    }

    #[test]
    fn a_pack_heater_warms_the_pack_and_takes_its_power() {
        let cold = small_saloon();
        let mut heated = cold.clone();
        heated.pack.heater = Some(PackHeaterSpec { power_w: 600.0, only_below_k: 283.15 });
        let more =
            ancillaries_wh(&heated, &freezing(), 1_200) - ancillaries_wh(&cold, &freezing(), 1_200);
        assert!((more - 200.0).abs() < 1e-6, "{more}");
        let more =
            ancillaries_wh(&heated, &mild_day(), 60) - ancillaries_wh(&cold, &mild_day(), 60);
        assert!(more.abs() < 1e-9, "{more}");
    }

    #[test]
    fn short_trips_cost_range_in_the_cold() {
        let car = Car::new(&CarSpec { cabin: Some(CABIN), ..small_saloon() }).unwrap();
        let km = |pause_s: f64| {
            let short_trips = Some(ShortTrips { length_m: 10e3, pause_s });
            let day = Day::new(&DaySpec { short_trips, ..freezing() }).unwrap();
            range(&car, &day, &Cycle::builtin("udds").unwrap()).range_m() / 1000.0
        };
        let on_and_on = Day::new(&freezing()).unwrap();
        let whole = range(&car, &on_and_on, &Cycle::builtin("udds").unwrap()).range_m() / 1000.0;
        let (short, long) = (km(1_800.0), km(14_400.0));
        assert!(whole > 1.02 * short && short > 1.01 * long, "{whole} {short} {long}");
        assert!(long > 0.7 * whole);
    }
}
