//! How the numbers of a section are worked out: the formula in plain letters, and who says so.
//!
//! [`mod@crate::explain`] puts one car's numbers into the formulas; this says the rules that a section follows.

use serde::Serialize;

/// What is worked out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Rule {
    /// Demands with their probabilities.
    Demands,
    /// Wheel and axle loads, margins, centre of gravity, springs.
    Weights,
    /// Use and range on drive cycles.
    Range,
    /// Range at a steady speed.
    SteadyRange,
    /// Which input to measure next.
    MeasureNext,
    /// Pull against speed.
    Pull,
    /// Times and speeds at full throttle.
    FullThrottle,
    /// Bands of answers.
    Bands,
    /// Grades held, hills, minutes to cut-back.
    Hills,
    /// Braking by the motor.
    Overrun,
    /// Axle loads while braking, and locking.
    Braking,
    /// Speeds of shafts and gears.
    ShaftSpeeds,
    /// Charging.
    Charging,
    /// A run over a drive cycle.
    Cycle,
    /// The motor's points and its curve.
    Motor,
    /// Worst rolling values.
    Windows,
    /// Where the energy went.
    Balance,
    /// The first facts of the car.
    Facts,
    /// One option against another in the same worlds.
    HeadToHead,
    /// Answers that moved between two builds.
    Moved,
}

/// A rule with its source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Method {
    /// What it is about, for people.
    pub name: &'static str,
    /// The formula in plain letters, with the meaning of its letters.
    pub formula: &'static str,
    /// Who says so.
    pub source: &'static str,
}

