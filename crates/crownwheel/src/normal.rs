//! The normal distribution, with the same bits on every machine.
//!
//! Only `libm` and plain arithmetic are used: the system's own library picks its code by processor,
//! and its last bits with it.

use std::f64::consts::FRAC_1_SQRT_2;

/// Share of a standard normal distribution below `x`: `Φ(x) = ½ erfc(-x/√2)`.
///
/// ```
/// use crownwheel::normal::share_below;
/// assert!((share_below(1.281_551_565_544_6) - 0.9).abs() < 1e-12);
/// // The lower tail keeps its digits.
/// assert!((share_below(-10.0) / 7.619_853_024_160_525e-24 - 1.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn share_below(x: f64) -> f64 {
    0.5 * libm::erfc(-x * FRAC_1_SQRT_2)
}

/// The value below which a share of a standard normal distribution lies: `Φ⁻¹(share)`; infinite at 0
/// and 1. Good to 1e-15 of itself.
///
/// # Source
/// M. J. Wichura, algorithm AS 241, Applied Statistics 37 (1988) 477; coefficients from memory, held
/// against an independent library in the tests of the whole program.
///
/// ```
/// use crownwheel::normal::quantile;
/// assert!((quantile(0.975) - 1.959_963_984_540_054).abs() < 1e-14);
/// assert!(quantile(0.5).abs() < 1e-300 && quantile(0.0) == f64::NEG_INFINITY);
/// ```
#[must_use]
pub fn quantile(share: f64) -> f64 {
    let off = share - 0.5;
    if off.abs() <= 0.425 {
        return off * CENTRE.at(0.180_625 - off * off);
    }
    let tail = if off < 0.0 { share } else { 1.0 - share };
    if tail <= 0.0 {
        return off.signum() * f64::INFINITY;
    }
    let root = (-libm::log(tail)).sqrt();
    let size = if root <= 5.0 { SHOULDER.at(root - 1.6) } else { TAIL.at(root - 5.0) };
    off.signum() * size
}

/// A quotient of two polynomials, lowest power first.
struct Quotient {
    above: [f64; 8],
    below: [f64; 8],
}

impl Quotient {
    fn at(&self, x: f64) -> f64 {
        let sum = |powers: &[f64; 8]| powers.iter().rev().fold(0.0, |sum, power| sum * x + power);
        sum(&self.above) / sum(&self.below)
    }
}

/// For shares between 0.075 and 0.925, in `0.425² - (share - ½)²`.
const CENTRE: Quotient = Quotient {
    above: [
        3.387_132_872_796_366_5,
        1.331_416_678_917_843_8e2,
        1.971_590_950_306_551_3e3,
        1.373_169_376_550_946e4,
        4.592_195_393_154_987e4,
        6.726_577_092_700_87e4,
        3.343_057_558_358_813e4,
        2.509_080_928_730_122_7e3,
    ],
    below: [
        1.0,
        4.231_333_070_160_091e1,
        6.871_870_074_920_579e2,
        5.394_196_021_424_751e3,
        2.121_379_430_158_659_7e4,
        3.930_789_580_009_271e4,
        2.872_908_573_572_194_3e4,
        5.226_495_278_852_854e3,
    ],
};

/// For tails down to `e⁻²⁵`, in `√(-ln tail) - 1.6`.
const SHOULDER: Quotient = Quotient {
    above: [
        1.423_437_110_749_683_5,
        4.630_337_846_156_546,
        5.769_497_221_460_691,
        3.647_848_324_763_204_5,
        1.270_458_252_452_368_4,
        2.417_807_251_774_506e-1,
        2.272_384_498_926_918_4e-2,
        7.745_450_142_783_414e-4,
    ],
    below: [
        1.0,
        2.053_191_626_637_759,
        1.676_384_830_183_803_8,
        6.897_673_349_851e-1,
        1.481_039_764_274_800_8e-1,
        1.519_866_656_361_645_7e-2,
        5.475_938_084_995_345e-4,
        1.050_750_071_644_416_9e-9,
    ],
};

/// For tails below that, in `√(-ln tail) - 5`.
const TAIL: Quotient = Quotient {
    above: [
        6.657_904_643_501_103,
        5.463_784_911_164_114,
        1.784_826_539_917_291_3,
        2.965_605_718_285_048_7e-1,
        2.653_218_952_657_612_4e-2,
        1.242_660_947_388_078_4e-3,
        2.711_555_568_743_487_6e-5,
        2.010_334_399_292_288_1e-7,
    ],
    below: [
        1.0,
        5.998_322_065_558_88e-1,
        1.369_298_809_227_358e-1,
        1.487_536_129_085_061_5e-2,
        7.868_691_311_456_133e-4,
        1.846_318_317_510_054_8e-5,
        1.421_511_758_316_446e-7,
        2.044_263_103_389_939_7e-15,
    ],
};
