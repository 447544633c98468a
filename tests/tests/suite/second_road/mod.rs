//! A second road to the main numbers: the formulas written out again, and solved by another method
//! than the step's: quadrature within each second, and differential equations by an adaptive
//! Runge-Kutta method of order eight. Nothing here calls a force, loss or current function of the
//! library; each tolerance says what keeps the two roads apart.

mod dimensions;
mod discharge;
mod full_throttle;
mod heat;
mod own;
mod solver;
mod wheel_energy;
