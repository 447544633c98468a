//! One number or many side by side: the arithmetic that the drive step is written in.
//!
//! [`Lane`] is implemented by `f64` and by [`Lanes`], a plain array whose operators loop over its
//! elements. The compiler turns those loops into vector instructions. Every operation is one of
//! `+ - * / sqrt abs` or a comparison, which IEEE 754 defines to the last bit, so one lane of many
//! gives the same bits as the scalar.

#![allow(
    clippy::needless_range_loop,
    reason = "indexed loops over arrays of one fixed length are what the vectoriser knows best"
)]

use std::ops::{Add, Div, Mul, Neg, Sub};

use crate::table::{Axis, Grid, Grids, Pair, Pairs, Table, Tables};

/// One and a half times two to the power 52: adding it to a number leaves its nearest whole number
/// in the low bits.
const MAGIC: f64 = 6_755_399_441_055_744.0;

/// Value and slope of a table at a point.
#[derive(Clone, Copy, Debug)]
pub struct Reading<L> {
    /// Value.
    pub value: L,
    /// Change of the value per unit of the (last) argument inside the cell.
    pub slope: L,
}

/// A number, or several side by side.
pub trait Lane:
    Copy
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
{
    /// Result of a comparison.
    type Mask: Copy;
    /// One table, or one per lane.
    type Table<'a>: Copy + std::fmt::Debug;
    /// One pair of curves, or one per lane.
    type Pair<'a>: Copy + std::fmt::Debug;
    /// One grid, or one per lane.
    type Grid<'a>: Copy + std::fmt::Debug;

    /// Numbers side by side.
    const WIDTH: usize;

    /// A number for each lane.
    fn each(number: impl FnMut(usize) -> f64) -> Self;
    /// The number of one lane, counted from 0.
    #[must_use]
    fn lane(self, index: usize) -> f64;
    /// The same number in every lane.
    fn splat(x: f64) -> Self;
    /// Square root.
    #[must_use]
    fn sqrt(self) -> Self;
    /// Absolute value.
    #[must_use]
    fn abs(self) -> Self;
    /// The smaller; the second where they do not compare.
    #[must_use]
    fn min(self, other: Self) -> Self;
    /// The larger; the second where they do not compare.
    #[must_use]
    fn max(self, other: Self) -> Self;
    /// `self < other`.
    fn lt(self, other: Self) -> Self::Mask;
    /// `self <= other`.
    fn le(self, other: Self) -> Self::Mask;
    /// Both.
    fn and(a: Self::Mask, b: Self::Mask) -> Self::Mask;
    /// Either.
    fn or(a: Self::Mask, b: Self::Mask) -> Self::Mask;
    /// Neither.
    fn not(a: Self::Mask) -> Self::Mask;
    /// True in at least one lane.
    fn any(mask: Self::Mask) -> bool;
    /// `yes` where the mask holds, else `no`.
    fn select(mask: Self::Mask, yes: Self, no: Self) -> Self;
    /// Reads a table, held at its ends.
    fn read(table: &Self::Table<'_>, x: Self) -> Reading<Self>;
    /// Reads both values of a pair of curves, held at their ends.
    fn read_pair(pair: &Self::Pair<'_>, x: Self) -> (Self, Self);
    /// Reads a grid, held at its edges; the slope is along `y`.
    fn read_grid(grid: &Self::Grid<'_>, x: Self, y: Self) -> Reading<Self>;
}

/// Argument of a table held between its ends, and the number of its cell in the low bits.
///
/// Rounding (position - 1/2) to nearest is floor, but at whole numbers it may take the cell to the
/// left; tables are continuous there, so both cells give the value of the node. At the far end the
/// number may be that of the cell beyond the last: tables have one flat cell more than they need.
#[inline(always)]
fn find<L: Lane>(at: &Axis<L>, x: L) -> (L, L) {
    let held = x.max(at.start).min(at.end);
    let shifted = (held * at.cells_per_unit - at.half_before) + L::splat(MAGIC);
    (held, shifted)
}

/// The whole number in the low bits of a shifted position.
#[inline(always)]
#[allow(
    clippy::cast_possible_truncation,
    reason = "the low bits hold a whole number of at most the number of cells"
)]
fn index(shifted: f64) -> usize {
    (shifted.to_bits() & 0xffff) as usize
}

impl Lane for f64 {
    type Mask = bool;
    type Table<'a> = &'a Table;
    type Pair<'a> = &'a Pair;
    type Grid<'a> = &'a Grid;

    const WIDTH: usize = 1;

    #[inline(always)]
    fn each(mut number: impl FnMut(usize) -> f64) -> Self {
        number(0)
    }
    #[inline(always)]
    fn lane(self, _: usize) -> f64 {
        self
    }
    #[inline(always)]
    fn splat(x: f64) -> Self {
        x
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        f64::sqrt(self)
    }
    #[inline(always)]
    fn abs(self) -> Self {
        f64::abs(self)
    }
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        if self < other { self } else { other }
    }
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        if self > other { self } else { other }
    }
    #[inline(always)]
    fn lt(self, other: Self) -> bool {
        self < other
    }
    #[inline(always)]
    fn le(self, other: Self) -> bool {
        self <= other
    }
    #[inline(always)]
    fn and(a: bool, b: bool) -> bool {
        a & b
    }
    #[inline(always)]
    fn or(a: bool, b: bool) -> bool {
        a | b
    }
    #[inline(always)]
    fn not(a: bool) -> bool {
        !a
    }
    #[inline(always)]
    fn any(mask: bool) -> bool {
        mask
    }
    #[inline(always)]
    fn select(mask: bool, yes: Self, no: Self) -> Self {
        if mask { yes } else { no }
    }
    #[inline(always)]
    fn read(table: &&Table, x: Self) -> Reading<Self> {
        let (x, cell) = find(&table.axis, x);
        let [base, slope] = table.cells[index(cell)];
        Reading { value: base + slope * x, slope }
    }
    #[inline(always)]
    fn read_pair(pair: &&Pair, x: Self) -> (Self, Self) {
        let (x, cell) = find(&pair.axis, x);
        let [base, slope, other_base, other_slope] = pair.cells[index(cell)];
        (base + slope * x, other_base + other_slope * x)
    }
    #[inline(always)]
    fn read_grid(grid: &&Grid, x: Self, y: Self) -> Reading<Self> {
        let ((x, row), (y, column)) = (find(&grid.x, x), find(&grid.y, y));
        let [base, along_x, along_y, twist] = grid.cells[index(row) * grid.width + index(column)];
        let slope = along_y + twist * x;
        Reading { value: base + along_x * x + slope * y, slope }
    }
}

