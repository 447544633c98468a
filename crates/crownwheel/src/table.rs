//! Tables of straight pieces, laid out for reading without a search.
//!
//! What people write has nodes where they like; what the step reads has equal cells. If the nodes
//! fall on a common spacing (motor sheets mostly do) the equal cells hold the same curve exactly;
//! otherwise the curve is sampled on [`FINEST`] cells, which rounds its corners.
//!
//! This file and `lane.rs` need each other: a lane is what reads a table, and the tables of many cars side by side
//! hold their numbers as lanes. Either alone would need a trait between them that nothing else implements.

use std::sync::Arc;

use crate::lane::Lanes;

/// Most cells of a table, and the number used when the nodes have no common spacing.
pub const FINEST: usize = 1024;

/// Most cells along one side of a grid.
const FINEST_SIDE: usize = 128;

/// How far a node may lie off the common spacing, in cells.
const ON_NODE: f64 = 1e-6;

/// Where the equal cells of one side of a table lie: of one table, or of several side by side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axis<L> {
    /// Left end of the first cell.
    pub(crate) start: L,
    /// Right end of the last cell.
    pub(crate) end: L,
    /// Cells per unit of the argument.
    pub(crate) cells_per_unit: L,
    /// Cells from zero to the start, and half a cell.
    pub(crate) half_before: L,
}

/// A curve of straight pieces over equal cells. Outside its ends the end value holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    pub(crate) axis: Axis<f64>,
    /// `[base, slope]` of each cell: value `base + slope x`; one flat cell at the far end.
    pub(crate) cells: Arc<[[f64; 2]]>,
}

/// Two curves over the same cells, read together.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair {
    pub(crate) axis: Axis<f64>,
    /// `[base, slope]` of the first curve, then of the second; one flat cell at the far end.
    pub(crate) cells: Arc<[[f64; 4]]>,
}

/// A surface, bilinear in each of its equal cells. Outside its edges the edge value holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    pub(crate) x: Axis<f64>,
    pub(crate) y: Axis<f64>,
    /// Cells in a row, the flat one at the edge counted.
    pub(crate) width: usize,
    /// `[base, along_x, along_y, twist]` of each cell: value
    /// `base + along_x x + (along_y + twist x) y`; one flat row and column of cells at the far edges.
    pub(crate) cells: Arc<[[f64; 4]]>,
}

/// Several tables side by side.
#[derive(Clone, Copy, Debug)]
pub struct Tables<'a, const N: usize> {
    pub(crate) axis: Axis<Lanes<N>>,
    pub(crate) cells: [&'a [[f64; 2]]; N],
}

/// Several pairs side by side.
#[derive(Clone, Copy, Debug)]
pub struct Pairs<'a, const N: usize> {
    pub(crate) axis: Axis<Lanes<N>>,
    pub(crate) cells: [&'a [[f64; 4]]; N],
}

/// Several grids side by side.
#[derive(Clone, Copy, Debug)]
pub struct Grids<'a, const N: usize> {
    pub(crate) x: Axis<Lanes<N>>,
    pub(crate) y: Axis<Lanes<N>>,
    pub(crate) width: [usize; N],
    pub(crate) cells: [&'a [[f64; 4]]; N],
}

impl<const N: usize> Axis<Lanes<N>> {
    fn of(axes: [&Axis<f64>; N]) -> Self {
        Axis {
            start: Lanes::from_fn(|i| axes[i].start),
            end: Lanes::from_fn(|i| axes[i].end),
            cells_per_unit: Lanes::from_fn(|i| axes[i].cells_per_unit),
            half_before: Lanes::from_fn(|i| axes[i].half_before),
        }
    }
}

impl<'a, const N: usize> From<[&'a Table; N]> for Tables<'a, N> {
    fn from(tables: [&'a Table; N]) -> Self {
        Tables {
            axis: Axis::of(tables.map(|table| &table.axis)),
            cells: tables.map(|table| &*table.cells),
        }
    }
}

