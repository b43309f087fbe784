#pragma once
/// East, north, up as three numbers, and their covariance: just enough for residuals. Only for this room.

#include <array>
#include <cmath>
#include <optional>

#include "geodesy/local.hpp"

namespace stillpoint::control {

using Vector3 = std::array<double, 3>;                 ///< east, north, up
using Matrix3 = std::array<std::array<double, 3>, 3>;  ///< symmetric

inline Vector3 vector_of(const geodesy::Enu& v) noexcept {
  return {v.east_m, v.north_m, v.up_m};
}
inline geodesy::Enu enu_of(const Vector3& v) noexcept {
  return {v[0], v[1], v[2]};
}
inline Vector3 operator-(const Vector3& a, const Vector3& b) noexcept {
  return {a[0] - b[0], a[1] - b[1], a[2] - b[2]};
}
inline Matrix3 operator+(const Matrix3& a, const Matrix3& b) noexcept {
  Matrix3 out{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) out[i][j] = a[i][j] + b[i][j];
  }
  return out;
}
inline Matrix3 diagonal(double e, double n, double u) noexcept {
  Matrix3 out{};
  out[0][0] = e;
  out[1][1] = n;
  out[2][2] = u;
  return out;
}
/// v vᵀ scaled.
inline Matrix3 outer(const Vector3& v, double factor) noexcept {
  Matrix3 out{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) out[i][j] = factor * v[i] * v[j];
  }
  return out;
}

/// The lower Cholesky factor; nothing for a matrix that is not positive definite.
inline std::optional<Matrix3> cholesky(const Matrix3& m) noexcept {
  Matrix3 l{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j <= i; ++j) {
      double sum = m[i][j];
      for (std::size_t k = 0; k < j; ++k) sum -= l[i][k] * l[j][k];
      if (i == j && !(sum > 0)) return std::nullopt;
      l[i][j] = i == j ? std::sqrt(sum) : sum / l[j][j];
    }
  }
  return l;
}

inline Vector3 solve_lower(const Matrix3& l, const Vector3& v) noexcept {
  Vector3 x{};
  for (std::size_t i = 0; i < 3; ++i) {
    double sum = v[i];
    for (std::size_t k = 0; k < i; ++k) sum -= l[i][k] * x[k];
    x[i] = sum / l[i][i];
  }
  return x;
}

inline double squared(const Vector3& v) noexcept {
  return v[0] * v[0] + v[1] * v[1] + v[2] * v[2];
}

/// vᵀ M⁻¹ v
inline double mahalanobis_squared(const Vector3& v, const Matrix3& m) noexcept {
  const auto l = cholesky(m);
  return l ? squared(solve_lower(*l, v)) : HUGE_VAL;
}

/// The logarithm of the normal density without its constant.
inline double log_density(const Vector3& v, const Matrix3& m) noexcept {
  const auto l = cholesky(m);
  if (!l) return -HUGE_VAL;
  return -0.5 * squared(solve_lower(*l, v)) - std::log((*l)[0][0] * (*l)[1][1] * (*l)[2][2]);
}

inline Matrix3 product(const Matrix3& a, const Matrix3& b) noexcept {
  Matrix3 out{};
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      for (std::size_t k = 0; k < 3; ++k) out[i][j] += a[i][k] * b[k][j];
    }
  }
  return out;
}
inline Vector3 product(const Matrix3& a, const Vector3& v) noexcept {
  Vector3 out{};
  for (std::size_t i = 0; i < 3; ++i) out[i] = a[i][0] * v[0] + a[i][1] * v[1] + a[i][2] * v[2];
  return out;
}
/// Of a positive definite matrix.
inline Matrix3 inverse(const Matrix3& m) noexcept {
  const auto l = cholesky(m);
  Matrix3 out{};
  if (!l) return out;
  Matrix3 columns{};
  for (std::size_t j = 0; j < 3; ++j) {
    Vector3 unit{};
    unit[j] = 1;
    columns[j] = solve_lower(*l, unit);
  }
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      out[i][j] = columns[i][0] * columns[j][0] + columns[i][1] * columns[j][1] + columns[i][2] * columns[j][2];
    }
  }
  return out;
}

}  // namespace stillpoint::control
