//! Tractive effort against road speed, full throttle, top speed and the steepest hills, each with the
//! limit that binds.
//!
//! Nothing is solved twice: the pull at a speed is what the drive step gives in a tenth of a
//! millisecond with the throttle open, with a rotor that weighs nothing.

use crate::car::Car;
use crate::constants::{KMH_PER_MPS, ZERO_CELSIUS_K};
use crate::cycle::{FASTEST_MPS, Leg, Span};
use crate::day::Day;
use crate::drive::Driver;
use crate::limit::Limit;
use crate::range::CarOnDay;
use crate::ready::Ready;
use crate::road_load::Slope;
use crate::step::{State, Step, road_load_n, step};
use crate::table::count;
use crate::tyre::top_speed_kmh;

/// Time over which the pull is read from the acceleration, s.
const INSTANT_S: f64 = 1e-4;

/// Spacing of the pull table, m/s (1 km/h).
const ROW_MPS: f64 = 1.0 / KMH_PER_MPS;

/// Steps of a full-throttle run, s.
pub const THROTTLE_STEP_S: f64 = 0.02;

/// How far beyond the top speed on the flat the pull table goes: downhill a car goes faster.
const BEYOND_TOP: f64 = 1.1;

/// Speed that the pull table reaches at least, m/s, of a car that hardly moves.
const LEAST_END_MPS: f64 = 15.0;

/// A full-throttle run ends after this time at the latest, s.
pub(crate) const LONGEST_RUN_S: f64 = 180.0;

/// Shortest and longest step of a full-throttle run, s.
const SHORTEST_STEP_S: f64 = 1e-4;
const LONGEST_STEP_S: f64 = 1.0;

/// A full-throttle run ends when the car gains less than this, m/s².
const NO_GAIN_MPS2: f64 = 1e-3;

/// Pack and oil of a car that has been driven, K (25 °C). Engineer's judgement.
const WARM_K: f64 = ZERO_CELSIUS_K + 25.0;

/// Share of the road load that a pull misses at a speed that is out of reach. Engineer's judgement.
const SHORT_FRAC: f64 = 0.05;

/// Halvings when a speed or a slope is sought.
const HALVINGS: usize = 60;

/// A quarter of a mile, m.
pub const QUARTER_MILE_M: f64 = crate::constants::METRE_PER_MILE / 4.0;

/// The pull at one speed.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct PullRow {
    /// Road speed, m/s.
    pub speed_mps: f64,
    /// Gear, counted from 0.
    pub gear: usize,
    /// Motor speed, rad/s.
    pub motor_radps: f64,
    /// Effective mass in this gear without losses, kg: `m + ΣI/r² + J G²/r²`.
    pub effective_mass_kg: f64,
    /// Mass that the pull accelerates, kg: `m + ΣI/r² + η J G²/r²`.
    pub driving_mass_kg: f64,
    /// Greatest force at the driven wheels, N.
    pub pull_n: f64,
    /// The same when the motor is hot and torque continuous, N.
    pub continuous_pull_n: f64,
    /// Road load on the flat, N.
    pub road_load_n: f64,
    /// What keeps `pull_n` from being more.
    pub limit: Limit,
}

/// A car on a day with the throttle open.
#[derive(Clone, Debug)]
pub struct Throttle<'a> {
    car: &'a Car,
    day: &'a Day,
    charge_frac: f64,
    /// Gears in use with their numbers, ready to drive and as the pull is read.
    gears: Vec<(usize, Ready, Ready)>,
}

