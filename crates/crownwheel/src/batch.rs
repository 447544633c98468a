//! Passes of a cycle by one car or by several side by side, with the widest instructions that the
//! machine has.
//!
//! Every lane gives the bits of the car alone, whatever the instructions: see [`crate::lane`]. The
//! choice is made once a pass; the instructions themselves are the compiler's.

use crate::cycle::Leg;
use crate::lane::{Lane, Lanes};
use crate::ready::View;
use crate::step::{State, Step, step};

/// Cars side by side. Two registers of AVX2 for each number: four cars wait for each other's
/// results, sixteen no longer fit the registers (measured: `benches/README.md`).
pub const WIDTH: usize = 8;

/// Numbers of [`WIDTH`] cars.
pub type Side = Lanes<WIDTH>;

/// One leg of a pass, as a watcher sees it.
#[derive(Clone, Copy, Debug)]
pub struct LegView<'a, L> {
    /// The leg.
    pub leg: &'a Leg,
    /// State before it.
    pub before: &'a State<L>,
    /// What happened.
    pub step: &'a Step<L>,
}

/// Sees every leg of a pass.
pub trait Watch<L: Lane> {
    /// Takes in a leg; `false` ends the pass. Should be `#[inline(always)]`.
    fn leg(&mut self, seen: LegView<'_, L>) -> bool;
}

/// Drives legs one after the other and gives the state at the end.
///
/// Every car stays in its gear. By distance, a car that comes to rest on a slope that it cannot climb
/// stands there while the others go on; the watcher sees it.
///
/// ```
/// use crownwheel::{batch::{LegView, Watch, pass}, cycle::Cycle, drive::start_state, ready::Ready};
/// struct Metres(f64);
/// impl Watch<f64> for Metres {
///     fn leg(&mut self, seen: LegView<'_, f64>) -> bool {
///         self.0 += seen.step.distance_m;
///         true
///     }
/// }
/// use crownwheel::{Car, Day, example};
/// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
/// let (cycle, mut metres) = (Cycle::steady(20.0), Metres(0.0));
/// let start = start_state(&car, &day, &cycle);
/// pass(&Ready::new(&car, &day).view(), cycle.legs().iter(), start, &mut metres);
/// assert!((metres.0 - 1_200.0).abs() < 1e-6);
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
pub fn pass<'a, L: Lane, W: Watch<L>>(
    view: &View<'_, L>,
    legs: impl Iterator<Item = &'a Leg>,
    state: State<L>,
    watch: &mut W,
) -> State<L> {
    let job = Job { view, legs, state, watch };
    // A car alone has nothing beside it for wider instructions to take.
    #[cfg(feature = "simd")]
    if L::WIDTH > 1 {
        return pulp::Arch::new().dispatch(job);
    }
    job.run()
}

/// The same with the plainest instructions of the machine's family.
///
/// ```
/// use crownwheel::{batch::{LegView, Watch, pass, plain_pass}, cycle::Cycle, drive::start_state, ready::Ready};
/// struct Nobody;
/// impl Watch<f64> for Nobody {
///     fn leg(&mut self, _: LegView<'_, f64>) -> bool {
///         true
///     }
/// }
/// use crownwheel::{Car, Day, example};
/// let (car, day) = (Car::new(&example::small_saloon())?, Day::new(&example::mild_day())?);
/// let (ready, cycle) = (Ready::new(&car, &day), Cycle::steady(20.0));
/// let (start, legs) = (start_state(&car, &day, &cycle), || cycle.legs().iter());
/// // The same bits with any instructions.
/// let plain = plain_pass(&ready.view(), legs(), start, &mut Nobody);
/// assert_eq!(plain, pass(&ready.view(), legs(), start, &mut Nobody));
/// # Ok::<(), crownwheel::spec::SpecError>(())
/// ```
pub fn plain_pass<'a, L: Lane, W: Watch<L>>(
    view: &View<'_, L>,
    legs: impl Iterator<Item = &'a Leg>,
    state: State<L>,
    watch: &mut W,
) -> State<L> {
    Job { view, legs, state, watch }.run()
}

struct Job<'v, 'c, 'w, L: Lane, I, W> {
    view: &'v View<'c, L>,
    legs: I,
    state: State<L>,
    watch: &'w mut W,
}

impl<'a, L: Lane, I: Iterator<Item = &'a Leg>, W: Watch<L>> Job<'_, '_, '_, L, I, W> {
    #[inline(always)]
    fn run(self) -> State<L> {
        let mut state = self.state;
        for leg in self.legs {
            let done = step(self.view, leg, &state);
            let goes_on = self.watch.leg(LegView { leg, before: &state, step: &done });
            state = done.state;
            if !goes_on {
                break;
            }
        }
        state
    }
}

#[cfg(feature = "simd")]
impl<'a, L: Lane, I: Iterator<Item = &'a Leg>, W: Watch<L>> pulp::WithSimd
    for Job<'_, '_, '_, L, I, W>
{
    type Output = State<L>;

    #[inline(always)]
    fn with_simd<S: pulp::Simd>(self, _: S) -> State<L> {
        self.run()
    }
}
