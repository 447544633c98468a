//! The two methods: an adaptive Runge-Kutta method from a general-purpose crate, and quadrature.

use differential_equations::prelude::{ExplicitRungeKutta, IVP, ODE};

/// A system of equations as a function of place and state.
struct System<F>(F);

impl<const N: usize, F: Fn(f64, &[f64; N]) -> [f64; N]> ODE<f64, [f64; N]> for System<F> {
    fn diff(&self, at: f64, state: &[f64; N], slope: &mut [f64; N]) {
        *slope = (self.0)(at, state);
    }
}

/// State at `end` of `dy/dx = slope(x, y)` from `start`: Dormand and Prince's method of order 8(5,3)
/// with relative and absolute tolerance `tolerance`.
pub(super) fn solve<const N: usize>(
    span: (f64, f64),
    start: [f64; N],
    tolerance: f64,
    slope: impl Fn(f64, &[f64; N]) -> [f64; N],
) -> [f64; N] {
    let method = ExplicitRungeKutta::dop853().rtol(tolerance).atol(tolerance).max_steps(1_000_000);
    let system = System(slope);
    let solved = IVP::ode(&system, span.0, span.1, start).method(method).solve();
    let solution = solved.unwrap_or_else(|why| panic!("{why:?}"));
    let (at, state) = solution.last().unwrap();
    assert!((at - span.1).abs() <= 1e-9 * span.1.abs(), "it ends at {at}, not at {}", span.1);
    *state
}

/// `∫ f dx` by five points of Gauss and Legendre, exact up to the ninth power.
pub(super) fn gauss(span: (f64, f64), f: impl Fn(f64) -> f64) -> f64 {
    const POINTS: [(f64, f64); 5] = [
        (-0.906_179_845_938_664, 0.236_926_885_056_189_08),
        (-0.538_469_310_105_683_1, 0.478_628_670_499_366_47),
        (0.0, 0.568_888_888_888_888_9),
        (0.538_469_310_105_683_1, 0.478_628_670_499_366_47),
        (0.906_179_845_938_664, 0.236_926_885_056_189_08),
    ];
    let (middle, half) = (0.5 * (span.0 + span.1), 0.5 * (span.1 - span.0));
    half * POINTS.iter().map(|(x, weight)| weight * f(middle + half * x)).sum::<f64>()
}

/// The place in `span` where a function changes from one sign to the other, by halving.
pub(super) fn crossing(span: (f64, f64), f: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = span;
    let rises = f(high) > f(low);
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if (f(middle) > 0.0) == rises { high = middle } else { low = middle }
    }
    0.5 * (low + high)
}

/// The methods themselves: `y' = -y` over ten, and a ninth power.
#[test]
fn the_methods_hold_their_orders() {
    let [found] = solve((0.0, 10.0), [1.0], 1e-12, |_, [y]| [-y]);
    crownwheel_testkit::assert_close!(found, (-10.0_f64).exp(), abs = 1e-11, rel = 0.0);
    let ninth = gauss((1.0, 2.0), |x| x.powi(9));
    crownwheel_testkit::assert_close!(ninth, 102.3, abs = 0.0, rel = 1e-14);
}
