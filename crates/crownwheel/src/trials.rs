//! Full throttle and climbs of many cars, side by side: the same runs as [`crate::pull`] and
//! [`crate::hold`] make of one, with the same bits.

use crate::batch::{LegView, Side, WIDTH, Watch, pass};
use crate::cycle::Leg;
use crate::drive::FOLLOWING_SLACK_MPS;
use crate::hold::{Climb, Climber, HoldTime, LONGEST_S, Moment, climb_leg};
use crate::lane::Lane;
use crate::limit::Limit;
use crate::pull::{FullThrottle, LONGEST_RUN_S, Point, Throttle, floored};
use crate::range::CarOnDay;
use crate::ready::Ready;
use crate::step::State;

/// Full throttle from rest on the flat of several cars, each on its day and at its state of charge, in
/// steps of `step_s` up to the highest of the speeds `asked_mps` that the car may reach at all; as [`Throttle::run_to`].
/// Cars that choose gears are driven one by one.
///
/// ```
/// use crownwheel::{ready::Ready, range::CarOnDay, trials::full_throttles, pull::Throttle};
/// use crownwheel::{Car, Day, example};
/// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
/// let ready = Ready::new(&car, &day);
/// let case = (CarOnDay { car: &car, day: &day, ready: &ready }, 0.9);
/// let runs = full_throttles(&[case, case], 0.05, &[10.0, 15.0]);
/// assert_eq!(runs[1], Throttle::new(&car, &day, 0.9).run_to(0.05, 15.0));
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn full_throttles(cases: &[Case<'_>], step_s: f64, asked_mps: &[f64]) -> Vec<FullThrottle> {
    let leg = floored(step_s);
    in_parts(
        cases,
        |(of, charge_frac)| {
            let throttle = Throttle::prepared(of, *charge_frac);
            throttle.run_to(step_s, enough_mps(&throttle, asked_mps))
        },
        |(of, charge_frac)| State::on_warm_tyres(of.car, of.day, 0.0, *charge_frac),
        || Accelerations { runs: vec![ThrottleRun::default(); WIDTH], asked_mps },
        &leg,
        |watch, lane| FullThrottle { points: watch.runs[lane].points.clone() },
    )
}

/// The highest of these speeds that a car may reach.
fn enough_mps(throttle: &Throttle<'_>, asked_mps: &[f64]) -> f64 {
    let may_reach = |speed_mps: &f64| !throttle.falls_short_of(*speed_mps);
    asked_mps.iter().copied().filter(may_reach).fold(0.0, f64::max)
}

/// How long several cars hold a climb with a motor that is cold at its foot; as [`Climber::cold`], but
/// what lasts the first of the two times, s, counts as held for ever; the second is the length of a step.
///
/// ```
/// use crownwheel::{hold::{Climb, Climber}, ready::Ready, range::CarOnDay, trials::climbs};
/// use crownwheel::{Car, Day, example};
/// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
/// let ready = Ready::new(&car, &day);
/// let case = (CarOnDay { car: &car, day: &day, ready: &ready }, 0.9);
/// let hill = Climb { speed_mps: 16.0, grade_frac: 0.15 };
/// let held = climbs(&[case], hill, (600.0, 1.0));
/// assert_eq!(held[0], Climber::new(&car, &day, 0.9).within(600.0).cold(hill));
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
#[must_use]
pub fn climbs(cases: &[Case<'_>], climb: Climb, (longest_s, step_s): (f64, f64)) -> Vec<HoldTime> {
    let leg = climb_leg(climb, step_s);
    let longest_s = longest_s.min(LONGEST_S);
    let steps = (longest_s, step_s);
    let foregone = |case: &Case<'_>| climber(case, steps).foregone(climb, case.0.ready);
    let known: Vec<Option<HoldTime>> = cases.iter().map(foregone).collect();
    let open = cases.iter().zip(&known).filter(|(_, known)| known.is_none());
    let open: Vec<Case<'_>> = open.map(|(case, _)| *case).collect();
    let mut ends = in_parts(
        &open,
        |case| Some(climber(case, steps).cold(climb)),
        |case| climber(case, steps).start(climb.speed_mps),
        || Climbs { lanes: Vec::new(), time_s: 0.0, longest_s, speed_mps: climb.speed_mps },
        &leg,
        |watch, lane| watch.lanes.get(lane).and_then(|lane| lane.end),
    )
    .into_iter();
    let end = |known: Option<HoldTime>| known.or_else(|| ends.next().flatten());
    known.into_iter().map(end).map(|end| end.unwrap_or(HoldTime::Always)).collect()
}

fn climber<'a>((of, charge_frac): &Case<'a>, (longest_s, step_s): (f64, f64)) -> Climber<'a> {
    Climber::new(of.car, of.day, *charge_frac).within(longest_s).in_steps_of(step_s)
}

/// A car on its day, and its state of charge.
pub type Case<'a> = (CarOnDay<'a>, f64);

