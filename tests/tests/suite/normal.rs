//! The normal distribution against an independent library.

use crownwheel::normal::{quantile, share_below};
use crownwheel_testkit::assert_close;
use statrs::distribution::{ContinuousCDF, Normal};

#[test]
fn quantiles_and_shares_agree_with_statrs_in_the_middle_and_far_out() {
    let normal = Normal::standard();
    for i in 1..2_000 {
        let share = f64::from(i) / 2_000.0;
        assert_close!(quantile(share), normal.inverse_cdf(share), abs = 4e-15, rel = 4e-14);
        let x = quantile(share);
        // That library's shares are good to 1e-10 of themselves; there and back again they must be exact.
        assert_close!(share_below(x), normal.cdf(x), abs = 0.0, rel = 1e-9);
        assert_close!(share_below(x), share, abs = 0.0, rel = 1e-14);
    }
    for power in [-5, -12, -40, -200, -300] {
        let share = 10_f64.powi(power);
        assert_close!(quantile(share), normal.inverse_cdf(share), abs = 0.0, rel = 1e-12);
        assert_close!(share_below(quantile(share)), share, abs = 0.0, rel = 1e-11);
    }
}
