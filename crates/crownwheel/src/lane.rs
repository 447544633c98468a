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

use crate::table::{Grid, Pair, Table};

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
    type Table<'a>: Copy;
    /// One pair of curves, or one per lane.
    type Pair<'a>: Copy;
    /// One grid, or one per lane.
    type Grid<'a>: Copy;

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
    fn read(table: Self::Table<'_>, x: Self) -> Reading<Self>;
    /// Reads both values of a pair of curves, held at their ends.
    fn read_pair(pair: Self::Pair<'_>, x: Self) -> (Self, Self);
    /// Reads a grid, held at its edges; the slope is along `y`.
    fn read_grid(grid: Self::Grid<'_>, x: Self, y: Self) -> Reading<Self>;
}

/// Whole part as an index, and the rest, of a position already scaled to cells.
///
/// Rounding (position - 1/2) to nearest is floor, but at whole numbers it may take the cell to the
/// left; tables are continuous there, so both cells give the value of the node. At the far end the
/// index may be `cells` itself: tables have one flat cell more than they need.
#[inline(always)]
fn split(position: f64, cells: f64) -> (usize, f64) {
    let held = Lane::min(Lane::max(position, 0.0), cells);
    let shifted = (held - 0.5) + MAGIC;
    let whole = shifted - MAGIC;
    #[allow(
        clippy::cast_possible_truncation,
        reason = "the low bits hold a whole number of at most the number of cells"
    )]
    let index = (shifted.to_bits() & 0xffff) as usize;
    (index, held - whole)
}

impl Lane for f64 {
    type Mask = bool;
    type Table<'a> = &'a Table;
    type Pair<'a> = &'a Pair;
    type Grid<'a> = &'a Grid;

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
    fn read(table: &Table, x: Self) -> Reading<Self> {
        let (i, f) = split((x - table.start) * table.cells_per_unit, table.cells_f);
        let [base, rise] = table.cells[i];
        Reading { value: base + rise * f, slope: rise * table.cells_per_unit }
    }
    #[inline(always)]
    fn read_pair(pair: &Pair, x: Self) -> (Self, Self) {
        let (i, f) = split((x - pair.start) * pair.cells_per_unit, pair.cells_f);
        let [base, rise, other_base, other_rise] = pair.cells[i];
        (base + rise * f, other_base + other_rise * f)
    }
    #[inline(always)]
    fn read_grid(grid: &Grid, x: Self, y: Self) -> Reading<Self> {
        let (i, f) = split((x - grid.x.start) * grid.x.cells_per_unit, grid.x.cells_f);
        let (j, g) = split((y - grid.y.start) * grid.y.cells_per_unit, grid.y.cells_f);
        let [base, along_x, along_y, twist] = grid.cells[i * grid.width + j];
        let rise = along_y + twist * f;
        Reading { value: base + along_x * f + rise * g, slope: rise * grid.y.cells_per_unit }
    }
}

/// `N` numbers side by side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lanes<const N: usize>(pub [f64; N]);

impl<const N: usize> Lanes<N> {
    /// One number from each lane index.
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
    type Table<'a> = [&'a Table; N];
    type Pair<'a> = [&'a Pair; N];
    type Grid<'a> = [&'a Grid; N];

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
    fn read(tables: [&Table; N], x: Self) -> Reading<Self> {
        let mut out = Reading { value: x, slope: x };
        for i in 0..N {
            let one = f64::read(tables[i], x.0[i]);
            out.value.0[i] = one.value;
            out.slope.0[i] = one.slope;
        }
        out
    }
    #[inline(always)]
    fn read_pair(pairs: [&Pair; N], x: Self) -> (Self, Self) {
        let mut out = (x, x);
        for i in 0..N {
            let (one, other) = f64::read_pair(pairs[i], x.0[i]);
            out.0.0[i] = one;
            out.1.0[i] = other;
        }
        out
    }
    #[inline(always)]
    fn read_grid(grids: [&Grid; N], x: Self, y: Self) -> Reading<Self> {
        let mut out = Reading { value: x, slope: x };
        for i in 0..N {
            let one = f64::read_grid(grids[i], x.0[i], y.0[i]);
            out.value.0[i] = one.value;
            out.slope.0[i] = one.slope;
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
    fn split_takes_the_whole_part_and_holds_the_ends() {
        assert_eq!(split(3.25, 10.0), (3, 0.25));
        assert_eq!(split(-4.0, 10.0), (0, 0.0));
        assert_eq!(split(12.0, 11.0), (10, 1.0));
        assert_eq!(split(12.0, 10.0), (10, 0.0));
        assert_eq!(split(f64::NAN, 10.0), (0, 0.0));
    }
}