/// Runs cases in parts of [`WIDTH`]: `one` does a car that chooses gears, `watch` sees the others.
fn in_parts<T, W: Watch<Side> + ForCases>(
    cases: &[Case<'_>],
    one: impl Fn(&Case<'_>) -> T,
    start: impl Fn(&Case<'_>) -> State<f64>,
    watch: impl Fn() -> W,
    leg: &Leg,
    result: impl Fn(&W, usize) -> T,
) -> Vec<T> {
    let mut all = Vec::with_capacity(cases.len());
    for part in cases.chunks(WIDTH) {
        if part.iter().any(|(of, _)| of.car.gears_in_use().len() > 1) {
            all.extend(part.iter().map(&one));
            continue;
        }
        let last = part.len() - 1;
        let view = Ready::side_by_side::<WIDTH>(std::array::from_fn(|i| part[i.min(last)].0.ready));
        let state = State::<Side>::each(|i| start(&part[i.min(last)]));
        let mut watch = watch();
        watch.begin(&std::array::from_fn(|i| part[i.min(last)]));
        pass(&view, std::iter::repeat(leg), state, &mut watch);
        all.extend((0..part.len()).map(|lane| result(&watch, lane)));
    }
    all
}

/// A watcher that must know the cars.
trait ForCases {
    fn begin(&mut self, cases: &[Case<'_>; WIDTH]);
}

/// One car at full throttle.
#[derive(Clone, Debug)]
struct ThrottleRun {
    points: Vec<Point>,
    enough_mps: f64,
    ended: bool,
}

impl Default for ThrottleRun {
    fn default() -> ThrottleRun {
        ThrottleRun { points: vec![Point::default()], enough_mps: 0.0, ended: false }
    }
}

struct Accelerations<'a> {
    runs: Vec<ThrottleRun>,
    asked_mps: &'a [f64],
}

impl ForCases for Accelerations<'_> {
    fn begin(&mut self, cases: &[Case<'_>; WIDTH]) {
        for (run, (of, charge_frac)) in self.runs.iter_mut().zip(cases) {
            run.points[0].gear = of.car.usual_gear();
            run.enough_mps = enough_mps(&Throttle::prepared(of, *charge_frac), self.asked_mps);
        }
    }
}

impl Watch<Side> for Accelerations<'_> {
    #[inline(always)]
    fn leg(&mut self, seen: LegView<'_, Side>) -> bool {
        let step = seen.step;
        for (i, run) in self.runs.iter_mut().enumerate() {
            if run.ended {
                continue;
            }
            let before = run.points[run.points.len() - 1];
            let now = Point {
                time_s: before.time_s + step.duration_s.lane(i),
                distance_m: before.distance_m + step.distance_m.lane(i),
                speed_mps: step.state.speed_mps.lane(i),
                gear: before.gear,
                limit: Limit::from_code(step.limit.lane(i)),
            };
            run.points.push(now);
            run.ended = now.ends_after(&before)
                || now.speed_mps >= run.enough_mps
                || now.time_s >= LONGEST_RUN_S;
        }
        self.runs.iter().any(|run| !run.ended)
    }
}

/// One car on a climb.
#[derive(Clone, Copy, Debug)]
struct ClimbRun {
    floor_frac: f64,
    heat_known: bool,
    heat_used: f64,
    gained: (f64, f64),
    end: Option<HoldTime>,
}

struct Climbs {
    lanes: Vec<ClimbRun>,
    time_s: f64,
    longest_s: f64,
    speed_mps: f64,
}

impl ForCases for Climbs {
    fn begin(&mut self, cases: &[Case<'_>; WIDTH]) {
        let lanes = cases.iter().map(|(of, _)| ClimbRun {
            floor_frac: of.car.floor_frac(of.day),
            heat_known: of.car.spec().motor.peak_seconds.is_some(),
            heat_used: 0.0,
            gained: (0.0, 1.0),
            end: None,
        });
        self.lanes = lanes.collect();
    }
}

impl Watch<Side> for Climbs {
    #[inline(always)]
    fn leg(&mut self, seen: LegView<'_, Side>) -> bool {
        let step = seen.step;
        let end_s = self.time_s + step.duration_s.lane(0);
        for (i, lane) in self.lanes.iter_mut().enumerate() {
            let used = step.state.heat_used.lane(i).max(step.state.long_heat_used.lane(i));
            let moment = Moment {
                limit: Limit::from_code(step.limit.lane(i)),
                slow: step.state.speed_mps.lane(i) < self.speed_mps - FOLLOWING_SLACK_MPS,
                empty: step.state.charge_frac.lane(i) <= lane.floor_frac,
                heat_known: lane.heat_known,
                gained: lane.gained,
                heat_used: lane.heat_used,
                times_s: (self.time_s, end_s),
            };
            lane.gained = (used - lane.heat_used, end_s - self.time_s);
            lane.heat_used = used;
            lane.end = lane.end.or_else(|| moment.end());
        }
        self.time_s = end_s;
        end_s < self.longest_s && self.lanes.iter().any(|lane| lane.end.is_none())
    }
}