impl<'a> Throttle<'a> {
    /// At a state of charge, with pack and oil at the temperatures of the day and a cold motor.
    ///
    /// ```
    /// use crownwheel::pull::Throttle;
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let launch = Throttle::new(&car, &day, 0.9).row(0.0).expect("it can stand");
    /// // 165 N m through 6.33, less losses in gears and cold oil.
    /// let ideal_n = 165.0 * 6.33 / car.rolling_radius_m();
    /// assert!(launch.pull_n < 0.98 * 0.96 * ideal_n && launch.pull_n > 0.9 * ideal_n);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn new(car: &'a Car, day: &'a Day, charge_frac: f64) -> Throttle<'a> {
        Throttle::with(car, day, &Ready::new(car, day), charge_frac)
    }

    /// The same with what was made ready before.
    #[must_use]
    pub fn prepared(of: &CarOnDay<'a>, charge_frac: f64) -> Throttle<'a> {
        Throttle::with(of.car, of.day, of.ready, charge_frac)
    }

    fn with(car: &'a Car, day: &'a Day, ready: &Ready, charge_frac: f64) -> Throttle<'a> {
        let gears = car.gears_in_use().map(|gear| {
            let usual = gear == car.usual_gear();
            let ready = if usual { ready.clone() } else { Ready::in_gear(car, day, gear) };
            let light = ready.without_rotor();
            (gear, ready, light)
        });
        Throttle { car, day, charge_frac, gears: gears.collect() }
    }

    /// The pull every km/h from standstill, in the gear that pulls most, to the highest speed that the motor may turn
    /// or, if that is lower, a little beyond the top speed on the flat and the speed that the tyres are marked for. The
    /// last row stands at that end.
    ///
    /// ```
    /// use crownwheel::pull::Throttle;
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let rows = Throttle::new(&car, &day, 0.9).table();
    /// // The last row stands at the motor's 8,000 rpm.
    /// let last = rows.last().expect("there are rows");
    /// assert!((last.motor_radps - 8_000.0 * std::f64::consts::PI / 30.0).abs() < 1e-6);
    /// assert!((rows[50].speed_mps * 3.6 - 50.0).abs() < 1e-9);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn table(&self) -> Vec<PullRow> {
        let top_mps = self.table_end_mps();
        let mut rows = Vec::new();
        let mut row = 0;
        while count(row) * ROW_MPS < top_mps - 1e-9 {
            rows.extend(self.row(count(row) * ROW_MPS));
            row += 1;
        }
        rows.extend(self.row(top_mps));
        rows
    }

    fn table_end_mps(&self) -> f64 {
        let mark = self.car.spec().tyres.mark.speed_symbol.and_then(top_speed_kmh);
        let tyre_mps = mark.map_or(0.0, |kmh| kmh / KMH_PER_MPS);
        let asked_mps = tyre_mps.max(BEYOND_TOP * self.top_speed().0).max(LEAST_END_MPS);
        self.top_by_motor_mps().min(asked_mps).min(FASTEST_MPS)
    }

    /// The pull at a speed, in the gear that pulls most. `None` above the highest speed that the
    /// motor may turn in any gear.
    ///
    /// `F`, hot `F`, `R` and `m_e` at one speed, from the step itself.
    ///
    /// ```
    /// use crownwheel::{limit::Limit, pull::Throttle};
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let throttle = Throttle::new(&car, &day, 0.9);
    /// assert_eq!(throttle.row(5.0).expect("it goes so fast").limit, Limit::MotorTorque);
    /// assert_eq!(throttle.row(60.0), None);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn row(&self, speed_mps: f64) -> Option<PullRow> {
        let rows = self.gears.iter().filter_map(|gear| self.row_in(gear, speed_mps));
        rows.max_by(|a, b| a.pull_n.total_cmp(&b.pull_n))
    }

    fn row_in(&self, gear: &(usize, Ready, Ready), speed_mps: f64) -> Option<PullRow> {
        let (number, ready, light) = gear;
        if !turns_at(ready, speed_mps) {
            return None;
        }
        let cold = self.opened(light, speed_mps, 0.0);
        let hot = self.opened(light, speed_mps, 1.0);
        let rotor_kg = ready.effective_mass_kg - ready.linear_mass_kg;
        let efficiency = ready.reduction_efficiency * ready.axle_efficiency;
        Some(PullRow {
            speed_mps,
            gear: *number,
            motor_radps: speed_mps * ready.radps_per_mps,
            effective_mass_kg: ready.effective_mass_kg,
            driving_mass_kg: ready.linear_mass_kg + efficiency * rotor_kg,
            pull_n: pull_of(&cold),
            continuous_pull_n: pull_of(&hot),
            road_load_n: road_load_n(&ready.view(), &flat(1.0, 0.0), speed_mps),
            limit: Limit::from_code(cold.limit),
        })
    }

    /// An instant with the throttle open.
    fn opened(&self, light: &Ready, speed_mps: f64, heat_used: f64) -> Step<f64> {
        let state = State { speed_mps, heat_used, long_heat_used: heat_used, ..self.start() };
        opened_from(light, &state)
    }

    /// Whether a speed is out of reach at full throttle on the flat: by warm pack and oil, as warm as none of a cold car gets
    /// on the way, the pull misses [`SHORT_FRAC`] of the road load there. `false`: it may be or not.
    pub(crate) fn falls_short_of(&self, speed_mps: f64) -> bool {
        let start = self.start();
        let state = State {
            speed_mps,
            pack_k: start.pack_k.max(WARM_K),
            gearbox_oil_k: start.gearbox_oil_k.max(WARM_K),
            axle_oil_k: start.axle_oil_k.max(WARM_K),
            ..start
        };
        let gears = self.gears.iter().filter(|(_, ready, _)| turns_at(ready, speed_mps));
        let pull_n = gears.map(|(_, _, light)| pull_of(&opened_from(light, &state)));
        pull_n.fold(0.0, f64::max) < (1.0 - SHORT_FRAC) * self.road_load_n(speed_mps, 0.0)
    }

    fn start(&self) -> State<f64> {
        State::on_warm_tyres(self.car, self.day, 0.0, self.charge_frac)
    }

    /// Highest road speed that the motor's speed permits in any gear in use, m/s.
    #[must_use]
    pub fn top_by_motor_mps(&self) -> f64 {
        self.gears.iter().map(|(_, ready, _)| ready.speed_cap_mps).fold(0.0, f64::max)
    }

    /// Highest speed on the flat, m/s, and what limits it: the motor's speed, or the limit of the
    /// pull where it equals the road load.
    ///
    /// ```
    /// use crownwheel::pull::Throttle;
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let throttle = Throttle::new(&car, &day, 0.9);
    /// let (top_mps, _) = throttle.top_speed();
    /// let row = throttle.row(top_mps).expect("the motor may turn so fast");
    /// assert!(top_mps <= throttle.top_by_motor_mps() && row.pull_n >= row.road_load_n * (1.0 - 1e-6));
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn top_speed(&self) -> (f64, Limit) {
        let spare_n = |speed: f64| self.row(speed).map_or(-1.0, |row| row.pull_n - row.road_load_n);
        let limit = |speed: f64| self.row(speed).map_or(Limit::None, |row| row.limit);
        self.fastest(spare_n, limit)
    }

    /// Highest steady speed that is held on a grade (rise over run), m/s, and what limits it, with this share of the
    /// motor's heat used: 0 is a cold motor at its peak, 1 a hot one at what it gives for good. `None`: it does not
    /// hold the car even at rest.
    ///
    /// `F = R(θ) + m g sin θ`, solved for the speed.
    ///
    /// ```
    /// use crownwheel::pull::Throttle;
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let throttle = Throttle::new(&car, &day, 0.9);
    /// // The steepest grade that is held at 25 m/s is climbed at 25 m/s and no faster.
    /// let row = throttle.row(25.0).expect("it goes so fast");
    /// let grade = throttle.grade_held(row.pull_n, 25.0).expect("it is held on the flat");
    /// let (speed_mps, limit) = throttle.fastest_on(grade, 0.0).expect("it is climbed");
    /// assert!((speed_mps - 25.0).abs() < 1e-6 && limit == row.limit);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn fastest_on(&self, grade_frac: f64, heat_used: f64) -> Option<(f64, Limit)> {
        let pull = |speed_mps: f64| {
            let slow = |(_, ready, _): &&(usize, Ready, Ready)| {
                speed_mps <= ready.speed_cap_mps * (1.0 + 1e-9)
            };
            let opened = self.gears.iter().filter(slow).map(|(_, _, light)| {
                let done = self.opened(light, speed_mps, heat_used);
                (pull_of(&done), Limit::from_code(done.limit))
            });
            opened.max_by(|a, b| a.0.total_cmp(&b.0))
        };
        let spare_n = |speed_mps: f64| {
            pull(speed_mps)
                .map_or(-1.0, |(force_n, _)| force_n - self.road_load_n(speed_mps, grade_frac))
        };
        let limit = |speed_mps: f64| pull(speed_mps).map_or(Limit::None, |(_, limit)| limit);
        (spare_n(0.0) >= 0.0).then(|| self.fastest(spare_n, limit))
    }

    /// The highest speed at which there is force to spare, and its limit: that of the motor's speed, or that of the
    /// pull.
    fn fastest(&self, spare_n: impl Fn(f64) -> f64, limit: impl Fn(f64) -> Limit) -> (f64, Limit) {
        let top_mps = self.top_by_motor_mps();
        if spare_n(top_mps) >= 0.0 {
            let limits = self.gears.iter().map(|(gear, _, _)| self.car.speed_limit_in(*gear));
            return limits.fold((0.0, Limit::MotorSpeed), |a, b| if b.0 > a.0 { b } else { a });
        }
        let (mut low, mut high) = (0.0, top_mps);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if spare_n(middle) >= 0.0 { low = middle } else { high = middle }
        }
        (low, limit(low))
    }

    /// Road load at a steady speed on a grade (rise over run), N.
    ///
    /// ```
    /// use crownwheel::pull::Throttle;
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// // On the flat at 20 m/s: air, rolling 5 K below 20 °C, and 15 N of brake drag.
    /// let air_n = 0.5 * day.air_density_kgpm3() * 0.43 * 1.66 * 400.0;
    /// let rolling_n = 908.6 * 9.806_65 * 0.0115 * (1.0 + 5.0 * 0.0086);
    /// let load_n = Throttle::new(&car, &day, 0.9).road_load_n(20.0, 0.0);
    /// assert!((load_n / (air_n + rolling_n + 15.0) - 1.0).abs() < 1e-9);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn road_load_n(&self, speed_mps: f64, grade_frac: f64) -> f64 {
        let slope = Slope::from_grade(grade_frac);
        let leg = Leg { sin: slope.sin(), cos: slope.cos(), ..flat(1.0, 0.0) };
        // The road does not know which gear is in; there is always one.
        self.gears.first().map_or(0.0, |(_, ready, _)| road_load_n(&ready.view(), &leg, speed_mps))
    }

    /// Steepest grade (rise over run) that a force can hold at a speed: `F = R(θ) + m g sin θ`. `None`
    /// if it does not suffice on the flat; 1 (45°) at the most.
    ///
    /// ```
    /// use crownwheel::pull::Throttle;
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let throttle = Throttle::new(&car, &day, 0.9);
    /// let needed_n = throttle.road_load_n(10.0, 0.2);
    /// assert!((throttle.grade_held(needed_n, 10.0).expect("enough") - 0.2).abs() < 1e-9);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn grade_held(&self, force_n: f64, speed_mps: f64) -> Option<f64> {
        let needed_n = |grade: f64| self.road_load_n(speed_mps, grade);
        if needed_n(0.0) > force_n {
            return None;
        }
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if needed_n(middle) <= force_n { low = middle } else { high = middle }
        }
        Some(low)
    }

    /// Acceleration, m/s², that a row of the table gives on the flat: `(F - R) / m_e`.
    ///
    /// Newton's second law.
    ///
    /// ```
    /// use crownwheel::pull::Throttle;
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let row = Throttle::new(&car, &day, 0.9).row(0.0).expect("it can stand");
    /// let wanted = (row.pull_n - row.road_load_n) / row.driving_mass_kg;
    /// assert!((Throttle::acceleration_mps2(&row) - wanted).abs() < 1e-12 && wanted < 0.8 * 9.81);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn acceleration_mps2(row: &PullRow) -> f64 {
        (row.pull_n - row.road_load_n) / row.driving_mass_kg
    }

    /// Full throttle from rest on the flat, in steps of `step_s`, until the car gains no more speed
    /// and has passed the quarter mile, or for three minutes. Steps are held within 0.1 ms and 1 s; what
    /// is not a number counts as 0.1 ms.
    ///
    /// ```
    /// use crownwheel::pull::{THROTTLE_STEP_S, Throttle};
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let run = Throttle::new(&car, &day, 0.9).run(THROTTLE_STEP_S);
    /// let seconds = run.time_to_s(50.0 / 3.6).expect("it gets there");
    /// // No quicker than the peak torque without any loss.
    /// let ideal_mps2 = 165.0 * 6.33 / car.rolling_radius_m() / car.effective_mass_kg();
    /// assert!(seconds > 50.0 / 3.6 / ideal_mps2);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn run(&self, step_s: f64) -> FullThrottle {
        self.run_to(step_s, f64::INFINITY)
    }

    /// As [`Throttle::run`], but over with the first point at `enough_mps` or faster.
    #[must_use]
    pub fn run_to(&self, step_s: f64, enough_mps: f64) -> FullThrottle {
        let mut driver = Driver::new(self.car, self.day);
        let mut state = self.start();
        let leg = floored(step_s);
        let mut run = FullThrottle { points: vec![Point::default()] };
        let mut now = Point::default();
        while now.time_s < LONGEST_RUN_S {
            let done = driver.leg(&leg, &state);
            let before = now;
            state = done.state;
            now = Point {
                time_s: now.time_s + done.duration_s,
                distance_m: now.distance_m + done.distance_m,
                speed_mps: state.speed_mps,
                gear: driver.gear(),
                limit: Limit::from_code(done.limit),
            };
            run.points.push(now);
            if now.ends_after(&before) || now.speed_mps >= enough_mps {
                break;
            }
        }
        run
    }
}

