#pragma once
/// The ellipse on the ground that holds 95 % of an error, as drawings show it.
///
/// Units:   metres; degrees. Threads: pure. Errors: none; a covariance that is none gives axes of zero.
/// Source:  the axes are the roots of the covariance's eigenvalues; with two degrees of freedom the 95 % point of
///          chi-square is -2 ln 0.05 = 5.991.

namespace stillpoint::estimate {

struct Ellipse {
  double long_m = 0, short_m = 0;  ///< half axes
  double from_east_deg = 0;        ///< of the longer one, counter-clockwise, -90 to 90
};
Ellipse ellipse95(double ee_m2, double en_m2, double nn_m2) noexcept;

}  // namespace stillpoint::estimate