impl Method {
    /// The rule of a subject.
    #[must_use]
    pub fn about(about: Rule) -> Method {
        let (name, formula, source) = match about {
            Rule::Demands => (
                "Demands and ranking",
                "P = sum of the weights of the worlds in which every limit of the demand holds; met if P is at least what is asked, or, where nothing is asked, if the nominal values keep the limits",
                "counting; the standard error is that of a share with two worlds of each kind added (Agresti and Coull 1998, from memory)",
            ),
            Rule::Weights => (
                "Weights",
                "F_rear = sum of m x / wheelbase, F_front = sum of m - F_rear; left and right by the moments m y, shared by the axles, the measured warp kept; cross weight = (front right + rear left) / all; sag = added load / (2 spring rate)",
                "equilibrium of forces and moments; centre of gravity as in ISO 10392; ride rate as in Gillespie, Fundamentals of Vehicle Dynamics, chapter 5",
            ),
            Rule::Range => (
                "Use and range",
                "the cycle is driven step by step, again and again, until the pack is at its floor; s = distance driven; use = energy at the pack's terminals / s; wall = energy that puts it back through the charger / s; with reserve: to the reserve kept back in place of the floor",
                "energy balance of each step, d'Alembert's principle; cycles from their regulations, which `crownwheel cycles` names",
            ),
            Rule::SteadyRange => (
                "Range at a steady speed",
                "s = energy from the pack, from full to the floor / (power at that speed / speed), power = (air + rolling) v through driveline, motor, inverter and pack, and the standing loads",
                "the same step as on a cycle, with the speed held",
            ),
            Rule::MeasureNext => (
                "What to measure next",
                "share = Var(E(answer | input)) / Var(answer), over the worlds; the band shrinks by 1 - sqrt(1 - share)",
                "first-order variance share (Sobol' 1993; Saltelli et al., Global Sensitivity Analysis, ch. 1, from memory)",
            ),
            Rule::Pull => (
                "Pull",
                "F = motor torque x ratio x efficiency / rolling radius, less drags; torque is the least of curve, voltage under load, pack current, inverter, gear rating, heat; no more than grip; road load = 1/2 rho CdA v^2 + Crr m g cos(slope) + m g sin(slope)",
                "mechanics; grip as in Gillespie, Fundamentals of Vehicle Dynamics, chapter 2",
            ),
            Rule::FullThrottle => (
                "Full throttle",
                "m_e dv/dt = pull - road load, in steps of 0.02 s, a shift without pull; m_e = m + sum of I (ratio / radius)^2",
                "Newton's second law; kinetic energy of turning parts",
            ),
            Rule::Bands => (
                "Bands",
                "all that is unsure is drawn anew in each world; one world in ten lies below the first number, one in ten above the second; 64 worlds or more are driven, the others follow from a fit on them where worlds that are left out lie close to it",
                "Latin hypercube sampling (McKay, Beckman and Conover 1979, from memory); weighted quantiles of type 7 (Hyndman and Fan 1996, from memory)",
            ),
            Rule::Hills => (
                "Hills and heat",
                "grade held: sin(slope) = (pull - air - rolling) / (m g); used heat h: dh/dt = (loss / loss at continuous torque - h) / time constant; the motor cuts back from h = 0.95 until 1",
                "one heat node for each rating of the sheet; duty types S1 and S2 of IEC 60034-1 (from memory)",
            ),
            Rule::Overrun => (
                "Braking by the motor",
                "F = the least of the motor's braking torque, charging current, full or cold pack, and grip, at the wheel; deceleration = (F + road load) / m_e",
                "mechanics; charging limits from the cell sheet",
            ),
            Rule::Braking => (
                "Axle loads while braking",
                "load moved to the front axle = m a h / wheelbase; the driven axle locks where its braking force is grip x its load",
                "Gillespie, Fundamentals of Vehicle Dynamics, chapter 3 (from memory)",
            ),
            Rule::ShaftSpeeds => (
                "Shaft speeds",
                "n = v / (2 pi rolling radius) x ratio behind the shaft",
                "kinematics; rolling radius from the tyre's marking by the rolling circumference factor of ETRTO (from memory)",
            ),
            Rule::Charging => (
                "Charging",
                "power into the pack = the least of supply, charger, charge limit of the cells, and what holds the highest voltage; time = sum over steps; wall = into the charger, losses and resistance included",
                "charging at constant current, then constant voltage, common practice",
            ),
            Rule::Cycle => (
                "A run over a cycle",
                "wheel force = m_e dv/dt + air + rolling + m g sin(slope), through the driveline to motor torque, electric power and current; if a limit binds the car falls behind",
                "d'Alembert's principle, step by step; the balance closes to rounding",
            ),
            Rule::Motor => (
                "The motor",
                "peak torque at a voltage U: the sheet's curve, its falling part moved by U / test voltage; the points are each step of the cycle",
                "flux proportional to voltage over speed, common practice",
            ),
            Rule::Windows => (
                "Rolling values",
                "the worst mean, or root of the mean square, over any stretch of that length",
                "rolling values of the steps of the whole run; equal heat for the root of the mean square",
            ),
            Rule::Balance => (
                "Energy balance",
                "from pack = air + rolling + climbing + kinetic + brake drag + driveline + motor + inverter + DC-DC + pack + standing loads + friction brakes",
                "first law of thermodynamics, summed over all steps; it closes to a billionth",
            ),
            Rule::Facts => (
                "Facts of the car",
                "m_e = m + sum of I (ratio / radius)^2; CdA = drag coefficient x frontal area; rho = p / (R T) with humidity; pack energy = capacity x mean open-circuit voltage",
                "mechanics; air of ISO 2533 with water vapour; the cell's own curve or one of its chemistry",
            ),
            Rule::HeadToHead => (
                "One option against another",
                "share of the worlds in which the best option has the better answer; within a twentieth of a per cent is a tie, counted half",
                "counting, both options in the same worlds",
            ),
            Rule::Moved => (
                "What moved",
                "difference of the nominal answers; of it each input's share: what the answer moves by with that input alone changed",
                "both builds computed with the same program",
            ),
        };
        Method { name, formula, source }
    }
}