/// `N` numbers side by side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lanes<const N: usize>(pub [f64; N]);

impl<const N: usize> Lanes<N> {
    /// One number from each lane index.
    ///
    /// ```
    /// use crownwheel::lane::{Lane, Lanes};
    /// let numbers = Lanes::<4>::from_fn(|i| [1.0, 4.0, 9.0, 16.0][i]);
    /// assert_eq!((numbers + numbers).sqrt().lane(1), 8f64.sqrt());
    /// ```
    #[inline(always)]
    pub fn from_fn(mut number: impl FnMut(usize) -> f64) -> Self {
        let mut out = [0.0; N];
        for (i, slot) in out.iter_mut().enumerate() {
            *slot = number(i);
        }
        Lanes(out)
    }
}

/// A comparison per lane, all bits set where it holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LaneMask<const N: usize>([u64; N]);

/// One operator, lane by lane.
macro_rules! lane_operator {
    ($trait:ident, $method:ident, $op:tt) => {
        impl<const N: usize> $trait for Lanes<N> {
            type Output = Self;
            #[inline(always)]
            fn $method(self, other: Self) -> Self {
                let mut out = self.0;
                for i in 0..N {
                    out[i] $op other.0[i];
                }
                Lanes(out)
            }
        }
    };
}
lane_operator!(Add, add, +=);
lane_operator!(Sub, sub, -=);
lane_operator!(Mul, mul, *=);
lane_operator!(Div, div, /=);

impl<const N: usize> Neg for Lanes<N> {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        self.map(|x| -x)
    }
}

impl<const N: usize> Lanes<N> {
    #[inline(always)]
    fn map(self, f: impl Fn(f64) -> f64) -> Self {
        let mut out = self.0;
        for x in &mut out {
            *x = f(*x);
        }
        Lanes(out)
    }
    #[inline(always)]
    fn zip(self, other: Self, f: impl Fn(f64, f64) -> f64) -> Self {
        let mut out = self.0;
        for i in 0..N {
            out[i] = f(out[i], other.0[i]);
        }
        Lanes(out)
    }
    #[inline(always)]
    fn compare(self, other: Self, f: impl Fn(f64, f64) -> bool) -> LaneMask<N> {
        let mut out = [0; N];
        for i in 0..N {
            out[i] = if f(self.0[i], other.0[i]) { u64::MAX } else { 0 };
        }
        LaneMask(out)
    }
}

impl<const N: usize> LaneMask<N> {
    #[inline(always)]
    fn zip(self, other: Self, f: impl Fn(u64, u64) -> u64) -> Self {
        let mut out = self.0;
        for i in 0..N {
            out[i] = f(out[i], other.0[i]);
        }
        LaneMask(out)
    }
}

impl<const N: usize> Lane for Lanes<N> {
    type Mask = LaneMask<N>;
    type Table<'a> = Tables<'a, N>;
    type Pair<'a> = Pairs<'a, N>;
    type Grid<'a> = Grids<'a, N>;

    const WIDTH: usize = N;

