#pragma once
/// Quantiles of the chi-square and F distributions, by the incomplete gamma and beta functions.
///
/// Units:   none. Threads: pure.
/// Errors:  none; `p` must lie inside (0, 1) and degrees of freedom be positive.
/// Source:  series and continued fractions as in Abramowitz & Stegun, 6.5.29, 6.5.31 and 26.5.8 (from memory; checked
///          in the tests against tabled quantiles).

namespace stillpoint::control {

double chi_square_quantile(double p, double freedom) noexcept;
double f_quantile(double p, double freedom1, double freedom2) noexcept;

}  // namespace stillpoint::control
