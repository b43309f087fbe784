#pragma once
/// Stations whose coordinates are published in two frames.
///
/// Units: metres, geocentric; metres a year; decimal years.

#include <array>
#include <string>
#include <vector>

namespace stillpoint::geodesy::test {

using Xyz = std::array<double, 3>;

inline constexpr double kNotPrinted = -1e9;  // the stored excerpt of the publication lacks this component

struct Station {
  std::string name;
  std::string from, to;
  Xyz input_m;
  double input_epoch;
  Xyz velocity_m_per_year;
  double output_epoch;
  Xyz output_m;
  double tolerance_m;
};

// Source of each row in its name; the input is moved with its velocity to the output epoch, then transformed there.
inline const std::vector<Station> kStations{
    {"UAAG, NGS position-velocity file uaag.pv, 16 Nov 2007",
     "ITRF2000",
     "NAD83(CORS96)",
     {-2663934.32, -1548947.592, 5565691.862},
     1997.0,
     {-0.0139, -0.0003, 0.0},
     2003.0,
     {-2663933.619, -1548948.643, 5565691.476},
     0.003},
    {"WMTS, NGS position-velocity file wmts.pv, Mar 2006",
     "ITRF2000",
     "NAD83(CORS96)",
     {1521430.995, -4458448.174, 4285377.687},
     1997.0,
     {-0.0173, -0.0019, 0.0045},
     2002.0,
     {1521431.544, -4458449.625, 4285377.798},
     0.003},
    {"ALLG, NGS position-velocity file, 10 Apr 2006",
     "ITRF2000",
     "NAD83(CORS96)",
     {960972.827, -4822645.3, 4048582.118},
     1997.0,
     {-0.0166, -0.0017, -0.0022},
     2002.0,
     {960973.367, -4822646.75, 4048582.226},
     0.003},
    {"MEGO, NGS position-velocity file, 5 Apr 2019",
     "IGS08",
     "NAD83(2011)",
     {1545935.577, -4353759.673, 4382599.591},
     2005.0,
     {-0.0157, -0.0016, 0.004},
     2010.0,
     {1545936.281, -4353761.106, kNotPrinted},
     0.003},
    {"TTCD, NGS coordinate file ttcd_14, 28 Mar 2025",
     "ITRF2014",
     "NAD83(2011)",
     {1097053.13, -4897222.404, 3923142.59},
     2010.0,
     {0.0, 0.0, 0.0},
     2010.0,
     {1097053.884, -4897223.864, kNotPrinted},
     0.003},
    {"IOGP 373-7-2, example of methods 1053 and 1056",
     "ITRF2008",
     "GDA94",
     {-3789470.71, 4841770.404, -1690893.952},
     2013.9,
     {0.0, 0.0, 0.0},
     2013.9,
     {-3789470.004, 4841770.686, -1690895.108},
     0.001},
    {"ALIC, ICSM GDA2020 Technical Manual 1.0",
     "ITRF2014",
     "GDA2020",
     {-4052052.6588, 4212835.9938, -2545104.6946},
     2018.0,
     {0.0, 0.0, 0.0},
     2018.0,
     {-4052052.7373, 4212835.9835, -2545104.5867},
     0.0001},
    {"MALA00ESP, EUREF Permanent Network C2235, 22 Feb 2023",
     "ETRF2000",
     "ETRF2014",
     {5103282.405, -392096.768, 3793146.874},
     2010.0,
     {0.0, 0.0, 0.0},
     2010.0,
     {5103282.356, -392096.809, 3793146.918},
     0.0015},
    {"Alice Springs, ICSM GDA2020 Technical Manual 1.0",
     "GDA94",
     "GDA2020",
     {-4052051.7643, 4212836.2017, -2545106.0245},
     2020.0,
     {0.0, 0.0, 0.0},
     2020.0,
     {-4052052.7379, 4212835.9897, -2545104.5898},
     0.0001},
};

/// Moved by its velocity, in the frame it is published in.
inline Xyz at_output_epoch(const Station& row) {
  Xyz out = row.input_m;
  for (std::size_t i = 0; i < 3; ++i) {
    out[i] += row.velocity_m_per_year[i] * (row.output_epoch - row.input_epoch);
  }
  return out;
}

}  // namespace stillpoint::geodesy::test