    #[inline(always)]
    fn each(number: impl FnMut(usize) -> f64) -> Self {
        Lanes::from_fn(number)
    }
    #[inline(always)]
    fn lane(self, index: usize) -> f64 {
        self.0[index]
    }
    #[inline(always)]
    fn splat(x: f64) -> Self {
        Lanes([x; N])
    }
    #[inline(always)]
    fn sqrt(self) -> Self {
        self.map(f64::sqrt)
    }
    #[inline(always)]
    fn abs(self) -> Self {
        self.map(f64::abs)
    }
    #[inline(always)]
    fn min(self, other: Self) -> Self {
        self.zip(other, Lane::min)
    }
    #[inline(always)]
    fn max(self, other: Self) -> Self {
        self.zip(other, Lane::max)
    }
    #[inline(always)]
    fn lt(self, other: Self) -> LaneMask<N> {
        self.compare(other, |a, b| a < b)
    }
    #[inline(always)]
    fn le(self, other: Self) -> LaneMask<N> {
        self.compare(other, |a, b| a <= b)
    }
    #[inline(always)]
    fn and(a: LaneMask<N>, b: LaneMask<N>) -> LaneMask<N> {
        a.zip(b, |x, y| x & y)
    }
    #[inline(always)]
    fn or(a: LaneMask<N>, b: LaneMask<N>) -> LaneMask<N> {
        a.zip(b, |x, y| x | y)
    }
    #[inline(always)]
    fn not(a: LaneMask<N>) -> LaneMask<N> {
        a.zip(a, |x, _| !x)
    }
    #[inline(always)]
    fn any(mask: LaneMask<N>) -> bool {
        mask.0.iter().fold(0, |seen, x| seen | x) != 0
    }
    #[inline(always)]
    fn select(mask: LaneMask<N>, yes: Self, no: Self) -> Self {
        let mut out = [0.0; N];
        for (i, slot) in out.iter_mut().enumerate() {
            let bits = (mask.0[i] & yes.0[i].to_bits()) | (!mask.0[i] & no.0[i].to_bits());
            *slot = f64::from_bits(bits);
        }
        Lanes(out)
    }
    #[inline(always)]
    fn read(tables: &Tables<'_, N>, x: Self) -> Reading<Self> {
        let (x, cell) = find(&tables.axis, x);
        let (mut base, mut slope) = (x, x);
        for i in 0..N {
            [base.0[i], slope.0[i]] = tables.cells[i][index(cell.0[i])];
        }
        Reading { value: base + slope * x, slope }
    }
    #[inline(always)]
    fn read_pair(pairs: &Pairs<'_, N>, x: Self) -> (Self, Self) {
        let (x, cell) = find(&pairs.axis, x);
        let (mut base, mut slope, mut other_base, mut other_slope) = (x, x, x, x);
        for i in 0..N {
            [base.0[i], slope.0[i], other_base.0[i], other_slope.0[i]] =
                pairs.cells[i][index(cell.0[i])];
        }
        (base + slope * x, other_base + other_slope * x)
    }
    #[inline(always)]
    fn read_grid(grids: &Grids<'_, N>, x: Self, y: Self) -> Reading<Self> {
        let ((x, row), (y, column)) = (find(&grids.x, x), find(&grids.y, y));
        let (mut base, mut along_x, mut along_y, mut twist) = (x, x, x, x);
        for i in 0..N {
            let cell = index(row.0[i]) * grids.width[i] + index(column.0[i]);
            [base.0[i], along_x.0[i], along_y.0[i], twist.0[i]] = grids.cells[i][cell];
        }
        let slope = along_y + twist * x;
        Reading { value: base + along_x * x + slope * y, slope }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::count;

    #[test]
    fn lanes_agree_with_the_scalar_bit_for_bit() {
        let a = Lanes::<4>([1.5, -2.0, 0.0, 9.0]);
        let b = Lanes::<4>([0.5, 3.0, -4.0, 2.0]);
        for i in 0..4 {
            let (x, y) = (a.0[i], b.0[i]);
            assert_eq!((a / b).0[i].to_bits(), (x / y).to_bits());
            assert_eq!(Lane::min(a, b).0[i].to_bits(), Lane::min(x, y).to_bits());
            assert_eq!(a.abs().sqrt().0[i].to_bits(), x.abs().sqrt().to_bits());
            let chosen = Lanes::select(a.lt(b), a, b).0[i];
            assert_eq!(chosen.to_bits(), f64::select(x < y, x, y).to_bits());
        }
        assert!(Lanes::<4>::any(a.lt(b)));
        assert!(!Lanes::<4>::any(a.lt(Lanes::splat(-5.0))));
    }

    #[test]
    fn find_takes_the_cell_and_holds_the_ends() {
        let found = |x: f64, cells: usize| {
            let (held, cell) = find(&Axis::new((1.0, 1.0 + count(cells)), cells), x);
            (index(cell), held)
        };
        assert_eq!(found(4.25, 10), (3, 4.25));
        assert_eq!(found(-4.0, 10), (0, 1.0));
        assert_eq!(found(13.0, 11), (10, 12.0));
        assert_eq!(found(13.0, 10), (10, 11.0));
        assert_eq!(found(f64::NAN, 10), (0, 1.0));
    }
}