/// A moment of a full-throttle run.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct Point {
    /// Time from the start, s.
    pub time_s: f64,
    /// Distance from the start, m.
    pub distance_m: f64,
    /// Speed, m/s.
    pub speed_mps: f64,
    /// Gear, counted from 0.
    pub gear: usize,
    /// What bound on the way here.
    pub limit: Limit,
}

impl Point {
    /// Whether the run is over: the car stands, or gains no more speed and has passed the quarter mile.
    pub(crate) fn ends_after(&self, before: &Point) -> bool {
        let gain_mps2 = (self.speed_mps - before.speed_mps) / (self.time_s - before.time_s);
        let stands = self.time_s > 5.0 && self.speed_mps < 0.1;
        stands || (gain_mps2.abs() < NO_GAIN_MPS2 && self.distance_m > QUARTER_MILE_M)
    }
}

impl Default for Point {
    fn default() -> Self {
        Point { time_s: 0.0, distance_m: 0.0, speed_mps: 0.0, gear: 0, limit: Limit::None }
    }
}

/// A full-throttle run from rest.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct FullThrottle {
    /// Points at the ends of the steps, the start first.
    pub points: Vec<Point>,
}

impl FullThrottle {
    /// Time from rest to a speed, s. `None`: not reached.
    #[must_use]
    pub fn time_to_s(&self, speed_mps: f64) -> Option<f64> {
        let pairs = self.points.windows(2);
        let mut reached = pairs.filter(|pair| pair[1].speed_mps >= speed_mps);
        let pair = reached.next()?;
        // Acceleration is constant within a step, so speed is a straight line in time.
        let gain = pair[1].speed_mps - pair[0].speed_mps;
        let share = if gain > 0.0 { (speed_mps - pair[0].speed_mps) / gain } else { 0.0 };
        Some(pair[0].time_s + share * (pair[1].time_s - pair[0].time_s))
    }