impl<'a, const N: usize> From<[&'a Pair; N]> for Pairs<'a, N> {
    fn from(pairs: [&'a Pair; N]) -> Self {
        Pairs {
            axis: Axis::of(pairs.map(|pair| &pair.axis)),
            cells: pairs.map(|pair| &*pair.cells),
        }
    }
}

impl<'a, const N: usize> From<[&'a Grid; N]> for Grids<'a, N> {
    fn from(grids: [&'a Grid; N]) -> Self {
        Grids {
            x: Axis::of(grids.map(|grid| &grid.x)),
            y: Axis::of(grids.map(|grid| &grid.y)),
            width: grids.map(|grid| grid.width),
            cells: grids.map(|grid| &*grid.cells),
        }
    }
}

impl Pair {
    /// Two functions sampled together at the ends of `cells` equal cells over `span`.
    ///
    /// ```
    /// let pair = crownwheel::table::Pair::sampled((0.0, 1.0), 1, |x| (x, 3.0 - x));
    /// assert_eq!(pair.at(0.25), (0.25, 2.75));
    /// ```
    #[must_use]
    pub fn sampled(span: (f64, f64), cells: usize, f: impl Fn(f64) -> (f64, f64)) -> Pair {
        let axis = Axis::new(span, cells);
        let nodes: Vec<(f64, f64)> = (0..=cells).map(|i| f(axis.node(i))).collect();
        let pieces = (0..=cells).map(|i| {
            let (left, right) = (nodes[i], nodes[(i + 1).min(cells)]);
            let (one, other) = (axis.line(i, left.0, right.0), axis.line(i, left.1, right.1));
            [one[0], one[1], other[0], other[1]]
        });
        Pair { axis, cells: pieces.collect() }
    }

    /// Both values at `x`.
    #[must_use]
    pub fn at(&self, x: f64) -> (f64, f64) {
        <f64 as crate::lane::Lane>::read_pair(&self, x)
    }
}

impl Table {
    /// The curve through `(x, y)` with straight pieces; `x` must rise and both must be of one
    /// length, at least two.
    ///
    /// ```
    /// let table = crownwheel::table::Table::through(&[0.0, 100.0, 300.0], &[5.0, 7.0, 1.0]);
    /// assert!((table.at(200.0) - 4.0).abs() < 1e-12);
    /// assert!((table.at(900.0) - 1.0).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn through(x: &[f64], y: &[f64]) -> Table {
        let cells = common_cells(x, FINEST);
        let span = (x[0], x[x.len() - 1]);
        Table::sampled(span, cells, |at| straight(x, y, at))
    }

    /// `f` sampled at the ends of `cells` equal cells over `span`.
    ///
    /// ```
    /// let table = crownwheel::table::Table::sampled((0.0, 2.0), 2, |x| x * x);
    /// // The chord from 1 to 4.
    /// assert!((table.at(1.5) - 2.5).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn sampled(span: (f64, f64), cells: usize, f: impl Fn(f64) -> f64) -> Table {
        let axis = Axis::new(span, cells);
        Table::of_nodes(span, &(0..=cells).map(|i| f(axis.node(i))).collect::<Vec<f64>>())
    }

    /// The curve through values at the ends of equal cells over `span`; at least two.
    ///
    /// ```
    /// let table = crownwheel::table::Table::of_nodes((0.0, 4.0), &[1.0, 3.0, 3.0]);
    /// assert!((table.at(1.0) - 2.0).abs() < 1e-12 && (table.at(9.0) - 3.0).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn of_nodes(span: (f64, f64), nodes: &[f64]) -> Table {
        let cells = nodes.len() - 1;
        let axis = Axis::new(span, cells);
        let pieces = (0..=cells).map(|i| axis.line(i, nodes[i], nodes[(i + 1).min(cells)]));
        Table { axis, cells: pieces.collect() }
    }

    /// Number of cells.
    #[must_use]
    pub(crate) fn cell_count(&self) -> usize {
        self.cells.len() - 1
    }

    /// The same value everywhere.
    #[must_use]
    pub fn constant(value: f64) -> Table {
        Table::sampled((0.0, 1.0), 1, |_| value)
    }

    /// The curve with every value multiplied by a factor.
    ///
    /// ```
    /// let table = crownwheel::table::Table::of_nodes((0.0, 1.0), &[1.0, 3.0]).scaled(2.0);
    /// assert!((table.at(0.5) - 4.0).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Table {
        let cells =
            self.cells.iter().map(|[base, slope]| [base * factor, slope * factor]).collect();
        Table { axis: self.axis, cells }
    }

    /// Value at `x`.
    #[must_use]
    pub fn at(&self, x: f64) -> f64 {
        <f64 as crate::lane::Lane>::read(&self, x).value
    }
}

impl Axis<f64> {
    pub(crate) fn new(span: (f64, f64), cells: usize) -> Axis<f64> {
        let cells_per_unit = count(cells) / (span.1 - span.0);
        let half_before = span.0 * cells_per_unit + 0.5;
        Axis { start: span.0, end: span.1, cells_per_unit, half_before }
    }

    /// The straight line `[base, slope]`, value `base + slope x`, over a cell with given values at its
    /// ends; flat beyond the last cell, where `right` is `left`.
    fn line(&self, cell: usize, left: f64, right: f64) -> [f64; 2] {
        let slope = (right - left) * self.cells_per_unit;
        [left - slope * self.node(cell), slope]
    }

    fn node(&self, i: usize) -> f64 {
        self.start + count(i) / self.cells_per_unit
    }
}

impl Grid {
    /// The surface through `z` on the rectangular nodes `x` by `y`; `z[i * y.len() + j]` stands
    /// at `x[i]`, `y[j]`. Both sides must rise and have at least two nodes.
    ///
    /// ```
    /// let grid = crownwheel::table::Grid::through(&[0.0, 1.0], &[0.0, 1.0], &[0.0, 1.0, 2.0, 5.0]);
    /// // The middle of a bilinear cell is the mean of its corners.
    /// assert!((grid.at(0.5, 0.5) - 2.0).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn through(x: &[f64], y: &[f64], z: &[f64]) -> Grid {
        let span_x = (x[0], x[x.len() - 1]);
        let span_y = (y[0], y[y.len() - 1]);
        let cells = (common_cells(x, FINEST_SIDE), common_cells(y, FINEST_SIDE));
        Grid::sampled((span_x, cells.0), (span_y, cells.1), |at_x, at_y| {
            let columns: Vec<f64> = (0..x.len())
                .map(|i| straight(y, &z[i * y.len()..(i + 1) * y.len()], at_y))
                .collect();
            straight(x, &columns, at_x)
        })
    }

    /// `f(x, y)` sampled at the corners of equal cells: `((from, to), cells)` along each side.
    ///
    /// ```
    /// let grid = crownwheel::table::Grid::sampled(((0.0, 2.0), 2), ((0.0, 1.0), 1), |x, y| x * y);
    /// assert!((grid.at(1.5, 0.5) - 0.75).abs() < 1e-12);
    /// ```
    #[must_use]
    pub fn sampled(
        x: ((f64, f64), usize),
        y: ((f64, f64), usize),
        f: impl Fn(f64, f64) -> f64,
    ) -> Grid {
        let (side_x, side_y) = (Axis::new(x.0, x.1), Axis::new(y.0, y.1));
        let width = y.1 + 1;
        let corners: Vec<f64> = (0..=x.1)
            .flat_map(|i| (0..=y.1).map(move |j| (i, j)))
            .map(|(i, j)| f(side_x.node(i), side_y.node(j)))
            .collect();
        let mut cells = Vec::with_capacity(corners.len());
        for i in 0..=x.1 {
            for j in 0..=y.1 {
                // Beyond the far edges the surface is flat.
                let (right, up) = ((i + 1).min(x.1), (j + 1).min(y.1));
                let (a, b) = (corners[i * width + j], corners[right * width + j]);
                let (c, d) = (corners[i * width + up], corners[right * width + up]);
                // In x along the lower and the upper edge, then in y between the two lines.
                let (lower, upper) = (side_x.line(i, a, b), side_x.line(i, c, d));
                let [base, along_y] = side_y.line(j, lower[0], upper[0]);
                let [along_x, twist] = side_y.line(j, lower[1], upper[1]);
                cells.push([base, along_x, along_y, twist]);
            }
        }
        Grid { x: side_x, y: side_y, width, cells: cells.into() }
    }

    /// Zero everywhere.
    #[must_use]
    pub fn zero() -> Grid {
        Grid::sampled(((0.0, 1.0), 1), ((0.0, 1.0), 1), |_, _| 0.0)
    }

    /// Value at `(x, y)`.
    #[must_use]
    pub fn at(&self, x: f64, y: f64) -> f64 {
        <f64 as crate::lane::Lane>::read_grid(&self, x, y).value
    }
}