    /// Time between two speeds, s. `None`: the higher is not reached.
    ///
    /// ```
    /// use crownwheel::pull::{THROTTLE_STEP_S, Throttle};
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let run = Throttle::new(&car, &day, 0.9).run(THROTTLE_STEP_S);
    /// let parts = run.time_between_s(5.0, 10.0).zip(run.time_between_s(10.0, 15.0)).map(|(a, b)| a + b);
    /// assert!((parts.expect("reached") - run.time_between_s(5.0, 15.0).expect("reached")).abs() < 1e-9);
    /// assert_eq!(run.time_to_s(90.0), None);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn time_between_s(&self, from_mps: f64, to_mps: f64) -> Option<f64> {
        Some(self.time_to_s(to_mps)? - self.time_to_s(from_mps)?)
    }

    /// Time, s, and speed, m/s, at a distance from the start. `None`: not reached.
    ///
    /// ```
    /// use crownwheel::pull::{QUARTER_MILE_M, THROTTLE_STEP_S, Throttle};
    /// use crownwheel::{Car, Day, example};
    /// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
    /// let run = Throttle::new(&car, &day, 0.9).run(THROTTLE_STEP_S);
    /// let (time_s, speed_mps) = run.at_distance(QUARTER_MILE_M).expect("it gets so far");
    /// // Speed that eases off: more than half of the last speed on the mean, less than all of it.
    /// let mean_mps = QUARTER_MILE_M / time_s;
    /// assert!(mean_mps > 0.5 * speed_mps && mean_mps < speed_mps);
    /// # Ok::<(), crownwheel::spec::SpecError>(())
    /// ```
    #[must_use]
    pub fn at_distance(&self, distance_m: f64) -> Option<(f64, f64)> {
        let mut pairs = self.points.windows(2);
        let pair = pairs.find(|pair| pair[1].distance_m >= distance_m)?;
        let share = (distance_m - pair[0].distance_m) / (pair[1].distance_m - pair[0].distance_m);
        // v² is a straight line in distance.
        let square = pair[0].speed_mps.powi(2)
            + share * (pair[1].speed_mps.powi(2) - pair[0].speed_mps.powi(2));
        let speed_mps = square.sqrt();
        let mean_mps = 0.5 * (pair[0].speed_mps + speed_mps);
        let time_s = pair[0].time_s + (distance_m - pair[0].distance_m) / mean_mps;
        Some((time_s, speed_mps))
    }
}