/// A count as a number. Counts here stay far below 2^53.
#[allow(clippy::cast_precision_loss, reason = "table sizes are at most a few thousand")]
pub(crate) fn count(n: usize) -> f64 {
    n as f64
}

/// Straight interpolation on rising nodes, held at the ends.
///
/// `x` rises, both have one length, at least one.
///
/// ```
/// let y = crownwheel::table::straight(&[0.0, 10.0], &[1.0, 3.0], 2.5);
/// assert!((y - 1.5).abs() < 1e-12);
/// ```
#[must_use]
pub fn straight(x: &[f64], y: &[f64], at: f64) -> f64 {
    let above = x.partition_point(|node| *node <= at);
    if above == 0 {
        return y[0];
    }
    if above == x.len() {
        return y[x.len() - 1];
    }
    let (x0, x1) = (x[above - 1], x[above]);
    y[above - 1] + (y[above] - y[above - 1]) * ((at - x0) / (x1 - x0))
}

/// The fewest equal cells on which every node falls, or `most` if there is no such number below.
pub(crate) fn common_cells(x: &[f64], most: usize) -> usize {
    let span = x[x.len() - 1] - x[0];
    let falls_on_nodes = |cells: usize| {
        x.iter().all(|node| {
            let position = (node - x[0]) / span * count(cells);
            (position - position.round()).abs() < ON_NODE
        })
    };
    (x.len() - 1..most).find(|cells| falls_on_nodes(*cells)).unwrap_or(most)
}

#[cfg(test)]
#[allow(clippy::float_cmp, reason = "nodes are stored exactly")]
mod tests {
    use super::*;

    #[test]
    fn a_curve_on_common_spacing_is_kept_exactly() {
        let table = Table::through(&[0.0, 100.0, 300.0], &[5.0, 7.0, 1.0]);
        assert_eq!(table.cells.len(), 3 + 1);
        assert_eq!(table.at(100.0), 7.0);
        assert_eq!(table.at(200.0), 4.0);
        assert_eq!((table.at(-50.0), table.at(900.0)), (5.0, 1.0));
    }

    #[test]
    fn a_curve_without_common_spacing_is_sampled_finely() {
        let x = [0.0, 0.0151, 0.0452, 0.834_2, 1.0];
        let y = [2.5, 2.9, 3.1, 4.06, 4.19];
        let table = Table::through(&x, &y);
        assert_eq!(table.cells.len(), FINEST + 1);
        for at in [0.3, 0.5, 0.9] {
            assert!((table.at(at) - straight(&x, &y, at)).abs() < 1e-12);
        }
    }

    #[test]
    fn a_grid_reproduces_a_bilinear_surface() {
        let (x, y) = ([0.0, 2.0, 6.0], [0.0, 1.0, 5.0]);
        let surface = |a: f64, b: f64| 3.0 + a - 2.0 * b + 0.5 * a * b;
        let z: Vec<f64> = x.iter().flat_map(|a| y.iter().map(|b| surface(*a, *b))).collect();
        let grid = Grid::through(&x, &y, &z);
        for (a, b) in [(0.0, 0.0), (1.3, 0.2), (5.9, 4.4), (6.0, 5.0)] {
            assert!((grid.at(a, b) - surface(a, b)).abs() < 1e-12);
        }
        assert_eq!(grid.at(9.0, 9.0), surface(6.0, 5.0));
    }
}