/// A level leg.
pub(crate) fn flat(seconds: f64, target_mps: f64) -> Leg {
    Leg { span: Span::Time(seconds), target_mps, lowest_target_mps: target_mps, sin: 0.0, cos: 1.0 }
}

/// A step of a full-throttle run: never so short that the run does not end.
pub(crate) fn floored(step_s: f64) -> Leg {
    let step_s = if step_s.is_nan() { SHORTEST_STEP_S } else { step_s };
    flat(step_s.clamp(SHORTEST_STEP_S, LONGEST_STEP_S), FASTEST_MPS)
}

/// An instant with the throttle open, from a state.
fn opened_from(light: &Ready, state: &State<f64>) -> Step<f64> {
    // A faster target than any speed, so that the throttle is open at every speed.
    step(&light.view(), &flat(INSTANT_S, FASTEST_MPS.max(state.speed_mps + 1.0)), state)
}

/// Whether a gear allows a speed.
fn turns_at(ready: &Ready, speed_mps: f64) -> bool {
    speed_mps <= ready.speed_cap_mps * (1.0 + 1e-9)
}

/// Force at the driven wheels in a step, N: everything that it did on the road, over the distance.
fn pull_of(done: &Step<f64>) -> f64 {
    let e = &done.energy;
    let road_j = e.air_j + e.rolling_j + e.linear_j + e.brake_drag_j + e.kinetic_j;
    // A car that cannot move at all pulls no more than the brakes that hold it.
    if done.distance_m > 0.0 { road_j / done.distance_m } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::example::{mild_day, small_saloon};
    use crate::spec::SpecError;

    fn saloon() -> Result<(Car, Day), SpecError> {
        Ok((Car::new(&small_saloon())?, Day::new(&mild_day())?))
    }

    #[test]
    fn a_run_ends_whatever_step_is_asked_for() -> Result<(), SpecError> {
        let (car, day) = saloon()?;
        let throttle = Throttle::new(&car, &day, 0.9);
        let fine = throttle.run_to(1e-4, 5.0);
        for step_s in [0.0, -1.0, f64::NAN, 1e-300] {
            assert_eq!(throttle.run_to(step_s, 5.0), fine, "{step_s}");
        }
        assert_eq!(throttle.run(f64::INFINITY), throttle.run(1.0));
        Ok(())
    }

    /// A run of constant acceleration `a`: `v = a t` and `s = ½ a t²` between the ends of the steps too.
    #[test]
    fn between_steps_a_run_goes_on_at_constant_acceleration() {
        let accel_mps2 = 2.5;
        let point = |time_s: f64| Point {
            time_s,
            distance_m: 0.5 * accel_mps2 * time_s * time_s,
            speed_mps: accel_mps2 * time_s,
            ..Point::default()
        };
        let run = FullThrottle { points: [0.0, 1.0, 3.0, 6.0].map(point).to_vec() };
        assert!((run.time_to_s(10.0).unwrap() - 4.0).abs() < 1e-12);
        assert!((run.time_between_s(5.0, 10.0).unwrap() - 2.0).abs() < 1e-12);
        assert_eq!(run.time_to_s(15.1), None);
        let (time_s, speed_mps) = run.at_distance(20.0).unwrap();
        assert!((time_s - 4.0).abs() < 1e-12 && (speed_mps - 10.0).abs() < 1e-12);
    }

    #[test]
    fn launch_is_the_motor_s_torque_through_the_gears() -> Result<(), SpecError> {
        let (car, day) = saloon()?;
        let row = Throttle::new(&car, &day, 0.9).row(0.0).expect("it can stand");
        assert_eq!(row.limit, Limit::MotorTorque);
        let ideal_n = 165.0 * 6.33 / car.rolling_radius_m();
        let share = row.pull_n / ideal_n;
        // Two stages of 0.98 and 0.96 and cold oil's drag.
        assert!(share > 0.90 && share < 0.98 * 0.96, "{share}");
        assert!(row.continuous_pull_n < 0.5 * row.pull_n);
        Ok(())
    }

    #[test]
    fn every_row_has_a_limit_and_the_pull_falls_with_speed() -> Result<(), SpecError> {
        let (car, day) = saloon()?;
        let rows = Throttle::new(&car, &day, 0.9).table();
        assert!(rows.len() > 130);
        assert!(rows.iter().all(|row| row.limit != Limit::None));
        let last = &rows[rows.len() - 1];
        assert!((last.motor_radps / car.spec().motor.max_speed_radps - 1.0).abs() < 1e-9);
        assert!(rows.windows(2).all(|pair| pair[1].pull_n <= pair[0].pull_n * (1.0 + 1e-6)));
        Ok(())
    }

    #[test]
    fn the_run_agrees_with_the_integral_of_the_table() -> Result<(), SpecError> {
        let (car, day) = saloon()?;
        let throttle = Throttle::new(&car, &day, 0.9);
        let to_mps = 100.0 / 3.6;
        let run = throttle.run(THROTTLE_STEP_S);
        let by_run = run.time_to_s(to_mps).expect("it reaches 100 km/h");
        let rows = throttle.table();
        // ∫ m_e dv / (F - R) by the trapezium rule on the rows, every km/h.
        let by_table: f64 = rows
            .windows(2)
            .filter(|pair| pair[1].speed_mps <= to_mps + 1e-9)
            .map(|pair| {
                let inverse = |row: &PullRow| 1.0 / Throttle::acceleration_mps2(row);
                0.5 * (inverse(&pair[0]) + inverse(&pair[1])) * ROW_MPS
            })
            .sum();
        assert!((by_run / by_table - 1.0).abs() < 0.01, "{by_run} {by_table}");
        // Halving the step changes little.
        let finer = throttle.run(0.5 * THROTTLE_STEP_S).time_to_s(to_mps).expect("so does this");
        assert!((finer / by_run - 1.0).abs() < 1e-3, "{finer} {by_run}");
        Ok(())
    }

    #[test]
    fn at_top_speed_pull_is_road_load_or_the_motor_turns_fastest() -> Result<(), SpecError> {
        let (car, day) = saloon()?;
        let (top, limit) = Throttle::new(&car, &day, 0.9).top_speed();
        assert_eq!(limit, Limit::MotorSpeed);
        assert!((top - car.speed_cap_mps()).abs() < 1e-9);
        let mut long = small_saloon();
        long.driveline.axle.ratio = 2.5;
        let car = Car::new(&long)?;
        let throttle = Throttle::new(&car, &day, 0.9);
        let (top, limit) = throttle.top_speed();
        let row = throttle.row(top).expect("below the motor's speed");
        assert!((row.pull_n / row.road_load_n - 1.0).abs() < 1e-6);
        assert_ne!(limit, Limit::MotorSpeed);
        Ok(())
    }

    #[test]
    fn the_grade_that_is_held_needs_the_force_that_holds_it() -> Result<(), SpecError> {
        let (car, day) = saloon()?;
        let throttle = Throttle::new(&car, &day, 0.9);
        let row = throttle.row(30.0 / 3.6).expect("in range");
        let grade = throttle.grade_held(row.pull_n, row.speed_mps).expect("it climbs");
        assert!(grade > 0.25 && grade < 0.6, "{grade}");
        assert!(throttle.grade_held(10.0, row.speed_mps).is_none());
        Ok(())
    }
}
